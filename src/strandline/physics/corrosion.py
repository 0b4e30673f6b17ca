"""Air that corrodes metal: time of wetness, classes of it, first-year loss outdoors, rust while wet.

The dose-response functions and the classes describe a year outdoors. They are here to set one place beside
another and to be checked; they never say what a few wet days do to an object.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TypeVar

from strandline.physics.ranges import within

Held = TypeVar("Held")

WET_RH, WET_ABOVE_C = 0.80, 0.0
WETNESS_LIMITS_H = (10.0, 250.0, 2500.0, 5500.0)
"""Hours a year that end classes 1 to 4; class 5 is above the last."""

RANGE_TEMP_C, RANGE_RH = (-17.1, 28.7), (0.34, 0.93)
RANGE_SULPHUR, RANGE_CHLORIDE = (0.7, 150.4), (0.4, 760.5)
"""Yearly means and deposits [mg/(m2 d)] on which the dose-response functions were fitted."""


@dataclass(frozen=True, slots=True)
class DoseResponse:
    """Constants of one metal: two terms, and the slopes of the temperature factor below and above 10 degC."""

    sulphur: float
    sulphur_power: float
    sulphur_rh: float
    chloride: float
    chloride_power: float
    chloride_rh: float
    chloride_temp: float
    cold_slope: float
    warm_slope: float


DOSE_RESPONSE: Mapping[str, DoseResponse] = MappingProxyType(
    {
        "steel": DoseResponse(1.77, 0.52, 0.020, 0.102, 0.62, 0.033, 0.040, 0.150, -0.054),
        "zinc": DoseResponse(0.0129, 0.44, 0.046, 0.0175, 0.57, 0.008, 0.085, 0.038, -0.071),
        "copper": DoseResponse(0.0053, 0.26, 0.059, 0.01025, 0.27, 0.036, 0.049, 0.126, -0.080),
    }
)
"""iso-9223-2012, dose-response: steel read in corrosion-research-code, zinc and copper recalled."""

CATEGORIES = ("C1", "C2", "C3", "C4", "C5", "CX")
CATEGORY_LIMITS_UM: Mapping[str, tuple[float, ...]] = MappingProxyType(
    {
        "steel": (1.3, 25.0, 50.0, 80.0, 200.0, 700.0),
        "zinc": (0.1, 0.7, 2.1, 4.2, 8.4, 25.0),
        "copper": (0.1, 0.6, 1.3, 2.8, 5.6, 10.0),
    }
)
"""First-year loss [um] that ends each category: steel and zinc read, copper recalled."""

DENSITY_G_CM3: Mapping[str, float] = MappingProxyType({"steel": 7.86, "zinc": 7.14, "copper": 8.96})

FLASH_RUST_MIN_RH, FLASH_RUST_FAST_RH = 0.60, 0.85


@dataclass(frozen=True, slots=True)
class FirstYear:
    """First-year loss outdoors, its category, and whether the inputs lie in the range of the source."""

    loss_um: float
    category: str
    in_range: bool
    why: str = "annual, outdoor: not for days"


@dataclass(frozen=True, slots=True)
class FlashRust:
    """Hours after which bare wet steel may show the first rust: a band, no prediction."""

    possible: bool
    earliest_h: float
    latest_h: float
    why: str


def is_wet(temp_c: float, rh: float) -> bool:
    """Whether air of this climate counts towards the time of wetness.

    Rule: relative humidity above 80 % at a temperature above 0 degC.
    Source: iso-9223-1992, definition of the time of wetness (read in roberge-2008 and elsewhere).
    Range: outdoor air; hourly means.
    Doubt: salts make a film far below 80 %, and corrosion was measured below 0 degC; a wet object is wet
    whatever the air.
    Raises: OutOfRange.

    >>> is_wet(temp_c=20.0, rh=0.81), is_wet(temp_c=20.0, rh=0.80)
    (True, False)
    """
    within("temp_c", temp_c, -80.0, 80.0, "degC")
    return within("rh", rh, 0.0, 1.05) > WET_RH and temp_c > WET_ABOVE_C


def wet_hours(climates: Iterable[tuple[float, float]], step_h: float = 1.0) -> float:
    """Hours of a series of climates (temp_c, rh) that count towards the time of wetness.

    Rule: the sum of the steps that are wet.
    Source: iso-9223-1992, definition of the time of wetness (read in roberge-2008 and elsewhere).
    Range: hourly means of outdoor air.
    Doubt: that of the definition.
    Raises: OutOfRange.

    >>> wet_hours([(20.0, 0.9), (20.0, 0.5), (-2.0, 0.95)])
    1.0
    """
    within("step_h", step_h, 1e-6, 24.0, "h")
    return step_h * sum(is_wet(temp_c, rh) for temp_c, rh in climates)


def hours_above(rhs: Iterable[float], rh: float, step_h: float = 1.0) -> float:
    """Hours during which the relative humidity lies above a limit, such as the critical one of a metal.

    Rule: the sum of the steps above it.
    Source: none; counting.
    Range: any.
    Doubt: none.
    Raises: OutOfRange.

    >>> hours_above([0.3, 0.5, 0.7], 0.42)
    2.0
    """
    within("rh", rh, 0.0, 1.0)
    return within("step_h", step_h, 1e-6, 24.0, "h") * sum(one > rh for one in rhs)


def wetness_class(hours_a_year: float) -> int:
    """Class of the time of wetness, from 1 to 5.

    Rule: up to 10, 250, 2500, 5500 hours a year, and more.
    Source: iso-9223-1992, time of wetness (classes 1 to 3 read in roberge-2008; 5500 h recalled).
    Range: 0 to 8784 hours a year.
    Doubt: classes for a year outdoors, or in rooms without climate control.
    Raises: OutOfRange.

    >>> wetness_class(hours_a_year=3050)
    4
    """
    within("hours_a_year", hours_a_year, 0.0, 8784.0, "h")
    return 1 + sum(hours_a_year > limit for limit in WETNESS_LIMITS_H)


def first_year_um(
    metal: str, temp_c: float, rh: float, sulphur_mg_m2_d: float, chloride_mg_m2_d: float
) -> float:
    """Loss of a bare metal in its first year outdoors; annual, not for days.

    Equation: a P^b exp(c RH + f) + d S^e exp(g RH + h T), RH in percent, f = slope (T - 10) with one slope up
    to 10 degC and another above.
    Source: iso-9223-2012, functions (steel read in corrosion-research-code; zinc, copper recalled).
    Range: yearly means -17.1 to 28.7 degC and 34 to 93 %, deposits of sulphur dioxide 0.7 to 150.4 and of
    chloride 0.4 to 760.5 mg/(m2 d).
    Doubt: about -33 to +50 % (recalled); aluminium is left out, its function could not be checked.
    Units: micrometres; deposits in mg/(m2 d), yearly means.
    Raises: OutOfRange; ValueError for a metal that is not known.

    >>> round(first_year_um("steel", 15.0, 0.75, 10.0, 5.0), 2)
    26.04
    """
    held = _metal(metal, DOSE_RESPONSE)
    within("temp_c", temp_c, *RANGE_TEMP_C, "degC")
    within("rh", rh, *RANGE_RH)
    within("sulphur_mg_m2_d", sulphur_mg_m2_d, *RANGE_SULPHUR, "mg/(m2 d)")
    within("chloride_mg_m2_d", chloride_mg_m2_d, *RANGE_CHLORIDE, "mg/(m2 d)")
    return _loss_um(held, temp_c, 100.0 * rh, sulphur_mg_m2_d, chloride_mg_m2_d)


def first_year(
    metal: str, temp_c: float, rh: float, sulphur_mg_m2_d: float, chloride_mg_m2_d: float
) -> FirstYear:
    """First-year loss with its category, carried on outside the range of the source with a flag.

    Equation: that of first_year_um; the category by the table of limits.
    Source: iso-9223-2012, functions and categories (as for first_year_um).
    Range: any; ``in_range`` says whether the inputs lie in that of the source.
    Doubt: outside the range, unknown.
    Raises: OutOfRange for what is no climate; ValueError for a metal that is not known.

    >>> first_year("steel", 10.0, 0.75, 10.0, 5.0).category
    'C3'
    """
    held = _metal(metal, DOSE_RESPONSE)
    within("temp_c", temp_c, -40.0, 50.0, "degC")
    within("rh", rh, 0.0, 1.0)
    within("sulphur_mg_m2_d", sulphur_mg_m2_d, 0.0, 1e4, "mg/(m2 d)")
    within("chloride_mg_m2_d", chloride_mg_m2_d, 0.0, 1e4, "mg/(m2 d)")
    given = (temp_c, rh, sulphur_mg_m2_d, chloride_mg_m2_d)
    ranges = (RANGE_TEMP_C, RANGE_RH, RANGE_SULPHUR, RANGE_CHLORIDE)
    inside = all(low <= value <= high for value, (low, high) in zip(given, ranges, strict=True))
    loss = _loss_um(held, temp_c, 100.0 * rh, sulphur_mg_m2_d, chloride_mg_m2_d)
    return FirstYear(loss, category(metal, loss), inside)


def category(metal: str, loss_um: float) -> str:
    """Corrosivity category of a first-year loss.

    Rule: the first category whose upper limit is not passed; CX has none here.
    Source: iso-9223-2012, categories (steel and zinc read in el-reedy-2012 and corrosion-research-code;
    copper recalled).
    Range: 0 um and above; the standard ends CX at 700 (steel), 25 (zinc), 10 um (copper).
    Doubt: limits in micrometres are rounded by the standard.
    Raises: OutOfRange; ValueError for a metal that is not known.

    >>> category("steel", 25.0), category("steel", 26.0)
    ('C2', 'C3')
    """
    limits = _metal(metal, CATEGORY_LIMITS_UM)
    within("loss_um", loss_um, 0.0, 1e5, "um")
    return CATEGORIES[min(sum(loss_um > limit for limit in limits), len(CATEGORIES) - 1)]


def thickness_um(metal: str, loss_g_m2: float) -> float:
    """Thickness that a loss of mass per area amounts to, were it even.

    Equation: loss / density.
    Source: iso-9226-2012, loss of mass and thickness (recalled); densities of pure metals.
    Range: any even loss.
    Doubt: pits go far deeper than the mean.
    Units: micrometres from g/m2.
    Raises: OutOfRange; ValueError for a metal that is not known.

    >>> round(thickness_um("zinc", 15.0), 1)
    2.1
    """
    density = _metal(metal, DENSITY_G_CM3)
    return within("loss_g_m2", loss_g_m2, 0.0, 1e6, "g/m2") / density


def factor_of_doubt(log_deviation: float) -> float:
    """Factor by which a value with log-normal doubt may lie above or below.

    Equation: exp(s).
    Source: iso-9223-2012, annex A.2 (read).
    Range: any standard deviation of natural logarithms.
    Doubt: none known beyond the source.
    Raises: OutOfRange.

    >>> round(factor_of_doubt(0.7), 1)
    2.0
    """
    return math.exp(within("log_deviation", log_deviation, 0.0, 10.0))


def flash_rust(rh: float, chloride: bool) -> FlashRust:
    """When bare steel that is wet, or drying in such air, may show its first rust.

    Rule: below 60 % no band (40 % with chloride); up to 85 % 1 to 24 h; above, or with chloride, 0.1 to 4 h.
    Source: none; common practice, no published source. The onset near 60 % is vernon-1935 (recalled).
    Range: bare, clean, unalloyed steel or iron near 20 degC; not for lead, tin or coated metal.
    Doubt: minutes to hours is all that can be said; finish, dirt and cleaning decide.
    Raises: OutOfRange.

    >>> flash_rust(rh=0.7, chloride=False).earliest_h
    1.0
    """
    within("rh", rh, 0.0, 1.0)
    onset = 0.40 if chloride else FLASH_RUST_MIN_RH
    if rh < onset:
        return FlashRust(False, 0.0, 0.0, f"below {100 * onset:.0f} % a dry surface shows none in a day")
    if rh > FLASH_RUST_FAST_RH or chloride:
        return FlashRust(True, 0.1, 4.0, "minutes to a few hours")
    return FlashRust(True, 1.0, 24.0, "hours")


def _loss_um(held: DoseResponse, temp_c: float, percent: float, sulphur: float, chloride: float) -> float:
    """The two terms of a dose-response function."""
    slope = held.cold_slope if temp_c <= 10.0 else held.warm_slope
    dry = held.sulphur * math.pow(sulphur, held.sulphur_power)
    salt = held.chloride * math.pow(chloride, held.chloride_power)
    return dry * math.exp(held.sulphur_rh * percent + slope * (temp_c - 10.0)) + salt * math.exp(
        held.chloride_rh * percent + held.chloride_temp * temp_c
    )


def _metal(metal: str, held: Mapping[str, Held]) -> Held:
    if metal not in held:
        raise ValueError(f"metal: '{metal}' is not one of {', '.join(held)}")
    return held[metal]
