"""Schedules as envelopes: what must hold whatever the tables say, each shown to catch a broken version."""

import math
from collections.abc import Callable, Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import kiln
from strandline.physics.kiln import Step
from strandline.physics.ranges import OutOfRange

TEMPS_C = st.floats(25.0, 95.0)
GAPS_K = st.floats(0.5, 14.0)
MOISTURES = st.floats(0.01, 1.5)
STEPS = kiln.schedule_steps([0.50, 0.40, 0.35], [2.2, 2.8, 4.4, 7.8], [0.30], [43.3, 48.9])
Rh = Callable[[float, float], float]


def holds(check: Callable[[], None]) -> bool:
    """Whether a property holds for all that is drawn."""
    try:
        check()
    except AssertionError:
        return False
    return True


def dries_with_depression(rh: Rh) -> None:
    """The further the wet bulb stands below, the drier the air; none below: saturated."""

    @settings(max_examples=40)
    @given(TEMPS_C, GAPS_K, st.floats(0.1, 3.0))
    def check(temp_c: float, gap_k: float, more_k: float) -> None:
        assert rh(temp_c, gap_k + more_k) < rh(temp_c, gap_k) < 1.0
        assert rh(temp_c, 0.0) == pytest.approx(1.0, abs=1e-9)

    check()


def moister_when_hotter(rh: Rh) -> None:
    """The same depression stands for moister air at a higher temperature."""

    @settings(max_examples=40)
    @given(TEMPS_C, GAPS_K, st.floats(0.5, 4.0))
    def check(temp_c: float, gap_k: float, hotter_k: float) -> None:
        assert rh(temp_c + hotter_k, gap_k) > rh(temp_c, gap_k)

    check()


@pytest.mark.parametrize("rh", [kiln.rh_of_depression, kiln.rh_of_ventilated_depression])
def test_both_formulas_of_the_wet_bulb_keep_the_signs(rh: Rh) -> None:
    """Drier with depression, moister with heat."""
    dries_with_depression(rh)
    moister_when_hotter(rh)


@pytest.mark.parametrize(
    ("broken", "caught_by"),
    [
        (lambda temp_c, gap_k: kiln.rh_of_depression(temp_c, 0.5 * gap_k) ** 0 * 0.9, dries_with_depression),
        (lambda temp_c, gap_k: kiln.rh_of_depression(temp_c, gap_k) - 0.01, dries_with_depression),
        (lambda temp_c, gap_k: kiln.rh_of_depression(120.0 - temp_c, gap_k), moister_when_hotter),
    ],
)
def test_a_broken_wet_bulb_is_caught(broken: Rh, caught_by: Callable[[Rh], None]) -> None:
    """One that ignores the depression, one that is never saturated, one that runs backwards with heat."""
    assert not holds(lambda: caught_by(broken))


@settings(max_examples=60)
@given(TEMPS_C, GAPS_K)
def test_the_psychrometer_lies_little_below_the_thermodynamic_wet_bulb(temp_c: float, gap_k: float) -> None:
    """Between 0 and 0.02 of relative humidity, within which the printed tables differ from us."""
    gap = kiln.rh_of_depression(temp_c, gap_k) - kiln.rh_of_ventilated_depression(temp_c, gap_k)
    assert -0.001 <= gap <= 0.02


def agrees_with_the_tables(put_together: Callable[..., tuple[Step, ...]]) -> None:
    """At any moisture the step in force has the temperature and the depression that each table names."""

    @settings(max_examples=60)
    @given(
        st.lists(st.integers(5, 80), min_size=1, max_size=5, unique=True),
        st.lists(st.integers(5, 80), min_size=1, max_size=4, unique=True),
        st.one_of(MOISTURES, st.integers(5, 80).map(lambda percent: percent / 100.0)),
    )
    def check(depression_percents: list[int], temp_percents: list[int], moisture: float) -> None:
        depression_starts = [one / 100.0 for one in sorted(depression_percents, reverse=True)]
        temp_starts = [one / 100.0 for one in sorted(temp_percents, reverse=True)]
        gaps_k = [1.0 + n for n in range(len(depression_starts) + 1)]
        temps_c = [40.0 + 5.0 * n for n in range(len(temp_starts) + 1)]
        step = kiln.step_at(put_together(depression_starts, gaps_k, temp_starts, temps_c), moisture)
        assert step.temp_c == temps_c[sum(moisture <= start for start in temp_starts)]
        gap_k = gaps_k[sum(moisture <= start for start in depression_starts)]
        assert step.rh == kiln.rh_of_depression(step.temp_c, gap_k)
        assert step.emc == kiln.moisture_of_depression(step.temp_c, gap_k)

    check()


