"""The compiled heart of the drying engine: many bodies side by side, each with its own time step.

A body is a line of vertices from its middle to its surface (physics/grid.py) and one row more for the air
under its cover. With moisture u, scaled volumes m_i, conductances a_i and the potential Phi(u), the integral
of the diffusivity, it obeys

    m_i du_i/dt = a_i (Phi_{i+1} - Phi_i) - a_{i-1} (Phi_i - Phi_{i-1})                     inside
    m_n du_n/dt = -a_{n-1} (Phi_n - Phi_{n-1}) - q j,  j = (h_s - h_a) / (1 + p h_s)        at the surface
    dh_a/dt     = kv j - gv (h_a - h_r(t))                                                 in the cover's air

where h_s(u_n) is the inverse isotherm, p the slowing by the cooling of the surface, and h_r the room's
humidity, linear between the knots of its climate. The diffusivity is a polynomial up to the moisture c, a
smooth step from c to 2 c, constant beyond (physics/diffusivity.py), so that a potential costs no root and no
exponential.

Time goes by a Rosenbrock method of order 3 with an error estimate of order 2 (four stages, L-stable, stiffly
accurate; source rodas3): one Jacobian, one factorisation and four solutions a step, no iteration. The second
stage is solved for its difference from the first, d = k2 - k1, which needs no right-hand side.

Thirty-two bodies stand side by side in memory, so that the innermost loops run over bodies and use the
processor's vector units; a body that has arrived makes room for the next (physics/lanes_run.py).

Nothing here has a unit of its own: the callers (physics/engine.py) scale lengths to the body and time to
hours.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numba import config, njit

from strandline.physics import lanes_table as at
from strandline.physics.compiled import cache_folder

# Set before anything is compiled; physics/compiled.py says why.
config.CACHE_DIR = str(cache_folder())  # type: ignore[attr-defined]  # set from the environment at import

FAST = {"contract", "reassoc", "nsz", "arcp"}
"""What the compiler may do to sums and divisions; numbers that are none must stay visible, so no more."""
OPTIONS: dict[str, Any] = {"cache": True, "error_model": "numpy", "fastmath": FAST, "nogil": True}
EIGHT_THIRDS = 8.0 / 3.0
EPS_RH = 0.01
"""Width of the rounding with which the humidity over a wet surface meets 1."""


def unsigned(*places):
    """Places as numbers without sign: with a sign the compiler has to look for negative ones at each
    access."""
    return tuple(np.uint64(place) for place in places)


LANES = np.uint64(at.LANES)
ROW_MASK = at.ROW_MASK
Y, U, K, Z, IP, G = unsigned(at.Y, at.U, at.K, at.Z, at.IP, at.G)
PER_C, F1, F2, F3, F4, F5 = unsigned(at.PER_C, at.F1, at.F2, at.F3, at.F4, at.F5)
D1, D2, D3, D4, D5 = unsigned(at.D1, at.D2, at.D3, at.D4, at.D5)
TOP_F, RISE_F, RISE = unsigned(at.TOP_F, at.RISE_F, at.RISE)
Q, P, KV, GV = unsigned(at.Q, at.P, at.KV, at.GV)
PER_M0, PER_K, K1, K12 = unsigned(at.PER_M0, at.PER_K, at.K1, at.K12)
DT, GDT, RDT, HR, HR_SLOPE, HA = unsigned(at.DT, at.GDT, at.RDT, at.HR, at.HR_SLOPE, at.HA)
HS, DH, J, J_U, J_A = unsigned(at.HS, at.DH, at.J, at.J_U, at.J_A)
F0, D0, P0, G0, R0 = unsigned(at.CARRY_F, at.CARRY_D, at.CARRY_P, at.CARRY_G, at.CARRY_R)
CROSS, QJ_A, IP_AIR, K_AIR, U_AIR, Z_AIR = unsigned(
    at.CROSS, at.QJ_A, at.IP_AIR, at.K_AIR, at.U_AIR, at.Z_AIR
)
ERR, ACC, FACTOR, MEAN = unsigned(at.ERR, at.ACC, at.FACTOR, at.MEAN)


@njit(**OPTIONS)
def newton(m, k1, k12, x):
    """One step towards the x at which an isotherm of shape k1, k12 holds m times its m0."""
    low = 1.0 + x * (k1 + x * k12)
    low_x = k1 + 2.0 * x * k12
    top = x * low_x
    left = m * (1.0 - x) - x
    slope = left * low_x - (1.0 + m) * low + top - (1.0 - x) * (k1 + 4.0 * x * k12)
    return x - (left * low - (1.0 - x) * top) / slope


@njit(**OPTIONS)
def surface_law(w, row, air):
    """Evaporation j at the moisture in `row` and cover humidity in `air`, with its slopes, for all lanes.

    The inverse isotherm starts from the closed form for k2 = 0 and takes Newton steps on a cubic.
    """
    for v in range(LANES):
        k1 = w[K1 + v]
        k12 = w[K12 + v]
        m = w[row + v] * w[PER_M0 + v]
        b = 1.0 + k1 - m * (k1 - 1.0)
        x = 2.0 * m / (b + math.sqrt(b * b + 4.0 * k1 * m * m))
        x = newton(m, k1, k12, x)
        x = newton(m, k1, k12, x)
        low = 1.0 + x * (k1 + x * k12)
        top = x * (k1 + 2.0 * x * k12)
        low_x = k1 + 2.0 * x * k12
        left = m * (1.0 - x) - x
        slope = left * low_x - (1.0 + m) * low + top - (1.0 - x) * (k1 + 4.0 * x * k12)
        x = x - (left * low - (1.0 - x) * top) / slope
        h = x * w[PER_K + v]
        root = math.sqrt((h - 1.0) * (h - 1.0) + EPS_RH * EPS_RH)
        dh = -w[PER_K + v] * w[PER_M0 + v] * (1.0 - x) * low / slope
        dh = 0.5 * dh * (1.0 - (h - 1.0) / root)
        h = 0.5 * (h + 1.0 - root)
        slowed = 1.0 / (1.0 + w[P + v] * h)
        w[HS + v] = h
        w[DH + v] = dh
        w[J + v] = (h - w[air + v]) * slowed
        w[J_U + v] = dh * (1.0 + w[P + v] * w[air + v]) * slowed * slowed
        w[J_A + v] = slowed


@njit(**OPTIONS)
def potential_of(w, v, s, s1, s2):
    """Integral of the diffusivity up to moisture s, in units of the moisture c; s1, s2 are its parts below 1
    and 2."""
    inner = s1 * (w[F1 + v] + s1 * (w[F2 + v] + s1 * (w[F3 + v] + s1 * (w[F4 + v] + s1 * w[F5 + v]))))
    outer = w[RISE_F + v] * (s2 * s2 * s2 * (1.0 - 0.5 * s2) + (s - s1 - s2))
    return inner + w[TOP_F + v] * (s - s1) + outer


@njit(**OPTIONS)
def diffusivity_of(w, v, s1, s2):
    """The diffusivity at the same place."""
    inner = w[D1 + v] + s1 * (w[D2 + v] + s1 * (w[D3 + v] + s1 * (w[D4 + v] + s1 * w[D5 + v])))
    return inner + w[RISE + v] * s2 * s2 * (3.0 - 2.0 * s2)


@njit(**OPTIONS)
def first_forward(w, n, a, m):
    """Jacobian, its factors and the first stage's right-hand side, eliminated from the middle outwards."""
    for v in range(LANES):
        s = w[Y + v] * w[PER_C + v]
        s1 = s if s < 1.0 else 1.0
        s2 = s - s1
        s2 = s2 if s2 < 1.0 else 1.0
        w[P0 + v] = potential_of(w, v, s, s1, s2)
        w[D0 + v] = diffusivity_of(w, v, s1, s2)
        w[F0 + v] = 0.0
        w[G0 + v] = 0.0
        w[R0 + v] = 0.0
    before = 0.0
    for i in range(n):
        here = a[i]
        both = here + before
        square = before * before
        volume = m[i]
        r = np.uint64(i & ROW_MASK) * LANES
        for v in range(LANES):
            s = w[Y + r + LANES + v] * w[PER_C + v]
            s1 = s if s < 1.0 else 1.0
            s2 = s - s1
            s2 = s2 if s2 < 1.0 else 1.0
            potential = potential_of(w, v, s, s1, s2)
            d = w[D0 + v]
            flux = here * (potential - w[P0 + v])
            pivot = 1.0 / (volume * w[GDT + v] + d * (both - square * w[G0 + v]))
            rest = flux - w[F0 + v] + before * w[R0 + v]
            g = d * pivot
            w[IP + r + v] = pivot
            w[G + r + v] = g
            w[K + r + v] = rest
            w[P0 + v] = potential
            w[D0 + v] = diffusivity_of(w, v, s1, s2)
            w[F0 + v] = flux
            w[G0 + v] = g
            w[R0 + v] = g * rest
        before = here
    r = np.uint64(n & ROW_MASK) * LANES
    for v in range(LANES):
        d = w[D0 + v]
        q = w[Q + v]
        pivot = m[n] * w[GDT + v] + d * (before - before * before * w[G0 + v]) + q * w[J_U + v]
        pivot = 1.0 / pivot
        rest = -w[F0 + v] - q * w[J + v] + before * w[R0 + v]
        cross = w[KV + v] * w[J_U + v] * pivot
        air = w[KV + v] * w[J + v] - w[GV + v] * (w[HA + v] - w[HR + v])
        air += 0.5 * w[DT + v] * w[GV + v] * w[HR_SLOPE + v]
        w[IP + r + v] = pivot
        w[K + r + v] = rest
        w[CROSS + v] = cross
        w[QJ_A + v] = q * w[J_A + v]
        w[IP_AIR + v] = 1.0 / (w[GDT + v] + w[KV + v] * w[J_A + v] + w[GV + v] - cross * q * w[J_A + v])
        w[K_AIR + v] = air + cross * rest


