"""Solvers: each takes a problem and gives a schedule, so that they can stand in for each other."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from math import inf

from strandline.things.work import Placed, Problem, Schedule, Solver, TrayGroup, Unplaced
from strandline.workplan.dispatch import Dispatch
from strandline.workplan.loss import expected_loss, lost_by
from strandline.workplan.needs import Barred, barred, cheap_count
from strandline.workplan.priority import Apparent, Listed, Priority

STATUS = "dispatch rule"
LOOK_AHEAD_H: tuple[tuple[float, tuple[float, ...]], ...] = (
    (300, (0.25, 1.0, 2.0, 4.0, 6.0, 9.0, 12.0, 18.0, 24.0, 48.0)),
    (1500, (1.0, 4.0, 12.0, 18.0)),
    (inf, (4.0, 12.0)),
)
"""(Up to so many jobs, hours looked ahead that are tried): none is best for every list, and time is short."""


def apparent_tardiness(problem: Problem) -> Schedule:
    """The best schedule over a few look-aheads.  A good order; nothing is said on how far from the best."""
    return least_loss(apparent(ahead_h)(problem) for ahead_h in _look_aheads(len(problem.jobs)))


def least_loss(schedules: Iterable[Schedule]) -> Schedule:
    """The schedule with the least expected loss, the earlier of equals."""
    return min(schedules, key=lambda one: one.loss)


def apparent(ahead_h: float) -> Solver:
    """Apparent tardiness cost with one look-ahead, in hours."""

    def solve(problem: Problem) -> Schedule:
        out = barred(problem)
        priority = Apparent(problem, ahead_h, out)
        return _solve(problem, priority, out, f"apparent tardiness cost, looking {ahead_h:g} h ahead", None)

    return solve


def first_come(problem: Problem) -> Schedule:
    """The list's own order, phases kept.  For comparison."""
    return _solve(problem, Listed(problem, None), barred(problem), "as listed", None)


def shuffled(seed: int) -> Solver:
    """A random order, phases kept.  For comparison."""

    def solve(problem: Problem) -> Schedule:
        return _solve(problem, Listed(problem, seed), barred(problem), "shuffled", seed)

    return solve


def _look_aheads(jobs: int) -> tuple[float, ...]:
    return next(tried for most, tried in LOOK_AHEAD_H if jobs <= most)


def _solve(
    problem: Problem, priority: Priority, bar: dict[str, Barred], rule: str, seed: int | None
) -> Schedule:
    can = [bar[job.tag].can if job.tag in bar else len(job.ops) for job in problem.jobs]
    placed = tuple(Dispatch(problem, priority, can).run())
    out = {tag: one.why for tag, one in bar.items()} | _too_late(problem, placed, set(bar))
    order = _order(problem, placed, set(out))
    return Schedule(
        placed=placed,
        order=order,
        announced=tuple(job.tag for job in problem.jobs if job.stop),
        unplaced=tuple(out[job.tag] for job in problem.jobs if job.tag in out),
        trays=_trays(problem, priority, order),
        status=STATUS,
        rule=rule,
        loss=expected_loss(problem, placed),
        loss_if_nothing=sum(job.weight * lost_by(job.losses, problem.horizon_h) for job in problem.jobs),
        seed=seed,
    )


def _too_late(problem: Problem, placed: tuple[Placed, ...], out: set[str]) -> dict[str, Unplaced]:
    """Jobs for which hands or places do not reach within the horizon."""
    count = Counter(one.tag for one in placed)
    say = f"Hands or places do not reach for all of it within {problem.horizon_h:g} h."
    return {
        job.tag: Unplaced(job.tag, "horizon", say)
        for job in problem.jobs
        if job.tag not in out and count[job.tag] < len(job.ops)
    }


def _order(problem: Problem, placed: tuple[Placed, ...], out: set[str]) -> tuple[str, ...]:
    """Tags by the start of the first dear operation, or of the first one where all are cheap."""
    first = {}
    for job in problem.jobs:
        cheap = cheap_count(job)
        first[job.tag] = (cheap if cheap < len(job.ops) else 0, -job.significance)
    begun = [
        (one.start_min, first[one.tag][1], one.tag)
        for one in placed
        if one.op == first[one.tag][0] and one.tag not in out
    ]
    return tuple(tag for _, _, tag in sorted(begun))


def _trays(problem: Problem, priority: Priority, order: tuple[str, ...]) -> tuple[TrayGroup, ...]:
    """Trays of two and more wholly placed objects, members and trays in the order of work."""
    place = {tag: n for n, tag in enumerate(order)}
    found = []
    for members in priority.trays:
        tags = sorted(
            (problem.jobs[m].tag for m in members if problem.jobs[m].tag in place), key=place.__getitem__
        )
        if len(tags) > 1:
            found.append(tuple(tags))
    found.sort(key=lambda tags: place[tags[0]])
    return tuple(TrayGroup(n, tags) for n, tags in enumerate(found, start=1))
