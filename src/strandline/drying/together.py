"""Many bodies that wet the air of one room: the room's humidity member by member, then each body in it.

Member i of the room holds member i of every body. Its humidity is found with the bodies coupled
(physics/coupled.py); then each body runs alone in the humidity of its members, so that strain, mould and the
rest are read as of any room.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from strandline.drying.draws import Draws, Floats
from strandline.drying.forecast import (
    BODIES_AT_ONCE,
    Case,
    check,
    courses_of,
    dry_mass_g,
    finished,
    prepared,
    sample_hours,
)
from strandline.drying.members import Members
from strandline.drying.room_answer import RoomRun, RoomRuns, answer_of, dew_kg_h
from strandline.knowledge.driers import driers
from strandline.physics.air import saturation_density_kg_m3, vapour_density_kg_m3
from strandline.physics.coupled import SharedRoom, Together, dry_together
from strandline.physics.dehumidifier import drier_band
from strandline.physics.engine import CELLS, STRAIN_CELLS, Body
from strandline.physics.grid import SHAPES, STEEP_POWER, grid
from strandline.physics.ranges import within
from strandline.things.drying import Band, DryingForecast, DryingQuestion, Flag, Stretch, WetBody
from strandline.things.shared_room import Dehumidifier, SharedAir, SharedRoomForecast

KELVIN = 273.15
AIR_CHANGE_DOUBT: Band = (0.5, 1.0, 2.0)
"""An air change that nobody measured is known to a factor of two."""
SIZE_DOUBT: Band = (0.5, 1.0, 2.0)
"""How much larger than a board all the things together may be of which nobody gave the size."""
MACHINE_DOUBT: Band = (0.5, 1.0, 2.0)
"""Only its ranks count: low, mid and high of what a machine of the kind takes."""
KNOT_STEPS = ((60.0, 3.0), (150.0, 6.0), (math.inf, 12.0))
"""Until how many days, hours between the knots of the room."""
FIRST_PASS_MEMBERS, PASSES = 8, 3
LEAST_PULL, MOST_SWAY = 0.02, 4.0
"""Air within so much of saturation, and how many times their likely rate bodies with pores may reach."""
FIRST_STAGE_H, STAGE_GROWS = 3.0, 1.5
THIN_RH = 2e-4
LEAST_MACHINE_RH = 0.2
"""The curves of machines begin here; below, what they take falls to nothing in a line."""
HUMIDISTAT_RH = 0.02
"""A humidistat turns a machine on over this much: less of the hour just above its mark, all of it beyond."""
SHARED = Flag(
    "shared_room", "reckoned in the air that all bodies of the list wet together, not in air taken as given"
)

Source = Callable[[float, float], float]
"""Of the room's humidity and the hour."""


@dataclass(frozen=True, slots=True)
class InOneRoom:
    """What came of a room: its forecast, and the air in which each of its bodies can be forecast."""

    room: SharedRoomForecast
    question: DryingQuestion
    knots: tuple[tuple[tuple[float, float], ...], ...]
    stages: tuple[Stretch, ...]

    def forecast(self, bodies: Sequence[WetBody]) -> Iterator[DryingForecast]:
        """Forecasts of some or all of the bodies, in the order given, each in the air of the room."""
        hours = sample_hours(self.question.days)
        staged = replace(self.question, room=self.stages)
        for first in range(0, len(bodies), BODIES_AT_ONCE):
            some = [self._prepared(wet, staged) for wet in bodies[first : first + BODIES_AT_ONCE]]
            for one in finished(some, hours):
                yield one if one.model == "none" else replace(one, flags=(*one.flags, SHARED))

    def _prepared(self, wet: WetBody, staged: DryingQuestion) -> Case | DryingForecast:
        """A body with its members in the room's humidity; one with pores in the likely one, by stretches."""
        case = prepared(wet, self.question)
        if isinstance(case, DryingForecast):
            return case
        if case.members is None:
            return prepared(wet, staged)
        pairs = zip(case.members.bodies, self.knots, strict=True)
        case.members = replace(case.members, bodies=tuple(replace(one, room=rh) for one, rh in pairs))
        case.question = staged
        return case


def in_one_room(
    bodies: Sequence[WetBody],
    question: DryingQuestion,
    air: SharedAir,
    tell: Callable[[int], object] = lambda done: None,
) -> InOneRoom:
    """The air of a room that bodies wet; ``tell`` is called with the number of members done.

    The question's room is one stretch: its temperature holds, its humidity is that of the start. A body that
    cannot be reckoned gives off nothing here; its own forecast says why.
    Raises ValueError for a room that cannot be asked about; NotSettled and EngineError as dry_together does.
    """
    check(question)
    if len(question.room) != 1:
        raise ValueError("a room that bodies share has one temperature for the whole time")
    for what, value, least, most in (
        ("volume_m3", air.volume_m3, 0.1, 1e6),
        ("air_changes_per_h", air.air_changes_per_h, 0.0, 100.0),
    ):
        within(what, value, least, most)
    cases = list(_cases(bodies, question))
    room = _Room(question, air, cases)
    source: Source = _no_source
    if room.porous:
        few = range(min(question.members, FIRST_PASS_MEMBERS))
        for _ in range(PASSES):
            likely = _stages(question, [room.run(i, source).course for i in few])
            source = _source(room, replace(question, room=likely))
    runs = []
    for i in range(question.members):
        runs.append(room.run(i, source))
        tell(i + 1)
    courses = [one.course for one in runs]
    told = answer_of(
        RoomRuns(
            air, question, runs, len(room.engine) + len(room.porous), len(room.porous), room.sizes_not_given,
            len(bodies) - len(room.engine) - len(room.porous), dict(room.draws.bands),
        )
    )  # fmt: skip
    knots = tuple(thinned(one.hours, one.room_rh, THIN_RH) for one in courses)
    return InOneRoom(told, question, knots, _stages(question, courses))


