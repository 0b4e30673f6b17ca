"""The plan of a signature: everything but what the hour adds.  Pure and repeatable."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from strandline.care.actions import locals_of, whole
from strandline.care.book import Book, because_of
from strandline.care.clashes import action_conflicts
from strandline.care.parts import PartEval, PartEvaluator, asks_met, reason_because, with_others
from strandline.care.resolve import Resolved, Resolver, part_limits
from strandline.care.route import Routed, route, undecided_wet
from strandline.care.signature import Signature
from strandline.care.steps import WATER_OFF, Course, holding, steps
from strandline.knowledge import models as m
from strandline.things.plan import (
    ActionVerdict,
    Because,
    Clock,
    Conflict,
    Disagreement,
    Hazard,
    PartCare,
    Step,
    View,
)

Parts = Sequence[tuple[str, PartEval]]
AS_IT_IS = "No bath, and not dried on purpose either: as it is, until the lead has answered."
AFTER_RELEASE = "Its stop was lifted; what that part needs still goes before what the others want."
GRADES = ("stop", "guard", "note")


@dataclass(frozen=True, slots=True)
class Core:
    """A plan without times.  ``parts`` by id in the signature's order."""

    evals: tuple[tuple[str, PartEval], ...]
    parts: dict[str, PartCare]
    actions: dict[str, ActionVerdict]
    hazards: tuple[Hazard, ...]
    resolved: Resolved
    routed: Routed
    clashes: tuple[Conflict, ...]
    clocks: tuple[Clock, ...]
    steps: tuple[Step, ...]
    hold: tuple[str, ...]
    hold_rules: tuple[str, ...]
    disagreements: tuple[Disagreement, ...]

    @property
    def stopped(self) -> bool:
        """Whether a stop holds the object."""
        return any(hazard.grade == "stop" for hazard in self.hazards)


def _parts(sig: Signature, evaluate: PartEvaluator) -> tuple[tuple[str, PartEval], ...]:
    alone = [(name, evaluate(part, sig.around)) for name, part in sig.parts]
    return tuple(
        (name, with_others(part, [other for other_name, other in alone if other_name != name]))
        for name, part in alone
    )


def core(sig: Signature, evaluate: PartEvaluator, resolver: Resolver, book: Book) -> Core:
    """Evaluate a signature."""
    parts = _parts(sig, evaluate)
    passes = _object_passes(parts)
    hazards = _released(_hazards(parts, passes, book), sig.around.released)
    stop = tuple(because for hazard in hazards if hazard.grade == "stop" for because in hazard.because)
    resolved = resolver(parts, sig.around.waters)
    actions = whole(parts, book, stop)
    barred = "hold_wet" in actions and actions["hold_wet"].verdict == "no"
    able = any(actions[key].verdict != "no" for key in WATER_OFF if key in actions)
    routed = route(parts, resolved, stop, book, wet_hold_barred=barred, drying_barred=not able)
    if barred and not stop and undecided_wet(parts, routed.route):
        actions["hold_wet"] = replace(actions["hold_wet"], how=AS_IT_IS, also=())
    local = {name: locals_of(name, part, parts, sig.joins, actions, book, bool(stop)) for name, part in parts}
    undecided = any(one.state == "open" for one in (*resolved.conflicts, *routed.conflicts))
    # What is said while a stop holds (keep away, call) is no longer true once it is lifted.
    lifted = not stop and any(hazard.released for hazard in hazards)
    telling = passes if not lifted else _without_stop(parts, passes, book)
    made = steps(
        parts,
        actions,
        local,
        resolved.local_air,
        Course(
            routed.route,
            stopped=bool(stop),
            open=undecided or routed.route == "wait_for_conservator",
            damp_only=sig.around.wet_state == "damp_air_only",
            fixed=lifted and "lift" in actions and actions["lift"].verdict == "no",
        ),
        telling,
    )
    if lifted:
        resolved = replace(resolved, conflicts=_after_release(resolved.conflicts, book))
        routed = replace(routed, conflicts=_after_release(routed.conflicts, book))
    told = frozenset(one.id for one in (*resolved.conflicts, *routed.conflicts))
    clashes = action_conflicts(parts, actions, sig.around.waters, told, book)
    hold, hold_rules = holding(parts, telling, actions, local, stopped=bool(stop))
    return Core(
        evals=parts,
        parts={name: _part_care(part, local[name]) for name, part in parts},
        actions=actions,
        hazards=hazards,
        resolved=resolved,
        routed=routed,
        clashes=_after_release(clashes, book) if lifted else clashes,
        clocks=_clocks(parts, book),
        steps=made,
        hold=hold,
        hold_rules=hold_rules,
        disagreements=_disagreements(parts, passes),
    )


def _object_passes(parts: Parts) -> dict[str, bool]:
    """Whether each woken rule's question about the *other* parts holds too."""
    found: dict[str, bool] = {}
    for name, part in parts:
        for rule, _ in part.others.values():
            others = [other for other_name, other in parts if other_name != name]
            found[rule.id] = found.get(rule.id, False) or asks_met(rule.when, others)
    return found


