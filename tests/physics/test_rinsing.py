"""Rinsing, desalting and conductivity: limits, round trips, and broken versions that are caught."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.physics import conductivity, rinsing
from strandline.physics.ranges import OutOfRange

ratios = st.floats(0.1, 1000.0)
stages = st.integers(1, 8)
shares = st.floats(1e-6, 0.5)
salts = st.sampled_from(sorted(conductivity.SALTS))
dilute = st.floats(1e-6, 0.1)

Batch = Callable[[float, int], float]


def by_hand(ratio: float, baths: int) -> float:
    """Salt followed bath by bath: the object carries 1, each bath brings ``ratio`` of clean water."""
    salt = 1.0
    for _ in range(baths):
        salt = salt / (1.0 + ratio)
    return salt


def agrees_with_hand(batch: Batch, ratio: float, baths: int) -> bool:
    """The closed form is the bath-by-bath account."""
    return math.isclose(batch(ratio, baths), by_hand(ratio, baths), rel_tol=1e-9)


@given(ratios, st.integers(0, 12))
def test_batches_are_accounts(ratio: float, baths: int) -> None:
    """No salt is lost or made."""
    assert agrees_with_hand(rinsing.batch_left, ratio, baths)


@pytest.mark.parametrize(
    "broken", [lambda ratio, baths: ratio**-baths, lambda ratio, baths: 1.0 / (1.0 + baths * ratio)]
)
def test_broken_batches_are_caught(broken: Batch) -> None:
    """The shorthand, and one great bath instead of many small ones."""
    assert not agrees_with_hand(broken, 10.0, 3)


@given(st.floats(10.0, 1000.0), st.integers(1, 6))
def test_the_shorthand_is_high_by_its_doubt(ratio: float, baths: int) -> None:
    """Never below the exact share, and off by the factor that its card states."""
    exact, rough = rinsing.batch_left(ratio, baths), rinsing.batch_left_roughly(ratio, baths)
    assert rough > exact
    assert rough / exact == pytest.approx((1.0 + 1.0 / ratio) ** baths)


def run_against(ratio: float, count: int) -> float:
    """Tanks followed object by object until they are steady; the water runs from the last to the first."""
    tanks = [0.0] * count
    for _ in range(4000):
        carried, fresh = 1.0, 0.0
        new = tanks[:]
        for number in range(count):
            fresh = tanks[number + 1] if number + 1 < count else 0.0
            new[number] = (carried + ratio * fresh) / (1.0 + ratio)
            carried = new[number]
        tanks = new
    return tanks[-1]


@pytest.mark.parametrize(("ratio", "count"), [(0.5, 3), (1.0, 2), (2.0, 3), (10.0, 2), (30.0, 4)])
def test_counter_current_is_the_steady_state(ratio: float, count: int) -> None:
    """The closed form, also at a ratio of 1 where its usual writing is 0/0."""
    assert rinsing.counter_current_left(ratio, count) == pytest.approx(run_against(ratio, count), rel=1e-6)


@given(st.floats(1.5, 500.0), st.integers(2, 6))
def test_water_run_against_the_objects_is_worth_more(ratio: float, count: int) -> None:
    """The same water in one tank leaves more; as many fresh baths, which take more water, less."""
    against = rinsing.counter_current_left(ratio, count)
    assert rinsing.batch_left(ratio, count) <= against <= rinsing.flow_left(ratio)
    assert rinsing.counter_current_left(ratio, 1) == pytest.approx(rinsing.flow_left(ratio))


@given(shares, stages)
def test_ratio_and_share_are_inverses(left: float, count: int) -> None:
    """What is asked for is what comes out."""
    ratio = rinsing.counter_current_ratio(left, count)
    assert rinsing.counter_current_left(ratio, count) == pytest.approx(left, rel=1e-6)


@given(st.floats(0.5, 500.0), shares)
def test_baths_needed_are_enough_and_no_more(ratio: float, left: float) -> None:
    """So many reach the goal, one fewer does not."""
    count = rinsing.baths_needed(ratio, left)
    assert rinsing.batch_left(ratio, count) <= left * (1.0 + 1e-6)
    assert rinsing.batch_left(ratio, count - 1) > left * (1.0 - 1e-6)


@given(shares, st.integers(1, 20))
def test_volume_and_share_are_inverses(left: float, baths: int) -> None:
    """Baths of that volume leave that share; more baths take less water in all."""
    volume = rinsing.bath_volume(2.0, left, baths)
    assert rinsing.batch_left(volume / 2.0, baths) == pytest.approx(left, rel=1e-9)
    assert (baths + 1) * rinsing.bath_volume(2.0, left, baths + 1) < baths * volume


@given(st.floats(0.01, 0.9), st.floats(0.001, 0.05))
def test_desalting_goes_with_the_square(left: float, half_m: float) -> None:
    """Twice as thick takes four times as long; half the diffusivity twice."""
    once = rinsing.desalting_s(left, half_m, 5e-10)
    assert rinsing.desalting_s(left, 2.0 * half_m, 5e-10) == pytest.approx(4.0 * once, rel=1e-6)
    assert rinsing.desalting_s(left, half_m, 2.5e-10) == pytest.approx(2.0 * once, rel=1e-6)
    assert rinsing.desalting_s(left * 0.9, half_m, 5e-10) > once


@given(st.floats(0.5, 50.0), st.integers(1, 10))
def test_long_baths_reach_the_share_of_equilibrium(bath_per_pore: float, baths: int) -> None:
    """Then the pores are like what clings: the batch formula."""
    assert rinsing.left_after_baths(bath_per_pore, 100.0, baths) == pytest.approx(
        rinsing.batch_left(bath_per_pore, baths), rel=1e-6
    )


@given(st.floats(0.5, 50.0), st.floats(0.01, 1.0), st.integers(1, 10))
def test_short_baths_leave_more(bath_per_pore: float, fourier: float, baths: int) -> None:
    """A longer bath, another bath, a bigger bath: never more salt left."""
    left = rinsing.left_after_baths(bath_per_pore, fourier, baths)
    assert rinsing.left_after_baths(bath_per_pore, 2.0 * fourier, baths) <= left + 1e-9
    assert rinsing.left_after_baths(bath_per_pore, fourier, baths + 1) <= left + 1e-9
    assert rinsing.left_after_baths(2.0 * bath_per_pore, fourier, baths) <= left + 1e-9
    assert 0.0 <= left <= 1.0


Molar = Callable[[str, float], float]


def falls_and_fits(molar: Molar, salt: str, mol_l: float) -> bool:
    """Falls from the limit with concentration, the slope at the start that of the limiting law."""
    limit = conductivity.SALTS[salt].limiting_s_cm2_mol
    fallen = limit - molar(salt, mol_l)
    start = (limit - molar(salt, 1e-8)) / math.sqrt(1e-8)
    law = (limit - conductivity.limiting_law(salt, 1e-8)) / math.sqrt(1e-8)
    return 0.0 < fallen < 0.2 * limit and math.isclose(start, law, rel_tol=1e-3)


@given(salts, dilute)
def test_molar_conductivity_falls_as_the_law_says(salt: str, mol_l: float) -> None:
    """And the law lies below it everywhere."""
    assert falls_and_fits(conductivity.molar_conductivity, salt, mol_l)
    if mol_l <= 0.01:
        assert conductivity.limiting_law(salt, mol_l) <= conductivity.molar_conductivity(salt, mol_l)


@pytest.mark.parametrize(
    "broken",
    [
        lambda salt, mol_l: conductivity.molar_conductivity(salt, mol_l * mol_l),
        lambda salt, mol_l: (
            2.0 * conductivity.SALTS[salt].limiting_s_cm2_mol - conductivity.molar_conductivity(salt, mol_l)
        ),
    ],
)
def test_broken_conductivities_are_caught(broken: Molar) -> None:
    """Concentration instead of its root, and a sign turned round."""
    assert not falls_and_fits(broken, "sodium_chloride", 0.01)


@given(salts, st.floats(1e-4, 0.05))
def test_the_two_equations_agree(salt: str, mol_l: float) -> None:
    """The theory at 25 degC and the fit over temperature lie within 1.5 %."""
    theory = conductivity.conductivity_us_cm(salt, mol_l)
    assert conductivity.conductivity_at_us_cm(salt, mol_l, 25.0) == pytest.approx(theory, rel=0.015)


@given(salts, dilute)
def test_concentration_and_conductivity_are_inverses(salt: str, mol_l: float) -> None:
    """There and back."""
    assert conductivity.salt_mol_l(salt, conductivity.conductivity_us_cm(salt, mol_l)) == pytest.approx(
        mol_l, rel=1e-9, abs=1e-12
    )


@given(salts, dilute, st.floats(5.0, 80.0))
def test_warm_water_conducts_better(salt: str, mol_l: float, temp_c: float) -> None:
    """About 2 % per kelvin, and the reading at 25 degC undoes it."""
    cold, warm = (conductivity.conductivity_at_us_cm(salt, mol_l, t) for t in (temp_c, temp_c + 1.0))
    assert 1.008 < warm / cold < 1.035
    assert conductivity.at_25_us_cm(100.0, 25.0) == 100.0
    assert conductivity.at_25_us_cm(100.0, 15.0) > 100.0 > conductivity.at_25_us_cm(100.0, 35.0)


@given(st.floats(0.1, 10000.0))
def test_chloride_is_its_part_of_the_salt(us_cm: float) -> None:
    """35.45 parts of 58.44."""
    share = conductivity.chloride_mg_l(us_cm) / conductivity.salt_mg_l("sodium_chloride", us_cm)
    assert share == pytest.approx(35.453 / 58.443)


End = Callable[..., conductivity.EndPoint]
BLANK = [(0.0, 2.0), (1.0, 3.5), (2.0, 5.0)]


def sees_the_blank(end: End) -> bool:
    """A bath that rises with the blank is done; one that rises faster is not."""
    with_it = [(day, 20.0 + 1.5 * day + 1.9 * day) for day in (0.0, 1.0, 3.0)]
    faster = [(day, 20.0 + 1.5 * day + 2.1 * day) for day in (0.0, 1.0, 3.0)]
    return end(with_it, BLANK).reached and not end(faster, BLANK).reached


def no_blank(bath: list[tuple[float, float]], _: object) -> conductivity.EndPoint:
    """Wrong on purpose: the blank is left out."""
    return conductivity.end_point(bath, [(0.0, 0.0), (1.0, 0.0)])


def test_the_end_of_a_wash() -> None:
    """Its rise above that of the blank counts."""
    assert sees_the_blank(conductivity.end_point)
    found = conductivity.end_point([(0.0, 10.0), (2.0, 16.0)], [(0.0, 1.0), (2.0, 3.0)])
    assert found.rise_us_cm_per_day == pytest.approx(2.0)


def test_an_end_without_blank_is_caught() -> None:
    """The property can fail."""
    assert not sees_the_blank(no_blank)


@pytest.mark.parametrize("few", [[], [(0.0, 1.0)], [(0.0, 1.0), (0.5, 1.2)]])
def test_too_few_readings_are_refused(few: list[tuple[float, float]]) -> None:
    """A slope needs two readings, a day apart."""
    with pytest.raises(ValueError, match="bath: needs two readings"):
        conductivity.end_point(few, BLANK)


def test_refusals() -> None:
    """What lies outside is named."""
    for refused in (
        lambda: rinsing.batch_left(0.0, 1),
        lambda: rinsing.batch_left_roughly(5.0, 1),
        lambda: rinsing.counter_current_left(1.0, 0),
        lambda: rinsing.desalting_s(1.0, 0.01, 5e-10),
        lambda: conductivity.molar_conductivity("sodium_chloride", 0.2),
        lambda: conductivity.limiting_law("sodium_chloride", 0.02),
        lambda: conductivity.salt_mol_l("sodium_chloride", 2e4),
        lambda: conductivity.at_25_us_cm(100.0, math.nan),
    ):
        with pytest.raises(OutOfRange):
            refused()
    with pytest.raises(ValueError, match="'sugar' is not one of sodium_chloride, potassium_chloride"):
        conductivity.molar_conductivity("sugar", 0.01)
