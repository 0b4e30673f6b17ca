"""Pores: what must hold whatever the numbers, siblings that must agree, wrong versions that are caught."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import porous
from strandline.physics.ranges import OutOfRange

DRAWN = st.floats(0.01, 1.0)
HELD = st.floats(5.0, 500.0)
SECONDS = st.floats(1.0, 1e7)
HUMIDITY = st.floats(0.05, 0.999)


def four_times_the_time_is_double_the_water(
    uptake: Callable[[float, float], float], a: float, t: float
) -> bool:
    """Water grows with the root of the time."""
    return math.isclose(uptake(a, 4.0 * t), 2.0 * uptake(a, t), rel_tol=1e-9)


@given(DRAWN, SECONDS)
@settings(max_examples=50)
def test_uptake_goes_with_the_root_of_time(a: float, t: float) -> None:
    """Four times as long in water is twice the water."""
    assert four_times_the_time_is_double_the_water(porous.uptake_kg_m2, a, t)


def test_a_linear_uptake_is_caught() -> None:
    """A version that counts the time itself fails the property."""
    assert not four_times_the_time_is_double_the_water(lambda a, t: a * t, 0.2, 100.0)


@given(DRAWN, HELD, st.floats(0.001, 0.3))
@settings(max_examples=50)
def test_the_front_arrives_when_the_body_is_full(a: float, held: float, depth: float) -> None:
    """Depth to time and back; at that moment the water is what the depth holds."""
    t = porous.filling_time_s(a, held, depth)
    assert math.isclose(porous.penetration_depth_m(a, held, t), depth, rel_tol=1e-9)
    assert math.isclose(porous.uptake_kg_m2(a, t), held * depth, rel_tol=1e-9)
    assert porous.water_drawn_in_kg_m2(a, held, depth, 9.0 * t) == held * depth


def falls_with_suction(retained: Callable[[float], float]) -> bool:
    """Drier air leaves less water, all of it none, none of it all."""
    left = [retained(porous.suction_pa(rh, 20.0)) for rh in (1.0, 0.999, 0.99, 0.9, 0.7, 0.5, 0.2)]
    return all(more > less for more, less in pairwise(left)) and math.isclose(left[0], 146.0)


def test_retained_water_falls_with_suction() -> None:
    """From full at no suction, always down."""
    assert falls_with_suction(lambda s: porous.retained_water_kg_m3(s, 146.0, 8e-8, 1.6))


@pytest.mark.parametrize(
    "wrong",
    [
        lambda s: 146.0 * (1.0 + (8e-8 * s) ** 1.6) ** 0.375,
        lambda s: 146.0 * (8e-8 * s) ** 1.6 / (1.0 + (8e-8 * s) ** 1.6),
    ],
)
def test_a_retention_turned_round_is_caught(wrong: Callable[[float], float]) -> None:
    """A lost minus and a share of emptied pores both fail."""
    assert not falls_with_suction(wrong)


def test_the_example_of_the_standard_is_this_retention() -> None:
    """The sibling: 146 / (1 + (8e-8 s)^1.6)^0.375 as the standard writes it, over the whole range."""
    for rh in (0.1, 0.3, 0.5, 0.8, 0.95, 0.99, 0.999):
        s = porous.suction_pa(rh, 20.0)
        written = 146.0 / (1.0 + (8e-8 * s) ** 1.6) ** 0.375
        assert porous.retained_water_kg_m3(s, 146.0, 8e-8, 1.6) == pytest.approx(written, rel=1e-12)


def test_kuenzels_diffusivity_is_no_kin_of_the_standards_conductivity_above_a_factor_of_thirty() -> None:
    """Siblings that share nothing but the body: K dp/dw of the example beside 3.8 (A/w_f)^2 1000^(w/w_f - 1).

    The example has no A; the one that gives its diffusivity at 120 kg/m3 is taken, and the slope compared.
    """

    def conductivity(w: float) -> float:
        x = w - 73.0
        power = (
            -39.2619 + 0.0704 * x - 1.742e-4 * x**2 - 2.7953e-6 * x**3 - 1.1566e-7 * x**4 + 2.5969e-9 * x**5
        )
        return math.exp(power)

    def suction(w: float) -> float:
        return float(((146.0 / w) ** (1.0 / 0.375) - 1.0) ** (1.0 / 1.6) / 8e-8)

    def diffusivity(w: float) -> float:
        return conductivity(w) * (suction(w - 0.01) - suction(w + 0.01)) / 0.02

    a = 146.0 * math.sqrt(diffusivity(120.0) / 3.8 * 1000.0 ** (1.0 - 120.0 / 146.0))
    for w in (60.0, 80.0, 100.0, 120.0, 130.0):
        ratio = diffusivity(w) / porous.suction_diffusivity_m2_s(w, a, 146.0)
        assert 1.0 / 30.0 < ratio < 30.0


@given(HUMIDITY, st.floats(0.0, 60.0))
@settings(max_examples=50)
def test_suction_and_humidity_are_inverse(rh: float, temp_c: float) -> None:
    """There and back."""
    assert math.isclose(porous.rh_at_suction(porous.suction_pa(rh, temp_c), temp_c), rh, rel_tol=1e-9)


@given(DRAWN, HELD)
@settings(max_examples=50)
def test_the_absorption_comes_back_from_its_diffusivity(a: float, held: float) -> None:
    """Kuenzel's factor 3.8 is the inverse of the integral to 1.1 %."""
    top = porous.suction_diffusivity_m2_s(held, a, held)
    back = porous.absorption_from_diffusivity_kg_m2_s05(top, held)
    assert back == pytest.approx(a, rel=0.011)
    wrong = porous.absorption_from_diffusivity_kg_m2_s05(top / 3.8, held)
    assert abs(wrong / a - 1.0) > 0.1, "a version without the factor would pass"


