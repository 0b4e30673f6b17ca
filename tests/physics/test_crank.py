"""Exact solutions of diffusion: limits, order, round trips, each shown to catch a solution that is wrong."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import crank
from strandline.physics.crank import HELD, Shape
from strandline.physics.ranges import OutOfRange

SHAPES: tuple[Shape, ...] = get_args(Shape)
Lost = Callable[[Shape, float, float], float]

shapes = st.sampled_from(SHAPES)
fouriers = st.floats(-8.0, 1.5).map(lambda power: 10.0**power)
biots = st.one_of(st.just(HELD), st.floats(-4.0, 5.0).map(lambda power: 10.0**power))
FEW = settings(max_examples=60)


# Solutions that are wrong on purpose; each property below has to refuse at least one of them.


def sealed(shape: Shape, fourier: float, biot: float) -> float:
    """As if one face of the plane, and of the others half the surface, were sealed."""
    return crank.fraction_lost_biot(shape, fourier / 4.0, biot)


def reversed_film(shape: Shape, fourier: float, biot: float) -> float:
    """As if a better film hindered."""
    return crank.fraction_lost_biot(shape, fourier, HELD if biot == HELD else 1.0 / biot)


def swapped(shape: Shape, fourier: float, biot: float) -> float:
    """Plane and sphere confounded."""
    other: dict[Shape, Shape] = {"plane": "sphere", "cylinder": "cylinder", "sphere": "plane"}
    return crank.fraction_lost_biot(other[shape], fourier, biot)


def one_term(shape: Shape, fourier: float, biot: float) -> float:
    """The series cut after its first term, whatever the time."""
    b = crank.root(shape, biot, 1)
    m = crank.ORDER[shape]
    held = 1.0 if biot == HELD else biot * biot / (b * b + biot * biot + (1 - m) * biot)
    return 1.0 - 2.0 * (m + 1) / b**2 * held * math.exp(-b * b * fourier)


def runs_back(shape: Shape, fourier: float, biot: float) -> float:
    """A time that counts twice and comes back."""
    return crank.fraction_lost_biot(shape, fourier * abs(1.0 - fourier), biot)


def check_short(lost: Lost, shape: Shape) -> None:
    """At first every surface is flat: the loss is surface over volume times 2 sqrt(Fo/pi)."""
    for fourier in (1e-8, 1e-6):
        flat = 2.0 * (crank.ORDER[shape] + 1) * math.sqrt(fourier / math.pi)
        assert lost(shape, fourier, HELD) == pytest.approx(flat, rel=2.0 * math.sqrt(fourier))


def check_long(lost: Lost, shape: Shape, biot: float) -> None:
    """In the end all is lost, and nothing more."""
    b = crank.root(shape, biot, 1)
    assert lost(shape, 40.0 / b**2, biot) == pytest.approx(1.0, abs=1e-9)
    assert 0.2 < lost(shape, 1.0 / b**2, biot) < 1.0


def check_in_time(lost: Lost, shape: Shape, fourier: float, biot: float) -> None:
    """Loss goes on: never backwards, never beyond all."""
    early, late = lost(shape, fourier, biot), lost(shape, 1.5 * fourier, biot)
    assert 0.0 <= early <= late + 1e-13
    assert late <= 1.0


def check_film(lost: Lost, shape: Shape, fourier: float, biot: float) -> None:
    """A better film dries faster, and none faster than a held surface."""
    if biot == HELD:
        return
    assert lost(shape, fourier, biot) <= lost(shape, fourier, 2.0 * biot) + 1e-13
    assert lost(shape, fourier, biot) <= lost(shape, fourier, HELD) + 1e-13


def check_order(lost: Lost, fourier: float, biot: float) -> None:
    """At equal size the sphere is ahead of the cylinder and the cylinder of the plane."""
    plane, cylinder, sphere = (lost(shape, fourier, biot) for shape in SHAPES)
    assert plane <= cylinder + 1e-13
    assert cylinder <= sphere + 1e-13
    if plane < 0.5:
        assert sphere > plane


@pytest.mark.parametrize("shape", SHAPES)
def test_first_the_surface_is_flat(shape: Shape) -> None:
    """The form for short times, and a series of one term that has none."""
    check_short(crank.fraction_lost_biot, shape)
    for wrong in (sealed, one_term):
        with pytest.raises(AssertionError):
            check_short(wrong, shape)


@pytest.mark.parametrize("biot", [0.01, 1.0, 50.0, HELD])
@pytest.mark.parametrize("shape", SHAPES)
def test_in_the_end_all_is_lost(shape: Shape, biot: float) -> None:
    """The time scale is that of the first root."""
    check_long(crank.fraction_lost_biot, shape, biot)
    with pytest.raises(AssertionError):
        check_long(lambda *given: crank.fraction_lost_biot(given[0], given[1] / 40.0, given[2]), shape, biot)


@FEW
@given(shapes, fouriers, biots)
def test_loss_goes_on(shape: Shape, fourier: float, biot: float) -> None:
    """Monotone in time, between nothing and all."""
    check_in_time(crank.fraction_lost_biot, shape, fourier, biot)


@FEW
@given(shapes, fouriers, biots)
def test_a_better_film_dries_faster(shape: Shape, fourier: float, biot: float) -> None:
    """Monotone in the Biot number."""
    check_film(crank.fraction_lost_biot, shape, fourier, biot)


@FEW
@given(fouriers, biots)
def test_sphere_before_cylinder_before_plane(fourier: float, biot: float) -> None:
    """Surface over volume decides."""
    check_order(crank.fraction_lost_biot, fourier, biot)


def test_the_properties_catch_what_is_wrong() -> None:
    """Each property refuses a solution that is wrong in its way."""
    with pytest.raises(AssertionError):
        check_in_time(runs_back, "plane", 0.6, HELD)
    with pytest.raises(AssertionError):
        check_film(reversed_film, "sphere", 0.1, 2.0)
    with pytest.raises(AssertionError):
        check_order(swapped, 0.1, HELD)


@pytest.mark.parametrize("fourier", [1e-6, 1e-3, 0.05, 0.7])
@pytest.mark.parametrize("shape", SHAPES)
def test_an_endless_film_is_a_held_surface(shape: Shape, fourier: float) -> None:
    """At a Biot number of 1e6 the gap is of the order 1/Bi or, at short times, of the film's lag."""
    held, film = crank.fraction_lost(shape, fourier), crank.fraction_lost_biot(shape, fourier, 1e6)
    assert 0.0 < held - film < 1e-5
    assert not 0.0 < held - crank.fraction_lost_biot(shape, fourier, 10.0) < 1e-5


