"""The list: what of it was understood before it is taken in, and afterwards the list against the tables."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict
from typing import Any

from strandline.pipeline import cells
from strandline.pipeline.objects import IDENTITY
from strandline.records.models.objects import ListRow, Object
from strandline.records.models.sites import Incident
from strandline.services.looks.asked import SENIOR, Asked, incident_of
from strandline.services.looks.now import incident_head
from strandline.services.looks.taking_in_intake import rows_like
from strandline.services.looks.taking_in_reality import GROUPS, Match, Sum, reality
from strandline.services.looks.taking_in_upload import (
    LOOKED_INTO,
    NoList,
    Understood,
    cell_problems,
    read_list,
)
from strandline.things.listing import Problem
from strandline.things.tags import is_tag

SHOWN_ROWS, SHOWN_PROBLEMS = 5, 200
A_PAGE = 50
A_BATCH = 100
"""Rows that are received in one request."""


def list_in(ask: Asked, code: str) -> dict[str, Any]:
    """A place to send a list to; with ``list`` in the query what was understood of one that was sent."""
    incident = incident_of(code)
    sha256 = ask.query.get("list", "")
    lost = ""
    try:
        found = read_list(sha256) if sha256 else None
    except NoList as error:
        found, lost = None, str(error)
    return {
        "incident": incident_head(incident),
        "in_already": ListRow.objects.filter(incident=incident).count(),
        "not_there": sha256 != "" and found is None,
        "lost": lost,
        "read": None if found is None else _read(ask, incident, sha256, found),
    }


def _read(ask: Asked, incident: Incident, sha256: str, found: Understood) -> dict[str, Any]:
    problems = [*found.problems, *cell_problems(found, incident, ask.at)]
    return {
        "list": sha256,
        "form": found.opened.form,
        "sheet": found.opened.sheet,
        # Whoever wrote the list often stands there, with a telephone number.
        "above": list(found.opened.above) if ask.person.role in SENIOR else [],
        "above_lines": len(found.opened.above),
        "columns": [{"header": header, "column": one} for header, one in found.opened.head.columns.items()],
        "kept_columns": list(found.opened.head.kept_columns),
        "rows": len(found.rows),
        "blank_rows": found.opened.blank_rows,
        "looked_into": min(len(found.rows), LOOKED_INTO),
        "first_rows": [{"row": row.row, "cells": dict(row.cells)} for row in found.rows[:SHOWN_ROWS]],
        "problems": [_told(one) for one in problems[:SHOWN_PROBLEMS]],
        "problems_in_all": len(problems),
        "taken_in": ListRow.objects.filter(incident=incident, list_sha256=sha256).count(),
    }


def _told(problem: Problem) -> dict[str, Any]:
    return asdict(problem)


def list_found(ask: Asked, code: str) -> dict[str, Any]:
    """The list against the tables: groups, one page of one of them, and sums per owner."""
    incident = incident_of(code)
    found = reality(incident)
    counts = found.counts()
    group = ask.query.get("show", "")
    group = group if group in GROUPS else "not_seen"
    owner = ask.query.get("owner", "")[:200]
    matches = found.of(group, owner)
    pages = max(1, -(-len(matches) // A_PAGE))
    page = ask.number("page", 1, pages)
    shown = matches[(page - 1) * A_PAGE : page * A_PAGE]
    thing = _asked_for(incident, ask.query.get("for", ""))
    sums = found.sums()
    return {
        "incident": incident_head(incident),
        "groups": [{"key": key, "count": counts[key]} for key in GROUPS],
        "show": group,
        "owner": owner,
        "owners": [line.owner for line in sums[:-1] if line.owner],
        "page": page,
        "pages": pages,
        "count": len(matches),
        "lines": _lines(shown),
        "sums": [_sum(line) for line in sums[:-1]],
        "all": _sum(sums[-1]),
        "for": None if thing is None else _for(incident, thing),
        "rest": _rest(incident) if ask.person.role == "lead" else None,
    }


def _sum(line: Sum) -> dict[str, Any]:
    return asdict(line)


def _lines(matches: Iterable[Match]) -> list[dict[str, Any]]:
    held = list(matches)
    rows = ListRow.objects.in_bulk([row for one in held for row in one.rows])
    keys = [thing for one in held for thing in one.things]
    things = Object.objects.select_related("owner", "place").in_bulk(keys)
    return [
        {
            "rows": [_row(rows[row]) for row in one.rows],
            "things": [_thing(things[thing]) for thing in one.things],
        }
        for one in held
    ]


def _row(row: ListRow) -> dict[str, Any]:
    told = {
        key: str(row.cells.get(key, "")) for key in ("title", "materials", "owner", "owner_number", "place")
    }
    return {"uid": str(row.uid), "row": row.row, **told, "water_line": water_line(row.cells)}


def water_line(told: Mapping[str, Any]) -> str:
    """'under' or 'over' the water, as the list says; '' where it does not say."""
    try:
        hours = cells.hours(str(told.get("under_water_h", "")))
    except cells.CellError:
        hours = None
    if hours is not None:
        return "under" if hours > 0 else "over"
    try:
        state = cells.wet_state(str(told.get("wet_state", "")))
    except cells.CellError:
        state = None
    return {"under_water": "under", "damp_air_only": "over"}.get(state or "", "")


def _thing(thing: Object) -> dict[str, Any]:
    return {
        "tag": thing.tag,
        "title": thing.title,
        "materials": thing.materials,
        "owner": thing.owner.name if thing.owner else "",
        "place": thing.place.name if thing.place else "",
    }


def _asked_for(incident: Incident, tag: str) -> Object | None:
    if not is_tag(tag):
        return None
    things = Object.objects.select_related("owner", "place")
    return things.filter(incident=incident, tag=tag, merged_into=None).first()


def _for(incident: Incident, thing: Object) -> dict[str, Any]:
    return {**_thing(thing), "rows": rows_like(incident, thing.title, thing.materials)}


def _rest(incident: Incident) -> dict[str, Any] | None:
    """The next rows the lead may receive unseen, and how far that has come; None where there are none."""
    of_all = ListRow.objects.filter(incident=incident)
    rows = (
        of_all.filter(state="not_seen")
        .order_by("list_sha256", "row")
        .values_list("list_sha256", "row", "cells")
    )
    named = [(sha256, row) for sha256, row, told in rows if names_something(told)]
    if not named:
        return None
    sha256, first = named[0]
    batch = [row for one, row in named if one == sha256][:A_BATCH]
    total = of_all.count()
    return {
        "list": sha256,
        "first": first,
        "last": batch[-1],
        "batch": len(batch),
        "left": len(named),
        "nameless": len(rows) - len(named),
        "done": total - len(rows),
        "total": total,
    }


def names_something(told: Mapping[str, Any]) -> bool:
    """Whether a row says anything of a thing."""
    return any(str(told.get(column, "")).strip() for column in IDENTITY)
