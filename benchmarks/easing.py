"""Fits the easing strain on the kiln schedules of red oak and white pine, and tries it on other woods.

    python benchmarks/easing.py            fits, predicts, varies; writes docs/evidence/easing.json
    python benchmarks/easing.py --fit      the fit alone

One free number: the easing strain at which the greatest strains of the two species, each under its own
published schedule for 4/4 boards, have the target as their geometric mean. Twice: once with yield as the
target, once with the strain of failure. All other species are predictions; nothing of theirs enters the fit.
"""

from __future__ import annotations

import hashlib
import json
import math
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from machine import ROOT, machine, today

sys.path.insert(0, str(ROOT / "src"))

from strandline.knowledge import kiln
from strandline.knowledge.timbers import timber
from strandline.knowledge.wood_diffusivities import factor_of
from strandline.physics.kiln import Step
from strandline.physics.schedule_run import Board, NeverDryError, ScheduleRun, run_schedule
from strandline.physics.strain import EASING_STRAIN, WARNING_STRAIN, YIELD_STRAIN, relax_time_h

OUT = ROOT / "docs" / "evidence" / "easing.json"
MODULES = (
    "air diffusion diffusivity engine grid isotherm kiln lanes lanes_run lanes_strain lanes_table "
    "schedule_run sorption strain wood"
).split()
KNOWN = ("kiln.py", "timbers.py", "numbers/kiln.toml", "numbers/timbers_america_hardwood.toml",
         "numbers/timbers_america_softwood.toml", "wood_diffusivities.py",
         "numbers/wood_diffusivities.toml")  # fmt: skip

FITTED_ON = ("red oak", "eastern white pine")
TARGETS = {"yield": YIELD_STRAIN, "warning": WARNING_STRAIN}
QUARTER_M = 0.00635
ROUGH_M = 0.0032
"""A green board is sawn by an eighth of an inch thicker than it is called."""

WOODS: dict[str, tuple[str, float]] = {
    "red oak": ("northern_red_oak", 0.80),
    "white oak": ("white_oak", 0.70),
    "lowland oak": ("southern_red_oak", 0.80),
    "beech": ("american_beech", 0.63),
    "sugar maple": ("sugar_maple", 0.68),
    "red maple": ("red_maple", 0.70),
    "cherry": ("black_cherry", 0.58),
    "walnut": ("black_walnut", 0.80),
    "yellow-poplar": ("yellow_poplar", 0.95),
    "yellow birch": ("yellow_birch", 0.73),
    "paper birch": ("paper_birch", 0.80),
    "basswood": ("basswood", 1.05),
    "white ash": ("white_ash", 0.45),
    "black ash": ("black_ash", 0.95),
    "hickory": ("shagbark_hickory", 0.65),
    "black locust": ("black_locust", 0.40),
    "american elm": ("american_elm", 0.93),
    "rock elm": ("rock_elm", 0.50),
    "sycamore": ("american_sycamore", 1.20),
    "sweetgum sapwood": ("sweetgum", 1.30),
    "sweetgum heartwood": ("sweetgum", 0.80),
    "black tupelo": ("black_tupelo", 1.00),
    "aspen": ("quaking_aspen", 1.05),
    "butternut": ("butternut", 1.00),
    "chestnut": ("american_chestnut", 1.20),
    "red alder": ("red_alder", 0.97),
    "hackberry": ("hackberry", 0.63),
    "eastern white pine": ("eastern_white_pine", 1.50),
    "southern pine": ("loblolly_pine", 1.10),
}
"""The wood of each schedule, and its moisture when green [kg/kg] (handbook means, recalled and rounded)."""

Change = Callable[["Trial"], "Trial"]


@dataclass(frozen=True, slots=True)
class Trial:
    """One drying: a board, its schedule and what it is computed with."""

    board: Board
    steps: tuple[Step, ...]
    start: float
    wood: str
    relax_factor: float = 1.0
    cells: int = 48
    tolerance: float = 1e-5

    def run(self, easing_strains: Sequence[float]) -> ScheduleRun:
        """The drying for some easing strains."""
        return run_schedule(
            self.board,
            self.steps,
            easing_strains,
            self.start,
            relax_h=lambda temp_c: self.relax_factor * relax_time_h(temp_c),
            cells=self.cells,
            tolerance=self.tolerance,
        )


