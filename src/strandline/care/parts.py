"""One part, evaluated by itself: every rule it wakes, its verdicts, limits, clocks and duties.

A part whose material is not known is evaluated as everything it may be, and the strictest verdict
and the earliest clock over all of them hold.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import cast

from strandline.care.book import Book, made_because
from strandline.care.brought import Brought, PartWant, Reason, Want, brought
from strandline.care.brought import PartClock as PartClock
from strandline.care.index import Filed, Slots, around_slots, part_slots
from strandline.care.match import Around, Candidate, candidate
from strandline.knowledge import models as m
from strandline.things.plan import Because, Conflict

RANK = m.VERDICT_RANK
NAMES = tuple(RANK)


@dataclass(frozen=True, slots=True)
class PartSig:
    """What decides a part's care, and nothing else (no id, no text)."""

    material: str
    family: str
    could_be: tuple[str, ...]
    features: tuple[str, ...]
    joins: tuple[str, ...]
    silent: bool


@dataclass(frozen=True, slots=True, eq=False)
class Hit:
    """A verdict rule that holds: its rank, the facts, and whether a need has set it aside.

    ``priority`` and ``is_default`` are those of :class:`strandline.care.index.Filed`.
    """

    rule: m.VerdictRule
    rank: int
    facts: tuple[str, ...]
    confidence: str
    priority: int
    is_default: bool
    set_aside: bool = False


Asked = tuple[tuple[PartWant, ...], tuple[Conflict, ...]]
"""The wants of a part that stand, by rule, and the conflict in which its others lost to them."""


@dataclass(slots=True, eq=False)
class PartEval:
    """Everything known about a part by itself.  ``members`` are the materials it was taken as.

    Lists are shared between evaluations, so they are replaced and never grown.
    Two are equal only if they are the same object: what is made of them is remembered by that.
    ``asked`` remembers, by part and limit, how :mod:`strandline.care.resolve` settled its own wants.
    """

    members: tuple[str, ...]
    layers: tuple[str, ...] = ()
    organic: bool = False
    surface: str = "none"
    families: frozenset[str] = frozenset()
    features: frozenset[str] = frozenset()
    hits: dict[str, list[Hit]] = field(default_factory=dict)
    ranks: dict[str, int] = field(default_factory=dict)
    wants: list[Want] = field(default_factory=list)
    clocks: dict[tuple[str, str], PartClock] = field(default_factory=dict)
    duties: dict[str, list[Reason]] = field(default_factory=dict)
    covers: dict[str, tuple[str, str]] = field(default_factory=dict)
    others: dict[str, tuple[m.Reasoned | m.Disagreement, tuple[str, ...]]] = field(default_factory=dict)
    pending: dict[str, Hit] = field(default_factory=dict)
    stops: list[tuple[m.HazardRule, tuple[str, ...]]] = field(default_factory=list)
    asked: dict[tuple[str, str], Asked] = field(default_factory=dict)

    def fork(self) -> PartEval:
        """A copy to add to, without its clocks."""
        return replace(
            self,
            hits=dict(self.hits),
            ranks=dict(self.ranks),
            clocks={},
            duties=dict(self.duties),
            covers=dict(self.covers),
            others=dict(self.others),
            pending=dict(self.pending),
            asked={},
        )


def members_of(sig: PartSig, book: Book) -> tuple[str, ...]:
    """Materials the part may be: itself, the look-alikes named, or the plausible set of its family."""
    if sig.material in book.knowledge.materials:
        return (sig.material, *(key for key in sig.could_be if key != sig.material))
    return sig.could_be or book.plausible.get(sig.family) or book.plausible["unknown"]


@dataclass(frozen=True, slots=True, eq=False)
class Own:
    """A part taken as one material, and the rules whose questions about it hold."""

    part: Candidate
    held: int


