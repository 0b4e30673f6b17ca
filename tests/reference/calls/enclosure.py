"""Calls for ``enclosure.csv``: sheets by key, units of packaging, covers as in the solver runs."""

from __future__ import annotations

from strandline.knowledge.covers import covers
from strandline.physics import enclosure
from strandline.physics.openings import neck_conductance_m3_s
from strandline.physics.vapour import diffusivity_schirmer_m2_s
from tests.reference.calls.openings import place_in_band

INCH_M = 0.0254


def perm_ng(perms: float) -> float:
    """Perms in ng/(s m2 Pa)."""
    return perms * enclosure.PERM_KG_M2_S_PA * 1e12


def resistance_of_mu(mu: float, thickness_m: float) -> float:
    """Vapour resistance in MN s/g of a layer with a resistance factor."""
    return enclosure.sd_from_mu_m(mu, thickness_m) / enclosure.sd_from_resistance_m(1.0)


def mu_of_resistance(resistance_mn_s_g: float, thickness_m: float) -> float:
    """Resistance factor of a layer with a vapour resistance."""
    return enclosure.sd_from_resistance_m(resistance_mn_s_g) / thickness_m


def packaging_place(sheet: str, g_mil_per_100_in2_day: float, thickness_m: float) -> float:
    """Where the still-air thickness of a packaging figure (38 degC, 90 %) lies in the band of a sheet."""
    mils = thickness_m / INCH_M * 1000.0
    g_m2_day = g_mil_per_100_in2_day / mils / (100.0 * INCH_M**2)
    return _place(sheet, enclosure.sd_from_transmission_m(g_m2_day, 38.0, 0.9))


def perm_place(sheet: str, perms: float) -> float:
    """Where the still-air thickness of a figure in perms lies in the band of a sheet."""
    return _place(sheet, enclosure.sd_from_permeance_m(perms * enclosure.PERM_KG_M2_S_PA))


def mu_place(sheet: str, mu: float, thickness_m: float) -> float:
    """Where the still-air thickness by a resistance factor lies in the band of a sheet."""
    return _place(sheet, enclosure.sd_from_mu_m(mu, thickness_m))


def _place(sheet: str, sd_m: float) -> float:
    known = covers()[sheet].sheet
    return place_in_band(sd_m, known.sd_low_m, known.sd_high_m)


def settled_loss_kg_s(
    body_rh: float, room_rh: float, body_m3_s: float, outer_m3_s: float, temp_c: float
) -> float:
    """Loss in the steady state."""
    inside = enclosure.cover_rh(body_rh, room_rh, body_m3_s, outer_m3_s)
    return enclosure.loss_kg_s(outer_m3_s, temp_c, inside, room_rh)


def bag_in_box_m3_s(bag_m3_s: float, box_m3_s: float) -> float:
    """A bag in a box."""
    return enclosure.series_m3_s([bag_m3_s, box_m3_s])


def daily_loss_g(opening_m2: float, gap_m: float, sheet_m2: float, sd_m: float, body_m3_s: float) -> float:
    """Grams a day of a wet body at 20 degC in a room at 50 %, by diffusion through one hole and the sheet."""
    outer = enclosure.parallel_m3_s(
        [
            neck_conductance_m3_s(opening_m2, gap_m, diffusivity_schirmer_m2_s(20.0)),
            enclosure.film_conductance_m3_s(sheet_m2, sd_m, 20.0),
        ]
    )
    return settled_loss_kg_s(1.0, 0.5, body_m3_s, outer, 20.0) * 8.64e7
