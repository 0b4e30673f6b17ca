"""Where rows and things meet: facts of an object into rows, and rows into facts at a moment.

A scalar fact is one Observation; the newest that nothing supersedes is in force.  What depends on the hour
(hours wet, hours under water that nobody noted) is worked out on reading and never stored.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from strandline.records.models.facts import Observation
from strandline.records.models.objects import Join as JoinRow
from strandline.records.models.objects import Object
from strandline.records.models.objects import Part as PartRow
from strandline.things.facts import Facts, Join, KnownBy, Part, Word

TIMES: tuple[str, ...] = ("wet_since", "out_since")
SETS: tuple[str, ...] = ("water", "done_already", "features")
NUMBERS: tuple[str, ...] = (
    "under_water_h", "hours_wet", "length_mm", "width_mm", "height_mm", "diameter_mm", "thickness_mm",
    "mass_g", "dry_mass_g", "significance", "pieces", "site.air_c",
)  # fmt: skip
KEYS: tuple[str, ...] = (*TIMES, *SETS, "wet_state", *NUMBERS)
"""Keys of the facts an observation may be about; other keys are kept and leave the plan alone."""

UNMARKED: tuple[str, ...] = ("features", "pieces", "done_already")
"""Facts of a list that carry no mark of how they are known: they are stated."""

WORDS: tuple[str, ...] = ("harmless", "unread", "read")
PART_FIELDS: tuple[str, ...] = (
    "name", "material", "family", "span", "column", "known_by", "species", "lookalike", "thickness_mm",
    "thickness_by", "exposed", "surface",
)  # fmt: skip


class NotAFact(ValueError):
    """A value that cannot stand under its key; says why."""


@dataclass(frozen=True, slots=True)
class Known:
    """One scalar fact, ready to be an Observation."""

    key: str
    value: Any
    known_by: KnownBy


def field_of(key: str) -> str:
    """Name of the field of Facts that a key stands for."""
    return key.removeprefix("site.")


def object_fields(facts: Facts) -> dict[str, Any]:
    """What of the facts lies in the object's own row."""
    return {
        "tag": facts.tag,
        "list_row": facts.row,
        "title": facts.title,
        "owner_number": facts.owner_number,
        "materials": facts.materials,
        "klass": facts.klass,
        "listed_place": facts.place,
        "words": {name: [[w.word, w.column, w.kind] for w in getattr(facts, name)] for name in WORDS},
        "kept": dict(facts.kept),
    }


def part_fields(part: Part, order: int) -> dict[str, Any]:
    """A part as the fields of its row."""
    found = {name: getattr(part, name) for name in PART_FIELDS}
    more = {"could_be": list(part.could_be), "features": list(part.features)}
    return {**found, **more, "key": part.id, "order": order}


def join_fields(join: Join, order: int) -> dict[str, Any]:
    """A join as the fields of its row; its two parts are given beside it."""
    return {
        "key": join.id,
        "order": order,
        "kind": join.kind,
        "known_by": join.known_by,
        "span": join.span,
        "column": join.column,
    }


def known_facts(facts: Facts) -> Iterator[Known]:
    """The scalar facts; the hours that follow from a moment are left out."""
    for key in KEYS:
        by = facts.known_by.get(key, "stated")
        if key == "hours_wet" and facts.wet_since is not None:
            continue
        value = getattr(facts, field_of(key))
        if key == "under_water_h" and by == "assumed" and facts.wet_since is not None:
            value = None
        yield Known(key, stored(value), by)


def stored(value: Any) -> Any:
    """A fact's value as JSON holds it."""
    if isinstance(value, datetime):
        return value.isoformat()
    return list(value) if isinstance(value, tuple) else value


