"""Work: objects waiting for hands, the hands, and an order in which the work is done.

Times in a problem count from its ``start``: hours (``_h``) for losses, minutes (``_min``) for shifts and
placements.  ``minutes`` of an operation are hands-on; on the clock it takes ``minutes / crew.pace``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

Shape = Literal["step", "rate", "has_happened"]
Role = Literal["helper", "conservator"]
Kind = Literal["cheap", "look", "act", "local_air", "watch", "record"]
Reason = Literal["stop", "no_steps", "no_station", "no_people", "longer_than_shift", "horizon"]
Points = tuple[tuple[float, float], ...]

CHEAP_KINDS: frozenset[str] = frozenset({"cheap", "look"})
"""Kinds that make the leading operations of a chain cheap: for everything before dear ones for one."""

TRAY_STEPS = 2
"""So many of the next dear steps are the same for all objects of a tray."""

NO_BOUND = "no bound computed"

CURVES: dict[str, Points] = {
    "step": ((1.0, 0.0), (1.5, 1.0)),
    "rate": ((0.0, 0.0), (1.0, 0.3), (4.0, 0.7), (16.0, 1.0)),
}
"""Share lost by age, age in units of the clock's hours.  Confidence c: no published source gives a curve."""


@dataclass(frozen=True, slots=True)
class Loss:
    """What one clock still takes of an object.

    ``points``: (hours from the problem's start, share of the object's worth lost by then), both
    rising, starting at (0, 0) though that point may be left out; straight between, flat after the last.
    ``left_h`` hours left at the start, None where the hour of the origin is not known.
    """

    key: str
    left_h: float | None
    shape: Shape
    points: Points

    def __post_init__(self) -> None:
        """Refuse a curve that falls, starts before now or takes more than all."""
        before = (0.0, 0.0)
        for point in self.points:
            if point[0] < before[0] or point[1] < before[1] or point[1] > 1.0 + 1e-9:
                raise ValueError(f"loss {self.key}: points must rise from (0, 0) to at most 1")
            before = point


@dataclass(frozen=True, slots=True)
class Op:
    """One operation.  ``wait_h`` it stands afterwards without hands, keeping its place at the station."""

    step: str
    station: str
    role: Role
    minutes: float
    kind: Kind = "act"
    wait_h: float = 0.0
    people: int = 1

    def __post_init__(self) -> None:
        """Refuse what could never be placed in any calendar."""
        if self.minutes <= 0 or self.wait_h < 0 or self.people < 1:
            raise ValueError(f"operation {self.step}: minutes > 0, wait_h >= 0 and people >= 1 are needed")


@dataclass(frozen=True, slots=True)
class Job:
    """One object, or one lot under one tag, with its chain of operations.

    ``stable_after``: index of the operation whose end stops the losses.  ``stop``: key of the hazard
    that holds it ('' for none) and ``release`` what must be recorded before anybody touches it.
    ``now``: its loss is running and little work ends it.  ``about`` is what to call it in a sentence.
    """

    tag: str
    ops: tuple[Op, ...]
    weight: float
    losses: tuple[Loss, ...]
    stable_after: int
    title: str = ""
    significance: int = 3
    zone: str = ""
    lot: str = ""
    stop: str = ""
    stop_say: str = ""
    release: str = ""
    now: bool = False
    about: str = ""
    hours_left: float | None = None
    good_until: datetime | None = None

    def __post_init__(self) -> None:
        """Refuse a chain that names an operation it does not have."""
        if self.ops and not 0 <= self.stable_after < len(self.ops):
            raise ValueError(f"job {self.tag}: stable_after must name one of its operations")
        if self.weight < 0:
            raise ValueError(f"job {self.tag}: weight must not be negative")


@dataclass(frozen=True, slots=True)
class Station:
    """Where work is done; ``places`` None: room for all."""

    key: str
    places: int | None


@dataclass(frozen=True, slots=True)
class Shift:
    """Minutes from the problem's start between which hands work."""

    start_min: float
    end_min: float


@dataclass(frozen=True, slots=True)
class Crew:
    """People.  Number 0 up to ``conservators`` - 1 are conservators, the rest helpers.

    ``shifts`` are in order and do not overlap.  ``pace``: part of a shift that is hands-on; 5/8 after
    about 5 hands-on hours in a day of 8 (S25, v).
    """

    conservators: int
    helpers: int
    shifts: tuple[Shift, ...]
    pace: float = 0.625

    def __post_init__(self) -> None:
        """Refuse shifts out of order and a pace outside (0, 1]."""
        if not 0 < self.pace <= 1:
            raise ValueError("pace must lie in (0, 1]")
        if min(self.conservators, self.helpers) < 0:
            raise ValueError("a crew has no negative people")
        end = 0.0
        for shift in self.shifts:
            if shift.start_min < end or shift.end_min <= shift.start_min:
                raise ValueError("shifts must be in order, not overlap and not start before now")
            end = shift.end_min


