"""Which header means which column, and in which unit.

Names are data (``headers.toml``).  A header is compared by its letters and digits alone; a unit
beside the name (``L (cm)``, ``height_in``, ``Höhe mm``) is read apart, and only where it fits the column.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from strandline.exchange.failures import ListError, shortened
from strandline.things.listing import COLUMNS, Problem

KEEP = "keep"
"""What ``columns`` maps a header to that shall be kept and not read."""

OWN_UNIT: Mapping[str, str] = {"length": "mm", "mass": "g", "hours": "h"}
_INCH_MARK = re.compile(r"[(\[]\s*[\"″”]\s*[)\]]")
_FOOT_MARK = re.compile(r"[(\[]\s*['′’]\s*[)\]]")


@dataclass(frozen=True, slots=True)
class Names:
    """The known names: squashed name -> (column, unit or ''), the either-or names, units by kind."""

    columns: Mapping[str, tuple[str, str]]
    either: frozenset[str]
    either_columns: tuple[str, ...]
    units: Mapping[str, Mapping[str, str]]


@dataclass(frozen=True, slots=True)
class Read:
    """A header as it was understood: the columns it may be, best first, and the unit it names or ''."""

    columns: tuple[str, ...]
    unit: str


@dataclass(frozen=True, slots=True)
class HeaderPlan:
    """What each position of a row is.

    ``names`` are the headers, made unique (``Owner (2)``); '' where there is none.  ``targets`` name
    the column, or '' for a kept one.  ``units`` are by column, only where not the column's own.
    """

    names: tuple[str, ...]
    targets: tuple[str, ...]
    units: Mapping[str, str]
    problems: tuple[Problem, ...]

    @property
    def columns(self) -> dict[str, str]:
        """Header -> column, for those read."""
        return {name: column for name, column in zip(self.names, self.targets, strict=True) if column}

    @property
    def kept(self) -> tuple[str, ...]:
        """Headers that are kept and not read."""
        return tuple(
            name for name, column in zip(self.names, self.targets, strict=True) if name and not column
        )


def folded(text: str) -> str:
    """Lower case, accents taken off, anything but letters and digits a space."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(letter for letter in apart if not unicodedata.combining(letter))
    return " ".join("".join(letter if letter.isalnum() else " " for letter in bare).split())


def squashed(text: str) -> str:
    """Only the letters and digits of a name."""
    return folded(text).replace(" ", "")


@cache
def names() -> Names:
    """The names of ``headers.toml``; a name given to two columns is a fault of the file (ValueError)."""
    raw = tomllib.loads(Path(__file__).with_name("headers.toml").read_text(encoding="utf-8"))
    columns: dict[str, tuple[str, str]] = {squashed(column): (column, "") for column in COLUMNS}
    stated = [("", raw["names"]), *raw["names_with_unit"].items()]
    for unit, by_column in stated:
        for column, spellings in by_column.items():
            for spelling in spellings:
                if columns.setdefault(squashed(spelling), (column, unit)) != (column, unit):
                    raise ValueError(f"headers.toml gives the name '{spelling}' to two columns")
    units = {
        kind: {squashed(spelling): unit for unit, spellings in by_unit.items() for spelling in spellings}
        for kind, by_unit in raw["units"].items()
    }
    either = frozenset(squashed(name) for name in raw["either"]["names"])
    return Names(columns, either, tuple(raw["either"]["columns"]), units)


def kind_of_column(column: str) -> str:
    """Which kind of unit a column takes: length, mass, hours, or ''."""
    if column.endswith("_mm"):
        return "length"
    if column.endswith("_g"):
        return "mass"
    return "hours" if column in ("hours_wet", "under_water_h") else ""


def read_header(header: str) -> Read | None:
    """What a header means by its name, or None."""
    text = _FOOT_MARK.sub(" ft ", _INCH_MARK.sub(" in ", header))
    words = folded(text).split()
    whole = _named("".join(words), "")
    if whole or not words:
        return whole
    for left, right in ((0, 1), (1, 0), (0, 2)):  # "L cm", "cm L", "Länge in cm"
        rest = words[left : len(words) - right]
        if rest and (found := _named("".join(rest), words[-1] if right else words[0])):
            return found
    return _glued_unit("".join(words))


def _named(name: str, unit_word: str) -> Read | None:
    known = names()
    if name in known.columns:
        column, own = known.columns[name]
        found = Read((column,), own)
    elif name in known.either:
        found = Read(known.either_columns, "")
    else:
        return None
    if not unit_word:
        return found
    unit = unit_for(found.columns[0], unit_word)
    return Read(found.columns, unit) if unit and not found.unit else None


def _glued_unit(name: str) -> Read | None:
    """``heightMM``: a unit written on to the name, for the units that end no other word."""
    for unit in ("mm", "cm", "kg"):
        if name.endswith(unit) and (found := _named(name.removesuffix(unit), unit)):
            return found
    return None


