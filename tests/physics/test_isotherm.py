"""The shared isotherm: rising, inverse exact, slope that of the curve, GAB as the special case k2 = 0."""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics.isotherm import Isotherm, gab, moisture_at, rh_at, slope_at
from strandline.physics.ranges import OutOfRange

ISOTHERMS = st.builds(
    Isotherm,
    m0=st.floats(0.005, 0.3),
    k=st.floats(0.3, 0.95),
    k1=st.floats(0.0, 60.0),
    k2=st.floats(0.0, 5.0),
)
HUMIDITIES = st.floats(0.0, 1.0)
At = Callable[[Isotherm, float], float]


def rises(at: At, isotherm: Isotherm, low: float, high: float) -> None:
    """More humidity, more moisture; none in dry air."""
    assert at(isotherm, 0.0) == 0.0
    if high > low:
        assert at(isotherm, high) > at(isotherm, low)


def returns(inverse: At, isotherm: Isotherm, rh: float) -> None:
    """The humidity comes back from its moisture."""
    assert inverse(isotherm, moisture_at(isotherm, rh)) == pytest.approx(rh, abs=1e-9)


def is_the_slope(slope: At, isotherm: Isotherm, rh: float) -> None:
    """The slope is that of a chord that closes in."""
    step = 1e-6
    chord = (moisture_at(isotherm, rh + step) - moisture_at(isotherm, rh - step)) / (2.0 * step)
    assert slope(isotherm, rh) == pytest.approx(chord, rel=1e-4)


@settings(max_examples=60)
@given(isotherm=ISOTHERMS, one=HUMIDITIES, other=HUMIDITIES)
def test_more_humidity_means_more_moisture(isotherm: Isotherm, one: float, other: float) -> None:
    """The isotherm rises over the whole of its range."""
    low, high = sorted((one, other))
    rises(moisture_at, isotherm, low, high if high - low > 1e-9 else low)


@settings(max_examples=80)
@given(isotherm=ISOTHERMS, rh=HUMIDITIES)
def test_the_inverse_returns_the_humidity(isotherm: Isotherm, rh: float) -> None:
    """Humidity to moisture and back, for any constants."""
    returns(rh_at, isotherm, rh)


@settings(max_examples=60)
@given(isotherm=ISOTHERMS, rh=st.floats(0.01, 0.99))
def test_the_slope_is_that_of_the_curve(isotherm: Isotherm, rh: float) -> None:
    """The derivative agrees with a narrow chord."""
    is_the_slope(slope_at, isotherm, rh)


@settings(max_examples=60)
@given(m0=st.floats(0.01, 0.2), c=st.floats(1.0, 40.0), k=st.floats(0.5, 0.95), rh=st.floats(0.0, 1.0))
def test_gab_is_the_form_without_a_second_hydrate(m0: float, c: float, k: float, rh: float) -> None:
    """The GAB equation as it is usually written gives the same moisture."""
    usual = m0 * c * k * rh / ((1.0 - k * rh) * (1.0 - k * rh + c * k * rh))
    assert moisture_at(gab(m0, c, k), rh) == pytest.approx(usual, rel=1e-12, abs=1e-15)


@settings(max_examples=40)
@given(isotherm=ISOTHERMS, extra=st.floats(0.0, 5.0))
def test_from_saturation_on_the_humidity_is_one(isotherm: Isotherm, extra: float) -> None:
    """More water than saturated air gives finds no humidity above one."""
    assert rh_at(isotherm, isotherm.saturated + extra) == 1.0


SAMPLE = Isotherm(0.05, 0.8, 6.0, 2.0)


def test_mutants_are_caught() -> None:
    """A lost second hydrate, an inverse that forgets k, and a slope without k each fail a property."""

    def falls(isotherm: Isotherm, rh: float) -> float:
        return moisture_at(isotherm, rh) - 0.2 * rh

    def forgets_k(isotherm: Isotherm, moisture: float) -> float:
        return min(1.0, rh_at(isotherm, moisture) * isotherm.k)

    def without_k(isotherm: Isotherm, rh: float) -> float:
        return slope_at(isotherm, rh) / isotherm.k

    with pytest.raises(AssertionError):
        rises(falls, SAMPLE, 0.3, 0.5)
    with pytest.raises(AssertionError):
        returns(forgets_k, SAMPLE, 0.6)
    with pytest.raises(AssertionError):
        is_the_slope(without_k, SAMPLE, 0.5)


@pytest.mark.parametrize("rh", [-0.01, 1.01, float("nan"), float("inf")])
def test_no_humidity_beyond_the_range(rh: float) -> None:
    """Humidities outside 0 to 1, and no numbers, are refused."""
    with pytest.raises(OutOfRange, match="rh"):
        moisture_at(SAMPLE, rh)


@pytest.mark.parametrize(("m0", "c", "k"), [(0.0, 5.0, 0.8), (0.05, 0.9, 0.8), (0.05, 5.0, 1.0)])
def test_gab_constants_are_checked(m0: float, c: float, k: float) -> None:
    """Constants that give no rising curve are refused."""
    with pytest.raises(OutOfRange):
        gab(m0, c, k)


def test_a_negative_moisture_is_refused() -> None:
    """No humidity goes with less than no water."""
    with pytest.raises(OutOfRange, match="moisture"):
        rh_at(SAMPLE, -0.01)
