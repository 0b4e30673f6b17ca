"""Files that cannot be used at all: each is refused with one sentence: what, where, what to do."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from pathlib import Path

import pytest

from strandline.exchange import sniffing
from strandline.exchange.lists import ListError, open_list
from tests.exchange.making import json_list, workbook

SAVE = "save the list as CSV (UTF-8) or XLSX and give that file"
EMPTY = "the file is empty; check that it was saved whole, and give the list again."
NO_COLUMN = (
    "no known column in the first 10 rows (the first row reads: alpha, beta); add a header row with "
    "names such as tag, title, materials, or name its columns with --columns HEADER=COLUMN."
)
FORM = 'write {"schema": "strandline.list/1", "objects": [ ... ]}'
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def package(*members: str) -> bytes:
    """A ZIP package with the members, each empty."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for member in members:
            archive.writestr(member, "")
    return out.getvalue()


def locked(data: bytes) -> bytes:
    """The ZIP with the flag that says its members are encrypted."""
    at = data.index(b"PK\x01\x02") + 8
    return data[:at] + bytes([data[at] | 1]) + data[at + 1 :]


CSV = {
    "empty": (b"", EMPTY),
    "only spaces": (b" \r\n\t\n", EMPTY),
    "only NUL": (b"\x00" * 40, f"the file holds nothing but NUL bytes (byte 0); {SAVE}."),
    "NUL inside": (
        b"tag,title\n1,Bell\n2,Bu\x00oy\n",
        f"a NUL byte (byte 0) stands in line 3, so this is no plain text; {SAVE}.",
    ),
    "NUL in UTF-16": (
        "tag,title\n1,Be\0ll\n".encode("utf-16"),
        f"a NUL byte (byte 0) stands in line 2, so this is no plain text; {SAVE}.",
    ),
    "control codes": (bytes(range(1, 9)) * 50, f"this is not text, so it cannot be a list; {SAVE}."),
    "PDF": (b"%PDF-1.7\n", f"this is a PDF, not a list; {SAVE}."),
    "PNG": (b"\x89PNG\r\n\x1a\n", f"this is a picture (PNG), not a list; {SAVE}."),
    "JPEG": (b"\xff\xd8\xff\xe0", f"this is a picture (JPEG), not a list; {SAVE}."),
    "gzip": (b"\x1f\x8b\x08", f"this is a compressed file (gzip), not a list; {SAVE}."),
    "RTF": (b"{\\rtf1 list}", f"this is a word processor's document (RTF), not a list; {SAVE}."),
    "web page": (b"<!DOCTYPE html><table>", f"this is a web page or XML, not a list; {SAVE}."),
    "database": (b"SQLite format 3\x00", f"this is a database, not a list; {SAVE}."),
    "old XLS": (
        OLE + b"\x00" * 600,
        "this is the old XLS format (or another old office file); open it and save it as XLSX or CSV.",
    ),
    "password": (
        OLE + b"\x00" * 600 + "EncryptedPackage".encode("utf-16-le"),
        "the workbook is protected by a password; open it, save it without one and give that file.",
    ),
    "password in ZIP": (
        locked(package("xl/workbook.xml")),
        "the file is protected by a password; save it without one and give that file.",
    ),
    "DOCX": (
        package("word/document.xml"),
        f"this is a word processor's document (DOCX), not a list; {SAVE}.",
    ),
    "ODS": (
        package("mimetype", "content.xml"),
        f"this is an OpenDocument file (ODS, ODT), not a list; {SAVE}.",
    ),
    "ZIP": (package("list.csv"), f"this is a ZIP archive, not a list; {SAVE}."),
    "XLSB": (package("xl/workbook.bin"), f"this is a binary workbook (XLSB); {SAVE}."),
    "no header row": (
        b"0001;Bell;bronze\n0002;Buoy;cork\n",
        "there is no header row (the first row reads: 0001, Bell, bronze); "
        "put a row with names such as tag, title, materials above the rows.",
    ),
    "no known column": (
        b"alpha,beta\nx,y\n",
        NO_COLUMN,
    ),
    "cell too large": (
        b"tag,title\n1,Bell\n2," + b"x" * 140_000 + b"\n",
        "row 3 holds a cell of more than 131072 characters; "
        "look for a quotation mark that is not closed there, or shorten the cell.",
    ),
    "workbook, no known column": (
        workbook({"A": [["alpha", "beta"]]}),
        NO_COLUMN,
    ),
    "workbook, all data": (
        workbook({"A": [["0001", "Bell"]]}),
        "there is no header row (the first row reads: 0001, Bell); "
        "put a row with names such as tag, title, materials above the rows.",
    ),
}

