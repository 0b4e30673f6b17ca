"""How thick such things usually are, by what they are called and made of (``numbers/thicknesses.toml``).

These bands stand in where nobody gave a thickness. They are wide on purpose.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

FILE = Path(__file__).parent / "numbers" / "thicknesses.toml"
Band = tuple[float, float, float]
TABLES = ("thing", "kind")
SHAPES = ("plane", "cylinder")
CONFIDENCES = ("v", "m", "c")
FIELDS = (
    "key", "name", "words", "families", "materials", "low_mm", "mid_mm", "high_mm", "shape", "always", "note",
    "source", "confidence",
)  # fmt: skip
NEEDED = ("key", "name", "low_mm", "mid_mm", "high_mm", "shape", "source", "confidence")
LEAST_FACTOR = 3.0
"""No band is narrower, high over low: nobody knows the thickness of a thing unseen better than that."""

THINNEST_MM, THICKEST_MM = 0.01, 1000.0
LONG_ENOUGH, BEFORE = 4, 3
"""Letters a word has at least to be looked for at the end of another, and letters that stand before it then,
as in toolchest and not in stray; box and jar too."""


class ThicknessError(ValueError):
    """The file of thicknesses cannot be used; says row, field and reason."""


@dataclass(frozen=True, slots=True)
class Row:
    """One band with what it holds for. ``always``: what the thing is called says nothing of it."""

    key: str
    name: str
    words: tuple[str, ...]
    families: tuple[str, ...]
    materials: tuple[str, ...]
    band_mm: Band
    shape: str
    always: bool
    note: str
    source: tuple[str, ...]
    confidence: str

    def fits(self, material: str, family: str) -> bool:
        """Whether it holds for a material, or for the family of it."""
        return material in self.materials or family in self.families


@dataclass(frozen=True, slots=True)
class Usual:
    """The usual thickness of a part: a band over every row that fits, with their names and notes."""

    band_mm: Band
    shape: str
    keys: tuple[str, ...]
    name: str
    notes: tuple[str, ...]
    source: tuple[str, ...]
    confidence: str


Tables = Mapping[str, Mapping[str, Row]]


@cache
def thicknesses() -> Tables:
    """Tables ``thing`` and ``kind``, each by key.  Raises ThicknessError."""
    return read_thicknesses(FILE.read_text(encoding="utf-8"), FILE.name)


def usual(material: str, family: str, *texts: str) -> Usual | None:
    """The usual thickness of a part, by words where a text names a thing, else by its material.

    The nearest text comes first: what is said of the part, then what is said of the object. Several words of
    one text give the widest band of all of them. None where nothing is known even of the family.
    """
    kind = _kind(material, family)
    if kind is not None and kind.always:
        return _over([kind])
    rows = [row for row in thicknesses()["thing"].values() if row.fits(material, family)]
    for text in texts:
        if named := [row for row in rows if names(text, row.words, _every_word())]:
            return _over(named)
    return _over([kind]) if kind is not None else None


def _kind(material: str, family: str) -> Row | None:
    """The row of a material; of its family where the material has none."""
    kinds = thicknesses()["kind"].values()
    own = next((row for row in kinds if material in row.materials), None)
    return own or next((row for row in kinds if family in row.families), None)


def _over(rows: list[Row]) -> Usual:
    """One band over several rows: the least low, the greatest high, the middle of the middles."""
    low, high = min(row.band_mm[0] for row in rows), max(row.band_mm[2] for row in rows)
    mid = math.exp(sum(math.log(row.band_mm[1]) for row in rows) / len(rows))
    # Of a plane and a cylinder of one thickness the plane dries later.
    shape = "cylinder" if all(row.shape == "cylinder" for row in rows) else "plane"
    return Usual(
        (low, float(f"{mid:.3g}"), high),
        shape,
        tuple(row.key for row in rows),
        ", ".join(row.name for row in rows),
        tuple(dict.fromkeys(row.note for row in rows if row.note)),
        tuple(dict.fromkeys(key for row in rows for key in row.source)),
        max((row.confidence for row in rows), key=CONFIDENCES.index),
    )


@cache
def _every_word() -> frozenset[str]:
    """All words of all things."""
    return frozenset(_spelled(word) for row in thicknesses()["thing"].values() for word in row.words)


def names(text: str, words: Iterable[str], known: frozenset[str] = frozenset()) -> bool:
    """Whether a text has one of the words: alone, as a plural, or at the end of a longer one.

    What is ``known`` as a word by itself is not looked at for its end: a ferrule is no rule.
    """
    plain = _spelled(text)
    singles = [{one, one.removesuffix("s"), one.removesuffix("es")} for one in plain.split()]
    longer = [single for ways in singles if not ways & known for single in ways]
    for word in map(_spelled, words):
        if " " in word:
            if f" {word} " in f" {plain} ":
                return True
        elif any(word in ways for ways in singles) or (
            (len(word) >= LONG_ENOUGH or word in {"box", "jar"})
            and any(one.endswith(word) and len(one) >= len(word) + BEFORE for one in longer)
        ):
            return True
    return False


def _spelled(text: str) -> str:
    """Words in lower case with single spaces, without signs."""
    return " ".join(re.findall(r"[^\W\d_]+", re.sub("['’]", "", text.lower())))


def read_thicknesses(text: str, name: str) -> Tables:
    """The tables of a file.  Raises ThicknessError at the first row that cannot be used."""
    try:
        held = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ThicknessError(f"{name}: not valid TOML: {error}") from error
    if unknown := sorted(held.keys() - set(TABLES)):
        raise ThicknessError(f"{name}: '{unknown[0]}' is not known; there are {', '.join(TABLES)}")
    tables: dict[str, Mapping[str, Row]] = {}
    for table in TABLES:
        given = held.get(table)
        if not isinstance(given, list) or not all(isinstance(row, dict) for row in given):
            raise ThicknessError(f"{name}: {table}: there is no [[{table}]]")
        rows = [_row(row, table, f"{name}: {table} {n}") for n, row in enumerate(given, start=1)]
        tables[table] = MappingProxyType({row.key: row for row in rows})
        if len(tables[table]) != len(rows):
            raise ThicknessError(f"{name}: {table}: a key stands there twice")
    return MappingProxyType(tables)


def _row(row: Mapping[str, Any], table: str, where: str) -> Row:
    """One row, checked."""
    where = f"{where} ({row.get('key', '?')})"
    for field in NEEDED:
        if not row.get(field):
            raise ThicknessError(f"{where}: {field}: is missing")
    if unknown := sorted(row.keys() - set(FIELDS)):
        raise ThicknessError(f"{where}: {unknown[0]}: is not a field here")
    words, families, materials, source = (
        _texts(row.get(field, []), f"{where}: {field}")
        for field in ("words", "families", "materials", "source")
    )
    if not families and not materials:
        raise ThicknessError(f"{where}: materials: it holds for no material and no family")
    if bool(words) != (table == "thing"):
        raise ThicknessError(f"{where}: words: a thing has some, a kind has none")
    if any(word != word.lower().strip() for word in words):
        raise ThicknessError(f"{where}: words: must be in lower case")
    always = row.get("always", False)
    if not isinstance(always, bool) or (always and table == "thing"):
        raise ThicknessError(f"{where}: always: is true or false, and of a kind")
    for field, known in (("shape", SHAPES), ("confidence", CONFIDENCES)):
        if row[field] not in known:
            raise ThicknessError(f"{where}: {field}: '{row[field]}' is none of {', '.join(known)}")
    if not isinstance(note := row.get("note", ""), str):
        raise ThicknessError(f"{where}: note: must be a text")
    return Row(
        str(row["key"]), str(row["name"]), words, families, materials, _band(row, where), row["shape"],
        always, note, source, row["confidence"],
    )  # fmt: skip


def _texts(given: object, where: str) -> tuple[str, ...]:
    """A list of texts."""
    if not isinstance(given, list) or not all(isinstance(one, str) and one for one in given):
        raise ThicknessError(f"{where}: must be a list of texts")
    return tuple(given)


def _band(row: Mapping[str, Any], where: str) -> Band:
    """Low, middle and high: rising, of a size there is, and wide enough."""
    numbers = []
    for field in ("low_mm", "mid_mm", "high_mm"):
        one = row[field]
        if type(one) not in (int, float) or not THINNEST_MM <= one <= THICKEST_MM:
            raise ThicknessError(
                f"{where}: {field}: must be a number from {THINNEST_MM:g} to {THICKEST_MM:g}"
            )
        numbers.append(float(one))
    low, mid, high = numbers
    if not low < mid < high:
        raise ThicknessError(f"{where}: mid_mm: must lie between low_mm and high_mm")
    if high < LEAST_FACTOR * low:
        raise ThicknessError(f"{where}: high_mm: must be at least {LEAST_FACTOR:g} times low_mm")
    return low, mid, high
