"""Wet surfaces: the skin of air, its siblings, and the energy balance by two ways."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import air, surface
from strandline.physics.ranges import OutOfRange
from strandline.physics.vapour import diffusivity_marrero_mason_m2_s

conductances = st.floats(1e-5, 0.02)
heats = st.floats(3.0, 40.0)
temps = st.floats(3.0, 45.0)
humidities = st.floats(0.05, 0.97)


@given(heat=st.floats(0.1, 150.0), temp_c=st.floats(-20.0, 80.0), pressure_pa=st.floats(70000.0, 105000.0))
@settings(max_examples=50)
def test_heat_and_vapour_pass_the_same_skin(heat: float, temp_c: float, pressure_pa: float) -> None:
    """There and back."""
    conductance = surface.conductance_from_heat_m_s(heat, temp_c, pressure_pa)
    assert surface.heat_from_conductance_w_m2_k(conductance, temp_c, pressure_pa) == pytest.approx(heat)


def test_lewis_number() -> None:
    """Near one, below it; 8 % more with the other diffusivity, and hardly moved by temperature."""
    named = surface.lewis_number(20.0)
    assert named == pytest.approx(0.815, rel=0.01)
    assert surface.lewis_number(20.0, diffusivity_marrero_mason_m2_s(20.0)) / named == pytest.approx(
        1.083, abs=0.01
    )
    assert surface.lewis_number(60.0) == pytest.approx(named, rel=0.03)


def check_plate(sherwood: Callable[[float, float], float], reynolds: float) -> None:
    """Laminar by the root; the turbulent piece starts where the laminar one ends."""
    assert sherwood(4.0 * reynolds, 0.6) == pytest.approx(2.0 * sherwood(reynolds, 0.6), rel=1e-9)
    assert sherwood(5.0001e5, 0.6) == pytest.approx(sherwood(5e5, 0.6), rel=0.01)
    assert sherwood(5e6, 0.6) > 6.0 * sherwood(5e5, 0.6)


@given(reynolds=st.floats(200.0, 1.2e5))
@settings(max_examples=40)
def test_plate(reynolds: float) -> None:
    """Over the laminar range."""
    check_plate(surface.plate_sherwood, reynolds)


def test_wrong_plates_are_caught() -> None:
    """A turbulent piece without its laminar start; laminar for ever; the local value for the mean."""

    def no_start(re: float, sc: float) -> float:
        return surface.plate_sherwood(re, sc) + (871.0 * sc ** (1 / 3) if re > 5e5 else 0.0)

    for wrong in (no_start, lambda re, sc: 0.664 * re**0.5 * sc ** (1 / 3), lambda re, sc: 0.037 * re**0.8):
        with pytest.raises(AssertionError):
            check_plate(wrong, 1e4)


@pytest.mark.parametrize("rayleigh", [2e4, 1e5, 1e6, 1e7, 1e8, 9e8])
def test_vertical_siblings(rayleigh: float) -> None:
    """The short form lies 5 to 20 % above the one for all ranges up to 1e7, and within 20 % of it beyond."""
    long = surface.still_vertical_churchill_sherwood(rayleigh, 0.58)
    assert surface.still_vertical_sherwood(rayleigh) == pytest.approx(long, rel=0.20)


def test_horizontal_air_that_is_held_passes_less() -> None:
    """Half as much while both follow the fourth root."""
    for rayleigh in (2e5, 1e6, 9e6):
        free, held = (surface.still_horizontal_sherwood(rayleigh, rising) for rising in (True, False))
        assert free == pytest.approx(2.0 * held)
    assert surface.still_horizontal_sherwood(1e8, True) > 2.0 * surface.still_horizontal_sherwood(1e8, False)


def test_humidity_and_cooling_pull_against_each_other() -> None:
    """Moist air rises, cooled air sinks; a wet surface that cools by a kelvin or two is in balance."""
    assert surface.buoyancy(20.0, 20.0, 0.5) > 0.003
    assert surface.buoyancy(20.0, 20.0, 1.0) == 0.0
    assert surface.buoyancy(13.8, 20.0, 0.5) < -0.01
    balance = air.root_between(lambda t: surface.buoyancy(t, 20.0, 0.5), 15.0, 20.0)
    assert 18.3 < balance < 19.3
    up, down = (
        surface.still_horizontal_conductance_m_s(0.1, 20.0, 20.0, 0.5, side) for side in (True, False)
    )
    cold_up, cold_down = (
        surface.still_horizontal_conductance_m_s(0.1, 13.8, 20.0, 0.5, side) for side in (True, False)
    )
    assert up == pytest.approx(2.0 * down)
    assert cold_down == pytest.approx(2.0 * cold_up)


def test_still_air_lies_in_the_usual_range() -> None:
    """Vertical wet surfaces of 0.1 to 0.3 m in air of 50 %."""
    low, high = surface.STILL_AIR_M_S
    for height_m in (0.1, 0.2, 0.3):
        assert low <= surface.still_vertical_conductance_m_s(height_m, 20.0, 20.0, 0.5) <= high


@given(one=st.floats(1e-6, 0.5), two=st.floats(1e-6, 0.5))
def test_two_layers_pass_less_than_either(one: float, two: float) -> None:
    """In any order, and no less than half the smaller."""
    both = surface.conductance_in_series_m_s(one, two)
    assert both == surface.conductance_in_series_m_s(two, one)
    assert 0.5 * min(one, two) * (1.0 - 1e-12) <= both < min(one, two)


def check_balance(
    temp_of: Callable[[float, float, float, float], float], k: float, h: float, temp_c: float, rh: float
) -> None:
    """The heat that comes in is the heat that evaporation takes."""
    settled = temp_of(k, h, temp_c, rh)
    taken = air.latent_heat_j_kg(settled) * surface.evaporation_kg_m2_s(k, settled, temp_c, rh)
    assert h * (temp_c - settled) == pytest.approx(taken, rel=1e-6, abs=1e-6)
    assert air.vapour_density_kg_m3(temp_c, rh) <= air.saturation_density_kg_m3(settled) * (1.0 + 1e-9)
    assert air.dew_point_c(temp_c, rh) - 0.4 <= settled <= temp_c


@given(k=conductances, h=heats, temp_c=temps, rh=humidities)
@settings(max_examples=80)
def test_balance(k: float, h: float, temp_c: float, rh: float) -> None:
    """Exact; between the air and the dew point, or as little below it as density is not pressure."""
    if surface.surface_temp_c(k, h, temp_c, rh) > 0.01:  # the branch on ice steps where it meets water
        check_balance(surface.surface_temp_c, k, h, temp_c, rh)


def test_wrong_balances_are_caught() -> None:
    """No cooling; the wet bulb whatever the heat; latent heat left out."""
    for wrong in (
        lambda k, h, t, rh: t,
        lambda k, h, t, rh: air.wet_bulb_c(t, rh),
        lambda k, h, t, rh: t - k * 2.45e6 * air.saturation_density_kg_m3(t) * (1.0 - rh) / h,
    ):
        with pytest.raises(AssertionError):
            check_balance(wrong, 0.002, 8.0, 20.0, 0.5)


def test_without_radiation_the_surface_is_a_wet_bulb() -> None:
    """By Lewis alone: 6 to 12 % deeper than the psychrometer, as Schirmer's diffusivity is high."""
    for temp_c, rh in ((20.0, 0.5), (30.0, 0.3), (10.0, 0.7), (40.0, 0.2)):
        heat = surface.heat_from_conductance_w_m2_k(0.01, temp_c)
        drop = temp_c - surface.surface_temp_c(0.01, heat, temp_c, rh)
        assert 1.06 < drop / (temp_c - air.wet_bulb_c(temp_c, rh)) < 1.12


