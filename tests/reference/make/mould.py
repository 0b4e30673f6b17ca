"""Makes the rows of mould.csv that another code or two solvers give, and prints them.

Run: python tests/reference/make/mould.py FOLDER-OF-MI.PY

The other code is the file mi.py of the public repository trh-1 (A. Laukkarinen) at commit af62948; it is not
kept here. It takes explicit steps of an hour: at its fastest 0.008 of index each, so that it may lie half of
that from the true course. The two solvers are SciPy's LSODA with steps of 0.05 d at most, and explicit steps
of 0.01 h; a row is printed only if the two agree within 0.002.
Needs numpy and scipy. Nothing of this project is imported.
"""

from __future__ import annotations

import importlib
import math
import sys
from collections.abc import Callable
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

SHORT = {"very_sensitive": "vs", "sensitive": "s", "medium_resistant": "mr", "resistant": "r"}
CONSTANT = [
    # class, degC, percent, days
    ("very_sensitive", 20, 90, 28),
    ("very_sensitive", 20, 97, 14),
    ("very_sensitive", 20, 97, 56),
    ("very_sensitive", 10, 90, 84),
    ("very_sensitive", 5, 95, 56),
    ("very_sensitive", 30, 85, 56),
    ("sensitive", 20, 90, 84),
    ("sensitive", 20, 97, 56),
    ("sensitive", 20, 100, 28),
    ("sensitive", 10, 95, 84),
    ("medium_resistant", 20, 90, 84),
    ("medium_resistant", 20, 97, 168),
    ("medium_resistant", 25, 95, 168),
    ("resistant", 20, 97, 168),
    ("resistant", 25, 100, 168),
]
CYCLES = [
    # class, degC, wet percent, wet hours, dry percent, dry hours, days, multiplier
    ("very_sensitive", 20, 97, 12, 60, 12, 56),
    ("very_sensitive", 20, 97, 168, 60, 168, 56),
    ("sensitive", 20, 97, 12, 60, 12, 84),
    ("sensitive", 20, 97, 168, 60, 168, 84),
    ("medium_resistant", 20, 97, 48, 60, 48, 84),
]
WOOD = [
    # spruce, kiln face, degC, percent, days
    (0, 0, 20, 97, 14),
    (0, 0, 20, 97, 56),
    (0, 0, 10, 90, 84),
    (0, 0, 5, 95, 84),
    (1, 0, 20, 97, 28),
    (0, 1, 20, 97, 28),
    (1, 1, 25, 95, 56),
    (0, 0, 30, 85, 84),
]


def row(quantity: str, inputs: str, value: float, tolerance: str, source: str, how: str, note: str) -> str:
    """One line of the file of rows."""
    return f"{quantity},{inputs},{value:.5g},1,{tolerance},{source},{note},{how},,"


def other_code(run: Callable[..., Any]) -> None:
    """Rows of the public research code."""
    how, source = "library:trh-1-mi af62948", "mould-code-trh"
    for name, temp, percent, days in CONSTANT:
        hours = days * 24
        index = run(
            np.full(hours + 1, float(temp)), np.full(hours + 1, float(percent)), SHORT[name], SHORT[name], 1.0
        )
        inputs = f"surface={name};temp_c={temp};rh={percent / 100};days={days}"
        print(row("mould.constant", inputs, index[-1], "0.004", source, how, "explicit one-hour steps"))
    for name, temp, wet, wet_h, dry, dry_h, days in CYCLES:
        one = [float(wet)] * wet_h + [float(dry)] * dry_h
        series = np.array((one * (days * 24 // len(one) + 1))[: days * 24 + 1])
        index = run(np.full(series.size, float(temp)), series, SHORT[name], SHORT[name], 1.0)
        inputs = (
            f"surface={name};temp_c={temp};wet_rh={wet / 100};wet_h={wet_h};dry_rh={dry / 100};dry_h={dry_h};"
            f"days={days}"
        )
        print(row("mould.cycle", inputs, index[-1], "0.004", source, how, "explicit one-hour steps"))


def rate(index: float, spruce: int, kiln: int, temp: float, percent: float) -> float:
    """Growth of the wood model of 1999 per day."""
    critical = 80.0 if temp > 20 else max(-0.00267 * temp**3 + 0.16 * temp**2 - 3.13 * temp + 100, 80.0)
    x = (critical - percent) / (critical - 100)
    first = math.exp(-0.68 * math.log(temp) - 13.9 * math.log(percent) + 0.14 * spruce - 0.33 * kiln + 66.02)
    seen = math.exp(-0.74 * math.log(temp) - 12.72 * math.log(percent) + 0.06 * spruce + 61.50)
    factor = 1.0 if index < 1 else 2.0 / (seen / first - 1.0)
    slowed = max(1.0 - math.exp(2.3 * (index - (1 + 7 * x - 2 * x * x))), 0.0)
    return factor * slowed / (7.0 * first)


def solvers() -> None:
    """Rows on which two solvers agree."""
    for spruce, kiln, temp, percent, days in WOOD:
        given = (spruce, kiln, temp, percent)
        found = solve_ivp(
            lambda _, y, given=given: [rate(y[0], *given)],
            (0.0, days),
            [0.0],
            method="LSODA",
            rtol=1e-9,
            atol=1e-10,
            max_step=0.05,
        ).y[0, -1]
        stepped = 0.0
        for _ in range(days * 2400):
            stepped += rate(stepped, *given) / 2400.0
        if abs(found - stepped) > 2e-3:
            raise SystemExit(f"the two solvers differ: {given} {days}: {found} and {stepped}")
        kind = f"{'spruce' if spruce else 'pine'}_{'kiln_face' if kiln else 'resawn'}"
        inputs = f"surface={kind};temp_c={temp};rh={percent / 100};days={days}"
        note = "LSODA and explicit steps of 0.01 h"
        print(
            row("mould.constant", inputs, 0.5 * (found + stepped), "0.002", "solvers-mould", "solvers", note)
        )


if __name__ == "__main__":
    sys.path.insert(0, sys.argv[1])
    other_code(importlib.import_module("mi").MI)
    solvers()
