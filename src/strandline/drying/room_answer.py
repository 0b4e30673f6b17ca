"""What the members of a shared room come to: bands of its humidity, its water day by day, what limits it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from strandline.drying.draws import Floats, band_of
from strandline.drying.forecast import sample_hours
from strandline.physics.coupled import SharedRoom, Together
from strandline.things.drying import Band, DryingQuestion
from strandline.things.shared_room import (
    HoursAbove,
    RoomBalance,
    RoomDay,
    SharedAir,
    SharedRoomForecast,
)

ABOVE = (0.65, 0.75, 0.95)
DAY_H = 24.0
MOST_RH = 1.5
DEW_PER_H = 20.0
"""So many times an hour, and as often for each change of the air, what is above saturation falls out as dew:
fast enough to hold the air within a few thousandths of saturation where its changes are few."""
INCOMING, GIVEN_OFF, BODIES = "incoming_air", "given_off", "bodies"


@dataclass(frozen=True, slots=True)
class RoomRun:
    """One member: its course, its room, what its machine takes at a humidity, what others gave off [kg/h]."""

    course: Together
    room: SharedRoom
    machine_kg_h: Callable[[float], float]
    source_kg_h: Callable[[float, float], float]


@dataclass(frozen=True, slots=True)
class RoomRuns:
    """All members, with what was asked and how many bodies are in it."""

    air: SharedAir
    question: DryingQuestion
    runs: Sequence[RoomRun]
    bodies: int
    by_formula: int
    sizes_not_given: int
    not_counted: int
    numbers: Mapping[str, Band]


@dataclass(frozen=True, slots=True)
class _Water:
    """Kilograms of one member from the start to the knots."""

    given: Floats
    air: Floats
    machine: Floats
    dew: Floats
    rise: Floats


def answer_of(all_of_it: RoomRuns) -> SharedRoomForecast:
    """The forecast of a room's air over its members."""
    question, runs = all_of_it.question, all_of_it.runs
    end = DAY_H * question.days
    hours = sample_hours(question.days)
    courses = [_within(one.course, end) for one in runs]
    at_hours = np.array([np.interp(hours, *course) for course in courses])
    low, mid, high = np.clip(np.percentile(at_hours, [5.0, 50.0, 95.0], axis=0), 0.0, 1.0)
    tops = [int(np.argmax(rh)) for _, rh in courses]
    down = np.array([_down_h(at, rh, question.target_rh) for at, rh in courses])
    share = float(np.mean(np.isfinite(down)))
    waters = [_water(one) for one in runs]
    takes = np.array([_takes_kg_h(one, question.target_rh, end) for one in runs])
    empty = np.array([_empty_rh(one, end) for one in runs])
    days = _days(runs, waters, end)
    return SharedRoomForecast(
        air=all_of_it.air,
        hours=tuple(map(float, hours)),
        rh=tuple((float(a), float(b), float(c)) for a, b, c in zip(low, mid, high, strict=True)),
        highest_rh=_share_band([rh[top] for top, (_, rh) in zip(tops, courses, strict=True)]),
        highest_at_h=band_of(np.array([at[top] for top, (at, _) in zip(tops, courses, strict=True)])),
        hours_above=tuple(
            HoursAbove(level, band_of(np.array([_hours_above(at, rh, level) for at, rh in courses])))
            for level in ABOVE
        ),
        target_rh=question.target_rh,
        target_hours=band_of(np.where(np.isfinite(down), down, end)) if share > 0.5 else None,
        target_share=share,
        takes_at_target_kg_day=band_of(DAY_H * takes),
        empty_rh=_share_band(empty),
        limit=_limit(float(np.median(empty)), question.target_rh, down),
        days=days,
        balance=_balance(runs, waters, end),
        bodies=all_of_it.bodies,
        by_formula=all_of_it.by_formula,
        sizes_not_given=all_of_it.sizes_not_given,
        not_counted=all_of_it.not_counted,
        numbers=dict(all_of_it.numbers),
    )


def _share_band(values: Sequence[float] | Floats) -> Band:
    """A band of humidities; air holds no more than all it can."""
    return band_of(np.clip(np.asarray(values), 0.0, 1.0))


def _within(course: Together, end: float) -> tuple[Floats, Floats]:
    """Hours and humidity up to the end that was asked for; the room may have been run a little longer."""
    inside = course.hours[course.hours < end]
    hours = np.concatenate((inside, [end]))
    return hours, np.interp(hours, course.hours, course.room_rh)


def _hours_above(hours: Floats, rh: Floats, level: float) -> float:
    """Hours above a level, each interval by the share of its line that is."""
    first, last, dt = rh[:-1] - level, rh[1:] - level, np.diff(hours)
    apart = np.where(first == last, 1.0, last - first)
    share = np.where(
        (first > 0.0) & (last > 0.0), 1.0,
        np.where((first <= 0.0) & (last <= 0.0), 0.0, np.maximum(first, last) / np.abs(apart)),
    )  # fmt: skip
    return float(np.sum(share * dt))


