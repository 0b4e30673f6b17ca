"""Condensation: where vapour turns to water on cold glass, metal and objects, and how much of it."""

from __future__ import annotations

from strandline.physics.air import (
    KELVIN,
    STANDARD_PRESSURE_PA,
    WATER_GAS_CONSTANT_J_KG_K,
    dew_point_c,
    humidity_ratio,
    root_between,
    saturation_density_kg_m3,
    saturation_pressure_pa,
    specific_volume_m3_kg,
    vapour_density_kg_m3,
)
from strandline.physics.ranges import within

INNER_SURFACE_RESISTANCE_M2_K_W = 0.13
"""Of a wall to the air of a room, heat flowing sideways (iso-6946)."""


def dew_margin_k(surface_temp_c: float, air_temp_c: float, air_rh: float) -> float:
    """How far a surface lies above the dew point of the air; below zero water forms on it [K].

    Equation: t_surface - t_dew.
    Source: ashrae-f17-1 eq. 36 (dew point).
    Range: that of the dew point.
    Doubt: 1 K for the surface temperature of a thing just carried in, 0.5 K for a reading of rh 0.02 off;
        salts
        draw water from about 3 K above the dew point.
    Raises: OutOfRange.

    >>> round(dew_margin_k(9.0, 18.0, 0.65), 1)
    -2.3
    """
    within("surface_temp_c", surface_temp_c, -50.0, 100.0, "degC")
    return surface_temp_c - dew_point_c(air_temp_c, air_rh)


def condenses(surface_temp_c: float, air_temp_c: float, air_rh: float, margin_k: float = 0.0) -> bool:
    """Whether water forms on a surface, with a margin kept for doubt.

    Rule: the dew margin is at or below the margin asked for.
    Source: ashrae-f17-1 eq. 36 (dew point).
    Range: that of the dew point.
    Doubt: that of the dew margin; keep 1 to 2 K.
    Raises: OutOfRange.

    >>> condenses(9.0, 18.0, 0.65), condenses(18.0, 9.0, 0.9)
    (True, False)
    """
    return dew_margin_k(surface_temp_c, air_temp_c, air_rh) <= margin_k


def highest_dry_rh(air_temp_c: float, surface_temp_c: float) -> float:
    """Relative humidity of the air above which water forms on a surface of this temperature; at most 1.

    Equation: rh = p_sat(t_surface) / p_sat(t_air).
    Source: ashrae-f17-1 eq. 22.
    Range: -50 to 100 degC.
    Doubt: 0.1 K is 0.6 %.
    Raises: OutOfRange.

    >>> round(highest_dry_rh(25.0, 10.0), 3)
    0.387
    """
    within("surface_temp_c", surface_temp_c, -50.0, 100.0, "degC")
    return min(1.0, saturation_pressure_pa(surface_temp_c) / saturation_pressure_pa(air_temp_c))


def rh_at_temperature(temp_c: float, rh: float, new_temp_c: float) -> float:
    """Relative humidity after warming or cooling air in the open; above 1 means that water falls out.

    Equation: rh' = rh p_sat(t) / p_sat(t').
    Source: ashrae-f17-1 eq. 22; the vapour pressure stays.
    Range: -50 to 100 degC.
    Doubt: none known beyond the source.
    Raises: OutOfRange.

    >>> round(rh_at_temperature(11.0, 0.92, 9.0), 2)
    1.05
    """
    within("rh", rh, 0.0, 1.0)
    within("new_temp_c", new_temp_c, -50.0, 100.0, "degC")
    return rh * saturation_pressure_pa(temp_c) / saturation_pressure_pa(new_temp_c)


def closed_condensation_temp_c(temp_c: float, rh: float) -> float:
    """Temperature at which water starts to form in a closed vessel that cools: below the dew point [degC].

    Equation: rho_sat(t') = rh rho_sat(t), solved for t'; the vapour density stays, not its pressure.
    Source: moran-shapiro-12 (example 12.8).
    Range: -50 to 150 degC; rh above 0.
    Doubt: none known beyond the source.
    Raises: OutOfRange.

    >>> round(closed_condensation_temp_c(120.0, 0.1))
    56
    """
    within("temp_c", temp_c, -50.0, 150.0, "degC")
    held = vapour_density_kg_m3(temp_c, within("rh", rh, 1e-4, 1.0))
    return root_between(lambda t: saturation_density_kg_m3(t) - held, -100.0, temp_c)


def closed_condensed_kg(volume_m3: float, temp_c: float, rh: float, new_temp_c: float) -> float:
    """Water that falls out in a closed vessel of air when it cools [kg].

    Equation: m = V max(0, rh rho_sat(t) - rho_sat(t')).
    Source: moran-shapiro-12 (example 12.8).
    Range: -50 to 150 degC.
    Doubt: none known beyond the source; what wet things inside add is another matter.
    Raises: OutOfRange.

    >>> round(closed_condensed_kg(35.0, 120.0, 0.1, 22.0), 2)
    3.15
    """
    within("volume_m3", volume_m3, 0.0, 1e6, "m3")
    within("new_temp_c", new_temp_c, -50.0, 150.0, "degC")
    return volume_m3 * max(0.0, vapour_density_kg_m3(temp_c, rh) - saturation_density_kg_m3(new_temp_c))


