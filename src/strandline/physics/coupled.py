"""Many bodies in one room, each drying into the air that all the others wet.

The room's humidity is a line between knots. Within a window of knots the bodies are run in the humidity
guessed so far, what they gave off is put into the room's balance, and the balance answers with a better
humidity: a relaxation of whole stretches of time instead of steps in common, so that a body that asks for
small steps takes them alone. The balance is solved with the slope dE/dr of what the bodies give off, which
two sweeps tell and which is never steeper than that of surfaces that stay wet; that is what makes the sweeps
close in.

A small room that starts far from balance turns within minutes: the first interval is cut into sixteen, each
longer than the one before.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.optimize import brentq

from strandline.physics.engine import CELLS, SECONDS_PER_HOUR, Batch, Body, prepare, run
from strandline.physics.surface import conductance_in_series_m_s

Floats = npt.NDArray[np.float64]

KNOT_H = 3.0
KNOTS_PER_WINDOW = 8
EARLY_KNOTS, EARLY_GROWS = 2 * KNOTS_PER_WINDOW, 1.6
"""The first interval fills two windows: it is cut into so many, each so many times as long as the one
before."""
CLOSE_RH = 2e-4
MOST_SWEEPS = 30
DRIEST_RH, DAMPEST_RH = 0.0, 1.5
COUPLED_TOLERANCE = 3e-4


class NotSettled(ArithmeticError):
    """The sweeps over a window did not close in on one humidity of the room."""


@dataclass(frozen=True, slots=True)
class SharedRoom:
    """A room: its air, what is blown through it, and what a machine takes out of it.

    ``saturation_kg_m3`` at its temperature, which holds for the whole run, as do the bodies' own constants;
    ``outside_kg_m3(hour)`` vapour in a cubic metre of the air that comes in, after warming to the room's
    temperature; ``removed_kg_h(rh, hour)`` what a dehumidifier takes.
    """

    volume_m3: float
    saturation_kg_m3: float
    air_change_per_h: float
    outside_kg_m3: Callable[[float], float]
    removed_kg_h: Callable[[float, float], float]
    start_rh: float


@dataclass(frozen=True, slots=True)
class Together:
    """What came of it: arrays (bodies, knots) of mean, surface moisture and cover humidity; (knots) of the
    rest.

    ``hours`` are close together at first, then even. ``given_kg`` is what all bodies gave off since the
    knot before; ``sweeps`` how often each window was run;
    ``unbalanced_kg`` the greatest miss of the room's balance in any interval.
    """

    hours: Floats
    mean: Floats
    surface: Floats
    cover_rh: Floats
    room_rh: Floats
    given_kg: Floats
    sweeps: tuple[int, ...]
    unbalanced_kg: float


@dataclass(slots=True)
class _Group:
    """The bodies of one shape, with the kilograms that one unit of their numbers stands for."""

    places: list[int]
    batch: Batch
    dry_kg: Floats
    cover_kg: Floats


def dry_together(
    bodies: Sequence[Body],
    areas_m2: Sequence[float],
    room: SharedRoom,
    hours: float,
    *,
    knot_h: float = KNOT_H,
    cells: int = CELLS,
    tolerance: float = COUPLED_TOLERANCE,
) -> Together:
    """Courses of bodies that share the air of one room.

    Equation: V c dr/dt = sum of what the bodies give off - n V (c r - outside) - removed(r), trapezoidal over
        knots; c is the density of saturated vapour, r the room's relative humidity, n its air change.
    Source: room-balance (conservation of water vapour in well-mixed air).
    Range: one temperature; a well-mixed room; hours a multiple of knot_h.
    Doubt: a real room is not mixed; the humidity between knots is a line.
    Knots: within the first knot_h sixteen, each interval 1.6 times as long as the one before; then one each
        knot_h.
    Raises: NotSettled; EngineError; ValueError for hours that are no multiple of knot_h.

    >>> from strandline.physics.diffusivity import constant
    >>> from strandline.physics.engine import FOREVER_H, Piece
    >>> from strandline.physics.isotherm import Isotherm
    >>> piece = Piece(FOREVER_H, Isotherm(0.05, 0.8, 6.0, 2.0), constant(1e-10), 0.0154, 0.003)
    >>> body = Body("plane", 0.01, 500.0, (piece,), 0.6, ((0.0, 0.5),))
    >>> room = SharedRoom(10.0, 0.0154, 0.5, lambda hour: 0.007, lambda rh, hour: 0.0, 0.5)
    >>> bool(dry_together([body], [2.0], room, 24.0).room_rh.max() > 0.5)
    True
    """
    knots = round(hours / knot_h)
    if knots < 1 or abs(knots * knot_h - hours) > 1e-9 * hours:
        raise ValueError(f"{hours:g} h is no multiple of {knot_h:g} h")
    groups = _grouped(bodies, areas_m2, cells)
    wet_slope = sum(map(_wet_slope_kg_h, bodies, areas_m2))
    times = _knot_hours(knots, knot_h)
    result = _Written(len(bodies), times, room.start_rh)
    result.note(groups, 0, None)
    for first in range(0, len(times) - 1, KNOTS_PER_WINDOW):
        last = min(first + KNOTS_PER_WINDOW, len(times) - 1)
        _settle_window(groups, room, result, first, last, wet_slope, tolerance)
    return result.together()


def _knot_hours(knots: int, knot_h: float) -> Floats:
    """Hours of the knots: nought, those within the first interval, then one each ``knot_h``."""
    grown: Floats = EARLY_GROWS ** np.arange(EARLY_KNOTS, dtype=np.float64) - 1.0
    early: Floats = knot_h * grown / (EARLY_GROWS**EARLY_KNOTS - 1.0)
    return np.concatenate((early, np.arange(1, knots + 1, dtype=np.float64) * knot_h))


class _Written:
    """What is known so far, at knots."""

    def __init__(self, bodies: int, times: Floats, start_rh: float) -> None:
        shape = (bodies, len(times))
        self.hours, self.room_rh = times, np.full(len(times), start_rh)
        self.mean, self.surface, self.cover = np.zeros(shape), np.zeros(shape), np.zeros(shape)
        self.given = np.zeros(len(times))
        self.sweeps: list[int] = []
        self.worst = 0.0
        self.slope: Floats | None = None

    def first_guess(self, first: int, last: int) -> Floats:
        """Humidity at the knots first to last: the course of the window before, set on where it ended."""
        here = float(self.room_rh[first])
        earlier = self.room_rh[max(0, first - KNOTS_PER_WINDOW) : first + 1]
        if first < EARLY_KNOTS + KNOTS_PER_WINDOW:
            return np.full(last - first + 1, here)
        guess: Floats = np.clip(here + earlier[: last - first + 1] - earlier[0], 0.0, 1.0)
        return guess

    def note(self, groups: list[_Group], knot: int, found: list[list[Floats]] | None) -> None:
        """Keep what a window brought, or, before the first, what the bodies start from."""
        for number, group in enumerate(groups):
            cells = group.batch.cells
            if found is None:
                columns = [group.batch.mean, group.batch.state[:, cells], group.batch.state[:, cells + 1]]
                columns = [column[:, None] for column in columns]
            else:
                columns = found[number]
            until = knot + columns[0].shape[1]
            for kept, column in zip((self.mean, self.surface, self.cover), columns, strict=True):
                kept[group.places, knot:until] = column

    def together(self) -> Together:
        """The answer."""
        return Together(
            self.hours,
            self.mean,
            self.surface,
            self.cover,
            self.room_rh,
            self.given,
            tuple(self.sweeps),
            self.worst,
        )


def _settle_window(
    groups: list[_Group],
    room: SharedRoom,
    result: _Written,
    first: int,
    last: int,
    wet: float,
    tolerance: float,
) -> None:
    """Sweep over the knots first to last until the bodies and the room agree."""
    times = result.hours[first : last + 1]
    rh = result.first_guess(first, last)
    begin = [(group.batch.state.copy(), group.batch.hints.copy()) for group in groups]
    slope = np.full(len(times) - 1, wet) if result.slope is None else result.slope[: len(times) - 1]
    before: tuple[Floats, Floats] | None = None
    for sweep in range(1, MOST_SWEEPS + 1):
        found = [
            _sweep(group, times, rh, tolerance, *kept) for group, kept in zip(groups, begin, strict=True)
        ]
        given = sum(
            (_given_kg(group, part) for group, part in zip(groups, found, strict=True)),
            np.zeros(len(times) - 1),
        )
        middle = 0.5 * (rh[1:] + rh[:-1])
        if before is not None:
            moved = middle - before[0]
            with np.errstate(divide="ignore", invalid="ignore"):
                told = -(given - before[1]) / (moved * np.diff(times))
            slope = np.where(np.abs(moved) > 1e-7, np.clip(told, 0.0, wet), slope)
        before = (middle, given)
        answer, miss = _room_answer(room, times, rh, given, slope)
        if np.max(np.abs(answer - rh)) < CLOSE_RH:
            result.room_rh[first : last + 1] = rh
            result.given[first + 1 : last + 1] = given
            result.note(groups, first, found)
            result.sweeps.append(sweep)
            result.worst = max(result.worst, miss)
            result.slope = slope
            return
        rh = answer
    raise NotSettled(f"the room's humidity between hours {times[0]:g} and {times[-1]:g} did not settle")


def _room_answer(
    room: SharedRoom, times: Floats, rh: Floats, given: Floats, slope: Floats
) -> tuple[Floats, float]:
    """The humidity at the knots that balances the room, and by how much the old one missed, in kg.

    What the bodies give off in an interval is taken as given - slope (mean humidity - its old value) dt. Each
    knot is a monotone equation in its humidity.
    """
    answer = rh.copy()
    capacity = room.volume_m3 * room.saturation_kg_m3
    blown = room.air_change_per_h * room.volume_m3
    worst = 0.0

    def loss(value: float, hour: float) -> float:
        out = blown * (room.saturation_kg_m3 * value - room.outside_kg_m3(hour))
        return out + room.removed_kg_h(value, hour)

    for k in range(len(times) - 1):
        dt = float(times[k + 1] - times[k])
        old_middle = 0.5 * float(rh[k] + rh[k + 1])
        start, lost_start = float(answer[k]), loss(float(answer[k]), float(times[k]))

        def surplus(value: float, k: int = k, dt: float = dt, start: float = start, lost: float = lost_start,
                    middle: float = old_middle) -> float:  # fmt: skip
            put = float(given[k]) - float(slope[k]) * dt * (0.5 * (start + value) - middle)
            return put - 0.5 * dt * (lost + loss(value, float(times[k + 1]))) - capacity * (value - start)

        old = float(given[k]) - 0.5 * dt * (
            loss(float(rh[k]), float(times[k])) + loss(float(rh[k + 1]), float(times[k + 1]))
        )
        worst = max(worst, abs(old - capacity * float(rh[k + 1] - rh[k])))
        answer[k + 1] = _falling_root(surplus)
    return answer, worst


def _falling_root(surplus: Callable[[float], float]) -> float:
    """Where a falling function of the humidity meets nought, between bone dry and well above saturation."""
    if surplus(DRIEST_RH) <= 0.0:
        return DRIEST_RH
    if surplus(DAMPEST_RH) >= 0.0:
        return DAMPEST_RH
    found: float = brentq(surplus, DRIEST_RH, DAMPEST_RH, xtol=1e-10)
    return found


def _sweep(
    group: _Group, times: Floats, rh: Floats, tolerance: float, state: Floats, hints: Floats
) -> list[Floats]:
    """Run the bodies of a group over a window in a given humidity: mean, surface and cover at its knots."""
    batch = group.batch
    batch.state[:], batch.hints[:] = state, hints
    batch.knots = np.column_stack((times, rh))
    # The last window may be shorter than the others.
    batch.climate[:, 1] = len(times)
    batch.starts[:], batch.ends[:] = times[0], times[-1]
    part = run(batch, times, tolerance=tolerance)
    return [part.mean, part.surface, part.cover_rh]


def _given_kg(group: _Group, found: list[Floats]) -> Floats:
    """What a group gave off in each interval, from what it and the air under its covers hold less [kg]."""
    held: Floats = group.dry_kg @ found[0] + group.cover_kg @ found[2]
    return held[:-1] - held[1:]


def _wet_slope_kg_h(body: Body, area_m2: float) -> float:
    """How much less a body would give off for one unit more of humidity if its surface stayed wet [kg/h]."""
    piece = body.pieces[0]
    conductance = conductance_in_series_m_s(piece.surface_m_s, piece.outer_m_s)
    return SECONDS_PER_HOUR * conductance * area_m2 * piece.saturation_kg_m3


def _grouped(bodies: Sequence[Body], areas_m2: Sequence[float], cells: int) -> list[_Group]:
    """Bodies by shape, all looking at the same knots.  Raises ValueError for one whose constants change."""
    if any(len(body.pieces) > 1 for body in bodies):
        raise ValueError(
            "bodies that share a room have one piece each: its temperature holds for the whole run"
        )
    groups = []
    for shape in dict.fromkeys(body.shape for body in bodies):
        places = [number for number, body in enumerate(bodies) if body.shape == shape]
        members = [bodies[number] for number in places]
        area = np.array([areas_m2[number] for number in places])
        batch = prepare(members, 1.0, cells=cells)
        batch.climate = np.tile(np.array([[0, KNOTS_PER_WINDOW + 1]], dtype=np.int64), (len(places), 1))
        half = np.array([body.half_m for body in members])
        density = np.array([body.dry_density_kg_m3 for body in members])
        pieces = [body.pieces[0] for body in members]
        cover = np.array([piece.air_depth_m * piece.saturation_kg_m3 for piece in pieces])
        dry_kg = area * half * density / batch.grid.surface_per_volume
        groups.append(_Group(places, batch, dry_kg, area * cover))
    return groups
