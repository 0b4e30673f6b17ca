"""Moist air: what a cubic metre of air holds, and what the usual readings of it say about each other.

All functions treat air and vapour as ideal gases. Real moist air holds 0.4 to 0.7 % more vapour at saturation
than this (the enhancement factor); nothing here corrects for it, as the tables of the trade do not either.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from strandline.physics.ranges import within

KELVIN = 273.15
STANDARD_PRESSURE_PA = 101325.0
WATER_GAS_CONSTANT_J_KG_K = 461.52
DRY_AIR_GAS_CONSTANT_J_KG_K = 287.042
MASS_RATIO = 0.621945
"""Molar mass of water over that of dry air."""

_LOW_C, _HIGH_C = -100.0, 200.0
_ICE = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
_WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0.0, 6.5459673)
_CRITICAL_K, _CRITICAL_PA, _CRITICAL_KG_M3 = 647.096, 22.064e6, 322.0
_PRESSURE = (
    (1.0, -7.85951783), (1.5, 1.84408259), (3.0, -11.7866497),
    (3.5, 22.6807411), (4.0, -15.9618719), (7.5, 1.80122502),
)  # fmt: skip
_LIQUID = ((1, 1.99274064), (2, 1.09965342), (5, -0.510839303), (16, -1.75493479), (43, -45.5170352))
_LIQUID_LAST = (110, -6.74694450e5)
_VAPOUR = (
    (2, -2.03150240), (4, -2.68302940), (8, -5.38626492),
    (18, -17.2991605), (37, -44.7586581), (71, -63.9201063),
)  # fmt: skip


def _checked_pressure(pressure_pa: float) -> float:
    return within("pressure_pa", pressure_pa, 20000.0, 120000.0, "Pa")


def _share(name: str, rh: float) -> float:
    return within(name, rh, 0.0, 1.0)


def root_between(difference: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function crosses zero, found by halving the interval until it cannot be halved.

    Rule: halve; the function is negative below the crossing; a crossing outside gives the end.
    Source: none; a rule of this code.
    Range: any interval on which the function rises.
    Doubt: none but rounding, about 1e-14 of the interval's ends.

    >>> round(root_between(lambda x: x * x - 2.0, 0.0, 2.0), 12)
    1.414213562373
    """
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if difference(middle) < 0.0:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def saturation_pressure_pa(temp_c: float) -> float:
    """Vapour pressure of saturated air [Pa], over ice below 0 degC and over water from 0 degC up.

    Equation: ln p = c1/T + c2 + c3 T + c4 T^2 + c5 T^3 + c6 T^4 + c7 ln T, T in kelvin, two sets.
    Source: ashrae-f17-1 eq. 5 (ice) and 6 (water) (recalled; checked against psychrolib 2.5.0).
    Range: -100 to 200 degC.
    Doubt: 0.03 % against the international formulation; the branches differ by 0.01 % at 0 degC.
    Raises: OutOfRange.

    >>> round(saturation_pressure_pa(20.0), 1)
    2338.8
    """
    kelvin = within("temp_c", temp_c, _LOW_C, _HIGH_C, "degC") + KELVIN
    c1, c2, c3, c4, c5, c6, c7 = _ICE if temp_c < 0.0 else _WATER
    powers = c2 + kelvin * (c3 + kelvin * (c4 + kelvin * (c5 + kelvin * c6)))
    return math.exp(c1 / kelvin + powers + c7 * math.log(kelvin))


def magnus_pressure_pa(temp_c: float) -> float:
    """Vapour pressure of saturated air over water [Pa], by the short Magnus form.

    Equation: p = 611.2 exp(17.62 t / (243.12 + t)).
    Source: wmo-8 annex 4.B (recalled); sonntag-1990.
    Range: -45 to 60 degC (below 0 degC over water that is still liquid).
    Doubt: 0.3 % below the longer equation at 20 to 25 degC, 0.25 % above it at 60 degC.
    Raises: OutOfRange.

    >>> round(magnus_pressure_pa(20.0), 0)
    2333.0
    """
    within("temp_c", temp_c, -45.0, 60.0, "degC")
    return 611.2 * math.exp(17.62 * temp_c / (243.12 + temp_c))


