"""The order of work: A4, the first things in order, each with one sentence why it stands there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from strandline.papers import when
from strandline.papers.compile import CompiledPaper, compile_paper
from strandline.papers.head import Head
from strandline.papers.wording import _

FIRST = 20


def order_sheet(head: Head, given: Mapping[str, Any]) -> CompiledPaper:
    """``given["rows"]`` of a ``strandline.order/1``, the first ``given["first"]`` (20) of them.

    A row: place (1 is first), tag, title, why (one sentence), steps [text, or {text} or {key}], by or
    good_until (ISO time, or null), plan_no where known.  ``given["stops"]`` {tag, title, say} stand on top.
    The sheet is the lead's: hours to the minute, and "now" for what is due.
    """
    ordered = sorted(given["rows"], key=lambda row: int(row["place"]))
    shown = ordered[: int(given.get("first", FIRST))]
    data = {
        **head.data(_("Order of work")),
        "words": words(),
        "rows": [_row(head, row) for row in shown],
        "stops": [{key: str(one.get(key) or "") for key in ("tag", "title", "say")} for one in _stops(given)],
        "said": _("The first {n} of {all}").format(n=len(shown), all=len(ordered)),
    }
    return compile_paper("order_sheet", data)


def _stops(given: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    return list(given.get("stops") or ())


def _step(step: object) -> str:
    """A step as text; one known only by its key is told by it."""
    if isinstance(step, Mapping):
        return str(step.get("text") or str(step["key"]).replace("_", " "))
    return str(step)


def words() -> dict[str, str]:
    """Column heads and the like."""
    return {
        "stop": _("STOP"),
        "place": _("No."),
        "tag": _("Tag"),
        "what": _("What, and why now"),
        "steps": _("Steps"),
        "by": _("Best begun by"),
        "end": _("End"),
        "plan": _("plan"),
    }


def _row(head: Head, row: Mapping[str, Any]) -> dict[str, Any]:
    at = when.read(row.get("by") or row.get("good_until"))
    by = "–" if at is None else when.hour(at, head.zone) if at > head.as_of else _("now")
    return {
        "place": int(row["place"]),
        "tag": str(row["tag"]),
        "title": str(row.get("title") or ""),
        "why": str(row.get("why") or ""),
        "steps": [_step(step) for step in row.get("steps", ())],
        "by": by,
        "plan": str(row.get("plan_no") or ""),
    }
