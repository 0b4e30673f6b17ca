"""Diffusivities as a polynomial and a step, and how laws are fitted by them."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.physics.diffusion import transverse_diffusivity_m2_s
from strandline.physics.diffusivity import Diffusivity, constant, fitted
from strandline.physics.ranges import OutOfRange

TOP = st.floats(0.1, 0.5)
PART = st.floats(0.1, 10.0)
STEPPED = Diffusivity(0.3, (2.4e-11, 4.2e-11, 9e-11, -3e-11, 9e-11), 1.2e-9)


@given(TOP, st.lists(PART, min_size=5, max_size=5))
def test_a_quartic_is_found_again(top: float, parts: list[float]) -> None:
    """What has the form of the fit is fitted to the last digits."""
    law = Diffusivity(top, tuple(1e-11 * part for part in parts))
    found = fitted(law.at, top)
    assert found.misfit < 1e-9
    for share in (0.0, 0.3, 0.7, 1.0):
        assert found.at(share * top) == pytest.approx(law.at(share * top), rel=1e-8)


@pytest.mark.parametrize(("temp_c", "density"), [(5.0, 380.0), (20.0, 500.0), (40.0, 700.0)])
def test_misfit_tells_the_truth_of_wood(temp_c: float, density: float) -> None:
    """Between its points too, the fit keeps within one and a half times its misfit."""
    found = fitted(lambda u: transverse_diffusivity_m2_s(temp_c, u, density), 0.3, 0.06)
    assert 1e-6 < found.misfit < 0.002
    for tick in range(60, 301):
        law = transverse_diffusivity_m2_s(temp_c, tick / 1000.0, density)
        assert abs(found.at(tick / 1000.0) / law - 1.0) < 1.5 * found.misfit


def is_smooth(at: Callable[[float], float], place: float) -> bool:
    """Whether neither the values nor the slopes jump by more than a few percent over a hair's breadth."""
    hair = 1e-7
    before, here, after = (at(place + side * hair) for side in (-1, 0, 1))
    return abs(after - here) < 1e-4 * here and abs(here - before) < 1e-4 * here


@given(st.floats(0.0, 2.0))
def test_no_jump(moisture: float) -> None:
    """The diffusivity has no jump anywhere, and above twice the top it stays."""
    assert is_smooth(STEPPED.at, moisture)
    assert STEPPED.at(max(moisture, 0.6)) == pytest.approx(STEPPED.at(3.0), rel=1e-12)


def test_a_jump_is_caught() -> None:
    """A step without its smooth middle is no smooth diffusivity."""

    def jumping(moisture: float) -> float:
        return STEPPED.at(moisture) if moisture < 0.3 else STEPPED.at(3.0)

    assert not is_smooth(jumping, 0.3)


def test_the_wet_value_is_reached() -> None:
    """`wet_m2_s` is the diffusivity from twice the top on; without it free water moves like bound water
    does."""
    found = fitted(lambda u: 1e-11 + 3e-10 * u, 0.3, wet_m2_s=2e-9)
    assert found.at(0.6) == pytest.approx(2e-9)
    assert found.at(1.5) == pytest.approx(2e-9)
    assert found.at(0.45) == pytest.approx(0.5 * (2e-9 + found.at(0.3)))
    dry = fitted(lambda u: 1e-11 + 3e-10 * u, 0.3)
    assert dry.at(1.5) == pytest.approx(1e-10)


def test_asked_only_where_it_holds() -> None:
    """The law is never asked below `lowest` or above `top`; the fit is carried on to 0."""
    asked: list[float] = []

    def law(moisture: float) -> float:
        asked.append(moisture)
        return transverse_diffusivity_m2_s(20.0, moisture, 500.0)

    found = fitted(law, 0.25, 0.05)
    assert 0.05 <= min(asked) < 0.06
    assert 0.24 < max(asked) <= 0.25
    assert 0.0 < found.at(0.0) < found.at(0.05)


def test_refusals() -> None:
    """A diffusivity that is none, a top that is none, a law that the polynomial takes below nought."""
    for value in (0.0, -1e-10, math.nan, math.inf):
        with pytest.raises(OutOfRange):
            constant(value)
    with pytest.raises(OutOfRange):
        fitted(lambda u: 1e-10, 0.2, 0.2)
    with pytest.raises(ValueError, match="not positive"):
        fitted(lambda u: 1e-10 - 1e-9 * u, 0.3)
