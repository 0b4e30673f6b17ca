"""From plans to an order of work: plans become jobs, a solver orders them, each place is explained.

The figures in this file are confidence c (common practice, no published source) and are to be replaced by a
crew's own; docs/order.md says what each means.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import get_args

from strandline.things.facts import Facts
from strandline.things.plan import Clock, Plan, Step
from strandline.things.work import (
    CHEAP_KINDS,
    Crew,
    Job,
    Kind,
    Loss,
    Op,
    Problem,
    Role,
    Schedule,
    Shape,
    Solver,
    Station,
    Why,
    every_day,
    loss_of_clock,
)
from strandline.workplan.explain import explain
from strandline.workplan.loss import lost_by
from strandline.workplan.rules import apparent_tardiness

IN_PLACE = "where_it_stands"
"""Where cheap steps are done; it has room for all."""
STATIONS: tuple[Station, ...] = (
    Station(IN_PLACE, None),
    Station("hold", None),
    Station("rinse", 2),
    Station("drain", 6),
    Station("dry", 14),
    Station("bench", 4),
    Station("records", 1),
)
CONSERVATORS, HELPERS = 2, 5
SHIFT_H, DAYS = 8.0, 90
WAIT_H: dict[str, float] = {"drip_dry": 1.0, "drain": 0.5}
"""Hours a thing stands after the hands-on part of a step, keeping its place."""
SHORT_MINUTES = 5.0
"""A note does not end the first, cheap steps, nor does an act up to this long that needs no verdict."""
HOLD_MINUTES = 3.0
LEAST_MINUTES = 0.5
LEAST_CLOCK_H = 0.25
"""A clock of no hours ("at once") is taken as a quarter of an hour."""
SHARES: dict[str, float] = {"soil_sets": 0.3, "stain": 0.5, "corrosion": 0.6, "salts": 0.7}
"""Part of an object's worth a clock can take; all of it where a clock is not named."""
NOW_WITHIN_H, NOW_SHARE, NOW_MINUTES = 4.0, 0.15, 30.0
UNTIMED = frozenset({"watch"})
"""Kinds that belong to later rounds, not to the first order of work."""
RELEASE = "somebody competent must release it; record their role, the time and what they said"


@dataclass(frozen=True, slots=True)
class WorkOrder:
    """A problem, its schedule, and a sentence per object in it."""

    problem: Problem
    schedule: Schedule
    why: dict[str, Why]


def work_order(
    items: Iterable[tuple[Facts, Plan]],
    as_of: datetime,
    crew: Crew | None = None,
    stations: Sequence[Station] = STATIONS,
    solver: Solver = apparent_tardiness,
) -> WorkOrder:
    """The order of work for objects with their plans, as at ``as_of`` (aware)."""
    problem = problem_from_plans(items, crew or default_crew(), stations, as_of)
    schedule = solver(problem)
    return WorkOrder(problem, schedule, explain(problem, schedule))


def default_crew(
    conservators: int = CONSERVATORS,
    helpers: int = HELPERS,
    first_h: float = SHIFT_H,
    shift_h: float = SHIFT_H,
) -> Crew:
    """A lead and an assistant conservator, five helpers; the first shift begins now."""
    return Crew(conservators, helpers, every_day(first_h, shift_h, DAYS))


