"""What the shipped fonts can print, and what becomes of the rest.

One glyph that is missing fails a whole PDF/A file, so every text is looked through first.  Letters are
composed (NFC); a run that cannot be printed becomes ``[see screen]`` and is handed back, so that the
lead knows which cards are short of a word.
"""

from __future__ import annotations

import json
import unicodedata
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

FONTS = Path(__file__).resolve().parent / "fonts"
INSTEAD = "[see screen]"
BLANKS = frozenset("\t\n\r\v\f\x85\u2028\u2029")
"""Characters that only part words; they are printed as a space."""

RAW_KEYS = frozenset({"svg"})
"""Keys of values that are pictures, not text."""


@dataclass(frozen=True, slots=True)
class Unprintable:
    """A run of text that the fonts cannot print, and the tag of the object it belongs to ('' if none)."""

    tag: str
    text: str


@lru_cache(maxsize=1)
def covered() -> tuple[tuple[int, ...], tuple[int, ...]]:
    """First and last code points of the ranges that the fonts together print, sorted and merged."""
    told = json.loads((FONTS / "coverage.json").read_text(encoding="utf-8"))
    spans = sorted(tuple(span) for spans in told["families"].values() for span in spans)
    merged: list[list[int]] = []
    for first, last in spans:
        if merged and first <= merged[-1][1] + 1:
            merged[-1][1] = max(merged[-1][1], last)
        else:
            merged.append([first, last])
    return tuple(span[0] for span in merged), tuple(span[1] for span in merged)


def prints(letter: str) -> bool:
    """Whether one character stands by itself on paper: in the fonts, no mark upon another, no control."""
    kind = unicodedata.category(letter)
    if kind[0] in "MC" or unicodedata.bidirectional(letter) in {"R", "AL", "AN"}:
        return False
    firsts, lasts = covered()
    at = bisect_right(firsts, ord(letter)) - 1
    return at >= 0 and ord(letter) <= lasts[at]


def printable(text: str) -> tuple[str, list[str]]:
    """The text as it can be printed, and the runs that were replaced.

    Invisible format characters (joiners, direction marks) are dropped: they print nothing, and some
    would turn the order of what follows.  A letter under a mark that does not compose goes with it.
    """
    if text.isascii() and text.isprintable():
        return text, []
    out: list[str] = []
    lost: list[str] = []
    run: list[str] = []
    for letter in unicodedata.normalize("NFC", text):
        if letter in BLANKS:
            letter = " "
        kind = unicodedata.category(letter)
        if kind in {"Cf", "Cc"}:
            if run and kind == "Cf":
                run.append(letter)
        elif letter == " " and run:
            run.append(letter)
        elif prints(letter):
            _end(run, out, lost)
            out.append(letter)
        else:
            if kind.startswith("M") and not run and out and out[-1] != " ":
                run.append(out.pop())
            run.append(letter)
    _end(run, out, lost)
    return "".join(out), lost


def _end(run: list[str], out: list[str], lost: list[str]) -> None:
    """Close a run: one placeholder for it, blanks behind it kept."""
    if not run:
        return
    text = "".join(run)
    bare = text.rstrip(" ")
    lost.append(bare)
    out.append(INSTEAD + text[len(bare) :])
    run.clear()


def printable_data(data: Any, tag: str = "") -> tuple[Any, list[Unprintable]]:
    """Any plain data with every text made printable, and what was lost, by the tag it belongs to."""
    if isinstance(data, str):
        text, lost = printable(data)
        return text, [Unprintable(tag, run) for run in lost]
    if isinstance(data, Mapping):
        tag = str(data.get("tag") or tag)
        made, found = {}, []
        for key, value in data.items():
            if key in RAW_KEYS:
                made[key] = value
                continue
            made[key], lost_here = printable_data(value, tag)
            found += lost_here
        return made, found
    if isinstance(data, Sequence):
        pairs = [printable_data(value, tag) for value in data]
        return [value for value, _ in pairs], [lost for _, runs in pairs for lost in runs]
    return data, []
