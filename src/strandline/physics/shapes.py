"""Boxes and short cylinders out of one-dimensional bodies, and which direction lets the water out.

What is left of the excess moisture multiplies over the directions. That is exact for a constant diffusivity
and the same step at every face, and nothing more than a guide otherwise; `product_rule_flag` says when.
"""

from __future__ import annotations

import math

from strandline.physics.crank import HELD, fraction_lost_biot
from strandline.physics.ranges import within

VARIES = "the diffusivity depends on moisture: the faces then work on each other's share of the body"
LIMITED = "the air in the cover limits the loss: all faces give off into the same air"
CHANGES = "the climate changes while it dries: the rule holds for one step at the start"


def product_fraction(e1: float, e2: float, e3: float = 0.0) -> float:
    """Share lost from a box or a short cylinder, from the shares its directions would lose alone.

    Equation: 1 - (1 - e1) (1 - e2) (1 - e3).
    Source: carslaw-jaeger-1959, section 1.15 (recalled); newman-1936 (recalled).
    Range: shares 0 to 1.
    Doubt: exact for constant diffusivity and one step of a held or linear surface; see `product_rule_flag`.
    Raises: OutOfRange.

    >>> round(product_fraction(0.35682, 0.35682, 0.35682), 4)
    0.7339
    """
    left = 1.0
    for name, share in (("e1", e1), ("e2", e2), ("e3", e3)):
        left *= 1.0 - within(name, share, 0.0, 1.0)
    return 1.0 - left


def box_fraction(fourier_1: float, fourier_2: float, fourier_3: float = 0.0, biot: float = HELD) -> float:
    """Share lost from a box, from the Fourier numbers of its three half thicknesses.

    A direction whose faces are sealed has the Fourier number 0. ``biot`` is that of every face, so a finite
    one stands only for a cube; give boxes with a film through `product_fraction`.

    Equation: product_fraction of fraction_lost_biot of the plane.
    Source: crank-1975, section 4.3 (recalled); carslaw-jaeger-1959, section 1.15 (recalled).
    Range: Fourier numbers 0 to 1e9; biot 1e-6 to 1e6, or infinite (the default).
    Doubt: as product_fraction.
    Raises: OutOfRange.

    >>> round(box_fraction(0.1, 0.1, 0.1), 4)
    0.7339
    """
    shares = (fraction_lost_biot("plane", fourier, biot) for fourier in (fourier_1, fourier_2, fourier_3))
    return product_fraction(*shares)


def short_cylinder_fraction(
    fourier_radius: float, fourier_axis: float, biot_radius: float = HELD, biot_axis: float = HELD
) -> float:
    """Share lost from a cylinder that also loses through its ends.

    ``fourier_radius`` is over the radius, ``fourier_axis`` over half the length; likewise the Biot numbers.

    Equation: product_fraction of fraction_lost_biot of the cylinder and of the plane.
    Source: crank-1975, chapters 4 and 5 (recalled); carslaw-jaeger-1959, section 1.15 (recalled).
    Range: Fourier numbers 0 to 1e9; Biot numbers 1e-6 to 1e6, or infinite (the default).
    Doubt: as product_fraction.
    Raises: OutOfRange.

    >>> round(short_cylinder_fraction(0.1, 0.1), 4)
    0.7465
    """
    round_side = fraction_lost_biot("cylinder", fourier_radius, biot_radius)
    return product_fraction(round_side, fraction_lost_biot("plane", fourier_axis, biot_axis))


def product_rule_flag(diffusivity_varies: bool, cover_limits: bool, climate_varies: bool) -> str:
    """Why the product over the directions does not hold here; empty where it does.

    Rule: it holds for a constant diffusivity, an even start, and one step of the surroundings felt by every
        face through a held surface or a film that follows the moisture in a straight line.
    Source: carslaw-jaeger-1959, section 1.15 (recalled).
    Range: none given by the source.
    Doubt: none; how large the error is where it does not hold has to be asked of the drying engine.

    >>> product_rule_flag(False, False, False)
    ''
    """
    because = ((diffusivity_varies, VARIES), (cover_limits, LIMITED), (climate_varies, CHANGES))
    return "; ".join(reason for holds, reason in because if holds)


