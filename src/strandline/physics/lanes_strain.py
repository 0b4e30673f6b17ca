"""Drying strain in the lanes: what each layer of a section would shrink, less what the section shrinks.

The section stays flat, so the mean of the strain is nought; tension counts positive. Over a step

    e1 = e0 exp(-x) - beta (ds - mean ds) (1 - exp(-x)) / x,   x = ms |ds| + dt / tau,

which is the exact answer for a strain that eases at constant rate while the moisture changes at constant rate
(physics/strain.py says the equation and its sources). What is then left of the mean is taken off each layer
in proportion to its (1 - exp(-x)) / x, as if the section had moved evenly over the step: that is of second
order in the step, an even shift only of first. ds is the change of the moisture that counts for shrinkage,
which is that below fibre saturation.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from strandline.physics import lanes_table as at
from strandline.physics.lanes import OPTIONS, unsigned

LANES, Y, K, E, S = unsigned(at.LANES, at.Y, at.K, at.E, at.S)
BETA, FIBRE, MS, PER_TAU = unsigned(at.BETA, at.FIBRE, at.MS, at.PER_TAU)
DT, ACC, PEAK, SHIFT, SOFT, EASED, TOP, TOP_T, T = unsigned(
    at.DT, at.ACC, at.PEAK, at.SHIFT, at.SOFT, at.EASED, at.TOP, at.TOP_T, at.T
)
ROW_MASK = at.ROW_MASK
EPS_FIBRE = 0.01
"""Width in kg/kg of the rounding with which shrinkage ends at fibre saturation."""


@njit(**OPTIONS)
def counts_for_shrinkage(u, fibre):
    """The moisture that counts for shrinkage: the smaller of u and fibre saturation, rounded where they
    meet."""
    return 0.5 * (u + fibre - math.sqrt((u - fibre) * (u - fibre) + EPS_FIBRE * EPS_FIBRE))


@njit(**OPTIONS)
def read_shrinkage(w, v, n):
    """Fill plane S of one lane from its moisture."""
    for i in range(n + 1):
        r = np.uint64(i & ROW_MASK) * LANES + np.uint64(v)
        w[S + r] = counts_for_shrinkage(w[Y + r], w[FIBRE + np.uint64(v)])


@njit(**OPTIONS)
def ease(w, n, m):
    """Carry the strain of all lanes over the step that has just been judged; PEAK gets its greatest value."""
    for v in range(LANES):
        w[PEAK + v] = 0.0
        w[SOFT + v] = 0.0
        w[EASED + v] = 0.0
    for i in range(n + 1):
        r = np.uint64(i & ROW_MASK) * LANES
        volume = m[i]
        for v in range(LANES):
            s = counts_for_shrinkage(w[Y + r + v], w[FIBRE + v])
            ds = s - w[S + r + v]
            x = w[MS + v] * abs(ds) + w[DT + v] * w[PER_TAU + v] * w[ACC + v] + 1e-9
            w[EASED + v] = x if x > w[EASED + v] else w[EASED + v]
            # exp(-x) as the inverse 16th power of a short series: no call, so that lanes stay side by side.
            z = x * 0.0625
            p = 1.0 + z * (1.0 + z * (0.5 + z * (1.0 / 6.0 + z * (1.0 / 24.0 + z * (1.0 / 120.0)))))
            p = 1.0 / p
            p = p * p
            p = p * p
            p = p * p
            p = p * p
            soft = (1.0 - p) / x
            # What the section shrinks is left out here: it goes with the rest of the mean below.
            e = w[E + r + v] * p - w[BETA + v] * ds * soft
            w[E + r + v] = e
            w[S + r + v] = s
            w[K + r + v] = soft
            w[PEAK + v] += volume * e
            w[SOFT + v] += volume * soft
    for v in range(LANES):
        w[SHIFT + v] = w[PEAK + v] / w[SOFT + v]
        w[PEAK + v] = -1.0
    for i in range(n + 1):
        r = np.uint64(i & ROW_MASK) * LANES
        for v in range(LANES):
            e = w[E + r + v] - w[SHIFT + v] * w[K + r + v]
            w[E + r + v] = e
            w[PEAK + v] = e if e > w[PEAK + v] else w[PEAK + v]
    for v in range(LANES):
        higher = w[PEAK + v] > w[TOP + v]
        w[TOP + v] = w[PEAK + v] if higher else w[TOP + v]
        w[TOP_T + v] = w[T + v] + w[DT + v] if higher else w[TOP_T + v]
