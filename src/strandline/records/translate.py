"""Where rows and things meet: facts of an object into rows, and rows into facts at a moment.

A scalar fact is one Observation; the newest that nothing supersedes is in force.  What depends on the hour
(hours wet, hours under water that nobody noted) is worked out on reading and never stored.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar

from strandline.records import careful
from strandline.records.models.facts import Observation
from strandline.records.models.objects import Join as JoinRow
from strandline.records.models.objects import Object
from strandline.records.models.objects import Part as PartRow
from strandline.records.models.people import Party
from strandline.records.models.plans import HazardRelease
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
    return {key: rows[-1] for key, rows in _standing([thing])[thing.pk].items()}


def facts_at(thing: Object, as_of: datetime) -> Facts:
    """The facts of an object as the record has them, hours counted at ``as_of`` (aware, UTC).

    Where two saw different things and nobody has settled it, the more careful of both, as an assumption.
    """
    return facts_many([thing], as_of)[0]


def facts_many(things: Sequence[Object], as_of: datetime) -> list[Facts]:
    """The facts of several objects, in their order; as many queries for a thousand as for one."""
    if not things:
        return []
    standing = _standing(things)
    parts = _by_object(PartRow.objects.filter(object__in=things).order_by("order"))
    joined = JoinRow.objects.filter(object__in=things).order_by("order").select_related("first", "second")
    joins = _by_object(joined)
    released = _by_object(HazardRelease.objects.filter(object__in=things))
    owners = Party.objects.in_bulk({thing.owner_id for thing in things if thing.owner_id is not None})
    return [
        _facts(
            thing,
            as_of,
            standing[thing.pk],
            parts=tuple(part_of(row) for row in parts[thing.pk]),
            joins=tuple(join_of(row) for row in joins[thing.pk]),
            released=tuple(sorted({row.hazard for row in released[thing.pk]})),
            owner=owners[thing.owner_id].name if thing.owner_id is not None else "",
        )
        for thing in things
    ]


OfObject = TypeVar("OfObject", Observation, PartRow, JoinRow, HazardRelease)
Standing = dict[str, list[Observation]]


def _by_object(rows: Iterable[OfObject]) -> defaultdict[int, list[OfObject]]:
    found: defaultdict[int, list[OfObject]] = defaultdict(list)
    for row in rows:
        found[row.object_id].append(row)
    return found


def _standing(things: Sequence[Object]) -> dict[int, Standing]:
    """By object and key, the observations of the whole object that nothing supersedes, oldest first."""
    rows = Observation.objects.filter(object__in=things, superseded_by__isnull=True, part__isnull=True)
    found: dict[int, Standing] = {thing.pk: {} for thing in things}
    for row in rows.order_by("at", "id"):
        found[row.object_id].setdefault(row.key, []).append(row)
    return found


def _facts(thing: Object, as_of: datetime, standing: Standing, **more: Any) -> Facts:
    scalars: dict[str, Any] = {}
    known: dict[str, KnownBy] = {}
    for key in KEYS:
        rows = standing.get(key)
        if rows is None:
            continue
        scalars[field_of(key)], by = _settled(key, rows, scalars)
        if key not in UNMARKED or by != "stated":
            known[key] = by
    _count_hours(scalars, known, as_of)
    words: dict[str, Any] = {name: tuple(Word(*word) for word in thing.words.get(name, ())) for name in WORDS}
    return Facts(
        tag=thing.tag,
        row=thing.list_row,
        title=thing.title,
        owner_number=thing.owner_number,
        materials=thing.materials,
        klass=thing.klass,
        place=thing.listed_place,
        known_by=known,
        kept=dict(thing.kept),
        **words,
        **scalars,
        **more,
    )


def _settled(key: str, rows: list[Observation], known: Mapping[str, Any]) -> tuple[Any, KnownBy]:
    """A fact and how it is known: of the newest observation or, while several clash, the careful one."""
    if not rows[-1].clash:
        return read_value(key, rows[-1].value), _by(rows[-1].known_by)
    values = [read_value(key, row.value) for row in rows if row.clash]
    return careful.of(key, values, known), "assumed"


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