def condensation_rate_kg_m2_s(
    surface_temp_c: float, air_temp_c: float, air_rh: float, transfer_m_s: float = 0.003
) -> float:
    """Water settling on a cold surface in a room [kg/(m2 s)]; 0 where none forms.

    Equation: g = h_m max(0, p_v,air - p_sat(t_surface)) / (R_v T), T the mean of both.
    Source: iso-13788 (the form, recalled); h_m of still air 0.002 to 0.005 m/s.
    Range: h_m 0.0005 to 0.05 m/s.
    Doubt: a factor of two by the air movement; the surface warms as it gets wet.
    Raises: OutOfRange.

    >>> round(3.6e6 * condensation_rate_kg_m2_s(9.0, 18.0, 0.65))
    16
    """
    within("transfer_m_s", transfer_m_s, 0.0005, 0.05, "m/s")
    excess_pa = within("air_rh", air_rh, 0.0, 1.0) * saturation_pressure_pa(air_temp_c)
    excess_pa -= saturation_pressure_pa(surface_temp_c)
    film_k = 0.5 * (air_temp_c + surface_temp_c) + KELVIN
    return transfer_m_s * max(0.0, excess_pa) / (WATER_GAS_CONSTANT_J_KG_K * film_k)


def inner_surface_temp_c(
    inside_temp_c: float,
    outside_temp_c: float,
    u_w_m2_k: float,
    surface_resistance_m2_k_w: float = INNER_SURFACE_RESISTANCE_M2_K_W,
) -> float:
    """Temperature of the room side of a pane or wall in steady cold [degC].

    Equation: t = t_in - U R_si (t_in - t_out).
    Source: iso-13788 and iso-6946 (recalled).
    Range: U R_si below 1; away from corners, behind nothing.
    Doubt: corners and places behind furniture are 2 to 4 K colder.
    Raises: OutOfRange.

    >>> round(inner_surface_temp_c(18.0, 4.0, 5.8), 1)
    7.4
    """
    share = within("U R_si", u_w_m2_k * surface_resistance_m2_k_w, 0.0, 1.0)
    return inside_temp_c - share * (inside_temp_c - outside_temp_c)


def outside_temp_for_dew_c(
    inside_temp_c: float,
    inside_rh: float,
    u_w_m2_k: float,
    surface_resistance_m2_k_w: float = INNER_SURFACE_RESISTANCE_M2_K_W,
) -> float:
    """Outside temperature below which the inner face of a pane or wall gets wet [degC].

    Equation: t_out = t_in - (t_in - t_dew) / (U R_si).
    Source: iso-13788 and iso-6946 (recalled).
    Range: U R_si above 0 and below 1.
    Doubt: 2 K, from the surface resistance.
    Raises: OutOfRange.

    >>> round(outside_temp_for_dew_c(18.33, 0.5, 6.4))
    6
    """
    share = within("U R_si", u_w_m2_k * surface_resistance_m2_k_w, 0.01, 1.0)
    return inside_temp_c - (inside_temp_c - dew_point_c(inside_temp_c, inside_rh)) / share


def stream_condensed_kg_s(
    flow_m3_s: float, temp_c: float, rh: float, coil_temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA
) -> float:
    """Water that a stream of air leaves when it is cooled to saturation at a colder temperature [kg/s].

    Equation: m = (Q/v) max(0, W(t, rh) - W_sat(t_coil)), v per kilogram of dry air at the entry.
    Source: ashrae-f17-1 eq. 20 and 26, mass balance.
    Range: that of the humidity ratio.
    Doubt: a coil passes a tenth to a third of the air untouched, so it is a most.
    Raises: OutOfRange.

    >>> round(3600.0 * stream_condensed_kg_s(2.0, 35.0, 0.5, 20.0), 1)
    24.6
    """
    within("flow_m3_s", flow_m3_s, 0.0, 1e4, "m3/s")
    drop = humidity_ratio(temp_c, rh, pressure_pa) - humidity_ratio(coil_temp_c, 1.0, pressure_pa)
    return flow_m3_s / specific_volume_m3_kg(temp_c, rh, pressure_pa) * max(0.0, drop)


def warm_up_needed_k(object_temp_c: float, air_temp_c: float, air_rh: float, margin_k: float = 2.0) -> float:
    """How far a cold thing must warm, still wrapped, before the air of a room may reach it [K]; 0 if not at
    all.

    Rule: up to the dew point of the room plus a margin.
    Source: ashrae-f17-1 eq. 36 (dew point); the margin is common practice.
    Range: that of the dew point.
    Doubt: the core of a heavy thing lags its surface by hours.
    Raises: OutOfRange.

    >>> round(warm_up_needed_k(9.0, 18.0, 0.65), 1)
    4.3
    """
    within("margin_k", margin_k, 0.0, 20.0, "K")
    return max(0.0, margin_k - dew_margin_k(object_temp_c, air_temp_c, air_rh))