def trial(species: str, quarters: int = 4, scheduled_as: str | None = None) -> Trial:
    """A species' rough board under its schedule, or under that of another species."""
    key, green = WOODS[species]
    wood = timber(key)
    thickness_m = quarters * QUARTER_M + ROUGH_M
    board = Board(thickness_m / 2.0, wood.basic_density_kg_m3[1], wood.tangential_to_oven_dry[1])
    return Trial(board, kiln.schedule(scheduled_as or species, quarters).steps, green, key)


def peaks(trials: Sequence[Trial], easing_strains: Sequence[float]) -> np.ndarray:
    """Greatest strains, (trials, easing strains)."""
    return np.array([one.run(easing_strains).peaks for one in trials])


def fit(trials: Sequence[Trial], target: float, rounds: int = 3, points: int = 9) -> float:
    """The easing strain at which the geometric mean of the peaks is the target.

    The peak rises with the easing strain; the bracket around the root is cut into equal ratios, round by
    round, and the last piece is gone through in a straight line of logarithms.
    """
    low, high = 0.7 * target, 4.0 * target
    for _ in range(rounds):
        tried = np.geomspace(low, high, points)
        over = np.log(peaks(trials, tried.tolist())).mean(axis=0) - math.log(target)
        if not over[0] < 0.0 < over[-1]:
            raise ArithmeticError(f"no root between {low:g} and {high:g}")
        after = int(np.argmax(over > 0.0))
        low, high = float(tried[after - 1]), float(tried[after])
    share = over[after - 1] / (over[after - 1] - over[after])
    return low * float((high / low) ** share)


def changed(change: Change) -> list[Trial]:
    """The trials of the fit with something changed."""
    return [change(trial(species)) for species in FITTED_ON]


def same(one: Trial) -> Trial:
    """Nothing changed."""
    return one


def with_board(**fields: float) -> Change:
    """A change of the board."""
    return lambda one: replace(one, board=replace(one.board, **fields))


def with_own_diffusivity(one: Trial) -> Trial:
    """The law's diffusivity times the middle factor that forecasts take for the wood."""
    factor = factor_of(timber(one.wood)).band[1]
    return replace(one, board=replace(one.board, diffusivity_factor=factor))


def with_start(factor: float) -> Change:
    """Another moisture at the start."""
    return lambda one: replace(one, start=factor * one.start)


VARIED: dict[str, Change] = {
    "relax time a third": lambda one: replace(one, relax_factor=1.0 / 3.0),
    "relax time three times": lambda one: replace(one, relax_factor=3.0),
    "no viscous easing": lambda one: replace(one, relax_factor=1e9),
    "diffusivity half": with_board(diffusivity_factor=0.5),
    "diffusivity twice": with_board(diffusivity_factor=2.0),
    "diffusivity as forecast, red oak 0.54 and white pine 0.8": with_own_diffusivity,
    "moisture at start 0.7 of it": with_start(0.7),
    "moisture at start 1.3 of it": with_start(1.3),
    "conductance of the film half": with_board(surface_m_s=0.006),
    "conductance of the film twice": with_board(surface_m_s=0.024),
    "fibre saturation 0.25": with_board(fibre_saturation=0.25),
    "fibre saturation 0.30": with_board(fibre_saturation=0.30),
    "96 cells": lambda one: replace(one, cells=96),
    "24 cells": lambda one: replace(one, cells=24),
    "tolerance 1e-4": lambda one: replace(one, tolerance=1e-4),
    "shrinkage 0.8 of it": lambda one: replace(
        one, board=replace(one.board, total_shrinkage=0.8 * one.board.total_shrinkage)
    ),
}


def fits() -> dict[str, Any]:
    """The easing strain for each target, and how far each of the two species lies from it."""
    found = {}
    for name, target in TARGETS.items():
        best = fit(changed(same), target)
        each = peaks(changed(same), [best])[:, 0]
        found[name] = {
            "target": target,
            "easing_strain": round(best, 6),
            "peak_over_target": {
                species: round(float(peak) / target, 4) for species, peak in zip(FITTED_ON, each, strict=True)
            },
        }
    return found


