"""The knowledge compiled for making plans: its rules indexed, its conflicts and marks at hand."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property, lru_cache, partial
from typing import Any, TypeVar

from strandline.care.index import WET_STATES, Rule, RuleIndex
from strandline.care.sides import SideIndex
from strandline.care.speaking import Speaking
from strandline.knowledge import models as m
from strandline.knowledge.base import Knowledge
from strandline.things.plan import Because

LIMITS: tuple[m.LimitKey, ...] = ("rh_percent", "air_c", "rh_step_percent_per_day")
Cites = tuple[tuple[str, str], ...]
T = TypeVar("T")
MEMORY = 16_384
"""Answers of one kind kept for use again; a long list has about as many reasons."""

Sourced = m.Reasoned | m.Material | m.ConflictRule


@dataclass(frozen=True)
class Book:
    """Rules indexed by what wakes them.  Build one per Knowledge and keep it."""

    knowledge: Knowledge
    index: RuleIndex
    speaking: Speaking
    mass_steps_g: tuple[float, ...] = ()
    length_steps_mm: tuple[float, ...] = ()
    air_steps_c: tuple[float, ...] = ()
    keep: int = MEMORY
    _kept: dict[Any, Callable[..., Any]] = field(default_factory=dict, compare=False, repr=False)
    _cited: dict[int, Cites] = field(default_factory=dict, compare=False, repr=False)

    @classmethod
    def of(cls, knowledge: Knowledge, keep: int = MEMORY) -> Book:
        """Index every conditional rule of the knowledge.  ``keep``: see :meth:`once`."""
        rules = list(conditional_rules(knowledge))
        index = RuleIndex(rules)
        return cls(
            knowledge,
            index,
            Speaking(index),
            _steps(rules, "mass_over_g"),
            _steps(rules, "longest_over_mm"),
            _steps(rules, "air_over_c"),
            keep,
        )

    @cached_property
    def surfaces(self) -> frozenset[str]:
        """Materials that are surfaces: what a surface feature adds to a body."""
        return frozenset(
            key
            for feature in self.knowledge.features.values()
            if feature.surface
            for keys in feature.adds.values()
            for key in keys
            if self.knowledge.materials[key].surface_unknown == "none"
        )

    def state(self, wet_state: str) -> str:
        """The wet state if any rule asks about it, else '': states no rule tells apart are one."""
        return wet_state if wet_state in self.index.slots[WET_STATES][1] else ""

    @cached_property
    def stops(self) -> frozenset[str]:
        """Hazards that stop the work."""
        return frozenset(rule.hazard for rule in self._stop_rules())

    def speaks_of_stop(self, when: m.When | m.Side) -> bool:
        """Whether a condition, or the side of a conflict, asks for what stops the work and nothing else."""
        asked = {*when.materials, *when.features, *when.families}
        return bool(asked) and asked <= self._stopping

    @cached_property
    def _stopping(self) -> frozenset[str]:
        """Materials and features that stop the work."""
        return frozenset(
            key for rule in self._stop_rules() for key in (*rule.when.materials, *rule.when.features)
        )

    def _stop_rules(self) -> Iterator[m.HazardRule]:
        return (rule for rule in self.knowledge.hazards if rule.grade == "stop")

    @cached_property
    def conflict_rules(self) -> dict[str, m.ConflictRule]:
        """Conflict rules by id."""
        return {rule.id: rule for rule in self.knowledge.conflicts}

    @cached_property
    def limit_rules(self) -> dict[tuple[str, bool], int]:
        """Conflict rules by the limit they are about and whether they speak of one part's layers, as
        sets of :attr:`sides`."""
        return {
            (limit, same): self._limit_rules(f"limit:{limit}", same)
            for limit in LIMITS
            for same in (True, False)
        }

    @cached_property
    def action_rules(self) -> int:
        """Conflict rules that are about an action, as a set of :attr:`sides`."""
        return self.sides.mask(lambda rule: any(about.startswith("action:") for about in rule.about))

    def _limit_rules(self, about: str, same_part: bool) -> int:
        return self.sides.mask(lambda rule: about in rule.about and rule.same_part == same_part)

    @cached_property
    def plausible(self) -> dict[str, tuple[str, ...]]:
        """Per family, what a part may be that is known by its family alone.

        Members that must be named are outside, so are those that stop the work (a glowing dial is
        looked for on the walk through, not assumed of every box), and so are surfaces, which the
        question about the surface stands for; ``also_possible`` of the family brings back those that
        matter for touch.
        """
        found: dict[str, tuple[str, ...]] = {}
        for family in self.knowledge.families.values():
            members = [
                material.key
                for material in self.knowledge.materials.values()
                if material.family == family.key
                and not material.must_be_named
                and material.duty != "stop"
                and material.key not in self.surfaces
            ]
            found[family.key] = tuple(sorted({*members, *family.also_possible}))
        in_scope = [key for key, family in self.knowledge.families.items() if family.in_scope]
        found["unknown"] = tuple(sorted({key for family in in_scope for key in found[family]}))
        return found

    @cached_property
    def sides(self) -> SideIndex:
        """What fills the sides of the conflict rules."""
        return SideIndex(self.knowledge.conflicts)

    @cached_property
    def limit_waters(self) -> frozenset[str]:
        """Waters that a conflict of limits asks about."""
        return frozenset(water for side in self._limit_sides() for water in side.waters)

    @cached_property
    def limit_features(self) -> frozenset[str]:
        """Features that a conflict of limits asks about."""
        return frozenset(feature for side in self._limit_sides() for feature in side.features)

    def _limit_sides(self) -> Iterator[m.Side]:
        for rule in self.knowledge.conflicts:
            if any(about.startswith("limit:") for about in rule.about):
                yield from (rule.a, rule.b)

    def cites(self, entry: Sourced) -> Cites:
        """(key, place) pairs of an entry's sources.  The entry must be one of this knowledge, which
        keeps it alive: it is remembered by its identity."""
        found = self._cited.get(id(entry))
        if found is None:
            found = self._cited[id(entry)] = tuple((cite.key, cite.at) for cite in entry.source)
        return found

    def once(self, function: Callable[..., T]) -> Callable[..., T]:
        """The function with this book as its last argument, answering equal questions with one object.

        A list of objects has the same reasons and verdicts over and over; ``keep`` of a kind are kept.
        """
        kept = self._kept.get(function)
        if kept is None:
            kept = self._kept[function] = lru_cache(maxsize=self.keep)(partial(function, book=self))
        return kept

    def mark(self, rule_id: str) -> str:
        """The mark of an override on a rule, or ''."""
        return self.knowledge.marks.get(rule_id, "")


def conditional_rules(knowledge: Knowledge) -> Iterator[Rule]:
    """Every rule that has a ``when``."""
    yield from knowledge.verdicts
    yield from knowledge.limits
    yield from knowledge.clocks
    yield from knowledge.factors
    yield from knowledge.duties
    yield from knowledge.hazards
    yield from knowledge.covers
    yield from knowledge.holds
    yield from knowledge.steps
    yield from knowledge.disagreements


def _steps(rules: list[Rule], name: str) -> tuple[float, ...]:
    return tuple(sorted({value for rule in rules if (value := getattr(rule.when, name)) is not None}))


def because_of(
    rule: m.Reasoned | m.ConflictRule,
    facts: tuple[str, ...],
    parts: tuple[str, ...],
    book: Book,
    *,
    confidence: str | None = None,
    verdict: str = "",
) -> Because:
    """The reason a rule gives for these facts and parts."""
    mark = confidence or rule.confidence
    return made_because(rule.id, rule.why, book.cites(rule), mark, facts, parts, verdict, book)


def made_because(
    rule: str,
    why: str,
    source: Cites,
    confidence: str,
    facts: tuple[str, ...],
    parts: tuple[str, ...],
    verdict: str,
    book: Book,
) -> Because:
    """A reason with the mark of an override on its rule; equal reasons are one object."""
    return book.once(_because)(rule, why, source, confidence, facts, parts, verdict)


def _because(
    rule: str,
    why: str,
    source: Cites,
    confidence: str,
    facts: tuple[str, ...],
    parts: tuple[str, ...],
    verdict: str,
    book: Book,
) -> Because:
    return Because(rule, why, source, confidence, facts, parts, verdict, book.mark(rule))
