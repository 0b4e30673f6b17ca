"""Two-stage drying: conservation, limits, orders, and wrong versions that are caught."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import capillary
from strandline.physics.air import wet_bulb_c
from strandline.physics.capillary import PorousSlab, Segment, TwoStage, two_stage
from strandline.physics.crank import fraction_lost
from strandline.physics.ranges import OutOfRange

SLABS = st.builds(
    PorousSlab,
    thickness_m=st.floats(0.003, 0.1),
    faces=st.sampled_from([1, 2]),
    start_kg_m3=st.floats(1.0, 450.0),
    critical_kg_m3=st.floats(1.0, 300.0),
    mu=st.floats(2.0, 300.0),
    measured_m2_s=st.sampled_from([0.0, 1e-10, 3e-9, 2e-8]),
    activation_kj_mol=st.floats(0.0, 60.0),
)
SEGMENTS = st.builds(
    Segment,
    hours=st.floats(1.0, 200.0),
    temp_c=st.floats(2.0, 40.0),
    rh=st.floats(0.05, 1.0),
    transfer_m_s=st.floats(0.0005, 0.02),
)
COURSES = st.lists(SEGMENTS, min_size=1, max_size=5)
BRICK = PorousSlab(0.02, 1, 250.0, 100.0, 10.0)
STONE = PorousSlab(0.02, 1, 200.0, 80.0, 25.0, 4.75e-9, 30.7)
ROOM = Segment(24.0, 20.0, 0.5, 0.003)


@given(SLABS, COURSES)
@settings(max_examples=100)
def test_water_only_goes_and_never_below_none(slab: PorousSlab, course: list[Segment]) -> None:
    """From all there is, down, never up, never negative."""
    found = two_stage(slab, course)
    total = sum(one.hours for one in course)
    left = [found.water_left_kg_m2(total * step / 20.0) for step in range(30)]
    assert left[0] == pytest.approx(slab.water_kg_m2)
    assert all(less <= more + 1e-12 for more, less in pairwise(left))
    assert left[-1] >= 0.0


@given(SLABS, COURSES, st.floats(0.0, 0.99))
@settings(max_examples=100)
def test_the_hours_until_a_share_are_the_hours_at_which_it_is_left(
    slab: PorousSlab, course: list[Segment], share: float
) -> None:
    """Time to water and back, across segments and stages."""
    found = two_stage(slab, course)
    hours = found.hours_until(share)
    if hours < 1e6:
        assert found.water_left_kg_m2(hours) == pytest.approx(share * slab.water_kg_m2, rel=1e-6, abs=1e-9)


Forecast = Callable[[PorousSlab, list[Segment]], TwoStage]


def cuts_leave_no_trace(forecast: Forecast, slab: PorousSlab, one: Segment, pieces: int) -> bool:
    """One climate in pieces gives the course of that climate."""
    whole = forecast(slab, [one])
    cut = forecast(slab, [replace(one, hours=one.hours / pieces)] * pieces)
    return all(
        math.isclose(cut.water_left_kg_m2(at), whole.water_left_kg_m2(at), rel_tol=1e-9, abs_tol=1e-12)
        for at in (one.hours * step / 4.0 for step in range(6))
    )


@given(SLABS, SEGMENTS, st.integers(2, 6))
@settings(max_examples=100)
def test_a_climate_cut_into_pieces_is_the_same_climate(slab: PorousSlab, one: Segment, pieces: int) -> None:
    """The forecast is exact in each segment."""
    assert cuts_leave_no_trace(two_stage, slab, one, pieces)


def stays_at_the_start(slab: PorousSlab, course: list[Segment]) -> TwoStage:
    """Forgets at each new segment what had dried before."""
    right = two_stage(slab, course)
    return replace(right, states=(right.states[0],) * len(right.states))


def front_at_the_surface_again(slab: PorousSlab, course: list[Segment]) -> TwoStage:
    """Keeps what the first stage lost, but puts the front back to the surface at each new segment."""
    right = two_stage(slab, course)
    return replace(right, states=tuple(replace(state, front_m=0.0) for state in right.states))


@pytest.mark.parametrize("wrong", [stays_at_the_start, front_at_the_surface_again])
def test_a_forgetful_forecast_is_caught(wrong: Forecast) -> None:
    """By the cuts, and by water that comes back."""
    assert not cuts_leave_no_trace(wrong, BRICK, replace(ROOM, hours=120.0), 3)
    course = wrong(BRICK, [replace(ROOM, hours=100.0)] * 2)
    assert course.water_left_kg_m2(100.1) > course.water_left_kg_m2(99.9)


def loss_is_the_rate(found: TwoStage, slab: PorousSlab, hours: float) -> bool:
    """The slope of the course is the evaporation of that moment, on all faces."""
    climate = found.segments[0]
    step = 1e-3
    lost = found.water_left_kg_m2(hours - step) - found.water_left_kg_m2(hours + step)
    at = (climate.temp_c, climate.rh, climate.transfer_m_s)
    rim = found.dry_depth_m(hours)
    rate = capillary.front_rate_kg_m2_s(rim, slab.mu, *at) if rim else capillary.first_stage_rate_kg_m2_s(*at)
    if slab.measured_m2_s and rim:
        per_rim = 2.0 * capillary.drive_kg_m3(climate.temp_c, 0.0) / (slab.front_kg_m3 * slab.measured_m2_s)
        rate = climate.drive / (1.0 / climate.transfer_m_s + per_rim * rim)
    return math.isclose(lost, 2.0 * step * 3600.0 * rate * slab.faces, rel_tol=1e-3)


@pytest.mark.parametrize("hours", [2.0, 10.0, 40.0, 100.0])
@pytest.mark.parametrize("faces", [1, 2])
def test_what_is_lost_is_what_evaporates(hours: float, faces: int) -> None:
    """In both stages, from one face and from two."""
    found = two_stage(replace(BRICK, thickness_m=0.02 * faces, faces=faces), [ROOM])
    assert loss_is_the_rate(found, found.slab, hours)


@pytest.mark.parametrize("hours", [2.0, 30.0, 60.0])
def test_what_is_lost_by_creeping_water_is_what_evaporates(hours: float) -> None:
    """At the temperature of the measurement, in a room half as damp as can be."""
    found = two_stage(STONE, [replace(ROOM, temp_c=25.0)])
    assert loss_is_the_rate(found, STONE, hours)
    assert not loss_is_the_rate(two_stage(replace(STONE, measured_m2_s=2e-9), [replace(ROOM, temp_c=25.0)]),
                                STONE, 60.0)  # fmt: skip


DRY_GAS = Segment(1.0, 25.0, 0.0, capillary.STILL)
BELOW = replace(STONE, start_kg_m3=80.0)


def law_of_the_mean_time(forecast: Callable[[PorousSlab, list[Segment]], TwoStage]) -> None:
    """Without a film, in dry gas: the mean time and, within 0.07, the course of constant diffusivity."""
    found = forecast(BELOW, [DRY_GAS])
    pace = 4.75e-9 * 3600.0 / BELOW.depth_m**2
    numbers = [0.0005 * (step + 0.5) / pace for step in range(6000)]
    ours = [found.water_left_kg_m2(hours) / BELOW.water_kg_m2 for hours in numbers]
    theirs = [1.0 - fraction_lost("plane", pace * hours) for hours in numbers]
    assert 0.0005 * sum(theirs) == pytest.approx(1.0 / 3.0, abs=2e-3)
    assert sum(ours) == pytest.approx(sum(theirs), rel=5e-3)
    assert max(abs(one - other) for one, other in zip(ours, theirs, strict=True)) < 0.07


def test_the_front_has_the_mean_time_of_constant_diffusivity() -> None:
    law_of_the_mean_time(two_stage)


@pytest.mark.parametrize("factor", [0.5, 2.0])
def test_another_diffusivity_is_seen(factor: float) -> None:
    """A front by x^2 = 2 D t, or one of half the pace."""
    with pytest.raises(AssertionError):
        law_of_the_mean_time(
            lambda slab, course: two_stage(
                replace(slab, measured_m2_s=factor * slab.measured_m2_s), course
            )
        )  # fmt: skip


def test_vapour_alone_is_the_least() -> None:
    """A second stage measured slower than vapour carries changes nothing; a faster one is taken."""
    vapour = capillary.vapour_front_m2_s(25.0, 80.0, 25.0)
    bare = two_stage(replace(BELOW, measured_m2_s=0.0), [DRY_GAS]).hours_until(0.0)
    assert bare == pytest.approx(BELOW.depth_m**2 / vapour / 3600.0, rel=1e-6)
    slower = replace(BELOW, measured_m2_s=0.9 * vapour)
    assert two_stage(slower, [DRY_GAS]).hours_until(0.0) == pytest.approx(bare, rel=1e-12)
    assert slower.second_stage_m2_s(25.0) == vapour
    faster = replace(BELOW, measured_m2_s=1.1 * vapour)
    assert two_stage(faster, [DRY_GAS]).hours_until(0.0) == pytest.approx(bare / 1.1, rel=1e-6)
    assert replace(BELOW, start_kg_m3=0.0).second_stage_m2_s(25.0) == 4.75e-9


def test_the_energy_is_that_of_the_second_stage() -> None:
    """In dry gas the time falls by the energy put in; a damp room slows it by its drive."""
    cold, warm = (
        two_stage(BELOW, [replace(DRY_GAS, temp_c=temp_c)]).hours_until(0.0) for temp_c in (15.0, 30.0)
    )
    energy = 8.314e-3 * math.log(cold / warm) / (1.0 / 288.15 - 1.0 / 303.15)
    assert energy == pytest.approx(30.7, rel=1e-6)
    damp = two_stage(BELOW, [replace(DRY_GAS, rh=0.6)]).hours_until(0.0)
    dry = two_stage(BELOW, [DRY_GAS]).hours_until(0.0)
    assert damp == pytest.approx(2.5 * dry, rel=1e-6)


@pytest.mark.parametrize(
    "wrong",
    [replace(BRICK, mu=20.0), replace(BRICK, faces=2)],
)
def test_a_course_of_another_slab_is_caught(wrong: PorousSlab) -> None:
    """A rim of twice the resistance and a second face both break the balance."""
    assert not loss_is_the_rate(two_stage(wrong, [ROOM]), BRICK, 100.0)


@pytest.mark.parametrize(
    "worse",
    [
        lambda slab, one: (replace(slab, mu=slab.mu * 1.5), one),
        lambda slab, one: (replace(slab, start_kg_m3=slab.start_kg_m3 * 1.3), one),
        lambda slab, one: (replace(slab, thickness_m=slab.thickness_m * 1.3), one),
        lambda slab, one: (slab, replace(one, rh=one.rh + 0.2)),
        lambda slab, one: (slab, replace(one, temp_c=one.temp_c - 5.0)),
        lambda slab, one: (slab, replace(one, transfer_m_s=one.transfer_m_s / 2.0)),
        lambda slab, one: (replace(slab, critical_kg_m3=slab.critical_kg_m3 * 1.5), one),
    ],
)
def test_each_hindrance_makes_it_longer(
    worse: Callable[[PorousSlab, Segment], tuple[PorousSlab, Segment]],
) -> None:
    """More resistance, water, depth, humidity, cold; less wind; an earlier end of the wet surface."""
    slab, one = worse(BRICK, ROOM)
    assert two_stage(slab, [one]).hours_until(0.0) > two_stage(BRICK, [ROOM]).hours_until(0.0)


@pytest.mark.parametrize(
    "worse",
    [
        lambda slab, one: (replace(slab, measured_m2_s=slab.measured_m2_s / 2.0), one),
        lambda slab, one: (replace(slab, thickness_m=slab.thickness_m * 1.3), one),
        lambda slab, one: (slab, replace(one, rh=one.rh + 0.2)),
        lambda slab, one: (slab, replace(one, temp_c=one.temp_c - 5.0)),
        lambda slab, one: (slab, replace(one, transfer_m_s=one.transfer_m_s / 2.0)),
    ],
)
def test_each_hindrance_slows_a_stone_in_which_water_creeps(
    worse: Callable[[PorousSlab, Segment], tuple[PorousSlab, Segment]],
) -> None:
    """A slower second stage, depth, humidity, cold, less wind."""
    slab, one = worse(STONE, ROOM)
    assert two_stage(slab, [one]).hours_until(0.0) > two_stage(STONE, [ROOM]).hours_until(0.0)


def test_two_faces_are_four_times_as_fast_as_one_without_a_film() -> None:
    """Depth enters squared; with the film less."""
    wet = PorousSlab(0.02, 1, 100.0, 100.0, 10.0)
    bare = Segment(24.0, 20.0, 0.5, 1e8)
    one, two = (two_stage(replace(wet, faces=faces), [bare]).hours_until(0.0) for faces in (1, 2))
    assert one == pytest.approx(4.0 * two, rel=1e-4)
    one, two = (two_stage(replace(wet, faces=faces), [ROOM]).hours_until(0.0) for faces in (1, 2))
    assert 2.0 * two < one < 4.0 * two


def test_air_that_is_full_dries_nothing() -> None:
    """Not in the first stage nor in the second; and it does not wet."""
    full = replace(ROOM, rh=1.0)
    found = two_stage(BRICK, [replace(ROOM, hours=72.0), full])
    assert found.water_left_kg_m2(500.0) == found.water_left_kg_m2(72.0)
    assert found.hours_until(0.01) == math.inf
    cold_surface = Segment(10.0, 20.0, 0.9, 0.003, surface_c=10.0)
    assert two_stage(BRICK, [cold_surface]).water_left_kg_m2(5.0) == pytest.approx(BRICK.water_kg_m2)


def test_the_wet_bulb_surface_gives_the_slow_end_of_the_first_stage() -> None:
    """At 20 degC and 50 %: 155.6 g/(m2 h) with the surface at the air's temperature, 59 at its wet bulb."""
    warm = capillary.first_stage_rate_kg_m2_s(20.0, 0.5, 0.005)
    cool = capillary.first_stage_rate_kg_m2_s(20.0, 0.5, 0.005, wet_bulb_c(20.0, 0.5))
    assert 3.6e6 * warm == pytest.approx(155.6, abs=0.2)
    assert 3.6e6 * cool == pytest.approx(58.7, abs=1.0)