@dataclass(frozen=True, slots=True)
class Problem:
    """All that an order of work is made from.  ``start`` is aware, UTC."""

    jobs: tuple[Job, ...]
    crew: Crew
    stations: tuple[Station, ...]
    start: datetime
    horizon_h: float
    cheap_first_h: float = 48.0
    tray_size: int = 8

    def __post_init__(self) -> None:
        """Refuse two jobs of one tag, two stations of one key, and a station with no place at all."""
        if len({job.tag for job in self.jobs}) != len(self.jobs):
            raise ValueError("each tag may stand for one job only")
        if len({station.key for station in self.stations}) != len(self.stations):
            raise ValueError("each station is named once")
        if any(station.places is not None and station.places < 1 for station in self.stations):
            raise ValueError("a station has at least one place, or is left out")
        if self.tray_size < 1 or self.horizon_h <= 0:
            raise ValueError("tray_size must be at least 1 and horizon_h above 0")


@dataclass(frozen=True, slots=True)
class Placed:
    """Operation number ``op`` of an object, done by ``people`` from start to end (minutes)."""

    tag: str
    op: int
    start_min: float
    end_min: float
    people: tuple[int, ...]
    station: str


@dataclass(frozen=True, slots=True)
class Unplaced:
    """An object that is not, or not wholly, in the order, and why."""

    tag: str
    reason: Reason
    say: str


@dataclass(frozen=True, slots=True)
class TrayGroup:
    """Objects with the same next steps that are handed out together; ``n`` counts from 1."""

    n: int
    tags: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Schedule:
    """An answer.  Losses are in weight units; ``seconds`` is filled in by whoever holds the watch."""

    placed: tuple[Placed, ...]
    order: tuple[str, ...]
    announced: tuple[str, ...]
    unplaced: tuple[Unplaced, ...]
    trays: tuple[TrayGroup, ...]
    status: str
    rule: str
    loss: float
    loss_if_nothing: float
    bound: float | None = None
    bound_note: str = NO_BOUND
    seed: int | None = None
    seconds: float | None = None


@dataclass(frozen=True, slots=True)
class Why:
    """Why an object stands where it stands.

    ``why`` has hours, for the lead; ``say`` has half-days, for helpers.  ``half_day`` counts half shifts
    from 1, by the start of the operation that gives the object its place in the order.
    """

    why: str
    say: str
    half_day: int


Solver = Callable[[Problem], Schedule]


def loss_of_clock(key: str, at_h: float, left_h: float | None, shape: Shape, share: float = 1.0) -> Loss:
    """The loss still ahead of a clock that runs ``at_h`` hours and has ``left_h`` of them left.

    What was lost before now is taken off.  ``left_h`` None: put where most can be lost soonest.
    Raises ValueError for ``at_h`` <= 0.
    """
    if at_h <= 0:
        raise ValueError(f"loss {key}: at_h must be above 0")
    if shape == "has_happened":
        return Loss(key, left_h, shape, ())
    assumed = at_h if shape == "rate" else 0.0
    age = at_h - (assumed if left_h is None else left_h)
    curve = tuple((at_h * x, share * y) for x, y in CURVES[shape])
    gone = share_at(curve, max(0.0, age))
    ahead = tuple((x - age, y - gone) for x, y in curve if x > age)
    return Loss(key, left_h, shape, ahead)


def share_at(points: Points, at_h: float) -> float:
    """Height at ``at_h`` of straight lines through (0, 0) and ``points``, flat after the last."""
    x0, y0 = 0.0, 0.0
    for x1, y1 in points:
        if at_h < x1:
            return y0 + (y1 - y0) * (at_h - x0) / (x1 - x0)
        x0, y0 = x1, y1
    return y0


def every_day(first_h: float, shift_h: float, days: int) -> tuple[Shift, ...]:
    """One shift from now of ``first_h`` hours, then one of ``shift_h`` each 24 h from the same hour."""
    later = [Shift(1440.0 * day, 1440.0 * day + 60.0 * shift_h) for day in range(1, days)]
    return (Shift(0.0, 60.0 * first_h), *later)
