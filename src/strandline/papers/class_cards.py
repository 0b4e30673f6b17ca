"""Class cards: A6, printed before the flood, one per class of thing, made from the plan of an example."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from strandline.knowledge.models import ACTIONS
from strandline.papers import reading
from strandline.papers.compile import CompiledPaper, compile_paper
from strandline.papers.head import Head
from strandline.papers.wording import _

TOLD = ("lift", "rinse", "blot", "drip_dry", "cover", "support", "set_apart")
MOST_TOLD = 3
"""Actions whose manner a card has room to tell, the first things asked for; the others are asked about."""


def class_cards(head: Head, given: Mapping[str, Any]) -> CompiledPaper:
    """Cards of ``given["classes"]``: each {title, note, object}; ``object`` is the plan of an example.

    All advice is the example's; only the heading and the note (how to know such a thing) come with it.
    """
    cards = [_card(one) for one in given["classes"]]
    return compile_paper("class_card", {**head.data(_("Class cards")), "words": words(), "cards": cards})


def words() -> dict[str, str]:
    """What the card says of itself."""
    return {
        "stop": _("STOP"),
        "first": _("First, by anybody"),
        "no": _("No:"),
        "careful": _("Careful"),
        "careful_more": _("Careful, ask how:"),
        "how": _("How"),
        "yes": _("Yes:"),
        "yes_so": _("Yes"),
        "refer": _("Conservator decides:"),
        "guards": _("Guard yourself"),
        "not_so": _("Something on it that this card does not name, or not sure? Leave it and ask."),
        "class": _("For a class of things. A plan for the thing itself goes first."),
    }


def _card(one: Mapping[str, Any]) -> dict[str, Any]:
    o: reading.Object = one["object"]
    careful = [key for key in ACTIONS if reading.said(o, key) == "careful"]
    told = reading.whole_rows(o, [key for key in TOLD if key in careful][:MOST_TOLD])
    in_a_way = [row for row in reading.whole_rows(o, ACTIONS) if row["key"] == "yes" and row["how"]]
    return {
        "title": str(one["title"]),
        "note": str(one.get("note") or ""),
        "stops": reading.stops(o),
        "first": list((o.get("holding") or {}).get("do", ())),
        "no": reading.words_with(o, "no"),
        "yes": reading.words_with(o, "yes", {row["action"] for row in in_a_way}),
        "yes_so": in_a_way,
        "refer": reading.words_with(o, "refer"),
        "careful": told,
        "careful_more": reading.words_with(o, "careful", {row["action"] for row in told}),
        "guards": reading.guards(o),
        "site": reading.site_line(o),
    }
