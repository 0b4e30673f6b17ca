"""One row of a list becomes the facts of one object.  Nothing typed is lost; what cannot be used is
reported and kept as text."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache, partial
from typing import Any

from strandline.knowledge.base import Knowledge
from strandline.knowledge.reading.read import read_texts
from strandline.knowledge.reading.result import TextReading
from strandline.pipeline import cells
from strandline.pipeline.times import resolve_times
from strandline.things.facts import Facts, Join, KnownBy, Part, Word
from strandline.things.listing import TEXT_COLUMNS, Problem, RawRow

IDENTITY: tuple[str, ...] = ("title", "materials", "class", "tag", "owner_number")
LENGTHS: tuple[str, ...] = ("length_mm", "width_mm", "height_mm", "diameter_mm", "thickness_mm")
MASSES: tuple[str, ...] = ("mass_g", "dry_mass_g")
HOURS: tuple[str, ...] = ("hours_wet", "under_water_h")
DEFAULT_WATER = ("river", "sewage")
"""Water nobody named is taken as river water with the drains up."""


@dataclass(frozen=True, slots=True)
class Site:
    """What the incident says for every object whose row is silent.  Times UTC, air in degrees C."""

    as_of: datetime
    zone: str = "UTC"
    wet_since: datetime | None = None
    out_since: datetime | None = None
    water: tuple[str, ...] = ()
    air_c: float | None = None


@dataclass(slots=True)
class Cells:
    """Reads the cells of one row and gathers what could not be used."""

    row: RawRow
    problems: list[Problem]

    def text(self, column: str) -> str:
        """The cell as typed."""
        return self.row.cells.get(column, "").strip()

    def value(self, column: str, read: Callable[[str], Any]) -> Any:
        """The cell as read by ``read``, or None with a problem."""
        text = self.text(column)
        if not text:
            return None
        try:
            return read(text)
        except cells.CellError as error:
            self.problems.append(Problem(self.row.row, column, text, error.reason))
            return error.partial or None

    def unit(self, column: str) -> str:
        """The unit the header names, or ''."""
        return self.row.units.get(column, "")


def facts_from_row(
    row: RawRow, tag: str, site: Site, knowledge: Knowledge
) -> tuple[Facts | None, list[Problem]]:
    """The facts of a row, or None if it names nothing at all, with every problem found."""
    reader = Cells(row, [])
    if not any(reader.text(column) for column in IDENTITY) and not row.parts:
        reason = "the row has no title, material, class, tag or owner number; it was not taken"
        return None, [Problem(row.row, "", "", reason)]
    reading = read_texts({column: reader.text(column) for column in TEXT_COLUMNS if reader.text(column)})
    parts, joins, features = (
        (row.parts, row.joins or (), ()) if row.parts is not None else build_parts(reading, knowledge)
    )
    scalars = _scalars(reader, site)
    known_by: dict[str, KnownBy] = scalars.pop("known_by")
    facts = Facts(
        tag=tag,
        row=row.row,
        title=reader.text("title"),
        owner_number=reader.text("owner_number"),
        materials=reader.text("materials"),
        klass=reader.text("class"),
        parts=parts,
        joins=joins,
        features=features,
        read=_read_as(reading),
        owner=reader.text("owner"),
        place=reader.text("place"),
        known_by=known_by,
        harmless=tuple(Word(w.word, w.column, w.kind) for w in reading.words if w.kind),
        unread=tuple(Word(w.word, w.column) for w in reading.words if not w.kind),
        kept=_kept(row, reader.problems),
        **scalars,
    )
    return facts, reader.problems


def _kept(row: RawRow, problems: list[Problem]) -> dict[str, str]:
    """Unknown columns, and every cell that could not be used, as typed."""
    bad = {problem.column: problem.value for problem in problems if problem.kept and problem.column}
    return {**dict(row.kept), **bad}


def _scalars(reader: Cells, site: Site) -> dict[str, Any]:
    known: dict[str, KnownBy] = {}
    found: dict[str, Any] = {}
    for column in LENGTHS:
        found[column] = reader.value(column, partial(_measured, cells.length_mm, reader.unit(column), column))
    for column in MASSES:
        found[column] = reader.value(column, partial(_measured, cells.mass_g, reader.unit(column), column))
    for column in (*LENGTHS, *MASSES):
        known[column] = "unknown" if found[column] is None else "stated"
    found["pieces"] = reader.value("pieces", cells.pieces)
    significance = reader.value("significance", cells.significance)
    found["significance"] = significance or 3
    known["significance"] = "stated" if significance else "assumed"
    found.update(_water_and_state(reader, site, known))
    found.update(_times(reader, site, known))
    found["air_c"] = site.air_c
    known["site.air_c"] = "unknown" if site.air_c is None else "stated"
    found["known_by"] = known
    return found


@lru_cache(maxsize=16_384)
def _measured(read: Callable[[str, str, str], Any], unit: str, column: str, text: str) -> Any:
    """A cell read with its header's unit (or the incident's zone) and its column's name.

    Lists say the same sizes and dates over and over; a cell that could not be read is read again.
    """
    return read(text, unit, column)


def _water_and_state(reader: Cells, site: Site, known: dict[str, KnownBy]) -> dict[str, Any]:
    water = reader.value("water", cells.water) or site.water
    known["water"] = "stated" if water else "assumed"
    state = reader.value("wet_state", cells.wet_state)
    known["wet_state"] = "stated" if state else "unknown"
    done = reader.value("done_already", cells.done_already) or ()
    return {
        "water": tuple(sorted(water or DEFAULT_WATER)),
        "wet_state": state or "unknown",
        "done_already": tuple(sorted(done)),
    }


def _times(reader: Cells, site: Site, known: dict[str, KnownBy]) -> dict[str, Any]:
    stated = {
        column: reader.value(column, partial(_measured, cells.when, site.zone, column))
        for column in ("wet_since", "out_since")
    }
    hours = {
        column: reader.value(column, partial(_measured, cells.hours, reader.unit(column), column))
        for column in HOURS
    }
    times = resolve_times(
        stated["wet_since"] or (None if hours["hours_wet"] is not None else site.wet_since),
        stated["out_since"] or (None if hours["under_water_h"] is not None else site.out_since),
        hours["hours_wet"],
        hours["under_water_h"],
        site.as_of,
    )
    known.update(times.known_by)
    reader.problems += [Problem(reader.row.row, column, value, why) for column, value, why in times.problems]
    return {
        "wet_since": times.wet_since,
        "out_since": times.out_since,
        "hours_wet": times.hours_wet,
        "under_water_h": times.under_water_h,
    }


Built = tuple[tuple[Part, ...], tuple[Join, ...], tuple[str, ...]]


def _read_as(reading: TextReading) -> tuple[Word, ...]:
    """The words that became features and joins."""
    features = [Word(one.span, one.column, f"feature:{one.key}") for one in reading.features]
    return (*features, *(Word(one.span, one.column, f"join:{one.kind}") for one in reading.joins))


def build_parts(reading: TextReading, knowledge: Knowledge) -> Built:
    """Parts, joins and object features out of what was read.

    Parts are ordered by material, then by text, so that the same words in another order give the
    same plan.  A feature nobody tied to a part belongs to the only body there is, or to all.
    """
    order = sorted(
        range(len(reading.parts)),
        key=lambda i: (
            TEXT_COLUMNS.index(reading.parts[i].column) if reading.parts[i].column in TEXT_COLUMNS else 9,
            reading.parts[i].material,
            reading.parts[i].span,
            i,
        ),
    )
    ids = {old: f"p{new}" for new, old in enumerate(order, start=1)}
    loose = {feature.key for feature in reading.features}
    bodies = [old for old in order if reading.parts[old].family != "working"] or order
    parts = []
    for old in order:
        read = reading.parts[old]
        own = {*read.features, *(loose if bodies == [old] else ())}
        on_part = {key for key in own if key in read.features or _of_part(key, knowledge)}
        answered = any(
            (entry := knowledge.features.get(key)) is not None and entry.surface for key in on_part
        )
        parts.append(
            Part(
                id=ids[old],
                name=read.name,
                material=read.material,
                family=read.family,
                span=read.span,
                column=read.column,
                known_by=_known(read.known_by, read.material),
                species=read.species,
                could_be=tuple(sorted(read.could_be)),
                features=tuple(sorted(on_part)),
                surface="stated" if answered or read.surface == "stated" else "silent",
            )
        )
    if not parts:
        parts = [Part("p1", "", "unknown", "unknown", known_by="family_worst")]
    joins = tuple(
        Join(f"j{n}", join.kind, (ids[join.a], ids[join.b]), "stated", join.span, join.column)
        for n, join in enumerate(reading.joins, start=1)
    )
    held = {key for part in parts for key in part.features}
    # "Bare" said of nothing in particular says nothing about any one of several parts.
    return tuple(parts), joins, tuple(sorted(loose - held - {"bare"}))


def _of_part(key: str, knowledge: Knowledge) -> bool:
    entry = knowledge.features.get(key)
    return entry is None or entry.scope == "part"


def _known(known_by: str, material: str) -> KnownBy:
    if material.endswith("_unknown") or material == "unknown":
        return "family_worst"
    return "assumed" if known_by == "assumed" else "stated"
