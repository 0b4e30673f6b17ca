"""Telling from its first bytes what a file is, and refusing what is no list with a reason."""

from __future__ import annotations

import io
import zipfile

from strandline.exchange.failures import ListError, unusable
from strandline.exchange.opened import Form

MAX_UNPACKED = 512 * 1024 * 1024
"""Bytes a workbook may unpack to; more is a damaged or hostile file, not a list."""

_NO_LIST: tuple[tuple[bytes, str], ...] = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture (PNG)"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"GIF8", "a picture (GIF)"),
    (b"II*\x00", "a picture (TIFF)"),
    (b"MM\x00*", "a picture (TIFF)"),
    (b"\x1f\x8b", "a compressed file (gzip)"),
    (b"7z\xbc\xaf", "a compressed file (7z)"),
    (b"Rar!", "a compressed file (RAR)"),
    (b"BZh", "a compressed file (bzip2)"),
    (b"SQLite format 3", "a database"),
    (b"{\\rtf", "a word processor's document (RTF)"),
)
_OLD_OFFICE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_TEXT_CONTROLS = frozenset(b"\t\n\r\x0b\x0c\x1a\x1d")


def kind_of(data: bytes, name: str) -> Form:
    """Whether the bytes are a workbook, JSON or delimited text.  Raises ListError for anything else."""
    if not data.strip(b" \t\r\n\xef\xbb\xbf\xff\xfe\x00"):
        raise _empty(data, name)
    if data.startswith(_OLD_OFFICE):
        raise _old_office(data, name)
    if data.startswith(b"PK"):
        return _workbook(data, name)
    for magic, what in _NO_LIST:
        if data.startswith(magic):
            raise unusable(name, f"this is {what}, not a list")
    start = data.lstrip(b"\xef\xbb\xbf \t\r\n")[:64].lower()
    if start.startswith((b"<!doctype", b"<html", b"<?xml", b"<table")):
        raise unusable(name, "this is a web page or XML, not a list")
    if start.startswith(b"{") or name.lower().endswith(".json"):
        return "json"
    return "csv"


def refuse_binary(data: bytes, name: str) -> None:
    """Raise ListError where more than one byte in fifty is a control code: no text looks like that.

    NUL is not counted: it is told with its line where it is met.
    """
    sample = data[:65536]
    controls = sum(1 for byte in sample if (0 < byte < 32 and byte not in _TEXT_CONTROLS) or byte == 127)
    if controls * 50 > len(sample):
        raise unusable(name, "this is not text, so it cannot be a list")


def _empty(data: bytes, name: str) -> ListError:
    if b"\x00" in data:
        return unusable(name, "the file holds nothing but NUL bytes (byte 0)")
    return unusable(name, "the file is empty", "check that it was saved whole, and give the list again")


def _old_office(data: bytes, name: str) -> ListError:
    if "EncryptedPackage".encode("utf-16-le") in data:
        return unusable(
            name, "the workbook is protected by a password", "open it, save it without one and give that file"
        )
    return unusable(
        name, "this is the old XLS format (or another old office file)", "open it and save it as XLSX or CSV"
    )


def _workbook(data: bytes, name: str) -> Form:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = {entry.filename: entry for entry in archive.infolist()}
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as error:
        raise unusable(name, f"the workbook is damaged ({error})") from error
    if any(entry.flag_bits & 1 for entry in members.values()):
        raise unusable(name, "the file is protected by a password", "save it without one and give that file")
    if "xl/workbook.bin" in members:
        raise unusable(name, "this is a binary workbook (XLSB)")
    if "xl/workbook.xml" not in members:
        raise unusable(name, f"this is {_other_package(members)}, not a list")
    if sum(entry.file_size for entry in members.values()) > MAX_UNPACKED:
        raise unusable(name, f"the workbook unpacks to more than {MAX_UNPACKED // 1024**2} MB")
    return "xlsx"


def _other_package(members: dict[str, zipfile.ZipInfo]) -> str:
    if "word/document.xml" in members:
        return "a word processor's document (DOCX)"
    if "content.xml" in members:
        return "an OpenDocument file (ODS, ODT)"
    return "a ZIP archive"
