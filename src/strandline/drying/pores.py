"""Forecast of a body that dries through its pores in two stages: fast, likely and slow reading."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from strandline.drying.around import Around
from strandline.drying.draws import Draws, Floats, band_of
from strandline.drying.members import cooling
from strandline.drying.shape import Size, half_of
from strandline.drying.start import start_band
from strandline.drying.stuff import Other
from strandline.knowledge.bodies import WATER_KG_M3
from strandline.physics.capillary import MEASURED_C, PorousSlab, Segment, TwoStage, forecast_band
from strandline.physics.grid import SHAPES
from strandline.physics.isotherm import moisture_at
from strandline.physics.porous import water_drawn_in_kg_m2
from strandline.physics.surface import conductance_in_series_m_s
from strandline.things.drying import Assumption, Band, DryingQuestion, Reached, Series, WetBody

SECONDS_PER_HOUR = 3600.0
LEFT_SHARE = 0.02
"""The model lets all water go; the body is called at the target once its pores hold no more than this
share."""
ORDER = (2, 1, 0)
"""The fast reading has the high conductance, the slow the low one."""
LEAST_M_S = 1e-9


def pore_slabs(
    wet: WetBody, other: Other, size: Size, draws: Draws
) -> tuple[list[PorousSlab], list[Assumption]]:
    """The body as slabs with their water: fast, likely and slow reading, and what was assumed.

    A cylinder or sphere is the slab that its front crosses in the same time. Raises ValueError for weights
    that cannot be.
    """
    body = other.body
    half_m = size.half_m / math.sqrt(SHAPES.index(wet.shape) + 1)
    slabs = list(body.slabs(half_m * wet.faces, wet.faces))
    if wet.thickness_band_mm is not None:
        # The fast reading is as thin as such a thing may be, the slow one as thick.
        ratios = [half_of(wet, mm) / size.half_m for mm in wet.thickness_band_mm]
        slabs = [replace(one, thickness_m=r * one.thickness_m) for one, r in zip(slabs, ratios, strict=True)]
    for name in ("dry_kg_m3", "free_saturation_kg_m3", "critical_kg_m3", "mu"):
        band = getattr(body, name)
        draws.bands[name] = (band.low, band.mid, band.high)
    draws.bands["second_stage_mm2_h"] = _second_stages_mm2_h(slabs)
    volume_m3 = size.volume_m3 if size.known else None
    weighed = wet.wet_mass_g is not None and (wet.dry_mass_g is not None or volume_m3 is not None)
    if wet.moisture is None and not weighed and wet.under_water_h is not None:
        return _from_hours(slabs, wet, other, wet.under_water_h)
    density = (body.dry_kg_m3.low, body.dry_kg_m3.mid, body.dry_kg_m3.high)
    band, told = start_band(wet, other, density, half_m, volume_m3)
    if wet.moisture is None and not weighed:
        return slabs, told
    most = WATER_KG_M3 * body.porosity.high if body.porosity else WATER_KG_M3
    held = [min(u * d, most) for u, d in zip(band, density[::-1], strict=True)]
    return [replace(slab, start_kg_m3=water) for slab, water in zip(slabs, held, strict=True)], told


def _second_stages_mm2_h(slabs: Sequence[PorousSlab]) -> Band:
    """Diffusivity of the second stage of the three readings, in dry air at 25 degC."""
    low, mid, high = sorted(SECONDS_PER_HOUR * 1e6 * slab.second_stage_m2_s(MEASURED_C) for slab in slabs)
    return low, mid, high


def _from_hours(
    slabs: list[PorousSlab], wet: WetBody, other: Other, under_h: float
) -> tuple[list[PorousSlab], list[Assumption]]:
    """Water drawn in by the square root of time through bare faces."""
    drawn = other.body.absorption_kg_m2_s05
    if drawn is None:
        return slabs, []
    seconds = max(1.0, under_h * SECONDS_PER_HOUR)
    round_off = rounding(wet.shape)
    found = [
        replace(
            slab,
            start_kg_m3=water_drawn_in_kg_m2(round_off * a, slab.start_kg_m3, slab.depth_m, seconds)
            / slab.depth_m,
        )
        for slab, a in zip(slabs, (drawn.low, drawn.mid, drawn.high), strict=True)
    ]
    value = f"{found[0].start_kg_m3:.3g} to {found[2].start_kg_m3:.3g} kg/m3"
    why = f"from {under_h:g} h under water, by the square root of time, as if bare"
    return found, [Assumption("start_moisture", value, why, (), "m")]


def rounding(shape: str) -> float:
    """How much more surface a round body has for its volume than the slab that stands for it."""
    return math.sqrt(SHAPES.index(shape) + 1)


def pore_courses(
    wet: WetBody, slabs: Sequence[PorousSlab], question: DryingQuestion, around: Around
) -> list[TwoStage]:
    """The three readings, fastest first."""
    films, outer = ([band_of(values) for values in one] for one in (around.surface_m_s, around.outer_m_s))
    starts = [0.0, *(stretch.until_h for stretch in question.room[:-1])]
    round_off = rounding(wet.shape)
    readings = []
    for place in ORDER:
        segments = []
        for begin, stretch, film, one in zip(starts, question.room, films, outer, strict=True):
            both = round_off * conductance_in_series_m_s(film[place], one[place])
            # What evaporates cools the wet face, and a colder face gives off less.
            slowed = both / (1.0 + cooling(film[place], one[place], stretch.temp_c))
            hours = max(1e-3, min(stretch.until_h, 1e5) - begin)
            segments.append(Segment(hours, stretch.temp_c, stretch.rh, max(slowed, LEAST_M_S)))
        readings.append(segments)
    return [forecast_band(slabs, segments)[number] for number, segments in enumerate(readings)]


def pore_series(courses: Sequence[TwoStage], other: Other, hours: Floats) -> Series:
    """Mean moisture at the hours, low to high; the surface is not reckoned by this model."""
    body = other.body
    densities = (body.dry_kg_m3.low, body.dry_kg_m3.mid, body.dry_kg_m3.high)
    rows: list[Band] = []
    for hour in hours:
        left = [
            one.water_left_kg_m2(float(hour)) / (one.slab.thickness_m * density)
            for one, density in zip(courses, densities[::-1], strict=True)
        ]
        low, mid, high = sorted(left)
        rows.append((low, mid, high))
    return Series(tuple(map(float, hours)), tuple(rows), (), (), (), (), None)


def pore_reached(courses: Sequence[TwoStage], other: Other, question: DryingQuestion) -> Reached:
    """When all but a small share of the water has gone, in a room that lets the body come so far."""
    body = other.body
    target, end = body.moisture(question.target_rh), 24.0 * question.days
    held = moisture_at(body.isotherm, question.target_rh)
    there = all(one.slab.start_kg_m3 <= held * body.dry_kg_m3.mid for one in courses)
    found = [0.0 if there else _room_allows(one.hours_until(LEFT_SHARE), question) for one in courses]
    share = sum(hour <= end for hour in found) / len(found)
    band: Band | None = None
    if share > 0.5:
        # A reading that never arrives counts as the end of the time looked at, and the share says so.
        low, mid, high = sorted(hour if math.isfinite(hour) else end for hour in found)
        band = (low, mid, high)
    return Reached(question.target_rh, (target.low, held, target.high), band, share)


def _room_allows(hour: float, question: DryingQuestion) -> float:
    """The hour itself, or the first one after it at which the room is as dry as the target."""
    begin = 0.0
    for number, stretch in enumerate(question.room):
        end = stretch.until_h if number + 1 < len(question.room) else math.inf
        if hour < end and stretch.rh <= question.target_rh:
            return max(hour, begin)
        begin = end
    return math.inf
