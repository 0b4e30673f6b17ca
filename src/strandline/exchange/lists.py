"""Opening a list: CSV, XLSX or JSON to rows of text, with everything irregular told."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from itertools import islice
from pathlib import Path

from strandline.exchange.csv_rows import CsvText
from strandline.exchange.encodings import encoding_of
from strandline.exchange.failures import ListError, unusable
from strandline.exchange.headers import HeaderPlan, check_mapping
from strandline.exchange.json_rows import read_json
from strandline.exchange.opened import OpenedList, Tally
from strandline.exchange.sniffing import kind_of, refuse_binary
from strandline.exchange.table import Record, RowMaker, header_among, no_header, plan_table
from strandline.knowledge.base import Knowledge
from strandline.things.listing import ListHead, Problem

__all__ = ["ListError", "OpenedList", "open_list"]

MAX_BYTES = 256 * 1024 * 1024


def open_list(
    path: Path, columns: Mapping[str, str] | None = None, knowledge: Knowledge | None = None
) -> OpenedList:
    """Open a list and find its header.

    ``columns`` maps headers to columns (or to ``keep``) and goes before what names suggest.
    ``knowledge`` checks the keys of a JSON list (None: the shipped one).  The file is read once, so
    hash, encoding and rows speak of the same bytes; rows of a CSV are decoded and split as they are
    drawn.  Raises ListError, a sentence for the person holding the list, if nothing can be used.
    """
    check_mapping(columns or {})
    data = _bytes_of(path)
    name = path.name
    kind = kind_of(data, name)
    if kind == "xlsx":
        return _open_xlsx(data, name, columns)
    if kind == "json":
        return read_json(data, name, columns, knowledge)
    return _open_csv(data, name, columns)


def _bytes_of(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise unusable(str(path), "this is a folder", "give the list's file itself")
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except FileNotFoundError as error:
        raise unusable(str(path), "there is no such file", "check the name and the folder") from error
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise unusable(
            str(path), f"the file cannot be read ({why})", "check its name and permissions"
        ) from error
    if len(data) > MAX_BYTES:
        raise unusable(path.name, f"the file is over {MAX_BYTES // 1024**2} MB", "split the list")
    return data


def _open_csv(data: bytes, name: str, columns: Mapping[str, str] | None) -> OpenedList:
    encoding = encoding_of(data)
    if not encoding.name.startswith("utf-16"):
        refuse_binary(data, name)
    text = CsvText(data, encoding, name, columns)
    first = text.first()
    header = header_among(first, columns)
    if header is None:
        raise no_header(name, first, columns)
    text.check()
    problems: list[Problem] = []
    plan = plan_table(header, name, columns, problems)
    tally = Tally()
    below: Iterator[Record] = islice(text.records(), header.row, None)
    return OpenedList(
        head=_head(data, name, plan),
        rows=RowMaker(plan, problems, tally, encoding.name).rows(below),
        problems=problems,
        form="csv",
        encoding=encoding.name,
        delimiter=text.delimiter,
        header_row=header.row,
        above=_above(first, header),
        tally=tally,
    )


def _open_xlsx(data: bytes, name: str, columns: Mapping[str, str] | None) -> OpenedList:
    # Here, because openpyxl loads numpy where there is one, and only workbooks need it.
    from strandline.exchange.xlsx_rows import read_sheet

    problems: list[Problem] = []
    sheet = read_sheet(data, name, columns, problems)
    plan = plan_table(sheet.header, name, columns, problems)
    width = len(plan.names)
    below = (  # a workbook does not store blank cells at the end of a row, so a short row is no fault
        Record(record.row, [*record.cells, *[""] * (width - len(record.cells))], lost=record.lost)
        for record in islice(sheet.records, sheet.header.row, None)
    )
    tally = Tally()
    return OpenedList(
        head=_head(data, name, plan),
        rows=RowMaker(plan, problems, tally).rows(below),
        problems=problems,
        form="xlsx",
        sheet=sheet.title,
        header_row=sheet.header.row,
        above=_above(sheet.first, sheet.header),
        tally=tally,
    )


def _head(data: bytes, name: str, plan: HeaderPlan) -> ListHead:
    return ListHead(name, hashlib.sha256(data).hexdigest(), plan.columns, plan.kept)


def _above(first: list[Record], header: Record) -> tuple[str, ...]:
    lines = (" ".join(cell.strip() for cell in record.cells if cell.strip()) for record in first)
    return tuple(line for line in islice(lines, header.row - 1) if line)
