"""Condensation: around the dew point all answers change together; wrong engines are caught."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import condensation
from strandline.physics.air import dew_point_c
from strandline.physics.ranges import OutOfRange

temps = st.floats(2.0, 35.0)
humidities = st.floats(0.2, 0.98)
offsets = st.floats(0.05, 10.0)


def check_dew_line(
    condenses: Callable[[float, float, float], bool], temp_c: float, rh: float, k: float
) -> None:
    """Below the dew point water forms, above it does not."""
    dew_c = dew_point_c(temp_c, rh)
    assert condenses(dew_c - k, temp_c, rh)
    assert not condenses(dew_c + k, temp_c, rh)


@given(temp_c=temps, rh=humidities, k=offsets)
@settings(max_examples=60)
def test_dew_line(temp_c: float, rh: float, k: float) -> None:
    """The answer, the rate, and the highest humidity change at one temperature."""
    check_dew_line(condensation.condenses, temp_c, rh, k)
    check_dew_line(lambda s, t, h: condensation.highest_dry_rh(t, s) < h, temp_c, rh, k)
    dew_c = dew_point_c(temp_c, rh)
    assert condensation.condensation_rate_kg_m2_s(dew_c - k, temp_c, rh) > 0.0


def test_dew_line_catches_turned_sign_and_air_temperature() -> None:
    """One that compares the wrong way, one that compares with the air itself."""
    with pytest.raises(AssertionError):
        check_dew_line(lambda s, t, h: not condensation.condenses(s, t, h), 20.0, 0.5, 1.0)
    with pytest.raises(AssertionError):
        check_dew_line(lambda s, t, h: s < t, 20.0, 0.5, 1.0)


def test_margin_is_kept() -> None:
    """A surface one kelvin above the dew point is wet to one who keeps two."""
    surface_c = dew_point_c(20.0, 0.6) + 1.0
    assert not condensation.condenses(surface_c, 20.0, 0.6)
    assert condensation.condenses(surface_c, 20.0, 0.6, margin_k=2.0)


@given(temp_c=temps, rh=st.floats(0.2, 0.6), rise=st.floats(0.0, 10.0))
@settings(max_examples=40)
def test_warming_and_cooling_back_is_a_round_trip(temp_c: float, rh: float, rise: float) -> None:
    """In the open the vapour pressure stays."""
    warmed = condensation.rh_at_temperature(temp_c, rh, temp_c + rise)
    assert warmed <= rh + 1e-12
    assert math.isclose(condensation.rh_at_temperature(temp_c + rise, warmed, temp_c), rh)


@given(temp_c=temps, rh=humidities)
@settings(max_examples=40)
def test_closed_vessel_fogs_below_the_dew_point(temp_c: float, rh: float) -> None:
    """Its pressure falls as it cools; the amount is zero there and grows below."""
    start_c = condensation.closed_condensation_temp_c(temp_c, rh)
    assert start_c <= dew_point_c(temp_c, rh) + 1e-9
    assert condensation.closed_condensed_kg(1.0, temp_c, rh, start_c + 0.01) == 0.0
    assert condensation.closed_condensed_kg(1.0, temp_c, rh, start_c - 1.0) > 0.0


@given(outside_c=st.floats(-10.0, 10.0), u=st.floats(0.3, 6.0))
@settings(max_examples=40)
def test_pane_and_its_inverse(outside_c: float, u: float) -> None:
    """At the outside temperature for dew the pane stands at the dew point; it lies between both airs."""
    surface_c = condensation.inner_surface_temp_c(18.0, outside_c, u)
    assert outside_c <= surface_c <= 18.0
    turning_c = condensation.outside_temp_for_dew_c(18.0, 0.6, u)
    at_turning_c = condensation.inner_surface_temp_c(18.0, turning_c, u)
    assert math.isclose(at_turning_c, dew_point_c(18.0, 0.6), abs_tol=1e-9)


def test_stream_leaves_nothing_on_a_warm_coil_and_more_on_a_colder() -> None:
    """Monotone in the coil, in proportion to the flow."""
    warm, cool, cold = (condensation.stream_condensed_kg_s(0.1, 20.0, 0.6, c) for c in (15.0, 8.0, 3.0))
    assert warm == 0.0 < cool < cold
    assert math.isclose(condensation.stream_condensed_kg_s(0.2, 20.0, 0.6, 3.0), 2.0 * cold)


def test_cold_thing_must_warm_and_warm_thing_need_not() -> None:
    """Up to two kelvin above the dew point."""
    need_k = condensation.warm_up_needed_k(9.0, 18.0, 0.65)
    assert math.isclose(9.0 + need_k, dew_point_c(18.0, 0.65) + 2.0)
    assert condensation.warm_up_needed_k(18.0, 18.0, 0.65) == 0.0


def test_refusals() -> None:
    """Humidities above one and walls that let more through than their own surface film."""
    with pytest.raises(OutOfRange):
        condensation.rh_at_temperature(20.0, 1.2, 10.0)
    with pytest.raises(OutOfRange):
        condensation.inner_surface_temp_c(18.0, 4.0, 9.0)
    with pytest.raises(OutOfRange):
        condensation.condensation_rate_kg_m2_s(9.0, 18.0, 0.65, transfer_m_s=1.0)
