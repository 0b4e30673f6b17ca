"""Dates with times as people type them, in the incident's zone, to UTC.

Accepted: ISO with or without offset, ``15 March 2026 02:40``, ``15/03/2026 02:40`` (day first),
``15.3.26``, ``2.40 pm``, a spreadsheet's day number; names of months in five languages.  A local time
that does not exist or comes twice is refused, because a guess could be an hour wrong.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo

from strandline.pipeline.cell_errors import CellError, cell_error
from strandline.pipeline.cell_words import folded, says_unknown, words

EXPECTED = "a date with a time, such as 2026-03-15 02:40"
YEARS = range(1900, 2101)
_SERIAL = re.compile(r"[2-7]\d{4}(?:\.\d+)?")
_YEAR_FIRST = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})(?=t|\D|$)")
_COMPACT = re.compile(r"(\d{4})(\d\d)(\d\d)(?=t|\s|$)")
_NUMERIC = re.compile(r"(\d{1,2})\s?([-/.])\s?(\d{1,2})\s?\2\s?(\d{4}|\d\d)(?![\d:])")
_DAY_NAME = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th|er|\.)?[\s-]*(?:of |de )?([a-z]+)\.?[\s,-]*(?:de )?(\d{4}|'?\d\d)(?![\d:])"
)
_NAME_DAY = re.compile(r"([a-z]+)\.?\s+(\d{1,2})(?:st|nd|rd|th)?,?\s+(\d{4})(?!\d)")
_WEEKDAY = re.compile(r"([a-z]+)[.,]*\s+(?=\d|[a-z])")
_TIME = re.compile(
    r"(\d{1,2})(?:[:.h](\d\d)(?:[:.](\d\d)(?:[.,]\d{1,9})?)?)?\s*(?:(am|pm|a\.m\.?|p\.m\.?)|(?:uhr|hrs|h|o'clock))?"
    r"\s*(z|utc|gmt|[+-]\d\d(?::?\d\d)?)?"
)
_BARE_TIME = re.compile(r"([01]\d|2[0-4])([0-5]\d)\s*(?:h|hrs|uhr)?()()\s*(z|utc|gmt|[+-]\d\d(?::?\d\d)?)?")
_JOINER = re.compile(r"^(?:[\s,;]|t(?=\d)|(?:at|um|om|on|a las|a)\s)+")


@dataclass(frozen=True, slots=True)
class Moment:
    """A moment in UTC, with what was assumed in reading it."""

    at: datetime
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Day:
    year: int
    month: int
    day: int
    note: str = ""


class _NoMoment(Exception):
    """The text is no moment; the message says why, '' if nothing in particular."""


def moment(text: str, zone: str | ZoneInfo = "UTC", column: str = "wet_since") -> Moment | None:
    """The moment a cell tells, or None where it says that nobody knows.  Raises CellError.

    ``zone`` is the incident's IANA zone, for times without an offset.
    """
    if says_unknown(text):
        return None
    try:
        return _moment(folded(text), ZoneInfo(zone) if isinstance(zone, str) else zone)
    except _NoMoment as error:
        raise cell_error(column, EXPECTED, text, str(error)) from error


def _moment(line: str, zone: ZoneInfo) -> Moment:
    if len(line) > 60:
        raise _NoMoment("too long for a date")
    if _SERIAL.fullmatch(line):
        return _from_serial(float(line), zone)
    weekday, rest = _without_weekday(line)
    day, time = _split(rest)
    start = _made(day, zone)
    if weekday is not None and start.weekday() != weekday:
        raise _NoMoment(f"{day.year}-{day.month:02}-{day.day:02} is another day of the week")
    notes = (day.note,) if day.note else ()
    time = _JOINER.sub("", f" {time}").strip(" .,;")
    if not time:
        return Moment(_first_of(start), (*notes, "no time given: taken as the start of that day"))
    return Moment(_with_time(start, time), notes)


def _from_serial(days: float, zone: ZoneInfo) -> Moment:
    """Days since 30 December 1899, as spreadsheets count; rounded to the second."""
    seconds = round(days * 86400)
    local = datetime(1899, 12, 30, tzinfo=zone) + timedelta(seconds=seconds)  # wall clock, not elapsed time
    if local.year not in YEARS:
        raise _NoMoment(f"the year {local.year} is not between {YEARS[0]} and {YEARS[-1]}")
    return Moment(_settled(local), ("read as a spreadsheet's day number",))


def _without_weekday(line: str) -> tuple[int | None, str]:
    found = _WEEKDAY.match(line)
    if found and found[1] in words().weekdays:
        return words().weekdays[found[1]], line[found.end() :]
    return None, line


def _split(line: str) -> tuple[_Day, str]:
    """The day and the rest of the text; the time may stand before the day."""
    if found := _day_at(line):
        return found
    first = _TIME.match(line)
    if (
        first
        and first[2]
        and (found := _day_at(re.sub(r"^[\s,]*(?:on |am |le |op |el )?", "", line[first.end() :])))
    ):
        day, rest = found
        if not rest.strip(" .,;"):
            return day, first[0]
    raise _NoMoment("the year is missing" if re.match(r"\d{1,2}[./-]\d{1,2}\.?(\s|$)", line) else "")


def _day_at(line: str) -> tuple[_Day, str] | None:
    if found := _YEAR_FIRST.match(line):
        return _Day(int(found[1]), int(found[3]), int(found[4])), line[found.end() :]
    if found := _COMPACT.match(line):
        return _Day(int(found[1]), int(found[2]), int(found[3])), line[found.end() :]
    if found := _NUMERIC.match(line):
        return _day_first(int(found[1]), int(found[3]), _year(found[4]), found[2]), line[found.end() :]
    if (found := _DAY_NAME.match(line)) and found[2] in words().months:
        return _Day(_year(found[3]), words().months[found[2]], int(found[1])), line[found.end() :]
    if (found := _NAME_DAY.match(line)) and found[1] in words().months:
        return _Day(int(found[3]), words().months[found[1]], int(found[2])), line[found.end() :]
    return None


def _year(digits: str) -> int:
    """Two digits are 1970 to 2069."""
    year = int(digits.strip("'"))
    return year if len(digits) == 4 else year + (2000 if year < 70 else 1900)


def _day_first(first: int, second: int, year: int, sign: str) -> _Day:
    """Day first, as outside the United States; month first only where nothing else is a date."""
    if second > 12 >= first and sign != ".":
        return _Day(year, first, second, "read as month/day: there is no such month otherwise")
    note = "" if sign == "." or first > 12 or first == second else "read day first; month first is possible"
    return _Day(year, second, first, note)


def _made(day: _Day, zone: tzinfo) -> datetime:
    if day.year not in YEARS:
        raise _NoMoment(f"the year {day.year} is not between {YEARS[0]} and {YEARS[-1]}")
    try:
        return datetime(day.year, day.month, day.day, tzinfo=zone)
    except ValueError as error:
        raise _NoMoment("there is no such day") from error


def _first_of(start: datetime) -> datetime:
    """The first moment of a local day: where the clocks skip midnight, the moment they skip it."""
    return start.replace(fold=0).astimezone(UTC)


def _with_time(start: datetime, text: str) -> datetime:
    if text in ("noon", "midday", "mittag", "midi"):
        return _settled(start.replace(hour=12))
    found = _BARE_TIME.fullmatch(text) or _TIME.fullmatch(text)
    half = found[4] if found else ""
    if not found or not (found[2] or half or re.search(r"uhr|h|clock", text)):
        raise _NoMoment(f"'{text}' is no time of day")
    hour, minute, second = int(found[1]), int(found[2] or 0), int(found[3] or 0)
    if half:
        if not 1 <= hour <= 12:
            raise _NoMoment(f"'{text}' is no time of day")
        hour = hour % 12 + (12 if half.startswith("p") else 0)
    if hour > 24 or minute > 59 or second > 59 or (hour == 24 and (minute or second)):
        raise _NoMoment(f"'{text}' is no time of day")
    local = start.replace(hour=hour % 24, minute=minute, second=second) + timedelta(days=hour // 24)
    if found[5]:
        return local.replace(tzinfo=_offset(found[5])).astimezone(UTC)
    return _settled(local)


def _offset(text: str) -> timezone:
    if text in ("z", "utc", "gmt"):
        return UTC
    digits = text[1:].replace(":", "").ljust(4, "0")
    hours, minutes = int(digits[:2]), int(digits[2:])
    if hours > 14 or minutes > 59:
        raise _NoMoment(f"'{text}' is no offset from UTC")
    return timezone(timedelta(hours=hours, minutes=minutes) * (-1 if text[0] == "-" else 1))


def _settled(local: datetime) -> datetime:
    """A local time as UTC, refused where the clocks skip it or show it twice."""
    early, late = local.replace(fold=0).astimezone(UTC), local.replace(fold=1).astimezone(UTC)
    if early == late:
        return early
    if early.astimezone(local.tzinfo).replace(tzinfo=None) != local.replace(tzinfo=None):
        raise _NoMoment(f"the clocks of {local.tzinfo} skip that time")
    first, second = (one.astimezone(local.tzinfo).isoformat()[-6:] for one in (early, late))
    raise _NoMoment(f"the clocks of {local.tzinfo} show that time twice: add {first} or {second}")


__all__ = ["CellError", "Moment", "moment"]
