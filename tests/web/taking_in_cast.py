"""Photographs, lists and forms for the tests of taking in."""

from __future__ import annotations

import io
import zipfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import openpyxl
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

import strandline
from strandline.records.models.objects import ListRow
from strandline.records.models.sites import Incident, Place
from strandline.services.clock import now
from tests.records.cast import incident
from tests.web.cast import form

TAKE_IN, LIST_IN, LIST, WALK = "/ORNL1/take-in/", "/ORNL1/list/in/", "/ORNL1/list/", "/ORNL1/walk/"
CSV = b"""Object;Made of;Owner;Location;Hours under water
Sea chest;oak, iron bands;lender A;sail loft, floor;12
Stoneware jar;stoneware, glazed;museum;store, shelf 2;0
Bell;bronze, wrought iron clapper;Lender A;;a while
"""


def flooded() -> Incident:
    """The loft, its water and hour known, so that facts depend on the moment they are read at."""
    found = incident()
    found.wet_since, found.water = datetime(2026, 3, 15, 2, 40, tzinfo=UTC), ["brackish", "sewage"]
    found.save()
    return found


def a_room(name: str = "long room", code: str = "ORNL1") -> Place:
    """A room of the loft."""
    return Place.objects.get_or_create(incident=incident(code), kind="room", name=name)[0]


def jpeg(shade: int = 120) -> bytes:
    """A small photograph."""
    stream = io.BytesIO()
    Image.new("RGB", (64, 48), (shade, shade, 90)).save(stream, "JPEG")
    return stream.getvalue()


def upload(name: str, data: bytes, kind: str = "application/octet-stream") -> SimpleUploadedFile:
    """A file as a browser sends it."""
    return SimpleUploadedFile(name, data, kind)


def photo(shade: int = 120) -> SimpleUploadedFile:
    """A photograph as a phone sends it."""
    return upload("photo.jpg", jpeg(shade), "image/jpeg")


def intake(**more: object) -> dict[str, object]:
    """An ordinary thing: none of the pictures, made of wood, state not sure."""
    fields: dict[str, object] = {"none": "1", "tag": "", "material": ["wood"], "state": ""}
    return form("take_in", **{**fields, **more})


def bomb() -> bytes:
    """A workbook that unpacks to far more than any list."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", "<workbook/>")
        for n in range(11):
            archive.writestr(f"xl/worksheets/sheet{n}.xml", b"0" * 10_000_000)
    return stream.getvalue()


def workbook() -> bytes:
    """The list as a workbook."""
    book = openpyxl.Workbook()
    for row in CSV.decode().splitlines():
        book.active.append(row.split(";"))
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def a_row(number: int = 2, code: str = "ORNL1", **cells: str) -> ListRow:
    """A row of the list of the loft."""
    told = {"title": "Sea chest", "materials": "oak, iron bands", **cells}
    return ListRow.objects.create(incident=incident(code), list_sha256="0" * 64, row=number, cells=told)


def demo_list() -> bytes:
    """The list of the demo."""
    return (Path(strandline.__file__).parent / "demo_data" / "list.csv").read_bytes()


def half_an_hour_later() -> datetime:
    """Later, as facts that depend on the hour would notice."""
    return now() + timedelta(minutes=30)
