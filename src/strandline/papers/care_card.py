"""The care card: A6, one object; it runs to a second side rather than leave out what guards somebody."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from strandline.papers import reading
from strandline.papers.compile import CompiledPaper, compile_paper
from strandline.papers.head import Head
from strandline.papers.qr import object_qr
from strandline.papers.wording import _

SHOWN = 3
"""Steps printed, the next one among them; the rest are counted on the card and stand in the plan."""


def care_cards(head: Head, given: Mapping[str, Any]) -> CompiledPaper:
    """Cards of ``given["objects"]`` (objects of ``strandline.care/1``), each from a new side on.

    ``given["done"]`` may hold, by tag, the keys of steps already done: the next thing is the first step
    that is not.
    """
    done = given.get("done", {})
    cards = [card(head, o, done.get(o["tag"], ())) for o in given["objects"]]
    data = {**head.data(_("Care cards")), "words": words(), "cards": cards}
    return compile_paper("care_card", data)


def words() -> dict[str, str]:
    """What the card says of itself."""
    return {
        "stop": _("STOP"),
        "next": _("Next"),
        "then": _("Then"),
        "guards": _("Guard yourself"),
        "may": _("May I?"),
        "how": _("How"),
        "also": _("Yes:"),
        "careful": _("Careful, ask how:"),
        "never": _("No:"),
        "never_more": _("Also no:"),
        "ask_first": _("Conservator decides:"),
        "hold": _("If it must wait"),
        "changed": _("Changed by the practice"),
        "find_out": _("Find out:"),
        "plan": _("Plan"),
        "knowledge": _("knowledge"),
        "no_code": _("No code: the tag is not one of ours."),
        "nothing_left": _("No step left in this plan. Ask the lead."),
        "unsure": _("Not sure? Leave it and ask."),
    }


def card(head: Head, o: reading.Object, done: Collection[str]) -> dict[str, Any]:
    """One card as the template wants it."""
    left = reading.steps_left(o, done)
    code = object_qr(head.incident, o["tag"])
    return {
        "tag": o["tag"],
        "check": code["check"] if code else "",
        "title": o.get("title") or _("without a title"),
        "made_of": o.get("materials") or "",
        "plan": str(o.get("plan_no") or _("without number")),
        "qr": code,
        "stops": reading.stops(o),
        "waits_for": reading.waits_for(o),
        "next": reading.step_line(left[0]) if left else None,
        "by": reading.next_by(o, left[0], head.as_of, head.zone) if left else "",
        "then": [reading.step_line(step) for step in left[1:SHOWN]],
        "more": reading.more_line(left, SHOWN),
        "guards": reading.guards(o),
        "site": reading.site_line(o),
        "hold": reading.holding(o, head.as_of, head.zone),
        "overrides": reading.overrides(o),
        **_verdicts(o, left),
    }


def _verdicts(o: reading.Object, left: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """What may be done and what must be asked; nothing of it while a stop holds."""
    if reading.stops(o):
        words = ("forbidden", "also", "careful", "never", "ask_first", "question")
        return {"rows": [], **dict.fromkeys(words, "")}
    rows = reading.verdict_rows(o, left)
    forbidden = reading.no_words(o, left[0] if left else None)
    shown = {row["action"] for row in rows}
    return {
        "rows": rows,
        "forbidden": ", ".join(forbidden),
        "also": reading.words_with(o, "yes", shown),
        "careful": reading.words_with(o, "careful", shown),
        "never": reading.words_with(o, "no", shown | set(forbidden)),
        "ask_first": reading.words_with(o, "refer", shown),
        "question": reading.question(o),
    }
