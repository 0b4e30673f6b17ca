"""Driers of room air: what a machine really takes out away from the conditions it is rated at.

A refrigerant machine is rated in warm, damp air: at 30 degC and 80 % in most of Europe, at 26.7 degC and 60 %
(80 degF) in older American figures, at 18.3 degC and 60 % (65 degF) in those since 2019. In a cool room it
takes
out a fraction of that, and its coil may ice up. A wheel of silica gel or zeolite changes much less.
The numbers of each kind of machine stand in a data file; here are the forms. All results for use are bands.
"""

from __future__ import annotations

from dataclasses import dataclass

from strandline.physics.air import humidity_ratio
from strandline.physics.openings import Band
from strandline.physics.ranges import within

US_PINT_L = 0.473176473
CUBIC_FOOT_M3 = 0.028316846592
_DAY_S = 86400.0
REFRIGERANT, DESICCANT = "refrigerant", "desiccant"


@dataclass(frozen=True, slots=True)
class Curve:
    """Capacity over rated capacity as a second-degree form in temperature [degC] and RH [%], and its
    range."""

    constant: float
    temp: float
    temp2: float
    rh: float
    rh2: float
    temp_rh: float
    temp_range_c: tuple[float, float]
    rh_range: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Ramp:
    """A share that grows from 0 at one temperature to 1 at another."""

    none_below_c: float
    full_above_c: float


@dataclass(frozen=True, slots=True)
class DrierKind:
    """A kind of machine: how its removal falls, how it takes the cold, how far machines of the kind
    differ."""

    key: str
    family: str
    curves: tuple[Curve, ...]
    frost: tuple[Ramp, Ramp, Ramp]
    spread_low: float
    spread_high: float
    exponents: tuple[float, float, float]
    rated_temp_c: float
    rated_rh: float


def litres_from_us_pints(pints: float) -> float:
    """Litres in some liquid pints of the United States.

    Equation: 1 pint = 0.473176473 L.
    Source: nist-sp811 (recalled).
    Range: any.
    Doubt: none.

    >>> round(litres_from_us_pints(70.0), 1)
    33.1
    """
    return pints * US_PINT_L


def removal_m3_s(litres_day: float) -> float:
    """Litres a day as cubic metres a second.

    Equation: L / 1000 / 86400.
    Source: energyplus-eng-ref (unit of rated water removal).
    Range: any.
    Doubt: none.

    >>> round(removal_m3_s(50.16) * 1e7, 4)
    5.8056
    """
    return litres_day / 1000.0 / _DAY_S


def curve_value(curve: Curve, temp_c: float, rh: float) -> float:
    """The second-degree form itself, as published; near 1 at the rating conditions, below 0 where nothing
    comes.

    Equation: f = a + b T + c T^2 + d RH + e RH^2 + f T RH, RH in percent.
    Source: winkler-2011; energyplus-dehumidifier-curve.
    Range: 0 to 40 degC, rh 0.2 to 1; whether the stated range holds says `curve_is_stated`.
    Doubt: 10 % inside the stated range, unknown outside.
    Raises: OutOfRange.

    >>> tested = Curve(-1.162525707, 0.02271469, -0.000113208, 0.021110538, -0.0000693034, 0.000378843,
    ...                (15.0, 35.0), (0.3, 0.8))
    >>> round(curve_value(tested, 26.7, 0.6), 3)
    0.987
    """
    within("temp_c", temp_c, 0.0, 40.0, "degC")
    percent = 100.0 * within("rh", rh, 0.2, 1.0)
    straight = curve.constant + curve.temp * temp_c + curve.rh * percent
    return straight + curve.temp2 * temp_c**2 + curve.rh2 * percent**2 + curve.temp_rh * temp_c * percent


