"""Metals as numbers: anodic index, differences allowed in a couple, critical relative humidities.

They stand in ``numbers/metals.toml``; every row has its source and a confidence (v read, m from memory,
c common practice).
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

FILE = Path(__file__).parent / "numbers" / "metals.toml"
CONFIDENCES = ("v", "m", "c")
TEXTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "anodic_index": ("key", "name"),
        "allowed_difference": ("key",),
        "critical_rh": ("key", "metal", "condition", "meaning"),
    }
)
VALUES: Mapping[str, tuple[str, float]] = MappingProxyType(
    {
        "anodic_index": ("index_v", 2.0),
        "allowed_difference": ("difference_v", 1.0),
        "critical_rh": ("rh", 1.0),
    }
)
"""The number of a row of each table, and the most it can be."""


class MetalsError(ValueError):
    """The file of metals cannot be used; ``problems`` lists every reason found."""

    def __init__(self, problems: list[str]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


@dataclass(frozen=True, slots=True)
class MetalNumber:
    """One row: what it is of, its number, its sources and how sure it is."""

    key: str
    value: float
    source: tuple[str, ...]
    confidence: str
    name: str = ""
    metal: str = ""
    condition: str = ""
    meaning: str = ""


@dataclass(frozen=True, slots=True)
class Metals:
    """The three tables, each by key."""

    anodic_index: Mapping[str, MetalNumber]
    allowed_difference: Mapping[str, MetalNumber]
    critical_rh: Mapping[str, MetalNumber]


def read_metals(text: str, name: str) -> Metals:
    """The tables of one file.  Raises MetalsError with every problem, each with row, field and reason."""
    try:
        held = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise MetalsError([f"{name}: not valid TOML: {error}"]) from error
    problems = [f"{name}: '{table}' is not known here" for table in sorted(held.keys() - VALUES.keys())]
    tables: dict[str, Mapping[str, MetalNumber]] = {}
    for table in VALUES:
        rows: dict[str, MetalNumber] = {}
        for number, row in enumerate(held.get(table, []), start=1):
            label = f"{name}: {table} {number} ({row.get('key', '?')})"
            wrong = list(_problems(table, row))
            if row.get("key") in rows:
                wrong.append("key: stands here twice")
            problems += [f"{label}: {one}" for one in wrong]
            if not wrong:
                rows[row["key"]] = _number(table, row)
        tables[table] = MappingProxyType(rows)
    if problems:
        raise MetalsError(problems)
    return Metals(**tables)


def _problems(table: str, row: Mapping[str, Any]) -> Iterator[str]:
    """What is wrong with one row, as ``field: reason``."""
    value_field, most = VALUES[table]
    texts = TEXTS[table]
    known = {*texts, value_field, "source", "confidence"}
    yield from (f"{field}: is not a field of this table" for field in sorted(row.keys() - known))
    for field in texts:
        if not isinstance(row.get(field), str) or not row[field].strip():
            yield f"{field}: is no text"
    value = row.get(value_field)
    if not isinstance(value, int | float) or isinstance(value, bool) or not 0.0 <= value <= most:
        yield f"{value_field}: is no number from 0 to {most:g}"
    if row.get("confidence") not in CONFIDENCES:
        yield f"confidence: is not one of {', '.join(CONFIDENCES)}"
    source = row.get("source")
    if not isinstance(source, list) or not all(isinstance(key, str) for key in source):
        yield "source: is no list of keys"
    elif not source and row.get("confidence") != "c":
        yield "source: is empty"


def _number(table: str, row: Mapping[str, Any]) -> MetalNumber:
    return MetalNumber(
        key=row["key"],
        value=float(row[VALUES[table][0]]),
        source=tuple(row["source"]),
        confidence=row["confidence"],
        **{field: row[field] for field in TEXTS[table] if field != "key"},
    )


@cache
def metals() -> Metals:
    """The tables that ship.  Raises MetalsError."""
    return read_metals(FILE.read_text(encoding="utf-8"), FILE.name)


def anodic_index_v(key: str) -> float:
    """Anodic index of a metal.  Raises MetalsError for one that is not in the table."""
    return _one("anodic_index", metals().anodic_index, key).value


def critical_rh(key: str) -> float:
    """Critical relative humidity of a metal in one condition.  Raises MetalsError for an unknown key."""
    return _one("critical_rh", metals().critical_rh, key).value


def critical_of(metal: str) -> tuple[MetalNumber, ...]:
    """All critical humidities of one metal, lowest first."""
    found = (row for row in metals().critical_rh.values() if row.metal == metal)
    return tuple(sorted(found, key=lambda row: (row.value, row.key)))


def _one(table: str, rows: Mapping[str, MetalNumber], key: str) -> MetalNumber:
    if key not in rows:
        raise MetalsError([f"{FILE.name}: {table}: '{key}' is not one of {', '.join(rows)}"])
    return rows[key]
