"""The knowledge compiled for matching: which rules a part of this kind can wake at all."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

from strandline.knowledge import models as m
from strandline.knowledge.base import Knowledge
from strandline.things.plan import Because

Rule = m.Reasoned | m.Disagreement
Cites = tuple[tuple[str, str], ...]

TRIGGERS: tuple[str, ...] = (
    "features",
    "all_features",
    "waters",
    "wet_states",
    "done",
    "joins",
    "surface_unseen",
    "materials",
    "families",
)
"""Fields a rule is filed under, the most selective first; the rest are looked at for every part."""


def cites(source: Iterable[m.Cite]) -> Cites:
    """(key, place) pairs of an entry's sources."""
    return tuple((cite.key, cite.at) for cite in source)


SLOTS: tuple[tuple[str, str], ...] = (
    ("materials", "material"),
    ("families", "family"),
    ("features", "feature"),
    ("joins", "join"),
    ("surface_unseen", "surface"),
    ("waters", "water"),
    ("wet_states", "wet_state"),
    ("done", "done_already"),
)
"""Fields of a condition that ask for one of several keys, with the name their facts carry."""

AROUND_FIELDS: tuple[str, ...] = (
    "waters",
    "wet_states",
    "done",
    "mass_unknown",
    "mass_over_g",
    "longest_over_mm",
    "air_over_c",
)
"""Fields that ask about the object's surroundings and size, not about the part."""


@dataclass(frozen=True, slots=True)
class Filed:
    """A rule with its condition laid out for quick checking: (slot, keys, facts) per field given."""

    rule: Rule
    checks: tuple[tuple[int, tuple[tuple[str, str], ...]], ...]
    when: m.When
    asks_sizes: bool

    @classmethod
    def of(cls, rule: Rule) -> Filed:
        """Lay a rule out."""
        checks = tuple(
            (slot, tuple((key, f"{name}:{key}") for key in getattr(rule.when, field_name)))
            for slot, (field_name, name) in enumerate(SLOTS)
            if getattr(rule.when, field_name)
        )
        when = rule.when
        sizes = (when.mass_unknown, when.mass_over_g, when.longest_over_mm, when.air_over_c)
        return cls(rule, checks, when, any(size is not None for size in sizes))

    @property
    def asks_around(self) -> bool:
        """Whether the condition asks about the surroundings."""
        return any(getattr(self.when, name) for name in AROUND_FIELDS)


Trigger = tuple[str, str]


@dataclass(frozen=True)
class Book:
    """Rules filed by what wakes them.  Build one per Knowledge and keep it.

    ``own`` rules ask about the part alone, ``around`` rules also about its surroundings.
    """

    knowledge: Knowledge
    own: dict[Trigger, tuple[Filed, ...]] = field(default_factory=dict)
    around: dict[Trigger, tuple[Filed, ...]] = field(default_factory=dict)
    mass_steps_g: tuple[float, ...] = ()
    length_steps_mm: tuple[float, ...] = ()
    air_steps_c: tuple[float, ...] = ()

    @classmethod
    def of(cls, knowledge: Knowledge) -> Book:
        """File every conditional rule of the knowledge."""
        shelves: dict[bool, dict[Trigger, list[Filed]]] = {False: {}, True: {}}
        rules = list(conditional_rules(knowledge))
        for rule in rules:
            filed = Filed.of(rule)
            shelf = shelves[filed.asks_around]
            trigger = next((name for name in TRIGGERS if getattr(rule.when, name)), "")
            for key in getattr(rule.when, trigger) if trigger else ("",):
                shelf.setdefault((trigger, key), []).append(filed)
        own, around = ({key: tuple(held) for key, held in shelves[which].items()} for which in (False, True))
        return cls(
            knowledge,
            own,
            around,
            _steps(rules, "mass_over_g"),
            _steps(rules, "longest_over_mm"),
            _steps(rules, "air_over_c"),
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
        return wet_state if ("wet_states", wet_state) in self.around else ""

    @cached_property
    def conflict_rules(self) -> dict[str, m.ConflictRule]:
        """Conflict rules by id."""
        return {rule.id: rule for rule in self.knowledge.conflicts}

    @cached_property
    def limit_rules(self) -> dict[tuple[str, bool], tuple[m.ConflictRule, ...]]:
        """Conflict rules by the limit they are about and whether they speak of one part's layers."""
        found: dict[tuple[str, bool], list[m.ConflictRule]] = {}
        for rule in self.knowledge.conflicts:
            for about in rule.about:
                if about.startswith("limit:") and (rule.a != m.Side() or rule.b != m.Side()):
                    found.setdefault((about.removeprefix("limit:"), rule.same_part), []).append(rule)
        return {key: tuple(rules) for key, rules in found.items()}

    @cached_property
    def plausible(self) -> dict[str, tuple[str, ...]]:
        """Per family, what a part may be that is known by its family alone.

        Members that must be named are outside, so are those that stop the work (a glowing dial is
        looked for on the walk through, not assumed of every box), and so are surfaces, which the question about the
        surface stands for; ``also_possible`` of the family brings back those that matter for touch.
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
    rule: m.Reasoned,
    facts: tuple[str, ...],
    parts: tuple[str, ...],
    book: Book,
    *,
    confidence: str | None = None,
    verdict: str = "",
) -> Because:
    """The reason a rule gives for these facts and parts."""
    return Because(
        rule.id,
        rule.why,
        cites(rule.source),
        confidence or rule.confidence,
        facts,
        parts,
        verdict,
        book.mark(rule.id),
    )