def problem_from_plans(
    items: Iterable[tuple[Facts, Plan]], crew: Crew, stations: Sequence[Station], as_of: datetime
) -> Problem:
    """One job per object, by tag, so that the order of a list's rows changes nothing.

    Raises ValueError for a naive ``as_of`` and for two objects of one tag.
    """
    if as_of.tzinfo is None:
        raise ValueError("as_of must say its time zone")
    jobs = sorted((job_from_plan(facts, plan) for facts, plan in items), key=lambda job: job.tag)
    end_min = max((shift.end_min for shift in crew.shifts), default=0.0)
    horizon_h = max(24.0, 24.0 * -(-end_min // 1440.0))
    return Problem(tuple(jobs), crew, tuple(stations), as_of, horizon_h)


def job_from_plan(facts: Facts, plan: Plan) -> Job:
    """One object's chain of operations, losses and weight."""
    stop = next((hazard for hazard in plan.hazards if hazard.grade == "stop"), None)
    ops = _ops(plan)
    losses = tuple(_loss(clock) for clock in plan.clocks)
    stable_after = _stable_after(ops)
    dear = ops[_cheap(ops) : stable_after + 1]
    now = bool(dear) and sum(op.minutes for op in dear) <= NOW_MINUTES
    return Job(
        tag=facts.tag,
        ops=ops,
        weight=2.0 ** (facts.significance - 1),
        losses=losses,
        stable_after=stable_after,
        title=facts.title,
        significance=facts.significance,
        zone=plan.zone or "",
        stop=stop.key if stop else "",
        stop_say=stop.say if stop else "",
        release=_release(stop.call) if stop else "",
        now=now and not stop and lost_by(losses, NOW_WITHIN_H) >= NOW_SHARE,
        about=_about(facts, plan),
        hours_left=plan.hours_left,
        good_until=plan.holding.good_until,
    )


def _ops(plan: Plan) -> tuple[Op, ...]:
    """The plan's steps in order, the holding instruction after the first, cheap ones."""
    steps = [step for step in sorted(plan.steps, key=lambda one: one.n) if step.kind not in UNTIMED]
    cheap = _first_steps(steps)
    ops = [_op(step, "look" if step.kind == "look" else "cheap", IN_PLACE) for step in steps[:cheap]]
    if plan.holding.do:
        ops.append(Op("hold", IN_PLACE, "helper", HOLD_MINUTES, "cheap"))
    ops += [_op(step, _kind(step.kind), step.station) for step in steps[cheap:]]
    return tuple(ops)


def _first_steps(steps: Sequence[Step]) -> int:
    """How many steps lead up to the last look before the real work, short acts in between included."""
    count = 0
    for number, step in enumerate(steps, start=1):
        if step.kind in CHEAP_KINDS:
            count = number
        elif step.kind != "record" and not _short(step):
            break
    return count


def _short(step: Step) -> bool:
    """Whether one pair of hands does it in passing, and no verdict is asked for."""
    return step.action is None and step.people == 1 and step.minutes <= SHORT_MINUTES


def _op(step: Step, kind: Kind, station: str) -> Op:
    minutes = max(LEAST_MINUTES, step.minutes)
    wait_h = WAIT_H.get(step.key, 0.0)
    return Op(step.key, station, _role(step.role), minutes, kind, wait_h, max(1, step.people))


def _role(text: str) -> Role:
    """Raises ValueError for a role nobody has."""
    roles: dict[str, Role] = {role: role for role in get_args(Role)}
    if text not in roles:
        raise ValueError(f"role must be one of {', '.join(roles)}; got {text!r}")
    return roles[text]


def _kind(text: str) -> Kind:
    """Raises ValueError for a kind that plans do not have."""
    kinds: dict[str, Kind] = {kind: kind for kind in get_args(Kind)}
    if text not in kinds:
        raise ValueError(f"kind of step must be one of {', '.join(kinds)}; got {text!r}")
    return kinds[text]


def _shape(text: str) -> Shape:
    """Raises ValueError for a shape that clocks do not have."""
    shapes: dict[str, Shape] = {shape: shape for shape in get_args(Shape)}
    if text not in shapes:
        raise ValueError(f"shape of clock must be one of {', '.join(shapes)}; got {text!r}")
    return shapes[text]


def _cheap(ops: Sequence[Op]) -> int:
    return next((n for n, op in enumerate(ops) if op.kind not in CHEAP_KINDS), len(ops))


def _stable_after(ops: Sequence[Op]) -> int:
    """The last operation that does something to the object; notes end no loss."""
    return max((n for n, op in enumerate(ops) if op.kind != "record"), default=max(0, len(ops) - 1))


def _loss(clock: Clock) -> Loss:
    at_h = max(LEAST_CLOCK_H, clock.at_h)
    return loss_of_clock(clock.key, at_h, clock.left_h, _shape(clock.shape), SHARES.get(clock.key, 1.0))


def _release(call: str) -> str:
    return f"{call}: {RELEASE}" if call else RELEASE


def _about(facts: Facts, plan: Plan) -> str:
    """The part whose clock presses most, in the list's own words where it has any."""
    pressing = plan.start_by.part if plan.start_by else ""
    for part in facts.parts:
        if part.id == pressing:
            return part.span or part.material.removesuffix("_unknown").replace("_", " ")
    return facts.title