@dataclass(slots=True)
class Draft:
    """A part being evaluated: clocks wait until every factor that shortens them is known."""

    part: Candidate
    found: PartEval
    clocks: list[PartClock] = field(default_factory=list)
    factors: list[tuple[m.ClockFactor, tuple[str, ...]]] = field(default_factory=list)


class PartEvaluator:
    """Evaluates parts; equal parts in equal surroundings are evaluated once."""

    def __init__(self, book: Book, size: int) -> None:
        self.book = book
        self.cached = lru_cache(maxsize=size)(self._evaluate)
        self.owns = lru_cache(maxsize=size)(self._owns)
        self.around = lru_cache(maxsize=size)(book.index.by_around)
        self._own = lru_cache(maxsize=size)(self._taken_as)
        self._brought = lru_cache(maxsize=size)(lambda layers: brought(layers, book))
        self._draft = lru_cache(maxsize=size)(self._by_itself)
        self._member = lru_cache(maxsize=size)(self._in_surroundings)
        self._merged = lru_cache(maxsize=size)(lambda members, evals: _envelope(members, list(evals)))

    def __call__(self, sig: PartSig, around: Around) -> PartEval:
        return self.cached(sig, around)

    def _evaluate(self, sig: PartSig, around: Around) -> PartEval:
        met = self.around(around)
        evals = tuple(
            self._member(own, own.held & met, around.waters, around.wet_state, around.done)
            for own in self.owns(sig, around.features)
        )
        return evals[0] if len(evals) == 1 else self._merged(members_of(sig, self.book), evals)

    def _owns(self, sig: PartSig, object_features: frozenset[str]) -> tuple[Own, ...]:
        """The part taken as each material it may be."""
        features, joins = object_features.union(sig.features), frozenset(sig.joins)
        return tuple(self._own(key, features, joins, sig.silent) for key in members_of(sig, self.book))

    def _taken_as(self, material: str, features: frozenset[str], joins: frozenset[str], silent: bool) -> Own:
        knowledge = self.book.knowledge
        part = candidate(knowledge.materials[material], features, joins, silent, knowledge)
        return Own(part, self.book.index.by_part(part))

    def begun(self, part: Candidate) -> Draft:
        """A part with what the entries of its materials say, before any rule."""
        entries: Brought = self._brought(part.layers)
        found = PartEval(
            (part.layers[0],),
            layers=part.layers,
            organic=entries.organic,
            surface=part.surface,
            families=frozenset({part.family}),
            features=part.features,
            wants=entries.wants,
            duties=dict(entries.duties),
            covers=dict(entries.covers),
        )
        return Draft(part, found, list(entries.clocks))

    def _by_itself(self, own: Own) -> Draft:
        """What a part brings whatever surrounds it."""
        index, slots = self.book.index, part_slots(own.part)
        draft = self.begun(own.part)
        for filed in index.each(own.held & ~index.asks_around):
            take_rule(filed, slots, draft, self.book)
        _rank(draft.found, own.part, draft.found.hits)
        return draft

    def _in_surroundings(
        self, own: Own, held: int, waters: tuple[str, ...], wet_state: str, done: tuple[str, ...]
    ) -> PartEval:
        """A part of one material in its surroundings: its own rules, then those the surroundings wake.

        Surroundings that wake the same rules by the same facts give the same part, worked out once.
        """
        index, by_itself = self.book.index, self._draft(own)
        slots = (*part_slots(own.part), *around_slots(waters, wet_state, done))
        draft = Draft(own.part, by_itself.found.fork(), list(by_itself.clocks), list(by_itself.factors))
        touched: set[str] = set()
        for filed in index.each(held & index.asks_around):
            take_rule(filed, slots, draft, self.book)
            if isinstance(filed.rule, m.VerdictRule):
                touched.add(filed.rule.action)
        _rank(draft.found, own.part, touched)
        keep_clocks(draft, self.book)
        return draft.found


