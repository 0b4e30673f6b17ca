"""A wet body under a cover: what humidity it makes there, what it loses, and how many openings that takes.

From the body to the room the vapour passes the film of air on the body, the air of the cover, and then side
by
side the openings and the sheet. While the surface is wet the air inside stays near 100 % whatever the
openings:
they set the pace, not the humidity. Only when the body itself holds the water back does the air get drier.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from strandline.physics.air import WATER_GAS_CONSTANT_J_KG_K, saturation_density_kg_m3, vapour_density_kg_m3
from strandline.physics.condensation import condensation_rate_kg_m2_s
from strandline.physics.openings import Band, Opening, opening_band_m3_s
from strandline.physics.ranges import within
from strandline.physics.vapour import diffusivity_schirmer_m2_s

AIR_PERMEABILITY_KG_M_S_PA = 2.0e-10
"""Vapour permeability of still air that the building trade rounds to (bs-5250)."""

PERM_KG_M2_S_PA = 5.72135e-11
"""One perm: a grain per hour, square foot and inch of mercury."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """What a cover is made of, as the still-air thickness that holds vapour back as well: low, mid, high."""

    key: str
    sd_low_m: float
    sd_mid_m: float
    sd_high_m: float

    def __post_init__(self) -> None:
        within("sd_low_m", self.sd_low_m, 1e-4, 1e6, "m")
        within("sd_mid_m", self.sd_mid_m, self.sd_low_m, 1e6, "m")
        within("sd_high_m", self.sd_high_m, self.sd_mid_m, 1e6, "m")


@dataclass(frozen=True, slots=True)
class Cover:
    """A cover: its sheet and area, the air under it, and the openings that were counted."""

    sheet: Sheet
    sheet_area_m2: float
    air_volume_m3: float
    openings: tuple[Opening, ...] = ()

    def __post_init__(self) -> None:
        within("sheet_area_m2", self.sheet_area_m2, 1e-4, 1e3, "m2")
        within("air_volume_m3", self.air_volume_m3, 1e-5, 1e3, "m3")


@dataclass(frozen=True, slots=True)
class Climate:
    """Air on both sides of a cover; the inside is what the weight of the air is reckoned with."""

    room_temp_c: float
    room_rh: float
    cover_temp_c: float
    cover_rh: float


@dataclass(frozen=True, slots=True)
class Counts:
    """How many openings: if each passes as much as it may (few), as is likely, or as little as it may
    (many)."""

    few: int
    likely: int
    many: int
    sheet_alone_suffices: bool


def sd_from_mu_m(mu: float, thickness_m: float) -> float:
    """Still-air thickness of a layer from its resistance factor [m].

    Equation: s_d = mu d.
    Source: iso-12572; sd-wert-note.
    Range: mu 1 to 1e7; below 0.1 m and above 1500 m measurements are unsure (iso-12572, scope).
    Doubt: that of mu.
    Raises: OutOfRange.

    >>> sd_from_mu_m(50.0, 0.04)
    2.0
    """
    return within("mu", mu, 1.0, 1e7) * within("thickness_m", thickness_m, 0.0, 10.0, "m")


def sd_from_resistance_m(
    resistance_mn_s_g: float, air_permeability_kg_m_s_pa: float = AIR_PERMEABILITY_KG_M_S_PA
) -> float:
    """Still-air thickness from a vapour resistance in MN s/g [m].

    Equation: s_d = Z delta_air; 1 MN s/g = 1e9 Pa m2 s/kg.
    Source: bs-5250.
    Range: above 0.
    Doubt: 3 %: the rounded permeability of air is that of 20 degC at the upper end.
    Raises: OutOfRange.

    >>> sd_from_resistance_m(60.0)
    12.0
    """
    return (
        within("resistance_mn_s_g", resistance_mn_s_g, 0.0, 1e7, "MN s/g") * 1e9 * air_permeability_kg_m_s_pa
    )


def sd_from_permeance_m(permeance_kg_m2_s_pa: float, temp_c: float = 23.0) -> float:
    """Still-air thickness from a permeance [m].

    Equation: s_d = D / (R_v T) / permeance.
    Source: iso-12572 (definition).
    Range: permeance above 0.
    Doubt: 8 %, by the diffusivity.
    Raises: OutOfRange.

    >>> round(sd_from_permeance_m(0.06 * PERM_KG_M2_S_PA))
    57
    """
    within("permeance_kg_m2_s_pa", permeance_kg_m2_s_pa, 1e-16, 1e-5, "kg/(m2 s Pa)")
    air = diffusivity_schirmer_m2_s(temp_c) / (WATER_GAS_CONSTANT_J_KG_K * (temp_c + 273.15))
    return air / permeance_kg_m2_s_pa


def sd_from_transmission_m(wvtr_g_m2_day: float, temp_c: float = 38.0, rh_difference: float = 0.9) -> float:
    """Still-air thickness from a packaging figure in grams per square metre and day [m].

    Equation: s_d = D rho_sat drh / g.
    Source: iso-12572 (definition), algebra; the usual test is at 38 degC with 90 % on one side.
    Range: 0.001 to 5000 g/(m2 day).
    Doubt: 8 %; in the cold a plastic film passes less than this carries over, by a factor of 2 at 10 degC.
    Raises: OutOfRange.

    >>> round(sd_from_transmission_m(20.0, 38.0, 0.9), 1)
    5.2
    """
    flux = within("wvtr_g_m2_day", wvtr_g_m2_day, 1e-3, 5000.0, "g/(m2 day)") / 1000.0 / 86400.0
    within("rh_difference", rh_difference, 0.01, 1.0)
    return diffusivity_schirmer_m2_s(temp_c) * saturation_density_kg_m3(temp_c) * rh_difference / flux


def film_flux_g_m2_day(sd_m: float, temp_c: float, rh_difference: float) -> float:
    """Vapour through a sheet, both sides at one temperature [g/(m2 day)].

    Equation: g = D rho_sat drh / s_d.
    Source: iso-12572 (definition), algebra.
    Range: s_d above 0.1 mm.
    Doubt: 8 % by the diffusivity, far more by the sheet.
    Raises: OutOfRange.

    >>> round(film_flux_g_m2_day(50.0, 38.0, 0.9), 2)
    2.1
    """
    within("sd_m", sd_m, 1e-4, 1e6, "m")
    within("rh_difference", rh_difference, -1.0, 1.0)
    flux = diffusivity_schirmer_m2_s(temp_c) * saturation_density_kg_m3(temp_c) * rh_difference / sd_m
    return flux * 1000.0 * 86400.0


def film_conductance_m3_s(area_m2: float, sd_m: float, temp_c: float) -> float:
    """Conductance of the whole sheet [m3/s].

    Equation: G = D A / s_d.
    Source: iso-12572 (definition).
    Range: s_d above 0.1 mm.
    Doubt: that of the sheet.
    Raises: OutOfRange.

    >>> round(film_conductance_m3_s(1.0, 50.0, 20.0) * 1e7, 2)
    5.24
    """
    within("area_m2", area_m2, 0.0, 1e3, "m2")
    return diffusivity_schirmer_m2_s(temp_c) * area_m2 / within("sd_m", sd_m, 1e-4, 1e6, "m")


def cover_rh(body_rh: float, room_rh: float, body_m3_s: float, outer_m3_s: float) -> float:
    """Relative humidity under a cover in the steady state, all at one temperature.

    Equation: h = (G_body h_body + G_outer h_room) / (G_body + G_outer).
    Source: series and parallel resistances, as in iso-13788 (recalled).
    Range: conductances not below 0, not both 0; humidities 0 to 1.
    Doubt: air under a cover is not mixed; a body colder than the room makes it drier than this.
    Raises: OutOfRange.

    >>> round(cover_rh(1.0, 0.5, 0.0015, 3.155e-6), 4)
    0.999
    """
    within("body_m3_s", body_m3_s, 0.0, 1e3, "m3/s")
    total = body_m3_s + within("outer_m3_s", outer_m3_s, 0.0, 1e3, "m3/s")
    within("sum of conductances", total, 1e-15, 1e4, "m3/s")
    within("body_rh", body_rh, 0.0, 1.0)
    return (body_m3_s * body_rh + outer_m3_s * within("room_rh", room_rh, 0.0, 1.0)) / total


def loss_kg_s(outer_m3_s: float, temp_c: float, cover_air_rh: float, room_rh: float) -> float:
    """Water that leaves a cover; below zero it enters [kg/s].

    Equation: m = G_outer rho_sat (h_cover - h_room).
    Source: series and parallel resistances, as in iso-13788 (recalled).
    Range: one temperature on both sides.
    Doubt: that of the conductance.
    Raises: OutOfRange.

    >>> round(loss_kg_s(3.15e-6, 20.0, 0.9988, 0.5) * 8.64e7, 2)
    2.35
    """
    within("outer_m3_s", outer_m3_s, 0.0, 1e3, "m3/s")
    difference = within("cover_air_rh", cover_air_rh, 0.0, 1.0) - within("room_rh", room_rh, 0.0, 1.0)
    return outer_m3_s * saturation_density_kg_m3(temp_c) * difference


def time_constant_s(air_volume_m3: float, body_m3_s: float, outer_m3_s: float) -> float:
    """Time in which the air under a cover makes two thirds of a change [s].

    Equation: tau = V / (G_body + G_outer).
    Source: balance of one volume, algebra.
    Range: conductances not both 0.
    Doubt: sheet, lining and packing hold water too and lengthen it to hours.
    Raises: OutOfRange.

    >>> round(time_constant_s(0.1, 0.0015, 3e-6), 1)
    66.5
    """
    within("air_volume_m3", air_volume_m3, 0.0, 1e3, "m3")
    return air_volume_m3 / within("sum of conductances", body_m3_s + outer_m3_s, 1e-15, 1e4, "m3/s")


def rh_after_s(
    start_rh: float,
    body_rh: float,
    room_rh: float,
    body_m3_s: float,
    outer_m3_s: float,
    air_volume_m3: float,
    seconds: float,
) -> float:
    """Relative humidity under a cover some time after a change, such as after it was opened and shut.

    Equation: h = h_end + (h_0 - h_end) exp(-t/tau).
    Source: balance of one volume, algebra.
    Range: as for the steady state.
    Doubt: as for the time constant.
    Raises: OutOfRange.

    >>> round(rh_after_s(0.5, 1.0, 0.5, 0.0015, 3e-6, 0.1, 66.5), 2)
    0.82
    """
    end = cover_rh(body_rh, room_rh, body_m3_s, outer_m3_s)
    tau = time_constant_s(air_volume_m3, body_m3_s, outer_m3_s)
    within("seconds", seconds, 0.0, 1e9, "s")
    return end + (within("start_rh", start_rh, 0.0, 1.0) - end) * math.exp(-seconds / tau)


def sheet_band_m3_s(cover: Cover, temp_c: float) -> Band:
    """Conductance of the sheet of a cover: low for its highest still-air thickness [m3/s].

    Equation: G = D A / s_d, three times.
    Source: iso-12572 (definition).
    Range: that of the sheet.
    Doubt: the band.
    Raises: OutOfRange.

    >>> bag = Cover(Sheet("bag", 10.0, 20.0, 40.0), 1.0, 0.1)
    >>> round(sheet_band_m3_s(bag, 20.0).mid * 1e6, 2)
    1.31
    """
    low, mid, high = (
        film_conductance_m3_s(cover.sheet_area_m2, sd_m, temp_c)
        for sd_m in (cover.sheet.sd_high_m, cover.sheet.sd_mid_m, cover.sheet.sd_low_m)
    )
    why = f"through the sheet itself ({cover.sheet.key}); sheets of one name differ"
    return Band(low, mid, high, "sheet", why)


def total_band(bands: Sequence[Band]) -> Band:
    """Several ways side by side as one band.

    Rule: lows, mids and highs are added; the regime and reason are those of the greatest mid.
    Source: none; a rule of this code.
    Range: bands of the same unit, at least one.
    Doubt: adding all lows and all highs makes the band wider than chance would.
    Raises: ValueError.

    >>> total_band([Band(1, 2, 3, "a", "b"), Band(0, 1, 5, "c", "d")])
    Band(low=1, mid=3, high=8, regime='a', why='b')
    """
    if not bands:
        raise ValueError("there is no band to add")
    lead = max(bands, key=lambda band: band.mid)
    return Band(
        sum(band.low for band in bands),
        sum(band.mid for band in bands),
        sum(band.high for band in bands),
        lead.regime,
        lead.why,
    )


def outer_band_m3_s(cover: Cover, climate: Climate, temp_doubt_k: float = 0.5) -> Band:
    """Conductance from the air of a cover to the room: openings and sheet side by side [m3/s].

    Rule: the bands are added; every kind of opening is taken by itself, so no draught from low to high.
    Source: series and parallel resistances; the sources of the openings.
    Range: 0 to 40 degC, no fan blowing at the cover.
    Doubt: openings far apart in height pass more (`pair_band_m3_s`).
    Raises: OutOfRange.

    >>> bag = Cover(Sheet("bag", 10.0, 20.0, 40.0), 1.0, 0.1)
    >>> outer_band_m3_s(bag, Climate(20.0, 0.5, 20.0, 0.95)).regime
    'sheet'
    """
    parts = [sheet_band_m3_s(cover, climate.cover_temp_c)]
    parts += [_one_opening(opening, climate, temp_doubt_k) for opening in cover.openings]
    return total_band(parts)


def _one_opening(opening: Opening, climate: Climate, temp_doubt_k: float) -> Band:
    return opening_band_m3_s(
        opening, climate.cover_temp_c, climate.cover_rh, climate.room_temp_c, climate.room_rh, temp_doubt_k
    )


def outer_conductance(cover: Cover, body_area_m2: float, climate: Climate, temp_doubt_k: float = 0.5) -> Band:
    """Conductance of a cover per square metre of body [m/s]: the flux is this times rho_sat times (h_cover -
    h_room).

    Equation: g = G_outer / A_body.
    Source: series and parallel resistances; the sources of the openings.
    Range: 0 to 40 degC, no fan blowing at the cover.
    Doubt: the band.
    Raises: OutOfRange.

    >>> bag = Cover(Sheet("bag", 10.0, 20.0, 40.0), 1.0, 0.1)
    >>> round(outer_conductance(bag, 0.5, Climate(20.0, 0.5, 20.0, 0.95)).mid * 1e6, 2)
    2.62
    """
    area_m2 = within("body_area_m2", body_area_m2, 1e-4, 1e3, "m2")
    return outer_band_m3_s(cover, climate, temp_doubt_k).times(1.0 / area_m2)


def openings_for(
    wanted_m_s: float,
    body_area_m2: float,
    cover: Cover,
    one: Opening,
    climate: Climate,
    temp_doubt_k: float = 0.5,
) -> Counts:
    """How many openings of one size give a wanted conductance per square metre of body.

    Rule: (wanted - what the cover passes as it is) / what one more passes, rounded; by high, mid and low.
    Source: the sources of the openings.
    Range: wanted 0 to 1 m/s; a kind of opening that passes something.
    Doubt: the three counts; begin with the few and look.
    Raises: OutOfRange.

    >>> from strandline.physics.openings import hole
    >>> bag = Cover(Sheet("bag", 10.0, 20.0, 40.0), 1.0, 0.1)
    >>> counts = openings_for(6e-6, 0.5, bag, hole(0.006, 0.0002, "side"), Climate(20.0, 0.5, 20.0, 0.95))
    >>> counts.few < counts.likely < counts.many
    True
    """
    wanted_m3_s = within("wanted_m_s", wanted_m_s, 0.0, 1.0, "m/s") * body_area_m2
    as_it_is = outer_band_m3_s(cover, climate, temp_doubt_k)
    each = _one_opening(
        Opening(one.kind, one.length_m, one.width_m, one.depth_m, one.place), climate, temp_doubt_k
    )

    def count(passed: float, per_one: float) -> int:
        return max(0, round((wanted_m3_s - passed) / per_one))

    few, likely, many = (
        count(passed, per_one)
        for passed, per_one in (
            (as_it_is.high, each.high),
            (as_it_is.mid, each.mid),
            (as_it_is.low, each.low),
        )
    )
    return Counts(few, likely, many, as_it_is.mid >= wanted_m3_s)


def air_condensed_kg(air_volume_m3: float, temp_c: float, rh: float, night_temp_c: float) -> float:
    """Water the air of a cover alone drops when it cools at night [kg]; always little.

    Equation: m = V max(0, rh rho_sat(t) - rho_sat(t_night)).
    Source: moran-shapiro-12 (example 12.8, the same balance).
    Range: -20 to 60 degC.
    Doubt: what the wet body feeds is many times more (`night_condensed_kg`).
    Raises: OutOfRange.

    >>> round(1000 * air_condensed_kg(0.1, 18.0, 0.98, 10.0), 2)
    0.57
    """
    within("air_volume_m3", air_volume_m3, 0.0, 1e3, "m3")
    within("night_temp_c", night_temp_c, -20.0, 60.0, "degC")
    return air_volume_m3 * max(0.0, vapour_density_kg_m3(temp_c, rh) - saturation_density_kg_m3(night_temp_c))


def night_condensed_kg(
    body_temp_c: float,
    body_rh: float,
    body_m3_s: float,
    sheet_temp_c: float,
    sheet_area_m2: float,
    hours: float,
    transfer_m_s: float = 0.003,
) -> float:
    """Water that a still warm, wet body feeds to the cold inside of its cover in some hours [kg]; a most.

    Equation: the films on body and sheet in series, driven by their difference of vapour pressure.
    Source: iso-13788 (the form, recalled).
    Range: -20 to 60 degC; openings left out.
    Doubt: a factor of two; the body cools too, within hours to a day.
    Raises: OutOfRange.

    >>> round(1000 * night_condensed_kg(18.0, 1.0, 0.0015, 10.0, 1.0, 1.0))
    23
    """
    within("hours", hours, 0.0, 1000.0, "h")
    within("sheet_temp_c", sheet_temp_c, -20.0, 60.0, "degC")
    sheet_m3_s = within("sheet_area_m2", sheet_area_m2, 1e-4, 1e3, "m2") * transfer_m_s
    body_m3_s = within("body_m3_s", body_m3_s, 1e-12, 1e3, "m3/s")
    share = body_m3_s / (body_m3_s + sheet_m3_s)
    rate = condensation_rate_kg_m2_s(sheet_temp_c, body_temp_c, body_rh, transfer_m_s)
    return rate * share * sheet_area_m2 * 3600.0 * hours


def wets_at_night(cover_temp_c: float, cover_air_rh: float, sheet_temp_c: float) -> bool:
    """Whether the inside of a cover gets wet when its sheet cools to a temperature.

    Rule: the sheet is at or below the dew point of the air inside.
    Source: ashrae-f17-1 eq. 36 (dew point).
    Range: -20 to 60 degC.
    Doubt: at 98 % inside, a third of a kelvin is enough.
    Raises: OutOfRange.

    >>> wets_at_night(18.0, 0.98, 17.5), wets_at_night(18.0, 0.9, 17.5)
    (True, False)
    """
    within("sheet_temp_c", sheet_temp_c, -20.0, 60.0, "degC")
    return vapour_density_kg_m3(cover_temp_c, cover_air_rh) * (cover_temp_c + 273.15) >= (
        saturation_density_kg_m3(sheet_temp_c) * (sheet_temp_c + 273.15)
    )


def parallel_m3_s(conductances_m3_s: Sequence[float]) -> float:
    """Conductances side by side [m3/s].

    Equation: a sum.
    Source: none; algebra.
    Range: none below 0.
    Doubt: none.
    Raises: OutOfRange.

    >>> parallel_m3_s([1.0, 2.0])
    3.0
    """
    return math.fsum(within("conductance", one, 0.0, 1e6, "m3/s") for one in conductances_m3_s)


def series_m3_s(conductances_m3_s: Sequence[float]) -> float:
    """Conductances one after the other, such as a bag in a box [m3/s].

    Equation: 1/G = sum 1/G_i.
    Source: none; algebra.
    Range: all above 0.
    Doubt: none.
    Raises: OutOfRange.

    >>> series_m3_s([2.0, 2.0])
    1.0
    """
    return 1.0 / math.fsum(1.0 / within("conductance", one, 1e-15, 1e6, "m3/s") for one in conductances_m3_s)
