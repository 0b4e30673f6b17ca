"""The easing strain that ships is the one the two schedules give, and a schedule is run as it reads."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterator
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from strandline.knowledge import kiln
from strandline.physics.kiln import Step
from strandline.physics.ranges import OutOfRange
from strandline.physics.schedule_run import (
    Board,
    NeverDryError,
    ScheduleRun,
    kiln_piece,
    run_schedule,
)
from strandline.physics.strain import EASING_STRAIN, WARNING_STRAIN, YIELD_STRAIN

ROOT = Path(__file__).resolve().parents[2]
EVIDENCE = ROOT / "docs" / "evidence" / "easing.json"
OAK = Board(0.0143, 560.0, 0.086)
STEPS = kiln.schedule("red oak").steps
CLOSE = 0.03


@pytest.fixture(scope="module")
def easing() -> Iterator[ModuleType]:
    """The script that fits."""
    folder = str(ROOT / "benchmarks")
    sys.path.insert(0, folder)
    yield import_module("easing")
    sys.path.remove(folder)


def dried(
    *strains: float, steps: tuple[Step, ...] = STEPS, board: Board = OAK, start: float = 0.8
) -> ScheduleRun:
    """A red oak board under a schedule."""
    return run_schedule(board, steps, strains or EASING_STRAIN, start)


# The fit.


@pytest.mark.parametrize(
    ("target", "shipped"), [(YIELD_STRAIN, EASING_STRAIN[0]), (WARNING_STRAIN, EASING_STRAIN[2])]
)
def test_a_coarse_fit_gives_the_constants_that_ship(
    easing: ModuleType, target: float, shipped: float
) -> None:
    """24 cells and longer steps give the same within 3 %."""
    coarse = easing.changed(lambda one: replace(one, cells=24, tolerance=3e-5))
    assert easing.fit(coarse, target, rounds=2, points=7) == pytest.approx(shipped, rel=CLOSE)


def test_a_wrong_board_would_not_give_them(easing: ModuleType) -> None:
    """The 3 % mean something: half the shrinkage moves the upper constant further than that."""

    def weaker(one: Any) -> Any:
        half = replace(one.board, total_shrinkage=0.5 * one.board.total_shrinkage)
        return replace(one, board=half, cells=24, tolerance=3e-5)

    found = easing.fit(easing.changed(weaker), WARNING_STRAIN, rounds=2, points=7)
    assert found != pytest.approx(EASING_STRAIN[2], rel=CLOSE)


def test_both_species_lie_close_to_the_target(easing: ModuleType) -> None:
    """One number serves both: each peaks within 3 % of either target."""
    for target, strain in ((YIELD_STRAIN, EASING_STRAIN[0]), (WARNING_STRAIN, EASING_STRAIN[2])):
        for one in easing.changed(easing.same):
            assert one.run([strain]).peaks[0] == pytest.approx(target, rel=CLOSE)


def test_only_two_species_enter_the_fit(easing: ModuleType) -> None:
    """All others are predictions, and every species with a code of its own is among them or the two."""
    assert set(easing.FITTED_ON) == {"red oak", "eastern white pine"}
    coded = {one.species for one in kiln.tables().coded}
    assert coded == set(easing.WOODS)


def test_the_evidence_is_about_the_constants_that_ship() -> None:
    """What is written down was made with them, and its fit agrees with them."""
    held = json.loads(EVIDENCE.read_text(encoding="utf-8"))
    assert tuple(held["shipped"]) == EASING_STRAIN
    assert held["fit"]["yield"]["easing_strain"] == pytest.approx(EASING_STRAIN[0], rel=CLOSE)
    assert held["fit"]["warning"]["easing_strain"] == pytest.approx(EASING_STRAIN[2], rel=CLOSE)
    assert not set(held["predicted"]) & {"red oak", "eastern white pine"}


def test_a_prediction_of_the_evidence_comes_out_again(easing: ModuleType) -> None:
    """Two of them, run anew."""
    held = json.loads(EVIDENCE.read_text(encoding="utf-8"))["predicted"]
    for species in ("sugar maple", "basswood"):
        peak = easing.trial(species).run([EASING_STRAIN[2]]).peaks[0]
        assert peak / WARNING_STRAIN == pytest.approx(held[species]["over_warning"], rel=CLOSE)


# What the law can and cannot tell.


def test_the_strain_saturates_so_a_ruinous_schedule_looks_little_worse() -> None:
    """Red oak under the schedule of basswood, which would ruin it, is strained by less than a fifth more."""
    own, ruinous = dried(EASING_STRAIN[2]), dried(EASING_STRAIN[2], steps=kiln.schedule("basswood").steps)
    assert own.peaks[0] < ruinous.peaks[0] < 1.2 * own.peaks[0]
    assert ruinous.peaks[0] < EASING_STRAIN[2]


# Running a schedule.


def test_each_step_ends_where_the_next_begins() -> None:
    """The mean moisture steers: it stands at the start of the next step when one ends."""
    found = dried(EASING_STRAIN[1])
    starts = [stage.step.moisture_start for stage in found.stages[1:]]
    assert [stage.mean_end for stage in found.stages[:-1]] == pytest.approx(starts, abs=2e-4)
    assert found.stages[-1].mean_end == pytest.approx(0.08, abs=2e-4)
    assert found.hours == pytest.approx(sum(stage.hours for stage in found.stages))


def test_a_dry_board_skips_the_steps_it_is_past() -> None:
    """A board that starts at 33 % begins with the step in force there."""
    found = dried(EASING_STRAIN[1], start=0.33)
    assert found.stages[0].step.moisture_start == 0.35


def test_several_easing_strains_at_once_are_the_same_as_one_by_one() -> None:
    """They share the drying and nothing else; each has its own steps, hence the tolerances."""
    together = dried(0.004, 0.008, math.inf)
    for strain, peak, at_h in zip((0.004, 0.008, math.inf), together.peaks, together.peaks_at_h, strict=True):
        alone = dried(strain)
        assert alone.peaks[0] == pytest.approx(peak, rel=5e-3)
        assert alone.peaks_at_h[0] == pytest.approx(at_h, rel=0.05, abs=1.0)


def test_the_peak_is_that_of_its_stage() -> None:
    """The greatest of the stages, in the stage and at the hour that are named."""
    found = dried()
    for number, (peak, at_h, stage) in enumerate(
        zip(found.peaks, found.peaks_at_h, found.peaks_in, strict=True)
    ):
        assert peak == max(one.peaks[number] for one in found.stages)
        assert found.stages[stage].peaks[number] == peak
        before = sum(one.hours for one in found.stages[:stage])
        assert before <= at_h <= before + found.stages[stage].hours + 1e-9


def test_the_peak_rises_with_the_easing_strain_and_stays_below_it() -> None:
    """And the time does not depend on it."""
    found = dried(0.003, 0.005, 0.009, 0.02)
    assert list(found.peaks) == sorted(found.peaks)
    assert all(peak < strain for peak, strain in zip(found.peaks, (0.003, 0.005, 0.009, 0.02), strict=True))
    assert dried(0.02).hours == pytest.approx(found.hours, rel=1e-4)


def test_milder_air_takes_longer_and_strains_less() -> None:
    """The code of lowland oak, which starts moister and cooler, against that of sugar maple."""
    mild, harsh = (dried(steps=kiln.schedule(name).steps) for name in ("lowland oak", "sugar maple"))
    assert mild.hours > harsh.hours
    assert all(low < high for low, high in zip(mild.peaks, harsh.peaks, strict=True))


def test_thicker_boards_take_longer() -> None:
    """Twice as thick under the same steps: between twice and four times as long."""
    thick = dried(board=replace(OAK, half_m=2.0 * OAK.half_m))
    assert 2.0 < thick.hours / dried().hours < 4.0


def test_more_cells_change_nothing_that_counts() -> None:
    """96 cells against 48."""
    fine = run_schedule(OAK, STEPS, EASING_STRAIN, 0.8, cells=96)
    assert dried().peaks == pytest.approx(fine.peaks, rel=0.01)
    assert dried().hours == pytest.approx(fine.hours, rel=0.01)


def test_air_too_moist_to_go_on_is_refused() -> None:
    """A step whose equilibrium lies above the start of the next never ends."""
    steps = (Step(math.inf, 43.0, 0.87, 0.177), Step(0.15, 50.0, 0.3, 0.055))
    with pytest.raises(NeverDryError, match=r"87% does not bring the body down to 0\.15"):
        dried(steps=steps)


@pytest.mark.parametrize("strain", [0.0, -0.01, math.nan])
def test_an_easing_strain_must_be_above_nought(strain: float) -> None:
    """No number, none at all or a negative one."""
    with pytest.raises(OutOfRange):
        dried(strain)


def test_the_board_scales_its_diffusivity() -> None:
    """And holds it where the law is not stated."""
    step = STEPS[0]
    once, twice = (kiln_piece(replace(OAK, diffusivity_factor=factor), step) for factor in (1.0, 2.0))
    assert twice.diffusivity.at(0.15) == pytest.approx(2.0 * once.diffusivity.at(0.15))
    assert once.diffusivity.at(0.9) == pytest.approx(once.diffusivity.at(0.28))
    with pytest.raises(OutOfRange):
        kiln_piece(replace(OAK, fibre_saturation=0.5), step)
