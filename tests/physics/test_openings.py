"""Openings: limits, growth with size, what weight does where; each rule is shown to catch a wrong engine."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import openings
from strandline.physics.openings import Band, Opening, hole, slit
from strandline.physics.ranges import OutOfRange
from strandline.physics.room import de_gids_phaff_m3_s

AIR = (20.0, 0.95, 20.0, 0.5)
sizes = st.floats(0.001, 0.5)
depths = st.floats(0.0, 0.2)
places = st.sampled_from(openings.PLACES)


def check_hole_limits(conductance: Callable[[float, float, float], float]) -> None:
    """A thin hole passes D d, a long one D A / L, and every hole less than either."""
    d, diffusivity = 0.01, 2.6e-5
    assert math.isclose(conductance(d, 0.0, diffusivity), diffusivity * d, rel_tol=1e-12)
    long = diffusivity * math.pi * d * d / 4.0 / 10.0
    assert math.isclose(conductance(d, 10.0, diffusivity), long, rel_tol=2e-3)
    for depth in (0.001, 0.005, 0.02):
        assert conductance(d, depth, diffusivity) < min(
            diffusivity * d, diffusivity * math.pi * d * d / 4.0 / depth
        )


def test_hole_limits() -> None:
    """The hole."""
    check_hole_limits(openings.hole_conductance_m3_s)


def test_hole_limits_catch_missing_ends() -> None:
    """A hole without its end corrections passes the wall thickness only and is caught."""
    with pytest.raises((AssertionError, ZeroDivisionError, OutOfRange)):
        check_hole_limits(lambda d, depth, k: openings.hole_conductance_m3_s(d, depth, k, stirred_sides=2))
    with pytest.raises(AssertionError):
        check_hole_limits(lambda d, depth, k: openings.hole_conductance_m3_s(d, depth, k, stirred_sides=1))


@given(length=sizes, depth=depths)
@settings(max_examples=50)
def test_square_slit_and_hole_of_the_same_area_agree(length: float, depth: float) -> None:
    """Sibling models: within 0.1 % where the ends are those of a circle, for a square."""
    d = length * 2.0 / math.sqrt(math.pi)
    one = openings.slit_conductance_m3_s(length, length, depth, 2.5e-5)
    other = openings.hole_conductance_m3_s(d, depth, 2.5e-5)
    neck = openings.neck_conductance_m3_s(length * length, depth, 2.5e-5)
    assert math.isclose(one, other, rel_tol=1e-3)
    assert math.isclose(neck, other, rel_tol=1e-9)


@given(width=st.floats(0.0005, 0.01), depth=depths)
@settings(max_examples=40)
def test_long_slit_passes_more_than_its_area_as_a_hole(width: float, depth: float) -> None:
    """A gap of the same area has more rim than a round hole."""
    length = 40.0 * width
    d = math.sqrt(4.0 * length * width / math.pi)
    assert openings.slit_conductance_m3_s(length, width, depth, 2.5e-5) > 0.999 * (
        openings.hole_conductance_m3_s(d, depth, 2.5e-5)
    )


def check_weight_by_place(exchange: Callable[[Opening, float, float, float], float]) -> None:
    """Light air leaves at the top, heavy air at the bottom; both leave at the side."""
    for place, light, flows in (
        ("top", 0.004, True),
        ("top", -0.004, False),
        ("bottom", -0.004, True),
        ("bottom", 0.004, False),
        ("side", 0.004, True),
        ("side", -0.004, True),
    ):
        assert (exchange(hole(0.1, 0.0, place), light, 20.0, 0.43) > 0.0) is flows, (place, light)


def test_weight_by_place() -> None:
    """The exchange."""
    check_weight_by_place(openings.buoyant_exchange_m3_s)


def test_weight_by_place_catches_an_engine_blind_to_place() -> None:
    """One that takes every opening for an upright one, and one with the sign turned."""
    with pytest.raises(AssertionError):
        check_weight_by_place(openings.side_exchange_m3_s)
    with pytest.raises(AssertionError):
        check_weight_by_place(lambda o, light, t, cd: openings.buoyant_exchange_m3_s(o, -light, t, cd))


def check_friction(exchange: Callable[[Opening, float, float, float], float]) -> None:
    """A large hole flows as without friction, a small one far less."""
    for size, least, most in ((1.0, 0.95, 1.0), (0.003, 0.0, 0.25)):
        one = hole(size, 0.0, "side")
        free = openings.single_opening_exchange_m3_s(one.area_m2, one.length_m, 0.004, 0.6)
        assert least * free <= exchange(one, 0.004, 20.0, 0.6) <= most * free


def test_friction() -> None:
    """The side exchange."""
    check_friction(openings.side_exchange_m3_s)


def test_friction_catches_an_engine_without_it() -> None:
    """The formula for doors alone."""
    with pytest.raises(AssertionError):
        check_friction(
            lambda o, light, t, cd: openings.single_opening_exchange_m3_s(o.area_m2, o.length_m, light, cd)
        )


def test_creeping_flow_over_diffusion_is_the_rayleigh_number_over_192() -> None:
    """The reason for the bound of 100: a thin hole small enough for creeping flow."""
    one = hole(0.002, 0.0, "side")
    flow = openings.side_exchange_m3_s(one, 0.002, 20.0, 0.6)
    still = openings.diffusive_band_m3_s(one, 20.0).mid
    assert math.isclose(flow / still, openings.opening_rayleigh(one, 0.002, 20.0) / 192.0, rel_tol=0.05)


@given(size=sizes, depth=depths, place=places, rh=st.floats(0.3, 0.9), temp_c=st.floats(5.0, 30.0))
@settings(max_examples=80)
def test_band_is_ordered_and_never_below_diffusion(
    size: float, depth: float, place: str, rh: float, temp_c: float
) -> None:
    """Low, mid, high; the low value is that of diffusion at least."""
    one = hole(size, depth, place)
    band = openings.opening_band_m3_s(one, temp_c, 0.97, temp_c, rh)
    still = openings.diffusive_band_m3_s(one, temp_c)
    assert still.low <= band.low <= band.mid <= band.high
    assert band.why


@given(size=st.floats(0.002, 0.2), factor=st.floats(1.1, 3.0), place=places)
@settings(max_examples=60)
def test_larger_openings_pass_more(size: float, factor: float, place: str) -> None:
    """At all three ends of the band."""
    one, other = (openings.opening_band_m3_s(hole(s, 0.001, place), *AIR) for s in (size, size * factor))
    assert one.low < other.low
    assert one.mid < other.mid
    assert one.high < other.high


def test_count_and_times_scale() -> None:
    """Ten openings are ten times one."""
    one = openings.opening_band_m3_s(hole(0.006, 0.0002, "side"), *AIR)
    ten = openings.opening_band_m3_s(hole(0.006, 0.0002, "side", 10), *AIR)
    assert math.isclose(ten.mid, 10.0 * one.mid)
    assert one.times(10.0) == Band(10.0 * one.low, 10.0 * one.mid, 10.0 * one.high, one.regime, one.why)


def test_regimes() -> None:
    """Punched holes diffuse, a seam 20 cm long and 1 cm wide flows, the bottom stays layered."""
    assert openings.opening_band_m3_s(hole(0.006, 0.0002, "side"), *AIR).regime == "diffusive"
    assert openings.opening_band_m3_s(slit(0.2, 0.01, 0.001, "side"), *AIR).regime == "buoyant"
    bottom = openings.opening_band_m3_s(hole(0.1, 0.001, "bottom"), *AIR, temp_doubt_k=0.0)
    assert bottom.regime == "diffusive"
    assert "layered" in bottom.why


def test_half_a_kelvin_can_undo_the_lightness_of_moisture() -> None:
    """With a doubt of 2 K the low end is diffusion alone; without doubt it is not."""
    seam = slit(0.2, 0.01, 0.001, "side")
    doubtful = openings.opening_band_m3_s(seam, *AIR, temp_doubt_k=2.0)
    sure = openings.opening_band_m3_s(seam, *AIR, temp_doubt_k=0.0)
    assert math.isclose(doubtful.low, openings.diffusive_band_m3_s(seam, 20.0).low)
    assert sure.low > 2.0 * doubtful.low


@given(area=st.floats(0.1, 2.0), height=st.floats(0.5, 2.0), difference=st.floats(8.0, 25.0))
@settings(max_examples=40)
def test_windows_by_weight_and_as_measured_agree_within_a_half(
    area: float, height: float, difference: float
) -> None:
    """Sibling models, mid discharge coefficient, at differences where weight rules."""
    by_weight = openings.single_opening_exchange_m3_s(area, height, difference / 285.0)
    measured = de_gids_phaff_m3_s(area, height, difference)
    assert 0.5 < by_weight / measured < 1.5


def test_two_openings_beat_one_of_their_area() -> None:
    """Air that streams through passes more than air that turns round in one opening."""
    low = high = hole(0.08, 0.0002, "side")
    pair = openings.pair_band_m3_s(low, high, 0.5, *AIR)
    one = openings.opening_band_m3_s(replace(low, count=2), *AIR)
    assert pair.mid > 1.5 * one.mid
    assert pair.low <= pair.mid <= pair.high


@pytest.mark.parametrize(
    ("kind", "place"), [("crack", "side"), ("hole", "roof")]
)  # fmt: skip
def test_unknown_words_are_refused(kind: str, place: str) -> None:
    """Kinds and places are those of the lists."""
    with pytest.raises(ValueError, match="an opening is"):
        Opening(kind, 0.1, 0.1, 0.0, place)


def test_numbers_out_of_range_are_refused() -> None:
    """Sizes, temperatures and NaN."""
    with pytest.raises(OutOfRange):
        hole(-0.01, 0.0, "side")
    with pytest.raises(OutOfRange):
        slit(0.001, 0.1, 0.0, "side")
    with pytest.raises(OutOfRange):
        openings.opening_band_m3_s(hole(0.01, 0.0, "side"), 60.0, 0.9, 20.0, 0.5)
    with pytest.raises(OutOfRange):
        openings.hole_conductance_m3_s(math.nan, 0.0, 2.5e-5)
