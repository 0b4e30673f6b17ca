"""Import a list: its rows come in as typed, to be claimed on the tables.  Also: a row read as facts."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from dataclasses import asdict
from datetime import datetime
from typing import Any

from strandline.knowledge.base import shipped
from strandline.pipeline.objects import Site, facts_from_row
from strandline.records.models.objects import ListRow
from strandline.records.models.sites import Incident
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.changes import Changes, table
from strandline.things.facts import Facts, Join, Part
from strandline.things.listing import Problem, RawRow

SHA256 = re.compile(r"[0-9a-f]{64}")
BATCH = 500
OURS = "strandline:"
"""Begins the keys in ``ListRow.kept`` that are no column of the list: units of headers, parts, joins."""


def import_list(caller: Caller, incident: Incident, rows: Iterable[RawRow], sha256: str) -> list[ListRow]:
    """Keep all rows of a list in one act; cells as typed, unknown columns beside them.

    Cells name owners and stay out of the log, which has the count and the hash of the list, and each row's
    number and state.  Raises Refused for a list that is in already, one without rows, a row number that
    stands twice, and a hash that is none.
    """
    held = list(rows)

    def work(changes: Changes) -> None:
        # Held, so that the same list sent by two at once comes in once.
        Incident.objects.select_for_update().get(pk=incident.pk)
        _acceptable(incident, held, sha256)
        made = [
            ListRow(
                incident=incident, list_sha256=sha256, row=raw.row, cells=dict(raw.cells), kept=_kept(raw)
            )
            for raw in held
        ]
        ListRow.objects.bulk_create(made, batch_size=BATCH)
        for row in made:
            changes.before.setdefault(table(ListRow), {})[str(row.uid)] = None
            changes.after.setdefault(table(ListRow), {})[str(row.uid)] = {"row": row.row, "state": row.state}

    payload = {"incident": incident, "sha256": sha256, "count": len(held)}
    perform(caller, Wanted("import_list", payload, incident), work)
    return list(ListRow.objects.filter(incident=incident, list_sha256=sha256).order_by("row"))


def _acceptable(incident: Incident, rows: list[RawRow], sha256: str) -> None:
    if not SHA256.fullmatch(sha256):
        raise Refused("the hash of a list is SHA-256 in 64 small hexadecimal digits")
    there = ListRow.objects.filter(incident=incident, list_sha256=sha256).count()
    if there:
        raise Refused(f"this list is in already, {there} rows")
    if not rows:
        raise Refused("the list has no rows")
    numbers = [raw.row for raw in rows]
    if len(set(numbers)) < len(numbers):
        twice = next(number for number in numbers if numbers.count(number) > 1)
        raise Refused(f"row {twice} of the list stands twice")
    if any(key.startswith(OURS) for raw in rows for key in raw.kept):
        raise Refused(f"a column of a list cannot be called '{OURS}...'")


def _kept(raw: RawRow) -> dict[str, str]:
    """Unknown columns, and as JSON what of a row is neither a cell nor a column."""
    beside: dict[str, Any] = {"units": dict(raw.units) or None, "parts": None, "joins": None}
    if raw.parts is not None:
        beside["parts"] = [asdict(part) for part in raw.parts]
    if raw.joins is not None:
        beside["joins"] = [asdict(join) for join in raw.joins]
    told = {OURS + key: json.dumps(value) for key, value in beside.items() if value is not None}
    return {**raw.kept, **told}


def columns_kept(row: ListRow) -> dict[str, str]:
    """The columns of the list that nobody knows, as typed."""
    return {key: text for key, text in row.kept.items() if not key.startswith(OURS)}


def raw_of(row: ListRow) -> RawRow:
    """A row as it came out of the list."""
    beside = {
        key: json.loads(row.kept[OURS + key]) for key in ("units", "parts", "joins") if OURS + key in row.kept
    }
    parts, joins = beside.get("parts"), beside.get("joins")
    return RawRow(
        row.row,
        dict(row.cells),
        columns_kept(row),
        beside.get("units", {}),
        None if parts is None else tuple(_part(one) for one in parts),
        None if joins is None else tuple(Join(**{**one, "parts": tuple(one["parts"])}) for one in joins),
    )


def _part(told: dict[str, Any]) -> Part:
    return Part(**{**told, "could_be": tuple(told["could_be"]), "features": tuple(told["features"])})


def facts_of_row(
    row: ListRow, tag: str, incident: Incident, at: datetime
) -> tuple[Facts | None, list[Problem]]:
    """The facts of a row as at a moment, the incident speaking where the row is silent; None and a problem
    for a row that names nothing."""
    site = Site(
        as_of=at,
        zone=incident.zone,
        wet_since=incident.wet_since,
        out_since=incident.out_since,
        water=tuple(incident.water),
        air_c=incident.air_c,
    )
    return facts_from_row(raw_of(row), tag, site, shipped())
