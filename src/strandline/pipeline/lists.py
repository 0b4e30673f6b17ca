"""A list of rows becomes a stream of (facts, plan), with everything that was wrong on the way."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from strandline.care.engine import Engine
from strandline.pipeline.objects import Site, facts_from_row
from strandline.pipeline.tags import allot
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


def plans(rows: Iterable[RawRow], engine: Engine, site: Site, tally: Tally) -> Iterator[tuple[Facts, Plan]]:
    """Plans in row order, one at a time.  ``tally`` is filled as the stream is read."""
    held = list(rows)
    tags, notes = allot(held)
    tally.rows = len(held)
    tally.problems += notes
    for row, tag in zip(held, tags, strict=True):
        facts, problems = facts_from_row(row, tag, site, engine.book.knowledge)
        if facts is None:
            tally.rejected += problems
            continue
        tally.problems += problems
        plan = engine.plan(facts, site.as_of)
        if any(hazard.grade == "stop" for hazard in plan.hazards):
            tally.stops.append(facts.tag)
        if any(conflict.state == "open" for conflict in plan.conflicts):
            tally.open_conflicts.append(facts.tag)
        yield facts, plan
