"""Workbooks: the sheet that holds the list, and its cells as the text a person would type.

Dates become ISO, formulas the result stored with them, and a value merged over several rows of one
column stands in each of them.
"""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import islice
from typing import Any

import openpyxl
from openpyxl.utils import range_boundaries

from strandline.exchange.failures import ListError, shortened, unusable
from strandline.exchange.headers import score
from strandline.exchange.table import HEADER_WITHIN, Record, header_among, no_header
from strandline.things.listing import Problem

MAX_CELL = 131_072
_MERGED = re.compile(rb'<mergeCell [^>]*?ref="([A-Z]{1,3}[0-9]{1,7}:[A-Z]{1,3}[0-9]{1,7})"')
_ZEROS = re.compile(r"0+")
_NO_RESULT = "a formula without a stored result; open the workbook, save it, and give it again"


@dataclass(frozen=True, slots=True)
class Sheet:
    """The sheet chosen, with its header and all its records from row 1."""

    title: str
    header: Record
    first: list[Record]
    records: list[Record]


def read_sheet(data: bytes, name: str, columns: Mapping[str, str] | None, problems: list[Problem]) -> Sheet:
    """The first sheet with a recognisable header, visible ones first; the others are told.

    Raises ListError if the workbook cannot be opened or no sheet has a header.
    """
    try:
        # openpyxl warns of decoration it cannot keep; nothing is kept here but values.
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return _read(data, name, columns, problems)
    except ListError:
        raise
    except Exception as error:  # openpyxl lets through whatever its parts raise on a damaged file
        raise unusable(
            name, f"the workbook is damaged ({shortened(str(error)) or type(error).__name__})"
        ) from error


def _read(data: bytes, name: str, columns: Mapping[str, str] | None, problems: list[Problem]) -> Sheet:
    book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    try:
        sheets = sorted(book.worksheets, key=lambda sheet: sheet.sheet_state != "visible")
        tops = {sheet.title: _top(sheet, name) for sheet in sheets}
        chosen = _choose(tops, columns)
        if chosen is None:
            raise no_header(name, next((top for top in tops.values() if _filled(top)), []), columns)
        for title, top in tops.items():
            if title != chosen and _filled(top):
                reason = f"sheet '{title}' not read; the list was read from sheet '{chosen}'"
                problems.append(Problem(0, "", title, reason, kept=False))
        sheet = book[chosen]
        header = header_among(tops[chosen], columns)
        if header is None:
            raise no_header(name, tops[chosen], columns)
        found = list(_records(sheet, name))
        formulas = _formulas(data, chosen) if _has_formulas(sheet) else {}
        found = _with_lost(found, formulas)
        return Sheet(chosen, header, tops[chosen], _spread(found, _merged(sheet), header.row))
    finally:
        book.close()


def _choose(tops: Mapping[str, list[Record]], columns: Mapping[str, str] | None) -> str | None:
    """A sheet with two known headers or more goes before one where a single word happens to fit."""
    merits = {
        title: score(header.cells, columns) if (header := header_among(top, columns)) else 0
        for title, top in tops.items()
    }
    for least in (2, 1):
        for title, merit in merits.items():
            if merit >= least:
                return title
    return None


def _top(sheet: Any, name: str) -> list[Record]:
    return list(islice(_records(sheet, name), HEADER_WITHIN))


def _filled(records: Iterable[Record]) -> bool:
    return any(cell.strip() for record in records for cell in record.cells)


def _records(sheet: Any, name: str) -> Iterator[Record]:
    sheet.reset_dimensions()  # a workbook may state another size than it has
    for row, cells in enumerate(sheet.iter_rows(), start=1):
        texts: list[str] = []
        lost: dict[int, tuple[str, str]] = {}
        for position, cell in enumerate(cells):
            text = _text(cell)
            if cell.data_type == "e" and text:
                lost[position], text = (text, "an error of the spreadsheet, not a value; taken as blank"), ""
            if len(text) > MAX_CELL:
                raise unusable(
                    name, f"row {row} holds a cell of more than {MAX_CELL} characters", "shorten it"
                )
            texts.append(text)
        while texts and not texts[-1] and len(texts) - 1 not in lost:
            texts.pop()
        yield Record(row, texts, lost=lost)


def _text(cell: Any) -> str:
    """A cell's value as text: no more digits than a spreadsheet shows, dates as ISO."""
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return _moment(value, cell.number_format)
    if isinstance(value, (date, time)):
        return value.isoformat()
    if isinstance(value, timedelta):
        return f"{value.total_seconds() / 3600:.10g} h"
    if isinstance(value, float):
        return f"{value:.15g}"
    if isinstance(value, int):
        shown = cell.number_format if cell.has_style else ""
        return str(value).zfill(len(shown)) if _ZEROS.fullmatch(shown) else str(value)
    return str(value)


def _moment(value: datetime, shown: str) -> str:
    rounded = value.replace(microsecond=0) + timedelta(seconds=value.microsecond >= 500_000)
    midnight = (rounded.hour, rounded.minute, rounded.second) == (0, 0, 0)
    return rounded.date().isoformat() if midnight and "h" not in shown.lower() else rounded.isoformat()


def _sheet_xml(sheet: Any) -> bytes:
    with sheet._get_source() as source:  # the only way to the merged cells in openpyxl's reading mode
        xml: bytes = source.read()
    return xml


def _has_formulas(sheet: Any) -> bool:
    xml = _sheet_xml(sheet)
    return b"<f>" in xml or b"<f " in xml


def _formulas(data: bytes, title: str) -> dict[int, set[int]]:
    """Row -> positions of cells that hold a formula."""
    book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=False)
    try:
        sheet = book[title]
        sheet.reset_dimensions()
        return {
            row: {place for place, cell in enumerate(cells) if cell.data_type == "f"}
            for row, cells in enumerate(sheet.iter_rows(), start=1)
        }
    finally:
        book.close()


def _with_lost(found: list[Record], formulas: Mapping[int, set[int]]) -> list[Record]:
    """The records, with formulas that have no stored result told as lost."""
    result = []
    for record in found:
        blank = {
            place: ("", _NO_RESULT)
            for place in formulas.get(record.row, ())
            if place not in record.lost and (place >= len(record.cells) or not record.cells[place])
        }
        result.append(Record(record.row, record.cells, lost={**record.lost, **blank}) if blank else record)
    return result


def _merged(sheet: Any) -> list[tuple[int, int, int]]:
    """Column position, first row and last row of each merge that runs down more than one row."""
    spans = []
    for reference in _MERGED.findall(_sheet_xml(sheet)):
        left, top, _, bottom = (int(bound or 0) for bound in range_boundaries(reference.decode()))
        if bottom > top:
            spans.append((left - 1, top, bottom))
    return spans


def _spread(found: list[Record], merged: list[tuple[int, int, int]], header_row: int) -> list[Record]:
    """Repeat a value merged down a column in each row that has anything of its own."""
    cells = {record.row: list(record.cells) for record in found}
    own = {record.row for record in found if any(cell.strip() for cell in record.cells)}
    for position, top, bottom in merged:
        value = cells.get(top, [])[position : position + 1]
        if top <= header_row or not value:
            continue
        for row in range(top + 1, min(bottom, len(found)) + 1):
            line = cells[row]
            if row in own:
                line += [""] * (position + 1 - len(line))
                line[position] = line[position] or value[0]
    return [Record(record.row, cells[record.row], lost=record.lost) for record in found]
