"""Seeded instances like a flooded small museum, for comparing rules.  All invented; figures confidence c.

The generator and the hashes in ``instances.sha256`` came before the solver; a change here must be a
decision, not a slip, so a test compares them.
"""

from __future__ import annotations

import hashlib
import json
import random
from dataclasses import asdict
from datetime import UTC, datetime

from strandline.things.work import Crew, Job, Op, Problem, Role, Shape, Station, every_day, loss_of_clock

START = datetime(2026, 3, 15, 15, 40, tzinfo=UTC)
STATIONS = (
    Station("where_it_stands", None),
    Station("rinse", 2),
    Station("drain", 6),
    Station("dry", 14),
    Station("bench", 4),
    Station("records", 1),
)

Clocks = tuple[tuple[str, float, Shape], ...]
"""Key, hours, shape."""
Steps = tuple[tuple[str, str, Role, float, float, int], ...]
"""Key, station, role, hands-on minutes, hours of waiting, people."""

# name, part of the list, zone, clocks, dear steps
CLASSES: tuple[tuple[str, float, str, Clocks, Steps], ...] = (
    (
        "bare iron",
        0.16,
        "fast_dry",
        (("rust", 4.0, "rate"),),
        (("rinse", "rinse", "helper", 5, 0, 1), ("blot", "bench", "helper", 10, 0, 1)),
    ),
    (
        "brass",
        0.12,
        "fast_dry",
        (("corrosion", 24.0, "rate"),),
        (("rinse", "rinse", "helper", 5, 0, 1), ("drain", "drain", "helper", 2, 1, 1)),
    ),
    (
        "painted wood",
        0.14,
        "slow_dry",
        (("paint", 12.0, "step"), ("mould", 48.0, "step")),
        (("support", "bench", "conservator", 30, 0, 2), ("set_to_dry", "dry", "helper", 10, 0, 2)),
    ),
    (
        "bare wood",
        0.14,
        "slow_dry",
        (("mould", 48.0, "step"), ("crack", 72.0, "rate")),
        (
            ("rinse", "rinse", "helper", 10, 0, 1),
            ("drain", "drain", "helper", 2, 1, 1),
            ("set_to_dry", "dry", "helper", 10, 0, 1),
        ),
    ),
    (
        "leather",
        0.10,
        "slow_dry",
        (("mould", 36.0, "step"), ("skin", 24.0, "rate")),
        (("rinse", "rinse", "helper", 10, 0, 1), ("pad", "bench", "conservator", 20, 0, 1)),
    ),
    (
        "gesso",
        0.04,
        "slow_dry",
        (("gesso", 3.0, "step"),),
        (("support", "bench", "conservator", 45, 0, 1),),
    ),
    (
        "glazed ware",
        0.20,
        "mid_dry",
        (("soil_sets", 72.0, "rate"),),
        (("rinse", "rinse", "helper", 5, 0, 1), ("drain", "drain", "helper", 2, 1, 1)),
    ),
    (
        "low-fired ware",
        0.10,
        "mid_dry",
        (("salts", 48.0, "rate"),),
        (("lift", "bench", "helper", 10, 0, 2), ("set_to_dry", "dry", "helper", 5, 0, 1)),
    ),
)
SHARES = {"soil_sets": 0.3, "corrosion": 0.6, "salts": 0.7}


def flood(n: int, seed: int, *, conservators: int = 2, helpers: int = 5, days: int = 90) -> Problem:
    """``n`` objects wet for 13 h and out for half an hour to 4 h, drawn with ``seed``."""
    draw = random.Random(f"flood {n} {seed}")
    jobs = tuple(_object(number, draw) for number in range(1, n + 1))
    crew = Crew(conservators, helpers, every_day(8.0, 8.0, days))
    return Problem(jobs, crew, STATIONS, START, 24.0 * days)


def _object(number: int, draw: random.Random) -> Job:
    name, _, zone, clocks, steps = draw.choices(CLASSES, weights=[one[1] for one in CLASSES])[0]
    significance = draw.choices((1, 2, 3, 4, 5), weights=(10, 20, 40, 20, 10))[0]
    out_h = draw.choice((0.5, 0.5, 0.5, 2.0, 4.0))
    size = draw.choice((1, 1, 1, 2, 3))
    losses = tuple(
        loss_of_clock(key, at_h, round(at_h - out_h, 2), shape, SHARES.get(key, 1.0))
        for key, at_h, shape in clocks
    )
    cheap = (
        Op("photograph", "where_it_stands", "helper", 3, "cheap"),
        Op("tag", "where_it_stands", "helper", 2, "cheap"),
    )
    look = (Op("look", "where_it_stands", "conservator", 5, "look"),) if "paint" in name else ()
    dear = tuple(Op(k, s, role, m * size, "act", w, p) for k, s, role, m, w, p in steps)
    record = (Op("note", "records", "helper", 1, "record"),)
    ops = (*cheap, *look, *dear, *record)
    minutes = sum(op.minutes for op in dear)
    return Job(
        f"{number:04d}",
        ops,
        float(2 ** (significance - 1)),
        losses,
        len(ops) - 2,
        title=name,
        significance=significance,
        zone=zone,
        now=name == "bare iron" and minutes <= 30,
        about=name,
    )


def digest(problem: Problem) -> str:
    """SHA-256 of everything in a problem."""
    text = json.dumps(asdict(problem), sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()


MEASURED = (*((140, seed) for seed in range(1, 11)), *((1000, seed) for seed in range(1, 4)), (3483, 1))
"""(objects, seed) of the instances that figures are reported for."""