def sensitivity() -> dict[str, Any]:
    """The fit again with one thing changed, and the peaks at the constants that ship."""
    found = {}
    for name, change in VARIED.items():
        trials = changed(change)
        at_ours = peaks(trials, [EASING_STRAIN[0], EASING_STRAIN[2]])
        found[name] = {
            "easing_strain": {key: round(fit(trials, target), 5) for key, target in TARGETS.items()},
            "peak_at_ours": {
                species: {"yield": round(float(row[0]), 5), "warning": round(float(row[1]), 5)}
                for species, row in zip(FITTED_ON, at_ours, strict=True)
            },
        }
    return found


def thicker() -> dict[str, Any]:
    """Red oak at several thicknesses, each under the code for its thickness."""
    found = {}
    for quarters in (4, 6, 8):
        dried = trial("red oak", quarters).run(EASING_STRAIN)
        found[f"{quarters}/4 under {kiln.schedule('red oak', quarters).code}"] = told(dried)
    return found


def told(dried: ScheduleRun) -> dict[str, Any]:
    """What is kept of one drying at the three easing strains."""
    return {
        "days": round(dried.hours / 24.0, 2),
        "peak": {
            key: round(peak, 5) for key, peak in zip(("low", "middle", "high"), dried.peaks, strict=True)
        },
        "peak_at_h": [round(hour, 1) for hour in dried.peaks_at_h],
        "peak_in_step": [number + 1 for number in dried.peaks_in],
    }


def predictions() -> dict[str, Any]:
    """Every other species under its own schedule: peaks over the targets, unfitted."""
    found: dict[str, Any] = {}
    for species in WOODS:
        if species in FITTED_ON:
            continue
        try:
            dried = trial(species).run(EASING_STRAIN)
        except NeverDryError as error:
            found[species] = {"not_run": str(error)}
            continue
        found[species] = {
            "code": kiln.schedule(species).code,
            "over_yield": round(dried.peaks[0] / YIELD_STRAIN, 3),
            "over_warning": round(dried.peaks[2] / WARNING_STRAIN, 3),
            **told(dried),
        }
    return found


def harsher() -> dict[str, Any]:
    """Red oak under schedules of woods that bear more: how far the strain can tell them apart."""
    found = {}
    for other in ("red oak", "sugar maple", "walnut", "yellow-poplar", "basswood"):
        dried = trial("red oak", scheduled_as=other).run([*EASING_STRAIN, math.inf])
        found[f"{other}, {kiln.schedule(other).code}"] = {
            "peak": [round(peak, 5) for peak in dried.peaks[:3]],
            "peak_without_easing_by_drying": round(dried.peaks[3], 5),
        }
    return found


def spread(found: dict[str, Any]) -> dict[str, float]:
    """Lowest, middle and highest of the predictions over the warning, and how many lie within a tenth."""
    ratios = sorted(one["over_warning"] for one in found.values() if "over_warning" in one)
    return {
        "species": len(ratios),
        "lowest": ratios[0],
        "median": ratios[len(ratios) // 2],
        "highest": ratios[-1],
        "within_a_tenth": sum(abs(ratio - 1.0) <= 0.1 for ratio in ratios),
    }


def code_hash() -> str:
    """One hash over everything that the numbers rest on."""
    digest = hashlib.sha256()
    src = ROOT / "src" / "strandline"
    names = [f"physics/{name}.py" for name in MODULES] + [f"knowledge/{name}" for name in KNOWN]
    for path in [*(src / name for name in names), ROOT / "benchmarks" / "easing.py"]:
        digest.update(path.relative_to(ROOT).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()


def main() -> None:
    """Everything, written to the page of evidence."""
    best = fits()
    sys.stdout.write(json.dumps(best, indent=1) + "\n")
    if "--fit" in sys.argv:
        return
    others = predictions()
    found = {
        "date": today(),
        "code_sha256": code_hash(),
        "machine": machine(),
        "shipped": list(EASING_STRAIN),
        "fit": best,
        "predicted": others,
        "spread_of_predictions": spread(others),
        "red_oak_by_thickness": thicker(),
        "red_oak_under_other_schedules": harsher(),
        "sensitivity": sensitivity(),
    }
    OUT.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    sys.stdout.write(json.dumps(found["spread_of_predictions"], indent=1) + "\n")


if __name__ == "__main__":
    main()
