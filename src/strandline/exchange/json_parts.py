"""Parts and joins as a JSON list states them, checked against the knowledge's keys."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from strandline.exchange.encodings import clean
from strandline.exchange.failures import shortened
from strandline.exchange.json_text import as_text
from strandline.knowledge.base import Knowledge, shipped
from strandline.knowledge.models import FAMILIES, JOIN_KINDS
from strandline.things.facts import Join, KnownBy, Part
from strandline.things.listing import Problem

PART_KEYS = ("id", "name", "material", "species", "features", "thickness_mm", "exposed")
JOIN_KEYS = ("id", "kind", "parts")
UNKNOWN = "unknown"
MAX_THICKNESS_MM = 100_000.0


class PartReader:
    """Reads parts and joins; what does not fit is told in ``problems`` and becomes unknown."""

    def __init__(self, problems: list[Problem], knowledge: Knowledge | None = None) -> None:
        self._problems = problems
        self._given = knowledge

    @property
    def _knowledge(self) -> Knowledge:
        return self._given or shipped()

    def parts(self, row: int, value: Any, kept: dict[str, str]) -> tuple[Part, ...] | None:
        """The parts of one object; None where it states none."""
        entries = self._entries(row, "parts", value, kept)
        if entries is None:
            return None
        stated = {_string(entry.get("id")) for _, entry in entries}
        found: list[Part] = []
        for number, entry in entries:
            taken = {part.id for part in found}
            wanted = _string(entry.get("id")) or _allotted("p", number, stated | taken)
            found.append(self._part(row, entry, self._free(row, "parts", wanted, taken), kept))
        return tuple(found)

    def joins(
        self, row: int, value: Any, parts: Sequence[Part], kept: dict[str, str]
    ) -> tuple[Join, ...] | None:
        """The joins of one object; None where it states none.

        One that does not name two parts is kept as text.
        """
        entries = self._entries(row, "joins", value, kept)
        if entries is None:
            return None
        ids = {part.id for part in parts}
        stated = {_string(entry.get("id")) for _, entry in entries}
        found: list[Join] = []
        for number, entry in entries:
            ends = _ends(entry.get("parts"), ids)
            if ends is None:
                kept[f"joins[{number}]"] = as_text(entry)
                self._note(
                    row, "joins", as_text(entry), "a join must name two different parts of the object by id"
                )
                continue
            taken = {join.id for join in found}
            wanted = _string(entry.get("id")) or _allotted("j", number, stated | taken)
            name = self._free(row, "joins", wanted, taken)
            self._keep(entry, JOIN_KEYS, name, kept)
            kind = self._known(row, "joins", entry.get("kind"), JOIN_KINDS, "a kind of join") or UNKNOWN
            found.append(Join(name, kind, ends))
        return tuple(found)

    def _entries(
        self, row: int, column: str, value: Any, kept: dict[str, str]
    ) -> list[tuple[int, dict[str, Any]]] | None:
        if value is None:
            return None
        if not isinstance(value, list):
            kept[column] = as_text(value)
            self._note(row, column, as_text(value), f"{column} must be an array; kept and not read")
            return None
        found = []
        for number, entry in enumerate(value, start=1):
            if isinstance(entry, dict):
                found.append((number, entry))
            else:
                kept[f"{column}[{number}]"] = as_text(entry)
                self._note(row, column, as_text(entry), f"an entry of {column} must be an object in braces")
        return found

    def _free(self, row: int, column: str, wanted: str, taken: set[str]) -> str:
        """An id as stated, or the next free one like it, told."""
        name, number = wanted, 2
        while name in taken:
            name, number = f"{wanted}-{number}", number + 1
        if name != wanted:
            self._note(row, column, wanted, f"the id '{wanted}' stands twice; the later one became '{name}'")
        return name

    def _part(self, row: int, entry: Mapping[str, Any], name: str, kept: dict[str, str]) -> Part:
        material, family, known_by = self._material(row, entry.get("material"))
        features = self._features(row, entry.get("features"), name, kept)
        thickness = self._thickness(row, entry.get("thickness_mm"))
        self._keep(entry, PART_KEYS, name, kept)
        surface = any(self._knowledge.features[key].surface for key in features)
        return Part(
            id=name,
            name=_string(entry.get("name")),
            material=material,
            family=family,
            known_by=known_by,
            species=_string(entry.get("species")),
            thickness_mm=thickness,
            thickness_by="unknown" if thickness is None else "stated",
            exposed=self._exposed(row, entry.get("exposed")),
            features=features,
            surface="stated" if surface else "silent",
        )

    def _material(self, row: int, value: Any) -> tuple[str, str, KnownBy]:
        """Material, family and how known: a key, a family (or ``<family>_unknown``), or unknown."""
        key = _string(value)
        if key in self._knowledge.materials:
            return key, self._knowledge.materials[key].family, "stated"
        family = key.removesuffix("_unknown")
        if key in ("", UNKNOWN):
            return UNKNOWN, UNKNOWN, "unknown"
        if family in FAMILIES and family != UNKNOWN:
            return f"{family}_unknown", family, "family_worst"
        reason = f"'{shortened(key)}' is no material or family the knowledge has; taken as unknown"
        self._note(row, "parts", as_text(value), reason)
        return UNKNOWN, UNKNOWN, "unknown"

    def _features(self, row: int, value: Any, part: str, kept: dict[str, str]) -> tuple[str, ...]:
        if value is None:
            return ()
        if not isinstance(value, list):
            kept[f"{part}.features"] = as_text(value)
            self._note(
                row, "parts", as_text(value), "a part's features must be an array of keys; kept, not read"
            )
            return ()
        known = tuple(self._knowledge.features)
        found = {self._known(row, "parts", item, known, "a feature") for item in value}
        unread = [item for item in value if _string(item) not in known]
        if unread:
            kept[f"{part}.features"] = as_text(unread)
        return tuple(sorted(found - {""}))

    def _thickness(self, row: int, value: Any) -> float | None:
        """Thickness in mm; 0 is unknown."""
        if value is None:
            return None
        try:
            thickness = float(value) if isinstance(value, str) else math.nan
        except ValueError:
            thickness = math.nan
        if not 0 <= thickness <= MAX_THICKNESS_MM:
            reason = (
                f"thickness_mm must be a number of mm; got '{shortened(as_text(value))}'; taken as unknown"
            )
            self._note(row, "thickness_mm", as_text(value), reason)
            return None
        return thickness or None

    def _exposed(self, row: int, value: Any) -> bool:
        if value is None or isinstance(value, bool):
            return value is not False
        self._note(row, "parts", as_text(value), "exposed must be true or false; taken as true")
        return True

    def _known(self, row: int, column: str, value: Any, known: Sequence[str], what: str) -> str:
        """The value if it is one of the known keys, else '' and a note (none for null)."""
        if isinstance(value, str) and value in known:
            return str(value)
        if value is not None:
            self._note(
                row, column, as_text(value), f"'{shortened(as_text(value))}' is not {what} the tool knows"
            )
        return ""

    def _keep(self, entry: Mapping[str, Any], read: Sequence[str], name: str, kept: dict[str, str]) -> None:
        for key, value in entry.items():
            if key not in read:
                kept[f"{name}.{clean(key).text}"] = as_text(value)

    def _note(self, row: int, column: str, value: str, reason: str) -> None:
        self._problems.append(Problem(row, column, shortened(value), reason))


def _allotted(letter: str, number: int, taken: set[str]) -> str:
    """The id of an entry that states none: ``p3`` for the third, or the next that is free."""
    while f"{letter}{number}" in taken:
        number += 1
    return f"{letter}{number}"


def _ends(value: Any, ids: set[str]) -> tuple[str, str] | None:
    """The two different parts a join names, if the object has them."""
    if not isinstance(value, list) or len(value) != 2:
        return None
    first, second = _string(value[0]), _string(value[1])
    return (first, second) if first != second and {first, second} <= ids else None


def _string(value: Any) -> str:
    return clean(value).text if isinstance(value, str) else ""