def test_a_schedule_agrees_with_its_tables() -> None:
    """The union of both tables' starts, nothing lost, nothing shifted."""
    agrees_with_the_tables(kiln.schedule_steps)


def one_step_late(
    starts: Sequence[float], gaps_k: Sequence[float], temp_starts: Sequence[float], temps_c: Sequence[float]
) -> tuple[Step, ...]:
    """A broken version: temperatures begin where the next one should."""
    return kiln.schedule_steps(starts, gaps_k, [0.8 * start for start in temp_starts], temps_c)


def forgets_temperatures(
    starts: Sequence[float], gaps_k: Sequence[float], temp_starts: Sequence[float], temps_c: Sequence[float]
) -> tuple[Step, ...]:
    """A broken version: the first temperature holds to the end."""
    return kiln.schedule_steps(starts, gaps_k, temp_starts, [temps_c[0]] * len(temps_c))


@pytest.mark.parametrize("broken", [one_step_late, forgets_temperatures])
def test_a_schedule_put_together_wrongly_is_caught(broken: Callable[..., tuple[Step, ...]]) -> None:
    """The comparison with the tables sees it."""
    assert not holds(lambda: agrees_with_the_tables(broken))


def measures_the_envelope(ratio: Callable[..., float]) -> None:
    """One where the surface stands at what is allowed, none from fibre saturation up, falling between."""

    @settings(max_examples=60)
    @given(MOISTURES, st.floats(0.02, 0.28), st.floats(0.001, 0.02))
    def check(mean: float, surface: float, wetter_by: float) -> None:
        allowed = kiln.equilibrium_allowed(STEPS, mean)
        assert ratio(mean, allowed, STEPS, 0.30) == pytest.approx(1.0)
        assert ratio(mean, 0.30, STEPS, 0.30) == ratio(mean, 0.90, STEPS, 0.30) == 0.0
        assert ratio(mean, surface + wetter_by, STEPS, 0.30) < ratio(mean, surface, STEPS, 0.30)
        assert (ratio(mean, surface, STEPS, 0.30) <= 1.0) == (surface >= allowed)

    check()


def test_the_ratio_measures_the_envelope() -> None:
    """Not above one means not drier at the face than the schedule's air would make it."""
    measures_the_envelope(kiln.envelope_ratio)


@pytest.mark.parametrize(
    "broken",
    [
        lambda mean, surface, steps, saturated: max(0.0, saturated - surface) / saturated,
        lambda mean, surface, steps, saturated: (
            (saturated - surface) / (saturated - kiln.equilibrium_allowed(steps, mean))
        ),
        lambda mean, surface, steps, saturated: kiln.envelope_ratio(0.9 * mean, surface, steps, saturated),
    ],
)
def test_a_broken_ratio_is_caught(broken: Callable[..., float]) -> None:
    """One without the schedule, one that turns negative, one that reads a later step."""
    assert not holds(lambda: measures_the_envelope(broken))


@settings(max_examples=40)
@given(st.floats(10.0, 70.0), st.floats(0.05, 0.9), st.floats(10.0, 70.0))
def test_the_same_equilibrium_is_reached_both_ways(temp_c: float, rh: float, other_c: float) -> None:
    """There and back again is the same humidity; warmer air must be moister to hold the same."""
    there = kiln.rh_for_same_equilibrium(temp_c, rh, other_c)
    assert kiln.rh_for_same_equilibrium(other_c, there, temp_c) == pytest.approx(rh, abs=1e-6)
    if other_c > temp_c + 0.1:
        assert there > rh


def composes(factor: Callable[[float], float]) -> None:
    """Twice as thick and again twice as thick is four times as thick; no thicker, no longer."""

    @settings(max_examples=40)
    @given(st.floats(0.5, 2.0), st.floats(0.5, 2.0))
    def check(first: float, second: float) -> None:
        assert factor(first * second) == pytest.approx(factor(first) * factor(second))
        assert factor(1.0) == 1.0

    check()


def test_the_thickness_factor_composes() -> None:
    """A power of the ratio, between that of a film and that of diffusion; a straight line is caught."""
    composes(kiln.thickness_time_factor)
    assert 2.0 < kiln.thickness_time_factor(2.0) < 4.0
    assert not holds(lambda: composes(lambda ratio: 1.0 + 1.52 * (ratio - 1.0)))


