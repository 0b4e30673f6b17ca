"""Delimited text: which sign parts the cells, and the records one after another.

A record may run over several lines where a quoted cell holds line ends.  Rows are counted as a spreadsheet
shows them: by records, blank ones included, not by lines of the file.
"""

from __future__ import annotations

import csv
from collections import Counter, deque
from collections.abc import Iterable, Iterator, Mapping
from itertools import islice

from strandline.exchange.encodings import Encoding, lines_of
from strandline.exchange.failures import ListError, unusable
from strandline.exchange.headers import score
from strandline.exchange.table import HEADER_WITHIN, Record, header_among

DELIMITERS = (";", ",", "\t")
MAX_CELL = 131_072
"""Characters a cell may hold (the limit of Python's csv module, which is not changed here)."""

MAX_LINES = 500
"""Lines a quoted cell may run over; more means that its closing quotation mark is missing."""

_SAMPLE_LINES = 400
_SAMPLE_RECORDS = 150
_STRAY_QUOTE = "a quotation mark opens a cell and does not close it; it is taken as an ordinary sign"


class _Runaway(Exception):
    """A quoted cell runs over more lines than any real one."""


class _Feed(Iterator[str]):
    """Lines for csv.reader that remember what the present record took, and can be given back."""

    def __init__(self, lines: Iterable[str]) -> None:
        self._lines = iter(lines)
        self._again: deque[str] = deque()
        self.taken: list[str] = []

    def __next__(self) -> str:
        if len(self.taken) >= MAX_LINES:
            raise _Runaway
        line = self._again.popleft() if self._again else next(self._lines)
        self.taken.append(line)
        return line

    def give_back(self) -> str:
        """Give back all lines of the present record but the first, which is returned."""
        self._again.extendleft(reversed(self.taken[1:]))
        return self.taken[0]


def records(lines: Iterable[str], delimiter: str, name: str) -> Iterator[Record]:
    """The records of the lines, from row 1.  Raises ListError at a cell over MAX_CELL characters.

    Where quotation marks do not fit, the line is split again by itself with the odd mark as an
    ordinary sign, so that one slip (``2' 6"`` typed as ``"2' 6``) does not swallow the rows after it.
    """
    feed = _Feed(lines)
    reader = csv.reader(feed, delimiter=delimiter, strict=True, skipinitialspace=True)
    row = 0
    while True:
        feed.taken.clear()
        row += 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except (csv.Error, _Runaway):
            line = feed.give_back()
            reader = csv.reader(feed, delimiter=delimiter, strict=True, skipinitialspace=True)
            yield Record(row, _split_line(line, delimiter, name, row), _STRAY_QUOTE)
        else:
            yield Record(row, cells)


def _split_line(line: str, delimiter: str, name: str, row: int) -> list[str]:
    """One line's cells; a quotation mark counts only where the cell ends right after its partner."""
    text = line.rstrip("\r\n")
    cells: list[str] = []
    at = 0
    while True:
        cell, after = _quoted(text, at, delimiter) or _plain(text, at, delimiter)
        if len(cell) > MAX_CELL:
            raise unusable(
                name,
                f"row {row} holds a cell of more than {MAX_CELL} characters",
                "look for a quotation mark that is not closed there, or shorten the cell",
            )
        cells.append(cell)
        if after >= len(text):
            return cells
        at = after + 1
        if at == len(text):
            return [*cells, ""]


def _plain(text: str, at: int, delimiter: str) -> tuple[str, int]:
    end = text.find(delimiter, at)
    end = len(text) if end < 0 else end
    return text[at:end], end


def _quoted(text: str, at: int, delimiter: str) -> tuple[str, int] | None:
    """The quoted cell that starts here and where it ends; None where the marks do not fit."""
    start = at
    while start < len(text) and text[start] == " ":
        start += 1
    if start >= len(text) or text[start] != '"':
        return None
    close = text.find('"', start + 1)
    while close >= 0 and text[close + 1 : close + 2] == '"':
        close = text.find('"', close + 2)
    after = close + 1
    while after < len(text) and text[after] == " ":
        after += 1
    if close < 0 or (after < len(text) and text[after] != delimiter):
        return None
    return text[start + 1 : close].replace('""', '"'), after


def stated_delimiter(line: str) -> str:
    """The delimiter of a first line ``sep=;``, which some programs write; '' if it is none."""
    text = line.strip().lower() if line.strip() else ""
    if text == "sep=":  # a tab after the sign was stripped
        return "\t"
    return text[4:] if text.startswith("sep=") and text[4:] in DELIMITERS else ""


def delimiter_of(lines: list[str], name: str, columns: Mapping[str, str] | None = None) -> str:
    """The sign that gives most known headers, then the most rows as wide as the header row.

    ``lines`` are the first of the file.  Where nothing is known, the sign with the most even rows.
    """

    def merit(delimiter: str) -> tuple[int, float, int]:
        try:
            found = list(islice(records(lines, delimiter, name), _SAMPLE_RECORDS))
        except ListError:  # a line over the limit only because this is not the sign that parts it
            return -1, 0.0, 0
        filled = [record for record in found if any(cell.strip() for cell in record.cells)]
        header = header_among(found, columns)
        if header is None:
            width, count = _usual_width(filled)
            return 0, count / max(len(filled), 1) if width > 1 else 0.0, width
        below = [record for record in filled if record.row >= header.row]
        even = sum(len(record.cells) == len(header.cells) for record in below)
        return score(header.cells, columns), even / len(below), len(header.cells)

    return max(DELIMITERS, key=merit)


def _usual_width(filled: list[Record]) -> tuple[int, int]:
    counts = Counter(len(record.cells) for record in filled)
    return counts.most_common(1)[0] if counts else (1, 0)


class CsvText:
    """A delimited text: its delimiter, its first records, and all of them again."""

    def __init__(self, data: bytes, encoding: Encoding, name: str, columns: Mapping[str, str] | None) -> None:
        self._data, self._encoding, self._name = data, encoding, name
        lines = list(islice(lines_of(data, encoding, name), _SAMPLE_LINES))
        stated = stated_delimiter(lines[0]) if lines else ""
        self._skip = 1 if stated else 0
        self.delimiter = stated or delimiter_of(lines, name, columns)

    def records(self) -> Iterator[Record]:
        """All records, decoded and split as they are drawn."""
        lines = islice(lines_of(self._data, self._encoding, self._name), self._skip, None)
        return records(lines, self.delimiter, self._name)

    def first(self) -> list[Record]:
        """The records the header is looked for in."""
        return list(islice(self.records(), HEADER_WITHIN))

    def check(self) -> None:
        """Go through all records once, so that what makes the file unusable is said before any row."""
        for _ in self.records():
            pass
