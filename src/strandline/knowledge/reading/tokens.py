"""Cutting a text into words and the marks between them."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

WORD = re.compile(r"\w+(?:['’]\w+)*")
_JOINING = re.compile(r"[ \t\r\n\-–‐]*|[./'’]")
_MARKS = re.compile(r"[,;:()\[\]/&+?|\n]|\.(?=\s|$)| [-–—] |—")
_SHORT = frozenset({"approx", "incl", "decor", "inc", "max", "min", "poss", "prob"})
_AS = {"[": "(", "]": ")", "&": "and", "+": "and", "|": ";", "\n": ";", ".": ";", "—": ","}


@dataclass(frozen=True, slots=True)
class Token:
    """A word as typed, where it stands, its plain form, and the marks between it and the next word."""

    text: str
    start: int
    end: int
    plain: str
    marks: tuple[str, ...]
    joined: bool
    """Whether only blanks or a hyphen stand between this word and the next."""


@lru_cache(maxsize=16384)
def plain(word: str) -> str:
    """Lower case without accents; the apostrophe made straight."""
    if word.isascii():
        return word.lower()
    text = unicodedata.normalize("NFKD", word.replace("’", "'").lower())
    stripped = "".join(char for char in text if not unicodedata.combining(char))
    return stripped.replace("œ", "oe").replace("æ", "ae").replace("ß", "ss") or word.lower()


def _marks(gap: str, word: str) -> tuple[str, ...]:
    if gap in ("", " ", "-"):
        return ()
    if gap[0] == "." and (len(word) <= 2 or word in _SHORT):
        gap = gap[1:]  # the stop of a short form ("w.", "approx.") ends nothing
    return tuple(_AS.get(mark, "," if mark.strip() in "-–—" else mark) for mark in _MARKS.findall(gap))


def tokens(text: str) -> list[Token]:
    """The words of a text in order.  Underscored keys and figures are one word each."""
    found = list(WORD.finditer(text))
    result: list[Token] = []
    for number, match in enumerate(found):
        stop = found[number + 1].start() if number + 1 < len(found) else len(text)
        gap = text[match.end() : stop]
        joined = number + 1 < len(found) and _JOINING.fullmatch(gap) is not None
        result.append(
            Token(match[0], match.start(), match.end(), plain(match[0]), _marks(gap, plain(match[0])), joined)
        )
    return result
