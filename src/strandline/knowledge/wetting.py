"""How water gets into timber, what coatings hold back, how fast air takes water up
(``numbers/wetting.toml``)."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

FILE = Path(__file__).parent / "numbers" / "wetting.toml"
Band = tuple[float, float, float]
CONFIDENCES = ("v", "m", "c")


class WettingError(ValueError):
    """The file of wetting cannot be used; says row, field and reason."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its bands by field, and where they come from."""

    key: str
    name: str
    bands: Mapping[str, Band]
    source: tuple[str, ...]
    confidence: str


FIELDS = {
    "uptake": ("absorption_kg_m2_s05",),
    "coating": ("sd_m", "uptake_share"),
    "air": ("conductance_m_s",),
}


@cache
def wetting() -> Mapping[str, Mapping[str, Row]]:
    """Tables ``uptake``, ``coating`` and ``air``, each by key.  Raises WettingError."""
    return read_wetting(FILE.read_text(encoding="utf-8"), FILE.name)


def coating_row(key: str) -> Row:
    """The row of a coating.  Raises KeyError, which names those known."""
    rows = wetting()["coating"]
    if key not in rows:
        raise KeyError(f"coating '{key}' is not known; there are {', '.join(rows)}")
    return rows[key]


def read_wetting(text: str, name: str) -> Mapping[str, Mapping[str, Row]]:
    """The tables of a file.  Raises WettingError at the first row that cannot be used."""
    try:
        held = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise WettingError(f"{name}: not valid TOML: {error}") from error
    if unknown := sorted(held.keys() - FIELDS.keys()):
        raise WettingError(f"{name}: '{unknown[0]}' is not known; there are {', '.join(FIELDS)}")
    tables: dict[str, Mapping[str, Row]] = {}
    for table, fields in FIELDS.items():
        given = held.get(table)
        if not isinstance(given, list) or not all(isinstance(row, dict) for row in given):
            raise WettingError(f"{name}: {table}: there is no [[{table}]]")
        rows = [_row(row, fields, f"{name}: {table} {n}") for n, row in enumerate(given, start=1)]
        tables[table] = MappingProxyType({row.key: row for row in rows})
        if len(tables[table]) != len(rows):
            raise WettingError(f"{name}: {table}: a key stands there twice")
    return MappingProxyType(tables)


def _row(row: Mapping[str, Any], fields: tuple[str, ...], where: str) -> Row:
    """One row, checked."""
    where = f"{where} ({row.get('key', '?')})"
    for field in ("key", "name", "source", "confidence", *fields):
        if not row.get(field):
            raise WettingError(f"{where}: {field}: is missing")
    if unknown := sorted(row.keys() - {"key", "name", "source", "confidence", *fields}):
        raise WettingError(f"{where}: {unknown[0]}: is not a field here")
    if row["confidence"] not in CONFIDENCES:
        raise WettingError(f"{where}: confidence: '{row['confidence']}' is none of {', '.join(CONFIDENCES)}")
    if not isinstance(row["source"], list):
        raise WettingError(f"{where}: source: must be a list of keys")
    bands = {field: _band(row[field], f"{where}: {field}") for field in fields}
    return Row(row["key"], row["name"], MappingProxyType(bands), tuple(row["source"]), row["confidence"])


def _band(given: object, where: str) -> Band:
    """Low, middle and high."""
    numbers = [one for one in given if type(one) in (int, float)] if isinstance(given, list) else []
    if len(numbers) != 3 or not isinstance(given, list) or len(given) != 3 or not math.isfinite(sum(numbers)):
        raise WettingError(f"{where}: must be low, middle and high")
    low, middle, high = map(float, numbers)
    if not 0.0 <= low <= middle <= high:
        raise WettingError(f"{where}: must rise from 0 or above")
    return low, middle, high
