"""How quick and how exact the drying engine is: measured, kept as docs/evidence/drying.json, told in a page.

    python benchmarks/drying.py             all of it, some minutes
    python benchmarks/drying.py --small     the same with few bodies, to try; writes nothing
    python benchmarks/drying.py --page      the page anew from the figures kept

Run it with the Python of the environment Strandline runs in, on a machine that does nothing else: the load at
the start and at the end is kept with the figures. Nothing here is a test.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import math
import os
import random
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import numpy.typing as npt
from machine import ROOT, machine, today

sys.path[:0] = [str(ROOT / "src"), str(ROOT)]

from drying_bound import bound  # noqa: E402  (the path must be set first)
from drying_scipy import VARIANTS, Line  # noqa: E402
from page import whole_page  # noqa: E402
from tests.physics.drying_bodies import SHAPES, saturation_kg_m3, some_bodies  # noqa: E402

from strandline.physics.coupled import KNOT_H, SharedRoom, dry_together  # noqa: E402
from strandline.physics.engine import Body, Dried, dry, hands, prepare, run  # noqa: E402
from strandline.physics.grid import STEEP_POWER  # noqa: E402

Floats = npt.NDArray[np.float64]

EVIDENCE = ROOT / "docs" / "evidence" / "drying.json"
MEASURED = (
    "grid",
    "diffusivity",
    "isotherm",
    "engine",
    "coupled",
    "lanes",
    "lanes_run",
    "lanes_strain",
    "lanes_table",
)
"""Modules of physics whose code is measured."""

HOURS = 720.0
DAYS = np.arange(24.0, HOURS + 1.0, 24.0)
CELLS = 40
RUNS = 7
RTOLS = (1e-3, 3e-4, 1e-4, 3e-5, 1e-5)
TOLERANCES = (1e-3, 3e-4, 1e-4, 1e-5)
FIRST_CALL = """
import time
begun = time.perf_counter()
from strandline.physics.diffusivity import constant
from strandline.physics.engine import FOREVER_H, Body, Piece, dry
from strandline.physics.isotherm import Isotherm
import strandline.physics.lanes_run
loaded = time.perf_counter()
piece = Piece(FOREVER_H, Isotherm(0.05, 0.8, 6.0, 2.0), constant(1e-10), 0.0173, 0.003)
dry([Body("plane", 0.01, 500.0, (piece,), 0.6, ((0.0, 0.5),))], [24.0])
print(loaded - begun, time.perf_counter() - loaded)
"""


def engine_sha256() -> str:
    """One hash over the engine's files."""
    digest = hashlib.sha256()
    for name in MEASURED:
        digest.update(name.encode())
        digest.update((ROOT / "src" / "strandline" / "physics" / f"{name}.py").read_bytes())
    return digest.hexdigest()


def seconds(work: Callable[[], object], runs: int = RUNS) -> dict[str, float]:
    """Wall time of several runs, the first of which is not counted."""
    spent = []
    for _ in range(runs + 1):
        begun = time.perf_counter()
        work()
        spent.append(time.perf_counter() - begun)
    return {"least": round(min(spent[1:]), 5), "median": round(statistics.median(spent[1:]), 5)}


def largest_first(bodies: Sequence[Body], tolerance: float, threads: int) -> tuple[dict[str, float], float]:
    """Time of running planes from ready arrays (making them is told apart), and steps of all bodies."""
    batch = prepare(bodies, HOURS, cells=CELLS)
    kept, hints = batch.state.copy(), batch.hints.copy()
    steps = [0.0]

    def once() -> None:
        batch.state[:], batch.hints[:] = kept, hints
        steps[0] = float(run(batch, DAYS, tolerance=tolerance, threads=threads).steps.sum())

    return seconds(once), steps[0]


def speed(count: int) -> dict[str, Any]:
    """Many planes of 40 cells for 30 days in rooms that stay as they are: all cores, one core, and the
    bound."""
    bodies = some_bodies(count, seed=11, shape="plane", lively=False)
    found: dict[str, Any] = {"bodies": count, "cells": CELLS, "hours": HOURS, "threads": hands()}
    found["making_the_arrays_s"] = seconds(lambda: prepare(bodies, HOURS, cells=CELLS), 2)
    for tolerance in (1e-3, 1e-4):
        several, _ = largest_first(bodies, tolerance, hands())
        single, steps = largest_first(bodies, tolerance, 1)
        per_cell = 1e9 * single["least"] / (steps * (CELLS + 1))
        found[f"tolerance {tolerance:g}"] = {
            "all_cores_s": several,
            "one_core_s": single,
            "steps_per_body": round(steps / count, 1),
            "ns_per_cell_and_step": round(per_cell, 3),
        }
    found["bound"] = bound()
    for name in ("largest", "sum"):
        share = found["tolerance 0.0001"]["ns_per_cell_and_step"] / found["bound"][f"{name}_ns"]
        found[f"times_the_{name}"] = round(share, 2)
    lively = some_bodies(count, seed=12, shape="plane")
    several, steps = largest_first(lively, 1e-4, hands())
    found["climates_that_change"] = {"all_cores_s": several, "steps_per_body": round(steps / count, 1)}
    return found