def read_value(key: str, value: Any) -> Any:
    """A stored value as Facts holds it; NotAFact if it cannot be one."""
    if key in TIMES:
        if value is not None and not isinstance(value, str):
            raise NotAFact(f"{key} is a time in ISO 8601; got {value!r}")
        return None if value is None else _moment(key, value)
    if key in SETS:
        if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
            raise NotAFact(f"{key} is a list of words; got {value!r}")
        return tuple(sorted(value))
    if key == "wet_state":
        if not isinstance(value, str):
            raise NotAFact(f"{key} is a word; got {value!r}")
        return value
    return _number(key, value)


def _moment(key: str, text: str) -> datetime:
    try:
        found = datetime.fromisoformat(text)
    except ValueError as error:
        raise NotAFact(f"{key} is a time in ISO 8601; got '{text}'") from error
    if found.tzinfo is None:
        raise NotAFact(f"{key} needs its offset from UTC; got '{text}'")
    return found


def _number(key: str, value: Any) -> Any:
    if value is None and key != "significance":
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise NotAFact(f"{key} is a number; got {value!r}")
    if key == "significance" and value not in {1, 2, 3, 4, 5}:
        raise NotAFact(f"significance is 1 to 5; got {value!r}")
    if key != "site.air_c" and not 0 <= value < 1e9:
        raise NotAFact(f"{key} is nought or more; got {value!r}")
    return value


def in_force(thing: Object) -> dict[str, Observation]:
    """By key, the newest observation of the whole object that nothing supersedes."""
    rows = thing.observations.filter(superseded_by__isnull=True, part__isnull=True)
    return {row.key: row for row in rows.order_by("at", "id")}


def facts_at(thing: Object, as_of: datetime) -> Facts:
    """The facts of an object as the record has them, hours counted at ``as_of`` (aware, UTC)."""
    rows = in_force(thing)
    scalars: dict[str, Any] = {}
    known: dict[str, KnownBy] = {}
    for key in KEYS:
        row = rows.get(key)
        if row is None:
            continue
        scalars[field_of(key)] = read_value(key, row.value)
        if key not in UNMARKED or row.known_by != "stated":
            known[key] = _by(row.known_by)
    _count_hours(scalars, known, as_of)
    words: dict[str, Any] = {name: tuple(Word(*word) for word in thing.words.get(name, ())) for name in WORDS}
    parts = tuple(thing.parts.order_by("order"))
    joins = thing.joins.order_by("order").select_related("first", "second")
    return Facts(
        tag=thing.tag,
        row=thing.list_row,
        title=thing.title,
        owner_number=thing.owner_number,
        materials=thing.materials,
        klass=thing.klass,
        owner=thing.owner.name if thing.owner else "",
        place=thing.listed_place,
        parts=tuple(part_of(row) for row in parts),
        joins=tuple(join_of(row) for row in joins),
        known_by=known,
        kept=dict(thing.kept),
        **words,
        **scalars,
    )


def _count_hours(scalars: dict[str, Any], known: dict[str, KnownBy], as_of: datetime) -> None:
    """Hours that follow from the wetting, as at ``as_of``."""
    wet = scalars.get("wet_since")
    if wet is None:
        return
    hours = round((as_of - wet).total_seconds() / 3600, 2)
    scalars["hours_wet"], known["hours_wet"] = hours, known["wet_since"]
    if known.get("under_water_h") == "assumed":
        scalars["under_water_h"] = hours


def part_of(row: PartRow) -> Part:
    """A part's row as a thing."""
    found: Mapping[str, Any] = {name: getattr(row, name) for name in PART_FIELDS}
    return Part(id=row.key, could_be=tuple(row.could_be), features=tuple(row.features), **found)


def join_of(row: JoinRow) -> Join:
    """A join's row as a thing."""
    pair = (row.first.key, row.second.key)
    return Join(row.key, row.kind, pair, _by(row.known_by), row.span, row.column)


def _by(text: str) -> KnownBy:
    for known in ("stated", "assumed", "seen", "measured", "family_worst", "unknown"):
        if text == known:
            return known
    raise NotAFact(f"'{text}' is no way of knowing")