@pytest.mark.parametrize("shape", SHAPES)
def test_a_poor_film_empties_the_body_evenly(shape: Shape) -> None:
    """At a small Biot number the loss is 1 - exp(-(m+1) Bi Fo)."""
    m = crank.ORDER[shape]
    lost = crank.fraction_lost_biot(shape, 1000.0, 1e-3)
    assert lost == pytest.approx(1.0 - math.exp(-(m + 1)), rel=1e-3)
    assert lost != pytest.approx(1.0 - math.exp(-(m + 2)), rel=1e-3)


@pytest.mark.parametrize("biot", [0.02, 1.0, 1.0 + 1e-9, 7.0, 1e5, HELD])
@pytest.mark.parametrize("shape", SHAPES)
def test_short_and_long_forms_meet(shape: Shape, biot: float) -> None:
    """Two ways of computing that share nothing agree where one takes over from the other."""
    before, after = crank.SHORT * (1.0 - 1e-13), crank.SHORT
    assert crank.fraction_lost_biot(shape, before, biot) == pytest.approx(
        crank.fraction_lost_biot(shape, after, biot), abs=2e-12
    )
    for position in (0.0, 0.3, 0.9, 1.0):
        assert crank.local_fraction(shape, position, before, biot) == pytest.approx(
            crank.local_fraction(shape, position, after, biot), abs=2e-12
        )


