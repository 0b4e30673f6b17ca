"""How fast water moves in a wood, times the general law: measured, of its genus, or the general band
(``numbers/wood_diffusivities.toml``)."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from strandline.knowledge import timbers
from strandline.knowledge.timbers import Timber

FILE = Path(__file__).parent / "numbers" / "wood_diffusivities.toml"
Band = tuple[float, float, float]
CONFIDENCES = ("v", "m", "c")
TEXTS = ("key", "name", "genus", "conditions", "origin", "place", "boards")
FIELDS = {*TEXTS, "woods", "factor", "source", "confidence"}
GENERAL_FIELDS = {"factor", "boards", "source", "confidence"}
GENUS_FIELDS = {"wider", "source", "confidence"}
MOST_WIDER = 10.0
NONE_MEASURED = "none measured for this wood; general band"


class WoodDiffusivityError(ValueError):
    """The file of diffusivities cannot be used; says row, field and reason."""


@dataclass(frozen=True, slots=True)
class Measured:
    """A wood that was measured: its factor, under which conditions, from which data, and where they stand.

    ``boards``: what is known of how long its boards take, which is no origin of the factor.
    """

    key: str
    name: str
    woods: tuple[str, ...]
    genus: str
    factor: Band
    conditions: str
    origin: str
    place: str
    boards: str
    source: tuple[str, ...]
    confidence: str


@dataclass(frozen=True, slots=True)
class WoodFactor:
    """Diffusivity over the law's for one timber or an envelope.

    ``told``: on which wood it was measured, or that none was. ``by``: measured, genus, general or several.
    ``boards``: what published times of boards say of it.
    """

    band: Band
    told: str
    by: str
    boards: str
    source: tuple[str, ...]
    confidence: str


@dataclass(frozen=True, slots=True)
class Held:
    """The whole file."""

    general: WoodFactor
    genus_wider: float
    genus_source: tuple[str, ...]
    genus_confidence: str
    measured: tuple[Measured, ...]


@cache
def wood_diffusivities() -> Held:
    """What ships.  Raises WoodDiffusivityError."""
    return read_wood_diffusivities(FILE.read_text(encoding="utf-8"), FILE.name)


def factor_of(timber: Timber, held: Held | None = None) -> WoodFactor:
    """The factor of a timber: its own, else its genus' with a wider band, else the general one.

    An envelope has the lowest low, the geometric mean of the middles and the highest high of its members.
    """
    held = held or wood_diffusivities()
    if timber.members:
        return _spanned([_of_one(timbers.timber(key), held) for key in timber.members], held)
    return _of_one(timber, held)


def _of_one(timber: Timber, held: Held) -> WoodFactor:
    """The factor of a single wood."""
    own = [row for row in held.measured if timber.key in row.woods]
    if own:
        row = own[0]
        told = f"measured on {row.name}"
        return WoodFactor(row.factor, told, "measured", row.boards, row.source, row.confidence)
    genera = {name.split()[0] for name in timber.botanical.split(", ") if name}
    kin = [row for row in held.measured if genera == {row.genus}]
    if not kin:
        return held.general
    low, middle, high = _envelope([row.factor for row in kin])
    return WoodFactor(
        (low / held.genus_wider, middle, high * held.genus_wider),
        f"measured on {' and '.join(row.name for row in kin)}, stands for its genus",
        "genus",
        _boards([row.boards for row in kin], held),
        tuple(dict.fromkeys([*(key for row in kin for key in row.source), *held.genus_source])),
        max((held.genus_confidence, *(row.confidence for row in kin)), key=CONFIDENCES.index),
    )


def _envelope(bands: Sequence[Band]) -> Band:
    """The lowest low, the geometric mean of the middles, the highest high."""
    middle = math.exp(sum(math.log(band[1]) for band in bands) / len(bands))
    return min(band[0] for band in bands), middle, max(band[2] for band in bands)


def _boards(said: Sequence[str], held: Held) -> str:
    """What all of several woods have in common of their boards, else what is said of any wood."""
    return said[0] if len(set(said)) == 1 else held.general.boards


def _spanned(some: Sequence[WoodFactor], held: Held) -> WoodFactor:
    """Several factors as one that is no narrower than any of them."""
    if len(set(some)) == 1:
        return some[0]
    return WoodFactor(
        _envelope([one.band for one in some]),
        _counted(some),
        "several",
        _boards([one.boards for one in some], held),
        tuple(dict.fromkeys(key for one in some for key in one.source)),
        max((one.confidence for one in some), key=CONFIDENCES.index),
    )


def _counted(some: Sequence[WoodFactor]) -> str:
    """How many of several woods were measured."""
    counts = {by: sum(one.by == by for one in some) for by in ("measured", "genus", "general")}
    said = (
        ("measured", "measured"),
        ("genus", "through another of the genus"),
        ("general", "not measured"),
    )
    parts = [f"{counts[by]} {words}" for by, words in said if counts[by]]
    return f"of {len(some)} woods {', '.join(parts)}"


def read_wood_diffusivities(text: str, name: str) -> Held:
    """A file's contents.  Raises WoodDiffusivityError at the first place that cannot be used."""
    try:
        held = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise WoodDiffusivityError(f"{name}: not valid TOML: {error}") from error
    known = ("general", "genus", "wood")
    if unknown := sorted(held.keys() - set(known)):
        raise WoodDiffusivityError(f"{name}: '{unknown[0]}' is not known; there are {', '.join(known)}")
    general, genus = (_table(held, table, name) for table in known[:2])
    rows = held.get("wood")
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise WoodDiffusivityError(f"{name}: wood: there is no [[wood]]")
    where = f"{name}: general"
    _fields(general, GENERAL_FIELDS, where)
    every = WoodFactor(
        _band(general["factor"], where),
        NONE_MEASURED,
        "general",
        str(general["boards"]),
        _keys(general["source"], f"{where}: source"),
        _confidence(general, where),
    )
    _fields(genus, GENUS_FIELDS, f"{name}: genus")
    source = _keys(genus["source"], f"{name}: genus: source")
    confidence = _confidence(genus, f"{name}: genus")
    wider = genus["wider"]
    if type(wider) not in (int, float) or not 1.0 < wider <= MOST_WIDER:
        raise WoodDiffusivityError(f"{name}: genus: wider: must lie above 1, up to {MOST_WIDER:g}")
    measured = tuple(_row(row, f"{name}: wood {n}") for n, row in enumerate(rows, start=1))
    _once((row.key for row in measured), f"{name}: wood: key")
    _once((wood for row in measured for wood in row.woods), f"{name}: wood: woods")
    return Held(every, float(wider), source, confidence, measured)