def _down_h(hours: Floats, rh: Floats, level: float) -> float:
    """The hour from which on it stays at or below a level; infinite if it is above it at the end."""
    above = np.flatnonzero(rh > level)
    if not len(above):
        return 0.0
    k = int(above[-1])
    if k == len(rh) - 1:
        return math.inf
    share = (rh[k] - level) / (rh[k] - rh[k + 1])
    return float(hours[k] + share * (hours[k + 1] - hours[k]))


def dew_kg_h(volume_m3: float, saturation_kg_m3: float, air_change_per_h: float, rh: float) -> float:
    """What falls out as dew in a room of this volume."""
    often = DEW_PER_H * (1.0 + air_change_per_h)
    return often * volume_m3 * saturation_kg_m3 * max(0.0, rh - 1.0)


def _blown_kg_h(room: SharedRoom, rh: float, hour: float) -> float:
    """Vapour that the air change carries out."""
    flow = room.air_change_per_h * room.volume_m3
    return flow * (room.saturation_kg_m3 * rh - room.outside_kg_m3(hour))


def _water(run: RoomRun) -> _Water:
    """The water of one member from the start to each knot, as the room's balance counts it."""
    course, room = run.course, run.room
    hours, rh = course.hours, course.room_rh
    pairs = list(zip(rh.tolist(), hours.tolist(), strict=True))
    blown = np.array([_blown_kg_h(room, value, hour) for value, hour in pairs])
    taken = np.array([run.machine_kg_h(value) for value, _ in pairs])
    full = (room.volume_m3, room.saturation_kg_m3)
    dew = np.array([dew_kg_h(*full, room.air_change_per_h, value) for value, _ in pairs])
    others = np.array([run.source_kg_h(value, hour) for value, hour in pairs])
    return _Water(
        np.cumsum(course.given_kg) + _summed(hours, others),
        _summed(hours, blown),
        _summed(hours, taken),
        _summed(hours, dew),
        full[0] * full[1] * (rh - rh[0]),
    )


def _summed(hours: Floats, rate: Floats) -> Floats:
    """The integral of a rate from the start, by trapezoids."""
    return np.concatenate(([0.0], np.cumsum(0.5 * (rate[1:] + rate[:-1]) * np.diff(hours))))


def _days(runs: Sequence[RoomRun], waters: Sequence[_Water], end: float) -> tuple[RoomDay, ...]:
    """The water of each day as bands."""
    ends = [DAY_H * day for day in range(1, math.ceil(end / DAY_H - 1e-9))] + [end]

    def bands(name: str) -> list[Band]:
        sums = [
            np.diff(np.interp([0.0, *ends], run.course.hours, getattr(water, name)))
            for run, water in zip(runs, waters, strict=True)
        ]
        return [band_of(column) for column in np.array(sums).T]

    columns = zip(ends, bands("given"), bands("air"), bands("machine"), strict=True)
    return tuple(RoomDay(*column) for column in columns)


def _balance(runs: Sequence[RoomRun], waters: Sequence[_Water], end: float) -> RoomBalance:
    """Means over the members of the whole time's water, and what does not add up."""

    def mean(name: str) -> float:
        at_end = [
            float(np.interp(end, run.course.hours, getattr(water, name)))
            for run, water in zip(runs, waters, strict=True)
        ]
        return float(np.mean(at_end))

    names = ("given", "rise", "air", "machine", "dew")
    given, rise, air, machine, dew = (mean(name) for name in names)
    return RoomBalance(given, rise, air, machine, dew, given - rise - air - machine - dew)


def _takes_kg_h(run: RoomRun, rh: float, hour: float) -> float:
    """What air change and machine take from air of a humidity."""
    return _blown_kg_h(run.room, rh, hour) + run.machine_kg_h(rh)


def _empty_rh(run: RoomRun, hour: float) -> float:
    """Where the room would settle without any bodies; where it started if nothing changes its air."""

    def takes(rh: float) -> float:
        return _takes_kg_h(run, rh, hour)

    if run.room.air_change_per_h == 0.0:
        return 0.0 if takes(run.room.start_rh) > 0.0 else run.room.start_rh
    if takes(MOST_RH) <= 0.0:
        return MOST_RH
    return float(brentq(takes, 0.0, MOST_RH)) if takes(0.0) < 0.0 else 0.0


def _limit(empty_rh: float, target_rh: float, down: Floats) -> str:
    """What keeps the room above the target, or, where it hardly is above, the bodies from drying."""
    if empty_rh > target_rh:
        return INCOMING
    return BODIES if float(np.median(down)) <= 0.0 else GIVEN_OFF