def test_the_band_goes_from_fast_to_slow() -> None:
    """At every hour the slow reading has at least as much water left, as a share."""
    slabs = [PorousSlab(0.02, 1, w, c, mu) for w, c, mu in ((150, 60, 8), (230, 110, 12), (370, 200, 20))]
    cool = replace(ROOM, surface_c=wet_bulb_c(20.0, 0.5))
    band = capillary.forecast_band(slabs, [ROOM], [cool])
    for hours in range(0, 400, 20):
        shares = [one.water_left_kg_m2(hours) / one.slab.water_kg_m2 for one in band]
        assert shares == pytest.approx(sorted(shares), abs=1e-12)
    with pytest.raises(ValueError, match="three slabs"):
        capillary.forecast_band(slabs[:2], [ROOM])


def test_the_stages_meet() -> None:
    """The surface is wet until the critical moisture; then a rim grows; hours are counted from 0."""
    found = two_stage(BRICK, [ROOM])
    wet = found.surface_wet_hours()
    expected = (250.0 - 100.0) * 0.02 / capillary.first_stage_rate_kg_m2_s(20.0, 0.5, 0.003) / 3600.0
    assert wet == pytest.approx(expected)
    assert found.dry_depth_m(wet * 0.99) == 0.0 < found.dry_depth_m(wet * 1.01)
    assert len(found.hourly_kg_m2(48)) == 49
    below = two_stage(replace(BRICK, start_kg_m3=60.0), [ROOM])
    assert below.surface_wet_hours() == 0.0