def adds_up(time_d: Callable[[float, float, float, float], float]) -> None:
    """The way from wet to dry takes as long as its parts; wetter air takes longer."""

    @settings(max_examples=40)
    @given(st.floats(0.30, 1.2), st.floats(0.0, 1.0), st.floats(0.05, 0.15))
    def check(start: float, share: float, emc: float) -> None:
        end, middle = 0.18, 0.18 + share * (start - 0.18)
        whole = time_d(5.0, start, end, emc)
        assert whole == pytest.approx(time_d(5.0, start, middle, emc) + time_d(5.0, middle, end, emc))
        assert time_d(5.0, start, end, emc + 0.02) > whole

    check()


def test_drying_times_add_up() -> None:
    """An exponential approach to equilibrium; one that forgets the equilibrium is caught."""
    adds_up(kiln.drying_time_d)
    assert not holds(lambda: adds_up(lambda constant, start, end, emc: constant * math.log(start / end)))


def test_the_time_through_a_schedule_is_the_sum_of_its_steps() -> None:
    """Cut at any moisture, both halves together take as long as the whole."""
    whole = kiln.red_oak_schedule_time_d(STEPS, 0.0254, 0.80, 0.20)
    for cut in (0.75, 0.50, 0.42, 0.30, 0.25):
        first = kiln.red_oak_schedule_time_d(STEPS, 0.0254, 0.80, cut)
        assert first + kiln.red_oak_schedule_time_d(STEPS, 0.0254, cut, 0.20) == pytest.approx(whole)
    assert kiln.red_oak_schedule_time_d(STEPS, 0.0254, 0.20, 0.20) == 0.0


@settings(max_examples=30)
@given(st.floats(35.0, 80.0), st.floats(0.013, 0.06))
def test_red_oak_dries_faster_warm_and_thin(temp_c: float, thickness_m: float) -> None:
    """The time constant falls with temperature and grows with thickness."""
    constant_d = kiln.red_oak_time_constant_d(thickness_m, temp_c)
    assert kiln.red_oak_time_constant_d(thickness_m, temp_c + 2.0) < constant_d
    assert kiln.red_oak_time_constant_d(thickness_m * 1.1, temp_c) > constant_d


@settings(max_examples=40)
@given(st.integers(1, 14), st.integers(1, 8), st.floats(0.01, 0.10), st.floats(0.0, 0.01))
def test_thicker_never_gets_harsher_numbers(
    temperature: int, depression: int, thick_m: float, more_m: float
) -> None:
    """Numbers fall or stay with thickness, never below one, never above what a thin board gets."""
    thin = kiln.milder_numbers(temperature, depression, thick_m)
    thick = kiln.milder_numbers(temperature, depression, thick_m + more_m)
    assert 1 <= thick[0] <= thin[0] <= temperature
    assert 1 <= thick[1] <= thin[1] <= depression


@settings(max_examples=30)
@given(st.floats(-200.0, 500.0))
def test_degrees_come_back(temp_c: float) -> None:
    """Celsius to Fahrenheit and back."""
    assert kiln.celsius(kiln.fahrenheit(temp_c)) == pytest.approx(temp_c, abs=1e-9)


@pytest.mark.parametrize(
    "refused",
    [
        lambda: kiln.rh_of_depression(50.0, 49.0),
        lambda: kiln.rh_of_depression(20.0, 25.0),
        lambda: kiln.rh_of_depression(math.nan, 2.0),
        lambda: kiln.rh_of_ventilated_depression(50.0, 45.0),
        lambda: kiln.envelope_ratio(0.6, 0.2, STEPS, 0.10),
        lambda: kiln.step_at(STEPS, -0.1),
        lambda: kiln.red_oak_time_constant_d(0.0254, 20.0),
        lambda: kiln.drying_time_d(5.0, 0.5, 0.10, 0.12),
        lambda: kiln.drying_time_d(5.0, 0.2, 0.3, 0.12),
        lambda: kiln.rh_for_same_equilibrium(5.0, 0.999, 90.0),
        lambda: kiln.thickness_time_factor(9.0),
        lambda: kiln.milder_numbers(15, 2, 0.025),
    ],
)
def test_what_lies_outside_is_refused(refused: Callable[[], object]) -> None:
    """Outside the range of the source there is no answer."""
    with pytest.raises(OutOfRange):
        refused()


@pytest.mark.parametrize(
    ("starts", "gaps_k", "told"),
    [([0.5, 0.6], [2.0, 3.0, 4.0], "do not fall"), ([0.5], [2.0], "need 0 starts")],
)
def test_tables_that_do_not_fit_are_refused(starts: list[float], gaps_k: list[float], told: str) -> None:
    """Starts fall, and there is one fewer than entries."""
    with pytest.raises(ValueError, match=told):
        kiln.schedule_steps(starts, gaps_k, [0.30], [43.3, 48.9])
