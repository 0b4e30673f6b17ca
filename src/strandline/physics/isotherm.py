"""One form for every sorption isotherm: how much water a body holds in air of a given humidity.

The two-hydrate equation of wood and the GAB equation of most other organic bodies are the same expression:
with ``k2 = 0`` the first is the second. The drying engine therefore needs only this form.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from strandline.physics.ranges import within

NEWTON_STEPS = 60
CLOSE_ENOUGH = 1e-14


@dataclass(frozen=True, slots=True)
class Isotherm:
    """Constants of moisture = m0 [x/(1-x) + (k1 x + 2 k1 k2 x^2)/(1 + k1 x + k1 k2 x^2)], x = k rh.

    ``m0`` in kg water per kg dry; ``k``, ``k1``, ``k2`` without unit, ``0 < k < 1``.
    """

    m0: float
    k: float
    k1: float
    k2: float

    @property
    def saturated(self) -> float:
        """Moisture in equilibrium with saturated air [kg/kg]."""
        return moisture_at(self, 1.0)


def gab(m0: float, c: float, k: float) -> Isotherm:
    """The isotherm of the GAB equation m = m0 c k a / [(1 - k a)(1 - k a + c k a)].

    Equation: with x = k a this is m0 [x/(1-x) + (c-1) x/(1 + (c-1) x)], hence k1 = c - 1 and k2 = 0.
    Source: gab-form, algebra.
    Range: c >= 1, 0 < k < 1; water activities the constants were fitted on (mostly 0.1 to 0.9).
    Doubt: GAB constants fitted to 0.9 overrate or underrate what is held near saturation.
    Raises: OutOfRange.

    >>> round(moisture_at(gab(0.03445, 12.39, 0.840), 0.65), 4)
    0.0711
    """
    within("c", c, 1.0, 1e6)
    within("k", k, 1e-6, 0.999999)
    return Isotherm(within("m0", m0, 1e-9, 10.0, "kg/kg"), k, c - 1.0, 0.0)


def moisture_at(isotherm: Isotherm, rh: float) -> float:
    """Moisture in equilibrium with air of this relative humidity [kg/kg].

    Equation: m0 [x/(1-x) + (k1 x + 2 k1 k2 x^2)/(1 + k1 x + k1 k2 x^2)], x = k rh.
    Source: simpson-1973 (two-hydrate form); gab-form for k2 = 0.
    Range: rh 0 to 1.
    Doubt: that of the constants.
    Raises: OutOfRange.

    >>> moisture_at(Isotherm(0.05, 0.8, 6.0, 2.0), 0.0)
    0.0
    """
    x = isotherm.k * within("rh", rh, 0.0, 1.0)
    return isotherm.m0 * _shape(x, isotherm.k1, isotherm.k2)


def rh_at(isotherm: Isotherm, moisture: float) -> float:
    """Relative humidity of air in equilibrium with this moisture; 1 from the saturated moisture on.

    Equation: the inverse of moisture_at, by Newton steps from the closed form for k2 = 0.
    Source: algebra.
    Range: moisture 0 and above.
    Doubt: that of the constants; near saturation the isotherm is steep and capillary water hides in it.
    Raises: OutOfRange for a negative moisture; ArithmeticError if the steps do not close in.

    >>> round(rh_at(Isotherm(0.05, 0.8, 6.0, 2.0), moisture_at(Isotherm(0.05, 0.8, 6.0, 2.0), 0.6)), 9)
    0.6
    """
    within("moisture", moisture, 0.0, 1e6, "kg/kg")
    if moisture >= isotherm.saturated:
        return 1.0
    wanted, k1, k2 = moisture / isotherm.m0, isotherm.k1, isotherm.k2
    low, high, x = 0.0, isotherm.k, min(isotherm.k, _first_guess(wanted, k1))
    for _ in range(NEWTON_STEPS):
        miss = _shape(x, k1, k2) - wanted
        low, high = (x, high) if miss < 0.0 else (low, x)
        step = miss / _slope(x, k1, k2)
        following = x - step if low <= x - step <= high else 0.5 * (low + high)
        if abs(following - x) <= CLOSE_ENOUGH * isotherm.k or miss == 0.0:
            return min(1.0, following / isotherm.k)
        x = following
    raise ArithmeticError(f"no humidity found for a moisture of {moisture:g} kg/kg")


def slope_at(isotherm: Isotherm, rh: float) -> float:
    """Steepness of the isotherm, d moisture / d rh [kg/kg].

    Equation: the derivative of moisture_at.
    Source: algebra.
    Range: rh 0 to 1.
    Doubt: that of the constants.
    Raises: OutOfRange.

    >>> slope_at(Isotherm(0.05, 0.8, 0.0, 0.0), 0.0) == 0.05 * 0.8
    True
    """
    x = isotherm.k * within("rh", rh, 0.0, 1.0)
    return isotherm.m0 * isotherm.k * _slope(x, isotherm.k1, isotherm.k2)


def _shape(x: float, k1: float, k2: float) -> float:
    """Moisture over m0 for x = k rh."""
    return x / (1.0 - x) + (k1 * x + 2.0 * k1 * k2 * x * x) / (1.0 + k1 * x + k1 * k2 * x * x)


def _slope(x: float, k1: float, k2: float) -> float:
    """Derivative of the shape."""
    below = 1.0 + k1 * x + k1 * k2 * x * x
    above = k1 * x + 2.0 * k1 * k2 * x * x
    bound = ((k1 + 4.0 * k1 * k2 * x) * below - above * (k1 + 2.0 * k1 * k2 * x)) / (below * below)
    return 1.0 / ((1.0 - x) * (1.0 - x)) + bound


def _first_guess(wanted: float, k1: float) -> float:
    """The exact x for k2 = 0: the root of wanted = x/(1-x) + k1 x/(1 + k1 x)."""
    # wanted (1-x)(1+k1 x) = x (1+k1 x) + k1 x (1-x)  =>  -wanted k1 x^2 + (wanted (k1-1) - 1 - k1) x +
    # wanted = 0
    a, b = wanted * k1, 1.0 + k1 - wanted * (k1 - 1.0)
    return 2.0 * wanted / (b + math.sqrt(b * b + 4.0 * a * wanted))