@pytest.mark.parametrize("fourier", [2e-4, 1e-3, 4e-3])
@pytest.mark.parametrize("biot", [0.5, 20.0])
def test_the_contour_is_the_long_series(fourier: float, biot: float) -> None:
    """For the cylinder behind a film at short times: against two hundred roots."""
    roots = [crank.root("cylinder", biot, n) for n in range(1, crank.MOST_ROOTS + 1)]
    left = math.fsum(4.0 * biot**2 / (b * b * (b * b + biot**2)) * math.exp(-b * b * fourier) for b in roots)
    assert crank.fraction_lost_biot("cylinder", fourier, biot) == pytest.approx(1.0 - left, abs=1e-11)


@FEW
@given(shapes, st.floats(0.001, 3.0), biots)
def test_the_mean_of_the_places_is_what_is_left(shape: Shape, fourier: float, biot: float) -> None:
    """Simpson's rule over the depth gives the mean share left."""
    m, count = crank.ORDER[shape], 400
    total = 0.0
    for i in range(count + 1):
        # close together at the surface, where short times have their front
        depth = (1.0 - i / count) ** 2
        weight = (1.0 if i in (0, count) else 4.0 if i % 2 else 2.0) / (3.0 * count)
        x = 1.0 - depth
        total += weight * crank.local_fraction(shape, x, fourier, biot) * x**m * 2.0 * (1.0 - i / count)
    assert total * (m + 1) == pytest.approx(1.0 - crank.fraction_lost_biot(shape, fourier, biot), abs=1e-6)


@FEW
@given(shapes, st.floats(1e-4, 0.999), biots)
def test_the_time_for_a_share_gives_the_share(shape: Shape, fraction: float, biot: float) -> None:
    """Round trip through the inverse."""
    fourier = crank.fourier_for(shape, fraction, biot)
    assert crank.fraction_lost_biot(shape, fourier, biot) == pytest.approx(fraction, rel=1e-7)
    assert crank.fraction_lost_biot(shape, 1.01 * fourier, biot) > fraction


@FEW
@given(shapes, biots, st.integers(1, 40))
def test_roots_solve_their_condition_in_order(shape: Shape, biot: float, n: int) -> None:
    """A root lies in its own interval and the condition at the surface holds there."""
    b = crank.root(shape, biot, n)
    assert b < crank.root(shape, biot, n + 1) < b + 4.0
    if biot == HELD:
        return
    if shape == "plane":
        assert (n - 1) * math.pi < b < (n - 0.5) * math.pi
        assert b * math.sin(b) == pytest.approx(biot * math.cos(b), abs=1e-9 * (b + biot))
    if shape == "sphere":
        assert (n - 1) * math.pi < b < n * math.pi
        assert b * math.cos(b) == pytest.approx((1.0 - biot) * math.sin(b), abs=1e-9 * (b + biot))


@pytest.mark.parametrize("fourier", [1e-5, 0.004, 0.02, 0.5])
def test_an_endless_bath_holds_the_surface(fourier: float) -> None:
    """The sheet in a very large bath is the sheet with a held surface; in a small one it is ahead."""
    held = crank.fraction_lost("plane", fourier)
    assert crank.fraction_into_bath("plane", fourier, 1e6) == pytest.approx(held, rel=1e-5)
    assert crank.fraction_into_bath("plane", fourier, 1.0) > 1.05 * held


