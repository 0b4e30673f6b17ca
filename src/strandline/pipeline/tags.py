"""Tags of a list: stated ones are kept, missing ones allotted in row order, doubles and what cannot be
written on a tag get a new one."""

from __future__ import annotations

from collections.abc import Sequence

from strandline.things.listing import Problem, RawRow

DIGITS = 4
LONGEST = 16
"""Characters a tag may have; more does not fit on one."""

BESIDES = frozenset("-./ ")
"""Characters a tag may have besides letters and digits."""


def allot(rows: Sequence[RawRow]) -> tuple[list[str], list[Problem]]:
    """One tag per row, unique, and a note for each that was allotted."""
    stated = [tidy(row.cells.get("tag", "")) for row in rows]
    taken = {tag for tag in stated if writable(tag)}
    number = max((int(tag) for tag in taken if tag.isdecimal()), default=0)
    seen: set[str] = set()
    tags: list[str] = []
    notes: list[Problem] = []
    for row, tag in zip(rows, stated, strict=True):
        chosen = tag
        if not writable(tag) or tag in seen:
            number += 1
            chosen = f"{number:0{DIGITS}d}"
            reason = f"{_why(tag)}; {chosen} was allotted: tie that number to it"
            notes.append(Problem(row.row, "tag", row.cells.get("tag", ""), reason, note=True))
        seen.add(chosen)
        tags.append(chosen)
    return tags, notes


def writable(tag: str) -> bool:
    """Whether it can be a tag: some letter or digit, nothing but those and ``- . /`` and space, not long."""
    allowed = all(letter.isalnum() or letter in BESIDES for letter in tag)
    return allowed and len(tag) <= LONGEST and any(letter.isalnum() for letter in tag) and ".." not in tag


def refused(row: RawRow) -> str:
    """The row's tag as typed where it cannot be one, to be kept as the owner's words; else ''."""
    typed = row.cells.get("tag", "").strip()
    return typed if typed and not writable(tidy(typed)) else ""


def _why(tag: str) -> str:
    if not tag:
        return "no tag"
    return (
        f"tag '{tag}' stands twice" if writable(tag) else f"'{tag[:40]}' cannot be a tag and is kept as text"
    )


def tidy(text: str) -> str:
    """A numeric tag is written with four digits or more; anything else stays as it is."""
    tag = text.strip()
    if tag.endswith(".0") and tag[:-2].isdecimal():
        tag = tag[:-2]
    return tag.zfill(DIGITS) if tag.isdecimal() else tag
