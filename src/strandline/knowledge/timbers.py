"""Kinds of wood: names people write, shrinkage, density, and how wide a name leaves them.

Rows stand in ``numbers/timbers_*.toml``. A name that fits several woods, an unknown wood and a material of
the care rules get an envelope: the lowest and the highest of its members, so that the unknown stays wide.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from strandline.physics.wood import (
    AIR_DRY,
    basic_density_from_air_dry_kg_m3,
    fibre_saturation,
    fibre_saturation_band,
    green_to_oven_dry,
    volumetric_shrinkage,
)

FOLDER = Path(__file__).parent / "numbers"
GROUPS_FILE = "timbers_groups.toml"
FAMILIES = ("softwood", "hardwood", "eucalypt")
ANY = "any"
BASES = ("green_to_oven_dry", "green_to_12")
CONFIDENCES = ("v", "m", "c")

SPREAD_SHRINKAGE, SPREAD_DENSITY = 0.15, 0.10
"""Spread of a wood whose list gives one mean: the handbook's coefficients of variation (recalled)."""

Band = tuple[float, float, float]
"""Low, middle, high."""


class TimberError(Exception):
    """The files of timbers cannot be used; ``problems`` lists every reason found."""

    def __init__(self, problems: list[str]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


@dataclass(frozen=True, slots=True)
class Timber:
    """One kind of wood, or an envelope of several.

    Shrinkages are shares of the green size on the basis named; ``unit_radial`` and ``unit_tangential`` are
    the change per unit of moisture once collapse is over, given for woods that collapse. ``extractives``:
    surely full of them; ``maybe_extractives``: some member is.
    """

    key: str
    names: tuple[str, ...]
    botanical: str
    region: str
    family: str
    basis: str
    radial: Band
    tangential: Band
    volumetric: Band | None
    basic_density_kg_m3: Band
    collapse_prone: bool
    extractives: bool
    unit_radial: float | None
    unit_tangential: float | None
    source: tuple[str, ...]
    confidence: str
    density_confidence: str
    note: str = ""
    members: tuple[str, ...] = ()
    maybe_extractives: bool = False

    @property
    def radial_to_oven_dry(self) -> Band:
        """Radial shrinkage from green to oven-dry, whatever the basis of the source."""
        return self._to_oven_dry(self.radial, self.unit_radial)

    @property
    def tangential_to_oven_dry(self) -> Band:
        """Tangential shrinkage from green to oven-dry, whatever the basis of the source."""
        return self._to_oven_dry(self.tangential, self.unit_tangential)

    @property
    def volumetric_to_oven_dry(self) -> Band:
        """Volumetric shrinkage from green to oven-dry: the source's, else from the other two."""
        if self.volumetric is not None and self.basis == BASES[0]:
            return self.volumetric
        low, middle, high = (
            volumetric_shrinkage(r, t)
            for r, t in zip(self.radial_to_oven_dry, self.tangential_to_oven_dry, strict=True)
        )
        return low, middle, high

    def fibre_saturation(self, temp_c: float) -> Band:
        """Low, middle and high fibre saturation of this wood [kg/kg]."""
        low, middle, high = fibre_saturation_band(temp_c, self.extractives)
        if self.maybe_extractives:
            low = fibre_saturation_band(temp_c, extractives=True)[0]
        return low, middle, high

    def _to_oven_dry(self, given: Band, unit: float | None) -> Band:
        """Total shrinkage of one direction.

        A wood that collapses shrinks between what its walls alone would (unit shrinkage to fibre saturation)
        and what the list found to 12 % plus unit shrinkage from there; the middle is halfway.
        """
        if self.basis == BASES[0]:
            return given
        if unit is None:
            low, middle, high = (green_to_oven_dry(one, self.collapse_prone) for one in given)
            return low, middle, high
        walls, found = unit * fibre_saturation(20.0), given[1] + unit * AIR_DRY
        low, high = min(walls, found), max(walls, found)
        return low, (low + high) / 2.0, high


@dataclass(frozen=True, slots=True)
class Group:
    """A name that fits several woods: its members, or a whole family."""

    key: str
    names: tuple[str, ...]
    members: tuple[str, ...]
    family: str


@dataclass(frozen=True, slots=True)
class WoodMaterial:
    """A material of the care rules: which family bounds it, and why that fails where it does."""

    key: str
    family: str
    fails: str


@cache
def timbers() -> tuple[Timber, ...]:
    """Every kind of wood that ships, by file and row.  Raises TimberError with every problem found."""
    found: list[Timber] = []
    problems: list[str] = []
    for path in sorted(FOLDER.glob("timbers_*.toml")):
        if path.name != GROUPS_FILE:
            some, wrong = read_timbers(path.read_text(encoding="utf-8"), path.name)
            found, problems = found + some, problems + wrong
    keys = [one.key for one in found]
    problems += [f"{key}: key: stands twice" for key in sorted({k for k in keys if keys.count(k) > 1})]
    if problems:
        raise TimberError(problems)
    return tuple(found)


def timber(key: str) -> Timber:
    """The wood with this key.  Raises KeyError."""
    return _by_key()[key]


@cache
def _by_key() -> Mapping[str, Timber]:
    """Every wood by key."""
    return MappingProxyType({one.key: one for one in timbers()})


@cache
def groups() -> tuple[Group, ...]:
    """Names that fit several woods.  Raises TimberError."""
    return tuple(
        Group(row["key"], tuple(row["names"]), tuple(row.get("members", ())), row.get("family", ""))
        for row in _group_file()["group"]
    )


@cache
def wood_materials() -> Mapping[str, WoodMaterial]:
    """The wood materials of the care rules, by key.  Raises TimberError."""
    found = (
        WoodMaterial(row["key"], row["family"], row.get("fails", "")) for row in _group_file()["material"]
    )
    return MappingProxyType({one.key: one for one in found})


def envelope(members: str | Iterable[str]) -> Timber:
    """One stand-in for several woods: the lowest, the mean and the highest of each field, to oven-dry.

    ``members`` are keys of woods, or the name of a family: softwood, eucalypt, hardwood (eucalypts are among
    them) or any. It may collapse if any member does. Raises KeyError for an unknown key or family, ValueError
    for no member.
    """
    if isinstance(members, str):
        return _family_envelope(members)
    return _envelope(tuple(members), "")


@cache
def _family_envelope(family: str) -> Timber:
    """The envelope of a whole family."""
    if family not in (*FAMILIES, ANY):
        raise KeyError(family)
    within = {"hardwood": ("hardwood", "eucalypt"), ANY: FAMILIES}.get(family, (family,))
    return _envelope(tuple(one.key for one in timbers() if one.family in within), family)


def _envelope(keys: tuple[str, ...], family: str) -> Timber:
    """The envelope of some woods."""
    if not keys:
        raise ValueError("an envelope needs at least one wood")
    some = [timber(key) for key in keys]
    families = {one.family for one in some}
    regions = sorted({one.region for one in some})
    name = family or "+".join(keys)
    return Timber(
        key=f"envelope:{name}",
        names=(),
        botanical="",
        region=", ".join(regions),
        family=family or (families.pop() if len(families) == 1 else ANY),
        basis=BASES[0],
        radial=_spanned(one.radial_to_oven_dry for one in some),
        tangential=_spanned(one.tangential_to_oven_dry for one in some),
        volumetric=_spanned(one.volumetric_to_oven_dry for one in some),
        basic_density_kg_m3=_spanned(one.basic_density_kg_m3 for one in some),
        collapse_prone=any(one.collapse_prone for one in some),
        extractives=all(one.extractives for one in some),
        unit_radial=None,
        unit_tangential=None,
        source=tuple(sorted({key for one in some for key in one.source})),
        confidence=max((one.confidence for one in some), key=_doubt),
        density_confidence=max((one.density_confidence for one in some), key=_doubt),
        members=keys,
        maybe_extractives=any(one.extractives for one in some),
    )


def _doubt(confidence: str) -> int:
    """How doubtful a confidence is: read, remembered, common practice."""
    return ("v", "m", "c").index(confidence)


def _spanned(bands: Iterable[Band]) -> Band:
    """The lowest low, the mean of the middles, the highest high."""
    some = tuple(bands)
    middle = sum(band[1] for band in some) / len(some)
    return min(band[0] for band in some), middle, max(band[2] for band in some)


def find(text: str) -> Timber | None:
    """The wood a text names, in whole words; the longest name wins, the first of equals.

    A name that fits several woods gives their envelope; a text without a known name gives None.
    """
    words = f" {_plain(text)} "
    best, answer = "", None
    for name, make in _names().items():
        if len(name) > len(best) and f" {name} " in words:
            best, answer = name, make
    return answer() if answer is not None else None


def for_material(key: str) -> Timber:
    """The envelope for a wood material of the care rules.  Raises KeyError for another material.

    Ask ``law_fails`` as well: for some materials no number of sound wood holds.
    """
    return envelope(wood_materials()[key].family)


def law_fails(key: str) -> str:
    """Why the numbers of sound wood do not hold for a wood material, or nothing.  Raises KeyError."""
    return wood_materials()[key].fails


@cache
def _names() -> Mapping[str, Callable[[], Timber]]:
    """What answers for each plain name; a name of one wood goes before a name of several."""
    found: dict[str, Callable[[], Timber]] = {}
    for one in timbers():
        for name in (*one.names, *one.botanical.split(", ")):
            found.setdefault(_plain(name.removesuffix(" spp.")), _always(one))
    for group in groups():
        for name in group.names:
            found.setdefault(_plain(name), _spanning(group))
    found.pop("", None)
    return MappingProxyType(found)


def _always(one: Timber) -> Callable[[], Timber]:
    """A maker that gives this wood."""
    return lambda: one


def _spanning(group: Group) -> Callable[[], Timber]:
    """A maker that gives the envelope of a group."""
    return lambda: envelope(group.family or group.members)


def _plain(text: str) -> str:
    """Lower-case words with single blanks between; apostrophes vanish, other marks part words."""
    return " ".join(re.findall(r"[a-z0-9]+", re.sub(r"['’]", "", text.lower())))


def _group_file() -> Mapping[str, list[dict[str, Any]]]:
    """The file of groups and materials, checked against the woods.  Raises TimberError."""
    held = tomllib.loads((FOLDER / GROUPS_FILE).read_text(encoding="utf-8"))
    problems = []
    for table, needed in (("group", ("key", "names")), ("material", ("key", "family"))):
        for number, row in enumerate(held.get(table, ()), start=1):
            where = f"{GROUPS_FILE}: {table} {number} ({row.get('key', '?')})"
            problems += [f"{where}: {field}: is missing" for field in needed if not row.get(field)]
            if row.get("family", ANY) not in (*FAMILIES, ANY):
                problems.append(f"{where}: family: '{row['family']}' is no family")
            unknown = [key for key in row.get("members", ()) if key not in _by_key()]
            problems += [f"{where}: members: '{key}' is no timber" for key in unknown]
            if table == "group" and not (row.get("members") or row.get("family")):
                problems.append(f"{where}: members: is missing")
    if problems:
        raise TimberError(problems)
    return {"group": held.get("group", []), "material": held.get("material", [])}


FIELDS = {
    "key", "names", "botanical", "region", "family", "basis", "radial_percent", "tangential_percent",
    "volumetric_percent", "basic_density_kg_m3", "air_dry_density_kg_m3", "collapse_prone", "extractives",
    "radial_percent_per_percent", "tangential_percent_per_percent", "source", "confidence",
    "density_confidence", "note",
}  # fmt: skip
NEEDED = (
    "key", "names", "botanical", "region", "family", "basis", "radial_percent", "tangential_percent",
    "source", "confidence",
)  # fmt: skip


def read_timbers(text: str, name: str) -> tuple[list[Timber], list[str]]:
    """The woods of one file, and its problems, each with file, row, field and reason."""
    try:
        rows = tomllib.loads(text).get("timber", [])
    except tomllib.TOMLDecodeError as error:
        return [], [f"{name}: not valid TOML: {error}"]
    found: list[Timber] = []
    problems: list[str] = []
    for number, row in enumerate(rows, start=1):
        wrong = list(_row_problems(row))
        if not wrong:
            try:
                found.append(_timber(row))
            except (TypeError, ValueError) as error:
                wrong = [f"numbers: {error}"]
        problems += [f"{name}: timber {number} ({row.get('key', '?')}): {one}" for one in wrong]
    return found, problems


def _row_problems(row: Mapping[str, Any]) -> Iterable[str]:
    """What is wrong with one row, as ``field: reason``."""
    yield from (f"{field}: is no field of a timber" for field in sorted(row.keys() - FIELDS))
    yield from (f"{field}: is missing" for field in NEEDED if not row.get(field))
    for field, known in (
        ("family", FAMILIES),
        ("basis", BASES),
        ("confidence", CONFIDENCES),
        ("density_confidence", CONFIDENCES),
    ):
        if row.get(field, known[0]) not in known:
            yield f"{field}: '{row[field]}' is not one of {', '.join(known)}"
    if ("basic_density_kg_m3" in row) == ("air_dry_density_kg_m3" in row):
        yield "basic_density_kg_m3: give it or air_dry_density_kg_m3, one of the two"
    if row.get("collapse_prone") and row.get("basis") == BASES[1] and not _has_units(row):
        yield "tangential_percent_per_percent: a wood that collapses needs it, and the radial one"


def _has_units(row: Mapping[str, Any]) -> bool:
    """Whether both changes per percent are there."""
    return "radial_percent_per_percent" in row and "tangential_percent_per_percent" in row


def _timber(row: Mapping[str, Any]) -> Timber:
    """One wood from its row."""
    radial = _shares(row["radial_percent"])
    tangential = _shares(row["tangential_percent"])
    volumetric = _shares(row["volumetric_percent"]) if "volumetric_percent" in row else None
    return Timber(
        key=row["key"],
        names=tuple(row["names"]),
        botanical=row["botanical"],
        region=row["region"],
        family=row["family"],
        basis=row["basis"],
        radial=radial,
        tangential=tangential,
        volumetric=volumetric,
        basic_density_kg_m3=_density(row, radial, tangential),
        collapse_prone=bool(row.get("collapse_prone", False)),
        extractives=bool(row.get("extractives", False)),
        unit_radial=row.get("radial_percent_per_percent"),
        unit_tangential=row.get("tangential_percent_per_percent"),
        source=tuple(row["source"]),
        confidence=row["confidence"],
        density_confidence=row.get("density_confidence", row["confidence"]),
        note=row.get("note", ""),
    )


def _density(row: Mapping[str, Any], radial: Band, tangential: Band) -> Band:
    """Basic density, from the air-dry one where the list gives only that."""
    if "basic_density_kg_m3" in row:
        return _band(row["basic_density_kg_m3"], SPREAD_DENSITY)
    lost = volumetric_shrinkage(radial[1], tangential[1])
    low, middle, high = (
        basic_density_from_air_dry_kg_m3(one, lost)
        for one in _band(row["air_dry_density_kg_m3"], SPREAD_DENSITY)
    )
    return low, middle, high


def _shares(value: float | list[float]) -> Band:
    """A band of shares from percent."""
    low, middle, high = (one / 100.0 for one in _band(value, SPREAD_SHRINKAGE))
    return low, middle, high


def _band(value: float | list[float], spread: float) -> Band:
    """A mean with its spread, or a range with its middle.  Raises ValueError."""
    if isinstance(value, list):
        low, high = (float(one) for one in value)
        if not 0.0 < low <= high:
            raise ValueError(f"{value} is no range from low to high")
        return low, (low + high) / 2.0, high
    if not value > 0.0:
        raise ValueError(f"{value} is not above zero")
    return value * (1.0 - spread), float(value), value * (1.0 + spread)
