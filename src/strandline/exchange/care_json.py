"""``strandline.care/1``: plans as JSON, written object by object so that a long list never piles up.

What does not depend on the object's own words or hours is serialised once per kind of plan.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any, Generic, TextIO, TypeVar

from strandline.knowledge.base import Knowledge
from strandline.things.facts import Facts, Join, Part, Word
from strandline.things.listing import ListHead, Problem
from strandline.things.plan import (
    ActionVerdict,
    Because,
    Clock,
    Conflict,
    Disagreement,
    Hazard,
    PartCare,
    Plan,
    Step,
)

SCHEMA = "strandline.care/1"
SCALARS: tuple[str, ...] = (
    "hours_wet",
    "under_water_h",
    "length_mm",
    "width_mm",
    "height_mm",
    "diameter_mm",
    "thickness_mm",
    "mass_g",
    "dry_mass_g",
    "significance",
    "pieces",
)
K = TypeVar("K")
V = TypeVar("V")
BY_MARK = '"by":null'


def stamp(moment: datetime | None) -> str | None:
    """A moment as ISO 8601 in UTC, to the second."""
    return None if moment is None else moment.isoformat(timespec="seconds")


def number(value: Any) -> Any:
    """Whole floats as integers, so that 50.0 and 50 do not differ on paper."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


def interval(pair: tuple[float, float]) -> list[Any]:
    """[low, high]."""
    return [number(pair[0]), number(pair[1])]


def because_dict(because: Because) -> dict[str, Any]:
    """One reason."""
    found: dict[str, Any] = {
        "rule": because.rule,
        "why": because.why,
        "source": [{"key": key, "at": at} for key, at in because.source],
        "confidence": because.confidence,
        "facts": list(because.facts),
        "parts": list(because.parts),
    }
    if because.verdict:
        found["verdict"] = because.verdict
    if because.override:
        found["override"] = because.override
    return found


def reasons(because: Iterable[Because]) -> list[dict[str, Any]]:
    """Several reasons."""
    return [because_dict(one) for one in because]


def action_dict(action: ActionVerdict) -> dict[str, Any]:
    """One action's verdict."""
    found = {**_verdict(action), "because": reasons(action.because)}
    if action.also:
        found["also"] = list(action.also)
    return found


def _verdict(action: ActionVerdict) -> dict[str, Any]:
    """A verdict without what it rests on."""
    provisional = action.provisional
    return {
        "verdict": action.verdict,
        "provisional": None
        if provisional is None
        else {"ask": provisional.ask, "answer": provisional.answer, "then": provisional.then},
        "how": action.how,
    }


def hazard_dict(hazard: Hazard) -> dict[str, Any]:
    """One hazard."""
    found: dict[str, Any] = {
        "key": hazard.key,
        "grade": hazard.grade,
        "scope": hazard.scope,
        "say": hazard.say,
        "because": reasons(hazard.because),
    }
    for name in ("keep_m", "call", "licensed_only"):
        value = getattr(hazard, name)
        if value:
            found[name] = number(value)
    if hazard.released:
        found["released"] = True
    return found


def conflict_dict(conflict: Conflict) -> dict[str, Any]:
    """One conflict."""
    limit = conflict.about.startswith("limit:")

    def shown(value: Any) -> Any:
        return interval(value) if limit and value is not None else value

    return {
        "id": conflict.id,
        "about": conflict.about,
        "parts": list(conflict.parts),
        "wants": {key: shown(conflict.wants[key]) for key in sorted(conflict.wants)},
        "state": conflict.state,
        "winner": conflict.winner,
        "result": shown(conflict.result),
        "how": conflict.how,
        "because": reasons(conflict.because),
    }


def disagreement_dict(found: Disagreement) -> dict[str, Any]:
    """One disagreement of the sources."""
    return {
        "id": found.id,
        "about": found.about,
        "parts": list(found.parts),
        "views": [
            {
                "say": view.say,
                "source": [{"key": key, "at": at} for key, at in view.source],
                "confidence": view.confidence,
            }
            for view in found.views
        ],
        "taken": found.taken,
        "why": found.why,
        "then": found.then,
    }


