"""Sheets and boxes that covers are made of, read from ``numbers/covers.toml``."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from strandline.physics.enclosure import Sheet

FILE = Path(__file__).parent / "numbers" / "covers.toml"
CONFIDENCES = ("v", "m", "c")
_TEXTS = {"key", "name", "confidence", "note"}
_NUMBERS = {"sd_low_m", "sd_mid_m", "sd_high_m", "thickness_mm", "holds_water_kg_m2"}
_NEEDED = ("key", "name", "sd_low_m", "sd_mid_m", "sd_high_m", "source", "confidence")


class CoverError(ValueError):
    """The file of covers cannot be used; says file, row, field and reason."""


@dataclass(frozen=True, slots=True)
class CoverSheet:
    """One material of a cover, with where its numbers come from."""

    sheet: Sheet
    name: str
    source: tuple[str, ...]
    confidence: str
    thickness_mm: float | None = None
    holds_water_kg_m2: float = 0.0
    note: str = ""


def read_covers(text: str, name: str) -> Mapping[str, CoverSheet]:
    """The sheets of a file by key.  Raises CoverError at the first row that cannot be used."""
    try:
        held = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise CoverError(f"{name}: not valid TOML: {error}") from error
    found: dict[str, CoverSheet] = {}
    for number, row in enumerate(held.get("sheet", []), start=1):
        where = f"{name}: sheet {number} ({row.get('key', '?')})"
        one = _sheet(row, where)
        if one.sheet.key in found:
            raise CoverError(f"{where}: key: stands here twice")
        found[one.sheet.key] = one
    return MappingProxyType(found)


def _sheet(row: Mapping[str, Any], where: str) -> CoverSheet:
    """One row, checked."""
    for field in _NEEDED:
        if row.get(field) in (None, "", []):
            raise CoverError(f"{where}: {field}: is missing")
    for field, value in row.items():
        _check(field, value, where)
    try:
        sheet = Sheet(
            str(row["key"]), float(row["sd_low_m"]), float(row["sd_mid_m"]), float(row["sd_high_m"])
        )
    except ValueError as error:
        raise CoverError(f"{where}: {error}") from error
    thickness = row.get("thickness_mm")
    return CoverSheet(
        sheet=sheet,
        name=str(row["name"]),
        source=tuple(row["source"]),
        confidence=str(row["confidence"]),
        thickness_mm=None if thickness is None else float(thickness),
        holds_water_kg_m2=float(row.get("holds_water_kg_m2", 0.0)),
        note=str(row.get("note", "")),
    )


def _check(field: str, value: object, where: str) -> None:
    """Refuse a field that is not known or not of its type."""
    if field in _TEXTS:
        good = isinstance(value, str)
    elif field in _NUMBERS:
        good = isinstance(value, int | float) and not isinstance(value, bool) and value > 0.0
    elif field == "source":
        good = isinstance(value, list) and all(isinstance(key, str) for key in value)
    else:
        raise CoverError(f"{where}: {field}: is not a field of a sheet")
    if not good:
        raise CoverError(f"{where}: {field}: '{value}' will not do")
    if field == "confidence" and value not in CONFIDENCES:
        raise CoverError(f"{where}: confidence: '{value}' is none of {', '.join(CONFIDENCES)}")


@cache
def covers() -> Mapping[str, CoverSheet]:
    """The sheets that ship, by key."""
    return read_covers(FILE.read_text(encoding="utf-8"), FILE.name)
