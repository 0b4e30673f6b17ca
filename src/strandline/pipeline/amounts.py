"""A number with its unit, as people type it: ``12½ in``, ``5' 3"``, ``1.2 m``, ``2,3 kg``, ``2 days``.

What could mean two things is refused and said, never guessed: a range, a bound, a comma that may part
thousands or decimals.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from strandline.pipeline.cell_words import Unit, folded, words

_FRACTION_SIGN = re.compile("[\u00bc-\u00be\u2150-\u215e\u2189]")
_MARKS = str.maketrans({"″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "−": "-", "\xa0": " "})
_NUMBER = (
    r"(?:\d{1,3}(?:[ \u202f]\d{3})+(?:[.,]\d+)?(?![\d/])|\d+[ -]\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)*|[.,]\d+)"
)
_ITEM = re.compile(rf"\s*({_NUMBER})\s*([^\W\d_]+|[\"'])?\.?,?")
_CLOCK = re.compile(r"(\d+):([0-5]\d)(?:\s*h)?")
_SEVERAL = re.compile(r"\d\s*(?:[^\W\d_]+\s*)?[x×*]\s*\d|\bby\b")

MAX_TEXT = 80
"""Characters; a longer cell is a sentence."""


class AmountError(Exception):
    """A text is no single amount; the message says what it looks like, '' if nothing in particular."""


def is_about(text: str) -> bool:
    """Whether a number is marked as not exact: *abt 300*, *c. 30 cm*, *13 ?*."""
    line, marked = _without_about(_prepared(text))
    return marked and any(letter.isdigit() for letter in line)


def amount(text: str, kind: str, unit: str) -> float:
    """The amount in the column's own unit (length mm, mass g, hours h).

    ``unit`` is that of a bare number (its key).  Raises AmountError.  The result is finite and not below 0.
    """
    if len(text) > MAX_TEXT:
        raise AmountError("too long for a number")
    line = _without_about(_prepared(text))[0]
    if kind == "hours" and (clock := _CLOCK.fullmatch(line)):
        return int(clock[1]) + int(clock[2]) / 60
    _refuse_other_forms(line)
    return _sum(_items(line), kind, unit)


def number(text: str) -> float:
    """A number alone: digits with a decimal point or comma, thousands parted, or a fraction."""
    line = text.replace("\u202f", " ").strip()
    whole, _, fraction = line.replace("-", " ").rpartition(" ")
    if "/" in line:
        top, _, bottom = fraction.partition("/")
        if int(bottom) == 0:
            raise AmountError("a fraction over 0")
        return (int(whole) if whole else 0) + int(top) / int(bottom)
    return float(_decimal(line.replace(" ", "")))


def _prepared(text: str) -> str:
    spaced = _FRACTION_SIGN.sub(lambda found: " " + unicodedata.normalize("NFKC", found[0]), text)
    line = folded(unicodedata.normalize("NFKC", spaced).translate(_MARKS))
    return line.replace("\u2044", "/").replace("''", '"').rstrip(" .,;").removeprefix("ø").strip()


@cache
def _about_pattern() -> re.Pattern[str]:
    said = "|".join(sorted(map(re.escape, words().about), key=len, reverse=True))
    return re.compile(rf"(?:(?:{said})\b\.?|(?:c|ca)\.?(?=\d)|[~≈±])\s*")


def _without_about(line: str) -> tuple[str, bool]:
    bare = line.rstrip("? ")
    if bare.endswith("(") or bare.endswith(" ("):  # "13 (?)" lost its mark
        bare = bare.rstrip("( ")
    if line.endswith(")") and line.rstrip(") ").endswith("?"):
        bare = line.rstrip(")? ").rstrip("( ")
    marked = bare != line
    last = bare.rpartition(" ")
    if last[0] and last[2].strip(".()") in words().about and last[2].strip(".()") != "c":
        bare, marked = last[0], True
    if found := _about_pattern().match(bare):
        bare, marked = bare[found.end() :], True
    return bare.strip(), marked


@cache
def _range_pattern() -> re.Pattern[str]:
    said = "|".join(map(re.escape, words().range_words))
    unit = r"\s*(?:[^\W\d_]+|[\"'])?\.?\s*"
    return re.compile(rf"{_NUMBER}{unit}(?:-|–|—|\.\.+|…|\b(?:{said})\b){unit}{_NUMBER}.*")


def _refuse_other_forms(line: str) -> None:
    if line.startswith("-"):
        raise AmountError("less than nothing")
    if (line[:1] in "<>≤≥" and line) or any(line.startswith(f"{word} ") for word in words().bounds):
        raise AmountError("a bound, not a value")
    if _SEVERAL.search(line):
        raise AmountError("several sizes in one cell")
    mixed = re.match(r"\d+-\d+/\d+", line)
    if not mixed and _range_pattern().fullmatch(line):
        raise AmountError("a range")


def _items(line: str) -> list[tuple[float, str]]:
    """(number, unit as typed) one after another; the line must hold nothing else."""
    items: list[tuple[float, str]] = []
    at = 0
    while at < len(line):
        found = _ITEM.match(line, at)
        if not found:
            raise AmountError("")
        items.append((number(found[1]), found[2] or ""))
        at = found.end()
    return items


def _sum(items: list[tuple[float, str]], kind: str, unit: str) -> float:
    total, last = 0.0, None
    for value, typed in items:
        found = _unit(typed, kind, unit, last)
        if last is not None and found.factor >= last.factor:
            raise AmountError("two numbers that do not add up")
        total, last = total + value * found.factor, found
    if last is None:
        raise AmountError("")
    return round(total, 6)  # 9.5 in is 241.3 mm, not 241.29999999999998


def _unit(typed: str, kind: str, unit: str, last: Unit | None) -> Unit:
    known = words().units[kind]
    if typed:
        if typed in known:
            return known[typed]
        other = next((name for name, units in words().units.items() if typed in units), "")
        raise AmountError(f"'{typed}' is a unit of {other}" if other else f"'{typed}' is no unit known here")
    if last is None:
        return known[unit]
    if last.key not in words().then:
        raise AmountError("two numbers that do not add up")
    return known[words().then[last.key]]


def _decimal(line: str) -> str:
    """The number with a decimal point; commas and points that part thousands are taken out."""
    commas, points = line.count(","), line.count(".")
    if commas and points:
        decimal, thousands = (",", ".") if line.rindex(",") > line.rindex(".") else (".", ",")
        whole, _, rest = line.rpartition(decimal)
        if not re.fullmatch(rf"\d{{1,3}}(?:\{thousands}\d{{3}})+", whole):
            raise AmountError("commas and points that do not fit")
        return f"{whole.replace(thousands, '')}.{rest}"
    if commas > 1 or points > 1:
        mark = "," if commas else "."
        if not re.fullmatch(rf"\d{{1,3}}(?:\{mark}\d{{3}})+", line):
            raise AmountError("commas and points that do not fit")
        return line.replace(mark, "")
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", line):
        raise AmountError(f"{line.replace(',', '')} or {line.replace(',', '.')}?")
    return line.replace(",", ".")