@njit(**OPTIONS)
def later_forward(w, n, a, m):
    """Right-hand side of the third and fourth stage at the point in U, less what Z carries, eliminated."""
    for v in range(LANES):
        s = w[U + v] * w[PER_C + v]
        s1 = s if s < 1.0 else 1.0
        s2 = s - s1
        s2 = s2 if s2 < 1.0 else 1.0
        w[P0 + v] = potential_of(w, v, s, s1, s2)
        w[F0 + v] = 0.0
        w[R0 + v] = 0.0
    before = 0.0
    for i in range(n):
        here = a[i]
        volume = m[i]
        r = np.uint64(i & ROW_MASK) * LANES
        for v in range(LANES):
            s = w[U + r + LANES + v] * w[PER_C + v]
            s1 = s if s < 1.0 else 1.0
            s2 = s - s1
            s2 = s2 if s2 < 1.0 else 1.0
            potential = potential_of(w, v, s, s1, s2)
            flux = here * (potential - w[P0 + v])
            rest = flux - w[F0 + v] - volume * w[RDT + v] * w[Z + r + v] + before * w[R0 + v]
            w[K + r + v] = rest
            w[P0 + v] = potential
            w[F0 + v] = flux
            w[R0 + v] = w[G + r + v] * rest
        before = here
    r = np.uint64(n & ROW_MASK) * LANES
    for v in range(LANES):
        rest = -w[F0 + v] - w[Q + v] * w[J + v] + before * w[R0 + v]
        rest -= m[n] * w[RDT + v] * w[Z + r + v]
        room = w[HR + v] + w[DT + v] * w[HR_SLOPE + v]
        air = w[KV + v] * w[J + v] - w[GV + v] * (w[U_AIR + v] - room) - w[RDT + v] * w[Z_AIR + v]
        w[K + r + v] = rest
        w[K_AIR + v] = air + w[CROSS + v] * rest


