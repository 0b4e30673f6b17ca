"""The words of cells as data (``cell_words.toml``), and plain ways to look for them."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

_SPLIT = re.compile(r"\s*(?:[+,;/&|\n]|\b(?:and|und|et|en|y)\b)\s*")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its key and how many of the column's own unit (mm, g, h) it holds."""

    key: str
    factor: float


@dataclass(frozen=True, slots=True)
class Words:
    """All words, folded.  ``by_key`` names table -> key -> words; ``units`` kind -> spelling -> unit."""

    unknown: frozenset[str]
    nothing: frozenset[str]
    water_silent: frozenset[str]
    about: tuple[str, ...]
    bounds: tuple[str, ...]
    range_words: tuple[str, ...]
    negations: frozenset[str]
    by_key: Mapping[str, Mapping[str, tuple[str, ...]]]
    counts: Mapping[str, int]
    units: Mapping[str, Mapping[str, Unit]]
    then: Mapping[str, str]
    months: Mapping[str, int]
    weekdays: Mapping[str, int]


@lru_cache(maxsize=8192)  # a list says the same things over and over
def folded(text: str) -> str:
    """Lower case without accents, typographic quotes straight, spaces single."""
    if text.isascii():
        return " ".join(text.lower().split())
    apart = unicodedata.normalize("NFKD", text.casefold().replace("’", "'").replace("‘", "'"))
    return " ".join("".join(letter for letter in apart if not unicodedata.combining(letter)).split())


@cache
def words() -> Words:
    """The words of ``cell_words.toml``."""
    raw: dict[str, Any] = tomllib.loads(
        Path(__file__).with_name("cell_words.toml").read_text(encoding="utf-8")
    )
    tables = ("water", "wet_state", "wet_state_ask", "done_already")
    return Words(
        unknown=frozenset(_folded(raw["unknown"])),
        nothing=frozenset(_folded(raw["nothing"])),
        water_silent=frozenset(_folded(raw["water_silent"])),
        about=_folded(raw["about"]),
        bounds=_folded(raw["bounds"]),
        range_words=_folded(raw["range_words"]),
        negations=frozenset(_folded(raw["negations"])),
        by_key={table: {key: _folded(said) for key, said in raw[table].items()} for table in tables},
        counts={folded(word): int(count) for word, count in raw["counts"].items()},
        units={kind: _units(by_key) for kind, by_key in raw["units"].items()},
        then=dict(raw["then"]),
        months=_numbered(raw["months"]),
        weekdays=_numbered(raw["weekdays"]),
    )


def _folded(said: Iterable[str]) -> tuple[str, ...]:
    return tuple(folded(word) for word in said)


def _units(by_key: Mapping[str, tuple[float, list[str]]]) -> dict[str, Unit]:
    return {
        folded(spelling): Unit(key, factor)
        for key, (factor, spellings) in by_key.items()
        for spelling in spellings
    }


def _numbered(by_number: Mapping[str, list[str]]) -> dict[str, int]:
    return {folded(word): int(number) for number, said in by_number.items() for word in said}


def says_unknown(text: str) -> bool:
    """Whether a cell is blank or says that nobody knows."""
    told = folded(text)
    return not told or told in words().unknown


def pieces_of(text: str) -> list[str]:
    """A cell's pieces between ``+ , ; / &`` and *and*, folded, without question marks and full stops."""
    return [piece for raw in _SPLIT.split(folded(text)) if (piece := raw.strip(" ?!.'\"()"))]


def is_denied(piece: str) -> bool:
    """Whether a piece says that something is not so (*not rinsed*)."""
    return any(word in words().negations for word in piece.split())


def holds(piece: str, phrase: str) -> bool:
    """Whether a phrase stands in a piece as whole words."""
    at = piece.find(phrase)
    while at >= 0:
        before, after = piece[at - 1 : at], piece[at + len(phrase) : at + len(phrase) + 1]
        if not before.isalnum() and not after.isalnum():
            return True
        at = piece.find(phrase, at + 1)
    return False