def check_factor(
    factor_of: Callable[[float, float, float], float], k: float, h: float, temp_c: float
) -> None:
    """The linear factor against the root: 0 to 7 % low while cooling stays below 3 K, 20 % below 10 K."""
    for rh in (0.3, 0.6, 0.9):
        drop = temp_c - surface.surface_temp_c(k, h, temp_c, rh)
        true = surface.cooled_evaporation_kg_m2_s(k, h, temp_c, rh)
        exact = true / surface.evaporation_kg_m2_s(k, temp_c, temp_c, rh)
        share = factor_of(k, h, temp_c) / exact
        if drop < 10.0:
            assert (0.93 if drop < 3.0 else 0.80) < share < 1.005


@given(k=conductances, h=heats, temp_c=st.floats(12.0, 40.0))
@settings(max_examples=80)
def test_factor_against_the_root(k: float, h: float, temp_c: float) -> None:
    """Two ways to the same cooling."""
    check_factor(surface.cooling_factor, k, h, temp_c)


def test_wrong_factors_are_caught() -> None:
    """One without latent heat in it, and one that takes vapour pressure for density."""
    for wrong in (lambda k, h, t: 1.0, lambda k, h, t: surface.cooling_factor(k / 3.0, h, t)):
        with pytest.raises(AssertionError):
            check_factor(wrong, 0.003, 8.0, 20.0)


