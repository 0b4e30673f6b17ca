"""Diffusivity of moisture in wood: what raises it, what lowers it, how far another theory lies away."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import diffusion
from strandline.physics.ranges import OutOfRange
from strandline.physics.wood import fibre_saturation

TEMPERATURES = st.floats(0.0, 90.0)
MOISTURES = st.floats(0.06, 0.28)
DENSITIES = st.floats(200.0, 850.0)
Diffusivity = Callable[[float, float, float], float]


def rises_and_falls(diffusivity: Diffusivity, temp_c: float, moisture: float, density: float) -> None:
    """Heat and water raise it, wall substance lowers it, and wood lets through more than its walls."""
    here = diffusivity(temp_c, moisture, density)
    assert diffusivity(temp_c + 2.0, moisture, density) > here
    assert diffusivity(temp_c, moisture + 0.01, density) > here
    assert diffusivity(temp_c, moisture, density + 20.0) < here
    assert here > diffusion.bound_water_diffusivity_m2_s(temp_c, moisture)


def with_vapour_in_series(temp_c: float, moisture: float, density: float) -> float:
    """The sibling: the fuller theory of the same book, vapour in the cavities in series with the walls.

    In its units (cm, s, cal, cm Hg): D = D_wall D_v / ((1 - a^2) (D_wall + D_v (1 - a))), with the vapour in
    the cavities counted on moisture by the slope of Bradley's isotherm.
    """
    kelvin, percent, a = temp_c + 273.15, 100.0 * moisture, math.sqrt(1.0 - density / 1540.0)
    fahrenheit = 1.8 * temp_c + 32.0
    l1 = 0.839 + 0.0000202 * fahrenheit - 0.00000156 * fahrenheit**2
    l2 = 3.56 + 0.00392 * fahrenheit - 0.0000445 * fahrenheit**2
    l3 = 0.0219 + 0.0000164 * fahrenheit
    power = l1**percent
    slope = -100.0 * l2 * power * math.log(l1) * math.exp(-(l2 * power + l3))
    saturated = 8.75e7 * math.exp(-10400.0 / (1.9872041 * kelvin))
    gravity = 1.54 / (1.0 + 0.015 * percent)
    vapour = 18.0 * 0.220 * (kelvin / 273.0) ** 1.75 * saturated * slope / (gravity * 6236.37 * kelvin)
    wall = 0.07 * math.exp(-(9200.0 - 70.0 * percent) / (1.9872041 * kelvin))
    return 1e-4 * wall * vapour / ((1.0 - a * a) * (wall + vapour * (1.0 - a)))


@settings(max_examples=80)
@given(temp_c=TEMPERATURES, moisture=MOISTURES, density=DENSITIES)
def test_heat_and_water_speed_it_and_density_slows_it(temp_c: float, moisture: float, density: float) -> None:
    """The signs of all three influences."""
    rises_and_falls(diffusion.transverse_diffusivity_m2_s, temp_c, moisture, density)


@pytest.mark.parametrize("temp_c", [10.0, 20.0, 30.0, 45.0])
@pytest.mark.parametrize("moisture", [0.08, 0.12, 0.16, 0.20])
@pytest.mark.parametrize("density", [350.0, 500.0, 650.0])
def test_the_fuller_theory_lies_within_the_spread(temp_c: float, moisture: float, density: float) -> None:
    """Vapour in series changes the answer by less than the factor of two that is claimed."""
    ratio = with_vapour_in_series(temp_c, moisture, density) / diffusion.transverse_diffusivity_m2_s(
        temp_c, moisture, density
    )
    assert diffusion.SPREAD[0] < ratio < diffusion.SPREAD[2]


@settings(max_examples=40)
@given(one=TEMPERATURES, other=TEMPERATURES, moisture=MOISTURES, density=DENSITIES)
def test_the_temperature_factor_is_the_ratio(
    one: float, other: float, moisture: float, density: float
) -> None:
    """Factor times the diffusivity at the reference is the diffusivity, walls or wood alike."""
    factor = diffusion.temperature_factor(one, other, moisture)
    reference = diffusion.transverse_diffusivity_m2_s(other, moisture, density)
    assert factor * reference == pytest.approx(diffusion.transverse_diffusivity_m2_s(one, moisture, density))


@settings(max_examples=40)
@given(temp_c=TEMPERATURES, moisture=st.floats(0.0, 3.0))
def test_beyond_the_stated_range_it_is_held(temp_c: float, moisture: float) -> None:
    """Held at both ends, the same as the equation in between."""
    held = diffusion.held_diffusivity_m2_s(temp_c, moisture, 500.0)
    if diffusion.in_stated_range(temp_c, moisture):
        assert held == diffusion.transverse_diffusivity_m2_s(temp_c, moisture, 500.0)
    elif moisture < 0.05:
        assert held == diffusion.transverse_diffusivity_m2_s(temp_c, 0.05, 500.0)
    else:
        assert held == diffusion.transverse_diffusivity_m2_s(temp_c, fibre_saturation(temp_c), 500.0)


def test_directions_keep_their_order() -> None:
    """Along the grain is fastest, across the rings not slower than along them by much."""
    bands = {name: diffusion.direction_factor(name) for name in diffusion.DIRECTIONS}
    for low, middle, high in bands.values():
        assert low <= middle <= high
    assert bands["tangential"] == (1.0, 1.0, 1.0)
    assert bands["tangential"][1] < bands["radial"][1] < bands["longitudinal"][1]


def test_mutants_are_caught() -> None:
    """A sign in the exponent, moisture in the wrong unit, and porosity for its complement fail."""

    def wrong_sign(temp_c: float, moisture: float, density: float) -> float:
        return diffusion.transverse_diffusivity_m2_s(40.0 - temp_c, moisture, density)

    def dry_at_any_moisture(temp_c: float, moisture: float, density: float) -> float:
        return diffusion.transverse_diffusivity_m2_s(temp_c, 0.05 + 1e-4 * (0.2 - moisture), density)

    def swapped(temp_c: float, moisture: float, density: float) -> float:
        return diffusion.transverse_diffusivity_m2_s(temp_c, moisture, 1200.0 - density)

    for mutant in (wrong_sign, dry_at_any_moisture, swapped):
        with pytest.raises(AssertionError):
            rises_and_falls(mutant, 20.0, 0.15, 500.0)


@pytest.mark.parametrize(
    ("temp_c", "moisture", "density"),
    [
        (-10.0, 0.15, 500.0),
        (20.0, 0.02, 500.0),
        (20.0, 0.5, 500.0),
        (20.0, 0.30, 1300.0),
        (20.0, math.nan, 500.0),
    ],
)
def test_outside_the_range_it_refuses(temp_c: float, moisture: float, density: float) -> None:
    """Frozen, bone-dry, wet and too dense wood are refused by the equation itself."""
    with pytest.raises(OutOfRange):
        diffusion.transverse_diffusivity_m2_s(temp_c, moisture, density)


def test_an_unknown_direction_is_refused() -> None:
    """A misspelt direction is named, with those there are."""
    with pytest.raises(ValueError, match="longitudinal"):
        diffusion.direction_factor("sideways")
