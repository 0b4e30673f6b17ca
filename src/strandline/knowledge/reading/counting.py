"""Which of the bodies a column names count as parts of the object."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from strandline.knowledge.reading.draft import Column, Draft, Link, Said
from strandline.knowledge.reading.lexicon import Lexicon
from strandline.knowledge.reading.match import Item

_REMARKS = frozenset({"features", "condition"})
_NOT_WORKING = frozenset({"textile", "paper", "picture"})
_WRAPPED = re.compile(r"\b(in|on) (a |an |the |its )?$", re.IGNORECASE)


@dataclass(slots=True)
class Settled:
    """The columns put together so far."""

    parts: list[tuple[Draft, str]] = field(default_factory=list)
    said: list[tuple[Said, str]] = field(default_factory=list)
    links: list[tuple[Link, str]] = field(default_factory=list)
    words: list[tuple[Item, str, str]] = field(default_factory=list)
    kept: set[int] = field(default_factory=set)
    has_container: bool = False
    has_fuel: bool = False

    def bodies(self) -> list[Draft]:
        """Parts that are bodies of a known or unknown material, working kinds that always count left out."""
        return [draft for draft, _ in self.parts if not draft.always]


def counts(result: Settled, column: Column, draft: Draft, free: bool, lexicon: Lexicon) -> bool:
    """Whether a body of this column is a part.  ``free``: nothing but guesses is known so far."""
    if draft.always:
        return _works(result, column, draft)
    if _adds_nothing(result, column, draft, lexicon):
        return False
    same = [
        other
        for other in result.bodies()
        if other.material == draft.material and (not draft.species or other.species == draft.species)
    ]
    if same and (not draft.strong_name or _told_already(same, column)):
        return False
    if any(other.name == draft.name for other in same):
        return False
    if free or column.column == "materials":
        return True
    if column.column == "features":
        return not any(other.material == draft.material for other in result.bodies()) or draft.strong_name
    return draft.strong_name and draft.family != "picture"


def _works(result: Settled, column: Column, draft: Draft) -> bool:
    """Whether a working thing is there: not twice, not what a picture shows or a cloth's pattern."""
    if any(other.material == draft.material for other, _ in result.parts):
        return False
    if "container" in draft.flags and not result.has_container:
        return False
    families = {body.family for body in (*result.bodies(), *column.parts) if not body.always}
    shown = bool(families) and families <= _NOT_WORKING and draft.material not in ("doll", "herbarium")
    return not ("working" in draft.flags and (shown or "picture" in families))


def _adds_nothing(result: Settled, column: Column, draft: Draft, lexicon: Lexicon) -> bool:
    """Whether a body is only a component without a material, or one that is known more closely already."""
    others = [*result.bodies(), *(one for one in column.parts if one is not draft and not one.always)]
    known = [other for other in others if other.family != "unknown"]
    if "component" in draft.flags and known and _unnamed_material(draft, column):
        return True
    if column.column == "materials" or not known:
        return False
    if draft.family == "unknown":
        return "told" not in draft.flags
    before = result.bodies()
    if draft.material.endswith("_unknown") and any(other.family == draft.family for other in before):
        return True
    if not draft.name and any(draft.material in other.could_be for other in before):
        return True
    wrapping = draft.family == "paper" and column.column in _REMARKS
    return wrapping and _WRAPPED.search(column.text[: draft.start]) is not None


def _unnamed_material(draft: Draft, column: Column) -> bool:
    return draft.family == "unknown" or column.column != "materials"


def _told_already(same: list[Draft], column: Column) -> bool:
    """Whether iron told of in a title or remark ("iron rivets") is the iron among the materials."""
    return column.column != "materials" and not any(other.strong_name for other in same)