@given(k=conductances, h=heats, temp_c=temps, drier=st.floats(0.3, 0.9))
@settings(max_examples=40)
def test_factor_limits(k: float, h: float, temp_c: float, drier: float) -> None:
    """No cooling without flow; more heat, less cooling; a drier surface cools less."""
    factor = surface.cooling_factor(k, h, temp_c)
    assert 0.0 < factor < 1.0
    assert surface.cooling_factor(0.0, h, temp_c) == 1.0
    assert surface.cooling_factor(k, 2.0 * h, temp_c) > factor
    assert surface.cooling_factor(k, h, temp_c, drier) > factor


def test_condensation_warms() -> None:
    """A surface that keeps less humidity than the room takes water up and is warmer than the room."""
    assert surface.surface_temp_c(0.002, 8.0, 20.0, 0.8, 0.5) > 20.0
    assert surface.evaporation_kg_m2_s(0.002, 10.0, 20.0, 0.8) < 0.0
    assert surface.evaporation_kg_m2_s(0.002, 20.0, 20.0, 1.0) == 0.0


def test_radiation() -> None:
    """Four sigma T cubed where both are equal, in either order otherwise, and by emissivity."""
    assert surface.radiative_w_m2_k(20.0, 20.0) == pytest.approx(4.0 * 5.670374e-8 * 293.15**3)
    assert surface.radiative_w_m2_k(5.0, 30.0) == pytest.approx(surface.radiative_w_m2_k(30.0, 5.0))
    assert surface.radiative_w_m2_k(20.0, 20.0, 0.1) == pytest.approx(
        0.1 * surface.radiative_w_m2_k(20.0, 20.0)
    )


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (lambda: surface.plate_sherwood(99.0, 0.6), "reynolds"),
        (lambda: surface.plate_sherwood(1e4, 0.1), "schmidt"),
        (lambda: surface.still_vertical_sherwood(1e10), "rayleigh"),
        (lambda: surface.still_horizontal_sherwood(2e4, False), "rayleigh"),
        (lambda: surface.conductance_from_heat_m_s(-1.0, 20.0), "heat_transfer_w_m2_k"),
        (lambda: surface.conductance_in_series_m_s(0.0, 0.1), "first_m_s"),
        (lambda: surface.radiative_w_m2_k(20.0, 20.0, 1.1), "emissivity"),
        (lambda: surface.evaporation_kg_m2_s(0.005, 20.0, 20.0, 1.1), "rh"),
        (lambda: surface.cooling_factor(0.005, 0.0, 20.0), "heat_transfer_w_m2_k"),
        (lambda: surface.surface_temp_c(math.nan, 8.0, 20.0, 0.5), "conductance_m_s"),
        (lambda: surface.air_viscosity_pa_s(150.0), "temp_c"),
    ],
)
def test_refusals(asked: Callable[[], float], told: str) -> None:
    """Outside its range a function refuses and names the quantity."""
    with pytest.raises(OutOfRange, match=told):
        asked()
