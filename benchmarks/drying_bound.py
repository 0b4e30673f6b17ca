"""What a step of one cell costs this machine at least: each kind of work measured alone.

The engine works on 32 bodies side by side; its table of some 65 kB lies in the second-level cache. The
counts below are those of physics/lanes.py, taken by hand: what one vertex asks for in a step of four stages.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import numpy as np
from numba import njit

OPTIONS: dict[str, Any] = {"error_model": "numpy", "fastmath": {"contract", "reassoc", "nsz", "arcp"}}
DIVISIONS, MULTIPLY_ADDS, ADDITIONS, ACCESSES = 1, 82, 25, 40
"""Of one vertex in one step: pivots inverted; products, most with a sum; sums, differences and smaller-ofs on
their own; numbers of 8 bytes read from or written to the planes of the table. What stays in the first-level
cache, and the surface and the steps' bookkeeping once for all vertices, are not counted."""

LANES, CHAIN = 64, 32
PLANE = 41 * LANES
PLANES = 6
TRIES = 9


@njit(**OPTIONS)
def divide(x: Any, y: Any, times: int) -> None:
    """One over each number."""
    for t in range(times):
        for i in range(x.size):
            y[i] = 1.0 / (x[i] + t)


@njit(**OPTIONS)
def multiply_add(x: Any, y: Any, times: int) -> None:
    """Thirty-two multiply-adds in a row for each number, many numbers at once."""
    for _ in range(times):
        for i in range(x.size):
            a = x[i]
            b = y[i]
            for _ in range(CHAIN):
                a = a * b + 0.5
            y[i] = a


@njit(**OPTIONS)
def add(x: Any, y: Any, times: int) -> None:
    """Thirty-two additions and smaller-ofs in a row for each number, many numbers at once."""
    for _ in range(times):
        for i in range(x.size):
            a = x[i]
            b = y[i]
            for _ in range(CHAIN // 2):
                a = a + b
                a = a if a < 2.0 else 2.0
            y[i] = a * 1e-9


@njit(**OPTIONS)
def stream(planes: Any, times: int) -> None:
    """Read two planes, write a third, round and round: three accesses for each number."""
    n = planes.shape[1]
    for t in range(times):
        a = planes[t % PLANES]
        b = planes[(t + 2) % PLANES]
        c = planes[(t + 4) % PLANES]
        for i in range(n):
            c[i] = a[i] * 0.5 + b[i] * 0.25


def least_ns(work: Callable[[int], None], each: int) -> float:
    """Nanoseconds for one of what `work` does `each` of per time, the least of several tries."""
    work(1)
    times = 2000
    spent = []
    for _ in range(TRIES):
        begun = time.perf_counter()
        work(times)
        spent.append(time.perf_counter() - begun)
    return 1e9 * min(spent) / (times * each)


def bound() -> dict[str, float]:
    """The parts and their sum for a cell and step, in nanoseconds."""
    x, y = np.linspace(1.0, 2.0, 8 * LANES), np.full(8 * LANES, 0.25)
    planes = np.ones((PLANES, PLANE))
    division = least_ns(lambda times: divide(x, y, times), x.size)
    fused = least_ns(lambda times: multiply_add(x, y, times), x.size * CHAIN)
    access = least_ns(lambda times: stream(planes, times), 3 * PLANE)
    addition = least_ns(lambda times: add(x, y, times), x.size * CHAIN)
    parts = {
        "divisions_ns": DIVISIONS * division,
        "multiply_adds_ns": MULTIPLY_ADDS * fused,
        "additions_ns": ADDITIONS * addition,
        "accesses_ns": ACCESSES * access,
    }
    single = {
        "one_division_ns": division,
        "one_multiply_add_ns": fused,
        "one_addition_ns": addition,
        "one_access_ns": access,
    }
    both = {"largest_ns": max(parts.values()), "sum_ns": sum(parts.values())}
    return {name: round(value, 4) for name, value in {**parts, **both, **single}.items()}
