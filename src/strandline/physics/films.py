"""Water that lies free: a film on a surface, a full crevice, a meniscus; and warm air on bare metal.

A film dries between two bounds. If the object feeds it with heat it stays at air temperature and dries
fastest; if only the air feeds it, it cools to the wet bulb and dries slowest. A crevice dries by vapour that
has to climb out through still air, so twice the depth takes four times as long.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from strandline.physics.air import (
    KELVIN,
    STANDARD_PRESSURE_PA,
    WATER_GAS_CONSTANT_J_KG_K,
    humidity_ratio,
    latent_heat_j_kg,
    saturation_density_kg_m3,
    saturation_pressure_pa,
    vapour_density_kg_m3,
    water_density_kg_m3,
    wet_bulb_c,
)
from strandline.physics.ranges import within
from strandline.physics.vapour import diffusivity_schirmer_m2_s

GRAVITY_M_S2 = 9.80665

WARM_AIR_MAX_BARE_METAL_C = 38.0
"""Warmest air on bare metal; common practice, no published source."""
WARM_AIR_MAX_OTHERWISE_C: float | None = None
"""No warm air where anything organic, painted, glued or filled is present; common practice, unpublished."""
DRAINED_FILM_M = 1e-4
"""Film left on a smooth wetted surface after draining, 0.1 mm; common practice, no published source."""
BLOTTED_SHARE_LEFT = (0.1, 0.3)
"""Share of a drained film left after blotting; common practice, no published source."""
LUMPED_BIOT = 0.1
"""Below this Biot number a body has one temperature throughout (incropera-5 eq. 5.10, recalled)."""


@dataclass(frozen=True, slots=True)
class FilmTime:
    """Hours until a film has gone: at air temperature, and at the wet bulb."""

    isothermal_h: float
    adiabatic_h: float


def _checked_air(temp_c: float, rh: float, warmest_c: float) -> None:
    within("temp_c", temp_c, 0.01, warmest_c, "degC")
    within("rh", rh, 0.0, 0.999)


def film_drying_time(
    film_m: float, conductance_m_s: float, temp_c: float, rh: float, pressure_pa: float = STANDARD_PRESSURE_PA
) -> FilmTime:
    """How long a free film of water takes to dry, as a bracket: fed with heat, and fed by the air alone.

    Equation: t = rho_w d / {k [rho_sat(t_s) - rh rho_sat(t)]}, t_s the air temperature or the wet bulb.
    Source: incropera-6 eq. 6.53; ashrae-f17-1 eq. 33 for the wet bulb.
    Range: 0 to 20 mm, 1e-6 to 0.2 m/s, 0.01 to 90 degC, rh 0 to 0.999, wet bulb above 0 degC.
    Doubt: the truth lies between the two, near the first on thick metal or stone; scales with 1/conductance.
    Raises: OutOfRange.

    >>> both = film_drying_time(1e-4, 0.005, 20.0, 0.5)
    >>> round(both.isothermal_h, 2), round(both.adiabatic_h, 1)
    (0.64, 1.7)
    """
    within("film_m", film_m, 0.0, 0.02, "m")
    within("conductance_m_s", conductance_m_s, 1e-6, 0.2, "m/s")
    _checked_air(temp_c, rh, 90.0)
    cooled_c = within("wet bulb", wet_bulb_c(temp_c, rh, pressure_pa), 0.0, 90.0, "degC")
    mass_kg_m2 = film_m * water_density_kg_m3(temp_c)
    room = vapour_density_kg_m3(temp_c, rh)

    def hours(surface_c: float) -> float:
        return mass_kg_m2 / (conductance_m_s * (saturation_density_kg_m3(surface_c) - room)) / 3600.0

    return FilmTime(hours(temp_c), hours(cooled_c))


def blotted_film_m(film_m: float, share_left: float) -> float:
    """Thickness of the film left after blotting [m].

    Rule: film times the share left; BLOTTED_SHARE_LEFT gives the usual shares.
    Source: none; common practice, no published source.
    Range: 0 to 20 mm, share 0 to 1.
    Doubt: a factor 3; weigh one object before and after. Grooves and textures keep more.
    Raises: OutOfRange.

    >>> round(1e6 * blotted_film_m(DRAINED_FILM_M, 0.2), 1)
    20.0
    """
    return within("film_m", film_m, 0.0, 0.02, "m") * within("share_left", share_left, 0.0, 1.0)


def _log_drive(temp_c: float, rh: float, pressure_pa: float) -> float:
    """ln[(p - p_room) / (p - p_surface)], the drive of Stefan's diffusion."""
    within("pressure_pa", pressure_pa, 20000.0, 120000.0, "Pa")
    full = within("vapour pressure", saturation_pressure_pa(temp_c), 0.0, 0.95 * pressure_pa, "Pa")
    return math.log((pressure_pa - rh * full) / (pressure_pa - full))


