"""Boxes and short cylinders: the product over the directions, where it holds, and who lets the water out."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import crank, shapes
from strandline.physics.ranges import OutOfRange

shares = st.floats(0.0, 1.0)
halves = st.floats(1e-3, 1.0)
FEW = settings(max_examples=60)


def summed(e1: float, e2: float, e3: float = 0.0) -> float:
    """Wrong on purpose: shares added up."""
    return min(1.0, e1 + e2 + e3)


def multiplied(e1: float, e2: float, e3: float = 0.0) -> float:
    """Wrong on purpose: the shares lost multiplied, not those left."""
    return e1 * e2 * e3


def check_between(product: object, e1: float, e2: float, e3: float) -> None:
    """A box loses more than its fastest direction and less than the sum of all."""
    assert callable(product)
    lost = product(e1, e2, e3)
    assert max(e1, e2, e3) - 1e-15 <= lost <= 1.0
    some = [e for e in (e1, e2, e3) if e > 1e-6]
    if len(some) > 1 and sum(some) < 1.0:
        assert lost < sum(some)


@FEW
@given(shares, shares, shares)
def test_a_box_is_ahead_of_its_directions(e1: float, e2: float, e3: float) -> None:
    """Whatever the order, and a sealed direction changes nothing."""
    check_between(shapes.product_fraction, e1, e2, e3)
    assert shapes.product_fraction(e1, e2, e3) == pytest.approx(
        shapes.product_fraction(e3, e1, e2), abs=1e-14
    )
    assert shapes.product_fraction(e1, e2) == shapes.product_fraction(e1, e2, 0.0)
    assert shapes.product_fraction(e1, 0.0) == pytest.approx(e1, abs=1e-15)


@pytest.mark.parametrize("wrong", [summed, multiplied])
def test_other_rules_are_caught(wrong: object) -> None:
    """Neither the sum nor the product of what is lost passes."""
    with pytest.raises(AssertionError):
        check_between(wrong, 0.3, 0.4, 0.2)


@pytest.mark.parametrize("fourier", [1e-6, 1e-4])
def test_at_first_only_the_surface_counts(fourier: float) -> None:
    """A cube loses at first three times what a plane does; so does a cylinder as long as wide."""
    plane = crank.fraction_lost("plane", fourier)
    assert shapes.box_fraction(fourier, fourier, fourier) == pytest.approx(3.0 * plane, rel=0.02)
    assert shapes.short_cylinder_fraction(fourier, fourier) == pytest.approx(3.0 * plane, rel=0.02)


@FEW
@given(st.floats(1e-4, 2.0))
def test_a_body_inside_another_is_never_behind_it(fourier: float) -> None:
    """Sphere inside short cylinder inside cube, all of the same width."""
    cube = shapes.box_fraction(fourier, fourier, fourier)
    short = shapes.short_cylinder_fraction(fourier, fourier)
    assert cube <= short + 1e-12
    assert short <= crank.fraction_lost("sphere", fourier) + 1e-12


@FEW
@given(halves, halves, halves)
def test_the_combined_body_ends_at_the_pace_of_the_box(a: float, b: float, c: float) -> None:
    """Late in the course both lose what is left at the same rate."""
    combined = shapes.combined_half_m(a, b, c)
    assert combined < min(a, b, c)
    rate = math.fsum(math.pi**2 / (4.0 * half * half) for half in (a, b, c))
    assert math.pi**2 / (4.0 * combined**2) == pytest.approx(rate, rel=1e-12)
    assert shapes.combined_half_m(a, math.inf) == pytest.approx(a, rel=1e-12)


@FEW
@given(halves, st.floats(1.0, 50.0))
def test_along_the_grain_a_length_counts_less(half: float, ratio: float) -> None:
    """The same Fourier number by either way, and there and back again."""
    equivalent = shapes.equivalent_half_m(half, ratio * 1e-10, 1e-10)
    assert equivalent <= half
    assert 1e-10 / equivalent**2 == pytest.approx(ratio * 1e-10 / half**2, rel=1e-12)
    assert shapes.equivalent_half_m(equivalent, 1e-10, ratio * 1e-10) == pytest.approx(half, rel=1e-12)


@pytest.mark.parametrize(
    ("given_m", "axis"),
    [
        ((0.02, 0.05, 0.3), 1),
        ((0.05, 0.02, 0.3), 2),
        ((0.05, 0.06, 0.01), 3),
        ((0.02, 0.02, 0.02), 1),
        ((math.inf, math.inf, 0.4), 3),
    ],
)
def test_the_smallest_half_controls(given_m: tuple[float, float, float], axis: int) -> None:
    """Sealed faces never do; of equals the first."""
    assert shapes.controlling_axis(*given_m) == axis


def test_end_grain_controls_short_pieces_only() -> None:
    """At a ratio of 12 ends control up to 3.5 thicknesses, as the handbooks have it, and not beyond."""
    assert shapes.ends_control_up_to(1.0, 12.0) == pytest.approx(3.5, abs=0.05)
    for length, axis in ((0.06, 2), (0.08, 1)):
        along = shapes.equivalent_half_m(length / 2.0, 12e-10, 1e-10)
        assert shapes.controlling_axis(0.01, along, math.inf) == axis


def test_the_flag_says_why() -> None:
    """Silent where the rule holds; each reason by itself, and all together."""
    assert shapes.product_rule_flag(False, False, False) == ""
    assert shapes.product_rule_flag(True, False, False) == shapes.VARIES
    assert shapes.product_rule_flag(False, True, False) == shapes.LIMITED
    assert shapes.product_rule_flag(False, False, True) == shapes.CHANGES
    assert shapes.product_rule_flag(True, True, True).count(";") == 2


def test_outside_its_range_it_refuses() -> None:
    """Shares beyond all, no size, nothing but sealed faces, a ratio the wrong way round."""
    with pytest.raises(OutOfRange):
        shapes.product_fraction(1.2, 0.1)
    with pytest.raises(OutOfRange):
        shapes.equivalent_half_m(0.0, 1e-10, 1e-10)
    with pytest.raises(OutOfRange):
        shapes.controlling_axis(math.inf, math.inf, math.inf)
    with pytest.raises(OutOfRange):
        shapes.combined_half_m(math.inf, math.inf, math.inf)
    with pytest.raises(OutOfRange):
        shapes.ends_control_up_to(0.02, 0.5)
