"""The day sheet: A4, one station and half-shift: who does what to which tag, and the count at hand-over."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from strandline.papers import reading
from strandline.papers.compile import CompiledPaper, compile_paper
from strandline.papers.endings import endings
from strandline.papers.head import Head
from strandline.papers.wording import _


def day_sheets(head: Head, given: Mapping[str, Any]) -> CompiledPaper:
    """Sheets of ``given["sheets"]``: each {station, half_shift, rows}.

    A row is {object (of ``strandline.care/1``), who, done (keys of steps already done)}; ``who`` may be
    empty, then there is a line to write on.
    """
    sheets = [_sheet(head, sheet) for sheet in given["sheets"]]
    data = {**head.data(_("Day sheet")), "words": words(), "endings": endings(), "sheets": sheets}
    return compile_paper("day_sheet", data)


def words() -> dict[str, str]:
    """What the sheet says of itself."""
    return {
        "stop": _("STOP"),
        "tag": _("Tag"),
        "next": _("What it is, and the next thing"),
        "who": _("Who, by when"),
        "done": _("End"),
        "no": _("No:"),
        "guard": _("Guard:"),
        "plan": _("plan"),
        "count": _("Count at hand-over"),
        "listed": _("On this sheet:"),
        "counted": _("Counted by hand:"),
        "short": _("Not there (tags; the lead opens a search note):"),
        "from": _("Handed over by"),
        "to": _("Taken over by"),
        "time": _("Time"),
        "read_out": _("Read each end out to the scribe. Not sure? Say so and leave it."),
    }


def _sheet(head: Head, sheet: Mapping[str, Any]) -> dict[str, Any]:
    rows = [_row(head, row) for row in sheet["rows"]]
    site = next((reading.site_line(row["object"]) for row in sheet["rows"]), "")
    return {
        "station": str(sheet["station"]),
        "half_shift": str(sheet.get("half_shift") or ""),
        "site": site,
        "rows": rows,
        "count": len(rows),
    }


def _row(head: Head, row: Mapping[str, Any]) -> dict[str, Any]:
    o: reading.Object = row["object"]
    left = reading.steps_left(o, row.get("done", ()))
    stops = reading.stops(o)
    step = left[0] if left else None
    return {
        "tag": o["tag"],
        "title": o.get("title") or "",
        "plan": str(o.get("plan_no") or "-"),
        "who": str(row.get("who") or ""),
        "stops": stops,
        "next": reading.step_line(step) if step and not stops else None,
        "waits_for": reading.waits_for(o),
        "by": reading.next_by(o, step, head.as_of, head.zone) if step else "",
        "no": ", ".join(reading.no_words(o, step)) if not stops else "",
        "guard": " ".join(guard["say"] for guard in reading.guards(o)),
    }
