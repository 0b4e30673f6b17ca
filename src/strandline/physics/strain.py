"""Drying strain: what a layer would shrink on its own, less what the whole section shrinks, eased as it
dries.

A board dries from its skin. The skin would shrink but the core holds it: it is in tension. Wood gives way
while its moisture changes (mechano-sorption) and, slower, with time; without that hardly any timber could be
dried.
One number says how fast it gives way: the **easing strain**, the free strain over which a locked-in strain
falls to 1/e of itself. It was fitted on red oak and eastern white pine so that the published kiln schedules
of sound boards come out just bearable, and is a band, because "bearable" lies between yield and failure
(benchmarks/easing.py). Everything said of other species is a prediction.

With steady drying the strain cannot pass the easing strain, however harsh the air: the fit therefore says how
much a bearable schedule strains, and next to nothing of how much worse an unbearable one is.
"""

from __future__ import annotations

import math

from strandline.physics.ranges import within

YIELD_STRAIN = 0.004
"""Wood, paint and glue begin to yield (mecklenburg-1998): aged, painted, irreplaceable things."""
WARNING_STRAIN = 0.009
"""Failure needs at least this much between 35 and 65 % RH (mecklenburg-1998)."""
GESSO_STRAIN = 0.0025
"""Gesso begins to yield (mecklenburg-1998)."""
EASING_STRAIN = (0.0041, 0.0064, 0.0101)
"""Low, middle, high, fitted with the relax times below: under their published 4/4 schedules red oak and
eastern white pine peak at yield with the low one and at the warning with the high one; the middle is their
geometric mean. The mechano-sorptive easing of the drying engine is free strain per kg/kg over this strain."""
RELAX_20_C_H = 480.0
"""Time in which strain eases to 1/e at 20 degC without change of moisture (a rounded guess of the right
order)."""
RELAX_HALVES_PER_K = 10.0


def free_strain(total_shrinkage: float, moisture: float, fibre_saturation: float) -> float:
    """How much a free layer has shrunk from fibre saturation on, as a fraction of its wet size.

    Equation: total_shrinkage (1 - moisture / fibre_saturation) below fibre saturation, else 0.
    Source: wood-handbook-2010, equation 4-4 (linear law).
    Range: total_shrinkage 0 to 0.3; moisture 0 and above; fibre_saturation 0.05 to 0.6.
    Doubt: wood that collapses shrinks above fibre saturation as well; near it the line is too steep.
    Raises: OutOfRange.

    >>> round(free_strain(0.086, 0.15, 0.30), 4)
    0.043
    """
    within("total_shrinkage", total_shrinkage, 0.0, 0.3)
    within("fibre_saturation", fibre_saturation, 0.05, 0.6, "kg/kg")
    within("moisture", moisture, 0.0, 100.0, "kg/kg")
    return total_shrinkage * max(0.0, 1.0 - moisture / fibre_saturation)


def relax_time_h(temp_c: float) -> float:
    """Time in which a strain eases to 1/e while nothing dries [h].

    Equation: 480 h at 20 degC, half of it for every 10 K more.
    Source: strain-practice (a rounded guess of the right order, no published source).
    Range: -10 to 90 degC.
    Doubt: a factor of three; with the easing by drying beside it the peak strain moves by under a tenth.
    Raises: OutOfRange.

    >>> relax_time_h(30.0)
    240.0
    """
    within("temp_c", temp_c, -10.0, 90.0, "degC")
    return float(RELAX_20_C_H * 2.0 ** ((20.0 - temp_c) / RELAX_HALVES_PER_K))


def eased_strain(
    strain: float,
    free_change: float,
    section_change: float,
    hours: float,
    easing_strain: float,
    relax_h: float,
) -> float:
    """Strain of a layer after a step in which it would shrink by free_change and the section by
    section_change.

    Equation: with x = |free_change| / easing_strain + hours / relax_h the answer is
        strain exp(-x) + (free_change - section_change) (1 - exp(-x)) / x: the exact solution of
        de/dt = d(free - section)/dt - e (|d free/dt| / easing_strain + 1 / relax_h) at constant rates.
        Shrinking counts positive, and so does tension.
    Source: strain-easing, the one-element law de/dt = stress rate less (mechano-sorptive + viscous) easing.
    Range: easing_strain above 0; hours 0 and above.
    Doubt: linear; no plastic set apart from it, no memory of the sign of the moisture change.
    Raises: OutOfRange.

    >>> round(eased_strain(0.0, 0.001, 0.0, 0.0, 0.0064, 480.0), 6)
    0.000926
    """
    within("easing_strain", easing_strain, 1e-9, 1e9)
    within("relax_h", relax_h, 1e-9, 1e15, "h")
    within("hours", hours, 0.0, 1e9, "h")
    x = abs(free_change) / easing_strain + hours / relax_h
    kept = math.exp(-x)
    share = 1.0 if x < 1e-12 else -math.expm1(-x) / x
    return strain * kept + (free_change - section_change) * share


def greatest_change(strain_limit: float, total_shrinkage: float, fibre_saturation: float = 0.30) -> float:
    """Change of moisture that strains a fully held, elastic piece to the limit [kg/kg].

    Equation: strain_limit fibre_saturation / total_shrinkage.
    Source: mecklenburg-1998 (elastic strain of held wood); wood-handbook-2010, equation 4-4.
    Range: limits and shrinkages above 0.
    Doubt: full restraint and no easing: the strictest reading.
    Raises: OutOfRange.

    >>> round(greatest_change(0.004, 0.086), 4)
    0.014
    """
    within("strain_limit", strain_limit, 1e-6, 1.0)
    within("total_shrinkage", total_shrinkage, 1e-4, 0.3)
    return strain_limit * within("fibre_saturation", fibre_saturation, 0.05, 0.6, "kg/kg") / total_shrinkage


def steady_difference(rate_per_s: float, half_m: float, diffusivity_m2_s: float) -> float:
    """Mean moisture less surface moisture of a plate that dries steadily [kg/kg].

    Equation: rate half^2 / (3 D), the parabola of a plane with a constant loss.
    Source: crank-1975, constant surface flux (section 4.3.4).
    Range: a steady state: times beyond half^2/D.
    Doubt: with a diffusivity that falls as it dries the true difference is larger.
    Raises: OutOfRange.

    >>> round(steady_difference(1e-8, 0.0125, 1e-10), 5)
    0.00521
    """
    within("half_m", half_m, 1e-6, 10.0, "m")
    within("diffusivity_m2_s", diffusivity_m2_s, 1e-16, 1e-3, "m2/s")
    return rate_per_s * half_m * half_m / (3.0 * diffusivity_m2_s)


def greatest_rate_per_s(difference: float, half_m: float, diffusivity_m2_s: float) -> float:
    """The steady loss of moisture that keeps mean less surface below a difference [kg/kg per s].

    Equation: 3 D difference / half^2.
    Source: crank-1975, constant surface flux (section 4.3.4).
    Range: that of steady_difference.
    Doubt: see steady_difference.
    Raises: OutOfRange.

    >>> round(greatest_rate_per_s(0.014, 0.0125, 1e-10) * 86400 * 100, 3)
    0.232
    """
    within("half_m", half_m, 1e-6, 10.0, "m")
    within("diffusivity_m2_s", diffusivity_m2_s, 1e-16, 1e-3, "m2/s")
    return 3.0 * diffusivity_m2_s * within("difference", difference, 0.0, 10.0, "kg/kg") / (half_m * half_m)