@pytest.mark.parametrize("rh", [0.2, 0.5, 0.8])
def test_the_linear_sibling_is_within_a_factor_of_three(rh: float) -> None:
    """A rate that falls in proportion from the same wet stage on, down to a tenth of the water."""
    slab = PorousSlab(0.01, 1, 250.0, 100.0, 10.0)
    ours = 3600.0 * two_stage(slab, [replace(ROOM, rh=rh)]).hours_until(0.1)
    rate = capillary.first_stage_rate_kg_m2_s(20.0, rh, 0.003)
    density = 1700.0
    theirs = capillary.drying_time_linear_s(
        250.0 / density, 100.0 / density, 0.0, 25.0 / density, 0.01 * density, rate
    )
    assert 1.0 / 3.0 < ours / theirs < 3.0


def test_a_crevice_dries_with_the_square_of_its_depth() -> None:
    """And slower than a wet face; the linear form of the flux lies 1 to 2 % below Stefan's."""
    assert capillary.crevice_time_s(0.02, 20.0, 0.5) == pytest.approx(
        4.0 * capillary.crevice_time_s(0.01, 20.0, 0.5)
    )
    linear = capillary.front_rate_kg_m2_s(0.01, 1.0, 20.0, 0.5)
    stefan = capillary.crevice_flux_kg_m2_s(0.01, 20.0, 0.5)
    assert 0.98 < linear / stefan < 0.99


