"""Markdown in small pieces, for the pages that are made by tools/docs_build.py."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

MADE = "<!-- Made by tools/docs_build.py from the program itself: change that, not this page. -->"
SURE = {"v": "read", "m": "memory", "c": "practice"}
"""Confidence letter -> the word printed in tables."""


def cell(text: object) -> str:
    """A value as the text of one table cell."""
    line = " ".join(str(text).split())
    return line.replace("|", "\\|").replace("<", "&lt;") or "-"


def table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A table; '' without rows.  Cells made by :func:`raw` are left as they are."""
    lines = [
        "| " + " | ".join(one if isinstance(one, Raw) else cell(one) for one in row) + " |" for row in rows
    ]
    if not lines:
        return ""
    return "\n".join(["| " + " | ".join(head) + " |", "|" + "---|" * len(head), *lines]) + "\n"


class Raw(str):
    """Text that is Markdown already."""

    __slots__ = ()


def raw(text: str) -> Raw:
    """Markdown for one table cell."""
    return Raw(" ".join(text.split()).replace("|", "\\|") or "-")


def words(key: str) -> str:
    """A key as words: ``hold_wet`` is *hold wet*."""
    return key.replace("_", " ")


def page(title: str, *blocks: str) -> str:
    """A whole page: its note, its title, and its blocks with a blank line between."""
    held = [block.strip("\n") for block in blocks if block.strip()]
    return "\n\n".join([MADE, f"# {title}", *held]) + "\n"


def slug(heading: str) -> str:
    """The anchor a heading gets where Markdown is shown as a web page."""
    bare = re.sub(r"[`*]|\[([^\]]*)\]\([^)]*\)", lambda found: found[1] or "", heading.strip())
    kept = "".join(letter for letter in bare.lower() if letter.isalnum() or letter in " -_")
    return kept.replace(" ", "-")


def fenced(text: str, kind: str = "text") -> str:
    """A block of plain text."""
    return f"```{kind}\n{text.rstrip()}\n```"