def first_call() -> dict[str, dict[str, float]]:
    """Loading the code and the first forecast: with nothing compiled, and with what was compiled kept."""
    found = {}
    with TemporaryDirectory() as folder:
        env = {**os.environ, "NUMBA_CACHE_DIR": folder, "PYTHONPATH": str(ROOT / "src")}
        for name in ("nothing compiled", "compiled before", "compiled before, again"):
            done = subprocess.run(
                [sys.executable, "-c", FIRST_CALL], check=True, capture_output=True, text=True, env=env
            )
            loading, first = map(float, done.stdout.split())
            found[name] = {"loading_s": round(loading, 2), "first_forecast_s": round(first, 2)}
    return found


def against_scipy(count: int, copies: int) -> dict[str, Any]:
    """One core each: the engine, its lanes full of copies of some bodies, and SciPy body by body."""
    bodies = [
        body for shape in SHAPES for body in some_bodies(count // 3, seed=13, shape=shape, lively=False)
    ]
    reference = dry(bodies, DAYS.tolist(), cells=320, tolerance=1e-7).mean
    ours = []
    for tolerance in TOLERANCES:
        error = float(
            np.max(np.abs(dry(bodies, DAYS.tolist(), cells=CELLS, tolerance=tolerance).mean - reference))
        )
        many = [[body for body in bodies if body.shape == shape] * copies for shape in SHAPES]
        spent = sum(largest_first(part, tolerance, 1)[0]["least"] for part in many)
        ours.append(
            {"tolerance": tolerance, "max_error": error, "us_per_body": 1e6 * spent / (len(bodies) * copies)}
        )
    lines = [Line(body, CELLS) for body in bodies]
    theirs = []
    for variant in VARIANTS:
        for rtol in RTOLS:
            spent, error = 0.0, 0.0
            for line, known in zip(lines, reference, strict=True):
                tries = []
                for _ in range(2):
                    begun = time.perf_counter()
                    means = line.means(variant, rtol, DAYS)
                    tries.append(time.perf_counter() - begun)
                spent += min(tries)
                gap = float(np.max(np.abs(means - known)))
                error = max(error, gap if math.isfinite(gap) else math.inf)
            theirs.append(
                {
                    "variant": variant,
                    "rtol": rtol,
                    "max_error": error,
                    "us_per_body": 1e6 * spent / len(lines),
                }
            )
    usual = next(one for one in ours if one["tolerance"] == 1e-4)
    return {
        "bodies": len(bodies),
        "copies": copies,
        "ours": ours,
        "scipy": theirs,
        "at_equal_accuracy": {
            "max_error_allowed": 1.05 * usual["max_error"],
            "BDF": compared(usual, [one for one in theirs if one["variant"].startswith("BDF")]),
            "LSODA": compared(usual, [one for one in theirs if one["variant"].startswith("LSODA")]),
        },
    }  # fmt: skip


def compared(usual: dict[str, Any], theirs: list[dict[str, Any]]) -> dict[str, Any]:
    """The quickest of theirs that is no less exact than ours by more than 5 %, and how many times longer
    it takes."""
    good = [one for one in theirs if one["max_error"] <= 1.05 * usual["max_error"]]
    if not good:
        return {"none as exact": True}
    best = min(good, key=lambda one: float(one["us_per_body"]))
    return {**best, "times_ours": round(best["us_per_body"] / usual["us_per_body"])}


def one_room(count: int) -> dict[str, Any]:
    """Bodies of all shapes that share the air of one hall for 30 days."""
    draw = random.Random(14)
    bodies = some_bodies(count, seed=14, lively=False)
    areas = [draw.uniform(0.05, 0.6) for _ in bodies]
    full = saturation_kg_m3(20.0)
    room = SharedRoom(
        3.0 * count,
        full,
        0.5,
        lambda hour: 0.55 * full,
        lambda rh, hour: 0.002 * count * max(0.0, rh - 0.3),
        0.6,
    )
    found = dry_together(bodies, areas, room, HOURS)
    spent = seconds(lambda: dry_together(bodies, areas, room, HOURS), 3)
    fine = dry_together(bodies, areas, room, HOURS, knot_h=0.5, tolerance=1e-5)
    even = np.flatnonzero(found.hours % KNOT_H == 0.0)
    there = np.searchsorted(fine.hours, found.hours[even])
    gap = np.abs(found.room_rh[even] - fine.room_rh[there])
    return {
        "bodies": count,
        "all_cores_s": spent,
        "sweeps_per_day": round(statistics.mean(found.sweeps), 2),
        "moisture_error": float(np.max(np.abs(found.mean[:, even] - fine.mean[:, there]))),
        "humidity_error_first_12_h": float(np.max(gap[:4])),
        "humidity_error_later": float(np.max(gap[4:])),
        "unbalanced_kg": found.unbalanced_kg,
        "given_kg": float(found.given_kg.sum()),
    }


def accuracy(count: int) -> dict[str, Any]:
    """Mean moisture of every day against 320 cells at tolerance 1e-7."""
    found: dict[str, Any] = {"bodies": count}
    for name, lively in (("rooms_that_stay", False), ("climates_that_change", True)):
        bodies = some_bodies(count, seed=15, lively=lively)
        fine = dry(bodies, DAYS.tolist(), cells=320, tolerance=1e-7)
        found[name] = {}
        for cells, tolerance in ((20, 1e-5), (40, 1e-5), (80, 1e-5), (40, 1e-3), (40, 1e-4)):
            ours = dry(bodies, DAYS.tolist(), cells=cells, tolerance=tolerance)
            found[name][f"{cells} cells, tolerance {tolerance:g}"] = errors(bodies, ours, fine)
    return found


def errors(bodies: Sequence[Body], found: Dried, fine: Dried) -> dict[str, float]:
    """Greatest gap of all, of 99 in 100, and by shape; root of the mean square."""
    gap = np.abs(found.mean - fine.mean)
    worst = gap.max(axis=1)
    by_shape = {
        shape: float(max(one for one, body in zip(worst, bodies, strict=True) if body.shape == shape))
        for shape in SHAPES
    }
    rms = float(np.sqrt(np.mean(gap**2)))
    return {"max": float(worst.max()), "p99": float(np.quantile(worst, 0.99)), **by_shape, "rms": rms}


def strain(count: int) -> dict[str, Any]:
    """Greatest strain against 192 cells at tolerance 1e-6, of bodies in which it reaches 3e-4."""
    bodies = some_bodies(count, seed=16)

    def peaks(cells: int, tolerance: float) -> Floats:
        found = np.zeros(len(bodies))
        for shape in SHAPES:
            places = [number for number, body in enumerate(bodies) if body.shape == shape]
            batch = prepare([bodies[place] for place in places], HOURS, cells=cells, power=STEEP_POWER)
            found[places] = run(batch, [HOURS], tolerance=tolerance, strained=True).peak_strain
        return found

    fine = peaks(192, 1e-6)
    counted = fine > 3e-4
    result: dict[str, Any] = {"bodies": int(counted.sum())}
    for cells, tolerance in ((24, 1e-5), (48, 1e-4), (48, 3e-5), (48, 1e-5), (96, 1e-5)):
        gap = np.abs(peaks(cells, tolerance) / fine - 1.0)[counted]
        result[f"{cells} cells, tolerance {tolerance:g}"] = {
            "max": round(float(gap.max()), 4),
            "p99": round(float(np.quantile(gap, 0.99)), 4),
            "median": round(float(np.median(gap)), 4),
        }
    return result


def measure(small: bool) -> dict[str, Any]:
    """Everything."""
    begun, load = time.perf_counter(), os.getloadavg()[0]
    many, some, few, copies = (640, 60, 6, 20) if small else (10_000, 1000, 24, 64)
    found = {
        "date": today(),
        "code_sha256": engine_sha256(),
        "machine": machine(),
        "speed": speed(many),
        "first_call": first_call(),
        "against_scipy": against_scipy(few, copies),
        "one_room": one_room(some),
        "accuracy": accuracy(some),
        "strain": strain(some),
    }
    return {
        **found,
        "load": [round(load, 2), round(os.getloadavg()[0], 2)],
        "took_s": round(time.perf_counter() - begun),
    }


def main(arguments: list[str]) -> None:
    """Measure and keep, try, or write the page anew."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--small", action="store_true", help="few bodies; print, write nothing")
    parser.add_argument("--page", action="store_true", help="only write the page anew")
    given = parser.parse_args(arguments)
    if given.small:
        json.dump(measure(True), sys.stdout, indent=1)
        return
    if not given.page:
        EVIDENCE.write_text(json.dumps(measure(False), indent=1) + "\n", encoding="utf-8")
    page: Path = ROOT / "docs" / "benchmarks.md"
    page.write_text(whole_page(ROOT / "docs" / "evidence"), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
