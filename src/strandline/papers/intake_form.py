"""The intake form: A4, filled in by hand, one thing a sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from strandline.knowledge.models import DONE_ALREADY, WATERS, WET_STATES
from strandline.papers import wording
from strandline.papers.compile import CompiledPaper, PaperError, compile_paper
from strandline.papers.head import Head
from strandline.papers.pictures import look_for
from strandline.papers.qr import object_qr
from strandline.papers.wording import _

MOST_COPIES = 500


def intake_forms(head: Head, given: Mapping[str, Any]) -> CompiledPaper:
    """Blank forms: one for each of ``given["tags"]``, else ``given["copies"]`` (1) without a number."""
    copies = int(given.get("copies", 1))
    tags: Sequence[str] = [str(tag) for tag in given.get("tags", ())] or [""] * copies
    if not 1 <= len(tags) <= MOST_COPIES:
        raise PaperError(f"{len(tags)} forms in one file; 1 to {MOST_COPIES}")
    data = {
        **head.data(_("Intake")),
        "words": words(),
        "things": look_for(),
        "ticks": ticks(),
        "forms": [_form(head, tag) for tag in tags],
    }
    return compile_paper("intake_form", data)


def _form(head: Head, tag: str) -> dict[str, Any]:
    if not tag:
        return {"tag": "", "qr": None}
    return {"tag": tag, "qr": object_qr(head.incident, tag)}


def words() -> dict[str, str]:
    """Questions of the form."""
    return {
        "tag": _("Tag"),
        "look": _("1 Look, do not touch. Tick what you see"),
        "none": _("none of these"),
        "end": _(
            "Any other tick: photograph it from where you stand, step back, call the lead. It ends here."
        ),
        "place": _("2 Where it lay"),
        "room": _("Room, spot"),
        "height": _("Height above floor"),
        "near": _("Beside what"),
        "photo": _("photographed in place, with the tag"),
        "what": _("3 What it is"),
        "title": _("What"),
        "owner": _("Owner"),
        "number": _("Owner's number"),
        "on_list": _("on the list"),
        "not_list": _("not on the list"),
        "count": _("How many things"),
        "loose": _("Loose fragments in the tray"),
        "water": _("4 Water: all that apply"),
        "wet": _("Wet since (day, time)"),
        "out": _("Out since"),
        "under": _("Hours under water"),
        "guess": _("a guess"),
        "state": _("5 State now"),
        "done": _("6 Done to it already"),
        "parts": _("7 Parts: one line each"),
        "part": _("Part"),
        "made_of": _("Made of"),
        "how_known": _("Said, seen or guess"),
        "thick": _("Thick mm"),
        "held": _("Held how"),
        "features": _("8 On it or in it"),
        "size": _("9 Size in mm"),
        "lengths": _("Length, width, height"),
        "lift": _("Lift, wet as it is, with what stands in it"),
        "matters": _("10 Matters, 1 to 5 (5 cannot be replaced)"),
        "said": _("Owner said"),
        "who": _("Filled in by"),
        "when": _("Day, time"),
    }


def ticks() -> dict[str, list[str]]:
    """The words beside the boxes; water, state and what was done are those that lists use."""
    return {
        "water": [wording.water(key) for key in WATERS],
        "state": [*(wording.state(key) for key in WET_STATES), _("not known")],
        "done": [_("nothing"), *(wording.done(key) for key in DONE_ALREADY)],
        "features": [
            _("paint"), _("gilding"), _("veneer or inlay"), _("lacquer"), _("writing, label, print"),
            _("old mend"), _("crack"), _("flaking"), _("rust"), _("growth"),
            _("hollow: water may stand inside"), _("moving parts"), _("glass"), _("cloth or leather"),
            _("sharp edges"),
        ],
        "lift": [_("under 7 kg"), _("7 to 15 kg"), _("two people"), _("more"), _("not known: leave it")],
    }  # fmt: skip
