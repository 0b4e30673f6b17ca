"""Briefing and sign-in: A4 for the door.  What is said is given as data; head counts are done by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from strandline.papers import when
from strandline.papers.compile import CompiledPaper, compile_paper
from strandline.papers.head import Head
from strandline.papers.wording import _

BLANK_RELEASES = 3
SIGN_ROWS = 18
COUNT_ROWS = 8
STOPPING = (
    "entry", "electricity", "arms", "pressure", "radiation", "poison", "fibre", "chemicals", "fire", "fumes",
)  # fmt: skip
"""What cautions are about that bear on a stop; printed before the others."""


def site_briefing(head: Head, given: Mapping[str, Any]) -> CompiledPaper:
    """The briefing for the door.

    ``given``: ``cautions`` [{about, say, confidence}] (those of the knowledge, all of them printed),
    ``stop_words`` ["word: what it means"], ``releases`` [{room, what, needs, role, at (ISO), said}],
    ``hazards`` [{say, grade}] that hold for the site.  A release with ``needs`` is not given yet.
    """
    releases = [_release(head, one) for one in given.get("releases", ())]
    data = {
        **head.data(_("Briefing")),
        "words": words(),
        "stop_words": [_stop_word(str(word)) for word in given.get("stop_words") or stop_words()],
        "hazards": sorted(
            (dict(one) for one in given.get("hazards", ())), key=lambda one: str(one.get("grade")) != "stop"
        ),
        "releases": releases,
        "blank": BLANK_RELEASES,
        "cautions": _grouped(given.get("cautions", ())),
    }
    return compile_paper("site_briefing", data)


def sign_in(head: Head, given: Mapping[str, Any]) -> CompiledPaper:
    """The sheet at the door: who is in, and the head counts.  ``given["crew"]``: names or roles to print."""
    crew = [str(name) for name in given.get("crew", ())]
    rows = crew + [""] * max(0, SIGN_ROWS - len(crew))
    data = {**head.data(_("Sign in and out")), "words": words(), "rows": rows, "counts": COUNT_ROWS}
    return compile_paper("sign_in", data)


def stop_words() -> tuple[str, ...]:
    """What anybody may call out, and what everybody does then."""
    return (
        _("Stop: hands still until the lead has spoken"),
        _("Hands off: put nothing down, step back"),
        _("Out: leave by the named way, no tools, count heads"),
    )


def words() -> dict[str, str]:
    """What the two sheets say of themselves."""
    return {
        "stop": _("STOP"),
        "stop_words": _("Anybody may stop all work. Say:"),
        "site": _("Here, today"),
        "releases": _("Rooms: nobody goes in before this is filled in"),
        "room": _("Room"),
        "what": _("What was looked at"),
        "by": _("Released by (role)"),
        "at": _("When"),
        "said": _("What they said"),
        "cautions": _("For your own sake"),
        "never_alone": _("Sign in, sign out. Nobody works alone. Not sure? Leave it and ask."),
        "name": _("Name or role"),
        "in": _("In"),
        "out": _("Out"),
        "briefed": _("Heard the briefing"),
        "count": _("Head count"),
        "time": _("Time"),
        "listed": _("In, by this list"),
        "counted": _("Counted"),
        "same": _("Same"),
        "who": _("Counted by"),
        "differ": _("Not the same: all stop, call names, nobody goes in alone to look."),
    }


def _release(head: Head, one: Mapping[str, Any]) -> dict[str, str]:
    at = when.read(one.get("at"))
    told = {key: str(one.get(key) or "") for key in ("room", "what", "role", "said")}
    if one.get("needs"):
        wanting = _("Not yet released. Needs: {needs}").format(needs=one["needs"])
        what = told["what"][:1].upper() + told["what"][1:]
        told["what"] = f"{what}. {wanting}" if what else wanting
    return {**told, "at": when.hour(at, head.zone) if at else str(one.get("at") or "")}


def _grouped(cautions: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Cautions by what they are about: what ends in a stop first, the rest in the order they came."""
    groups: dict[str, list[dict[str, str]]] = {}
    for one in cautions:
        line = {"say": str(one["say"]), "mark": str(one.get("confidence") or "")}
        groups.setdefault(str(one.get("about") or ""), []).append(line)
    first = [about for about in STOPPING if about in groups]
    return [
        {"about": about.replace("_", " ").capitalize(), "lines": groups[about]}
        for about in (*first, *(about for about in groups if about not in first))
    ]


def _stop_word(text: str) -> dict[str, str]:
    word, colon, meaning = text.partition(":")
    return {"word": word + colon, "meaning": meaning.strip()}