def equivalent_half_m(half_m: float, diffusivity_m2_s: float, reference_m2_s: float) -> float:
    """Half thickness as slow at the reference diffusivity: a length along the grain counts less.

    Equation: L sqrt(D_reference/D).
    Source: carslaw-jaeger-1959, section 1.20 (recalled).
    Range: half thickness 1e-5 to 10 m; diffusivities 1e-15 to 1e-3 m2/s.
    Doubt: exact for constant diffusivities along the axes of the body; grain at a slant lies between.
    Raises: OutOfRange.

    >>> round(equivalent_half_m(0.1, 12e-10, 1e-10), 4)
    0.0289
    """
    within("half_m", half_m, 1e-5, 10.0, "m")
    within("diffusivity_m2_s", diffusivity_m2_s, 1e-15, 1e-3, "m2/s")
    return half_m * math.sqrt(
        within("reference_m2_s", reference_m2_s, 1e-15, 1e-3, "m2/s") / diffusivity_m2_s
    )


def controlling_axis(half_1_m: float, half_2_m: float, half_3_m: float) -> int:
    """Which of three equivalent half thicknesses lets the water out: 1, 2 or 3, the first of equals.

    Rule: the smallest; give lengths along the grain through `equivalent_half_m`, infinity for sealed faces.
    Source: carslaw-jaeger-1959, section 1.15 (recalled): the times go with the square of the half thickness.
    Range: half thicknesses above 1e-5 m; at least one of them below 10 m.
    Doubt: two of nearly the same size share the control.
    Raises: OutOfRange.

    >>> controlling_axis(0.05, 0.02, 0.03)
    2
    """
    halves = [half_1_m, half_2_m, half_3_m]
    for number, half in enumerate(halves, 1):
        within(f"half_{number}_m", half if half != math.inf else 10.0, 1e-5, 10.0, "m")
    within("the smallest half thickness", min(halves), 1e-5, 10.0, "m")
    return halves.index(min(halves)) + 1


def combined_half_m(half_1_m: float, half_2_m: float, half_3_m: float = math.inf) -> float:
    """Half thickness of the plane body that in the end dries as fast as a box with these equivalent halves.

    Equation: 1/L^2 = 1/L1^2 + 1/L2^2 + 1/L3^2, the sum of the slowest rates of the three planes.
    Source: carslaw-jaeger-1959, section 1.15 (recalled), algebra.
    Range: half thicknesses above 1e-5 m, infinity for sealed faces; at least one of them below 10 m.
    Doubt: right for the late stage; early on the box loses more (a cube sqrt(3) times as much).
    Raises: OutOfRange.

    >>> round(combined_half_m(0.03, 0.03, 0.03), 4)
    0.0173
    """
    halves = (half_1_m, half_2_m, half_3_m)
    controlling_axis(*halves)
    return 1.0 / math.sqrt(math.fsum(1.0 / (half * half) for half in halves))


def ends_control_up_to(thickness_m: float, ratio: float) -> float:
    """Length up to which a board dries through its ends rather than its faces.

    Equation: thickness times sqrt(D_along/D_across).
    Source: simpson-1991, chapter 1 (ratio 10 to 15, recalled); algebra.
    Range: thickness 1e-5 to 10 m; ratio 1 to 100 (10 to 15 below fibre saturation; 2 to 4 near it).
    Doubt: a factor of 1.5, that of the ratio; sealed ends never control.
    Raises: OutOfRange.

    >>> round(ends_control_up_to(0.02, 12.25), 3)
    0.07
    """
    return within("thickness_m", thickness_m, 1e-5, 10.0, "m") * math.sqrt(within("ratio", ratio, 1.0, 100.0))
