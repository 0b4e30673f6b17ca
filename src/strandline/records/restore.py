"""The way back from a backup of either kind, in a program of its own that has no record open."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from django.db import Error as DatabaseError
from django.db import connection, connections

from strandline.records import backup
from strandline.records.backup import BackupError, verify
from strandline.records.export import ExportError
from strandline.records.holding import held
from strandline.records.loading import load
from strandline.records.practice import (
    FOLDERS,
    SECRET,
    PracticeError,
    begin,
    database_address,
    secret_key,
)
from strandline.records.settings import DATABASE_FILE, base_settings, sqlite_database
from strandline.records.setup import start


def restore_practice(folder: Path, file: Path, at: datetime, address: str | None = None) -> Path | None:
    """Put a backup back into a practice, which is made if need be, or into an empty PostgreSQL database.

    Returns the new name of the record that was there, None if there was none.  Raises BackupError or
    PracticeError, with nothing changed, for a backup that is not whole or of a newer program, a practice that
    is being served, and a database that holds a record already.
    """
    verify(file)
    _make(folder)
    address = address or database_address(folder)
    with held(folder):
        if address:
            _into_server(folder, file, address)
            return None
        if backup.holds_lines(file):
            return _into_file(folder, file, at)
        return backup.restore(file, folder / DATABASE_FILE, at)


def _make(folder: Path) -> None:
    try:
        for name in FOLDERS:
            (folder / name).mkdir(parents=True, exist_ok=True)
        secret_key(folder / SECRET)
    except OSError as error:
        raise PracticeError(f"{folder} cannot be used as a practice: {error.strerror}") from error


def _into_server(folder: Path, file: Path, address: str) -> None:
    if not backup.holds_lines(file):
        raise BackupError(
            f"{file.name} is a copy of an SQLite file; restore it into a practice without a database "
            "address, export that, and restore the export here"
        )
    begin(folder, address)
    _load(file)


def _into_file(folder: Path, file: Path, at: datetime) -> Path | None:
    """Make a database beside the one in use, and give it that one's name when all is in it."""
    part = folder / (DATABASE_FILE + backup.PART)
    _take_away(part)
    start(base_settings(sqlite_database(part), secret_key(folder / SECRET), folder))
    try:
        _load(file)
        with connection.cursor() as cursor:
            # One file, not three, to be moved.
            cursor.execute("PRAGMA journal_mode=DELETE")
        connections.close_all()
        backup.look_through(part)
    except BaseException:
        connections.close_all()
        _take_away(part)
        raise
    return backup.put_in_place(part, folder / DATABASE_FILE, at)


def _take_away(part: Path) -> None:
    for end in backup.BESIDE:
        part.with_name(part.name + end).unlink(missing_ok=True)


def _load(file: Path) -> None:
    try:
        with backup.lines_of(file) as lines:
            load(lines)
    except ExportError as error:
        raise BackupError(f"{file.name} cannot be restored: {error}") from error
    except DatabaseError as error:
        said = " ".join(str(error).split())
        raise PracticeError(f"the database cannot be used: {said}") from error