def stefan_flux_kg_m2_s(
    depth_m: float,
    temp_c: float,
    rh: float,
    pressure_pa: float = STANDARD_PRESSURE_PA,
    diffusivity_m2_s: float = 0.0,
) -> float:
    """Vapour leaving a straight crevice or tube whose water stands at this depth [kg/(m2 s)].

    Equation: N = p D / (R_v T L) ln[(p - p_room) / (p - p_sat)]; D is Schirmer's unless a value is given.
    Source: stefan-1874; incropera-14, cengel-14 (textbook form).
    Range: 0.1 mm to 2 m, 0.01 to 95 degC, rh 0 to 0.999, 20 to 120 kPa.
    Doubt: 8 % from the diffusivity; corners and rough walls wick water up and can be ten times faster.
    Raises: OutOfRange.

    >>> round(1e5 * stefan_flux_kg_m2_s(0.01, 20.0, 0.5), 3)
    2.305
    """
    within("depth_m", depth_m, 1e-4, 2.0, "m")
    _checked_air(temp_c, rh, 95.0)
    within("diffusivity_m2_s", diffusivity_m2_s, 0.0, 1e-3, "m2/s")
    diffusivity = diffusivity_m2_s or diffusivity_schirmer_m2_s(temp_c, pressure_pa)
    carrier = pressure_pa * diffusivity / (WATER_GAS_CONSTANT_J_KG_K * (temp_c + KELVIN) * depth_m)
    return carrier * _log_drive(temp_c, rh, pressure_pa)


def crevice_drying_time_h(
    depth_m: float,
    temp_c: float,
    rh: float,
    pressure_pa: float = STANDARD_PRESSURE_PA,
    diffusivity_m2_s: float = 0.0,
) -> float:
    """Hours until a straight crevice that was full to the brim is dry to its bottom.

    Equation: t = rho_w L0^2 R_v T / {2 p D ln[(p - p_room) / (p - p_sat)]}.
    Source: stefan-1874, integrated with a falling meniscus.
    Range: 0.1 mm to 2 m, 0.01 to 95 degC, rh 0 to 0.999, 20 to 120 kPa.
    Doubt: an upper bound: corners that wick, or a liquid supply behind, keep the meniscus at the mouth.
    Raises: OutOfRange.

    >>> round(crevice_drying_time_h(0.01, 20.0, 0.5) / 24.0, 1)
    2.5
    """
    flux = stefan_flux_kg_m2_s(depth_m, temp_c, rh, pressure_pa, diffusivity_m2_s)
    return water_density_kg_m3(temp_c) * depth_m / (2.0 * flux) / 3600.0


def surface_tension_n_m(temp_c: float) -> float:
    """Surface tension of clean water against air [N/m].

    Equation: 0.2358 s^1.256 (1 - 0.625 s), s = 1 - T/647.096.
    Source: iapws-r1-76 (recalled).
    Range: 0.01 to 200 degC.
    Doubt: 0.5 % for clean water; a trace of soap, oil or sewage lowers it by a third to a half.
    Raises: OutOfRange.

    >>> round(1000.0 * surface_tension_n_m(20.0), 1)
    72.7
    """
    share = 1.0 - (within("temp_c", temp_c, 0.01, 200.0, "degC") + KELVIN) / 647.096
    return float(0.2358 * share**1.256 * (1.0 - 0.625 * share))


def capillary_rise_slot_m(gap_m: float, temp_c: float, contact_angle_deg: float = 0.0) -> float:
    """Height to which a slot between parallel walls holds water against its weight [m].

    Equation: h = 2 sigma cos(theta) / (rho g w).
    Source: byjus-plates; textbook form for parallel plates.
    Range: 1 um to 2 mm, 0.01 to 95 degC, angle 0 to 89 degrees.
    Doubt: clean water and walls; dirty water rises half as high. Above 2 mm the meniscus is no longer round.
    Raises: OutOfRange.

    >>> round(1000.0 * capillary_rise_slot_m(0.001, 20.0), 1)
    14.9
    """
    within("gap_m", gap_m, 1e-6, 0.002, "m")
    within("contact_angle_deg", contact_angle_deg, 0.0, 89.0, "degrees")
    pull = 2.0 * surface_tension_n_m(temp_c) * math.cos(math.radians(contact_angle_deg))
    return pull / (water_density_kg_m3(temp_c) * GRAVITY_M_S2 * gap_m)


