"""Moist air: round trips, signs, limits, forms against each other; each rule catches a wrong engine."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import air
from strandline.physics.ranges import OutOfRange

temps = st.floats(-60.0, 85.0)
humidities = st.floats(0.02, 1.0)
pressures = st.floats(65000.0, 105000.0)
GRID = [
    (t, rh, p)
    for t in (-30.0, -3.0, 8.0, 21.0, 45.0)
    for rh in (0.1, 0.55, 0.97)
    for p in (75000.0, 101325.0)
]
Three = Callable[[float, float, float], float]


def is_caught(check: Callable[..., None], wrong: object, cases: Iterable[tuple[float, ...]]) -> bool:
    """Whether the rule refuses the wrong engine on at least one case."""
    for case in cases:
        try:
            check(wrong, *case)
        except (AssertionError, OutOfRange):
            return True
    return False


def check_rises(pressure_of: Callable[[float], float], temp_c: float) -> None:
    """Warmer air holds more vapour, 2 to 20 % for each kelvin."""
    growth = math.log(pressure_of(temp_c + 0.5) / pressure_of(temp_c - 0.5))
    assert 0.02 < growth < 0.20


@given(temp_c=st.floats(-90.0, 150.0))
@settings(max_examples=80)
def test_saturation_rises(temp_c: float) -> None:
    """Everywhere, over ice and over water."""
    check_rises(air.saturation_pressure_pa, temp_c)


def test_a_saturation_that_does_not_rise_is_caught() -> None:
    """A sign lost in the first constant."""
    cases = [(t,) for t in (-40.0, 10.0, 60.0)]
    assert is_caught(check_rises, lambda t: air.saturation_pressure_pa(60.0 - t), cases)
    assert is_caught(check_rises, lambda t: air.saturation_pressure_pa(t) ** 3, cases)


def test_ice_and_water_meet_at_the_freezing_point() -> None:
    """The two branches differ by 0.01 %; below it ice holds less than water that is still liquid."""
    assert air.saturation_pressure_pa(-1e-9) == pytest.approx(air.saturation_pressure_pa(0.0), rel=2e-4)
    for temp_c in (-5.0, -15.0, -30.0):
        assert air.saturation_pressure_pa(temp_c) < 0.97 * air.magnus_pressure_pa(temp_c)


@pytest.mark.parametrize("temp_c", [0.0, 5.0, 15.0, 20.0, 25.0, 35.0, 45.0, 60.0])
def test_the_three_forms_agree(temp_c: float) -> None:
    """The long equation within 0.03 % of the international one, the short one within 0.35 %."""
    measure = air.wagner_pressure_pa(temp_c)
    assert air.saturation_pressure_pa(temp_c) == pytest.approx(measure, rel=3e-4)
    assert air.magnus_pressure_pa(temp_c) == pytest.approx(measure, rel=3.5e-3)
    assert air.magnus_pressure_pa(temp_c) != pytest.approx(measure, rel=1e-6)


def check_slope(slope_of: Callable[[float], float], temp_c: float) -> None:
    """The slope is what the density does over a small step."""
    step = 0.01
    rise = air.saturation_density_kg_m3(temp_c + step) - air.saturation_density_kg_m3(temp_c - step)
    assert slope_of(temp_c) == pytest.approx(rise / (2.0 * step), rel=1e-5)


@given(temp_c=st.floats(-80.0, 150.0).filter(lambda t: abs(t) > 0.1))
@settings(max_examples=80)
def test_slope(temp_c: float) -> None:
    """Over ice and over water."""
    check_slope(air.saturation_slope_kg_m3_k, temp_c)


def test_a_slope_of_pressure_alone_is_caught() -> None:
    """The usual slip: the gas expands as well."""

    def wrong(temp_c: float) -> float:
        density = air.saturation_density_kg_m3(temp_c)
        return air.saturation_slope_kg_m3_k(temp_c) + density / (temp_c + 273.15)

    assert is_caught(check_slope, wrong, [(20.0,)])


def check_ratio_round_trip(ratio_of: Three, temp_c: float, rh: float, pressure_pa: float) -> None:
    """Humidity to ratio and back."""
    ratio = ratio_of(temp_c, rh, pressure_pa)
    assert air.rh_from_humidity_ratio(temp_c, ratio, pressure_pa) == pytest.approx(rh, rel=1e-9)


@given(temp_c=temps, rh=humidities, pressure_pa=pressures)
@settings(max_examples=60)
def test_ratio_round_trip(temp_c: float, rh: float, pressure_pa: float) -> None:
    """For every pressure."""
    check_ratio_round_trip(air.humidity_ratio, temp_c, rh, pressure_pa)


def test_a_ratio_blind_to_altitude_is_caught() -> None:
    """It forgets the pressure it was given."""
    assert is_caught(check_ratio_round_trip, lambda t, rh, p: air.humidity_ratio(t, rh), GRID)


def check_dew_point(dew_of: Callable[[float, float], float], temp_c: float, rh: float) -> None:
    """Never above the air, and its saturation is the vapour that is there."""
    dew = dew_of(temp_c, rh)
    assert dew <= temp_c
    joint = abs(dew) < 1e-3  # ice and water differ by 0.01 % there
    assert air.rh_from_dew_point(temp_c, dew) == pytest.approx(rh, rel=2e-4 if joint else 1e-7)


@given(temp_c=temps, rh=humidities)
@settings(max_examples=60)
def test_dew_point(temp_c: float, rh: float) -> None:
    """Round trip."""
    check_dew_point(air.dew_point_c, temp_c, rh)


def test_a_rough_dew_point_is_caught() -> None:
    """The rule of thumb, a kelvin for 5 %, is no dew point."""
    assert is_caught(check_dew_point, lambda t, rh: t - 20.0 * (1.0 - rh), [case[:2] for case in GRID])


def check_wet_bulb(wet_of: Three, temp_c: float, rh: float, pressure_pa: float) -> None:
    """Between dew point and temperature, and a psychrometer reads the humidity back."""
    wet = wet_of(temp_c, rh, pressure_pa)
    assert air.dew_point_c(temp_c, rh) - 0.02 <= wet <= temp_c + 1e-9
    back = air.rh_from_wet_bulb(temp_c, min(wet, temp_c), pressure_pa)
    if abs(wet) > 0.01:
        assert back == pytest.approx(rh, abs=2e-6)


@given(temp_c=st.floats(-20.0, 80.0), rh=humidities, pressure_pa=pressures)
@settings(max_examples=80)
def test_wet_bulb(temp_c: float, rh: float, pressure_pa: float) -> None:
    """Round trip, over water and over ice."""
    check_wet_bulb(air.wet_bulb_c, temp_c, rh, pressure_pa)


def test_wrong_wet_bulbs_are_caught() -> None:
    """The middle of dew point and temperature; and one blind to altitude."""
    warm = [case for case in GRID if case[0] > 0.0]
    assert is_caught(check_wet_bulb, lambda t, rh, p: 0.5 * (t + air.dew_point_c(t, rh)), warm)
    assert is_caught(check_wet_bulb, lambda t, rh, p: air.wet_bulb_c(t, rh), warm)


def test_saturated_air_has_one_temperature() -> None:
    """At 100 % dew point, wet bulb and temperature are the same."""
    for temp_c in (-15.0, 5.0, 25.0, 60.0):
        assert air.dew_point_c(temp_c, 1.0) == pytest.approx(temp_c, abs=1e-6)
        assert air.wet_bulb_c(temp_c, 1.0) == pytest.approx(temp_c, abs=1e-6)


@given(temp_c=st.floats(0.0, 60.0), low=st.floats(0.0, 0.9), more=st.floats(0.02, 0.1))
@settings(max_examples=60)
def test_vapour_makes_air_lighter_and_richer(temp_c: float, low: float, more: float) -> None:
    """More vapour: less density, more heat, more volume per dry air."""
    assert air.density_kg_m3(temp_c, low + more) < air.density_kg_m3(temp_c, low)
    assert air.enthalpy_kj_kg(temp_c, low + more) > air.enthalpy_kj_kg(temp_c, low)
    assert air.specific_volume_m3_kg(temp_c, low + more) > air.specific_volume_m3_kg(temp_c, low)


def check_density(density_of: Three, temp_c: float, rh: float, pressure_pa: float) -> None:
    """Dry air and vapour add up, each an ideal gas."""
    vapour = air.vapour_density_kg_m3(temp_c, rh)
    kelvin = temp_c + 273.15
    dry = (pressure_pa - vapour * 461.52 * kelvin) / (287.042 * kelvin)
    assert density_of(temp_c, rh, pressure_pa) == pytest.approx(dry + vapour, rel=1e-5)


@given(temp_c=temps, rh=humidities, pressure_pa=pressures)
@settings(max_examples=60)
def test_density_is_the_sum_of_its_parts(temp_c: float, rh: float, pressure_pa: float) -> None:
    """Conservation of mass."""
    check_density(air.density_kg_m3, temp_c, rh, pressure_pa)


def test_a_density_without_its_vapour_is_caught() -> None:
    """1/v is the dry air alone."""
    assert is_caught(check_density, lambda t, rh, p: 1.0 / air.specific_volume_m3_kg(t, rh, p), GRID)


def check_latent(latent_of: Callable[[float], float], temp_c: float) -> None:
    """Falls as water warms, and falls by a seventh where ice turns to water."""
    assert latent_of(temp_c) > latent_of(temp_c + 5.0)
    assert latent_of(-0.01) - latent_of(0.01) == pytest.approx(333.5e3, rel=0.02)


@pytest.mark.parametrize("temp_c", [0.5, 20.0, 60.0, 100.0, 150.0])
def test_latent_heat(temp_c: float) -> None:
    """The step is the heat of fusion, 333.5 kJ/kg (from memory)."""
    check_latent(air.latent_heat_j_kg, temp_c)


def test_a_latent_heat_that_forgets_ice_is_caught() -> None:
    """One straight line through the freezing point."""
    assert is_caught(check_latent, lambda t: 2501e3 - 2326.0 * t, [(20.0,)])


def test_altitude() -> None:
    """Pressure falls, by about 12 % for the first kilometre, and stands at the standard at sea level."""
    assert air.pressure_at_altitude_pa(0.0) == air.STANDARD_PRESSURE_PA
    heights = [air.pressure_at_altitude_pa(z) for z in range(-1000, 9000, 500)]
    assert heights == sorted(heights, reverse=True)
    assert 1.0 - air.pressure_at_altitude_pa(1000.0) / 101325.0 == pytest.approx(0.12, abs=0.01)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (lambda: air.saturation_pressure_pa(-101.0), "temp_c"),
        (lambda: air.saturation_pressure_pa(math.nan), "temp_c"),
        (lambda: air.humidity_ratio(20.0, 1.01), "rh"),
        (lambda: air.humidity_ratio(99.9, 1.0), "vapour pressure"),
        (lambda: air.humidity_ratio(20.0, 0.5, 1000.0), "pressure_pa"),
        (lambda: air.dew_point_c(20.0, 0.0), "vapour pressure"),
        (lambda: air.rh_from_dew_point(20.0, 20.1), "dew_point_c"),
        (lambda: air.rh_from_wet_bulb(20.0, 20.1), "wet_bulb_c"),
        (lambda: air.rh_from_wet_bulb(40.0, 5.0), "humidity ratio"),
        (lambda: air.magnus_pressure_pa(60.1), "temp_c"),
        (lambda: air.pressure_at_altitude_pa(math.inf), "altitude_m"),
        (lambda: air.latent_heat_j_kg(201.0), "temp_c"),
        (lambda: air.rh_from_humidity_ratio(20.0, -1e-6), "humidity_ratio_kg_kg"),
    ],
)
def test_refusals(asked: Callable[[], float], told: str) -> None:
    """Outside its range a function refuses and names the quantity."""
    with pytest.raises(OutOfRange, match=told):
        asked()


def test_root_between_finds_the_crossing() -> None:
    """And stands at an end where there is none inside."""
    assert air.root_between(lambda x: x**3 - 8.0, 0.0, 10.0) == pytest.approx(2.0, abs=1e-12)
    assert air.root_between(lambda x: x + 1.0, 0.0, 1.0) == pytest.approx(0.0, abs=1e-12)
    assert air.root_between(lambda x: x - 5.0, 0.0, 1.0) == pytest.approx(1.0, abs=1e-12)
