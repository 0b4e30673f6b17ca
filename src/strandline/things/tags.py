"""Tags and the text of their QR codes: ``SL1:<incident code>:<tag>:<check character>``.

The check character is that of ISO/IEC 7064, MOD 37,36: one letter or digit over the digits and
letters of incident code and tag together, so that a mistyped tag, a swapped pair of digits and a tag
of another incident are all noticed.  The algorithm finds every single wrong character and all but
one in a hundred swaps of two neighbours.  The Global Release Identifier and ISAN (ISO 15706) use the
same one; their published examples are the tests here.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
"""The 36 characters of ISO/IEC 7064 MOD 37,36 in the order of their values."""

PREFIX = "SL1"
LEAST_DIGITS = 4
TAG = re.compile(r"[0-9]{4,9}(-[a-z]{1,3})?")
INCIDENT = re.compile(r"[A-Z0-9]{2,12}")


class TagError(ValueError):
    """A tag, an incident code or the text of a code that cannot be right; says why."""


@dataclass(frozen=True, slots=True)
class TagCode:
    """What a printed code says: the incident and the tag, check character already compared."""

    incident: str
    tag: str


def mod_37_36(text: str) -> str:
    """The check character of ``text`` (digits and capital letters only).

    ISO/IEC 7064, hybrid system MOD 37,36: p starts at 36; for each value a, p = p + a modulo 36 with
    0 taken as 36, then p = 2 p modulo 37; the check value is 1 - p modulo 36.

    >>> mod_37_36("A12425GABC1234002")
    'M'
    """
    product = 36
    for letter in text:
        value = ALPHABET.find(letter)
        if value < 0:
            raise TagError(f"'{letter}' has no check value; digits and capital letters only")
        product = ((product + value) % 36 or 36) * 2 % 37
    return ALPHABET[(1 - product) % 36]


def is_tag(text: str) -> bool:
    """Whether it is a tag of ours: digits, and a fragment's letters behind."""
    return TAG.fullmatch(text) is not None


def check_tag(tag: str) -> str:
    """The tag if it is one: four digits or more, a fragment with ``-a`` behind; else TagError."""
    if not is_tag(tag):
        raise TagError(f"'{tag}' is no tag; four digits or more, a fragment like 0042-a")
    return tag


def check_incident(code: str) -> str:
    """The incident code if it is one: 2 to 12 capital letters and digits; else TagError."""
    if not INCIDENT.fullmatch(code):
        raise TagError(f"'{code}' is no incident code; 2 to 12 capital letters and digits")
    return code


def check_character(incident: str, tag: str) -> str:
    """The check character of a tag within an incident; TagError if either is malformed."""
    return mod_37_36(check_incident(incident) + check_tag(tag).replace("-", "").upper())


def qr_text(incident: str, tag: str) -> str:
    """What the QR code of a tag holds; no address in it.

    >>> qr_text("ORNL1", "0042").split(":")[:3]
    ['SL1', 'ORNL1', '0042']
    """
    return f"{PREFIX}:{incident}:{tag}:{check_character(incident, tag)}"


def read_qr(text: str) -> TagCode:
    """What a scanned or typed code says; TagError with a sentence if it cannot be right."""
    pieces = text.strip().split(":")
    if len(pieces) != 4 or pieces[0] != PREFIX:
        raise TagError(f"'{text}' is no {PREFIX} code")
    _, incident, tag, given = pieces
    wanted = check_character(incident, tag)
    if given != wanted:
        raise TagError(f"check character of '{text}' is wrong; read it again")
    return TagCode(incident, tag)


def tag_range(first: int, count: int) -> tuple[str, ...]:
    """Tags from ``first`` on, at least four digits wide; TagError for less than one."""
    if first < 1 or count < 1:
        raise TagError("a range of tags starts at 1 or later and holds at least one")
    return tuple(f"{number:0{LEAST_DIGITS}d}" for number in range(first, first + count))