@njit(**OPTIONS)
def second_forward(w, n, a, m):
    """Right-hand side of the second stage's difference from the first, 4/dt M k1, eliminated."""
    for v in range(LANES):
        w[R0 + v] = 0.0
    before = 0.0
    for i in range(n):
        volume = 2.0 * m[i]
        r = np.uint64(i & ROW_MASK) * LANES
        for v in range(LANES):
            rest = volume * w[RDT + v] * (w[U + r + v] - w[Y + r + v]) + before * w[R0 + v]
            w[K + r + v] = rest
            w[R0 + v] = w[G + r + v] * rest
        before = a[i]
    r = np.uint64(n & ROW_MASK) * LANES
    for v in range(LANES):
        rest = 2.0 * m[n] * w[RDT + v] * (w[U + r + v] - w[Y + r + v]) + before * w[R0 + v]
        air = 2.0 * w[RDT + v] * (w[U_AIR + v] - w[HA + v])
        air += w[DT + v] * w[GV + v] * w[HR_SLOPE + v]
        w[K + r + v] = rest
        w[K_AIR + v] = air + w[CROSS + v] * rest


@njit(**OPTIONS)
def last_rows(w, n):
    """Slopes of the cover's air and of the surface vertex; the surface's D k is left in the carry R0.

    The first stage left the surface's diffusivity in the carry D0; no later stage touches it.
    """
    r = np.uint64(n & ROW_MASK) * LANES
    for v in range(LANES):
        air = w[K_AIR + v] * w[IP_AIR + v]
        k = w[IP + r + v] * (w[K + r + v] + w[QJ_A + v] * air)
        w[K_AIR + v] = air
        w[K + r + v] = k
        w[R0 + v] = w[D0 + v] * k


@njit(**OPTIONS)
def first_back(w, n, a):
    """k1 from the surface inwards; U becomes the point y + 2 k1 at which the third stage looks."""
    last_rows(w, n)
    r = np.uint64(n & ROW_MASK) * LANES
    for v in range(LANES):
        w[U + r + v] = w[Y + r + v] + 2.0 * w[K + r + v]
        w[U_AIR + v] = w[HA + v] + 2.0 * w[K_AIR + v]
    for i in range(n - 1, -1, -1):
        here = a[i]
        r = np.uint64(i & ROW_MASK) * LANES
        for v in range(LANES):
            rest = w[K + r + v] + here * w[R0 + v]
            w[U + r + v] = w[Y + r + v] + 2.0 * w[IP + r + v] * rest
            w[R0 + v] = w[G + r + v] * rest