@given(st.floats(0.2, 0.5), st.floats(0.08, 0.18), st.floats(0.0, 0.04), st.floats(0.05, 0.07))
@settings(max_examples=50)
def test_the_linear_sibling_is_additive(start: float, critical: float, balance: float, end: float) -> None:
    """The time from start to end is that to a moisture between and on from it."""
    middle = 0.5 * (start + end)

    def hours(one: float, other: float) -> float:
        return capillary.drying_time_linear_s(one, critical, balance, other, 10.0, 1e-4)

    assert hours(start, end) == pytest.approx(hours(start, middle) + hours(middle, end))


@pytest.mark.parametrize(
    "call",
    [
        lambda: PorousSlab(0.02, 3, 250.0, 100.0, 10.0),
        lambda: PorousSlab(0.0, 1, 250.0, 100.0, 10.0),
        lambda: PorousSlab(0.02, 1, math.nan, 100.0, 10.0),
        lambda: PorousSlab(0.02, 1, 250.0, 100.0, 10.0, -1e-9),
        lambda: PorousSlab(0.02, 1, 250.0, 100.0, 10.0, 1e-9, 200.0),
        lambda: capillary.vapour_front_m2_s(10.0, 0.0, 25.0),
        lambda: Segment(0.0, 20.0, 0.5, 0.003),
        lambda: Segment(1.0, 20.0, 1.2, 0.003),
        lambda: Segment(1.0, 20.0, 0.5, 0.0),
        lambda: two_stage(BRICK, [ROOM]).water_left_kg_m2(-1.0),
        lambda: capillary.front_time_s(250.0, 0.01, 10.0, 20.0, 1.0),
        lambda: capillary.drying_time_linear_s(0.3, 0.15, 0.09, 0.08, 1.0, 1e-4),
        lambda: capillary.stefan_flux_kg_m2_s(0.0, 20.0, 2338.0, 0.0, 2.5e-5),
    ],
)
def test_what_lies_outside_is_refused(call: Callable[[], object]) -> None:
    """Each with the name of the quantity."""
    with pytest.raises(OutOfRange):
        call()


def test_a_forecast_without_a_climate_is_refused() -> None:
    """There is nothing to forecast."""
    with pytest.raises(ValueError, match="at least one segment"):
        two_stage(BRICK, [])