@FEW
@given(st.floats(1e-7, 5.0), st.floats(0.01, 1e4))
def test_a_smaller_bath_is_sooner_full(fourier: float, alpha: float) -> None:
    """Monotone in time and in the size of the bath; the forms for short and long times meet."""
    now = crank.fraction_into_bath("plane", fourier, alpha)
    assert 0.0 <= now <= crank.fraction_into_bath("plane", 1.2 * fourier, alpha) + 1e-12 <= 1.0 + 2e-12
    assert now >= crank.fraction_into_bath("plane", fourier, 1.5 * alpha) - 1e-12
    at = crank.SHORT
    assert crank.fraction_into_bath("plane", at * (1.0 - 1e-13), alpha) == pytest.approx(
        crank.fraction_into_bath("plane", at, alpha), abs=2e-12
    )


@pytest.mark.parametrize("shape", SHAPES)
def test_throttling_caps_the_gap(shape: Shape) -> None:
    """The greatest gap between mean and surface grows with the Biot number and comes earlier."""
    gaps = [crank.greatest_difference(shape, biot) for biot in (0.01, 0.1, 1.0, 10.0, 100.0, 1000.0)]
    assert gaps == sorted(gaps)
    assert gaps[0] < 0.005
    assert 0.85 < gaps[-1] < 1.0
    times = [crank.greatest_difference_fourier(shape, biot) for biot in (0.1, 1.0, 10.0, 100.0)]
    assert times == sorted(times, reverse=True)


def test_a_small_gap_is_that_of_a_steady_loss() -> None:
    """At small Biot numbers mean less surface is Bi/3 of what is left, the parabola of a steady loss."""
    assert crank.greatest_difference("plane", 0.01) == pytest.approx(0.01 / 3.0, rel=0.03)
    assert crank.greatest_difference("plane", 0.01) != pytest.approx(0.01 / 2.0, rel=0.03)


@pytest.mark.parametrize("shape", SHAPES)
def test_the_surface_of_a_thick_body(shape: Shape) -> None:
    """At short times every surface is that of a half-space behind a film, and every depth likewise."""
    biot, fourier = 40.0, 1e-6
    film = crank.semi_infinite_surface_change(biot * math.sqrt(fourier))
    assert 1.0 - crank.local_fraction(shape, 1.0, fourier, biot) == pytest.approx(film, rel=2e-3)
    depth = 2e-3
    assert 1.0 - crank.local_fraction(shape, 1.0 - depth, fourier) == pytest.approx(
        crank.semi_infinite_change(depth, 1e-6, 1.0), rel=5e-3
    )


@pytest.mark.parametrize(
    "call",
    [
        lambda: crank.fraction_lost("plane", -0.1),
        lambda: crank.fraction_lost("plane", math.nan),
        lambda: crank.fraction_lost_biot("plane", 0.1, 0.0),
        lambda: crank.fraction_lost_biot("plane", 0.1, -math.inf),
        lambda: crank.root("sphere", 1.0, 0),
        lambda: crank.local_fraction("plane", 1.1, 0.1),
        lambda: crank.fourier_for("plane", 1.0),
        lambda: crank.fraction_into_bath("plane", 0.1, 0.0),
        lambda: crank.semi_infinite_change(0.1, 1e-10, 0.0),
        lambda: crank.semi_infinite_surface_change(-1.0),
        lambda: crank.greatest_difference("plane", HELD),
    ],
)
def test_outside_its_range_it_refuses(call: Callable[[], float]) -> None:
    """No answer where the equation does not hold."""
    with pytest.raises(OutOfRange):
        call()


def test_unknown_shapes_are_refused() -> None:
    """A word that is no shape, and a bath for a shape that has none."""
    with pytest.raises(ValueError, match="one of plane, cylinder, sphere"):
        crank.fraction_lost("cube", 0.1)  # type: ignore[arg-type]  # wrong on purpose
    with pytest.raises(ValueError, match="only the plane"):
        crank.fraction_into_bath("sphere", 0.1, 1.0)  # type: ignore[arg-type]  # wrong on purpose
