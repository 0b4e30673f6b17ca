"""Weather years run through the physics: they were read aright, and the courses they give make sense."""

from __future__ import annotations

import math

import pytest

from strandline.physics import air, corrosion, mould
from tests.reference.calls import weather

PLACES = sorted(weather.FILES)


@pytest.mark.parametrize("place", PLACES)
def test_a_year_has_its_hours(place: str) -> None:
    """8760 hours, each a climate."""
    hours = weather.hours(place)
    assert len(hours) == 8760
    assert all(-60.0 < temp_c < 50.0 and 0.0 < rh <= 1.0 and dew <= temp_c + 0.5 for temp_c, rh, dew in hours)


def mean_gap(place: str, shift: float) -> float:
    """Mean gap of the dew points, the humidity shifted on purpose."""
    gaps = [
        air.dew_point_c(temp_c, min(rh + shift, 1.0)) - dew
        for temp_c, rh, dew in weather.hours(place)
        if dew > 0.0 < temp_c
    ]
    return sum(gaps) / len(gaps)


@pytest.mark.parametrize("place", PLACES)
def test_dew_points_scatter_little(place: str) -> None:
    """Half of the hours lie within what rounding of the humidity explains; few lie a kelvin off."""
    gaps = sorted(
        abs(air.dew_point_c(temp_c, rh) - dew)
        for temp_c, rh, dew in weather.hours(place)
        if dew > 0.0 < temp_c
    )
    assert gaps[len(gaps) // 2] < 0.15
    assert sum(gap > 1.0 for gap in gaps) < 0.01 * len(gaps)


@pytest.mark.parametrize("place", PLACES)
def test_a_humidity_read_wrongly_shows(place: str) -> None:
    """Two percent more, and the mean gap leaves its tolerance of a tenth of a kelvin."""
    assert abs(mean_gap(place, 0.0)) < 0.1 < abs(mean_gap(place, 0.02))


def test_wet_places_and_seasons() -> None:
    """Classes of the time of wetness of the three places, and hours that add up by halves of the year."""
    for place in PLACES:
        climates = weather.climates(place)
        halves = corrosion.wet_hours(climates[:4380]) + corrosion.wet_hours(climates[4380:])
        assert halves == corrosion.wet_hours(climates)
        assert corrosion.wetness_class(halves) == 4


def steepest(place: str, surface: str) -> float:
    """Greatest change of the index in an hour."""
    state, most = mould.MouldState(), 0.0
    for temp_c, rh in weather.climates(place):
        after = mould.advance(state, temp_c, rh, 1.0, surface)
        most = max(most, abs(after.index - state.index))
        state = after
    return most


@pytest.mark.parametrize("place", PLACES)
def test_the_index_never_jumps(place: str) -> None:
    """No hour of any year changes the index by more than the fastest growth or decline can."""
    assert steepest(place, "pine_resawn") < 0.015


def test_classes_keep_their_order_in_real_weather() -> None:
    """The less sensitive the surface, the less grows, wherever it is."""
    for place in PLACES:
        largest = [
            weather.mould_largest(place, surface)
            for surface in ("very_sensitive", "sensitive", "medium_resistant", "resistant")
        ]
        assert largest == sorted(largest, reverse=True)


def test_order_within_a_year_matters() -> None:
    """Hours sorted by humidity grow another index: a mean climate cannot stand for a year."""
    climates = weather.climates("miami")
    as_it_was = mould.index_after(climates, 1.0, "very_sensitive").index
    by_humidity = mould.index_after(sorted(climates, key=lambda one: one[1]), 1.0, "very_sensitive").index
    assert not math.isclose(as_it_was, by_humidity, rel_tol=0.2)
