"""Steps and the holding instruction: what to do, in order, and what anybody may do meanwhile."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from strandline.care.parts import PartEval
from strandline.knowledge import models as m
from strandline.things.plan import ActionVerdict, Step

Woken = dict[str, tuple[m.StepRule, list[str]]]


@dataclass(frozen=True, slots=True)
class Course:
    """What decides which steps an object gets: its route, whether a stop holds it, whether something is
    open for the conservator, whether it met damp air only, and whether it stays fixed where it is: its stop
    was lifted, and it may still not be lifted itself."""

    route: str
    stopped: bool
    open: bool
    damp_only: bool
    fixed: bool = False


def steps(
    parts: Sequence[tuple[str, PartEval]],
    actions: Mapping[str, ActionVerdict],
    local: Mapping[str, Mapping[str, ActionVerdict]],
    local_air: Sequence[tuple[str, str]],
    course: Course,
    passes: dict[str, bool],
) -> tuple[Step, ...]:
    """The plan's steps.  ``passes`` tells which rules hold for the whole object."""
    made: list[Step] = []
    for rule, names in _woken(parts, passes):
        if course.stopped and not rule.even_under_stop:
            continue
        if (rule.only_open and not course.open) or (rule.wetted_only and course.damp_only):
            continue
        if any(_verdict(actions, key) not in ABLE for key in rule.also_needs):
            continue
        if course.fixed and not _in_place(rule):
            continue
        if rule.kind == "local_air":
            made += _local_air(len(made) + 1, rule, parts, local_air)
            continue
        step = _step(len(made) + 1, rule, names, actions, local, course)
        if step is not None:
            made.append(step)
    return tuple(made)


def _woken(
    parts: Sequence[tuple[str, PartEval]], passes: dict[str, bool]
) -> list[tuple[m.StepRule, list[str]]]:
    found: Woken = {}
    for name, part in parts:
        for rule, _ in part.others.values():
            if isinstance(rule, m.StepRule) and passes[rule.id]:
                found.setdefault(rule.id, (rule, []))[1].append(name)
    ordered = sorted(found.values(), key=lambda one: (one[0].order, one[0].id))
    seen: set[str] = set()
    kept = []
    for rule, names in ordered:
        # Two rules may describe one step for different bodies; the first in order is the one said.
        if rule.step not in seen:
            kept.append((rule, names))
            seen.add(rule.step)
    return kept


def _step(
    number: int,
    rule: m.StepRule,
    names: list[str],
    actions: Mapping[str, ActionVerdict],
    local: Mapping[str, Mapping[str, ActionVerdict]],
    course: Course,
) -> Step | None:
    role, verdict, verdict_of = rule.role, None, None
    if rule.action is not None:
        if course.route == "hold_wet" and rule.action in WATER_OFF:
            return None
        verdict = _verdict(actions, rule.action)
        if verdict == "no":
            # Water or a brush on one part alone is the conservator's craft and no step of the plan.
            able = [name for name in names if rule.action == "blot" and "blot" in local.get(name, {})]
            if not able:
                return None
            names, verdict_of = able, able[0]
            verdict = local[able[0]][rule.action].verdict
        if rule.needs_verdict and verdict not in rule.needs_verdict:
            return None
        if verdict == "refer" or (course.open and rule.action in WATER_ON | WATER_OFF):
            # While its parts want different things, water on or off it is the conservator's.
            role = "conservator"
    return Step(
        number, rule.step, rule.action, rule.kind, tuple(names), rule.text, role, rule.people, rule.minutes,
        rule.station, (rule.id,), verdict, verdict_of, (), rule.after,
    )  # fmt: skip


def _in_place(rule: m.StepRule) -> bool:
    """Whether a step is done where the object lies, or is the conservator's."""
    if rule.role == "conservator":
        return True
    return rule.action in WHERE_IT_LIES if rule.action else rule.kind not in {"act", "local_air"}


def _verdict(actions: Mapping[str, ActionVerdict], key: str) -> str:
    """The verdict on an action; one nobody speaks of means refer."""
    held = actions.get(key)
    return held.verdict if held else "refer"


ABLE = frozenset({"yes", "careful"})
WHERE_IT_LIES = frozenset({"cover", "support"})
"""Actions that need no object in somebody's hands and none at a bench."""
WATER_ON = frozenset({"rinse", "immerse", "brush_wet", "hold_wet"})
WATER_OFF = frozenset({"drip_dry", "moving_air", "warm_air", "blot", "vented_bag", "wipe"})
"""Actions that take water out of an object; none is a step while it must stay wet."""


def _local_air(
    number: int, rule: m.StepRule, parts: Sequence[tuple[str, PartEval]], local_air: Sequence[tuple[str, str]]
) -> list[Step]:
    """Cool air on the metal parts a conflict names, for minutes, everything else masked."""
    on = sorted({name for name, _ in local_air})
    if not on:
        return []
    mask = tuple(name for name, _ in parts if name not in on)
    rules = (rule.id, *sorted({rule_id for _, rule_id in local_air}))
    return [
        Step(
            number, rule.step, None, "local_air", tuple(on), rule.text, rule.role, rule.people, rule.minutes,
            rule.station, rules, None, None, mask, rule.after or "contained",
        )
    ]  # fmt: skip


SLOTS: tuple[str, ...] = ("place", "posture", "cover", "water", "watch")


def holding(
    parts: Sequence[tuple[str, PartEval]],
    passes: dict[str, bool],
    actions: Mapping[str, ActionVerdict],
    local: Mapping[str, Mapping[str, ActionVerdict]],
    *,
    stopped: bool,
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """One sentence per slot, the lowest rank first; under a stop only where it lies."""
    best: dict[str, m.HoldRule] = {}
    for _, part in parts:
        for rule, _ in part.others.values():
            if not isinstance(rule, m.HoldRule) or not passes[rule.id]:
                continue
            have = best.get(rule.slot)
            if have is None or (rule.rank, rule.id) < (have.rank, have.id):
                best[rule.slot] = rule
    chosen = [best[slot] for slot in SLOTS if slot in best and not (stopped and slot not in {"place"})]
    return tuple(rule.do for rule in chosen), tuple(rule.id for rule in chosen)