def test_the_diffusivity_rises_a_thousandfold() -> None:
    """From dry to free saturation."""
    dry = porous.suction_diffusivity_m2_s(0.0, 0.2, 250.0)
    assert porous.suction_diffusivity_m2_s(250.0, 0.2, 250.0) == pytest.approx(1000.0 * dry)


@given(st.floats(0.01, 0.9), st.floats(1500.0, 3000.0))
@settings(max_examples=50)
def test_porosity_and_density_are_inverse(porosity: float, solid: float) -> None:
    """There and back; full pores hold as much water as there is room."""
    bulk = porous.bulk_density_kg_m3(porosity, solid)
    assert math.isclose(porous.open_porosity(bulk, solid), porosity, rel_tol=1e-9)
    full = porous.saturated_water_kg_m3(porosity)
    assert math.isclose(porous.saturation_coefficient(full, porosity), 1.0)


def test_vapour_leaves_slower_through_a_higher_resistance() -> None:
    """Permeability falls as mu rises, and that of mu = 1 is that of still air."""
    through = [porous.vapour_permeability_kg_m_s_pa(mu, 20.0) for mu in (1.0, 10.0, 100.0)]
    assert through[0] == pytest.approx(10.0 * through[1]) == pytest.approx(100.0 * through[2])
    assert porous.still_air_thickness_m(10.0, 0.02) == pytest.approx(0.2)


@pytest.mark.parametrize(
    "call",
    [
        lambda: porous.uptake_kg_m2(0.2, -1.0),
        lambda: porous.suction_diffusivity_m2_s(260.0, 0.2, 250.0),
        lambda: porous.saturation_coefficient(300.0, 0.2),
        lambda: porous.open_porosity(2700.0, 2650.0),
        lambda: porous.suction_pa(0.0, 20.0),
        lambda: porous.sorptivity_m_s05(1e-6, 1.0),
        lambda: porous.vapour_permeability_kg_m_s_pa(0.5, 20.0),
        lambda: porous.retained_water_kg_m3(math.nan, 146.0, 8e-8, 1.6),
    ],
)
def test_what_lies_outside_is_refused(call: Callable[[], float]) -> None:
    """Each with the name of the quantity."""
    with pytest.raises(OutOfRange):
        call()
