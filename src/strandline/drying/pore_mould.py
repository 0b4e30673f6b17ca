"""Mould on a body that dries through its pores: the air at its face, and three readings of the index."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from strandline.drying.draws import Draws, Floats
from strandline.drying.reading import (
    MOULD_PACE,
    MOULD_SURFACES,
    OTHER_SURFACE,
    PRACTICE_STEP_H,
    even_climates,
    grown,
    practice_of,
    temperatures,
)
from strandline.drying.stuff import Other
from strandline.physics.capillary import Segment, TwoStage
from strandline.physics.mould import MouldState, advance, practice_rule
from strandline.things.drying import Band, DryingQuestion, MouldForecast, WetBody

ORGANIC_COATS = frozenset(("painted", "glued"))
"""Surfaces that feed mould whatever lies below."""


def face_rh(course: TwoStage, hours: Floats) -> Floats:
    """Relative humidity of the air that touches the face, shape (hours).

    While the face is wet, saturated. Then vapour comes from the front through the dry rim, and the air at the
    face stands between the two by their resistances; once the pores are empty, it is the room's.
    """
    starts = np.array(course.starts_h)
    found = []
    for hour in map(float, hours):
        segment = course.segments[max(0, int(np.searchsorted(starts, hour, side="right")) - 1)]
        found.append(_at_depth(course, segment, course.dry_depth_m(hour)))
    return np.array(found)


def _at_depth(course: TwoStage, segment: Segment, dry_m: float) -> float:
    """The same with the front at a depth."""
    empty = dry_m >= course.slab.depth_m * (1.0 - 1e-9) or course.slab.front_kg_m3 <= 0.0
    if empty or segment.rh >= 1.0:
        return segment.rh
    film_s_m = 1.0 / segment.transfer_m_s
    rim_s_m = course.slab.rim_s_m2(segment.temp_c) * dry_m
    return segment.rh + (1.0 - segment.rh) * film_s_m / (film_s_m + rim_s_m)


def pore_mould(
    wet: WetBody,
    other: Other,
    courses: Sequence[TwoStage],
    question: DryingQuestion,
    hours: Floats,
    draws: Draws,
) -> MouldForecast:
    """The index of the fast reading at the slow pace, of the likely, and of the slow one at the quick pace,
    with the rule of practice for its surfaces.

    Both clocks run from the hour it came out of the water: until now its surface is taken as wet.
    """
    surface = surface_of(wet, other)
    draws.bands["mould_pace"] = MOULD_PACE
    temps = temperatures(question.room, hours)
    ends, tops, firsts, verdicts = [], [], [], []
    for course, pace in zip(courses, MOULD_PACE, strict=True):
        rh = face_rh(course, hours)
        begin = advance(MouldState(), float(temps[0]), 1.0, pace * wet.out_h, surface)
        end, top, first = grown(hours, temps, rh, surface, begin, pace)
        ends.append(end)
        tops.append(top)
        firsts.append(first)
        climates = even_climates(wet.out_h, hours, temps, rh)
        verdicts.append(practice_rule(climates, PRACTICE_STEP_H, wet.surfaces))
    share = sum(map(math.isfinite, firsts)) / len(firsts)
    first_band = _band([min(one, float(hours[-1])) for one in firsts]) if share > 0.5 else None
    return MouldForecast(
        surface, _band(ends), _band(tops), first_band, share,
        *practice_of(verdicts, wet.out_h + float(hours[-1])),
    )  # fmt: skip


def surface_of(wet: WetBody, other: Other) -> str:
    """The class of sensitivity: paint and glue count as what they are, not as what they lie on."""
    if wet.painted or ORGANIC_COATS & set(wet.surfaces):
        return OTHER_SURFACE
    return MOULD_SURFACES.get(other.body.family, OTHER_SURFACE)


def _band(values: Sequence[float]) -> Band:
    low, mid, high = sorted(values)
    return low, mid, high
