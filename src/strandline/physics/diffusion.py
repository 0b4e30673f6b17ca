"""How fast bound water moves through sound wood below fibre saturation.

The equation gives the diffusivity across the grain with moisture as the driving force. It is good to a factor
of about two; permeable sapwood, bark, decay and paint are outside it.
"""

from __future__ import annotations

import math

from strandline.physics.ranges import within
from strandline.physics.wood import fibre_saturation, porosity

GAS_CONSTANT = 8.314
ZERO_C_K = 273.15
DRIEST, WETTEST = 0.05, 0.32
"""Stated from 5 % to fibre saturation; the upper bound is the highest fibre saturation of common woods."""

PRE_FACTOR_M2_S = 7e-6
ENERGY_J_MOL = 38_500.0
ENERGY_PER_MOISTURE_J_MOL = 29_000.0
SPREAD = (0.5, 1.0, 2.0)
"""Measured over computed diffusivity: low, middle, high."""

DIRECTIONS: dict[str, tuple[float, float, float]] = {
    "tangential": (1.0, 1.0, 1.0),
    "radial": (0.9, 1.5, 2.0),
    "longitudinal": (2.0, 12.5, 15.0),
}
"""Diffusivity in a direction over the one computed across the grain: low, middle, high."""


def bound_water_diffusivity_m2_s(temp_c: float, moisture: float) -> float:
    """Diffusivity of bound water across the cell wall.

    Equation: 7e-6 exp[-(38500 - 290 M) / (8.314 T)], M in percent, T in kelvin.
    Source: siau-1984 equation 6.14 (recalled; in calories 0.07 exp[-(9200 - 70 M) / (R T)] cm2/s, as a public
        finite-element model that cites it has it).
    Range: moisture 0.05 to fibre saturation (0.32 here); 0 to 100 degC (none given by the source).
    Doubt: a factor of about 2 against measured wood.
    Raises: OutOfRange.

    >>> f"{bound_water_diffusivity_m2_s(temp_c=20.0, moisture=0.15):.3g}"
    '5.75e-12'
    """
    within("moisture", moisture, DRIEST, WETTEST, "kg/kg")
    return _bound_water(within("temp_c", temp_c, 0.0, 100.0, "degC"), moisture)


def transverse_diffusivity_m2_s(temp_c: float, moisture: float, basic_density_kg_m3: float) -> float:
    """Diffusivity of moisture in wood across the grain.

    Equation: D_wall / [(1 - a)(1 - a^2)], a = square root of the porosity at this moisture.
    Source: siau-1984 (recalled).
    Range: moisture 0.05 to 0.32, 0 to 100 degC, density such that cavities remain (about 1000 kg/m3).
    Doubt: a factor of about 2 (SPREAD); basic density stands for the density at this moisture.
    Raises: OutOfRange.

    >>> f"{transverse_diffusivity_m2_s(temp_c=20.0, moisture=0.15, basic_density_kg_m3=500.0):.3g}"
    '6.1e-11'
    """
    wall = bound_water_diffusivity_m2_s(temp_c, moisture)
    share = porosity(basic_density_kg_m3, moisture)
    return wall / ((1.0 - math.sqrt(share)) * (1.0 - share))


def held_diffusivity_m2_s(temp_c: float, moisture: float, basic_density_kg_m3: float) -> float:
    """Diffusivity across the grain, carried on unchanged where the equation is not stated.

    Rule: below 0.05 the value at 0.05; above fibre saturation the value there.
    Source: none; a choice of this code, on the safe side for wood that dries by diffusion.
    Range: moisture 0 to 10 kg/kg, 0 to 100 degC.
    Doubt: permeable sapwood moves free water far faster; see in_stated_range.
    Raises: OutOfRange.

    >>> f"{held_diffusivity_m2_s(temp_c=20.0, moisture=0.8, basic_density_kg_m3=500.0):.3g}"
    '2.52e-10'
    """
    within("moisture", moisture, 0.0, 10.0, "kg/kg")
    held = min(max(moisture, DRIEST), fibre_saturation(temp_c), WETTEST)
    return transverse_diffusivity_m2_s(temp_c, held, basic_density_kg_m3)


def in_stated_range(temp_c: float, moisture: float) -> bool:
    """Whether the equation is stated for this moisture.

    Rule: moisture from 0.05 to fibre saturation at this temperature; 0 to 100 degC.
    Source: siau-1984 (recalled).
    Range: any moisture; -1.2 to 100 degC.
    Doubt: none.
    Raises: OutOfRange for a temperature without a fibre saturation.

    >>> in_stated_range(temp_c=20.0, moisture=0.8)
    False
    """
    return DRIEST <= moisture <= fibre_saturation(temp_c) and 0.0 <= temp_c <= 100.0


def direction_factor(direction: str) -> tuple[float, float, float]:
    """Diffusivity in a direction over the one across the grain: low, middle, high.

    Rule: tangential 1; radial 0.9 to 2, middle 1.5; longitudinal 2 to 15, middle 12.5.
    Source: simpson-1991 ch. 1 (10 to 15, recalled); skaar-1958 (13 in beech); siau-1984 (2 to 4 near fibre
        saturation, recalled); spruce-dvs-2026 (radial 0.94, along 1.98 in thin slices).
    Range: directions tangential, radial, longitudinal; below fibre saturation.
    Doubt: one number stands for a ratio that falls from about 100 in very dry wood to 2 to 4 near saturation.
    Raises: ValueError for another direction.

    >>> direction_factor("longitudinal")[1]
    12.5
    """
    if direction not in DIRECTIONS:
        raise ValueError(f"'{direction}' is no direction; there are {', '.join(DIRECTIONS)}")
    return DIRECTIONS[direction]


def temperature_factor(temp_c: float, reference_temp_c: float, moisture: float) -> float:
    """Diffusivity at one temperature over that at another, at the same moisture.

    Equation: exp[-(38500 - 290 M) / 8.314 (1 / T - 1 / T_ref)], M in percent, T in kelvin.
    Source: siau-1984 equation 6.14 (recalled).
    Range: moisture 0.05 to 0.32, 0 to 100 degC.
    Doubt: none beyond the source.
    Raises: OutOfRange.

    >>> round(temperature_factor(temp_c=5.0, reference_temp_c=20.0, moisture=0.15), 2)
    0.47
    """
    above = bound_water_diffusivity_m2_s(temp_c, moisture)
    return above / bound_water_diffusivity_m2_s(reference_temp_c, moisture)


def _bound_water(temp_c: float, moisture: float) -> float:
    """The equation itself, without its range."""
    energy = ENERGY_J_MOL - ENERGY_PER_MOISTURE_J_MOL * moisture
    return PRE_FACTOR_M2_S * math.exp(-energy / (GAS_CONSTANT * (temp_c + ZERO_C_K)))