def kelvin_radius_m(rh: float, temp_c: float) -> float:
    """Radius of a round meniscus in balance with air of this humidity [m]: finer pores stay full.

    Equation: r = 2 sigma / (rho R_v T ln(1/rh)).
    Source: kelvin-1871, textbook form (sklogwiki-kelvin).
    Range: rh 0.3 to 0.99999, 0.01 to 95 degC.
    Doubt: checked by experiment from about 4 nm up; below that the equation is stretched.
    Raises: OutOfRange.

    >>> round(1e9 * kelvin_radius_m(0.9, 20.0), 1)
    10.2
    """
    within("rh", rh, 0.3, 0.99999)
    within("temp_c", temp_c, 0.01, 95.0, "degC")
    drop_pa = water_density_kg_m3(temp_c) * WATER_GAS_CONSTANT_J_KG_K * (temp_c + KELVIN) * -math.log(rh)
    return 2.0 * surface_tension_n_m(temp_c) / drop_pa


def kelvin_slot_gap_m(rh: float, temp_c: float) -> float:
    """Width of a slot between parallel walls that stays full in air of this humidity [m].

    Equation: curved one way only, the meniscus has half the radius of a round one; the gap is two radii.
    Source: kelvin-1871; fisher-1981 for the one-way curved meniscus between surfaces.
    Range: rh 0.3 to 0.99999, 0.01 to 95 degC.
    Doubt: that of the round form; the adsorbed film widens it by a few nm.
    Raises: OutOfRange.

    >>> round(1e9 * kelvin_slot_gap_m(0.9, 20.0), 1)
    10.2
    """
    return kelvin_radius_m(rh, temp_c)


def pool_evaporation_carrier_kg_m2_s(
    air_speed_m_s: float, water_temp_c: float, temp_c: float, rh: float
) -> float:
    """Water given off by an open pool [kg/(m2 s)], the form with vapour pressures.

    Equation: (0.089 + 0.0782 V)(p_w - p_a) / Y, pressures in kPa, Y the latent heat in kJ/kg.
    Source: carrier-1918; as given in answers-pool.
    Range: none given by the source; held here to 0 to 5 m/s and 0.01 to 60 degC.
    Doubt: for pools; 1.0 to 1.5 times a film of conductance 0.005 m/s at 0.1 to 0.5 m/s.
    Raises: OutOfRange.

    >>> round(3600.0 * pool_evaporation_carrier_kg_m2_s(0.1, 25.0, 25.0, 0.5), 3)
    0.226
    """
    within("air_speed_m_s", air_speed_m_s, 0.0, 5.0, "m/s")
    _checked_air(temp_c, rh, 60.0)
    within("water_temp_c", water_temp_c, 0.01, 60.0, "degC")
    drive_kpa = (saturation_pressure_pa(water_temp_c) - rh * saturation_pressure_pa(temp_c)) / 1000.0
    return (0.089 + 0.0782 * air_speed_m_s) * drive_kpa / (latent_heat_j_kg(water_temp_c) / 1000.0)


def pool_evaporation_ratio_kg_m2_s(
    air_speed_m_s: float, water_temp_c: float, temp_c: float, rh: float
) -> float:
    """Water given off by an open pool [kg/(m2 s)], the form with humidity ratios.

    Equation: (25 + 19 V)(W_sat - W) / 3600.
    Source: engtoolbox-pool.
    Range: none given by the source; held here to 0 to 5 m/s and 0.01 to 60 degC.
    Doubt: for pools; 1.2 to 1.9 times a film of conductance 0.005 m/s at 0.1 to 0.5 m/s.
    Raises: OutOfRange.

    >>> round(3600.0 * pool_evaporation_ratio_kg_m2_s(0.5, 25.0, 25.0, 0.5), 2)
    0.35
    """
    within("air_speed_m_s", air_speed_m_s, 0.0, 5.0, "m/s")
    _checked_air(temp_c, rh, 60.0)
    within("water_temp_c", water_temp_c, 0.01, 60.0, "degC")
    drive = humidity_ratio(water_temp_c, 1.0) - humidity_ratio(temp_c, rh)
    return (25.0 + 19.0 * air_speed_m_s) * drive / 3600.0