def _table(held: Mapping[str, Any], table: str, name: str) -> Mapping[str, Any]:
    """A single table of the file."""
    found = held.get(table)
    if not isinstance(found, dict):
        raise WoodDiffusivityError(f"{name}: {table}: there is no [{table}]")
    return found


def _row(row: Mapping[str, Any], where: str) -> Measured:
    """One measured wood, checked."""
    where = f"{where} ({row.get('key', '?')})"
    _fields(row, FIELDS, where)
    for field in TEXTS:
        if not isinstance(row[field], str):
            raise WoodDiffusivityError(f"{where}: {field}: must be text")
    woods = _keys(row["woods"], f"{where}: woods")
    ships = {one.key: one for one in timbers.timbers()}
    for wood in woods:
        if wood not in ships:
            raise WoodDiffusivityError(f"{where}: woods: '{wood}' is no timber")
        if not ships[wood].botanical.startswith(f"{row['genus']} "):
            raise WoodDiffusivityError(f"{where}: genus: '{wood}' is not of {row['genus']}")
    return Measured(
        row["key"],
        row["name"],
        woods,
        row["genus"],
        _band(row["factor"], where),
        row["conditions"],
        row["origin"],
        row["place"],
        row["boards"],
        _keys(row["source"], f"{where}: source"),
        _confidence(row, where),
    )


def _fields(row: Mapping[str, Any], fields: set[str], where: str) -> None:
    """Refuse a field that is missing or that nobody knows."""
    for field in sorted(fields):
        if not row.get(field):
            raise WoodDiffusivityError(f"{where}: {field}: is missing")
    if unknown := sorted(row.keys() - fields):
        raise WoodDiffusivityError(f"{where}: {unknown[0]}: is not a field here")


def _keys(given: object, where: str) -> tuple[str, ...]:
    """A list of keys."""
    if not isinstance(given, list) or not all(isinstance(one, str) and one for one in given):
        raise WoodDiffusivityError(f"{where}: must be a list of keys")
    return tuple(given)


def _confidence(row: Mapping[str, Any], where: str) -> str:
    """How sure it is."""
    if row["confidence"] not in CONFIDENCES:
        raise WoodDiffusivityError(
            f"{where}: confidence: '{row['confidence']}' is none of {', '.join(CONFIDENCES)}"
        )
    return str(row["confidence"])


def _band(given: object, where: str) -> Band:
    """Low, middle and high of a factor."""
    numbers = [one for one in given if type(one) in (int, float)] if isinstance(given, list) else []
    if len(numbers) != 3 or not isinstance(given, list) or len(given) != 3 or not math.isfinite(sum(numbers)):
        raise WoodDiffusivityError(f"{where}: factor: must be low, middle and high")
    low, middle, high = map(float, numbers)
    if not 0.0 < low <= middle <= high:
        raise WoodDiffusivityError(f"{where}: factor: must rise from above 0")
    return low, middle, high


def _once(keys: Iterable[str], where: str) -> None:
    """Refuse a key that stands twice."""
    seen: set[str] = set()
    for key in keys:
        if key in seen:
            raise WoodDiffusivityError(f"{where}: '{key}' stands there twice")
        seen.add(key)
