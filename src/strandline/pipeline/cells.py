"""What the cells of a list mean.  Pure: text in, values out, nothing guessed without saying so.

A blank cell, or one that says nobody knows (``n/k``, ``??``), is None.  Anything else that cannot be
read raises CellError, whose ``reason`` names the column, what was expected and what was found; pass
``column`` so that the sentence names the right one.  Lengths in mm, masses in g, hours in h, times UTC.
"""

from __future__ import annotations

import re
from datetime import datetime
from zoneinfo import ZoneInfo

from strandline.knowledge.models import DONE_ALREADY, WATERS, WET_STATES
from strandline.pipeline.amounts import AmountError, amount, is_about
from strandline.pipeline.cell_errors import CellError, cell_error
from strandline.pipeline.cell_words import folded, holds, is_denied, pieces_of, says_unknown, words
from strandline.pipeline.moments import Moment, moment

__all__ = [
    "CellError",
    "Moment",
    "done_already",
    "hours",
    "hours_or_moment",
    "is_about",
    "length_mm",
    "mass_g",
    "moment",
    "pieces",
    "significance",
    "water",
    "wet_state",
    "when",
]

MAX_LENGTH_MM = 100_000.0
MAX_MASS_G = 100_000_000.0
MAX_HOURS = 87_600.0
MAX_PIECES = 1_000_000
_COUNT = re.compile(
    r"(\d{1,7})\s*(?:x|off|pcs?|pieces?|items?|parts?|stk|stuck|teile|pieces|stuks|piezas)?\.?"
)
_RANK = re.compile(r"([0-9]+)(?:[.,]0+)?(?:\s*/\s*5)?(?:\s*[-–:=(]\s*[^\W\d_].*)?")
_OWN = {"length": "mm", "mass": "g", "hours": "h"}
_RANGE = re.compile(r"\d+\s*(?:-|–|—|to|bis|a|or)\s*\d+")


def length_mm(text: str, header_unit: str = "", column: str = "length_mm") -> float | None:
    """A length in mm; a bare number is mm unless the header names a unit.  0 is unknown."""
    expected = "a length such as 450, 30 cm or 12½ in"
    return _size(text, ("length", header_unit or "mm"), MAX_LENGTH_MM, column, expected)


def mass_g(text: str, header_unit: str = "", column: str = "mass_g") -> float | None:
    """A mass in g; a bare number is g unless the header names a unit.  0 is unknown."""
    expected = "a mass such as 2200, 3.1 kg or 6 lb 4 oz"
    return _size(text, ("mass", header_unit or "g"), MAX_MASS_G, column, expected)


def hours(text: str, header_unit: str = "", column: str = "hours_wet") -> float | None:
    """Hours; a bare number is hours unless the header names a unit.  0 hours are 0."""
    return _read(text, ("hours", header_unit or "h"), MAX_HOURS, column, "a number or a date")


def hours_or_moment(
    text: str, zone: str | ZoneInfo = "UTC", header_unit: str = "", column: str = "hours_wet"
) -> float | datetime | None:
    """Hours, or the moment (UTC) from which they count, where a date stands in a column of hours."""
    try:
        return hours(text, header_unit, column)
    except CellError as no_hours:
        try:
            return when(text, zone, column)
        except CellError:
            raise no_hours from None


def when(text: str, zone: str | ZoneInfo = "UTC", column: str = "wet_since") -> datetime | None:
    """A moment in UTC; without an offset it is local time of ``zone``.  ``moment`` also gives notes."""
    found = moment(text, zone, column)
    return found.at if found else None


def significance(text: str, column: str = "significance") -> int | None:
    """1 (replaceable) to 5 (irreplaceable)."""
    if says_unknown(text):
        return None
    line = folded(text)
    found = _RANK.fullmatch(line)
    if found and found[1] in {"1", "2", "3", "4", "5"} and not _RANGE.match(line):
        return int(found[1])
    raise cell_error(column, "a whole number from 1 to 5", text, "a range" if _RANGE.match(line) else "")


