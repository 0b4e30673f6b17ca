"""The checker passes what solvers make of any problem, and finds each way of breaking a schedule."""

from __future__ import annotations

import ast
import inspect
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import Phase, find, given, settings

from strandline.things.work import Job, Op, Placed, Problem, Schedule, Solver, TrayGroup, Unplaced
from strandline.workplan import checker, rules
from strandline.workplan.checker import check
from strandline.workplan.dispatch import Dispatch
from tests.workplan.instances import flood
from tests.workplan.strategies import problems

# Any example will do, and making it small takes a minute.
NO_SHRINKING = settings(max_examples=2000, derandomize=True, database=None, phases=[Phase.generate])
SOLVERS = {
    "apparent": rules.apparent_tardiness,
    "one look-ahead": rules.apparent(4.0),
    "as listed": rules.first_come,
    "shuffled": rules.shuffled(7),
}


@pytest.mark.parametrize("solver", SOLVERS.values(), ids=list(SOLVERS))
@given(problem=problems())
def test_every_schedule_passes(solver: Solver, problem: Problem) -> None:
    """Whatever the problem, nothing in the answer breaks a rule."""
    assert check(problem, solver(problem)) == ()


@pytest.mark.parametrize(("objects", "seed"), [(140, 1), (140, 2), (400, 1)])
def test_flood_schedules_pass(objects: int, seed: int) -> None:
    """Neither does anything in the answer to a whole list, and all of it is placed."""
    problem = flood(objects, seed)
    schedule = rules.apparent_tardiness(problem)
    assert check(problem, schedule) == ()
    assert len(schedule.order) == objects


def test_the_checker_knows_no_solver() -> None:
    """It imports the definitions and nothing from the room that solves."""
    imports = [
        node for node in ast.walk(ast.parse(inspect.getsource(checker))) if isinstance(node, ast.ImportFrom)
    ]
    ours = {
        node.module: {alias.name for alias in node.names}
        for node in imports
        if (node.module or "").startswith("strandline")
    }
    assert set(ours) == {"strandline.things.work"}
    assert not ours["strandline.things.work"] & {"share_at", "loss_of_clock"}


class NoWait(Dispatch):
    """Lets the next operation begin while the object still stands."""

    def _begin(self, job: int, now: float) -> None:
        full = self.problem.jobs[job].ops[self.next_op[job]]
        super()._begin(job, now)
        freed = now + self.spans[job][self.next_op[job] - 1] + 60.0 * full.wait_h
        self.events = [
            (freed - 60.0 * full.wait_h, kind, number, people)
            if kind == self.READY and number == job and at == freed
            else (at, kind, number, people)
            for at, kind, number, people in self.events
        ]
        self.events.sort()


class NoPlaces(Dispatch):
    """Never counts places."""

    def _begin(self, job: int, now: float) -> None:
        super()._begin(job, now)
        self.places = dict.fromkeys(self.places, 99.0)


class NoNight(Dispatch):
    """Begins what does not end within the shift."""

    def _begin_all(self, now: float, left_min: float) -> None:
        super()._begin_all(now, left_min + 600.0)


class NoCheapFirst(Dispatch):
    """Treats dear steps like cheap ones from the beginning."""

    def _most_pressing(self, now: float, left_min: float) -> object:  # type: ignore[override]  # only handed on
        kept, self.problem = self.problem, replace(self.problem, cheap_first_h=0.0)
        found = super()._most_pressing(now, left_min)
        self.problem = kept
        return found


