"""Films, crevices and menisci: brackets, scaling, siblings; each rule is shown to catch a wrong engine."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import air, films, surface
from strandline.physics.ranges import OutOfRange
from strandline.physics.vapour import diffusivity_schirmer_m2_s

temps = st.floats(12.0, 60.0)
humidities = st.floats(0.05, 0.95)
depths = st.floats(0.001, 0.2)


def check_bracket(
    time_of: Callable[[float, float, float, float], films.FilmTime], temp_c: float, rh: float
) -> None:
    """The fed film is the faster; the film cooled by its true energy balance lies in the bracket."""
    k = 0.004
    both = time_of(1e-4, k, temp_c, rh)
    assert 0.0 < both.isothermal_h < both.adiabatic_h
    heat = surface.heat_from_conductance_w_m2_k(k, temp_c) + 5.0
    rate = surface.cooled_evaporation_kg_m2_s(k, heat, temp_c, rh)
    true_h = 1e-4 * air.water_density_kg_m3(temp_c) / rate / 3600.0
    assert both.isothermal_h < true_h < both.adiabatic_h


@given(temp_c=temps, rh=humidities)
@settings(max_examples=60)
def test_bracket(temp_c: float, rh: float) -> None:
    """For air that dries."""
    check_bracket(films.film_drying_time, temp_c, rh)


def test_wrong_brackets_are_caught() -> None:
    """Ends exchanged; a bracket that ignores the room's vapour."""

    def exchanged(film: float, k: float, t: float, rh: float) -> films.FilmTime:
        both = films.film_drying_time(film, k, t, rh)
        return films.FilmTime(both.adiabatic_h, both.isothermal_h)

    def dry_room(film: float, k: float, t: float, rh: float) -> films.FilmTime:
        return films.film_drying_time(film, k, t, 0.0)

    for wrong in (exchanged, dry_room):
        with pytest.raises(AssertionError):
            check_bracket(wrong, 20.0, 0.6)


@given(temp_c=temps, rh=humidities, factor=st.floats(0.2, 4.0))
@settings(max_examples=40)
def test_film_time_scales(temp_c: float, rh: float, factor: float) -> None:
    """With thickness, and against conductance."""
    plain = films.film_drying_time(1e-4, 0.004, temp_c, rh)
    thick = films.film_drying_time(1e-4 * factor, 0.004, temp_c, rh)
    quick = films.film_drying_time(1e-4, 0.004 * factor, temp_c, rh)
    assert thick.adiabatic_h == pytest.approx(factor * plain.adiabatic_h)
    assert quick.isothermal_h == pytest.approx(plain.isothermal_h / factor)


def check_crevice(
    time_of: Callable[[float, float, float], float], depth_m: float, temp_c: float, rh: float
) -> None:
    """Twice the depth takes four times as long, and the last flux is twice too slow for the whole."""
    hours = time_of(depth_m, temp_c, rh)
    assert time_of(2.0 * depth_m, temp_c, rh) == pytest.approx(4.0 * hours)
    water_kg_m2 = depth_m * air.water_density_kg_m3(temp_c)
    slowest_h = water_kg_m2 / films.stefan_flux_kg_m2_s(depth_m, temp_c, rh) / 3600.0
    assert hours == pytest.approx(0.5 * slowest_h)


@given(depth_m=depths, temp_c=temps, rh=humidities)
@settings(max_examples=40)
def test_crevice(depth_m: float, temp_c: float, rh: float) -> None:
    """The square law, and the balance of mass."""
    check_crevice(films.crevice_drying_time_h, depth_m, temp_c, rh)


def test_wrong_crevices_are_caught() -> None:
    """Linear in depth; the half of the mean flux forgotten."""
    for wrong in (
        lambda depth, t, rh: depth / 0.01 * films.crevice_drying_time_h(0.01, t, rh),
        lambda depth, t, rh: 2.0 * films.crevice_drying_time_h(depth, t, rh),
    ):
        with pytest.raises(AssertionError):
            check_crevice(wrong, 0.02, 20.0, 0.5)


