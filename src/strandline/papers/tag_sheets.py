"""Sheets of blank, pre-numbered tags: printed before the flood, claimed one by one at intake."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from strandline.papers.compile import CompiledPaper, PaperError, compile_paper
from strandline.papers.head import Head
from strandline.papers.qr import tag_qr
from strandline.papers.wording import _
from strandline.things.tags import check_tag, tag_range

PER_SHEET = 10
MOST = 2000
"""Tags in one file; more is more than one flood's worth and a slip of the finger."""


def tag_sheets(head: Head, given: Mapping[str, Any]) -> CompiledPaper:
    """A4 sheets of ten tags each.

    ``given``: ``first`` and ``count``, or ``tags`` (a list, for tags that were lost); ``reserved_for``, the
    device or table the range is set aside for.
    """
    tags = [check_tag(str(tag)) for tag in given.get("tags", ())]
    tags = tags or list(tag_range(int(given.get("first", 1)), int(given.get("count", PER_SHEET))))
    if len(tags) > MOST:
        raise PaperError(f"{len(tags)} tags in one file; at most {MOST}")
    sheets = [tags[at : at + PER_SHEET] for at in range(0, len(tags), PER_SHEET)]
    reserved_for = str(given.get("reserved_for") or "")
    data = {
        **head.data(_("Tags")),
        "words": words(),
        "sheets": [_sheet(head, sheet, reserved_for) for sheet in sheets],
    }
    return compile_paper("tags", data)


def words() -> dict[str, str]:
    """What a tag says of itself."""
    return {
        "where": _("Room, spot"),
        "when": _("Day, time, by"),
        "what": _("What"),
        "tie": _("Tie it with cotton tape to nothing painted, gilded or loose; or lay it in the tray."),
        "once": _("A number is used once. Spoilt tags are struck through and kept."),
    }


def _sheet(head: Head, tags: list[str], reserved_for: str) -> dict[str, Any]:
    whom = reserved_for or "____________________"
    told = _("Tags {first} to {last}, {n} in all, reserved for {whom}")
    return {
        "range": told.format(first=tags[0], last=tags[-1], n=len(tags), whom=whom),
        "tags": [_tag(head, tag) for tag in tags],
    }


def _tag(head: Head, tag: str) -> dict[str, Any]:
    code = tag_qr(head.incident, tag)
    alt = _("Code of tag {tag}: {text}").format(tag=tag, text=code["text"])
    return {"tag": tag, "check": code["check"], "qr": {**code, "alt": alt}}