def pieces(text: str, column: str = "pieces") -> int | None:
    """How many members or loose parts, 1 or more; *about 17* is 17 (see ``is_about``)."""
    if says_unknown(text):
        return None
    expected = "a whole number of 1 or more"
    line = folded(text)
    if line in words().counts:
        return words().counts[line]
    found = _COUNT.fullmatch(line) or (
        _COUNT.fullmatch(_number_after_about(line)) if is_about(text) else None
    )
    if found and 1 <= int(found[1]) <= MAX_PIECES:
        return int(found[1])
    raise cell_error(column, expected, text, "a range" if _RANGE.fullmatch(line) else "")


def water(text: str, column: str = "water") -> tuple[str, ...]:
    """Sorted kinds of water; () for a blank cell, ('unknown',) where the cell says nobody knows.

    A word nobody defined raises CellError with ``partial``: the kinds read, and unknown for the rest.
    """
    if not text.strip():
        return ()
    if says_unknown(text):
        return ("unknown",)
    found: set[str] = set()
    odd = False
    for piece in pieces_of(text.replace("_", " ")):
        keys = _keys_in("water", piece)
        found |= keys
        odd = odd or not (keys or is_denied(piece) or set(piece.split()) <= words().water_silent)
    if odd:
        expected = f"one or more of {', '.join(WATERS)}"
        raise cell_error(column, expected, text, partial=tuple(sorted(found | {"unknown"})))
    return tuple(sorted(found)) or ("unknown",)


def wet_state(text: str, column: str = "wet_state") -> str | None:
    """The state a thing is in now, one key; None where nobody knows."""
    if says_unknown(text):
        return None
    told = [piece for piece in pieces_of(text.replace("_", " ")) if not is_denied(piece)]
    for key, phrases in words().by_key["wet_state"].items():
        if any(holds(piece, phrase) for piece in told for phrase in phrases):
            return None if key == "unknown" else key
    dry = words().by_key["wet_state_ask"]["dry"]
    asked = "was it wet before?" if any(holds(piece, word) for piece in told for word in dry) else ""
    raise cell_error(column, f"one of {', '.join(WET_STATES)}", text, asked)


def done_already(text: str, column: str = "done_already") -> tuple[str, ...]:
    """Sorted keys of what was done to a thing before it came; () for nothing.

    Where something was done that is not understood, CellError carries ``partial`` with ``unknown``.
    """
    if not text.strip() or folded(text).strip(" .") in words().nothing | {"-", "–", "—", "--"}:
        return ()
    if says_unknown(text):
        return ("unknown",)
    found: set[str] = set()
    odd = False
    for piece in pieces_of(text.replace("_", " ")):
        if is_denied(piece):
            continue
        keys = _keys_in("done_already", piece)
        found |= keys
        odd = odd or not keys
    if odd:
        expected = f"one or more of {', '.join(DONE_ALREADY)}"
        raise cell_error(column, expected, text, partial=tuple(sorted(found | {"unknown"})))
    return tuple(sorted(found))


def _keys_in(table: str, piece: str) -> set[str]:
    """Keys whose words stand in a piece; none from a piece that says what is not so."""
    if is_denied(piece):
        return set()
    by_key = words().by_key[table]
    exact = {key for key, phrases in by_key.items() if piece in phrases or piece == key.replace("_", " ")}
    return exact or {
        key for key, phrases in by_key.items() if any(holds(piece, phrase) for phrase in phrases)
    }


def _number_after_about(line: str) -> str:
    digits = re.search(r"\d.*", line)
    return digits[0].rstrip(" ?.()") if digits else ""


def _size(text: str, kind: tuple[str, str], most: float, column: str, expected: str) -> float | None:
    return _read(text, kind, most, column, expected) or None


def _read(text: str, kind: tuple[str, str], most: float, column: str, expected: str) -> float | None:
    """An amount, or None where nobody knows.  Raises CellError, also above ``most``."""
    if says_unknown(text):
        return None
    try:
        value = amount(text, *kind)
    except AmountError as error:
        raise cell_error(column, expected, text, str(error)) from error
    if value > most:
        raise cell_error(column, expected, text, f"more than {most:.0f} {_OWN[kind[0]]}")
    return value