JSON = {
    "syntax": (
        '{"schema": "strandline.list/1",\n "objects": [\n  {"tag": 1 "title": 2}\n]}',
        "not valid JSON: Expecting ',' delimiter, line 3, column 13; mend that line and give the list again.",
    ),
    "cut off": (
        '{"schema": "strandline.list/1",\n "objects": [',
        "not valid JSON: Expecting value, line 2, column 14; mend that line and give the list again.",
    ),
    "not an object": ("[1, 2]", f"the JSON holds no object at its top; {FORM}."),
    "no schema": ('{"objects": []}', f"the list's schema must be strandline.list/1; it has none; {FORM}."),
    "wrong schema": (
        '{"schema": "strandline.care/1", "objects": []}',
        f"the list's schema must be strandline.list/1; it says strandline.care/1; {FORM}.",
    ),
    "no objects": ('{"schema": "strandline.list/1"}', f"the list has no 'objects' array; {FORM}."),
    "objects no array": (
        '{"schema": "strandline.list/1", "objects": {}}',
        f"the list has no 'objects' array; {FORM}.",
    ),
    "no known key": (
        json_list([{"was": "Glocke"}]),
        "no known column in any object; use keys such as tag, owner_number, title, class, materials, "
        "or --columns KEY=COLUMN.",
    ),
    "too deep": ("[" * 200_000, f"the JSON is nested too deeply to be a list; {FORM}."),
    "NUL": (
        '{"schema": "strandline.list/1",\n"a": "\0"}',
        f"a NUL byte (byte 0) stands in line 2, so this is no plain text; {SAVE}.",
    ),
}


def message_of(path: Path, columns: Mapping[str, str] | None = None) -> str:
    """The one sentence a list is refused with, by open_list itself and not by drawing rows."""
    with pytest.raises(ListError) as error:
        open_list(path, columns)
    return str(error.value)


@pytest.mark.parametrize(("data", "message"), CSV.values(), ids=list(CSV))
def test_what_is_no_list_is_refused(tmp_path: Path, data: bytes, message: str) -> None:
    """Whatever it is called, it is told for what it is."""
    path = tmp_path / "list.csv"
    path.write_bytes(data)
    assert message_of(path) == f"list.csv: {message}"


@pytest.mark.parametrize(("text", "message"), JSON.values(), ids=list(JSON))
def test_what_is_no_json_list_is_refused(tmp_path: Path, text: str, message: str) -> None:
    """Syntax is told with its line, shape with what it should be."""
    path = tmp_path / "list.json"
    path.write_text(text, encoding="utf-8")
    assert message_of(path) == f"list.json: {message}"


def test_a_file_that_is_not_there_is_told_with_its_path(tmp_path: Path) -> None:
    """The path as given shows the slip."""
    path = tmp_path / "lsit.csv"
    assert message_of(path) == f"{path}: there is no such file; check the name and the folder."


def test_a_folder_is_no_list(tmp_path: Path) -> None:
    """Neither is what is in it guessed at."""
    assert message_of(tmp_path) == f"{tmp_path}: this is a folder; give the list's file itself."


def test_a_name_no_file_can_have_is_told(tmp_path: Path) -> None:
    """What the system says is passed on."""
    path = tmp_path / ("x" * 400)
    said = message_of(path)
    assert said.startswith(f"{path}: the file cannot be read (")
    assert said.endswith("; check its name and permissions.")


def test_a_damaged_workbook_is_told(tmp_path: Path) -> None:
    """Cut off, or with a broken sheet inside."""
    path = tmp_path / "list.xlsx"
    good = workbook({"L": [["tag", "title"], ["1", "Bell"]]})
    path.write_bytes(good[:-300])
    assert message_of(path).startswith("list.xlsx: the workbook is damaged (")
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(good)) as source, zipfile.ZipFile(out, "w") as target:
        for entry in source.infolist():
            broken = entry.filename.startswith("xl/worksheets/")
            target.writestr(entry, b"<worksheet><sheetData><row>" if broken else source.read(entry))
    path.write_bytes(out.getvalue())
    said = message_of(path)
    assert said.startswith("list.xlsx: the workbook is damaged (")
    assert said.endswith(f"; {SAVE}.")


def test_a_workbook_that_unpacks_to_too_much_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A small file can unpack to more than a machine holds."""
    monkeypatch.setattr(sniffing, "MAX_UNPACKED", 2 * 1024**2)
    path = tmp_path / "list.xlsx"
    out = io.BytesIO(workbook({"L": [["tag", "title"]]}))
    with zipfile.ZipFile(out, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/media/fill", b"0" * (3 * 1024**2))
    path.write_bytes(out.getvalue())
    assert message_of(path) == f"list.xlsx: the workbook unpacks to more than 2 MB; {SAVE}."


def test_a_mapping_whose_header_is_nowhere_is_told(tmp_path: Path) -> None:
    """The user's own name is repeated, so that the slip shows."""
    path = tmp_path / "list.csv"
    path.write_text("alpha;beta\n", encoding="utf-8")
    assert message_of(path, {"Gamma": "title"}) == (
        "list.csv: no row among the first 10 has the header 'Gamma' that --columns names, nor any known one "
        "(the first row reads: alpha, beta); check the headers' spelling."
    )


def test_a_key_nobody_has_is_told(tmp_path: Path) -> None:
    """The same for JSON."""
    path = tmp_path / "list.json"
    path.write_text(json_list([{"tag": 1}]), encoding="utf-8")
    assert message_of(path, {"nom": "title"}) == (
        "list.json: --columns names the key 'nom', which no object has; the keys are: tag."
    )
