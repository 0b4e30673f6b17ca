"""Rinsing and desalting: how far baths dilute what clings to an object and what sits in its pores.

``ratio`` is the volume of one bath over the volume of liquid that the object carries from bath to bath.
What clings is mixed at once; what sits in pores comes out by diffusion, and no change of water hurries it.
"""

from __future__ import annotations

import math

from strandline.physics import crank
from strandline.physics.ranges import within

MOST_STAGES = 100
SODIUM_CHLORIDE_M2_S = 1.5e-9
"""Diffusivity of sodium chloride in water near 20 degC (robinson-stokes-1959, recalled)."""
DAY_S = 86400.0
MOST_RATIO = 1e12


def batch_left(ratio: float, baths: int) -> float:
    """Share of the first concentration left on the object after several fresh baths, well mixed.

    Equation: (1 / (1 + ratio))^baths.
    Source: vogel-1989, repeated extraction (recalled; the form read in iupac-1993-extraction).
    Range: ratio above 0; whole baths.
    Doubt: perfect mixing and an equal volume carried over each time; folds and pores hold more.
    Raises: OutOfRange.

    >>> round(batch_left(ratio=15.0, baths=1), 4)
    0.0625
    """
    within("ratio", ratio, 1e-12, MOST_RATIO)
    within("baths", baths, 0, 1_000_000)
    return math.pow(1.0 + ratio, -baths)


def batch_left_roughly(ratio: float, baths: int) -> float:
    """The same by the rule of thumb that leaves out the carried volume; always above the exact share.

    Equation: ratio^-baths.
    Source: none; the usual shorthand for large ratios.
    Range: ratio 10 and above.
    Doubt: too high by the factor (1 + 1/ratio)^baths: 10 % for one bath at a ratio of 10; on the safe side.
    Raises: OutOfRange.

    >>> round(batch_left_roughly(ratio=10.0, baths=3), 6)
    0.001
    """
    within("ratio", ratio, 10.0, MOST_RATIO)
    within("baths", baths, 0, 1_000_000)
    return math.pow(ratio, -baths)


def flow_left(ratio: float) -> float:
    """Share left in one tank that fresh water runs through, once it is steady.

    Equation: 1 / (1 + ratio), with the ratio of the flow of fresh water to the flow carried in.
    Source: rinsing-page-poly, dilution of one running rinse (read).
    Range: ratio above 0; steady running.
    Doubt: perfect mixing; short cuts from inlet to overflow spoil it.
    Raises: OutOfRange.

    >>> flow_left(ratio=99.0)
    0.01
    """
    return 1.0 / (1.0 + within("ratio", ratio, 1e-12, MOST_RATIO))


def counter_current_left(ratio: float, stages: int) -> float:
    """Share left in the last of several tanks when the water runs against the objects.

    Equation: (ratio - 1)/(ratio^(stages + 1) - 1); 1/(stages + 1) at a ratio of 1.
    Source: kremser-1930 (recalled).
    Range: ratio above 0; 1 to 100 stages.
    Doubt: perfect mixing in every tank and the steady state, which takes several objects to reach.
    Raises: OutOfRange.

    >>> round(counter_current_left(ratio=81.6, stages=2), 6)
    0.000148
    """
    within("ratio", ratio, 1e-9, MOST_RATIO)
    within("stages", stages, 1, MOST_STAGES)
    return 1.0 / math.fsum(ratio**power for power in range(stages + 1))


def counter_current_ratio(left: float, stages: int) -> float:
    """Water per carried volume that a counter-current rinse needs for a share left.

    Equation: the inverse of counter_current_left, by bisection.
    Source: kremser-1930 (recalled).
    Range: share from 1e-9 to 0.9; 1 to 100 stages.
    Doubt: that of counter_current_left; the shorthand (1/left)^(1/stages) lies a little above.
    Raises: OutOfRange.

    >>> round(counter_current_ratio(left=40 / 270000, stages=1))
    6749
    """
    within("left", left, 1e-9, 0.9)
    low, high = 1e-9, 1.0 / left + 1.0
    for _ in range(200):
        middle = 0.5 * (low + high)
        if counter_current_left(middle, stages) > left:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def baths_needed(ratio: float, left: float) -> int:
    """Fewest fresh baths that bring the share left down to a goal.

    Equation: the least whole number n with (1 + ratio)^-n not above the goal.
    Source: vogel-1989, repeated extraction (recalled).
    Range: ratio above 0; share from 1e-12 to 1.
    Doubt: that of batch_left.
    Raises: OutOfRange.

    >>> baths_needed(ratio=9.0, left=0.001)
    3
    """
    within("ratio", ratio, 1e-9, MOST_RATIO)
    within("left", left, 1e-12, 1.0)
    return max(math.ceil(-math.log(left) / math.log1p(ratio) - 1e-9), 0)


