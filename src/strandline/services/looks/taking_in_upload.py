"""Lists that were sent: judged by content, kept byte for byte by hash, read again to be taken in."""

from __future__ import annotations

import hashlib
import io
import re
import tempfile
import zipfile
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from pathlib import Path

from django.utils.translation import gettext as _

from strandline.exchange.lists import ListError, OpenedList, open_list
from strandline.exchange.opened import Form
from strandline.exchange.sniffing import kind_of
from strandline.pipeline.doubts import doubts
from strandline.records.models.objects import ListRow
from strandline.records.models.sites import Incident
from strandline.records.photos import write_whole
from strandline.services.import_list import facts_of_row
from strandline.services.photograph import photos_folder
from strandline.things.listing import Problem, RawRow

FOLDER = "lists"
MOST_BYTES = 20_000_000
MOST_UNPACKED = 100_000_000
"""Bytes a workbook of a page may unpack to."""
MOST_ROWS = 20_000
LINES_A_ROW = 5
"""Lines of a CSV for each row that a list may have: blank rows, and cells that run over several lines."""
LOOKED_INTO = 2_000
"""Rows whose every cell is interpreted before a list is taken in; all cells are kept whatever they say."""
FORMS: tuple[Form, ...] = ("csv", "xlsx", "json")
OPTION = re.compile(r", or (?:name its columns with )?--columns [A-Z]+=COLUMN")
SHA256 = re.compile(r"[0-9a-f]{64}")


class NoList(Exception):
    """What was sent cannot be used as a list; the text says why in one sentence."""


@dataclass(frozen=True, slots=True)
class Understood:
    """A list that was read: its rows, and everything that could not be used as it stood."""

    opened: OpenedList
    rows: list[RawRow]

    @property
    def problems(self) -> list[Problem]:
        """Of the file and of its rows as a whole."""
        return [*self.opened.problems, *doubts(self.rows)]


def folder() -> Path:
    """Where lists of the open practice lie."""
    return photos_folder().parent / FOLDER


def keep_list(name: str, data: bytes) -> str:
    """Keep a list that can be read and give its hash; NoList, with nothing kept, for anything else."""
    if len(data) > MOST_BYTES:
        raise NoList(_("the list is larger than %(most)s MB; split it") % {"most": MOST_BYTES // 1_000_000})
    _bounded(data)
    _few_lines(name, data)
    with tempfile.TemporaryDirectory(prefix="strandline-list-") as spot:
        file = Path(spot) / plain_name(name)
        file.write_bytes(data)
        found = _read(file)
    sha256 = hashlib.sha256(data).hexdigest()
    target = folder() / f"{sha256}.{found.opened.form}"
    if not target.is_file():
        write_whole(target, data, folder())
    return sha256


def read_list(sha256: str) -> Understood | None:
    """A list that was kept, read again; None where none of this hash lies here."""
    if not SHA256.fullmatch(sha256):
        return None
    for form in FORMS:
        file = folder() / f"{sha256}.{form}"
        if file.is_file():
            return _read(file)
    return None


def _read(file: Path) -> Understood:
    try:
        found = open_list(file)
        # One more than there may be: the rest of a list that is too long is never read.
        rows = list(islice(found.rows, MOST_ROWS + 1))
    except ListError as error:
        raise NoList(_for_a_page(str(error))) from error
    if not rows:
        raise NoList(_("%(name)s: there is a header and no row under it") % {"name": file.name})
    if len(rows) > MOST_ROWS:
        raise _too_many(file.name)
    return Understood(found, rows)


def _for_a_page(sentence: str) -> str:
    """Why a list cannot be read, with what can be done about it here in place of an option to type."""
    return OPTION.sub(_(", and send the file again"), sentence)


def _too_many(name: str) -> NoList:
    told = {"name": name, "most": MOST_ROWS}
    return NoList(_("%(name)s: more than %(most)s rows, blank ones counted; split it") % told)


def _few_lines(name: str, data: bytes) -> None:
    """Refuse text of far more lines than rows may be, before any of it is read.

    Blank rows and cells of several lines are allowed for: some lines a row, over the whole list.  What is no
    CSV is bounded elsewhere, and what is no list is told by whoever reads it.
    """
    try:
        form = kind_of(data, name)
    except ListError:
        return
    ends = max(data.count(b"\n"), data.count(b"\r"))
    if form == "csv" and ends > MOST_ROWS * LINES_A_ROW:
        raise _too_many(plain_name(name))


def _bounded(data: bytes) -> None:
    """Refuse what unpacks to far more than any list holds; a damaged package is told by whoever reads it."""
    if not data.startswith(b"PK"):
        return
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            unpacked = sum(entry.file_size for entry in archive.infolist())
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError):
        return
    if unpacked > MOST_UNPACKED:
        most = {"most": MOST_UNPACKED // 1_000_000}
        raise NoList(_("the workbook unpacks to more than %(most)s MB; it is no list") % most)


def plain_name(name: str) -> str:
    """A name a file may have here: letters, digits and a few signs of what it was called."""
    kept = re.sub(r"[^\w.\- ]", "_", Path(name.replace("\\", "/")).name).strip(". ")
    return kept[-80:] or "list"


def cell_problems(found: Understood, incident: Incident, at: datetime) -> list[Problem]:
    """What of the first rows' cells cannot be understood as at a moment."""
    problems: list[Problem] = []
    for raw in found.rows[:LOOKED_INTO]:
        row = ListRow(incident=incident, row=raw.row, cells=dict(raw.cells), kept=dict(raw.kept))
        problems += facts_of_row(row, "0000", incident, at)[1]
    return problems
