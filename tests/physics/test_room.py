"""Room air: water is conserved, steady states are reached, windows help or not; wrong engines are caught."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import room
from strandline.physics.air import saturation_density_kg_m3, vapour_density_kg_m3
from strandline.physics.ranges import OutOfRange
from strandline.physics.room import Hour, HourEnd, Room

HALL = Room(81.0, 0.5)
OUT = (10.0, 0.8)
changes = st.floats(0.05, 5.0)
sources = st.floats(0.0, 1.0)
Hourly = Callable[..., list[HourEnd]]


def check_conserved(hourly: Hourly) -> None:
    """What comes in less what goes out, condenses and is taken, is what the air holds more."""
    removal_kg_h = 0.15
    ends = hourly(HALL, 0.6, [Hour(20.0, *OUT, 0.9)] * 48, lambda temp_c, rh: removal_kg_h)
    full, outside = saturation_density_kg_m3(20.0), vapour_density_kg_m3(*OUT)
    start = 0.6 * full
    aired_kg = 0.0
    for end in ends:
        aired_kg += 40.5 * (outside - end.vapour_density_kg_m3)
    gained = (ends[-1].vapour_density_kg_m3 - start) * 81.0
    condensed = sum(end.condensed_kg for end in ends)
    removed = sum(end.removed_kg for end in ends)
    # The hour's air change by its end state: some per cent off in the first hours only.
    assert math.isclose(0.9 * 48 - removed - condensed + aired_kg, gained, abs_tol=0.6)
    assert math.isclose(removed, removal_kg_h * 48, rel_tol=1e-9)


def test_conserved() -> None:
    """The hourly run."""
    check_conserved(room.hourly)


def test_conserved_catches_lost_condensate() -> None:
    """An engine that forgets what condensed."""

    def forgetful(*given_: object) -> list[HourEnd]:
        ends = room.hourly(*given_)  # type: ignore[arg-type]  # handed on as they came
        return [HourEnd(e.rh, e.vapour_density_kg_m3, 0.0, e.removed_kg) for e in ends]

    with pytest.raises(AssertionError):
        check_conserved(forgetful)


@given(rate=changes, source=st.floats(-0.1, 0.3), rh=st.floats(0.3, 0.9))
@settings(max_examples=60)
def test_time_leads_to_the_steady_state(rate: float, source: float, rh: float) -> None:
    """After twenty time constants the exact step has come to rest where the balance says."""
    one = Room(81.0, rate)
    late = room.rh_after(one, rh, 20.0, *OUT, source, 20.0 / rate)
    steady = room.steady_rh(one, 20.0, *OUT, max(0.0, source), max(0.0, -source))
    assert math.isclose(late, steady, abs_tol=1e-6)


@given(rate=changes, source=sources, hours=st.floats(0.1, 20.0), split=st.floats(0.1, 0.9))
@settings(max_examples=60)
def test_two_steps_are_one(rate: float, source: float, hours: float, split: float) -> None:
    """The step is exact: cut anywhere it gives the same."""
    one = Room(81.0, rate, 1.0)
    whole = room.rh_after(one, 0.5, 20.0, *OUT, 0.05 * source, hours)
    first = room.rh_after(one, 0.5, 20.0, *OUT, 0.05 * source, split * hours)
    if first <= 1.0:
        assert math.isclose(
            room.rh_after(one, first, 20.0, *OUT, 0.05 * source, (1.0 - split) * hours), whole, rel_tol=1e-9
        )


def test_without_air_change_the_growth_is_straight() -> None:
    """The limit of the exponential."""
    shut = Room(81.0, 0.0)
    one, two = (room.rh_after(shut, 0.2, 20.0, *OUT, 0.1, hours) - 0.2 for hours in (1.0, 2.0))
    assert math.isclose(two, 2.0 * one, rel_tol=1e-9)
    nearly = room.rh_after(Room(81.0, 1e-7), 0.2, 20.0, *OUT, 0.1, 2.0) - 0.2
    assert math.isclose(nearly, two, rel_tol=1e-5)


def test_buffer_slows_both_ways() -> None:
    """With walls that give and take the air moves less in the same time."""
    bare, lined = (room.rh_after(Room(81.0, 0.5, b), 0.9, 20.0, *OUT, 0.0, 1.0) for b in (0.0, 3.0))
    assert bare < lined < 0.9


@given(goal=st.floats(0.62, 0.88), source=st.floats(-0.2, 0.1))
@settings(max_examples=40)
def test_pull_down_time_and_step_are_inverse(goal: float, source: float) -> None:
    """Round trip."""
    hours = room.pull_down_h(HALL, 20.0, 0.9, goal, *OUT, source)
    assert math.isclose(room.rh_after(HALL, 0.9, 20.0, *OUT, source, hours), goal, abs_tol=1e-9)


def test_a_goal_below_the_steady_state_is_never_reached() -> None:
    """Infinite hours, and none where nothing is to do."""
    assert room.pull_down_h(HALL, 20.0, 0.9, 0.4, *OUT, 0.1) == math.inf
    assert room.pull_down_h(HALL, 20.0, 0.7, 0.7, *OUT, 0.1) == 0.0


def check_window_rule(verdict: Callable[[float, float, float, float], room.OutsideAir]) -> None:
    """Mild damp air fogs a cold room; clear cold air dries it; damp warm air wets a dry room."""
    fog, clear, damp = (
        verdict(9.0, 0.8, 11.0, 0.92),
        verdict(9.0, 0.8, 4.0, 0.7),
        verdict(20.0, 0.4, 18.0, 0.9),
    )
    assert (fog.dries, fog.condenses) == (False, True)
    assert fog.rh_in_room > 1.0
    assert (clear.dries, clear.condenses) == (True, False)
    assert clear.rh_in_room < 0.55
    assert (damp.dries, damp.condenses) == (False, False)


def test_window_rule() -> None:
    """And cold surfaces count."""
    check_window_rule(room.outside_air_dries)
    assert room.outside_air_dries(18.0, 0.8, 12.0, 0.9, coldest_surface_c=8.0).condenses


def test_window_rule_catches_comparing_relative_humidities() -> None:
    """The usual mistake: 70 % outside is drier than 80 % inside, so open the window."""

    def naive(room_c: float, room_rh: float, out_c: float, out_rh: float) -> room.OutsideAir:
        return room.OutsideAir(out_rh < room_rh, False, out_rh, "")

    with pytest.raises(AssertionError):
        check_window_rule(naive)


@given(rate=changes, target=st.floats(0.35, 0.9), evaporation=sources)
@settings(max_examples=60)
def test_required_removal_holds_the_room(rate: float, target: float, evaporation: float) -> None:
    """With it the steady state is the target, or lower where none is needed."""
    one = Room(81.0, rate)
    removal = room.required_removal_kg_h(one, 20.0, target, *OUT, evaporation)
    steady = room.steady_rh(one, 20.0, *OUT, evaporation, removal)
    assert steady <= target + 1e-9
    if removal > 0.0:
        assert math.isclose(steady, target, rel_tol=1e-9)
        capacity = room.evaporation_capacity_kg_day(one, 20.0, target, *OUT, removal)
        assert math.isclose(capacity, 24.0 * evaporation, rel_tol=1e-6, abs_tol=1e-9)


@given(rate=st.floats(0.1, 5.0), hours=st.floats(0.2, 3.0))
@settings(max_examples=30)
def test_decay_gives_the_rate_back(rate: float, hours: float) -> None:
    """Round trip of a tracer."""
    end = 400.0 + 1000.0 * math.exp(-rate * hours)
    if end - 400.0 > 0.01:
        assert math.isclose(room.changes_from_decay_per_h(1400.0, end, 400.0, hours), rate, rel_tol=1e-6)


def test_window_band_grows_with_cold_and_wind() -> None:
    """Ordered, and larger with a greater difference or a breeze."""
    mild, cold = (room.window_changes_per_h(81.0, 0.36, 0.6, 18.0, 0.6, out, 0.7) for out in (15.0, 4.0))
    windy = room.window_changes_per_h(81.0, 0.36, 0.6, 18.0, 0.6, 4.0, 0.7, wind_m_s=6.0)
    assert mild.mid < cold.mid
    assert cold.low < cold.mid < cold.high < windy.high


def test_heat() -> None:
    """Drying cools, a drier warms by more than its current, the sum of things is their sum."""
    assert room.room_shift_k(-room.evaporative_cooling_w(0.5), 150.0) < 0.0
    assert room.drier_heat_w(0.5, 400.0) > 400.0
    assert room.summed_kg_h([0.1, 0.2, 0.3]) == pytest.approx(0.6)


def test_cold_night_keeps_the_water_and_raises_the_humidity() -> None:
    """A room that cools without air change gets damper; its water stays."""
    shut = Room(81.0, 0.0)
    warm, cool = room.hourly(shut, 0.5, [Hour(20.0, *OUT, 0.0), Hour(15.0, *OUT, 0.0)])
    assert math.isclose(warm.vapour_density_kg_m3, cool.vapour_density_kg_m3, rel_tol=1e-9)
    assert cool.rh > warm.rh


def test_refusals() -> None:
    """No room, no exchange, a tracer that does not fall, negative losses."""
    with pytest.raises(OutOfRange):
        Room(0.0, 0.5)
    with pytest.raises(OutOfRange):
        room.steady_rh(Room(81.0, 0.0), 20.0, *OUT, 0.1)
    with pytest.raises(OutOfRange):
        room.changes_from_decay_per_h(500.0, 600.0, 400.0, 1.0)
    with pytest.raises(OutOfRange):
        room.summed_kg_h([-0.1])
