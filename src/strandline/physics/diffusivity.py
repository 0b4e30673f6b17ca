"""The form in which the drying engine holds a diffusivity that depends on moisture."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from strandline.physics.ranges import within

FIT_POINTS = 24


@dataclass(frozen=True, slots=True)
class Diffusivity:
    """D(u) [m2/s] = p0 + p1 s1 + ... + p4 s1^4 + rise (3 s2^2 - 2 s2^3), s = u/top, s1 = min(s, 1), s2 =
    min(s - s1, 1).

    ``top`` [kg/kg] is where bound water ends; from there to twice ``top`` the diffusivity climbs by
    ``rise``, the part of free water, and stays. ``misfit`` is how far the polynomial lies from what it was
    fitted to, at most, as a fraction.
    """

    top: float
    polynomial: tuple[float, float, float, float, float]
    rise: float = 0.0
    misfit: float = 0.0

    def at(self, moisture: float) -> float:
        """The diffusivity at a moisture [m2/s]."""
        s = moisture / self.top
        inner, outer = min(s, 1.0), min(max(s - 1.0, 0.0), 1.0)
        bound = sum(value * inner**power for power, value in enumerate(self.polynomial))
        return bound + self.rise * outer * outer * (3.0 - 2.0 * outer)


def constant(diffusivity_m2_s: float) -> Diffusivity:
    """One value whatever the moisture.

    Rule: D(u) = D.
    Source: none; a special case.
    Range: above 0.
    Doubt: none.
    Raises: OutOfRange.

    >>> constant(1e-10).at(0.7)
    1e-10
    """
    within("diffusivity_m2_s", diffusivity_m2_s, 1e-18, 1e-3, "m2/s")
    return Diffusivity(1.0, (diffusivity_m2_s, 0.0, 0.0, 0.0, 0.0))


def fitted(
    law: Callable[[float], float], top: float, lowest: float = 0.0, wet_m2_s: float | None = None
) -> Diffusivity:
    """The polynomial closest to a law between two moistures, by least relative squares.

    Equation: least squares of (P(s) - D)/D at 24 Chebyshev points from ``lowest`` to ``top``.
    Source: chebyshev-points (numerical practice).
    Range: a law that is positive and smooth there; ``top`` > ``lowest`` >= 0.
    Doubt: ``misfit`` of the answer; below ``lowest`` the polynomial is carried on and must stay positive.
    Raises: OutOfRange; ValueError if the polynomial leaves the positive numbers.

    >>> fitted(lambda u: 1e-11 + 3e-10 * u, 0.3).misfit < 1e-9
    True
    """
    within("top", top, lowest + 1e-6, 10.0, "kg/kg")
    angle = (np.arange(FIT_POINTS) + 0.5) * np.pi / FIT_POINTS
    s = lowest / top + (1.0 - lowest / top) * 0.5 * (1.0 - np.cos(angle))
    values = np.array([law(top * float(place)) for place in s])
    powers = s[:, None] ** np.arange(5)[None, :]
    found, *_ = np.linalg.lstsq(powers / values[:, None], np.ones(FIT_POINTS), rcond=None)
    fine = np.linspace(0.0, 1.0, 101)
    if np.min(fine[:, None] ** np.arange(5)[None, :] @ found) <= 0.0:
        raise ValueError("the polynomial fitted to this diffusivity is not positive everywhere")
    misfit = float(np.max(np.abs(powers @ found / values - 1.0)))
    p0, p1, p2, p3, p4 = (float(value) for value in found)
    rise = 0.0 if wet_m2_s is None else wet_m2_s - (p0 + p1 + p2 + p3 + p4)
    return Diffusivity(top, (p0, p1, p2, p3, p4), rise, misfit)
