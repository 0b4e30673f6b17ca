"""Lists made on the fly for the tests: CSV bytes, workbooks, JSON.  All objects are invented."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import openpyxl

from strandline.exchange.lists import OpenedList, open_list
from strandline.things.listing import Problem, RawRow

HEADER = ("tag", "title", "materials", "features")
ROWS = (
    ("0001", "Eel trap", "willow; hemp cord", "one end crushed"),
    ("0002", "Jug “Success to the Nets”", "earthenware, lustre", "handle stuck on\nwith brown glue"),
    ("0003", "Krug für Öl", "tinplate, 2' 6\" high", "grün, café"),
)


def csv_text(rows: Sequence[Sequence[str]], delimiter: str = ",", header: Sequence[str] = HEADER) -> str:
    """Rows as delimited text, quoted where needed."""
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter).writerows([header, *rows])
    return out.getvalue()


def opened(
    folder: Path, data: bytes | str, name: str = "list.csv", columns: Mapping[str, str] | None = None
) -> tuple[OpenedList, list[RawRow]]:
    """Write the bytes, open them as a list, draw all rows."""
    path = folder / name
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    found = open_list(path, columns)
    return found, list(found.rows)


def workbook(
    sheets: Mapping[str, Sequence[Sequence[Any]]], merged: Sequence[str] = (), formats: Mapping[str, str] = {}
) -> bytes:
    """A workbook of sheets; merges and number formats are those of the first sheet."""
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(list(row))
    for area in merged:
        book.worksheets[0].merge_cells(area)
    for cell, shown in formats.items():
        book.worksheets[0][cell].number_format = shown
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def json_list(objects: Sequence[Any], **more: Any) -> str:
    """A JSON list of the objects."""
    return json.dumps({"schema": "strandline.list/1", "objects": objects, **more}, ensure_ascii=False)


def told(problems: Sequence[Problem]) -> list[tuple[int, str]]:
    """Row and reason of each problem."""
    return [(problem.row, problem.reason) for problem in problems]