@njit(**OPTIONS)
def second_back(w, n, a):
    """d = k2 - k1 from the surface inwards, into Z."""
    last_rows(w, n)
    r = np.uint64(n & ROW_MASK) * LANES
    for v in range(LANES):
        w[Z + r + v] = w[K + r + v]
        w[Z_AIR + v] = w[K_AIR + v]
    for i in range(n - 1, -1, -1):
        here = a[i]
        r = np.uint64(i & ROW_MASK) * LANES
        for v in range(LANES):
            rest = w[K + r + v] + here * w[R0 + v]
            w[Z + r + v] = w[IP + r + v] * rest
            w[R0 + v] = w[G + r + v] * rest


@njit(**OPTIONS)
def third_back(w, n, a):
    """k3 from the surface inwards, added to U and, with its factor, to Z."""
    last_rows(w, n)
    r = np.uint64(n & ROW_MASK) * LANES
    for v in range(LANES):
        w[U + r + v] += w[K + r + v]
        w[Z + r + v] += EIGHT_THIRDS * w[K + r + v]
        w[U_AIR + v] += w[K_AIR + v]
        w[Z_AIR + v] += EIGHT_THIRDS * w[K_AIR + v]
    for i in range(n - 1, -1, -1):
        here = a[i]
        r = np.uint64(i & ROW_MASK) * LANES
        for v in range(LANES):
            rest = w[K + r + v] + here * w[R0 + v]
            k = w[IP + r + v] * rest
            w[U + r + v] += k
            w[Z + r + v] += EIGHT_THIRDS * k
            w[R0 + v] = w[G + r + v] * rest


@njit(**OPTIONS)
def fourth_back(w, n, a, m):
    """k4, which is also the error: K keeps it, ERR gets the mean of its squares."""
    last_rows(w, n)
    r = np.uint64(n & ROW_MASK) * LANES
    for v in range(LANES):
        w[ERR + v] = m[n] * w[K + r + v] * w[K + r + v] + w[K_AIR + v] * w[K_AIR + v]
    for i in range(n - 1, -1, -1):
        here = a[i]
        volume = m[i]
        r = np.uint64(i & ROW_MASK) * LANES
        for v in range(LANES):
            rest = w[K + r + v] + here * w[R0 + v]
            k = w[IP + r + v] * rest
            w[K + r + v] = k
            w[ERR + v] += volume * k * k
            w[R0 + v] = w[G + r + v] * rest


@njit(**OPTIONS)
def judge(w, tolerance):
    """Whether each lane's step stands, and by how much its next one may differ.

    The factor is 0.9 (tolerance/error)^0.3125, by square roots; the order of the method would allow 1/3.
    """
    per_square = 1.0 / (tolerance * tolerance)
    for v in range(LANES):
        e = w[ERR + v] * per_square
        w[ACC + v] = 1.0 if e <= 1.0 else 0.0
        eighth = math.sqrt(math.sqrt(math.sqrt(e + 1e-9)))
        factor = 0.9 / (eighth * math.sqrt(math.sqrt(eighth)))
        w[FACTOR + v] = min(5.0, factor) if factor > 0.2 else 0.2


@njit(**OPTIONS)
def accept(w, n, m):
    """Lanes whose step stands move to y + 2 k1 + k3 + k4; all get their mean."""
    for v in range(LANES):
        w[MEAN + v] = 0.0
        w[HA + v] = w[U_AIR + v] + w[K_AIR + v] if w[ACC + v] > 0.5 else w[HA + v]
    for i in range(n + 1):
        volume = m[i]
        r = np.uint64(i & ROW_MASK) * LANES
        for v in range(LANES):
            there = w[U + r + v] + w[K + r + v]
            u = there if w[ACC + v] > 0.5 else w[Y + r + v]
            w[Y + r + v] = u
            w[MEAN + v] += volume * u


@njit(**OPTIONS)
def step(w, n, a, m, tolerance):
    """One step of all lanes, each of its own length; the surface law has been worked out at the start of
    it."""
    first_forward(w, n, a, m)
    first_back(w, n, a)
    second_forward(w, n, a, m)
    second_back(w, n, a)
    surface_law(w, U + np.uint64(n & ROW_MASK) * LANES, U_AIR)
    later_forward(w, n, a, m)
    third_back(w, n, a)
    surface_law(w, U + np.uint64(n & ROW_MASK) * LANES, U_AIR)
    later_forward(w, n, a, m)
    fourth_back(w, n, a, m)
    judge(w, tolerance)
    accept(w, n, m)