def _cases(bodies: Sequence[WetBody], question: DryingQuestion) -> Iterator[Case]:
    """The bodies that give off water in the room."""
    for wet in bodies:
        try:
            one = prepared(wet, question)
        except (ValueError, ArithmeticError):
            # Counted as left out of the room; asked for its own forecast it says why.
            continue
        if isinstance(one, Case):
            yield one


class _Room:
    """The room with what is drawn for it and the bodies in it."""

    def __init__(self, question: DryingQuestion, air: SharedAir, cases: Sequence[Case]) -> None:
        self.question, self.air = question, air
        self.engine = [(case, case.members) for case in cases if case.members is not None]
        self.porous = [case for case in cases if case.members is None]
        self.sizes_not_given = sum(_size_open(case) for case in cases)
        self.draws = Draws(question.members, question.seed, "the room they share")
        self.changes = air.air_changes_per_h * self.draws.of("air_change_factor", AIR_CHANGE_DOUBT)
        sizes = np.ones(question.members)
        if self.sizes_not_given:
            sizes = self.draws.of("size_factor", SIZE_DOUBT)
        self.sizes = sizes
        self.machine = _machine(air.dehumidifier, question.room[0].temp_c, self.draws)
        days = question.days
        self.knot_h = next(step for until, step in KNOT_STEPS if days <= until)
        self.hours = self.knot_h * math.ceil(24.0 * days / self.knot_h - 1e-9)
        self.saturation = saturation_density_kg_m3(question.room[0].temp_c)
        self.outside = [(one.until_h, self._outside_kg_m3(one)) for one in air.outside]
        self.areas = [_areas_m2(case, members, sizes) for case, members in self.engine]

    def _outside_kg_m3(self, air: Stretch) -> float:
        """Vapour in a cubic metre of air that comes in, once it is as warm as the room."""
        swells = (air.temp_c + KELVIN) / (self.question.room[0].temp_c + KELVIN)
        return swells * vapour_density_kg_m3(air.temp_c, air.rh)

    def outside_kg_m3(self, hour: float) -> float:
        """The same at an hour."""
        return next((held for until, held in self.outside if hour < until), self.outside[-1][1])

    def run(self, member: int, source: Source) -> RoomRun:
        """One member of the room with its bodies coupled; ``source`` is what others give off [kg/h]."""
        machine, size = self.machine(member), float(self.sizes[member])
        start, volume, changes = self.question.room[0].rh, self.air.volume_m3, float(self.changes[member])

        def removed_kg_h(rh: float, hour: float) -> float:
            dew = dew_kg_h(volume, self.saturation, changes, rh)
            return machine(rh) + dew - size * source(rh, hour)

        room = SharedRoom(volume, self.saturation, changes, self.outside_kg_m3, removed_kg_h, start)
        bodies = [_coarse(members.bodies[member]) for _, members in self.engine]
        areas = [float(each[member]) for each in self.areas]
        course = dry_together(bodies, areas, room, self.hours, knot_h=self.knot_h)
        return RoomRun(course, room, machine, lambda rh, hour: size * source(rh, hour))


def _no_source(rh: float, hour: float) -> float:
    """Nothing but the bodies of the engine gives off water."""
    return 0.0


def _size_open(case: Case) -> bool:
    """Whether neither the sizes nor a weight tell how much of it there is."""
    weighed = case.wet.wet_mass_g is not None or case.wet.dry_mass_g is not None
    return not (case.size.known or (weighed and case.members is not None))


def _areas_m2(case: Case, members: Members, sizes: Floats) -> Floats:
    """Area through which each member gives off its water: half thickness and density make its dry weight."""
    wet, size = case.wet, case.size
    half = np.array([one.half_m for one in members.bodies])
    faces = SHAPES.index(wet.shape) + 1
    mass = dry_mass_g(case, members)
    if mass is None:
        volume = np.full(len(half), size.volume_m3)
        if wet.thickness_band_mm is not None:
            # A thinner member of the same breadth and length has less in it.
            volume = volume * (half / size.half_m) ** faces
        kg = sizes * volume * members.density
    else:
        kg = mass / 1000.0
    area: Floats = faces * kg / (half * members.density)
    return area