def drying_heat_j_m2(film_m: float, temp_c: float) -> float:
    """Heat that has to reach a square metre to evaporate a film [J/m2].

    Equation: q = rho_w d L.
    Source: definition of the latent heat (iapws-sr1-86).
    Range: 0 to 20 mm, 0.01 to 95 degC.
    Doubt: 0.1 % for free water.
    Raises: OutOfRange.

    >>> round(drying_heat_j_m2(1e-4, 20.0) / 1000.0, 0)
    245.0
    """
    within("film_m", film_m, 0.0, 0.02, "m")
    within("temp_c", temp_c, 0.01, 95.0, "degC")
    return film_m * water_density_kg_m3(temp_c) * latent_heat_j_kg(temp_c)


def drying_power_w(water_kg_h: float, temp_c: float) -> float:
    """Heat that evaporation of so much water per hour takes [W].

    Equation: P = m L / 3600.
    Source: definition of the latent heat (iapws-sr1-86).
    Range: 0 to 1000 kg/h, 0.01 to 95 degC.
    Doubt: 0.1 %; the room has to replace this heat or it cools.
    Raises: OutOfRange.

    >>> round(drying_power_w(0.5, 20.0))
    341
    """
    within("temp_c", temp_c, 0.01, 95.0, "degC")
    return within("water_kg_h", water_kg_h, 0.0, 1000.0, "kg/h") * latent_heat_j_kg(temp_c) / 3600.0


def biot_number(heat_transfer_w_m2_k: float, half_thickness_m: float, conductivity_w_m_k: float) -> float:
    """Resistance to heat inside a body over that of the air around it; below LUMPED_BIOT one temperature.

    Equation: Bi = h L / lambda.
    Source: incropera-5 eq. 5.10 (recalled).
    Range: 0 to 500 W/(m2 K), 0 to 2 m, 0.01 to 500 W/(m K).
    Doubt: none but the inputs.
    Raises: OutOfRange.

    >>> round(biot_number(25.0, 0.01, 50.0), 4)
    0.005
    """
    within("heat_transfer_w_m2_k", heat_transfer_w_m2_k, 0.0, 500.0, "W/(m2 K)")
    within("half_thickness_m", half_thickness_m, 0.0, 2.0, "m")
    within("conductivity_w_m_k", conductivity_w_m_k, 0.01, 500.0, "W/(m K)")
    return heat_transfer_w_m2_k * half_thickness_m / conductivity_w_m_k


def warming_time_h(
    heat_transfer_w_m2_k: float, half_thickness_m: float, heat_j_m3_k: float, share_left: float
) -> float:
    """Hours for a dry body of one temperature to come within this share of its first distance from the air.

    Equation: t = rho c L / h ln(1/share), L half thickness with both faces in the air.
    Source: incropera-5 eq. 5.6 (lumped capacitance, recalled).
    Range: 0.1 to 500 W/(m2 K), 0 to 0.5 m, 1e5 to 5e6 J/(m3 K), share 0.001 to 1.
    Doubt: holds where the Biot number is below LUMPED_BIOT; a wet face lags behind.
    Raises: OutOfRange.

    >>> round(warming_time_h(10.0, 0.005, 3.6e6, 0.1), 2)
    1.15
    """
    within("heat_transfer_w_m2_k", heat_transfer_w_m2_k, 0.1, 500.0, "W/(m2 K)")
    within("half_thickness_m", half_thickness_m, 0.0, 0.5, "m")
    within("heat_j_m3_k", heat_j_m3_k, 1e5, 5e6, "J/(m3 K)")
    within("share_left", share_left, 0.001, 1.0)
    return heat_j_m3_k * half_thickness_m / heat_transfer_w_m2_k * -math.log(share_left) / 3600.0


def warm_air_limit_c(bare_metal_only: bool) -> float | None:
    """Warmest air that may be blown on an object to dry it [degC]; None: no warm air at all.

    Rule: bare metal at most 38 degC; anything organic, painted, glued or filled: none.
    Source: none; common practice, no published source.
    Range: the whole object counts, not the part that is wet.
    Doubt: where it is not known whether a coating is there, it is.

    >>> warm_air_limit_c(True), warm_air_limit_c(False)
    (38.0, None)
    """
    return WARM_AIR_MAX_BARE_METAL_C if bare_metal_only else WARM_AIR_MAX_OTHERWISE_C