@pytest.mark.parametrize(
    ("broken", "code"),
    [(NoWait, "wait"), (NoPlaces, "places"), (NoNight, "shift"), (NoCheapFirst, "cheap_first")],
)
def test_broken_solvers_are_found_out(
    broken: type[Dispatch], code: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same random problems that solvers pass bring down a solver that skips one rule."""
    monkeypatch.setattr(rules, "Dispatch", broken)
    problem = find(
        problems(),
        lambda one: code in {finding.code for finding in check(one, rules.first_come(one))},
        settings=NO_SHRINKING,
    )
    assert problem.jobs


@pytest.fixture(scope="module")
def good() -> tuple[Problem, Schedule]:
    """Thirty objects, one of them under a stop, and their order."""
    problem = flood(30, 5)
    jobs = (*problem.jobs[:-1], replace(problem.jobs[-1], stop="mercury", now=False))
    problem = replace(problem, jobs=jobs)
    return problem, rules.apparent_tardiness(problem)


Breaking = Callable[[Problem, Schedule], Schedule]


def _change(schedule: Schedule, one: Placed, **to: object) -> Schedule:
    placed = tuple(replace(p, **to) if p is one else p for p in schedule.placed)  # type: ignore[arg-type]  # any field
    return replace(schedule, placed=placed)


def _first(problem: Problem, schedule: Schedule, wanted: Callable[[Placed, Job, Op], bool]) -> Placed:
    jobs = {job.tag: job for job in problem.jobs}
    return next(p for p in schedule.placed if wanted(p, jobs[p.tag], jobs[p.tag].ops[p.op]))


def _earlier(problem: Problem, schedule: Schedule) -> Schedule:
    one = _first(problem, schedule, lambda p, job, op: p.op == 1)
    return _change(schedule, one, start_min=one.start_min - 5, end_min=one.end_min - 5)


def _no_wait(problem: Problem, schedule: Schedule) -> Schedule:
    one = _first(problem, schedule, lambda p, job, op: p.op > 0 and job.ops[p.op - 1].wait_h > 0)
    before = _first(problem, schedule, lambda p, job, op: (p.tag, p.op) == (one.tag, one.op - 1))
    length = one.end_min - one.start_min
    return _change(schedule, one, start_min=before.end_min, end_min=before.end_min + length)


def _crowd(problem: Problem, schedule: Schedule) -> Schedule:
    late = [p for p in schedule.placed if p.station == "rinse"][:4]
    for one in late:
        length = one.end_min - one.start_min
        schedule = _change(schedule, one, start_min=late[0].start_min, end_min=late[0].start_min + length)
    return schedule


def _two_places(problem: Problem, schedule: Schedule) -> Schedule:
    first = schedule.placed[0]
    other = next(p for p in schedule.placed if p.start_min == first.start_min and p is not first)
    return _change(schedule, other, people=first.people)


def _one_short(problem: Problem, schedule: Schedule) -> Schedule:
    one = _first(problem, schedule, lambda p, job, op: op.people == 2)
    return _change(schedule, one, people=one.people[:1])


def _stranger(problem: Problem, schedule: Schedule) -> Schedule:
    return _change(schedule, schedule.placed[0], people=(99,))


def _helper_for_conservator(problem: Problem, schedule: Schedule) -> Schedule:
    one = _first(problem, schedule, lambda p, job, op: op.role == "conservator" and op.people == 1)
    return _change(schedule, one, people=(6,))


def _hands_on_stop(problem: Problem, schedule: Schedule) -> Schedule:
    job = problem.jobs[-1]
    span = job.ops[0].minutes / problem.crew.pace
    extra = Placed(job.tag, 0, 470.0 - span, 470.0, (6,), job.ops[0].station)
    return replace(schedule, placed=(*schedule.placed, extra))


def _silent_stop(problem: Problem, schedule: Schedule) -> Schedule:
    return replace(schedule, announced=())


def _at_night(problem: Problem, schedule: Schedule) -> Schedule:
    one = max(schedule.placed, key=lambda p: p.end_min)
    length = one.end_min - one.start_min
    return _change(schedule, one, start_min=700.0, end_min=700.0 + length)


def _after_horizon(problem: Problem, schedule: Schedule) -> Schedule:
    one = max(schedule.placed, key=lambda p: p.end_min)
    end = 60.0 * problem.horizon_h + 100.0
    return _change(schedule, one, start_min=end - (one.end_min - one.start_min), end_min=end)


def _hurried(problem: Problem, schedule: Schedule) -> Schedule:
    one = schedule.placed[-1]
    return _change(schedule, one, end_min=one.end_min - 0.5)


def _elsewhere(problem: Problem, schedule: Schedule) -> Schedule:
    one = _first(problem, schedule, lambda p, job, op: op.station == "rinse")
    return _change(schedule, one, station="bench")


def _dropped(problem: Problem, schedule: Schedule) -> Schedule:
    last = max(schedule.placed, key=lambda p: p.op)
    return replace(schedule, placed=tuple(p for p in schedule.placed if p is not last))


def _forgotten(problem: Problem, schedule: Schedule) -> Schedule:
    tag = schedule.order[0]
    return replace(
        schedule,
        placed=tuple(p for p in schedule.placed if p.tag != tag),
        order=schedule.order[1:],
        trays=(),
    )


def _doubled(problem: Problem, schedule: Schedule) -> Schedule:
    return replace(schedule, placed=(*schedule.placed, schedule.placed[0]))


def _excuse(problem: Problem, schedule: Schedule) -> Schedule:
    false = Unplaced(schedule.order[0], "stop", "It is under a stop.")
    return replace(schedule, unplaced=(*schedule.unplaced, false), order=schedule.order[1:], trays=())


def _stranger_tag(problem: Problem, schedule: Schedule) -> Schedule:
    return _change(schedule, schedule.placed[0], tag="none")


def _dear_first(problem: Problem, schedule: Schedule) -> Schedule:
    """The last cheap step is put off until all else is done."""
    jobs = {job.tag: job for job in problem.jobs}
    cheap = max(
        (p for p in schedule.placed if jobs[p.tag].ops[p.op].kind == "cheap" and p.op == 1),
        key=lambda p: p.start_min,
    )
    later = max(p.end_min for p in schedule.placed)
    return _change(schedule, cheap, start_min=later, end_min=later + cheap.end_min - cheap.start_min)


def _rosy(problem: Problem, schedule: Schedule) -> Schedule:
    return replace(schedule, loss=schedule.loss * 0.999)


def _dark(problem: Problem, schedule: Schedule) -> Schedule:
    return replace(schedule, loss_if_nothing=schedule.loss_if_nothing + 1)


def _bound_above(problem: Problem, schedule: Schedule) -> Schedule:
    return replace(schedule, bound=schedule.loss * 1.01 + 0.1)


def _turned(problem: Problem, schedule: Schedule) -> Schedule:
    return replace(schedule, order=schedule.order[::-1])


def _mixed_tray(problem: Problem, schedule: Schedule) -> Schedule:
    zones = {job.tag: job.zone for job in problem.jobs}
    other = next(tag for tag in schedule.order if zones[tag] != zones[schedule.order[0]])
    return replace(schedule, trays=(TrayGroup(1, (schedule.order[0], other)),))


def _two_trays(problem: Problem, schedule: Schedule) -> Schedule:
    tray = schedule.trays[0]
    return replace(schedule, trays=(tray, replace(tray, n=2)))


BROKEN: dict[Breaking, str] = {
    _earlier: "precedence",
    _no_wait: "wait",
    _crowd: "places",
    _two_places: "person",
    _one_short: "people",
    _stranger: "people",
    _helper_for_conservator: "role",
    _hands_on_stop: "stop",
    _silent_stop: "stop",
    _at_night: "shift",
    _after_horizon: "horizon",
    _hurried: "length",
    _elsewhere: "station",
    _dropped: "missing",
    _forgotten: "missing",
    _doubled: "twice",
    _excuse: "unplaced",
    _stranger_tag: "unknown",
    _dear_first: "cheap_first",
    _rosy: "loss",
    _dark: "loss",
    _bound_above: "loss",
    _turned: "order",
    _mixed_tray: "tray",
    _two_trays: "tray",
}


@pytest.mark.parametrize(
    ("breaking", "code"), BROKEN.items(), ids=[one.__name__.strip("_") for one in BROKEN]
)
def test_broken_schedules_are_found(good: tuple[Problem, Schedule], breaking: Breaking, code: str) -> None:
    """Each way of breaking a good schedule is found under its own name."""
    problem, schedule = good
    assert check(problem, schedule) == ()
    assert code in {finding.code for finding in check(problem, breaking(problem, schedule))}