def check_stefan(flux_of: Callable[[float, float, float], float], temp_c: float, rh: float) -> None:
    """Above plain diffusion, and near it while vapour is thin: the excess is the mean share of vapour."""
    plain = diffusivity_schirmer_m2_s(temp_c) / 0.01
    plain *= air.saturation_density_kg_m3(temp_c) * (1.0 - rh)
    share = 0.5 * (1.0 + rh) * air.saturation_pressure_pa(temp_c) / 101325.0
    assert flux_of(0.01, temp_c, rh) / plain == pytest.approx(1.0 + share, abs=1.5 * share**2 + 1e-9)
    assert flux_of(0.01, temp_c, rh) > plain


@given(temp_c=st.floats(5.0, 60.0), rh=humidities)
@settings(max_examples=40)
def test_stefan(temp_c: float, rh: float) -> None:
    """Against Fick's law without bulk flow."""
    check_stefan(films.stefan_flux_kg_m2_s, temp_c, rh)


def test_a_stefan_flux_without_bulk_flow_is_caught() -> None:
    """Fick alone; and bulk flow twice."""
    for power in (0.0, 2.0):

        def wrong(depth: float, t: float, rh: float, power: float = power) -> float:
            fick = diffusivity_schirmer_m2_s(t) / depth * air.saturation_density_kg_m3(t) * (1.0 - rh)
            return fick * math.pow(films.stefan_flux_kg_m2_s(depth, t, rh) / fick, power)

        with pytest.raises(AssertionError):
            check_stefan(wrong, 40.0, 0.3)


def test_saturated_air_dries_nothing() -> None:
    """Close to saturation both films and crevices take for ever."""
    assert films.film_drying_time(1e-4, 0.004, 20.0, 0.999).isothermal_h > 100.0
    assert films.crevice_drying_time_h(0.01, 20.0, 0.999) > 20000.0


def check_rise(
    rise_of: Callable[[float, float, float], float], gap_m: float, temp_c: float, angle: float
) -> None:
    """Half the gap lifts twice as high; a poorer wetting and warmer water lift less."""
    height = rise_of(gap_m, temp_c, angle)
    assert rise_of(0.5 * gap_m, temp_c, angle) == pytest.approx(2.0 * height)
    assert rise_of(gap_m, temp_c, angle + 5.0) < height
    assert rise_of(gap_m, temp_c + 10.0, angle) < height


@given(gap_m=st.floats(1e-5, 1e-3), temp_c=st.floats(1.0, 60.0), angle=st.floats(0.0, 80.0))
@settings(max_examples=40)
def test_rise(gap_m: float, temp_c: float, angle: float) -> None:
    """For clean and poorly wetted walls."""
    check_rise(films.capillary_rise_slot_m, gap_m, temp_c, angle)


def test_wrong_rises_are_caught() -> None:
    """Sine for cosine; one surface tension for all temperatures; the root of the gap."""
    for wrong in (
        lambda gap, t, angle: 1.5e-5 / gap * math.sin(math.radians(angle)),
        lambda gap, t, angle: 1.5e-5 / gap * math.cos(math.radians(angle)),
        lambda gap, t, angle: films.capillary_rise_slot_m(0.03 * math.sqrt(gap), t, angle),
    ):
        with pytest.raises(AssertionError):
            check_rise(wrong, 1e-3, 20.0, 20.0)


def check_kelvin(radius_of: Callable[[float, float], float], rh: float, temp_c: float) -> None:
    """The meniscus that balances the air hangs a column of R_v T ln(1/rh)/g: the same pull by another way."""
    pull_pa = 2.0 * films.surface_tension_n_m(temp_c) / radius_of(rh, temp_c)
    column_m = pull_pa / (air.water_density_kg_m3(temp_c) * films.GRAVITY_M_S2)
    assert column_m == pytest.approx(461.52 * (temp_c + 273.15) * -math.log(rh) / films.GRAVITY_M_S2)


@given(rh=st.floats(0.3, 0.9999), temp_c=st.floats(1.0, 60.0))
@settings(max_examples=40)
def test_kelvin(rh: float, temp_c: float) -> None:
    """A round meniscus, and the gap that one curved one way spans."""
    check_kelvin(films.kelvin_radius_m, rh, temp_c)
    check_kelvin(films.kelvin_slot_gap_m, rh, temp_c)


def test_wrong_menisci_are_caught() -> None:
    """Half the radius; a drop's radius at 1 - rh for the logarithm."""
    for wrong in (
        lambda rh, t: 0.5 * films.kelvin_radius_m(rh, t),
        lambda rh, t: films.kelvin_radius_m(rh, t) * math.log(rh) / (rh - 1.0),
    ):
        with pytest.raises(AssertionError):
            check_kelvin(wrong, 0.7, 20.0)


