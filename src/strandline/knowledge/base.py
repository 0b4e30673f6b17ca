"""The knowledge as one object: every entry of every file, checked against each other, with its hash."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any, cast

from strandline.knowledge import models as m
from strandline.knowledge.files import KnowledgeError, read_text

DATA = Path(__file__).parent / "data"
VERSION = "2026.1"
"""Version of the shipped knowledge; the hash tells the exact text."""

REVIEW_SENTENCE = "Not yet reviewed by a practising conservator."


@dataclass(frozen=True)
class AppliedOverride:
    """An override that took effect: the target, what it was, what it is, who said so and why."""

    target: str
    was: Mapping[str, Any]
    now: Mapping[str, Any]
    reason: str
    person: str
    at: str
    level: str


@dataclass(frozen=True)
class Knowledge:
    """All entries by kind.  ``rules`` maps every permanent rule id to its entry."""

    version: str
    sha256: str
    sources: Mapping[str, m.Source]
    families: Mapping[str, m.Family]
    materials: Mapping[str, m.Material]
    features: Mapping[str, m.Feature]
    verdicts: tuple[m.VerdictRule, ...]
    limits: tuple[m.LimitRule, ...]
    clocks: tuple[m.ClockRule, ...]
    factors: tuple[m.ClockFactor, ...]
    duties: tuple[m.DutyRule, ...]
    hazards: tuple[m.HazardRule, ...]
    covers: tuple[m.CoverRule, ...]
    holds: tuple[m.HoldRule, ...]
    steps: tuple[m.StepRule, ...]
    conflicts: tuple[m.ConflictRule, ...]
    advice: tuple[m.Advice, ...]
    disagreements: tuple[m.Disagreement, ...]
    lookalikes: tuple[m.Lookalike, ...]
    supplies: tuple[m.Supply, ...]
    cautions: tuple[m.Caution, ...]
    overrides: tuple[AppliedOverride, ...] = ()
    overrides_sha256: str | None = None
    marks: Mapping[str, str] = field(default_factory=dict)

    def with_ids(self) -> dict[str, m.Entry]:
        """Every entry that has a permanent id or key, by it."""
        found: dict[str, m.Entry] = {}
        for kind, entry in self.entries():
            name = getattr(entry, "id", None) or f"{kind}.{getattr(entry, 'key', '')}"
            found[name] = entry
        return found

    def entries(self) -> Iterable[tuple[str, m.Entry]]:
        """All entries with the name of their kind."""
        for kind, attribute in KINDS.items():
            held = getattr(self, attribute)
            for entry in held.values() if isinstance(held, Mapping) else held:
                yield kind, entry

    @property
    def reviewed(self) -> bool:
        """Whether every rule and material carries a reviewer."""
        return all(getattr(entry, "reviewed_by", "n/a") for _, entry in self.entries())


KINDS: dict[str, str] = {
    "source": "sources",
    "family": "families",
    "material": "materials",
    "feature": "features",
    "verdict": "verdicts",
    "limit": "limits",
    "clock": "clocks",
    "factor": "factors",
    "duty": "duties",
    "hazard": "hazards",
    "cover": "covers",
    "hold": "holds",
    "step": "steps",
    "conflict": "conflicts",
    "advice": "advice",
    "disagreement": "disagreements",
    "lookalike": "lookalikes",
    "supply": "supplies",
    "caution": "cautions",
}
"""Kind of entry -> attribute of Knowledge that holds it."""

KEYED = frozenset({"source", "family", "material", "feature"})


def build(entries: Mapping[str, Iterable[m.Entry]], sha256: str, **more: Any) -> Knowledge:
    """Make a Knowledge from entries by kind; raises KnowledgeError on any loose end."""
    held: dict[str, Any] = {}
    problems: list[str] = []
    for kind, attribute in KINDS.items():
        rows = list(entries.get(kind, ()))
        names = [str(getattr(row, "id", None) or getattr(row, "key", "")) for row in rows]
        for name in sorted({n for n in names if names.count(n) > 1}):
            problems.append(f"{kind} '{name}' stands {names.count(name)} times")
        held[attribute] = dict(zip(names, rows, strict=True)) if kind in KEYED else tuple(rows)
    knowledge = Knowledge(version=VERSION, sha256=sha256, **held, **more)
    problems += loose_ends(knowledge)
    if problems:
        raise KnowledgeError(problems)
    return knowledge


def loose_ends(knowledge: Knowledge) -> list[str]:
    """Keys that are named but not defined, anywhere in the knowledge."""
    known = {
        "materials": set(knowledge.materials),
        "features": set(knowledge.features),
        "families": set(m.FAMILIES),
        "joins": set(m.JOIN_KINDS),
        "waters": set(m.WATERS),
        "wet_states": set(m.WET_STATES),
        "done": set(m.DONE_ALREADY),
    }
    known["with_materials"], known["with_families"] = known["materials"], known["families"]
    known["all_features"] = known["features"]
    problems: list[str] = []
    for kind, entry in knowledge.entries():
        name = getattr(entry, "id", None) or getattr(entry, "key", "?")
        where = [getattr(entry, attribute, None) for attribute in ("when", "a", "b")]
        for condition in where:
            for field_name, keys in known.items():
                for key in getattr(condition, field_name, ()) or ():
                    if key not in keys:
                        problems.append(f"{kind} {name}: {field_name} names '{key}', which is not known")
        for cite in _cites(entry):
            if cite.key not in knowledge.sources:
                problems.append(f"{kind} {name}: source '{cite.key}' is not in the list of sources")
    problems += _loose_members(knowledge)
    return problems


def _cites(entry: m.Entry) -> list[m.Cite]:
    cites = list(cast("tuple[m.Cite, ...]", getattr(entry, "source", ()) or ()))
    for view in getattr(entry, "views", ()):
        cites += view.source
    return cites


def _loose_members(knowledge: Knowledge) -> list[str]:
    problems = []
    for feature in knowledge.features.values():
        for family, keys in feature.adds.items():
            if family not in m.FAMILIES:
                problems.append(f"feature {feature.key}: adds names family '{family}', which is not known")
            problems += [
                f"feature {feature.key}: adds '{key}', which is no material"
                for key in keys
                if key not in knowledge.materials
            ]
    for look in knowledge.lookalikes:
        problems += [
            f"lookalike {look.key}: '{key}' is no material"
            for key in look.could_be
            if key not in knowledge.materials
        ]
    return problems


def shipped_texts() -> dict[str, str]:
    """The shipped files' texts by relative name, in a fixed order (words for the reader apart)."""
    return {
        path.relative_to(DATA).as_posix(): path.read_text(encoding="utf-8")
        for path in sorted(DATA.rglob("*.toml"))
        if path.relative_to(DATA).parts[0] != "words"
    }


def load(texts: Mapping[str, str]) -> Knowledge:
    """Build a Knowledge from file texts by name.  Raises KnowledgeError with every problem found."""
    merged: dict[str, list[m.Entry]] = {}
    problems: list[str] = []
    digest = hashlib.sha256()
    for name, text in sorted(texts.items()):
        digest.update(f"{name}\0{text}\0".encode())
        entries, found = read_text(text, name)
        problems += found
        for kind, rows in entries.items():
            merged.setdefault(kind, []).extend(rows)
    if problems:
        raise KnowledgeError(problems)
    return build(merged, digest.hexdigest())


@cache
def shipped() -> Knowledge:
    """The knowledge that ships with the tool."""
    return load(shipped_texts())
