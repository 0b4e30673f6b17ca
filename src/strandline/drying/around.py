"""What lies between a body and the air of its room: film, coating, cover."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strandline.drying.draws import Band, Draws, Floats
from strandline.drying.shape import Size
from strandline.knowledge.covers import covers
from strandline.knowledge.wetting import coating_row, wetting
from strandline.physics.enclosure import Climate, Cover, outer_conductance
from strandline.physics.engine import OPEN_M_S
from strandline.physics.openings import Opening
from strandline.physics.vapour import diffusivity_schirmer_m2_s
from strandline.things.drying import Assumption, CoverState, DryingQuestion, Stretch, WetBody

COVER_RH = 0.95
SHEET_OVER_BODY, AIR_OVER_BODY_M = 1.6, 0.03
LEAST_SHEET_M2, LEAST_AIR_LITRES = 0.001, 0.05
OPEN_AIR_M = 0.01


@dataclass(frozen=True, slots=True)
class Around:
    """Members' conductances [m/s]: at the surface, and from the cover's air to the room for each stretch."""

    surface_m_s: Floats
    outer_m_s: tuple[Floats, ...]
    air_depth_m: float
    assumed: tuple[Assumption, ...]
    regime: str


def around(wet: WetBody, question: DryingQuestion, size: Size, draws: Draws) -> Around:
    """The members' conductances for one body.  Raises KeyError for an unknown coating or sheet."""
    # A fan in the room does not reach what lies under a cover.
    moved = question.moving_air and wet.cover is None
    film = draws.of("film_m_s", wetting()["air"]["moving" if moved else "still"].bands["conductance_m_s"])
    sd = draws.of("coating_sd_m", coating_row(wet.coating).bands["sd_m"])
    # A coating holds vapour back as this much still air would.
    surface = 1.0 / (1.0 / film + sd / diffusivity_schirmer_m2_s(question.room[0].temp_c))
    if wet.cover is None:
        open_to = tuple(np.full(draws.members, OPEN_M_S) for _ in question.room)
        return Around(surface, open_to, OPEN_AIR_M, (), "open")
    cover, assumed = cover_of(wet.cover, size)
    outer = []
    regime = ""
    for number, stretch in enumerate(question.room):
        band, regime = _conductance(cover, size, stretch)
        # One draw for all stretches: it is the same cover, known no better on another day.
        outer.append(draws.of("cover_m_s" if number == 0 else f"cover_m_s in stretch {number + 1}", band))
    ranks = np.argsort(np.argsort(outer[0]))
    outer = [np.sort(values)[ranks] for values in outer]
    return Around(surface, tuple(outer), cover.air_volume_m3 / size.open_m2, assumed, regime)


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
    band = outer_conductance(cover, size.open_m2, climate)
    return (band.low, band.mid, band.high), band.regime
