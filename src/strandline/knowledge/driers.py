"""Kinds of driers and first estimates, read from ``numbers/driers.toml``."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from strandline.physics.dehumidifier import DESICCANT, REFRIGERANT, Curve, DrierKind, Ramp

FILE = Path(__file__).parent / "numbers" / "driers.toml"
CONFIDENCES = ("v", "m", "c")
Made = TypeVar("Made")


class DrierError(ValueError):
    """The file of driers cannot be used; says file, row, field and reason."""


@dataclass(frozen=True, slots=True)
class Wetness:
    """A class of wet building; a divisor of 0 means that it is not dried with that kind of machine."""

    key: str
    porous_share_low: float
    porous_share_high: float
    divisor_plain: float
    divisor_low_grain: float
    desiccant_changes_per_h: float


@dataclass(frozen=True, slots=True)
class Known:
    """A row's name, sources, confidence and note."""

    name: str
    source: tuple[str, ...]
    confidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Driers:
    """All of the file: curves, kinds and classes by key, and where each row comes from, by table and key."""

    curves: Mapping[str, Curve]
    kinds: Mapping[str, DrierKind]
    wetness: Mapping[str, Wetness]
    known: Mapping[tuple[str, str], Known]


def read_driers(text: str, name: str) -> Driers:
    """The contents of a file.  Raises DrierError at the first row that cannot be used."""
    try:
        held = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DrierError(f"{name}: not valid TOML: {error}") from error
    unknown = held.keys() - {"curve", "kind", "wetness"}
    if unknown:
        raise DrierError(f"{name}: table '{min(unknown)}' is not known")
    known: dict[tuple[str, str], Known] = {}
    curves = _table(held, "curve", name, known, _curve)
    kinds = _table(held, "kind", name, known, lambda row: _kind(row, curves))
    return Driers(curves, kinds, _table(held, "wetness", name, known, _wetness), MappingProxyType(known))


def _table(
    held: Mapping[str, Any],
    table: str,
    name: str,
    known: dict[tuple[str, str], Known],
    make: Callable[[Mapping[str, Any]], Made],
) -> Mapping[str, Made]:
    """The rows of one table, each made and its origin noted."""
    found: dict[str, Made] = {}
    for number, row in enumerate(held.get(table, []), start=1):
        where = f"{name}: {table} {number} ({row.get('key', '?')})"
        try:
            key = str(row["key"])
            made = make(row)
            origin = Known(
                str(row.get("name", key)),
                tuple(row["source"]),
                str(row["confidence"]),
                str(row.get("note", "")),
            )
        except KeyError as error:
            raise DrierError(f"{where}: {error.args[0]}: is missing or not known") from error
        except (TypeError, ValueError) as error:
            raise DrierError(f"{where}: {error}") from error
        if origin.confidence not in CONFIDENCES:
            raise DrierError(
                f"{where}: confidence: '{origin.confidence}' is none of {', '.join(CONFIDENCES)}"
            )
        if key in found:
            raise DrierError(f"{where}: key: stands here twice")
        found[key] = made
        known[(table, key)] = origin
    return MappingProxyType(found)


def _pair(row: Mapping[str, Any], field: str) -> tuple[float, float]:
    first, second = (float(one) for one in row[field])
    if not first < second:
        raise ValueError(f"{field}: the first must be below the second")
    return first, second


def _curve(row: Mapping[str, Any]) -> Curve:
    """One second-degree form and its range."""
    return Curve(
        constant=float(row["constant"]),
        temp=float(row["temp"]),
        temp2=float(row["temp2"]),
        rh=float(row["rh"]),
        rh2=float(row["rh2"]),
        temp_rh=float(row["temp_rh"]),
        temp_range_c=(float(row["temp_low_c"]), float(row["temp_high_c"])),
        rh_range=(float(row["rh_low"]), float(row["rh_high"])),
    )


def _kind(row: Mapping[str, Any], curves: Mapping[str, Curve]) -> DrierKind:
    """One kind of machine."""
    family = str(row["family"])
    if family not in (REFRIGERANT, DESICCANT):
        raise ValueError(f"family: '{family}' is neither {REFRIGERANT} nor {DESICCANT}")
    wanted = tuple(curves[key] for key in row["curves"])
    if (family == REFRIGERANT) != bool(wanted):
        raise ValueError("curves: a refrigerant machine has some, a desiccant wheel none")
    low, mid, high = (Ramp(*_pair(row, f"frost_{which}_c")) for which in ("low", "mid", "high"))
    least, likely, most = (float(one) for one in row["exponents"])
    return DrierKind(
        key=str(row["key"]),
        family=family,
        curves=wanted,
        frost=(low, mid, high),
        spread_low=float(row["spread_low"]),
        spread_high=float(row["spread_high"]),
        exponents=(least, likely, most),
        rated_temp_c=float(row["rated_temp_c"]),
        rated_rh=float(row["rated_rh"]),
    )


def _wetness(row: Mapping[str, Any]) -> Wetness:
    """One class of wet building."""
    return Wetness(
        str(row["key"]),
        float(row["porous_share_low"]),
        float(row["porous_share_high"]),
        float(row["divisor_plain"]),
        float(row["divisor_low_grain"]),
        float(row["desiccant_changes_per_h"]),
    )


@cache
def driers() -> Driers:
    """What ships."""
    return read_driers(FILE.read_text(encoding="utf-8"), FILE.name)
