"""Moisture of wood in equilibrium with air: the isotherm, its inverse, and the branches of hysteresis.

The isotherm is the two-hydrate equation behind the handbook's table, which lies between wetting and drying.
One fibre saturation point serves the physics, ``wood.fibre_saturation``. In saturated air the isotherm ends a
little below it (0.288 against 0.300 kg/kg at 20 degC); no branch is let rise above it.
"""

from __future__ import annotations

from strandline.physics.isotherm import Isotherm, moisture_at, rh_at
from strandline.physics.ranges import within
from strandline.physics.wood import fibre_saturation

COLDEST_C, HOTTEST_C = -1.2, 99.0
STATED_RH = (0.05, 0.95)

BRANCHES: dict[str, tuple[float, float, float]] = {
    "green_desorption": (1.00, 1.05, 1.10),
    "table": (1.00, 1.00, 1.00),
    "adsorption": (0.85, 0.875, 0.90),
}
"""Moisture on a branch over that of the table: low, middle, high."""


def wood_isotherm(temp_c: float) -> Isotherm:
    """The isotherm of wood at a temperature.

    Equation: m0 = 18 / W, W = 349 + 1.29 T + 0.0135 T^2; k = 0.805 + 0.000736 T - 0.00000273 T^2;
        k1 = 6.27 - 0.00938 T - 0.000303 T^2; k2 = 1.91 + 0.0407 T - 0.000293 T^2.
    Source: simpson-1973; wood-handbook-2010 equation 4-5 (constants recalled, confirmed by its table 4-2 and
        by the form in degrees Fahrenheit, which was read).
    Range: -1.2 to 99 degC; fitted for humidities of 5 to 95 %.
    Doubt: an average of species; single species lie 1 to 2 points of moisture off, more near saturation.
    Raises: OutOfRange.

    >>> round(wood_isotherm(temp_c=20.0).saturated, 3)
    0.288
    """
    t = within("temp_c", temp_c, COLDEST_C, HOTTEST_C, "degC")
    w = 349.0 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    return Isotherm(18.0 / w, k, k1, k2)


def equilibrium_moisture(temp_c: float, rh: float) -> float:
    """Moisture of wood in equilibrium with air, between wetting and drying [kg/kg].

    Equation: moisture_at of wood_isotherm.
    Source: simpson-1973; wood-handbook-2010 equation 4-5 and table 4-2.
    Range: -1.2 to 99 degC, rh 0 to 1; stated for 0.05 to 0.95, see in_stated_range.
    Doubt: mean gap from the older measured table 0.13, greatest 0.9 points of moisture.
    Raises: OutOfRange.

    >>> round(equilibrium_moisture(temp_c=20.0, rh=0.65), 2)
    0.12
    """
    return moisture_at(wood_isotherm(temp_c), rh)


def equilibrium_rh(temp_c: float, moisture: float) -> float:
    """Humidity of air in which wood of this moisture neither gains nor loses water; 1 from saturation on.

    Equation: rh_at of wood_isotherm.
    Source: simpson-1973, algebra.
    Range: -1.2 to 99 degC, moisture 0 and above.
    Doubt: 0.9 points of moisture are 5 points of humidity in mid-range.
    Raises: OutOfRange.

    >>> round(equilibrium_rh(temp_c=20.0, moisture=0.09), 1)
    0.5
    """
    return rh_at(wood_isotherm(temp_c), moisture)


def in_stated_range(temp_c: float, rh: float) -> bool:
    """Whether temperature and humidity lie where the isotherm was fitted.

    Rule: -1.2 to 99 degC and humidity 5 to 95 %.
    Source: wood-handbook-2010 table 4-2.
    Range: any.
    Doubt: none.

    >>> in_stated_range(temp_c=20.0, rh=0.98)
    False
    """
    return COLDEST_C <= temp_c <= HOTTEST_C and STATED_RH[0] <= rh <= STATED_RH[1]


def branch_factor(branch: str) -> tuple[float, float, float]:
    """Moisture on a branch of the hysteresis over that of the table: low, middle, high.

    Rule: wood dried for the first time since it was soaked holds 1.0 to 1.1 of the table, wood that takes up
        water from air 0.85 to 0.9; the table itself lies between.
    Source: stamm-1964; skaar-1988 (recalled): wetting over drying 0.75 to 0.9.
    Range: branches green_desorption, table, adsorption.
    Doubt: drying after the first soaking was measured 2 to 3 points of moisture above the table
        (chen-2009), more than the band here; the bands are a choice for work, not confidence limits.
    Raises: ValueError for another branch.

    >>> branch_factor("table")
    (1.0, 1.0, 1.0)
    """
    if branch not in BRANCHES:
        raise ValueError(f"'{branch}' is no branch; there are {', '.join(BRANCHES)}")
    return BRANCHES[branch]


def branch_isotherm(temp_c: float, branch: str) -> Isotherm:
    """The isotherm along the middle of a branch.

    Rule: the table's isotherm times the branch's middle factor.
    Source: simpson-1973; stamm-1964; skaar-1988 (recalled).
    Range: -1.2 to 99 degC.
    Doubt: that of branch_factor; on green_desorption it passes fibre saturation in saturated air.
    Raises: OutOfRange; ValueError for another branch.

    >>> round(branch_isotherm(temp_c=20.0, branch="adsorption").saturated, 3)
    0.252
    """
    base = wood_isotherm(temp_c)
    return Isotherm(base.m0 * branch_factor(branch)[1], base.k, base.k1, base.k2)


def branch_moisture(temp_c: float, rh: float, branch: str) -> tuple[float, float, float]:
    """Moisture of wood in equilibrium with air along a branch: low, middle, high [kg/kg].

    Rule: the table's moisture times the branch's factors, never above fibre saturation.
    Source: simpson-1973; stamm-1964; skaar-1988 (recalled).
    Range: -1.2 to 99 degC, rh 0 to 1.
    Doubt: that of branch_factor.
    Raises: OutOfRange; ValueError for another branch.

    >>> [round(value, 3) for value in branch_moisture(temp_c=20.0, rh=0.65, branch="adsorption")]
    [0.102, 0.105, 0.108]
    """
    held, most = equilibrium_moisture(temp_c, rh), fibre_saturation(temp_c)
    low, middle, high = branch_factor(branch)
    return min(most, low * held), min(most, middle * held), min(most, high * held)
