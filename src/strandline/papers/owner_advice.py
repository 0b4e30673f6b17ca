"""Advice for owners, the first two days: A4, what not to do comes first.  The text is in owner_advice.toml.

Each line carries the keys of its sources and how well it is known.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from strandline.papers.compile import CompiledPaper, compile_paper
from strandline.papers.head import Head
from strandline.papers.wording import _

FOUL = frozenset({"sewage", "fuel", "chemical", "unknown"})
"""Waters for which none of the hours on the sheet hold."""

TEXT = Path(__file__).resolve().parent / "owner_advice.toml"


def owner_advice(head: Head, given: Mapping[str, Any]) -> CompiledPaper:
    """The sheet; ``given["call"]`` is a line with whom to call, left to write in where it is missing.

    ``given["water"]`` holds keys of waters.  Where it is foul or nobody said, "stop and leave it" leads.
    """
    foul = not given.get("water") or bool(FOUL & set(given["water"]))
    ordered = sorted(sections(), key=lambda one: not one.get("foul", False)) if foul else sections()
    data = {
        **head.data(_("Wet things: the first two days")),
        "call": str(given.get("call") or ""),
        "call_word": _("Call:"),
        "sections": [_section(one) for one in ordered],
    }
    return compile_paper("owner_advice", data)


@lru_cache(maxsize=1)
def sections() -> tuple[Mapping[str, Any], ...]:
    """The sections as they stand in the file: heading, big, lines {say, source, confidence}."""
    return tuple(tomllib.loads(TEXT.read_text(encoding="utf-8"))["section"])


def _section(one: Mapping[str, Any]) -> dict[str, Any]:
    lines = [
        {"say": _(line["say"]), "basis": " ".join([*line["source"], line["confidence"]])}
        for line in one["lines"]
    ]
    return {
        "heading": _(one["heading"]),
        "big": one["big"],
        "foul": one.get("foul", False),
        "lines": lines,
    }