def _relative_slope_per_k(temp_c: float) -> float:
    """d ln p_sat / dT [1/K], from the equation itself."""
    kelvin = temp_c + KELVIN
    c1, _, c3, c4, c5, c6, c7 = _ICE if temp_c < 0.0 else _WATER
    powers = c3 + kelvin * (2.0 * c4 + kelvin * (3.0 * c5 + kelvin * 4.0 * c6))
    return -c1 / kelvin**2 + powers + c7 / kelvin


def saturation_density_kg_m3(temp_c: float) -> float:
    """Mass of vapour in a cubic metre of saturated air [kg/m3].

    Equation: rho = p_sat / (461.52 T).
    Source: ashrae-f17-1 (saturation pressure, ideal gas).
    Range: -100 to 200 degC.
    Doubt: ideal gas; 0.1 % too low at 20 degC, 1.5 % at 100 degC.
    Raises: OutOfRange.

    >>> round(1000 * saturation_density_kg_m3(20.0), 2)
    17.29
    """
    return saturation_pressure_pa(temp_c) / (WATER_GAS_CONSTANT_J_KG_K * (temp_c + KELVIN))


def saturation_slope_kg_m3_k(temp_c: float) -> float:
    """How fast the vapour held by saturated air grows with temperature [kg/(m3 K)].

    Equation: d rho/dT = rho (d ln p/dT - 1/T), the first term from the saturation equation itself.
    Source: ashrae-f17-1 eq. 5 and 6, algebra.
    Range: -100 to 200 degC.
    Doubt: that of the saturation density.
    Raises: OutOfRange.

    >>> round(1000 * saturation_slope_kg_m3_k(20.0), 3)
    1.012
    """
    return saturation_density_kg_m3(temp_c) * (_relative_slope_per_k(temp_c) - 1.0 / (temp_c + KELVIN))


def vapour_density_kg_m3(temp_c: float, rh: float) -> float:
    """Mass of vapour in a cubic metre of air [kg/m3], the absolute humidity.

    Equation: rho = rh p_sat / (461.52 T).
    Source: ashrae-f17-1, ideal gas.
    Range: -100 to 200 degC, rh 0 to 1.
    Doubt: that of the saturation density.
    Raises: OutOfRange.

    >>> round(1000 * vapour_density_kg_m3(20.0, 0.5), 3)
    8.643
    """
    return _share("rh", rh) * saturation_density_kg_m3(temp_c)


def _vapour_pressure_pa(temp_c: float, rh: float, pressure_pa: float) -> float:
    vapour_pa = _share("rh", rh) * saturation_pressure_pa(temp_c)
    return within("vapour pressure", vapour_pa, 0.0, 0.95 * _checked_pressure(pressure_pa), "Pa")


