"""The walk-through: A4, look only, ten pictures; a tick ends intake of that thing after its photograph."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from strandline.papers.compile import CompiledPaper, compile_paper
from strandline.papers.head import Head
from strandline.papers.pictures import look_for
from strandline.papers.wording import _


def hazard_walk(head: Head, given: Mapping[str, Any]) -> CompiledPaper:
    """One sheet per room of ``given["rooms"]`` (names); one blank sheet where there are none."""
    rooms = [str(room) for room in given.get("rooms", ())] or [""]
    data = {**head.data(_("Look first")), "words": words(), "rooms": rooms, "things": look_for()}
    return compile_paper("hazard_walk", data)


def words() -> dict[str, str]:
    """What the sheet says."""
    return {
        "title": _("Look first. Touch nothing."),
        "how": _("From the door, then along the path that was released. Hands stay at your sides."),
        "room": _("Room"),
        "who": _("Who looked"),
        "time": _("Day, time"),
        "released": _("Room released by (role, time)"),
        "where": _("Where, which thing"),
        "seen": _("Seen"),
        "thing": _("What"),
        "none": _("None of these"),
        "then": _(
            "Any tick: take its photograph from where you stand, step back, keep others out, call the lead. "
            "Intake of that thing ends there until the lead says otherwise."
        ),
        "notice": _("Silver liquid, glowing dial or fibre: leave the room, shut the door, shoes stay there."),
    }
