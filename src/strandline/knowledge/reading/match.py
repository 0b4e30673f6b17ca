"""Turning a text into items: known names, marks, figures and words nobody knows."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from strandline.knowledge.reading.lexicon import Lexicon, Name
from strandline.knowledge.reading.tokens import Token, tokens

FOREIGN_COLUMNS: frozenset[str] = frozenset({"materials", "features", "condition"})
_QUOTED = re.compile(r"“[^”]{2,80}”|(?<!\S)\"[^\W\d][^\"]{1,80}\"(?!\w)")
_CAPITALS = re.compile(r"\b[^\W\da-z_]{2,}(?: [^\W\da-z_]{2,})+\b")
_YEAR = re.compile(r"1\d\d\d(s|')?|20\d\d(s)?|\d+(st|nd|rd|th)")


DANGERS: frozenset[str] = frozenset(
    "asbestos mains battery_inside luminous mercury_inside sealed_contents pesticide".split()
)
INSCRIBED: frozenset[str] = frozenset({"title", "features"})


@dataclass(frozen=True, slots=True)
class Item:
    """A stretch of text with its meaning.  ``kind`` is that of a name, or ``mark``, or ``unread``."""

    kind: str
    start: int
    end: int
    text: str
    name: Name | None = None
    phrase: str = ""
    key: str = ""
    words: tuple[tuple[int, int], ...] = ()
    """Start and end of each word in it."""


@lru_cache(maxsize=2048)
def items(text: str, column: str, lexicon: Lexicon) -> tuple[Item, ...]:
    """The items of a text in order; every word is in exactly one.

    Lists repeat themselves, so the answers are kept.
    """
    words = tokens(text)
    foreign = column in FOREIGN_COLUMNS
    forms = [lexicon.forms_of(word.plain, foreign) for word in words]
    written = _inscriptions(text) if column in INSCRIBED else ()
    result: list[Item] = []
    at = 0
    while at < len(words):
        name = _longest(words, forms, at, lexicon)
        count = len(name.words) if name else 1
        item = _item(text, words[at : at + count], name, forms[at])
        result.append(_inscribed(item) if any(a <= item.start < b for a, b in written) else item)
        last = words[at + count - 1]
        result.extend(Item("mark", last.end, last.end, mark, key=mark, phrase=mark) for mark in last.marks)
        at += count
    return tuple(result)


def _longest(words: list[Token], forms: list[tuple[str, ...]], at: int, lexicon: Lexicon) -> Name | None:
    best: Name | None = None
    for form in forms[at]:
        for name in lexicon.by_first.get(form, ()):
            if best and len(name.words) <= len(best.words):
                break
            if _fits(name.words, words, forms, at):
                best = name
                break
    return best


def _fits(name: tuple[str, ...], words: list[Token], forms: list[tuple[str, ...]], at: int) -> bool:
    if at + len(name) > len(words):
        return False
    for offset in range(1, len(name)):
        if not words[at + offset - 1].joined or name[offset] not in forms[at + offset]:
            return False
    return True


def _item(text: str, words: list[Token], name: Name | None, forms: tuple[str, ...]) -> Item:
    start, end = words[0].start, words[-1].end
    spans = tuple((word.start, word.end) for word in words)
    if name is not None:
        return Item(name.kind, start, end, text[start:end], name, name.phrase, name.key, spans)
    word = words[0].plain
    if word[0].isdigit() or len(word) == 1:
        # A figure or a letter standing alone counts, dates or numbers something; it names no body.
        kind = "period" if _YEAR.fullmatch(word) else "count"
        return Item("harmless", start, end, text[start:end], None, word, kind, spans)
    return Item("unread", start, end, text[start:end], None, forms[0], "", spans)


def _inscriptions(text: str) -> tuple[tuple[int, int], ...]:
    """Where an inscription is told: between quotation marks, or in capitals in a text that has others."""
    found = [match.span() for match in _QUOTED.finditer(text)]
    if any(char.islower() for char in text):
        found += [match.span() for match in _CAPITALS.finditer(text)]
    return tuple(found)


def _inscribed(item: Item) -> Item:
    """A word of an inscription names no body and no finish; a danger keeps its meaning."""
    if item.kind in ("harmless", "grammar", "mark") or (item.name and item.name.flags & {"always"}):
        return item
    if item.name and DANGERS.intersection(item.name.keys):
        return item
    return Item("harmless", item.start, item.end, item.text, None, item.phrase, "subject", item.words)