def step_dict(step: Step) -> dict[str, Any]:
    """One step; ``by`` is filled in per object."""
    found: dict[str, Any] = {
        "n": step.n,
        "key": step.key,
        "action": step.action,
        "kind": step.kind,
        "parts": list(step.parts),
        "text": step.text,
        "role": step.role,
        "people": step.people,
        "minutes": number(step.minutes),
        "station": step.station,
        "by": None,
        "rules": list(step.rules),
    }
    if step.verdict:
        found["verdict"] = step.verdict
    if step.verdict_of:
        found["verdict_of"] = step.verdict_of
    if step.mask:
        found["mask"] = list(step.mask)
    if step.after:
        found["after"] = step.after
    return found


def clock_dict(clock: Clock) -> dict[str, Any]:
    """One clock, but for its reasons."""
    return {
        "key": clock.key,
        "origin": clock.origin,
        "at_h": number(clock.at_h),
        "aim_h": number(clock.aim_h),
        "shape": clock.shape,
        "part": clock.part,
        "left_h": number(clock.left_h),
        "state": clock.state,
    }


def part_dict(part: Part, care: PartCare) -> dict[str, Any]:
    """One part with what it asks for by itself."""
    found: dict[str, Any] = {
        "id": part.id,
        "name": part.name,
        "material": part.material,
        "family": part.family,
        "species": part.species,
        "span": part.span,
        "column": part.column,
        "known_by": part.known_by,
        "thickness_mm": number(part.thickness_mm),
        "thickness_by": part.thickness_by,
        "exposed": part.exposed,
        "surface": part.surface,
        "features": list(part.features),
        "layers": list(care.layers),
        "limits": {key: interval(pair) for key, pair in care.limits.items()},
        "start_by_h": number(care.start_by_h),
        "start_by_origin": care.start_by_origin,
    }
    if part.could_be:
        found["could_be"] = list(part.could_be)
    if care.local:
        found["local"] = {key: action_dict(local) for key, local in care.local.items()}
    return found


def join_dict(join: Join) -> dict[str, Any]:
    """One join."""
    return {"id": join.id, "kind": join.kind, "parts": list(join.parts), "known_by": join.known_by}


def word_dict(word: Word) -> dict[str, Any]:
    """One word of the list that is no part of a part, feature or join."""
    found = {"word": word.word, "column": word.column}
    return {**found, "class": word.kind} if word.kind else found


def facts_dict(facts: Facts) -> dict[str, Any]:
    """The scalar facts with how each is known."""
    found: dict[str, Any] = {
        "wet_since": stamp(facts.wet_since),
        "out_since": stamp(facts.out_since),
        "water": list(facts.water),
        "wet_state": facts.wet_state,
        "done_already": list(facts.done_already),
        "features": list(facts.features),
    }
    for name in SCALARS:
        found[name] = number(getattr(facts, name))
    found["site"] = {"air_c": number(facts.air_c)}
    found["known_by"] = dict(sorted(facts.known_by.items()))
    if facts.released:
        found["released"] = list(facts.released)
    return found