def humidity_ratio(temp_c: float, rh: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Mass of vapour per mass of dry air [kg/kg].

    Equation: W = 0.621945 p_w / (p - p_w).
    Source: ashrae-f17-1 eq. 20.
    Range: -100 to 200 degC, rh 0 to 1, 20 to 120 kPa, vapour at most 95 % of the total pressure.
    Doubt: 0.4 to 0.7 % below real moist air (no enhancement factor).
    Raises: OutOfRange.

    >>> round(humidity_ratio(25.0, 0.5), 5)
    0.00988
    """
    vapour_pa = _vapour_pressure_pa(temp_c, rh, pressure_pa)
    return MASS_RATIO * vapour_pa / (pressure_pa - vapour_pa)


def rh_from_humidity_ratio(
    temp_c: float, humidity_ratio_kg_kg: float, pressure_pa: float = STANDARD_PRESSURE_PA
) -> float:
    """Relative humidity of air that holds this much vapour per dry air; above 1 means it would condense.

    Equation: rh = p W / ((0.621945 + W) p_sat).
    Source: ashrae-f17-1 eq. 20 and 22.
    Range: -100 to 200 degC, 0 to 10 kg/kg, 20 to 120 kPa.
    Doubt: that of the humidity ratio.
    Raises: OutOfRange.

    >>> round(rh_from_humidity_ratio(25.0, 0.009881), 3)
    0.5
    """
    ratio = within("humidity_ratio_kg_kg", humidity_ratio_kg_kg, 0.0, 10.0, "kg/kg")
    return _checked_pressure(pressure_pa) * ratio / (MASS_RATIO + ratio) / saturation_pressure_pa(temp_c)


def dew_point_c(temp_c: float, rh: float) -> float:
    """Temperature at which this air would be saturated [degC]; below 0 degC the frost point.

    Equation: p_sat(t_d) = rh p_sat(t), solved for t_d.
    Source: ashrae-f17-1 eq. 5, 6 and 36.
    Range: -100 to 200 degC; rh above 0, and a dew point not below -100 degC.
    Doubt: 0.01 K by the equation; a reading of rh 0.02 off shifts it by 0.3 to 0.6 K.
    Raises: OutOfRange.

    >>> round(dew_point_c(25.0, 0.8), 2)
    21.31
    """
    vapour_pa = _share("rh", rh) * saturation_pressure_pa(temp_c)
    lowest = saturation_pressure_pa(_LOW_C)
    within("vapour pressure", vapour_pa, lowest, saturation_pressure_pa(temp_c), "Pa")
    return root_between(lambda t: saturation_pressure_pa(t) - vapour_pa, _LOW_C, temp_c)


def rh_from_dew_point(temp_c: float, dew_point_c: float) -> float:
    """Relative humidity of air with this dew point (frost point below 0 degC).

    Equation: rh = p_sat(t_d) / p_sat(t).
    Source: ashrae-f17-1 eq. 22.
    Range: -100 to 200 degC, the dew point not above the temperature.
    Doubt: 0.1 K of dew point is 0.6 % of the result.
    Raises: OutOfRange.

    >>> round(rh_from_dew_point(25.0, 21.309), 3)
    0.8
    """
    within("dew_point_c", dew_point_c, _LOW_C, temp_c, "degC")
    return saturation_pressure_pa(dew_point_c) / saturation_pressure_pa(temp_c)


def _ratio_at_wet_bulb(temp_c: float, wet_bulb_c: float, pressure_pa: float) -> float:
    """Humidity ratio by the two readings; negative where no air can show them."""
    full = humidity_ratio(wet_bulb_c, 1.0, pressure_pa)
    drop_kj = 1.006 * (temp_c - wet_bulb_c)
    if wet_bulb_c >= 0.0:
        return ((2501.0 - 2.326 * wet_bulb_c) * full - drop_kj) / (
            2501.0 + 1.86 * temp_c - 4.186 * wet_bulb_c
        )
    return ((2830.0 - 0.24 * wet_bulb_c) * full - drop_kj) / (2830.0 + 1.86 * temp_c - 2.1 * wet_bulb_c)


def wet_bulb_c(temp_c: float, rh: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Temperature to which a freely evaporating, insulated wet surface in moving air settles [degC].

    Equation: W = [(2501 - 2.326 t*) W_sat(t*) - 1.006 (t - t*)] / (2501 + 1.86 t - 4.186 t*), solved for t*;
        below 0 degC, on ice, [(2830 - 0.24 t*) W_sat - 1.006 (t - t*)] / (2830 + 1.86 t - 2.1 t*).
    Source: ashrae-f17-1 eq. 33 and 35 (recalled).
    Range: -80 to 90 degC, rh 0 to 1, 20 to 120 kPa.
    Doubt: 0.02 K against real gas; a bulb in still air reads up to 1 K high; between 0 and -1 degC a bulb may
        carry water or ice and this takes the branch that solves the equation first.
    Raises: OutOfRange.

    >>> round(wet_bulb_c(20.0, 0.5), 2)
    13.78
    """
    within("temp_c", temp_c, -80.0, 90.0, "degC")
    ratio = humidity_ratio(temp_c, rh, pressure_pa)
    low = max(_LOW_C, temp_c - 70.0)
    return root_between(lambda t: _ratio_at_wet_bulb(temp_c, t, pressure_pa) - ratio, low, temp_c)


def rh_from_wet_bulb(temp_c: float, wet_bulb_c: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Relative humidity from a dry and a wet thermometer in moving air.

    Equation: that of the wet bulb, solved for W, then rh = p W / ((0.621945 + W) p_sat(t)).
    Source: ashrae-f17-1 eq. 33, 35, 20 and 22 (recalled).
    Range: -80 to 120 degC, the wet bulb not above the dry one, no drier than dry air can show.
    Doubt: 0.1 K on the wet bulb is about 0.01 of the result at 20 degC, 0.005 at 50 degC.
    Raises: OutOfRange, also where the wet bulb lies lower than dry air could bring it.

    >>> round(rh_from_wet_bulb(20.0, 13.783), 3)
    0.5
    """
    within("temp_c", temp_c, -80.0, 120.0, "degC")
    within("wet_bulb_c", wet_bulb_c, _LOW_C, temp_c, "degC")
    ratio = _ratio_at_wet_bulb(temp_c, wet_bulb_c, pressure_pa)
    return rh_from_humidity_ratio(temp_c, within("humidity ratio", ratio, 0.0, 10.0, "kg/kg"), pressure_pa)


def enthalpy_kj_kg(temp_c: float, rh: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Heat held by moist air [kJ per kg of dry air], zero for dry air and for liquid water at 0 degC.

    Equation: h = 1.006 t + W (2501 + 1.86 t).
    Source: ashrae-f17-1 eq. 30.
    Range: -100 to 200 degC, rh 0 to 1, 20 to 120 kPa.
    Doubt: 0.1 kJ/kg against the ideal-gas tables, up to 1 % against real gas at saturation.
    Raises: OutOfRange.

    >>> round(enthalpy_kj_kg(20.0, 0.5), 1)
    38.6
    """
    ratio = humidity_ratio(temp_c, rh, pressure_pa)
    return 1.006 * temp_c + ratio * (2501.0 + 1.86 * temp_c)


def specific_volume_m3_kg(temp_c: float, rh: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Volume of moist air per kilogram of its dry air [m3/kg].

    Equation: v = 287.042 T (1 + 1.607858 W) / p.
    Source: ashrae-f17-1 eq. 26.
    Range: -100 to 200 degC, rh 0 to 1, 20 to 120 kPa.
    Doubt: 0.1 % against real gas.
    Raises: OutOfRange.

    >>> round(specific_volume_m3_kg(20.0, 0.5), 4)
    0.8402
    """
    ratio = humidity_ratio(temp_c, rh, pressure_pa)
    return DRY_AIR_GAS_CONSTANT_J_KG_K * (temp_c + KELVIN) * (1.0 + 1.607858 * ratio) / pressure_pa


def density_kg_m3(temp_c: float, rh: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Density of moist air [kg/m3], vapour included; moist air is lighter than dry air.

    Equation: rho = (1 + W) / v.
    Source: ashrae-f17-1 eq. 10 and 26.
    Range: -100 to 200 degC, rh 0 to 1, 20 to 120 kPa.
    Doubt: 0.1 % against real gas.
    Raises: OutOfRange.

    >>> round(density_kg_m3(20.0, 0.5), 4)
    1.1989
    """
    ratio = humidity_ratio(temp_c, rh, pressure_pa)
    return (1.0 + ratio) / specific_volume_m3_kg(temp_c, rh, pressure_pa)


def pressure_at_altitude_pa(altitude_m: float) -> float:
    """Air pressure of the standard atmosphere at a height above the sea [Pa].

    Equation: p = 101325 (1 - 2.25577e-5 Z)^5.2559.
    Source: ashrae-f17-1 eq. 3; ussa-1976.
    Range: -5000 to 11000 m.
    Doubt: the weather moves it by 3 %.
    Raises: OutOfRange.

    >>> round(pressure_at_altitude_pa(1000.0))
    89875
    """
    within("altitude_m", altitude_m, -5000.0, 11000.0, "m")
    return float(STANDARD_PRESSURE_PA * (1.0 - 2.25577e-5 * altitude_m) ** 5.2559)


def temp_at_altitude_c(altitude_m: float) -> float:
    """Air temperature of the standard atmosphere at a height above the sea [degC].

    Equation: t = 15 - 0.0065 Z.
    Source: ashrae-f17-1 eq. 4; ussa-1976.
    Range: -5000 to 11000 m.
    Doubt: a yearly mean of middle latitudes; a day differs by 20 K.
    Raises: OutOfRange.

    >>> round(temp_at_altitude_c(1000.0), 1)
    8.5
    """
    return 15.0 - 0.0065 * within("altitude_m", altitude_m, -5000.0, 11000.0, "m")


def _wagner_terms(kelvin: float) -> tuple[float, float]:
    """ln(p/p_c), and the sum of n a tau^(n-1) its slope needs."""
    tau = 1.0 - kelvin / _CRITICAL_K
    log_share = _CRITICAL_K / kelvin * sum(a * tau**n for n, a in _PRESSURE)
    return log_share, sum(n * a * tau ** (n - 1.0) for n, a in _PRESSURE)


def wagner_pressure_pa(temp_c: float) -> float:
    """Vapour pressure of saturated air over water [Pa], by the international equation of the saturation line.

    Equation: ln(p/p_c) = (T_c/T) sum a_i tau^n_i, tau = 1 - T/647.096, n = 1, 1.5, 3, 3.5, 4, 7.5.
    Source: iapws-sr1-86 eq. 1 (recalled; constants checked in open code).
    Range: 0 to 200 degC.
    Doubt: 0.02 %; it is the measure for the other forms.
    Raises: OutOfRange.

    >>> round(wagner_pressure_pa(20.0), 1)
    2339.2
    """
    within("temp_c", temp_c, 0.0, 200.0, "degC")
    return _CRITICAL_PA * math.exp(_wagner_terms(temp_c + KELVIN)[0])


def _saturated_densities_kg_m3(kelvin: float) -> tuple[float, float]:
    """Liquid and vapour on the saturation line [kg/m3]."""
    step = (1.0 - kelvin / _CRITICAL_K) ** (1.0 / 3.0)
    liquid = 1.0 + sum(b * step**n for n, b in (*_LIQUID, _LIQUID_LAST))
    sixth = math.sqrt(step)
    vapour = sum(c * sixth**n for n, c in _VAPOUR)
    return _CRITICAL_KG_M3 * liquid, _CRITICAL_KG_M3 * math.exp(vapour)


def water_density_kg_m3(temp_c: float) -> float:
    """Density of liquid water under its own vapour [kg/m3].

    Equation: rho/322 = 1 + sum b_i s^n_i, s = (1 - T/647.096)^(1/3), n = 1, 2, 5, 16, 43, 110.
    Source: iapws-sr1-86 eq. 2 (recalled; constants checked in open code).
    Range: 0.01 to 200 degC.
    Doubt: 0.01 %; salts and silt of flood water add up to 3 %.
    Raises: OutOfRange.

    >>> round(water_density_kg_m3(20.0), 1)
    998.2
    """
    within("temp_c", temp_c, 0.01, 200.0, "degC")
    return _saturated_densities_kg_m3(temp_c + KELVIN)[0]


def latent_heat_j_kg(temp_c: float) -> float:
    """Heat taken up by a kilogram of water that evaporates, or of ice that sublimes below 0 degC [J/kg].

    Equation: L = T (dp_sat/dT) (1/rho_vapour - 1/rho_liquid); over ice L = R_v T^2 d ln p_sat/dT.
    Source: clapeyron-1834; over water iapws-sr1-86 eq. 1 to 3, over ice ashrae-f17-1 eq. 5 (recalled).
    Range: -60 to 200 degC.
    Doubt: 0.01 % over water, 0.2 % over ice; water held in pores or wood takes a little more.
    Raises: OutOfRange.

    >>> round(latent_heat_j_kg(20.0) / 1000.0, 0)
    2454.0
    """
    within("temp_c", temp_c, -60.0, 200.0, "degC")
    kelvin = temp_c + KELVIN
    if temp_c < 0.0:
        return WATER_GAS_CONSTANT_J_KG_K * kelvin**2 * _relative_slope_per_k(temp_c)
    log_share, slope_term = _wagner_terms(kelvin)
    rise_pa_k = -_CRITICAL_PA * math.exp(log_share) / kelvin * (log_share + slope_term)
    liquid, vapour = _saturated_densities_kg_m3(kelvin)
    return kelvin * rise_pa_k * (1.0 / vapour - 1.0 / liquid)
