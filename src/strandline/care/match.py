"""Does a rule hold for a part?  Conditions are positive, so a further fact can only add rules."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from strandline.care.book import Book, Filed, Rule
from strandline.knowledge import models as m


@dataclass(frozen=True, slots=True)
class Around:
    """What holds for the whole object.  Sizes are reduced to how many rule thresholds they pass."""

    features: frozenset[str] = frozenset()
    waters: tuple[str, ...] = ()
    wet_state: str = ""
    done: tuple[str, ...] = ()
    mass_known: bool = False
    mass_over_g: float = 0.0
    longest_over_mm: float = 0.0
    air_over_c: float = 0.0


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part taken as one material: its layers (body first, then what features add)."""

    layers: tuple[str, ...]
    family: str
    features: frozenset[str]
    joins: frozenset[str]
    organic: bool
    surface: str
    around: Around


def candidate(
    material: m.Material, features: frozenset[str], joins: frozenset[str], silent: bool, around: Around, book: Book
) -> Candidate:
    """Take a part as ``material``; ``silent``: the list says nothing about its surface."""
    layers = [material.key]
    for key in sorted(features | around.features):
        feature = book.knowledge.features.get(key)
        for added in feature.adds.get(material.family, ()) if feature else ():
            if added not in layers:
                layers.append(added)
    surface = material.surface_unknown if silent and len(layers) == 1 else "none"
    return Candidate(
        tuple(layers), material.family, features | around.features, joins, material.organic, surface, around
    )


Woken = tuple[Rule, tuple[str, ...]]


def woken(part: Candidate, shelf: Mapping[tuple[str, str], tuple[Filed, ...]]) -> list[Woken]:
    """Rules of a shelf that hold for the part, with the facts each rests on; each once, by id."""
    around = part.around
    keys: list[tuple[str, str]] = [("", ""), ("surface_unseen", part.surface), ("families", part.family)]
    for name, held in (
        ("features", part.features),
        ("all_features", part.features),
        ("joins", part.joins),
        ("materials", part.layers),
        ("waters", around.waters),
        ("wet_states", (around.wet_state,)),
        ("done", around.done),
    ):
        keys += [(name, key) for key in held]
    slots = (
        part.layers,
        (part.family,),
        part.features,
        part.joins,
        (part.surface,),
        around.waters,
        (around.wet_state,),
        around.done,
    )
    seen: dict[str, Woken] = {}
    for key in keys:
        for filed in shelf.get(key, ()):
            if filed.rule.id not in seen and (facts := holds(filed, part, slots)) is not None:
                seen[filed.rule.id] = (filed.rule, facts)
    return [seen[name] for name in sorted(seen)]


def holds(filed: Filed, part: Candidate, slots: tuple[Collection[str], ...]) -> tuple[str, ...] | None:
    """The facts the condition rests on, or None if it does not hold.

    ``with_families`` and ``with_materials`` are judged later, for the whole object.
    """
    facts: list[str] = []
    for slot, wanted in filed.checks:
        have = slots[slot]
        met = [fact for key, fact in wanted if key in have]
        if not met:
            return None
        facts += met
    when = filed.when
    if when.all_features:
        if not set(when.all_features) <= part.features:
            return None
        facts += [f"feature:{key}" for key in when.all_features]
    if when.organic is not None:
        if when.organic != part.organic:
            return None
        facts.append(f"organic:{str(part.organic).lower()}")
    return _sizes(when, part.around, facts) if filed.asks_sizes else tuple(facts)


def _sizes(when: m.When, around: Around, facts: list[str]) -> tuple[str, ...] | None:
    if when.mass_unknown:
        if around.mass_known:
            return None
        facts.append("mass_g:unknown")
    for name, wanted, have in (
        ("mass_g", when.mass_over_g, around.mass_over_g),
        ("longest_mm", when.longest_over_mm, around.longest_over_mm),
        ("site.air_c", when.air_over_c, around.air_over_c),
    ):
        if wanted is not None:
            if have < wanted:
                return None
            facts.append(f"{name}:over {wanted:g}")
    return tuple(facts)
