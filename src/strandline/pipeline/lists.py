"""A list of rows becomes a stream of (facts, plan), with everything that was wrong on the way."""

from __future__ import annotations

import gc
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from threading import Lock

from strandline.care.engine import Engine
from strandline.pipeline.doubts import doubts
from strandline.pipeline.objects import Site, facts_from_row
from strandline.pipeline.tags import allot, refused
from strandline.things.facts import Facts
from strandline.things.listing import Problem, RawRow
from strandline.things.plan import Plan


@dataclass(slots=True)
class Tally:
    """What happened to a list: rows seen, problems, rejected rows, and what holds objects up."""

    rows: int = 0
    problems: list[Problem] = field(default_factory=list)
    rejected: list[Problem] = field(default_factory=list)
    stops: list[str] = field(default_factory=list)
    open_conflicts: list[str] = field(default_factory=list)

    @property
    def needs_a_person(self) -> bool:
        """Whether something was not usable or is not settled: the command then exits with 1."""
        faults = any(not problem.note for problem in self.problems)
        return bool(faults or self.rejected or self.stops or self.open_conflicts)


@dataclass(slots=True)
class _Running:
    """How many lists are being worked through, and how often Python looked through all its objects
    before the first of them."""

    lock: Lock = field(default_factory=Lock)
    count: int = 0
    usual: int = 0


_running = _Running()
RARER = 50
"""How many times more rarely all objects are looked through while a list is worked through."""


@contextmanager
def rare_full_collections() -> Iterator[None]:
    """Python looks through all its objects for unused cycles more rarely while a list is worked through.

    What equal objects share is kept, hundreds of thousands of objects without one cycle; looking through
    them over and over took a fifth of the time.  Young objects are looked at as often as ever.
    """
    with _running.lock:
        if not _running.count:
            _running.usual = gc.get_threshold()[2]
            _set_full_collections(_running.usual * RARER)
        _running.count += 1
    try:
        yield
    finally:
        with _running.lock:
            _running.count -= 1
            if not _running.count:
                _set_full_collections(_running.usual)


def _set_full_collections(every: int) -> None:
    young, middle, _ = gc.get_threshold()
    gc.set_threshold(young, middle, every)


def plans(rows: Iterable[RawRow], engine: Engine, site: Site, tally: Tally) -> Iterator[tuple[Facts, Plan]]:
    """Plans in row order, one at a time.  ``tally`` is filled as the stream is read."""
    held = list(rows)
    tags, notes = allot(held)
    tally.rows = len(held)
    tally.problems += [*notes, *doubts(held)]
    with rare_full_collections():
        for row, tag in zip(held, tags, strict=True):
            facts, problems = facts_from_row(row, tag, site, engine.book.knowledge)
            if facts is None:
                tally.rejected += problems
                continue
            tally.problems += problems
            if typed := refused(row):
                facts = replace(facts, kept={**facts.kept, "tag": typed})
            plan = engine.plan(facts, site.as_of)
            if any(hazard.grade == "stop" for hazard in plan.hazards):
                tally.stops.append(facts.tag)
            if any(conflict.state == "open" for conflict in plan.conflicts):
                tally.open_conflicts.append(facts.tag)
            yield facts, plan