def _coarse(body: Body) -> Body:
    """A body on the grid of moisture alone, as wet as on that of strain."""
    fine, coarse = grid(body.shape, STRAIN_CELLS, STEEP_POWER), grid(body.shape, CELLS)
    held = np.asarray(body.profile, dtype=np.float64) * np.ones(STRAIN_CELLS + 1)
    found = np.interp(coarse.x, fine.x, held)
    found *= float(held @ fine.volume) / float(found @ coarse.volume)
    return replace(body, profile=tuple(found.tolist()))


def _machine(
    machine: Dehumidifier | None, temp_c: float, draws: Draws
) -> Callable[[int], Callable[[float], float]]:
    """For each member what the machine takes at a humidity [kg/h]; nothing without one."""
    if machine is None:
        return lambda member: lambda rh: 0.0
    kind = driers().kinds[machine.kind]
    rhs = np.linspace(LEAST_MACHINE_RH, 1.0, 81)
    bands = [
        drier_band(kind, machine.rated_l_day, temp_c, float(rh), machine.rated_temp_c, machine.rated_rh)
        for rh in rhs
    ]
    low, mid, high = (
        np.array([getattr(one, name) for one in bands]) / 24.0 for name in ("low", "mid", "high")
    )
    rank = np.clip(np.log2(draws.of("machine_rank", MACHINE_DOUBT)), -1.0, 1.0)
    del draws.bands["machine_rank"]
    rest = machine.humidistat_rh

    def of(member: int) -> Callable[[float], float]:
        at = float(rank[member])
        taken = np.maximum(0.0, mid + at * ((high - mid) if at > 0.0 else (mid - low)))
        taken = np.maximum.accumulate(taken)
        xs, ys = np.concatenate(([0.0], rhs)), np.concatenate(([0.0], taken))

        def takes(rh: float) -> float:
            works = 1.0 if rest is None else min(1.0, max(0.0, (rh - rest) / HUMIDISTAT_RH))
            return works * float(np.interp(rh, xs, ys))

        return takes

    return of


def _stages(question: DryingQuestion, courses: Sequence[Together]) -> tuple[Stretch, ...]:
    """The likely room by stretches that grow longer, each at its mean humidity."""
    end, temp = 24.0 * question.days, question.room[0].temp_c
    likely = np.median([one.room_rh for one in courses], axis=0)
    hours = courses[0].hours
    edges = [0.0]
    step = FIRST_STAGE_H
    while edges[-1] + step < end:
        edges.append(edges[-1] + step)
        step *= STAGE_GROWS
    edges.append(end)
    until = np.concatenate(([0.0], np.cumsum(0.5 * (likely[1:] + likely[:-1]) * np.diff(hours))))
    at = np.interp(edges, hours, until)
    means = np.clip(np.diff(at) / np.diff(edges), 0.0, 1.0)
    return tuple(Stretch(float(edge), temp, float(mean)) for edge, mean in zip(edges[1:], means, strict=True))


def _source(room: _Room, staged: DryingQuestion) -> Source:
    """What bodies with pores give off [kg/h]: the likely of their readings in the likely room.

    In a damper or drier member of the room they give off as much less or more as its air is nearer to
    saturation or farther from it.
    """
    step_h = room.knot_h / 2.0
    hours = np.arange(0.0, room.hours + 2.0 * step_h, step_h)
    gone = np.zeros(len(hours))
    for case in room.porous:
        again = prepared(case.wet, staged)
        if not isinstance(again, Case):
            continue
        likely = courses_of(again)[0][1]
        left = np.array([likely.water_left_kg_m2(float(hour)) for hour in hours]) / likely.slab.thickness_m
        gone += (left[0] - left) * case.size.volume_m3
    rate = np.maximum(0.0, np.gradient(gone, step_h))
    ends, rhs = [one.until_h for one in staged.room], [one.rh for one in staged.room]

    def source(rh: float, hour: float) -> float:
        likely_rh = rhs[min(bisect_right(ends, hour), len(rhs) - 1)]
        pull = max(0.0, 1.0 - rh) / max(LEAST_PULL, 1.0 - likely_rh)
        return float(np.interp(hour, hours, rate)) * min(MOST_SWAY, pull)

    return source


def thinned(hours: Floats, values: Floats, close: float) -> tuple[tuple[float, float], ...]:
    """The knots of a line that is nowhere farther than ``close`` from the one given."""
    keep = {0, len(hours) - 1}
    open_parts = [(0, len(hours) - 1)]
    while open_parts:
        first, last = open_parts.pop()
        if last - first < 2:
            continue
        inside = slice(first + 1, last)
        line = np.interp(hours[inside], [hours[first], hours[last]], [values[first], values[last]])
        off = np.abs(values[inside] - line)
        worst = int(np.argmax(off))
        if off[worst] > close:
            middle = first + 1 + worst
            keep.add(middle)
            open_parts += [(first, middle), (middle, last)]
    return tuple((float(hours[k]), float(values[k])) for k in sorted(keep))