def _without_stop(parts: Parts, passes: dict[str, bool], book: Book) -> dict[str, bool]:
    """``passes`` without the steps and holding sentences that are for things under a stop alone."""
    gone = {
        rule.id
        for _, part in parts
        for rule, _ in part.others.values()
        if isinstance(rule, m.StepRule | m.HoldRule) and book.speaks_of_stop(rule.when)
    }
    return {rule_id: held and rule_id not in gone for rule_id, held in passes.items()}


def _after_release(conflicts: tuple[Conflict, ...], book: Book) -> tuple[Conflict, ...]:
    """Conflicts of what stopped the work with the rest say that the stop holds: it does no more.

    Between two parts that both stopped it the rule says what comes after the release, and stays.
    """
    return tuple(
        replace(one, how=AFTER_RELEASE) if _stop_against_rest(book.conflict_rules[one.rule], book) else one
        for one in conflicts
    )


def _stop_against_rest(rule: m.ConflictRule, book: Book) -> bool:
    return book.speaks_of_stop(rule.a) != book.speaks_of_stop(rule.b)


def _hazards(parts: Parts, passes: dict[str, bool], book: Book) -> tuple[Hazard, ...]:
    """Hazards by key, the gravest rule first; every rule that names it stays listed."""
    named: dict[str, list[tuple[m.HazardRule, tuple[str, ...], list[str]]]] = {}
    for name, part in parts:
        for rule, facts in part.others.values():
            if not isinstance(rule, m.HazardRule) or not passes[rule.id]:
                continue
            rows = named.setdefault(rule.hazard, [])
            have = next((row for row in rows if row[0].id == rule.id), None)
            if have:
                have[2].append(name)
            else:
                rows.append((rule, facts, [name]))
    found = []
    for key, rows in named.items():
        rows.sort(key=lambda row: (GRADES.index(row[0].grade), row[0].id))
        worst = rows[0][0]
        because = tuple(
            because_of(rule, facts, () if rule.scope == "site" else tuple(names), book)
            for rule, facts, names in rows
        )
        found.append(
            Hazard(
                key,
                worst.grade,
                worst.scope,
                worst.say,
                because,
                worst.keep_m,
                worst.call,
                worst.licensed_only,
            )
        )
    return tuple(sorted(found, key=_gravest))


def _gravest(hazard: Hazard) -> tuple[int, str, str]:
    return GRADES.index(hazard.grade), hazard.scope, hazard.key


def _released(hazards: tuple[Hazard, ...], released: tuple[str, ...]) -> tuple[Hazard, ...]:
    """The hazards with every stop that was released made a guard: its words stay, its distance does not."""
    if not released:
        return hazards
    found = (
        replace(hazard, grade="guard", keep_m=None, released=True)
        if hazard.grade == "stop" and hazard.key in released
        else hazard
        for hazard in hazards
    )
    return tuple(sorted(found, key=_gravest))


def _clocks(parts: Parts, book: Book) -> tuple[Clock, ...]:
    """The earliest clock of each kind and origin over all parts."""
    found: dict[tuple[str, str], Clock] = {}
    for name, part in parts:
        for clock in part.clocks.values():
            made = Clock(
                clock.key,
                clock.origin,
                round(clock.at_h, 2),
                round(clock.aim_h, 2) if clock.aim_h is not None else None,
                clock.shape,
                name,
                tuple(reason_because(reason, (name,), book) for reason in clock.reasons),
                clock.lost_after,
            )
            have = found.get((clock.key, clock.origin))
            if have is None or (made.at_h, made.part) < (have.at_h, have.part):
                found[clock.key, clock.origin] = made
    return tuple(sorted(found.values(), key=lambda clock: (clock.at_h, clock.key, clock.origin)))


def _part_care(part: PartEval, local: dict[str, ActionVerdict]) -> PartCare:
    first = min(part.clocks.values(), key=lambda clock: (clock.at_h, clock.key), default=None)
    return PartCare(
        part_limits(part),
        round(first.at_h, 2) if first else None,
        first.origin if first else None,
        local,
        part.layers,
    )


def _disagreements(parts: Parts, passes: dict[str, bool]) -> tuple[Disagreement, ...]:
    found: dict[str, tuple[m.Disagreement, list[str]]] = {}
    for name, part in parts:
        for rule, _ in part.others.values():
            if isinstance(rule, m.Disagreement) and passes[rule.id]:
                found.setdefault(rule.id, (rule, []))[1].append(name)
    return tuple(
        Disagreement(
            rule.id,
            rule.about,
            tuple(names),
            tuple(
                View(view.say, tuple((cite.key, cite.at) for cite in view.source), view.confidence)
                for view in rule.views
            ),
            rule.taken,
            rule.why,
            rule.then,
        )
        for rule, names in (found[key] for key in sorted(found))
    )


def named_harms(made: Core) -> frozenset[str]:
    """Every rule that names a harm: non-yes verdicts and hazards.  Grows as facts are added."""
    verdicts: set[str] = set()
    for action in made.actions.values():
        verdicts |= {_harm(because) for because in action.because if because.verdict != "yes"}
    return frozenset(verdicts | {because.rule for hazard in made.hazards for because in hazard.because})


def _harm(because: Because) -> str:
    return because.rule
