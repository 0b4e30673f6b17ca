"""Corrosion: counting wet hours, classes, dose-response, and broken versions that are caught."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.physics import corrosion
from strandline.physics.ranges import OutOfRange

metals = st.sampled_from(sorted(corrosion.DOSE_RESPONSE))
temps = st.floats(*corrosion.RANGE_TEMP_C)
rhs = st.floats(*corrosion.RANGE_RH)
sulphurs = st.floats(*corrosion.RANGE_SULPHUR)
chlorides = st.floats(*corrosion.RANGE_CHLORIDE)

Loss = Callable[[str, float, float, float, float], float]


def rises(loss: Loss, metal: str, temp_c: float, rh: float, sulphur: float, chloride: float) -> bool:
    """More humidity, sulphur dioxide or chloride never makes less corrosion."""
    base = loss(metal, temp_c, rh, sulphur, chloride)
    damper = loss(metal, temp_c, min(rh + 0.02, 0.93), sulphur, chloride)
    fouler = loss(metal, temp_c, rh, min(sulphur * 1.5, 150.4), chloride)
    saltier = loss(metal, temp_c, rh, sulphur, min(chloride * 1.5, 760.5))
    return base > 0.0 and min(damper, fouler, saltier) >= base


def fraction_as_percent(metal: str, temp_c: float, rh: float, sulphur: float, chloride: float) -> float:
    """Wrong on purpose: the humidity turned round."""
    return corrosion.first_year_um(metal, temp_c, 1.27 - rh, sulphur, chloride)


@given(metals, temps, rhs, sulphurs, chlorides)
def test_more_of_it_corrodes_more(
    metal: str, temp_c: float, rh: float, sulphur: float, chloride: float
) -> None:
    """Signs of the dose-response functions."""
    assert rises(corrosion.first_year_um, metal, temp_c, rh, sulphur, chloride)


def test_a_humidity_turned_round_is_caught() -> None:
    """The property can fail."""
    assert not rises(fraction_as_percent, "steel", 10.0, 0.6, 10.0, 10.0)


@given(metals, rhs, sulphurs)
def test_the_temperature_factor_peaks_at_ten_degrees(metal: str, rh: float, sulphur: float) -> None:
    """With hardly any chloride, cold and warmth both corrode less than 10 degC; no jump there."""
    cold, ten, just, warm = (
        corrosion.first_year_um(metal, temp_c, rh, sulphur, 0.4) for temp_c in (0.0, 10.0, 10.0001, 11.0)
    )
    assert cold < ten
    assert just == pytest.approx(ten, rel=1e-4)
    if metal == "steel" and sulphur > 20.0:
        assert warm < ten


def test_the_metals_come_in_their_order() -> None:
    """In the same air steel loses far more than zinc and copper."""
    for rh in (0.5, 0.7, 0.9):
        steel, zinc, copper = (
            corrosion.first_year_um(metal, 12.0, rh, 10.0, 10.0) for metal in ("steel", "zinc", "copper")
        )
        assert steel > 5.0 * max(zinc, copper)


@pytest.mark.parametrize(
    ("given_values", "inside"),
    [
        ((10.0, 0.7, 10.0, 10.0), True),
        ((29.0, 0.7, 10.0, 10.0), False),
        ((10.0, 0.97, 10.0, 10.0), False),
        ((10.0, 0.7, 0.1, 10.0), False),
        ((10.0, 0.7, 10.0, 900.0), False),
    ],
)
def test_outside_the_range_is_refused_or_flagged(
    given_values: tuple[float, float, float, float], inside: bool
) -> None:
    """One function refuses, the other carries on and says so; both say it is for a year."""
    found = corrosion.first_year("steel", *given_values)
    assert found.in_range is inside
    assert "annual" in found.why
    if inside:
        assert corrosion.first_year_um("steel", *given_values) == found.loss_um
    else:
        with pytest.raises(OutOfRange):
            corrosion.first_year_um("steel", *given_values)


Count = Callable[[list[tuple[float, float]]], float]


def counts_right(count: Count) -> bool:
    """Exactly 80 % and exactly 0 degC do not count; above both does."""
    return (
        count([(20.0, 0.80)] * 5) == 0.0
        and count([(0.0, 0.95)] * 5) == 0.0
        and count([(0.1, 0.81)] * 5) == 5.0
        and count([]) == 0.0
    )


def test_what_counts_as_wet() -> None:
    """Above 80 % and above 0 degC."""
    assert counts_right(corrosion.wet_hours)


@pytest.mark.parametrize(
    "broken",
    [
        lambda climates: float(sum(rh >= 0.8 and t > 0.0 for t, rh in climates)),
        lambda climates: float(sum(rh > 0.8 and t >= 0.0 for t, rh in climates)),
        lambda climates: float(sum(rh > 0.8 for _, rh in climates)),
    ],
)
def test_broken_counts_are_caught(broken: Count) -> None:
    """The edge included, or frost counted."""
    assert not counts_right(broken)


@given(st.lists(st.tuples(st.floats(-30.0, 40.0), st.floats(0.0, 1.0)), max_size=60), st.floats(0.1, 3.0))
def test_wet_hours_add_up(climates: list[tuple[float, float]], step_h: float) -> None:
    """Two parts of a series have the hours of the whole; no more hours than there are."""
    whole = corrosion.wet_hours(climates, step_h)
    parts = corrosion.wet_hours(climates[:20], step_h) + corrosion.wet_hours(climates[20:], step_h)
    assert whole == pytest.approx(parts)
    assert 0.0 <= whole <= step_h * len(climates) + 1e-9
    assert whole <= corrosion.hours_above([rh for _, rh in climates], 0.8, step_h) + 1e-9


@given(st.floats(0.0, 8784.0), st.floats(0.0, 8784.0))
def test_wetness_classes_rise(one: float, two: float) -> None:
    """More hours are never a lower class."""
    low, high = sorted((one, two))
    assert 1 <= corrosion.wetness_class(low) <= corrosion.wetness_class(high) <= 5


@given(metals, st.floats(0.0, 1000.0), st.floats(0.0, 1000.0))
def test_categories_rise(metal: str, one: float, two: float) -> None:
    """More loss is never a lower category; an upper limit belongs to its category."""
    low, high = (corrosion.CATEGORIES.index(corrosion.category(metal, loss)) for loss in sorted((one, two)))
    assert low <= high
    for name, limit in zip(corrosion.CATEGORIES, corrosion.CATEGORY_LIMITS_UM[metal], strict=True):
        assert corrosion.category(metal, limit) == name


def test_flash_rust_is_a_band() -> None:
    """Hours in damp air, minutes in wet or salty air, none promised in dry air."""
    dry, damp, wet, salt = (
        corrosion.flash_rust(rh, chloride)
        for rh, chloride in ((0.5, False), (0.7, False), (0.95, False), (0.5, True))
    )
    assert not dry.possible
    assert damp.possible
    assert 0.0 < damp.earliest_h < damp.latest_h
    assert wet.earliest_h < damp.earliest_h
    assert salt.possible


def test_unknown_metals_are_named() -> None:
    """Aluminium has no function here, and the sentence says which have."""
    with pytest.raises(ValueError, match="'aluminium' is not one of steel, zinc, copper"):
        corrosion.first_year_um("aluminium", 10.0, 0.7, 10.0, 10.0)


def test_no_number_is_refused() -> None:
    """NaN is no humidity."""
    with pytest.raises(OutOfRange):
        corrosion.is_wet(20.0, math.nan)
    with pytest.raises(OutOfRange):
        corrosion.flash_rust(math.inf, False)


def test_results_cannot_be_changed() -> None:
    """A verdict stays as it was given."""
    with pytest.raises(dataclasses.FrozenInstanceError):
        corrosion.first_year("zinc", 10.0, 0.7, 10.0, 10.0).loss_um = 1.0  # type: ignore[misc]  # on purpose
