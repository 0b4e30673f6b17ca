"""Moisture of wood in air: rising with humidity, falling with heat, one fibre saturation, named branches."""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import sorption
from strandline.physics.isotherm import moisture_at
from strandline.physics.ranges import OutOfRange
from strandline.physics.wood import fibre_saturation

TEMPERATURES = st.floats(0.0, 95.0)
HUMIDITIES = st.floats(0.0, 1.0)
Moisture = Callable[[float, float], float]


def in_fahrenheit(temp_c: float, rh: float) -> float:
    """The sibling: the same equation in its form for degrees Fahrenheit, with its own rounded constants."""
    t = 1.8 * temp_c + 32.0
    w = 330.0 + 0.452 * t + 0.00415 * t * t
    k = 0.791 + 0.000463 * t - 8.44e-7 * t * t
    k1 = 6.34 + 0.000775 * t - 9.35e-5 * t * t
    k2 = 1.09 + 0.0284 * t - 9.04e-5 * t * t
    x = k * rh
    return 18.0 / w * (x / (1 - x) + (k1 * x + 2 * k1 * k2 * x * x) / (1 + k1 * x + k1 * k2 * x * x))


def agrees_with_the_sibling(moisture: Moisture, temp_c: float, rh: float) -> None:
    """The two forms differ by rounding only."""
    assert moisture(temp_c, rh) == pytest.approx(in_fahrenheit(temp_c, rh), abs=0.0015)


def falls_with_heat(moisture: Moisture, temp_c: float, rh: float) -> None:
    """At the same humidity warm wood holds less, above room temperature where the table is clear."""
    assert moisture(temp_c + 5.0, rh) < moisture(temp_c, rh)


def stays_below_saturation(moisture: Moisture, temp_c: float, rh: float) -> None:
    """No air fills the walls beyond fibre saturation."""
    assert 0.0 <= moisture(temp_c, rh) <= fibre_saturation(temp_c)


@settings(max_examples=80)
@given(temp_c=TEMPERATURES, rh=st.floats(0.0, 0.95))
def test_the_form_in_fahrenheit_agrees(temp_c: float, rh: float) -> None:
    """Celsius and Fahrenheit forms agree within 0.15 points over the stated range."""
    agrees_with_the_sibling(sorption.equilibrium_moisture, temp_c, rh)


@settings(max_examples=60)
@given(temp_c=st.floats(20.0, 90.0), rh=st.floats(0.05, 0.95))
def test_warm_wood_holds_less(temp_c: float, rh: float) -> None:
    """Moisture falls as temperature rises."""
    falls_with_heat(sorption.equilibrium_moisture, temp_c, rh)


@settings(max_examples=60)
@given(temp_c=TEMPERATURES, rh=HUMIDITIES)
def test_air_never_passes_fibre_saturation(temp_c: float, rh: float) -> None:
    """The isotherm ends at or below the one fibre saturation point of the physics, up to 60 degC."""
    stays_below_saturation(sorption.equilibrium_moisture, min(temp_c, 60.0), rh)


@settings(max_examples=60)
@given(temp_c=TEMPERATURES, rh=HUMIDITIES)
def test_moisture_and_humidity_go_back_and_forth(temp_c: float, rh: float) -> None:
    """The inverse finds the humidity again."""
    moisture = sorption.equilibrium_moisture(temp_c, rh)
    assert sorption.equilibrium_rh(temp_c, moisture) == pytest.approx(rh, abs=1e-9)


@settings(max_examples=60)
@given(temp_c=TEMPERATURES, rh=st.floats(0.01, 1.0))
def test_drying_lies_above_wetting(temp_c: float, rh: float) -> None:
    """Green desorption over table over adsorption, each band in order, none above fibre saturation."""
    green, table, wetting = (
        sorption.branch_moisture(temp_c, rh, name) for name in ("green_desorption", "table", "adsorption")
    )
    for low, middle, high in (green, table, wetting):
        assert low <= middle <= high <= fibre_saturation(temp_c)
    assert wetting[2] < table[1] <= green[1]


def test_the_branch_isotherm_is_the_middle_of_the_band() -> None:
    """What the engine takes and what the band says are one."""
    for name in ("green_desorption", "table", "adsorption"):
        middle = sorption.branch_moisture(20.0, 0.7, name)[1]
        assert moisture_at(sorption.branch_isotherm(20.0, name), 0.7) == pytest.approx(middle)


def test_saturated_air_ends_close_below_fibre_saturation() -> None:
    """Isotherm and fibre saturation are within 2 points of each other where rooms are."""
    for temp_c in (5.0, 10.0, 20.0, 30.0):
        gap = fibre_saturation(temp_c) - sorption.wood_isotherm(temp_c).saturated
        assert 0.0 < gap < 0.02


def test_mutants_are_caught() -> None:
    """Fahrenheit constants with Celsius, a sign in K, and a moisture without its temperature fail."""

    def wrong_scale(temp_c: float, rh: float) -> float:
        return in_fahrenheit((temp_c - 32.0) / 1.8, rh)

    def cold_at_any_heat(_temp_c: float, rh: float) -> float:
        return sorption.equilibrium_moisture(20.0, rh)

    def overfull(temp_c: float, rh: float) -> float:
        return 1.1 * sorption.equilibrium_moisture(temp_c, rh)

    with pytest.raises(AssertionError):
        agrees_with_the_sibling(wrong_scale, 60.0, 0.8)
    with pytest.raises(AssertionError):
        falls_with_heat(cold_at_any_heat, 40.0, 0.6)
    with pytest.raises(AssertionError):
        stays_below_saturation(overfull, 20.0, 1.0)


@pytest.mark.parametrize(("temp_c", "rh"), [(-5.0, 0.5), (120.0, 0.5), (20.0, 1.1), (20.0, float("nan"))])
def test_outside_the_range_it_refuses(temp_c: float, rh: float) -> None:
    """Temperatures and humidities the equation does not cover are refused by name."""
    with pytest.raises(OutOfRange):
        sorption.equilibrium_moisture(temp_c, rh)


@pytest.mark.parametrize(
    ("temp_c", "rh", "stated"), [(20.0, 0.5, True), (20.0, 0.98, False), (20.0, 0.01, False)]
)
def test_the_stated_range_is_told(temp_c: float, rh: float, stated: bool) -> None:
    """Beyond 5 to 95 % the answer is given, and the flag says that nobody measured there."""
    assert sorption.in_stated_range(temp_c, rh) is stated
    assert sorption.equilibrium_moisture(temp_c, rh) > 0.0


def test_an_unknown_branch_is_refused() -> None:
    """A misspelt branch is named, with those there are."""
    with pytest.raises(ValueError, match="green_desorption"):
        sorption.branch_factor("wet")