def take_rule(filed: Filed, slots: Slots | None, draft: Draft, book: Book) -> None:
    """Add what one rule says to the part, resting on what the slots answer (None: on nothing told)."""
    rule, found, part = filed.rule, draft.found, draft.part
    if filed.unexplained is not None:
        found.others[rule.id] = filed.unexplained
        return
    facts = filed.facts(slots) if slots is not None else ()
    if isinstance(rule, m.VerdictRule):
        marks = [rule.cells[key] for key in part.layers if key in rule.cells] if rule.cells else []
        hit = book.once(_hit)(filed, facts, min(marks, key="vmc".index, default=rule.confidence))
        if filed.asks_others:
            found.pending[rule.id] = hit
        else:
            found.hits[rule.action] = [*found.hits.get(rule.action, ()), hit]
    elif isinstance(rule, m.LimitRule):
        found.wants = [*found.wants, _want(rule, facts, part, book)]
    elif isinstance(rule, m.ClockRule):
        draft.clocks.append(_clock_of_rule(rule, facts, book))
    elif isinstance(rule, m.ClockFactor):
        draft.factors.append((rule, facts))
    elif isinstance(rule, m.DutyRule):
        reason = _reason(rule, facts, book)
        found.duties[rule.duty] = [*found.duties.get(rule.duty, ()), reason]
    elif isinstance(rule, m.CoverRule):
        found.covers.setdefault(rule.cover, (rule.why, rule.id))
    elif isinstance(rule, m.HazardRule):
        found.others[rule.id] = (rule, facts)
        if rule.grade == "stop":
            found.stops = [*found.stops, (rule, facts)]


def _hit(filed: Filed, facts: tuple[str, ...], confidence: str, book: Book) -> Hit:
    rule = cast(m.VerdictRule, filed.rule)
    return Hit(rule, RANK[rule.verdict], facts, confidence, filed.priority, filed.is_default)


def _want(rule: m.LimitRule, facts: tuple[str, ...], part: Candidate, book: Book) -> Want:
    return Want(
        rule.limit,
        (float(rule.interval[0]), float(rule.interval[1])),
        part.layers[0],
        part.family,
        rule.id,
        rule.why,
        book.cites(rule),
        rule.confidence,
        facts,
        True,
    )


def _reason(rule: m.Reasoned, facts: tuple[str, ...], book: Book) -> Reason:
    return rule.id, rule.why, book.cites(rule), rule.confidence, facts


def _clock_of_rule(rule: m.ClockRule, facts: tuple[str, ...], book: Book) -> PartClock:
    reason = _reason(rule, facts, book)
    return PartClock(rule.clock, rule.origin, rule.at_h, rule.aim_h, rule.shape, rule.lost_after, (reason,))


def _rank(found: PartEval, part: Candidate, actions: Iterable[str]) -> None:
    """The strictest verdict per action, after defaults gave way to what is said of the body itself.

    A need (``turns_on``) sets aside the harm of the very layers
    it speaks of; what it sets aside stays listed."""
    for action in list(actions):
        hits = found.hits.get(action, [])
        if any(part.layers[0] in hit.rule.when.materials for hit in hits):
            hits = found.hits[action] = [hit for hit in hits if not hit.is_default]
        needs = [hit for hit in hits if hit.rule.turns_on]
        if needs:
            met = {key for hit in needs for key in hit.rule.when.materials if key in part.layers}
            hits = [
                replace(hit, set_aside=True)
                if not hit.rule.turns_on and _layers(hit, part) and _layers(hit, part) <= met
                else hit
                for hit in hits
            ]
            found.hits[action] = hits
        if hits:
            found.ranks[action] = max(hit.rank for hit in hits if not hit.set_aside)


def _layers(hit: Hit, part: Candidate) -> set[str]:
    return {key for key in hit.rule.when.materials if key in part.layers} if hit.priority == 1 else set()


