"""Mould: signs, limits and steps of the model, the rule of practice, and broken versions that are caught."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.physics import mould
from strandline.physics.mould import MouldState
from strandline.physics.ranges import OutOfRange

surfaces = st.sampled_from(sorted(mould.SURFACES))
warm = st.floats(5.0, 40.0)
damp = st.floats(0.5, 1.0)
indices = st.floats(0.0, 6.0)
hours = st.floats(0.1, 2000.0)

Step = Callable[[MouldState, float, float, float, str], MouldState]


def keeps_bounds(step: Step, state: MouldState, temp_c: float, rh: float, h: float, surface: str) -> bool:
    """The index stays from 0 to 6, never passes the ceiling it began below, and is dry or grows, not both."""
    after = step(state, temp_c, rh, h, surface)
    ceiling = mould.largest_index(temp_c, rh, surface)
    below = after.index <= max(ceiling, state.index) + 1e-9
    return 0.0 <= after.index <= 6.0 and below and not (after.index > state.index and after.hours_dry > 0.0)


def split_is_whole(step: Step, state: MouldState, temp_c: float, rh: float, h: float, surface: str) -> bool:
    """Two halves of a spell of one climate are the spell."""
    half = step(step(state, temp_c, rh, h / 2, surface), temp_c, rh, h / 2, surface)
    whole = step(state, temp_c, rh, h, surface)
    return math.isclose(half.index, whole.index, abs_tol=1e-9) and math.isclose(
        half.hours_dry, whole.hours_dry, abs_tol=1e-6
    )


def explicit(state: MouldState, temp_c: float, rh: float, h: float, surface: str) -> MouldState:
    """Wrong on purpose: one explicit step for the whole spell."""
    rate = mould.growth_per_day(state.index, temp_c, rh, surface)
    if rate > 0.0:
        return MouldState(state.index + rate * h / 24.0, 0.0)
    return mould.advance(state, temp_c, rh, h, surface)


def forgets_dry(state: MouldState, temp_c: float, rh: float, h: float, surface: str) -> MouldState:
    """Wrong on purpose: every spell falls as if the surface had just become dry."""
    return mould.advance(dataclasses.replace(state, hours_dry=0.0), temp_c, rh, h, surface)


@given(indices, st.floats(0.0, 100.0), warm, damp, hours, surfaces)
def test_the_index_keeps_its_bounds(
    index: float, dry: float, temp_c: float, rh: float, h: float, surface: str
) -> None:
    """Growth ends at the ceiling of the climate, decline at nothing."""
    assert keeps_bounds(mould.advance, MouldState(index, dry), temp_c, rh, h, surface)


def test_an_explicit_step_breaks_the_bounds() -> None:
    """A long explicit step runs over the ceiling."""
    assert not keeps_bounds(explicit, MouldState(), 20.0, 0.97, 2000.0, "very_sensitive")


@given(indices, st.floats(0.0, 100.0), warm, damp, hours, surfaces)
def test_the_length_of_a_step_does_not_matter(
    index: float, dry: float, temp_c: float, rh: float, h: float, surface: str
) -> None:
    """One hour or a quarter of it: the same."""
    assert split_is_whole(mould.advance, MouldState(index, dry), temp_c, rh, h, surface)


@pytest.mark.parametrize(("broken", "rh"), [(explicit, 0.97), (forgets_dry, 0.5)])
def test_broken_steps_are_caught(broken: Step, rh: float) -> None:
    """An explicit step, and one that forgets how long it was dry, depend on the length of the step."""
    assert not split_is_whole(broken, MouldState(2.0, 0.0), 20.0, rh, 48.0, "pine_resawn")


def test_a_quarter_of_an_hour_gives_the_same() -> None:
    """The promise of the module, on a course that changes every hour."""
    course = [(20.0 + 5.0 * math.sin(h / 4.0), 0.85 + 0.14 * math.sin(h / 7.0)) for h in range(24 * 60)]
    by_hours = mould.index_after(course, 1.0)
    by_quarters = mould.index_after([one for one in course for _ in range(4)], 0.25)
    assert by_hours.index > 1.0
    assert by_quarters.index == pytest.approx(by_hours.index, abs=1e-9)


def explicit_course(step_h: float, days: int, rh: float) -> float:
    """The explicit scheme that others use."""
    state = MouldState()
    for _ in range(round(days * 24 / step_h)):
        state = explicit(state, 20.0, rh, step_h, "pine_resawn")
    return state.index


@pytest.mark.parametrize(("days", "rh"), [(14, 0.97), (28, 0.97), (28, 1.0), (56, 0.9)])
def test_explicit_steps_close_in(days: int, rh: float) -> None:
    """One-hour steps lie within 0.01, steps of a quarter of an hour four times closer."""
    exact = mould.advance(MouldState(), 20.0, rh, 24.0 * days).index
    hour, quarter = (abs(explicit_course(step_h, days, rh) - exact) for step_h in (1.0, 0.25))
    assert hour < 0.01
    assert quarter < 0.4 * hour + 1e-6


@given(warm, st.floats(0.82, 0.99), surfaces)
def test_damper_air_never_grows_less(temp_c: float, rh: float, surface: str) -> None:
    """More humidity, an earlier start and a higher ceiling."""
    drier, damper = (
        mould.advance(MouldState(), temp_c, one, 500.0, surface).index for one in (rh, rh + 0.01)
    )
    assert damper >= drier
    assert mould.largest_index(temp_c, rh + 0.01, surface) >= mould.largest_index(temp_c, rh, surface)


@given(st.floats(5.0, 38.0), st.floats(0.9, 1.0))
def test_warmth_hastens(temp_c: float, rh: float) -> None:
    """From 5 to 40 degC a warmer surface shows growth sooner."""
    assert mould.weeks_to_first(temp_c + 1.0, rh) < mould.weeks_to_first(temp_c, rh)
    assert mould.critical_rh(temp_c + 1.0) <= mould.critical_rh(temp_c)


@given(st.floats(10.0, 30.0), st.floats(0.88, 1.0), st.floats(0.05, 3.0), surfaces)
def test_days_to_is_the_inverse(temp_c: float, rh: float, index: float, surface: str) -> None:
    """After so many days the index is there; where it is never reached, ten years do not reach it."""
    days = mould.days_to(index, temp_c, rh, surface)
    after = mould.advance(MouldState(), temp_c, rh, 24.0 * (3650.0 if days is None else days), surface)
    if days is None:
        assert after.index <= index + 1e-9
    else:
        assert after.index == pytest.approx(index, abs=1e-6)


def test_response_times_bound_the_course() -> None:
    """With no ceiling near, index 1 comes at the first response time."""
    days = mould.days_to(1.0, 20.0, 1.0)
    assert days is not None
    assert days == pytest.approx(7.0 * mould.weeks_to_first(20.0, 1.0), rel=1e-3)
    visible = mould.days_to(3.0, 20.0, 1.0)
    assert visible is not None
    assert visible == pytest.approx(7.0 * mould.weeks_to_visible(20.0, 1.0), rel=0.01)


def test_siblings_agree() -> None:
    """The class of pine sapwood stays near the wood model; the classes come in their order."""
    for rh in (0.9, 0.95, 1.0):
        wood, kind = (
            mould.advance(MouldState(), 20.0, rh, 24.0 * 42, surface).index
            for surface in ("pine_resawn", "very_sensitive")
        )
        assert abs(wood - kind) < 0.4
    classes = ("very_sensitive", "sensitive", "medium_resistant", "resistant")
    at_84_d = [mould.advance(MouldState(), 22.0, 0.97, 24.0 * 84, one).index for one in classes]
    assert at_84_d == sorted(at_84_d, reverse=True)


def test_wood_and_its_face_count() -> None:
    """Spruce is later than pine; the kiln-dried face is earlier than the sawn one."""
    assert mould.weeks_to_first(20.0, 0.95, spruce=1.0) > mould.weeks_to_first(20.0, 0.95)
    assert mould.weeks_to_first(20.0, 0.95, kiln_face=1.0) < mould.weeks_to_first(20.0, 0.95)
    assert mould.weeks_to_visible(20.0, 0.95, spruce=1.0) > mould.weeks_to_visible(20.0, 0.95)


def test_frost_and_heat_grow_nothing() -> None:
    """Below 0 and above 50 degC the spell counts as dry."""
    for temp_c in (-5.0, 0.0, 50.0, 60.0):
        after = mould.advance(MouldState(2.0), temp_c, 1.0, 48.0)
        assert after.index < 2.0
        assert after.hours_dry == 48.0
        assert mould.largest_index(temp_c, 1.0) == 0.0
        assert mould.days_to(1.0, temp_c, 1.0) is None


def test_growth_begins_the_dry_spell_anew() -> None:
    """A damp hour puts the clock of the decline back."""
    dry = mould.advance(MouldState(3.0), 20.0, 0.5, 30.0)
    damp_hour = mould.advance(dry, 20.0, 0.97, 1.0)
    assert (dry.hours_dry, damp_hour.hours_dry) == (30.0, 0.0)
    assert mould.advance(damp_hour, 20.0, 0.5, 6.0).index == pytest.approx(damp_hour.index - 0.008)


@pytest.mark.parametrize(
    ("temp_c", "rh", "h"),
    [(math.nan, 0.9, 1.0), (20.0, 1.2, 1.0), (20.0, -0.1, 1.0), (20.0, 0.9, -1.0), (100.0, 0.9, 1.0)],
)
def test_what_is_no_climate_is_refused(temp_c: float, rh: float, h: float) -> None:
    """No number, more than saturated, less than nothing, backwards."""
    with pytest.raises(OutOfRange):
        mould.advance(MouldState(), temp_c, rh, h)


def test_an_unknown_surface_is_named() -> None:
    """The sentence says which are known."""
    with pytest.raises(ValueError, match="'velvet' is not one of pine_resawn"):
        mould.advance(MouldState(), 20.0, 0.9, 1.0, "velvet")
    with pytest.raises(ValueError, match="'velvet' is not one of basketry"):
        mould.practice_rule([], 1.0, ["velvet"])


def test_cautions_name_every_reason() -> None:
    """Cold, hot, wet and soiled are each told; clean wood in moist air is not."""
    assert mould.outside_the_data(20.0, 0.9, wet=False, soiled=False) == ()
    assert len(mould.outside_the_data(3.0, 1.2, wet=True, soiled=True)) == 4
    assert mould.outside_the_data(41.0, 0.9, wet=False, soiled=False) == ("above 40 degC the data end",)


Rule = Callable[..., mould.PracticeVerdict]


def rule_is_strict(rule: Rule) -> bool:
    """48 h are free, the 49th counts; cold alone does not help, and looking alone does not either."""
    two_days, three_days = [(20.0, 0.9)] * 48, [(20.0, 0.9)] * 72
    cold = [(8.0, 0.9)] * 72
    return (
        rule(two_days, 1.0, ["skin"]).kept
        and rule(three_days, 1.0, ["skin"]).hours_against == 24.0
        and not rule(cold, 1.0, ["skin"]).kept
        and rule(cold, 1.0, ["skin"], looked_at_every_h=24.0).kept
        and not rule(cold, 1.0, ["skin"], looked_at_every_h=25.0).kept
        and not rule(three_days, 1.0, ["skin"], looked_at_every_h=12.0).kept
        and rule([(20.0, 0.75)] * 72, 1.0, ["skin"]).kept
        and not rule(three_days, 1.0, []).applies
    )


def cold_is_enough(climates: list[tuple[float, float]], *rest: object, **_: object) -> mould.PracticeVerdict:
    """Wrong on purpose: nobody has to look."""
    return mould.practice_rule(climates, 1.0, ["skin"], looked_at_every_h=24.0)


def counts_from_the_start(
    climates: list[tuple[float, float]], *rest: object, **_: object
) -> mould.PracticeVerdict:
    """Wrong on purpose: the 48 h are not free."""
    found = mould.practice_rule(climates, 1.0, ["skin"])
    return dataclasses.replace(found, hours_against=found.hours_above, kept=found.hours_above == 0.0)


def test_the_rule_of_practice() -> None:
    """Not above 75 % beyond 48 h, unless cold and looked at."""
    assert rule_is_strict(mould.practice_rule)


@pytest.mark.parametrize("broken", [cold_is_enough, counts_from_the_start])
def test_broken_rules_are_caught(broken: Rule) -> None:
    """A milder and a harsher rule are both seen."""
    assert not rule_is_strict(broken)


def test_half_steps_count_in_part() -> None:
    """A step that begins before the 48 h and ends after them counts for what is after."""
    assert mould.practice_rule([(20.0, 0.9)] * 5, 10.0, ["leather"]).hours_against == pytest.approx(2.0)


def test_rule_and_model_stay_apart() -> None:
    """The verdict of practice knows no index, the state of the model no verdict."""
    rule = {field.name for field in dataclasses.fields(mould.PracticeVerdict)}
    model = {field.name for field in dataclasses.fields(MouldState)}
    assert not rule & model
    assert not any("index" in name for name in rule)
