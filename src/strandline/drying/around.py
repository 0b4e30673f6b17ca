"""What lies between a body and the air of its room: film, coating, cover."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from strandline.drying.draws import Band, Draws, Floats
from strandline.drying.shape import Size
from strandline.knowledge.covers import covers
from strandline.knowledge.wetting import coating_row, wetting
from strandline.physics.enclosure import Climate, Cover, outer_conductance
from strandline.physics.engine import OPEN_M_S
from strandline.physics.openings import Opening
from strandline.physics.vapour import diffusivity_schirmer_m2_s
from strandline.things.drying import Assumption, CoverState, DryingQuestion, Gap, Stretch, WetBody

COVER_RH = 0.95
SHEET_OVER_BODY, AIR_OVER_BODY_M = 1.6, 0.03
LEAST_SHEET_M2, LEAST_AIR_LITRES = 0.001, 0.05
OPEN_AIR_M, LEAST_OPEN_M2 = 0.01, 1e-4
NEAR_H = 0.05
"""A change nearer than this to the end of a stretch is made at that end."""


@dataclass(frozen=True, slots=True)
class Around:
    """For each stretch: members' conductances [m/s] at the surface and from the cover's air to the room, and
    the depth of that air."""

    surface_m_s: tuple[Floats, ...]
    outer_m_s: tuple[Floats, ...]
    air_depth_m: tuple[float, ...]
    assumed: tuple[Assumption, ...]
    regime: str


def with_changes(question: DryingQuestion, cover: CoverState | None) -> DryingQuestion:
    """The question with a stretch of its own for each state of a cover.

    Raises ValueError for changes that are not in order, or that follow the taking off.
    """
    changes = () if cover is None else cover.later
    hours = [0.0, *(change.from_h for change in changes)]
    if not all(before < after for before, after in pairwise(hours)):
        raise ValueError("each change of a cover comes later than the one before, and after now")
    if any(change.gaps is None for change in changes[:-1]):
        raise ValueError("a cover that was taken off is changed no more")
    room = []
    begin = 0.0
    for number, stretch in enumerate(question.room):
        last = number + 1 == len(question.room)
        end = max(stretch.until_h, hours[-1] + 1.0) if last else stretch.until_h
        room += [replace(stretch, until_h=hour) for hour in hours if begin + NEAR_H < hour < end - NEAR_H]
        room.append(replace(stretch, until_h=end))
        begin = end
    return replace(question, room=tuple(room))


def cover_at(cover: CoverState | None, hour: float) -> CoverState | None:
    """The cover as it stands from an hour on; None where there is none, or none any more."""
    if cover is None:
        return None
    gaps: tuple[Gap, ...] | None = cover.gaps
    for change in cover.later:
        if change.from_h <= hour + NEAR_H:
            gaps = change.gaps
    return None if gaps is None else replace(cover, gaps=gaps, later=())


def around(
    wet: WetBody, question: DryingQuestion, size: Size, draws: Draws, others: Sequence[Size] = ()
) -> Around:
    """The members' conductances for one body, each stretch of the room with one state of the cover.

    ``others``: further sizes that it may have. What a cover passes is shared out over the body, so that of a
    thin one it lets through more for each square metre: the band then holds that of each size.
    Raises KeyError for an unknown coating or sheet.
    """
    begins = [0.0, *(stretch.until_h for stretch in question.room[:-1])]
    covers_then = [cover_at(wet.cover, begin) for begin in begins]
    sd = draws.of("coating_sd_m", coating_row(wet.coating).bands["sd_m"])
    # A coating holds vapour back as this much still air would.
    coat = sd / diffusivity_schirmer_m2_s(question.room[0].temp_c)
    films = _films(question, begins, covers_then, draws)
    surface = tuple(1.0 / (1.0 / film + coat) for film in films)
    outer: list[Floats] = []
    depths: list[float] = []
    assumed: tuple[Assumption, ...] = ()
    regime, ranks = "open", None
    for number, (state, stretch) in enumerate(zip(covers_then, question.room, strict=True)):
        if state is None:
            outer.append(np.full(draws.members, OPEN_M_S))
            depths.append(OPEN_AIR_M)
            continue
        cover, assumed = cover_of(state, size)
        band, regime = _conductance(cover, size, stretch)
        held = [band, *(_conductance(cover_of(state, one)[0], one, stretch)[0] for one in others)]
        band = min(one[0] for one in held), band[1], max(one[2] for one in held)
        drawn = draws.of("cover_m_s" if ranks is None else f"cover_m_s from hour {begins[number]:g}", band)
        # One draw for all stretches: it is the same cover, known no better on another day.
        if ranks is None:
            ranks = np.argsort(np.argsort(drawn))
        outer.append(np.sort(drawn)[ranks])
        depths.append(cover.air_volume_m3 / size.open_m2)
    return Around(surface, tuple(outer), tuple(depths), assumed, regime)


def _films(
    question: DryingQuestion,
    begins: Sequence[float],
    covers_then: Sequence[CoverState | None],
    draws: Draws,
) -> list[Floats]:
    """Conductance of the film of air at the surface in each stretch.

    A fan in the room does not reach what lies under a cover.
    """
    found: dict[bool, Floats] = {}
    films = []
    for begin, state in zip(begins, covers_then, strict=True):
        moved = question.moving_air and state is None
        if moved not in found:
            band = wetting()["air"]["moving" if moved else "still"].bands["conductance_m_s"]
            drawn = draws.of(f"film_m_s from hour {begin:g}" if found else "film_m_s", band)
            ranks = [np.argsort(np.argsort(one)) for one in found.values()]
            found[moved] = np.sort(drawn)[ranks[0]] if ranks else drawn
        films.append(found[moved])
    return films


def cover_of(state: CoverState, size: Size) -> tuple[Cover, tuple[Assumption, ...]]:
    """The cover in the terms of physics, and what was assumed of it.  Raises KeyError for an unknown
    sheet."""
    assumed: list[Assumption] = []
    area, litres = state.sheet_area_m2, state.air_litres
    if area is None:
        area = max(SHEET_OVER_BODY * size.area_m2, LEAST_SHEET_M2)
        assumed.append(Assumption("sheet_area_m2", f"{area:.2g} m2", "1.6 times the body's surface", (), "c"))
    if litres is None:
        litres = max(1000.0 * AIR_OVER_BODY_M * size.area_m2, LEAST_AIR_LITRES)
        assumed.append(Assumption("air_litres", f"{litres:.2g} l", "3 cm of air around the body", (), "c"))
    if state.sheet not in covers():
        raise KeyError(f"cover '{state.sheet}' is not known; there are {', '.join(covers())}")
    sheet = covers()[state.sheet].sheet
    gaps = tuple(
        Opening(gap.kind, gap.length_mm / 1000, gap.width_mm / 1000, 0.0, gap.place, gap.count)
        for gap in state.gaps
    )
    return Cover(sheet, area, litres / 1000.0, gaps), tuple(assumed)


def _conductance(cover: Cover, size: Size, stretch: Stretch) -> tuple[Band, str]:
    """Outer conductance per open area of the body for one stretch of climate."""
    climate = Climate(stretch.temp_c, min(stretch.rh, 1.0), stretch.temp_c, COVER_RH)
    band = outer_conductance(cover, max(size.open_m2, LEAST_OPEN_M2), climate)
    return (band.low, band.mid, band.high), band.regime