def unit_for(column: str, word: str) -> str:
    """The unit a word spells, if it is one the column can have; else ''."""
    kind = kind_of_column(column)
    return names().units[kind].get(squashed(word), "") if kind else ""


def score(cells: Sequence[str], columns: Mapping[str, str] | None = None) -> int:
    """How many different columns a row of headers would give; 0 means: no header row.

    A lone letter (``L``) is no header unless another name is known beside it.
    """
    mapped = {squashed(header) or header for header in columns or ()}
    found: set[str] = set()
    letters = 0
    for cell in cells:
        name = squashed(cell)
        if cell.strip() and (name or cell.strip()) in mapped:
            found.add(f"mapped {name or cell.strip()}")
        elif read := read_header(cell):
            letters += len(name) == 1 and read.columns[0] not in found
            found.add(read.columns[0])
    return 0 if len(found) < 2 and letters == len(found) else len(found)


def check_mapping(columns: Mapping[str, str]) -> None:
    """Raise ListError if a mapping names a column there is none of, or one column twice."""
    for header, column in columns.items():
        if column not in COLUMNS and column != KEEP:
            raise ListError(
                f"--columns maps '{shortened(header)}' to '{shortened(column)}', which is no column; "
                f"use {KEEP} or one of: {', '.join(COLUMNS)}."
            )
    wanted = [column for column in columns.values() if column != KEEP]
    for column in wanted:
        if wanted.count(column) > 1:
            raise ListError(
                f"--columns maps two headers to '{column}'; choose one and map the other to {KEEP}."
            )


def plan_headers(
    cells: Sequence[str], row: int, columns: Mapping[str, str] | None = None, list_name: str = "the list"
) -> HeaderPlan:
    """Assign each header its column.  Raises ListError if ``columns`` names a header that is not there."""
    problems: list[Problem] = []
    unique = _made_unique(cells, row, problems)
    mapping = _positions(columns or {}, unique, list_name)
    targets = [""] * len(unique)
    units: dict[str, str] = {}
    for position, column in mapping.items():
        if column != KEEP:
            targets[position] = column
            _set_unit(units, column, _unit_in(unique[position], column))
    reads = {
        position: read
        for position, name in enumerate(unique)
        if name
        and position not in mapping
        and name == cells[position].strip()
        and (read := read_header(name))
    }
    for certain in (True, False):  # a depth may be length or width: decided when the others are
        for position, read in reads.items():
            if (len(read.columns) == 1) is certain:
                _assign(position, read, targets, units, unique, row, problems)
    return HeaderPlan(tuple(unique), tuple(targets), units, tuple(problems))


def _assign(
    position: int,
    read: Read,
    targets: list[str],
    units: dict[str, str],
    unique: list[str],
    row: int,
    problems: list[Problem],
) -> None:
    free = next((column for column in read.columns if column not in targets), "")
    if free:
        targets[position] = free
        _set_unit(units, free, read.unit)
        return
    column = read.columns[-1]
    holder = unique[targets.index(column)]
    reason = f"column {column} is already read from '{holder}'; '{unique[position]}' is kept and not read"
    problems.append(Problem(row, column, unique[position], reason))


def _set_unit(units: dict[str, str], column: str, unit: str) -> None:
    if unit and unit != OWN_UNIT[kind_of_column(column)]:
        units[column] = unit


def _unit_in(header: str, column: str) -> str:
    """The unit a mapped header names as its last word: its name was not read, so only that is looked at."""
    words = folded(_FOOT_MARK.sub(" ft ", _INCH_MARK.sub(" in ", header))).split()
    return unit_for(column, words[-1]) if words else ""


def _made_unique(cells: Sequence[str], row: int, problems: list[Problem]) -> list[str]:
    unique: list[str] = []
    for cell in cells:
        name = cell.strip()
        if name and name in unique:
            number = 2
            while f"{name} ({number})" in unique or f"{name} ({number})" in cells:
                number += 1
            reason = (
                f"the header '{shortened(name)}' stands twice; the later one is kept as '{name} ({number})'"
            )
            problems.append(Problem(row, name, name, reason))
            name = f"{name} ({number})"
        unique.append(name)
    return unique


def _positions(columns: Mapping[str, str], unique: list[str], list_name: str) -> dict[int, str]:
    """Position -> column for the mapped headers; a header is found as typed, else by its letters."""
    found: dict[int, str] = {}
    for header, column in columns.items():
        exact = [place for place, name in enumerate(unique) if name == header.strip()]
        alike = [place for place, name in enumerate(unique) if name and squashed(name) == squashed(header)]
        if not exact and (not alike or not squashed(header)):
            raise ListError(
                f"{list_name}: --columns names the header '{shortened(header)}', which the list does not "
                f"have; its headers are: {', '.join(shortened(name) for name in unique if name)}."
            )
        place = (exact or alike)[0]
        if place in found:
            raise ListError(
                f"{list_name}: --columns names the header '{shortened(unique[place])}' twice; name it once."
            )
        found[place] = column
    return found
