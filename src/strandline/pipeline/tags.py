"""Tags of a list: stated ones are kept, missing ones allotted in row order, doubles get a new one."""

from __future__ import annotations

from collections.abc import Sequence

from strandline.things.listing import Problem, RawRow

DIGITS = 4


def allot(rows: Sequence[RawRow]) -> tuple[list[str], list[Problem]]:
    """One tag per row, unique, and a note for each that was allotted."""
    stated = [_tidy(row.cells.get("tag", "")) for row in rows]
    taken = {tag for tag in stated if tag}
    number = max((int(tag) for tag in taken if tag.isdecimal()), default=0)
    seen: set[str] = set()
    tags: list[str] = []
    notes: list[Problem] = []
    for row, tag in zip(rows, stated, strict=True):
        chosen = tag
        if not tag or tag in seen:
            number += 1
            chosen = f"{number:0{DIGITS}d}"
            why = f"tag '{tag}' stands twice" if tag else "no tag"
            reason = f"{why}; {chosen} was allotted: tie that number to it"
            notes.append(Problem(row.row, "tag", row.cells.get("tag", ""), reason, note=True))
        seen.add(chosen)
        tags.append(chosen)
    return tags, notes


def _tidy(text: str) -> str:
    """A numeric tag is written with four digits or more; anything else stays as it is."""
    tag = text.strip()
    if tag.endswith(".0") and tag[:-2].isdecimal():
        tag = tag[:-2]
    return tag.zfill(DIGITS) if tag.isdecimal() else tag