class PlanWriter:
    """Turns (facts, plan) into one line of JSON.  Remembers the texts of what equal plans share:
    ``keep`` kinds of plans, and eight times as many verdicts and reasons."""

    def __init__(self, keep: int = 1024) -> None:
        self.kinds: Made[str] = Made(4 * keep)
        self.pieces: Made[str] = Made(8 * keep)
        self.marks: Made[frozenset[str]] = Made(keep)

    def object_dict(self, facts: Facts, plan: Plan) -> dict[str, Any]:
        """The object as a dict (parsed from the line, so both are one)."""
        found: dict[str, Any] = json.loads(self.object_line(facts, plan))
        return found

    def object_line(self, facts: Facts, plan: Plan) -> str:
        """The object as one line of JSON."""
        first = plan.start_by
        by = {"at_h": number(first.at_h), "origin": first.origin} if first else None
        steps = self.kinds.of(plan.steps, _steps).replace(BY_MARK, f'"by":{dumps(by)}')
        body = self.kinds.of(plan.actions, lambda _: self._body(plan))
        questions = self.kinds.of(plan.assumed, _assumed)
        left = ((clock.key, clock.origin, clock.left_h) for clock in plan.clocks)
        hours = (plan.holding.good_until, *left)
        times = self.kinds.of(plan.actions, lambda _: self._times(plan), hours)
        members = (_head(facts, plan), body, times, steps, questions, self._tail(facts, plan))
        return "{" + ",".join(members) + "}"

    def _body(self, plan: Plan) -> str:
        """What depends neither on the object's own words nor on the hour."""
        actions = (f"{dumps(key)}:{self.pieces.of(one, self._action)}" for key, one in plan.actions.items())
        because = (f"{dumps(key)}:{self._reasons(found)}" for key, found in plan.limits_because.items())
        before = {"hazards": [hazard_dict(hazard) for hazard in plan.hazards]}
        between = {
            "route": plan.route,
            "route_because": reasons(plan.route_because),
            "zone": plan.zone,
            "cover": None if plan.cover is None else {"kind": plan.cover[0], "why": plan.cover[1]},
            "limits": {key: interval(pair) for key, pair in plan.limits.items()},
        }
        after = {
            "conflicts": [conflict_dict(conflict) for conflict in plan.conflicts],
            "disagreements": [disagreement_dict(one) for one in plan.disagreements],
        }
        return ",".join(
            (
                members_of(before),
                f'"actions":{{{",".join(actions)}}}',
                members_of(between),
                f'"limits_because":{{{",".join(because)}}}',
                members_of(after),
            )
        )

    def _times(self, plan: Plan) -> str:
        """What depends on the hour: the same for a kind of plan with the same hours left."""
        first, holding = plan.start_by, plan.holding
        start = {
            "start_by_h": number(first.at_h) if first else None,
            "start_by_origin": first.origin if first else None,
            "start_by_part": first.part if first else None,
        }
        left = {
            "holding": {
                "do": list(holding.do),
                "good_until_h": number(holding.good_until_h),
                "good_until": stamp(holding.good_until),
                "lost_after": holding.lost_after,
                "rules": list(holding.rules),
            },
            "hours_left": number(plan.hours_left),
        }
        clocks = (
            f'{{{members_of(clock_dict(clock))},"because":{self._reasons(clock.because)}}}'
            for clock in plan.clocks
        )
        return f'{members_of(start)},"clocks":[{",".join(clocks)}],{members_of(left)}'

    def _action(self, action: ActionVerdict) -> str:
        also = f',"also":{dumps(list(action.also))}' if action.also else ""
        return f'{{{members_of(_verdict(action))},"because":{self._reasons(action.because)}{also}}}'

    def _reasons(self, found: Iterable[Because]) -> str:
        return "[" + ",".join([self.pieces.of(one, _because) for one in found]) + "]"

    def _tail(self, facts: Facts, plan: Plan) -> str:
        marks = self.marks.of(plan.actions, lambda _: frozenset(_marks(plan)))
        return members_of(
            {
                "overrides": sorted(marks.union(_marks_of(plan.clocks))),
                "read": [{"word": one.word, "column": one.column, "as": one.kind} for one in facts.read],
                "harmless": [word_dict(word) for word in facts.harmless],
                "unread": [word_dict(word) for word in facts.unread],
                "kept": dict(facts.kept),
                "plan_no": 1,
            }
        )


class Made(Generic[V]):
    """What is made of objects, each made once while that very object is in use."""

    def __init__(self, keep: int) -> None:
        self.keep = keep
        self.memory: dict[tuple[int, Hashable], tuple[object, V]] = {}

    def of(self, key: K, make: Callable[[K], V], more: Hashable = None) -> V:
        """What is made of ``key`` and ``more``.  The key is kept beside it, so that its id stays its own."""
        have = self.memory.get((id(key), more))
        if have is not None and have[0] is key:
            return have[1]
        if len(self.memory) >= self.keep:
            self.memory.clear()
        made = make(key)
        self.memory[id(key), more] = (key, made)
        return made


