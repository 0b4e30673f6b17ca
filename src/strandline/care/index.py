"""Which rules hold for a part.  Conditions are positive, so a further fact can only add rules.

A set of rules is one int, bit n standing for the n-th rule by id.  Each field of a condition then
allows a set of rules, and those that hold are what all fields allow: a handful of ands.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass

from strandline.care.match import Around, Candidate
from strandline.knowledge import models as m

Rule = m.Reasoned | m.Disagreement

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
"""Fields of a condition that ask for one of several keys, with the name their facts carry.

The first PART_SLOTS ask about the part, the others about its surroundings."""

PART_SLOTS = 5
MATERIALS, WET_STATES = 0, 6

SIZES: tuple[tuple[str, str, str], ...] = (
    ("mass_over_g", "mass_over_g", "mass_g"),
    ("longest_over_mm", "longest_over_mm", "longest_mm"),
    ("air_over_c", "air_over_c", "site.air_c"),
)
"""Thresholds: the field of the condition, the field of the surroundings, the name of the fact."""

AROUND_FIELDS = frozenset(
    {"waters", "wet_states", "done", "mass_unknown", "mass_over_g", "longest_over_mm", "air_over_c"}
)
"""Fields that ask about the object's surroundings and size, not about the part."""

UNEXPLAINED = (m.HoldRule, m.StepRule, m.Disagreement)

Slots = tuple[Collection[str], ...]


def part_slots(part: Candidate) -> Slots:
    """What a part answers to the first slots."""
    return part.layers, (part.family,), part.features, part.joins, (part.surface,)


def around_slots(waters: tuple[str, ...], wet_state: str, done: tuple[str, ...]) -> Slots:
    """What the surroundings answer to the last slots."""
    return waters, (wet_state,), done


@dataclass(frozen=True, slots=True, eq=False)
class Filed:
    """A rule with its condition laid out.

    ``checks``: per field given its slot and, by key, the place of the key and its fact;
    ``fixed_facts`` are those of the other fields, which are the same whenever the rule holds.
    ``priority`` is what is said first among equals: a seen feature before a material before a
    default.  ``is_default``: the rule speaks of whole families only, for want of anything closer.
    ``asks_others``: the rule asks for another part, which is judged later, for the whole object.
    ``unexplained``: the rule with no facts, if it is of a kind whose facts nobody is told.
    """

    rule: Rule
    checks: tuple[tuple[int, dict[str, tuple[int, str]]], ...]
    fixed_facts: tuple[str, ...]
    priority: int
    is_default: bool
    asks_around: bool
    asks_others: bool
    unexplained: tuple[Rule, tuple[str, ...]] | None

    @classmethod
    def of(cls, rule: Rule) -> Filed:
        """Lay a rule out."""
        when = rule.when
        checks = tuple(
            (slot, {key: (n, f"{name}:{key}") for n, key in enumerate(getattr(when, field_name))})
            for slot, (field_name, name) in enumerate(SLOTS)
            if getattr(when, field_name)
        )
        return cls(
            rule,
            checks,
            _fixed_facts(when),
            _priority(when),
            when.model_fields_set <= {"always", "families", "organic"},
            any(getattr(when, name) for name in AROUND_FIELDS),
            bool(when.with_families or when.with_materials),
            (rule, ()) if isinstance(rule, UNEXPLAINED) else None,
        )

    def facts(self, slots: Slots) -> tuple[str, ...]:
        """The facts a rule that holds rests on, in the order its condition names them."""
        found: list[str] = []
        for slot, places in self.checks:
            met = [places[key] for key in slots[slot] if key in places]
            found += [fact for _, fact in (sorted(met) if len(met) > 1 else met)]
        return (*found, *self.fixed_facts)


def _fixed_facts(when: m.When) -> tuple[str, ...]:
    found = [f"feature:{key}" for key in when.all_features]
    if when.organic is not None:
        found.append(f"organic:{str(when.organic).lower()}")
    if when.mass_unknown:
        found.append("mass_g:unknown")
    for field_name, _, name in SIZES:
        wanted = getattr(when, field_name)
        if wanted is not None:
            found.append(f"{name}:over {wanted:g}")
    return tuple(found)


def _priority(when: m.When) -> int:
    if when.features or when.all_features or when.waters or when.wet_states or when.done or when.joins:
        return 0
    return 1 if when.materials or when.surface_unseen else 2


class RuleIndex:
    """Rules by number, and what each field of a condition allows."""

    def __init__(self, rules: Iterable[Rule]) -> None:
        self.filed = tuple(Filed.of(rule) for rule in sorted(rules, key=lambda rule: rule.id))
        self.bit = {filed.rule.id: 1 << n for n, filed in enumerate(self.filed)}
        self.slots = tuple(self._slot(field_name) for field_name, _ in SLOTS)
        self.organic = {flag: self._organic(flag) for flag in (True, False)}
        self.feature_sets = tuple(
            (1 << n, frozenset(filed.rule.when.all_features))
            for n, filed in enumerate(self.filed)
            if filed.rule.when.all_features
        )
        self.mass_unknown = self.mask(lambda filed: bool(filed.rule.when.mass_unknown))
        self.sizes = tuple(
            (around_name, wanted, 1 << n)
            for n, filed in enumerate(self.filed)
            for field_name, around_name, _ in SIZES
            if (wanted := getattr(filed.rule.when, field_name)) is not None
        )
        self.asks_around = self.mask(lambda filed: filed.asks_around)

    def mask(self, wanted: Callable[[Filed], bool]) -> int:
        """The rules for which ``wanted`` holds."""
        return sum(1 << n for n, filed in enumerate(self.filed) if wanted(filed))

    def _organic(self, organic: bool) -> int:
        """The rules that a part of this kind may wake."""
        return self.mask(lambda filed: filed.rule.when.organic in (None, organic))

    def _slot(self, field_name: str) -> tuple[int, dict[str, int]]:
        """The rules that ask nothing in a slot, and those that name each key there."""
        free, named = 0, dict[str, int]()
        for n, filed in enumerate(self.filed):
            keys = getattr(filed.rule.when, field_name)
            free |= 0 if keys else 1 << n
            for key in keys:
                named[key] = named.get(key, 0) | 1 << n
        return free, named

    def by_part(self, part: Candidate) -> int:
        """The rules whose questions about the part hold, whatever they ask of its surroundings."""
        held = self.organic[part.organic] & self._allowed(part_slots(part), 0)
        for bit, wanted in self.feature_sets:
            if held & bit and not wanted <= part.features:
                held &= ~bit
        return held

    def by_around(self, around: Around) -> int:
        """The rules whose questions about the surroundings hold, whatever they ask of the part."""
        held = self._allowed(around_slots(around.waters, around.wet_state, around.done), PART_SLOTS)
        if around.mass_known:
            held &= ~self.mass_unknown
        for name, wanted, bit in self.sizes:
            if getattr(around, name) < wanted:
                held &= ~bit
        return held

    def _allowed(self, answers: Slots, first: int) -> int:
        held = -1
        for (free, named), keys in zip(self.slots[first:], answers, strict=False):
            allowed = free
            for key in keys:
                allowed |= named.get(key, 0)
            held &= allowed
        return held

    def each(self, held: int) -> Iterator[Filed]:
        """The rules of a set, by id."""
        while held:
            lowest = held & -held
            yield self.filed[lowest.bit_length() - 1]
            held ^= lowest