def curve_is_stated(curve: Curve, temp_c: float, rh: float) -> bool:
    """Whether temperature and humidity lie within the range a curve states.

    Rule: both within their pair of bounds, bounds included.
    Source: energyplus-dehumidifier-curve; winkler-2011.
    Range: any.
    Doubt: none.

    >>> flat = Curve(1.0, 0.0, 0.0, 0.0, 0.0, 0.0, (21.0, 32.22), (0.4, 0.8))
    >>> curve_is_stated(flat, 18.0, 0.6)
    False
    """
    warm = curve.temp_range_c[0] <= temp_c <= curve.temp_range_c[1]
    return warm and curve.rh_range[0] <= rh <= curve.rh_range[1]


def capacity_factor(curve: Curve, temp_c: float, rh: float, rated_temp_c: float, rated_rh: float) -> float:
    """Removal of a refrigerant machine over its removal at the conditions it is rated at; not below 0.

    Equation: max(0, f(T, RH)) / f(T_rated, RH_rated).
    Source: winkler-2011; energyplus-dehumidifier-curve.
    Range: 0 to 40 degC, rh 0.2 to 1.
    Doubt: a third between machines: of their removal at 30 degC and 80 % small ones kept 0.40 to 0.57 at
        26.7 degC and 60 % in tests of consumer bodies, where the first curve says 0.63.
    Raises: OutOfRange.

    >>> tested = Curve(-1.162525707, 0.02271469, -0.000113208, 0.021110538, -0.0000693034, 0.000378843,
    ...                (15.0, 35.0), (0.3, 0.8))
    >>> round(capacity_factor(tested, 18.3, 0.6, 26.7, 0.6), 2)
    0.66
    """
    rated = within("rated capacity", curve_value(curve, rated_temp_c, rated_rh), 0.05, 10.0)
    return max(0.0, curve_value(curve, temp_c, rh)) / rated


def frost_share(ramp: Ramp, temp_c: float) -> float:
    """Share of the time a cold coil works rather than thaws.

    Equation: (T - T_none) / (T_full - T_none), held between 0 and 1.
    Source: retail-guide-30-80 (plain machines stop near 12 degC); the ramp is common practice.
    Range: any temperature; full above none.
    Doubt: large; machines with a hot-gas thaw go on where plain ones stop.
    Raises: OutOfRange.

    >>> frost_share(Ramp(5.0, 17.0), 11.0)
    0.5
    """
    within("full_above_c", ramp.full_above_c, ramp.none_below_c + 0.1, 60.0, "degC")
    return min(1.0, max(0.0, (temp_c - ramp.none_below_c) / (ramp.full_above_c - ramp.none_below_c)))


def desiccant_factor(
    temp_c: float, rh: float, rated_temp_c: float, rated_rh: float, exponent: float
) -> float:
    """Removal of a wheel over its rated removal, by how much vapour the air holds.

    Equation: (W / W_rated)^n, at most 1.2.
    Source: none published that we could read; n = 0 is what sellers say, n = 1 a fixed share of the vapour.
    Range: -10 to 40 degC, rh 0.05 to 1.
    Doubt: the exponent is the doubt.
    Raises: OutOfRange.

    >>> round(desiccant_factor(9.0, 0.8, 20.0, 0.6, 0.5), 2)
    0.81
    """
    within("temp_c", temp_c, -10.0, 40.0, "degC")
    within("rh", rh, 0.05, 1.0)
    ratio = humidity_ratio(temp_c, rh) / humidity_ratio(rated_temp_c, rated_rh)
    return float(min(1.2, ratio ** within("exponent", exponent, 0.0, 1.0)))