def _head(facts: Facts, plan: Plan) -> str:
    """The object's own words."""
    return members_of(
        {
            "tag": facts.tag,
            "row": facts.row,
            "owner_number": facts.owner_number,
            "title": facts.title,
            "materials": facts.materials,
            "class": facts.klass,
            "owner": facts.owner,
            "place": facts.place,
            "facts": facts_dict(facts),
            "parts": [part_dict(part, plan.parts[part.id]) for part in facts.parts],
            "joins": [join_dict(join) for join in facts.joins],
        }
    )


def _marks(plan: Plan) -> Iterator[str]:
    for action in plan.actions.values():
        yield from _overridden(action.because)
    for because in plan.limits_because.values():
        yield from _overridden(because)


def _marks_of(clocks: Iterable[Clock]) -> Iterator[str]:
    for clock in clocks:
        yield from _overridden(clock.because)


def _overridden(because: Iterable[Because]) -> Iterator[str]:
    return (f"{one.rule}: {one.override}" for one in because if one.override)


def _because(because: Because) -> str:
    return dumps(because_dict(because))


def _steps(steps: tuple[Step, ...]) -> str:
    return members_of({"steps": [step_dict(step) for step in steps]})


def _assumed(questions: Any) -> str:
    rows = [
        {
            "fact": one.fact,
            "value": one.value,
            "ask": one.ask,
            "answers": list(one.answers),
            "changes": one.changes,
        }
        for one in questions
    ]
    return members_of({"assumed": rows})


ENCODER = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def dumps(value: Any) -> str:
    """Compact JSON; NaN is an error, never written."""
    return ENCODER.encode(value)


def members_of(value: Mapping[str, Any]) -> str:
    """The members of a JSON object without its braces, to be put together with others."""
    return ENCODER.encode(value)[1:-1]


def made_by(knowledge: Knowledge, program_version: str) -> dict[str, Any]:
    """Who made this: versions and hashes."""
    return {
        "strandline": program_version,
        "knowledge": knowledge.version,
        "knowledge_sha256": knowledge.sha256,
        "overrides_sha256": knowledge.overrides_sha256,
        "reviewed": knowledge.reviewed,
        "reviewed_by": None,
    }


def problem_dict(problem: Problem) -> dict[str, Any]:
    """One problem of the list; ``note`` stands only on what is no fault of the list."""
    found: dict[str, Any] = {
        "row": problem.row,
        "column": problem.column,
        "value": problem.value,
        "reason": problem.reason,
        "kept": problem.kept,
    }
    return {**found, "note": True} if problem.note else found


class Document:
    """Writes a whole ``strandline.care/1`` document to a stream, objects as they come."""

    def __init__(self, out: TextIO, made: Mapping[str, Any], as_of: datetime) -> None:
        self.out = out
        self.count = 0
        head = {"schema": SCHEMA, "made_by": made, "as_of": stamp(as_of), "absent_action": "refer"}
        out.write(dumps(head)[:-1] + ',\n"objects":[')

    def add(self, line: str) -> None:
        """Add one object."""
        self.out.write(",\n" if self.count else "\n")
        self.out.write(line)
        self.count += 1

    def close(
        self, head: ListHead, rows: int, problems: Iterable[Problem], rejected: Iterable[Problem]
    ) -> None:
        """Finish: what was rejected, what could not be read, and the list's own head with its counts."""
        refused = [problem_dict(one) for one in rejected]
        tail = {
            "rejected": refused,
            "problems": [problem_dict(one) for one in problems],
            "list": {
                "name": head.name,
                "sha256": head.sha256,
                "rows": rows,
                "objects": self.count,
                "rejected": len(refused),
                "columns": dict(head.columns),
                "kept_columns": list(head.kept_columns),
            },
        }
        self.out.write("\n]," + dumps(tail)[1:-1] + "}\n")
