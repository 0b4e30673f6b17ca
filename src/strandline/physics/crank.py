"""Exact solutions of diffusion with a constant diffusivity, in plane, cylinder and sphere.

All are dimensionless. ``fourier`` is diffusivity times time over the half thickness (or radius) squared;
``biot`` is surface conductance times half thickness over diffusivity, infinite where the surface is held.
The fraction lost is the share of the change between start and equilibrium that has happened: it holds for
drying and wetting alike.

The eigenfunction series are summed from ``SHORT`` on, where they close in fast; below it stand the short-time
forms.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from functools import cache
from typing import Literal

from scipy.optimize import brentq, minimize_scalar
from scipy.special import erfcx, ive, j0, j1, jn_zeros

from strandline.physics.ranges import within

Shape = Literal["plane", "cylinder", "sphere"]

HELD = math.inf
"""The Biot number of a surface that is held at its equilibrium."""

SHORT = 0.01
"""Fourier number below which the short-time forms are used: what they leave out is below exp(-1/SHORT)."""

TERMS = 22
"""Terms of a series: at ``SHORT`` the next would be smaller than exp(-40)."""

ORDER = {"plane": 0, "cylinder": 1, "sphere": 2}
LONGEST = 1e9
MOST_ROOTS = 200
NODES = 16
"""Nodes on each half of the contour; the error falls as 8.1^-NODES."""


def fraction_lost(shape: Shape, fourier: float) -> float:
    """Share of the water to be lost that has left a body whose surface is held at equilibrium.

    Equation: plane 1 - sum 8/((2n+1)^2 pi^2) exp(-(2n+1)^2 pi^2 Fo/4); cylinder 1 - sum 4/a^2 exp(-a^2 Fo),
        J0(a) = 0; sphere 1 - 6/pi^2 sum exp(-n^2 pi^2 Fo)/n^2; short times 2 sqrt(Fo/pi) for the plane,
        6 sqrt(Fo/pi) - 3 Fo for the sphere, for the cylinder the inverse, by terms, of 2 I1/(I0 s^1.5).
    Source: crank-1975, eqs 4.18, 5.23, 6.20 and 4.20, 5.25, 6.22 (recalled).
    Range: fourier 0 to 1e9.
    Doubt: absolute error below 1e-12; the diffusivity is taken as constant.
    Raises: OutOfRange; ValueError for an unknown shape.

    >>> round(fraction_lost("plane", 0.125), 8)
    0.39892799
    """
    m = _order(shape)
    within("fourier", fourier, 0.0, LONGEST)
    if fourier >= SHORT:
        return _unity(1.0 - _series(shape, fourier, HELD))
    if m == 1:
        return sum(c * math.pow(fourier, power) for c, power in _cylinder_short())
    return 2.0 * (m + 1) * math.sqrt(fourier / math.pi) - (3.0 * fourier if m == 2 else 0.0)


def fraction_lost_biot(shape: Shape, fourier: float, biot: float) -> float:
    """Share of the water to be lost that has left a body that gives it off through a surface film.

    Equation: 1 - sum A exp(-b^2 Fo); A = 2 (m+1) Bi^2/(b^2 (b^2 + Bi^2 + (1-m) Bi)), m = 0 plane, 1 cylinder,
        2 sphere, b the roots of `root`; short times by the inverse of (m+1) Bi (q - v)/(s^2 (q + Bi - v)),
        q = sqrt(s), v = 0 (plane) or 1 (sphere), for the cylinder along a contour.
    Source: crank-1975, eqs 4.53, 5.49, 6.43 (recalled).
    Range: fourier 0 to 1e9; biot 1e-6 to 1e6, or infinite.
    Doubt: absolute error below 1e-11; diffusivity and film taken as constant, the sorption line as straight.
    Raises: OutOfRange; ValueError for an unknown shape.

    >>> round(fraction_lost_biot("plane", 0.125, 20.0), 8)
    0.35288618
    """
    m = _order(shape)
    within("fourier", fourier, 0.0, LONGEST)
    if _biot(biot) == HELD:
        return fraction_lost(shape, fourier)
    if fourier >= SHORT:
        return _unity(1.0 - _series(shape, fourier, biot))
    if fourier == 0.0:
        return 0.0
    if m == 1:
        return _contour(lambda s: _lost_transform(s, biot), fourier)
    return _film_short(m, fourier, biot)


def root(shape: Shape, biot: float, n: int) -> float:
    """The n-th positive root of the condition at the surface, counted from 1.

    Equation: plane b tan b = Bi; cylinder b J1(b) = Bi J0(b); sphere b cot b = 1 - Bi.
    Source: crank-1975, eqs 4.51, 5.47, 6.41 (recalled); watts-2007, tables A.1 and A.2.
    Range: biot 1e-6 to 1e6, or infinite; n 1 to 200.
    Doubt: none; found to the last digits.
    Raises: OutOfRange; ValueError for an unknown shape.

    >>> round(root("plane", 1.0, 2), 4)
    3.4256
    """
    m = _order(shape)
    within("n", n, 1, MOST_ROOTS)
    if _biot(biot) == HELD:
        return (math.pi * (n - 0.5), _bessel_zero(0, n), math.pi * n)[m]
    return _root(shape, biot, n)


def first_coefficient(shape: Shape, biot: float) -> float:
    """Coefficient of the first term of the local series: at the middle this times exp(-b1^2 Fo) is left.

    Equation: plane 2 sin b/(b + sin b cos b); cylinder 2 J1/(b (J0^2 + J1^2));
        sphere 2 (sin b - b cos b)/(b - sin b cos b).
    Source: cengel-2015, table 4-2 (values); carslaw-jaeger-1959 (form, recalled).
    Range: biot 1e-6 to 1e6, or infinite.
    Doubt: one term alone is good to 2 % from a Fourier number of 0.2 on.
    Raises: OutOfRange; ValueError for an unknown shape.

    >>> round(first_coefficient("sphere", 1.0), 4)
    1.2732
    """
    return _coefficient(_order(shape), root(shape, biot, 1))


def local_fraction(shape: Shape, position: float, fourier: float, biot: float = HELD) -> float:
    """Share of the first excess moisture that is still there at one depth.

    Equation: sum C phi(b x) exp(-b^2 Fo), phi = cos, J0, sin(b x)/(b x); at short times the inverse, along a
        contour, of [1 - Bi phi(q x)/(q phi'(q) + Bi phi(q))]/s with phi = cosh, I0 or sinh(q x)/x.
    Source: crank-1975, eqs 4.50, 5.46, 6.40 (recalled).
    Range: position 0 (middle) to 1 (surface); fourier 0 to 1e9; biot 1e-6 to 1e6, or infinite (the default).
    Doubt: absolute error below 1e-10; the diffusivity is taken as constant.
    Raises: OutOfRange; ValueError for an unknown shape.

    >>> round(local_fraction("plane", 0.0, 0.5), 4)
    0.3708
    """
    m = _order(shape)
    within("position", position, 0.0, 1.0)
    within("fourier", fourier, 0.0, LONGEST)
    held = _biot(biot) == HELD
    if held and position == 1.0:
        return 0.0
    if fourier == 0.0:
        return 1.0
    if fourier < SHORT:
        return _unity(1.0 - _contour(lambda s: _changed_transform(m, s, position, biot), fourier))
    roots = _roots(shape, biot, TERMS)
    left = (_coefficient(m, b) * _eigenfunction(m, b * position) * math.exp(-b * b * fourier) for b in roots)
    return _unity(math.fsum(left))


def fourier_for(shape: Shape, fraction: float, biot: float = HELD) -> float:
    """Fourier number at which this share has been lost.

    Equation: the inverse of fraction_lost and fraction_lost_biot, by bisection and secants.
    Source: crank-1975 (recalled).
    Range: fraction 1e-5 to 0.999999; biot 1e-6 to 1e6, or infinite (the default).
    Doubt: relative error below 1e-9.
    Raises: OutOfRange; ValueError for an unknown shape.

    >>> round(fourier_for("plane", 0.5), 4)
    0.1967
    """
    within("fraction", fraction, 1e-5, 0.999999)
    late = 20.0 / root(shape, biot, 1) ** 2

    def over(log_fourier: float) -> float:
        return fraction_lost_biot(shape, math.exp(log_fourier), biot) - fraction

    found: float = brentq(over, math.log(1e-13), math.log(late), xtol=1e-12)
    return math.exp(found)


def fraction_into_bath(shape: Literal["plane"], fourier: float, alpha: float) -> float:
    """Share of what will leave a sheet into a well stirred bath of limited volume that has left it.

    Equation: 1 - sum 2 a (1 + a)/(1 + a + a^2 q^2) exp(-q^2 Fo), tan q = -a q; short times
        (1 + a)(1 - exp(Fo/a^2) erfc(sqrt(Fo)/a)). a is bath volume over (sheet volume times partition).
    Source: crank-1975, section 4.3.5, eqs 4.37 and 4.43 (recalled).
    Range: fourier 0 to 1e9; alpha 1e-3 to 1e6.
    Doubt: absolute error below 1e-11; the bath is taken as well stirred and its film as nothing.
    Raises: OutOfRange; ValueError for another shape than the plane.

    >>> round(fraction_into_bath("plane", 0.125, 1e6), 4)
    0.3989
    """
    if shape != "plane":
        raise ValueError(f"only the plane sheet in a bath is known here, not '{shape}'")
    within("fourier", fourier, 0.0, LONGEST)
    within("alpha", alpha, 1e-3, 1e6)
    if fourier < SHORT:
        held = math.sqrt(fourier) / alpha
        return (1.0 + alpha) * (_one_less_erfcx(held))
    terms = (
        2.0 * alpha * (1.0 + alpha) / (1.0 + alpha + (alpha * q) ** 2) * math.exp(-q * q * fourier)
        for q in _bath_roots(alpha)
    )
    return _unity(1.0 - math.fsum(terms))


def semi_infinite_change(depth_m: float, diffusivity_m2_s: float, time_s: float) -> float:
    """Share of the surface's change that has happened at a depth of a thick body, its surface held.

    Equation: erfc(x/(2 sqrt(D t))).
    Source: crank-1975, eq 3.13 (recalled); cengel-2015, table 4-4 (values).
    Range: depth 0 to 10 m; diffusivity 1e-15 to 1e-3 m2/s; time above 0.
    Doubt: none while the change is far from the middle.
    Raises: OutOfRange.

    >>> round(semi_infinite_change(0.001, 1e-10, 2500.0), 4)
    0.1573
    """
    within("depth_m", depth_m, 0.0, 10.0, "m")
    within("diffusivity_m2_s", diffusivity_m2_s, 1e-15, 1e-3, "m2/s")
    within("time_s", time_s, 1e-9, 1e12, "s")
    return math.erfc(depth_m / (2.0 * math.sqrt(diffusivity_m2_s * time_s)))


def semi_infinite_surface_change(film: float) -> float:
    """Share of its change that the surface of a thick body has made behind a film.

    Equation: 1 - exp(H^2) erfc(H), H = surface conductance times sqrt(t/D).
    Source: crank-1975, eq 3.35 at x = 0 (recalled).
    Range: film 0 to 1e6.
    Doubt: none while the change is far from the middle.
    Raises: OutOfRange.

    >>> round(semi_infinite_surface_change(1.0), 4)
    0.5724
    """
    return _one_less_erfcx(within("film", film, 0.0, 1e6))


def greatest_difference(shape: Shape, biot: float) -> float:
    """Greatest gap, over all times, between mean and surface, as a share of the first excess moisture.

    This is what throttling buys: the smaller the Biot number, the smaller the gap that can ever stand.

    Equation: the maximum over Fo of (1 - fraction_lost_biot) - local_fraction at the surface.
    Source: crank-1975 (the two series, recalled); the maximum by search.
    Range: biot 1e-3 to 1e4.
    Doubt: 1e-8; constant diffusivity, so only a guide where it depends on moisture.
    Raises: OutOfRange; ValueError for an unknown shape.

    >>> round(greatest_difference("plane", 1.0), 3)
    0.208
    """
    return _gap(shape, greatest_difference_fourier(shape, biot), biot)


def greatest_difference_fourier(shape: Shape, biot: float) -> float:
    """Fourier number at which mean and surface are furthest apart.

    Equation: the place of the maximum of `greatest_difference`.
    Source: crank-1975 (the two series, recalled); the maximum by search.
    Range: biot 1e-3 to 1e4.
    Doubt: 0.1 %, the maximum being flat.
    Raises: OutOfRange; ValueError for an unknown shape.

    >>> round(greatest_difference_fourier("plane", 1.0), 2)
    0.19
    """
    _order(shape)
    within("biot", biot, 1e-3, 1e4)
    found = minimize_scalar(
        lambda log_fourier: -_gap(shape, math.exp(log_fourier), biot),
        bounds=(math.log(1e-9), math.log(10.0)),
        method="bounded",
        options={"xatol": 1e-7},
    )
    return math.exp(float(found.x))


def _gap(shape: Shape, fourier: float, biot: float) -> float:
    """Mean less surface."""
    return 1.0 - fraction_lost_biot(shape, fourier, biot) - local_fraction(shape, 1.0, fourier, biot)


def _order(shape: str) -> int:
    """0, 1, 2 for plane, cylinder, sphere."""
    if shape not in ORDER:
        raise ValueError(f"shape is '{shape}'; it is one of {', '.join(ORDER)}")
    return ORDER[shape]


def _biot(biot: float) -> float:
    """The Biot number, checked; the infinite one stands for a held surface."""
    return biot if biot == HELD else within("biot", biot, 1e-6, 1e6)


def _unity(value: float) -> float:
    """The last bits of a sum may lie outside 0 to 1."""
    return min(1.0, max(0.0, value))


@cache
def _bessel_zero(order: int, n: int) -> float:
    """The n-th positive zero of J0 or J1; 0 for n = 0."""
    return float(jn_zeros(order, n)[n - 1]) if n else 0.0


@cache
def _root(shape: Shape, biot: float, n: int) -> float:
    """The n-th root for a finite Biot number, between two places where the sign is known."""
    if shape == "plane":
        low, high = (n - 1) * math.pi, (n - 0.5) * math.pi
        found = brentq(lambda b: b * math.sin(b) - biot * math.cos(b), low, high, xtol=1e-15)
    elif shape == "cylinder":
        low, high = _bessel_zero(1, n - 1), _bessel_zero(0, n)
        found = brentq(lambda b: b * j1(b) - biot * j0(b), low, high, xtol=1e-15)
    else:
        # the first root is near sqrt(3 Bi) for small Bi, and 0 is a root that does not count
        low, high = (n - 1) * math.pi if n > 1 else min(1e-3, 0.5 * math.sqrt(biot)), n * math.pi
        found = brentq(lambda b: b * math.cos(b) + (biot - 1.0) * math.sin(b), low, high, xtol=1e-15)
    return float(found)


@cache
def _roots(shape: Shape, biot: float, count: int) -> tuple[float, ...]:
    """The first roots."""
    return tuple(root(shape, biot, n) for n in range(1, count + 1))


@cache
def _bath_roots(alpha: float) -> tuple[float, ...]:
    """Roots of tan q = -alpha q."""
    return tuple(
        float(
            brentq(
                lambda q: math.sin(q) + alpha * q * math.cos(q), (n - 0.5) * math.pi, n * math.pi, xtol=1e-15
            )
        )
        for n in range(1, TERMS + 1)
    )


def _series(shape: Shape, fourier: float, biot: float) -> float:
    """Share left on average, by the series."""
    m = ORDER[shape]
    total = []
    for b in _roots(shape, biot, TERMS):
        held = 1.0 if biot == HELD else biot * biot / (b * b + biot * biot + (1 - m) * biot)
        total.append(2.0 * (m + 1) / (b * b) * held * math.exp(-b * b * fourier))
    return math.fsum(total)


def _coefficient(m: int, b: float) -> float:
    """Coefficient of the local series that belongs to a root."""
    if m == 0:
        return 2.0 * math.sin(b) / (b + math.sin(b) * math.cos(b))
    if m == 1:
        return 2.0 * float(j1(b)) / (b * (float(j0(b)) ** 2 + float(j1(b)) ** 2))
    if b < 0.05:  # both differences lose digits: 2 (b^3/3 - b^5/30)/(2 b^3/3 - 2 b^5/15)
        return (1.0 - b * b / 10.0 + b**4 / 280.0) / (1.0 - b * b / 5.0 + 2.0 * b**4 / 105.0)
    return 2.0 * (math.sin(b) - b * math.cos(b)) / (b - math.sin(b) * math.cos(b))


def _eigenfunction(m: int, at: float) -> float:
    """cos, J0 or sin(x)/x."""
    if m == 0:
        return math.cos(at)
    if m == 1:
        return float(j0(at))
    return math.sin(at) / at if at > 1e-8 else 1.0


def _one_less_erfcx(z: float) -> float:
    """1 - exp(z^2) erfc(z), also where both are almost equal."""
    if z > 0.1:
        return 1.0 - float(erfcx(z))
    # exp(z^2) erfc(z) = sum (-z)^k / gamma(k/2 + 1)
    return -math.fsum((-z) ** k / math.gamma(0.5 * k + 1.0) for k in range(1, 16))


@cache
def _cylinder_short() -> tuple[tuple[float, float], ...]:
    """Coefficients and powers of the short-time form of the held cylinder.

    I1/I0 = sum c_k q^-k, which obeys r' = 1 - r/q - r^2; each term of 2 r/(q s) has its inverse.
    """
    c = [1.0]
    for k in range(12):
        inner = math.fsum(c[i] * c[k + 1 - i] for i in range(1, k + 1))
        c.append(0.5 * ((k - 1) * c[k] - inner))
    return tuple((2.0 * ck / math.gamma(0.5 * (k + 3)), 0.5 * (k + 1)) for k, ck in enumerate(c))


def _film_short(m: int, fourier: float, biot: float) -> float:
    """Short times behind a film, plane and sphere: what is left out is of the order exp(-1/Fo)."""
    shift = float(m // 2)
    h = biot - shift
    z = h * math.sqrt(fourier)
    if abs(z) < 1.0:
        # the inverse of 1/(s^2 (q + h)) as a power series
        inverse = math.fsum(
            (-h) ** k * math.pow(fourier, 0.5 * (k + 3)) / math.gamma(0.5 * (k + 5)) for k in range(40)
        )
        return (m + 1) * biot * (fourier - biot * inverse)
    film = float(erfcx(z)) - 1.0 + 2.0 * z / math.sqrt(math.pi)
    return (m + 1) * biot * (-shift * fourier / h + biot / h**3 * film)


def _lost_transform(s: complex, biot: float) -> complex:
    """Laplace transform of the share lost from a cylinder behind a film."""
    q = cmath.sqrt(s)
    surface = q * complex(ive(1, q)) / complex(ive(0, q))
    return 2.0 * biot * surface / (s * s * (surface + biot))


def _changed_transform(m: int, s: complex, position: float, biot: float) -> complex:
    """Laplace transform of the share of its change that a place has made."""
    q = cmath.sqrt(s)
    if m == 1:
        # ive takes exp(-|real part|) off, which is put back in the ratio
        ratio = complex(ive(0, q * position)) / complex(ive(0, q)) * math.exp(q.real * (position - 1.0))
        slope = complex(ive(1, q)) / complex(ive(0, q))
    else:
        sign = 1.0 if m == 0 else -1.0
        full, part = 1.0 + sign * cmath.exp(-2.0 * q), 1.0 + sign * cmath.exp(-2.0 * q * position)
        slope = (2.0 - full) / full - (1.0 / q if m == 2 else 0.0)
        if m == 2 and position < 1e-6:
            ratio = 2.0 * q * cmath.exp(-q) / full
        else:
            ratio = cmath.exp(q * (position - 1.0)) * part / full / (position if m == 2 else 1.0)
    film = 1.0 if biot == HELD else biot / (q * slope + biot)
    return ratio * film / s


def _contour(transform: Callable[[complex], complex], time: float) -> float:
    """Inverse Laplace transform along a parabola, with the spacing that suits the number of nodes.

    z(u) = M (i u + 1)^2 with M = pi N/12 and steps 3/N, N nodes on each half (weideman-2007).
    """
    step, scale = 3.0 / NODES, math.pi * NODES / 12.0
    total = 0.0
    for k in range(NODES):
        w = complex(1.0, (k + 0.5) * step)
        z = scale * w * w
        # dz/du = 2 i M (i u + 1), and the sum is divided by 2 pi i; the two halves are conjugate
        total += (cmath.exp(z) * transform(z / time) * 2.0 * scale * w).real
    return total * step / (math.pi * time)