def keep_clocks(draft: Draft, book: Book) -> None:
    """Shorten each clock by every factor that names it; keep the earliest per key and origin."""
    for clock in draft.clocks:
        at_h, aim_h, reasons = clock.at_h, clock.aim_h, list(clock.reasons)
        for rule, facts in draft.factors:
            if clock.key in rule.clocks:
                at_h *= rule.factor
                aim_h = aim_h * rule.factor if aim_h is not None else None
                reasons.append(_reason(rule, facts, book))
        made = PartClock(clock.key, clock.origin, at_h, aim_h, clock.shape, clock.lost_after, tuple(reasons))
        _keep_earliest(made, draft.found.clocks)


def _keep_earliest(clock: PartClock, held: dict[tuple[str, str], PartClock]) -> None:
    have = held.get((clock.key, clock.origin))
    if have is None or (clock.at_h, clock.reasons[0][0]) < (have.at_h, have.reasons[0][0]):
        held[clock.key, clock.origin] = clock


def _envelope(members: tuple[str, ...], evals: list[PartEval]) -> PartEval:
    """The strictest of everything the part may be."""
    merged = PartEval(
        members,
        layers=tuple(sorted({layer for each in evals for layer in each.layers})),
        organic=any(each.organic for each in evals),
        surface=min((each.surface for each in evals), key=("no", "look", "none").index),
        families=frozenset().union(*(each.families for each in evals)),
        features=evals[0].features,
    )
    known_wants: set[str] = set()
    hits: dict[str, dict[str, Hit]] = {}
    for each in evals:
        _merge_hits(each, hits)
        for action, rank in each.ranks.items():
            merged.ranks[action] = max(rank, merged.ranks.get(action, 0))
        merged.wants += [want for want in each.wants if want.rule not in known_wants]
        known_wants.update(want.rule for want in each.wants)
        for clock in each.clocks.values():
            _keep_earliest(clock, merged.clocks)
        for duty, reasons in each.duties.items():
            held = merged.duties.setdefault(duty, [])
            known = {have[0] for have in held}
            held += [reason for reason in reasons if reason[0] not in known]
        for cover, why in each.covers.items():
            merged.covers.setdefault(cover, why)
        merged.others.update(each.others)
        merged.pending.update(each.pending)
        merged.stops += each.stops
    merged.hits = {action: list(by_rule.values()) for action, by_rule in hits.items()}
    return merged


def _merge_hits(each: PartEval, into: dict[str, dict[str, Hit]]) -> None:
    """A harm set aside for one member still stands if another member suffers it."""
    for action, hits in each.hits.items():
        held = into.setdefault(action, {})
        for hit in hits:
            have = held.get(hit.rule.id)
            if have is None or (have.set_aside and not hit.set_aside):
                held[hit.rule.id] = hit


def with_others(part: PartEval, others: Sequence[PartEval]) -> PartEval:
    """The part once the object's other parts are known: rules that ask about them join in."""
    met = [hit for hit in part.pending.values() if asks_met(hit.rule.when, others)]
    if not met:
        return part
    hits = {action: list(held) for action, held in part.hits.items()}
    ranks = dict(part.ranks)
    for hit in met:
        hits.setdefault(hit.rule.action, []).append(hit)
        ranks[hit.rule.action] = max(hit.rank, ranks.get(hit.rule.action, 0))
    return replace(part, hits=hits, ranks=ranks)


def asks_met(when: m.When, others: Sequence[PartEval]) -> bool:
    """Whether what a condition asks of the object's other parts is there."""
    families = not when.with_families or any(other.families & set(when.with_families) for other in others)
    materials = not when.with_materials or any(
        set(other.layers) & set(when.with_materials) for other in others
    )
    return families and materials


def reason_because(reason: Reason, parts: tuple[str, ...], book: Book) -> Because:
    """A stored reason as a Because."""
    rule, why, source, confidence, facts = reason
    return made_because(rule, why, source, confidence, facts, parts, "", book)
