"""Driers: less in cooler and drier air, ordered bands, steady wheels; wrong engines are caught."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.knowledge.driers import driers
from strandline.physics import dehumidifier
from strandline.physics.openings import Band
from strandline.physics.ranges import OutOfRange

KINDS = driers().kinds
PLAIN, THAWING, WHEEL = (KINDS[key] for key in ("refrigerant", "refrigerant_low_temperature", "desiccant"))
temps = st.floats(5.0, 32.0)
humidities = st.floats(0.4, 0.8)
Machine = Callable[[float, float], Band]


def check_derating(machine: Machine) -> None:
    """A coil takes less the cooler and the drier the air is, and little in the cold."""
    assert machine(12.0, 0.6).mid < machine(20.0, 0.6).mid < machine(28.0, 0.6).mid
    assert machine(20.0, 0.45).mid < machine(20.0, 0.6).mid < machine(20.0, 0.75).mid
    assert machine(9.0, 0.8).mid < 0.25 * machine(30.0, 0.8).mid
    assert machine(9.0, 0.8).regime == "frost"


def test_derating() -> None:
    """A plain machine of 20 L/day."""
    check_derating(lambda t, h: dehumidifier.drier_band(PLAIN, 20.0, t, h))


def test_derating_catches_taking_the_rating_as_it_is() -> None:
    """An engine that believes the box, and one whose coil never ices."""
    with pytest.raises(AssertionError):
        check_derating(lambda t, h: Band(20.0, 20.0, 20.0, "refrigerant", ""))
    always = (dehumidifier.Ramp(-50.0, -40.0),) * 3
    warm = dehumidifier.DrierKind(
        "warm", "refrigerant", PLAIN.curves, always, 1.0, 1.0, (0.0, 0.0, 0.0), 30.0, 0.8
    )
    with pytest.raises(AssertionError):
        check_derating(lambda t, h: dehumidifier.drier_band(warm, 20.0, t, h))


@given(temp_c=temps, rh=humidities, key=st.sampled_from(sorted(KINDS)))
@settings(max_examples=80)
def test_bands_are_ordered(temp_c: float, rh: float, key: str) -> None:
    """For every kind that ships; never below zero."""
    band = dehumidifier.drier_band(KINDS[key], 20.0, temp_c, rh)
    assert 0.0 <= band.low <= band.mid <= band.high <= 1.3 * 20.0
    assert band.why


def test_rating_point_gives_the_rating() -> None:
    """At its own rating a machine takes what it is rated at, whichever rating that is."""
    for kind in KINDS.values():
        at = dehumidifier.drier_band(kind, 20.0, kind.rated_temp_c, kind.rated_rh)
        assert at.mid == pytest.approx(20.0)
    american = dehumidifier.drier_band(PLAIN, 20.0, 26.7, 0.6, rated_temp_c=26.7, rated_rh=0.6)
    assert american.mid == pytest.approx(20.0)


def test_the_same_litres_mean_more_by_the_american_rating() -> None:
    """20 L/day at 26.7 degC and 60 % is a larger machine than 20 L/day at 30 degC and 80 %."""
    european = dehumidifier.drier_band(PLAIN, 20.0, 20.0, 0.6)
    american = dehumidifier.drier_band(PLAIN, 20.0, 20.0, 0.6, rated_temp_c=26.7, rated_rh=0.6)
    assert american.mid > 1.3 * european.mid


def test_wheel_beats_coil_in_the_cold() -> None:
    """In a room of 9 degC the wheel keeps most of its rating, the plain coil does not."""
    assert (
        dehumidifier.drier_band(WHEEL, 20.0, 9.0, 0.8).low
        > dehumidifier.drier_band(PLAIN, 20.0, 9.0, 0.8).high
    )
    assert (
        dehumidifier.drier_band(THAWING, 20.0, 9.0, 0.8).mid
        > dehumidifier.drier_band(PLAIN, 20.0, 9.0, 0.8).mid
    )


@given(temp_c=st.floats(21.0, 30.0), rh=st.floats(0.55, 0.8))
@settings(max_examples=40)
def test_the_two_curves_agree_within_a_quarter(temp_c: float, rh: float) -> None:
    """Sibling models, rated at 26.7 degC and 60 %, in the range both state."""
    one, two = (
        dehumidifier.capacity_factor(driers().curves[key], temp_c, rh, 26.7, 0.6)
        for key in ("six_machines", "example_file")
    )
    assert 0.75 < one / two < 1.25


def test_outside_the_stated_range_is_said() -> None:
    """In the reason of the band, and by the separate question."""
    curve = driers().curves["example_file"]
    assert dehumidifier.curve_is_stated(curve, 25.0, 0.6)
    assert not dehumidifier.curve_is_stated(curve, 15.0, 0.6)
    assert "outside the range" in dehumidifier.drier_band(PLAIN, 20.0, 10.0, 0.6).why
    assert "outside the range" not in dehumidifier.drier_band(PLAIN, 20.0, 25.0, 0.6).why


def test_first_estimate_falls_with_the_divisor() -> None:
    """Wetter classes have smaller divisors and ask for more."""
    wetness = driers().wetness
    asked = [
        dehumidifier.first_estimate_l_day(81.0, wetness[key].divisor_plain)
        for key in ("class_1", "class_2", "class_3")
    ]
    assert asked == sorted(asked)
    assert asked[0] < asked[-1]
    with pytest.raises(OutOfRange):
        dehumidifier.first_estimate_l_day(81.0, wetness["class_4"].divisor_plain)


def test_refusals() -> None:
    """Ratings and temperatures out of range, a ramp that falls."""
    with pytest.raises(OutOfRange):
        dehumidifier.drier_band(PLAIN, 0.0, 20.0, 0.6)
    with pytest.raises(OutOfRange):
        dehumidifier.drier_band(PLAIN, 20.0, -5.0, 0.6)
    with pytest.raises(OutOfRange):
        dehumidifier.frost_share(dehumidifier.Ramp(10.0, 5.0), 8.0)