def drier_band(
    kind: DrierKind,
    rated_l_day: float,
    temp_c: float,
    rh: float,
    rated_temp_c: float | None = None,
    rated_rh: float | None = None,
) -> Band:
    """Litres a day a machine takes from a room, low, mid and high; rated as its kind is unless said
    otherwise.

    Rule: refrigerant: rated x capacity factor (mid the first curve, low and high the least and greatest of
        the
        curves times the spread) x frost share; desiccant: rated x the vapour form with its three exponents.
    Source: winkler-2011; energyplus-dehumidifier-curve; retail-guide-30-80; the spreads are common practice.
    Range: 1 to 40 degC, rh 0.2 to 1, 0.1 to 2000 L/day.
    Doubt: the band; a full tank, a blocked filter or a drain that runs back takes it to nothing.
    Raises: OutOfRange.

    >>> flat = Curve(1.0, 0.0, 0.0, 0.0, 0.0, 0.0, (21.0, 32.0), (0.4, 0.8))
    >>> always = Ramp(-50.0, -40.0)
    >>> plain = DrierKind("plain", "refrigerant", (flat,), (always,) * 3, 0.5, 1.5, (0.0,) * 3, 30.0, 0.8)
    >>> band = drier_band(plain, 20.0, 20.0, 0.6)
    >>> (band.low, band.mid, band.high)
    (10.0, 20.0, 30.0)
    """
    within("rated_l_day", rated_l_day, 0.1, 2000.0, "L/day")
    within("temp_c", temp_c, 1.0, 40.0, "degC")
    at_c = kind.rated_temp_c if rated_temp_c is None else rated_temp_c
    at_rh = kind.rated_rh if rated_rh is None else rated_rh
    if kind.family == DESICCANT:
        shares = tuple(desiccant_factor(temp_c, rh, at_c, at_rh, exponent) for exponent in kind.exponents)
        low, mid, high = min(shares) * kind.spread_low, shares[1], max(shares) * kind.spread_high
        why = "a wheel takes nearly the same whatever the air; the low value follows the vapour in it"
        return Band(low, mid, high, DESICCANT, why).times(rated_l_day)
    factors = [capacity_factor(curve, temp_c, rh, at_c, at_rh) for curve in kind.curves]
    cold = [frost_share(ramp, temp_c) for ramp in kind.frost]
    low = min(factors) * kind.spread_low * cold[0]
    high = max(factors) * kind.spread_high * cold[2]
    stated = all(curve_is_stated(curve, temp_c, rh) for curve in kind.curves)
    why = f"{factors[0]:.0%} of the rating by the curve, the coil works {cold[1]:.0%} of the time"
    if not stated:
        why += "; outside the range the curves state"
    regime = "frost" if cold[1] < 1.0 else REFRIGERANT
    return Band(low, factors[0] * cold[1], high, regime, why).times(rated_l_day)


def removal_kg_h(band: Band) -> Band:
    """Litres a day as kilograms an hour, for the balance of the room.

    Equation: L / 24, a litre being a kilogram.
    Source: none; algebra.
    Range: any.
    Doubt: 0.3 % for the density of water.

    >>> removal_kg_h(Band(12.0, 24.0, 48.0, "refrigerant", "")).mid
    1.0
    """
    return band.times(1.0 / 24.0)


def first_estimate_l_day(volume_m3: float, divisor_ft3_per_pint: float) -> float:
    """First estimate of rated removal for a wet room, by volume and how wet the building is [L/day].

    Equation: pints a day = cubic feet / divisor; rated at 26.7 degC and 60 %.
    Source: iicrc-s500 (form read at second hand; the divisors are recalled and stand in the data file).
    Range: divisors 20 to 150.
    Doubt: a first guess for emptying a building of water, to be corrected by readings from the second day.
    Raises: OutOfRange.

    >>> round(first_estimate_l_day(81.0, 50.0), 1)
    27.1
    """
    within("volume_m3", volume_m3, 0.0, 1e6, "m3")
    within("divisor_ft3_per_pint", divisor_ft3_per_pint, 20.0, 150.0)
    return volume_m3 / CUBIC_FOOT_M3 / divisor_ft3_per_pint * US_PINT_L


def first_estimate_flow_m3_h(volume_m3: float, changes_per_h: float) -> float:
    """First estimate of the air a desiccant machine should pass [m3/h].

    Equation: V n.
    Source: iicrc-s500 (form read at second hand: ft3/min = ft3 n / 60; n is recalled, in the data file).
    Range: n 0.5 to 6.
    Doubt: as for the refrigerant estimate.
    Raises: OutOfRange.

    >>> first_estimate_flow_m3_h(81.0, 2.0)
    162.0
    """
    within("volume_m3", volume_m3, 0.0, 1e6, "m3")
    return volume_m3 * within("changes_per_h", changes_per_h, 0.5, 6.0, "1/h")