@pytest.mark.parametrize("rh", [0.2, 0.4, 0.6, 0.8])
@pytest.mark.parametrize("temp_c", [15.0, 25.0, 35.0])
def test_pools_agree_with_each_other(temp_c: float, rh: float) -> None:
    """At 0.1 to 0.5 m/s the second gives 15 to 28 % more; both stand to a film of 0.005 m/s as is said."""
    film = surface.evaporation_kg_m2_s(0.005, temp_c, temp_c, rh)
    for speed in (0.1, 0.3, 0.5):
        carrier = films.pool_evaporation_carrier_kg_m2_s(speed, temp_c, temp_c, rh)
        ratio = films.pool_evaporation_ratio_kg_m2_s(speed, temp_c, temp_c, rh)
        assert 1.15 < ratio / carrier < 1.28
        assert 1.0 < carrier / film < 1.55
        assert 1.2 < ratio / film < 1.9


def test_heat_of_drying() -> None:
    """A film of 0.1 mm, and the power of the same water per hour, are one balance."""
    heat_j_m2 = films.drying_heat_j_m2(1e-4, 20.0)
    water_kg = 1e-4 * air.water_density_kg_m3(20.0)
    assert films.drying_power_w(water_kg, 20.0) * 3600.0 == pytest.approx(heat_j_m2)


def test_lumped_metal() -> None:
    """An iron plate of 10 mm is far below the limit, a block of wood as thick is not."""
    assert films.biot_number(25.0, 0.005, 50.0) < 0.1 * films.LUMPED_BIOT
    assert films.biot_number(25.0, 0.005, 0.15) > films.LUMPED_BIOT
    once = films.warming_time_h(10.0, 0.005, 3.6e6, 0.1)
    assert films.warming_time_h(10.0, 0.005, 3.6e6, 0.01) == pytest.approx(2.0 * once)
    assert films.warming_time_h(10.0, 0.005, 3.6e6, 1.0) == 0.0


def test_warm_air() -> None:
    """Bare metal at most 38 degC; anything else none (common practice)."""
    assert films.warm_air_limit_c(True) == 38.0
    assert films.warm_air_limit_c(False) is None


def test_blotting() -> None:
    """Leaves a share: a fifth of a film dries five times sooner."""
    left = films.blotted_film_m(films.DRAINED_FILM_M, 0.2)
    whole = films.film_drying_time(films.DRAINED_FILM_M, 0.004, 20.0, 0.5)
    assert films.film_drying_time(left, 0.004, 20.0, 0.5).adiabatic_h == pytest.approx(
        0.2 * whole.adiabatic_h
    )
    low, high = films.BLOTTED_SHARE_LEFT
    assert 0.0 < low < high < 1.0


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (lambda: films.film_drying_time(1e-4, 0.005, 20.0, 1.0), "rh"),
        (lambda: films.film_drying_time(1e-4, 0.005, -1.0, 0.5), "temp_c"),
        (lambda: films.film_drying_time(1e-4, 0.005, 3.0, 0.1), "wet bulb"),
        (lambda: films.film_drying_time(0.03, 0.005, 20.0, 0.5), "film_m"),
        (lambda: films.stefan_flux_kg_m2_s(0.0, 20.0, 0.5), "depth_m"),
        (lambda: films.crevice_drying_time_h(0.01, math.nan, 0.5), "temp_c"),
        (lambda: films.capillary_rise_slot_m(0.003, 20.0), "gap_m"),
        (lambda: films.kelvin_radius_m(0.2, 20.0), "rh"),
        (lambda: films.biot_number(10.0, 0.01, 0.0), "conductivity_w_m_k"),
        (lambda: films.blotted_film_m(1e-4, 1.2), "share_left"),
        (lambda: films.surface_tension_n_m(-5.0), "temp_c"),
        (lambda: films.drying_power_w(-1.0, 20.0), "water_kg_h"),
        (lambda: films.pool_evaporation_ratio_kg_m2_s(9.0, 20.0, 20.0, 0.5), "air_speed_m_s"),
    ],
)
def test_refusals(asked: Callable[[], object], told: str) -> None:
    """Outside its range a function refuses and names the quantity."""
    with pytest.raises(OutOfRange, match=told):
        asked()
