"""One part, evaluated by itself: every rule it wakes, its verdicts, limits, clocks and duties.

A part whose material is not known is evaluated as everything it may be, and the strictest verdict
and the earliest clock over all of them hold.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from strandline.care.book import Book, Rule, because_of, cites
from strandline.care.match import Around, Candidate, Woken, candidate, woken
from strandline.knowledge import models as m
from strandline.things.plan import Because, Interval

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


@dataclass(frozen=True, slots=True)
class Hit:
    """A verdict rule that holds: its rank, the facts, and whether a need has set it aside."""

    rule: m.VerdictRule
    rank: int
    facts: tuple[str, ...]
    confidence: str
    set_aside: bool = False

    @property
    def priority(self) -> int:
        """What is said first among equals: a seen feature before a material before a default."""
        when = self.rule.when
        if when.features or when.all_features or when.waters or when.wet_states or when.done or when.joins:
            return 0
        if when.materials or when.surface_unseen:
            return 1
        return 2

    @property
    def is_default(self) -> bool:
        """Whether the rule speaks of whole families only, for want of anything closer."""
        return self.rule.when.model_fields_set <= {"always", "families", "organic"}


@dataclass(frozen=True, slots=True)
class Want:
    """One interval a layer of a part asks for."""

    limit: str
    interval: Interval
    layer: str
    family: str
    rule: str
    why: str
    source: tuple[tuple[str, str], ...]
    confidence: str
    facts: tuple[str, ...]
    features: frozenset[str]
    added: bool


@dataclass(frozen=True, slots=True)
class PartClock:
    """A clock of a part: hours after an origin, already shortened by what shortens it."""

    key: str
    origin: str
    at_h: float
    aim_h: float | None
    shape: str
    lost_after: str
    reasons: tuple[tuple[str, str, tuple[tuple[str, str], ...], str, tuple[str, ...]], ...]


@dataclass(slots=True)
class PartEval:
    """Everything known about a part by itself.  ``members`` are the materials it was taken as."""

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
    duties: dict[str, list[tuple[str, str, tuple[tuple[str, str], ...], str, tuple[str, ...]]]] = field(
        default_factory=dict
    )
    covers: dict[str, tuple[str, str]] = field(default_factory=dict)
    others: dict[str, tuple[m.Reasoned | m.Disagreement, tuple[str, ...]]] = field(default_factory=dict)
    pending: dict[str, Hit] = field(default_factory=dict)
    stops: list[tuple[m.HazardRule, tuple[str, ...]]] = field(default_factory=list)

    def fork(self) -> PartEval:
        """A copy to add to; lists inside it are replaced, never grown, so that forks share them."""
        return replace(
            self,
            hits=dict(self.hits),
            ranks=dict(self.ranks),
            clocks={},
            duties=dict(self.duties),
            covers=dict(self.covers),
            others=dict(self.others),
            pending=dict(self.pending),
        )

    def total(self) -> int:
        """Sum of verdict ranks: how strict the part is over all actions."""
        return sum(self.ranks.values())


def members_of(sig: PartSig, book: Book) -> tuple[str, ...]:
    """Materials the part may be: itself, the look-alikes named, or the plausible set of its family."""
    if sig.material in book.knowledge.materials:
        return (sig.material, *(key for key in sig.could_be if key != sig.material))
    return sig.could_be or book.plausible.get(sig.family) or book.plausible["unknown"]


class PartEvaluator:
    """Evaluates parts; equal parts in equal surroundings are evaluated once."""

    def __init__(self, book: Book, size: int) -> None:
        self.book = book
        self.cached = lru_cache(maxsize=size)(self._evaluate)
        self.size = size
        self.made: dict[object, PartEval] = {}
        self.envelopes: dict[tuple[int, ...], tuple[list[PartEval], PartEval]] = {}
        self.cached_own = lru_cache(maxsize=size)(self._own)

    def __call__(self, sig: PartSig, around: Around) -> PartEval:
        return self.cached(sig, around)

    def _evaluate(self, sig: PartSig, around: Around) -> PartEval:
        members = members_of(sig, self.book)
        features, joins = frozenset(sig.features), frozenset(sig.joins)
        evals = [self._member(key, features, joins, sig.silent, around) for key in members]
        if len(evals) == 1:
            return evals[0]
        key = tuple(id(one) for one in evals)
        held = self.envelopes.get(key)
        if held is None:
            if len(self.envelopes) > self.size:
                self.envelopes.clear()
            # The members are kept beside the result, so that their ids stay theirs.
            held = self.envelopes[key] = (evals, _envelope(members, evals))
        return held[1]

    def _own(
        self, material: str, features: frozenset[str], joins: frozenset[str], silent: bool
    ) -> Draft:
        """What a part brings whatever surrounds it."""
        book = self.book
        part = candidate(book.knowledge.materials[material], features, joins, silent, Around(), book)
        found = PartEval(
            (material,),
            layers=part.layers,
            organic=part.organic or any(book.knowledge.materials[key].organic for key in part.layers),
            surface=part.surface,
            families=frozenset({part.family}),
            features=part.features,
        )
        draft = Draft(part, found)
        for layer in part.layers:
            _take_material(book.knowledge.materials[layer], layer != material, draft)
        for rule, facts in woken(part, book.own):
            _take_rule(rule, facts, draft, book)
        _rank(found, part, found.hits)
        return draft

    def _member(
        self, material: str, features: frozenset[str], joins: frozenset[str], silent: bool, around: Around
    ) -> PartEval:
        """A part of one material in its surroundings: its own rules, then those the surroundings wake.

        Surroundings that wake the same rules give the same part, worked out once.
        """
        own = self.cached_own(material, features | around.features, joins, silent)
        part = replace(own.part, around=around)
        met = woken(part, self.book.around)
        key = (material, own.part, tuple((rule.id, facts) for rule, facts in met))
        found = self.made.get(key)
        if found is None:
            found = self.made[key] = self._grown(own, part, met)
            if len(self.made) > self.size:
                self.made.clear()
        return found

    def _grown(self, own: Draft, part: Candidate, met: list[Woken]) -> PartEval:
        draft = Draft(part, own.found.fork(), list(own.clocks), list(own.factors))
        for rule, facts in met:
            _take_rule(rule, facts, draft, self.book)
        touched = {rule.action for rule, _ in met if isinstance(rule, m.VerdictRule)}
        _rank(draft.found, part, touched)
        _keep_clocks(draft.clocks, draft.factors, draft.found)
        return draft.found


@dataclass(slots=True)
class Draft:
    """A part being evaluated: clocks wait until every factor that shortens them is known."""

    part: Candidate
    found: PartEval
    clocks: list[PartClock] = field(default_factory=list)
    factors: list[tuple[m.ClockFactor, tuple[str, ...]]] = field(default_factory=list)


def _take_rule(rule: Rule, facts: tuple[str, ...], draft: Draft, book: Book) -> None:
    """Add what one rule says to the part."""
    found, part = draft.found, draft.part
    if isinstance(rule, m.VerdictRule):
        layer_marks = [rule.cells[key] for key in part.layers if key in rule.cells]
        confidence = min(layer_marks, key="vmc".index) if layer_marks else rule.confidence
        hit = Hit(rule, RANK[rule.verdict], facts, confidence)
        if rule.when.with_families or rule.when.with_materials:
            found.pending[rule.id] = hit
        else:
            found.hits[rule.action] = [*found.hits.get(rule.action, ()), hit]
    elif isinstance(rule, m.LimitRule):
        found.wants = [*found.wants, _want(rule, facts, part, book)]
    elif isinstance(rule, m.ClockRule):
        draft.clocks.append(_clock_of_rule(rule, facts))
    elif isinstance(rule, m.ClockFactor):
        draft.factors.append((rule, facts))
    elif isinstance(rule, m.DutyRule):
        reason = (rule.id, rule.why, cites(rule.source), rule.confidence, facts)
        found.duties[rule.duty] = [*found.duties.get(rule.duty, ()), reason]
    elif isinstance(rule, m.CoverRule):
        found.covers.setdefault(rule.cover, (rule.why, rule.id))
    else:
        found.others[rule.id] = (rule, facts)
        if isinstance(rule, m.HazardRule) and rule.grade == "stop":
            found.stops = [*found.stops, (rule, facts)]


def _take_material(material: m.Material, added: bool, draft: Draft) -> None:
    """Limits, clock, duty and cover a material entry carries itself."""
    part, found, clocks = draft.part, draft.found, draft.clocks
    facts = (f"material:{material.key}",)
    for limit, name, interval, confidence in (
        ("rh_percent", "rh", material.rh_percent, material.rh_confidence),
        ("air_c", "air", material.air_c, material.air_confidence),
        (
            "rh_step_percent_per_day",
            "step",
            (0.0, material.rh_step_percent_per_day) if material.rh_step_percent_per_day else None,
            "c",
        ),
    ):
        if interval is not None:
            source = cites(material.source) if confidence != "c" else ()
            found.wants.append(
                Want(
                    limit,
                    (float(interval[0]), float(interval[1])),
                    material.key,
                    material.family,
                    f"lim.{name}.{material.key}",
                    material.why,
                    source,
                    confidence,
                    facts,
                    part.features,
                    added,
                )
            )
    hours_source = cites(material.source) if material.hours_confidence != "c" else ()
    if material.start_by_h is not None and material.clock is not None:
        reason = (
            f"clk.{material.clock}.{material.key}",
            material.why,
            hours_source,
            material.hours_confidence,
            facts,
        )
        clocks.append(
            PartClock(
                material.clock,
                material.origin,
                material.start_by_h,
                material.aim_h,
                material.clock_shape,
                material.lost_after,
                (reason,),
            )
        )
    duty_reason = (
        f"duty.{material.key}",
        material.why,
        cites(material.source) if material.duty_confidence != "c" else (),
        material.duty_confidence,
        facts,
    )
    if material.duty != "none":
        found.duties.setdefault(material.duty, []).append(duty_reason)
    if material.cover != "none":
        found.covers.setdefault(material.cover, (material.why, f"cover.{material.key}"))


def _want(rule: m.LimitRule, facts: tuple[str, ...], part: Candidate, book: Book) -> Want:
    because = because_of(rule, facts, (), book)
    return Want(
        rule.limit,
        (float(rule.interval[0]), float(rule.interval[1])),
        part.layers[0],
        part.family,
        rule.id,
        rule.why,
        because.source,
        rule.confidence,
        facts,
        part.features,
        True,
    )


def _clock_of_rule(rule: m.ClockRule, facts: tuple[str, ...]) -> PartClock:
    reason = (rule.id, rule.why, cites(rule.source), rule.confidence, facts)
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
                Hit(hit.rule, hit.rank, hit.facts, hit.confidence, True)
                if not hit.rule.turns_on and _layers(hit, part) and _layers(hit, part) <= met
                else hit
                for hit in hits
            ]
            found.hits[action] = hits
        if hits:
            found.ranks[action] = max(hit.rank for hit in hits if not hit.set_aside)


def _layers(hit: Hit, part: Candidate) -> set[str]:
    return {key for key in hit.rule.when.materials if key in part.layers} if hit.priority == 1 else set()


def _keep_clocks(
    clocks: list[PartClock], factors: list[tuple[m.ClockFactor, tuple[str, ...]]], found: PartEval
) -> None:
    """Shorten each clock by every factor that names it; keep the earliest per key and origin."""
    for clock in clocks:
        at_h, aim_h, reasons = clock.at_h, clock.aim_h, list(clock.reasons)
        for rule, facts in factors:
            if clock.key in rule.clocks:
                at_h *= rule.factor
                aim_h = aim_h * rule.factor if aim_h is not None else None
                reasons.append((rule.id, rule.why, cites(rule.source), rule.confidence, facts))
        made = PartClock(clock.key, clock.origin, at_h, aim_h, clock.shape, clock.lost_after, tuple(reasons))
        _keep_earliest(made, found.clocks)


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
    for each in evals:
        for action, hits in each.hits.items():
            # A harm set aside for one member still stands if another member suffers it.
            have = {hit.rule.id: hit for hit in merged.hits.get(action, ())}
            for hit in hits:
                if hit.rule.id not in have or (have[hit.rule.id].set_aside and not hit.set_aside):
                    have[hit.rule.id] = hit
            merged.hits[action] = list(have.values())
        for action, rank in each.ranks.items():
            merged.ranks[action] = max(rank, merged.ranks.get(action, 0))
        known = {want.rule for want in merged.wants}
        merged.wants += [want for want in each.wants if want.rule not in known]
        for clock in each.clocks.values():
            _keep_earliest(clock, merged.clocks)
        for duty, reasons in each.duties.items():
            held = merged.duties.setdefault(duty, [])
            held += [reason for reason in reasons if reason[0] not in {have[0] for have in held}]
        for cover, why in each.covers.items():
            merged.covers.setdefault(cover, why)
        merged.others.update(each.others)
        merged.pending.update(each.pending)
        merged.stops += each.stops
    return merged


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


def reason_because(
    reason: tuple[str, str, tuple[tuple[str, str], ...], str, tuple[str, ...]], parts: tuple[str, ...], book: Book
) -> Because:
    """A stored reason as a Because."""
    rule, why, source, confidence, facts = reason
    return Because(rule, why, source, confidence, facts, parts, "", book.mark(rule))