def bath_volume(carried_volume: float, left: float, baths: int) -> float:
    """Volume of each of several equal baths for a share left, in the unit of the carried volume.

    Equation: carried ((1/left)^(1/baths) - 1).
    Source: vogel-1989, repeated extraction (recalled).
    Range: share from 1e-12 to 1; 1 to 1000 baths.
    Doubt: that of batch_left; a bath must also cover the object.
    Raises: OutOfRange.

    >>> round(bath_volume(carried_volume=1.0, left=0.001, baths=3), 6)
    9.0
    """
    within("carried_volume", carried_volume, 0.0, 1e9)
    within("left", left, 1e-12, 1.0)
    within("baths", baths, 1, 1000)
    return carried_volume * (math.pow(left, -1.0 / baths) - 1.0)


def pore_diffusivity(free_m2_s: float = SODIUM_CHLORIDE_M2_S, tortuosity_squared: float = 3.0) -> float:
    """Diffusivity of a salt in the water of a porous body.

    Equation: free / tortuosity^2.
    Source: crank-1975; the value of 3 for clay bodies is common practice.
    Range: tortuosity squared from 1 (open water) to 50 (dense stone).
    Doubt: a factor of three without a measurement.
    Units: m2/s.
    Raises: OutOfRange.

    >>> pore_diffusivity()
    5e-10
    """
    within("free_m2_s", free_m2_s, 1e-13, 1e-7, "m2/s")
    return free_m2_s / within("tortuosity_squared", tortuosity_squared, 1.0, 50.0)


def desalting_s(left: float, half_thickness_m: float, diffusivity_m2_s: float) -> float:
    """Time until a wet porous plate, washed on both faces by ever fresh water, holds this share of its salt.

    Equation: Fourier number at which the plane series has lost 1 - left, times L^2/D.
    Source: crank-1975, plane sheet with a constant surface concentration.
    Range: share left from 1e-4 to 0.999; half thickness 0.1 to 500 mm.
    Doubt: that of the diffusivity; salts that hardly dissolve, cracks and crusts are not seen.
    Units: seconds. One face open: give the whole thickness.
    Raises: OutOfRange.

    >>> round(desalting_s(left=0.1, half_thickness_m=0.005, diffusivity_m2_s=5e-10) / 86400, 3)
    0.491
    """
    within("left", left, 1e-4, 0.999)
    within("half_thickness_m", half_thickness_m, 1e-4, 0.5, "m")
    within("diffusivity_m2_s", diffusivity_m2_s, 1e-14, 1e-7, "m2/s")
    low, high = 1e-9, 10.0
    for _ in range(200):
        middle = 0.5 * (low + high)
        if crank.fraction_lost("plane", middle) < 1.0 - left:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high) * half_thickness_m**2 / diffusivity_m2_s


def left_after_baths(bath_per_pore: float, fourier_each: float, baths: int) -> float:
    """Share of the salt left after several finite baths of equal length, pores evened out in between.

    Equation: (1 - reached bath/(1 + bath))^baths with ``reached`` the share of equilibrium of one bath.
    Source: crank-1975, plane sheet in a stirred solution of limited volume; the repetition is ours.
    Range: bath volume 0.1 to 1000 times that of the pores; Fourier number 1e-4 to 100; up to 1000 baths.
    Doubt: each bath is taken to start from an even profile, which hurries short baths.
    Raises: OutOfRange.

    >>> round(left_after_baths(bath_per_pore=3.0, fourier_each=50.0, baths=5), 5)
    0.00098
    """
    within("bath_per_pore", bath_per_pore, 0.1, 1000.0)
    within("fourier_each", fourier_each, 1e-4, 100.0)
    within("baths", baths, 0, 1000)
    reached = crank.fraction_into_bath("plane", fourier_each, bath_per_pore)
    return math.pow(1.0 - reached * bath_per_pore / (1.0 + bath_per_pore), baths)
