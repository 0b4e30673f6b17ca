"""List against reality: A4 across, four groups and totals per owner; a column to fill in by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from strandline.papers.compile import CompiledPaper, PaperError, compile_paper
from strandline.papers.head import Head
from strandline.papers.wording import _

GROUPS = ("found", "not_seen", "unlisted", "counts_differ")
Row = Mapping[str, Any]


def list_against_reality(head: Head, given: Mapping[str, Any]) -> CompiledPaper:
    """``given["groups"]`` holds lists of rows under found, not_seen, unlisted and counts_differ.

    A row: tag, owner_number, title, owner, place (last known), water_line ("under", "over" or ""), listed
    and counted (things; 1 and 1 where nothing is said, 0 for what is not in that group by its name), note.
    Raises PaperError where a row stands in a group that its counts contradict.
    """
    rows = {group: [_row(group, row) for row in given["groups"].get(group, ())] for group in GROUPS}
    data = {
        **head.data(_("List against reality")),
        "words": words(),
        "groups": [{"key": g, "heading": headings()[g], "rows": rows[g]} for g in GROUPS],
        "totals": totals([row for group in GROUPS for row in rows[group]]),
    }
    return compile_paper("list_against_reality", data)


def headings() -> dict[str, str]:
    """The four groups."""
    return {
        "found": _("On the list and found"),
        "not_seen": _("On the list, not seen"),
        "unlisted": _("Found, not on the list"),
        "counts_differ": _("Counts differ"),
    }


def words() -> dict[str, str]:
    """Column heads and the like."""
    return {
        "tag": _("Tag"),
        "number": _("Owner's number"),
        "title": _("What"),
        "owner": _("Owner"),
        "place": _("Last known place"),
        "listed": _("On list"),
        "counted": _("Counted"),
        "hand": _("By hand"),
        "nothing": _("Nothing in this group."),
        "totals": _("Things per owner"),
        "not_seen": _("Not seen"),
        "unlisted": _("Not on list"),
        "all": _("All owners"),
        "of_things": _("things"),
        "sums": _("Counted = on list - not seen + not on list."),
    }


def _row(group: str, row: Row) -> dict[str, Any]:
    listed = int(row.get("listed", 0 if group == "unlisted" else 1))
    counted = int(row.get("counted", 0 if group == "not_seen" else 1))
    fits = {
        "found": listed == counted > 0,
        "not_seen": listed > 0 == counted,
        "unlisted": listed == 0 < counted,
        "counts_differ": listed != counted and listed > 0 and counted > 0,
    }
    if not fits[group]:
        name = row.get("tag") or row.get("owner_number") or row.get("title")
        raise PaperError(f"{name}: {listed} on the list and {counted} counted do not belong under '{group}'")
    line = {"under": _("under the water line"), "over": _("over the water line")}
    told = {key: str(row.get(key) or "") for key in ("tag", "owner_number", "title", "owner", "note")}
    places = [str(row.get("place") or ""), line.get(str(row.get("water_line") or ""), "")]
    return {
        **told,
        "place": ", ".join(place for place in places if place),
        "listed": listed,
        "counted": counted,
    }


def totals(rows: Sequence[Row]) -> list[dict[str, Any]]:
    """Things per owner, then all owners: on the list, counted, missing from and beyond the list.

    For each line counted = listed - not_seen + unlisted, to the thing.
    """
    owners = sorted({str(row["owner"]) for row in rows})
    lines = [
        _sum(owner or _("not known"), [row for row in rows if row["owner"] == owner]) for owner in owners
    ]
    return [*lines, _sum(_("All owners"), rows)]


def _sum(owner: str, rows: Sequence[Row]) -> dict[str, Any]:
    listed = sum(row["listed"] for row in rows)
    counted = sum(row["counted"] for row in rows)
    missing = sum(max(0, row["listed"] - row["counted"]) for row in rows)
    beyond = sum(max(0, row["counted"] - row["listed"]) for row in rows)
    return {"owner": owner, "listed": listed, "counted": counted, "not_seen": missing, "unlisted": beyond}
