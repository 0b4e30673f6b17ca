"""Backup of a practice: a whole copy, looked through, with its hash; and the way back.

On SQLite the copy is made page by page with SQLite's own backup interface, on PostgreSQL it is the record's
export, packed; others go on writing meanwhile.  A backup counts only once it has been looked through: a file
without its hash beside it is none.
"""

from __future__ import annotations

import gzip
import hashlib
import os
import shutil
import sqlite3
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path

from strandline.records import export

PAGES = ".sqlite3"
PACKED = ".gz"
PLAIN = ".jsonl"
LINES = PLAIN + PACKED
STAMP = "strandline-%Y%m%dT%H%M%SZ"
HASH = ".sha256"
PART = ".part"
BESIDE: tuple[str, ...] = ("", "-wal", "-shm")
"""A database in use is up to three files."""

CHUNK_BYTES = 1 << 20


HOW_HARD = 6
"""How hard exports are packed, of 9."""


class BackupError(Exception):
    """A backup could not be made, or is none; says why in one sentence."""


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was looked through."""

    file: Path
    sha256: str
    size_bytes: int


def back_up(database: Path, folder: Path, at: datetime) -> Backup:
    """Copy the database into ``folder``, named by the time ``at`` (UTC), look through it, keep its hash.

    Raises BackupError if there is no database, the copy is damaged, or a backup of this second is there.
    """
    if not database.is_file():
        raise BackupError(f"{database} does not exist; there is nothing to back up")
    return _keep(folder / _named(at, PAGES), lambda part: _copy(database, part))


def back_up_lines(folder: Path, at: datetime) -> Backup:
    """Write the record that is open, of either engine, into ``folder`` as a packed export with its hash.

    Raises BackupError as ``back_up`` does.
    """
    return keep_lines(folder / _named(at, LINES))


def keep_lines(target: Path) -> Backup:
    """Write the record that is open as an export of this name, packed if it ends in .gz, with its hash.

    It is read back, and has to hold the rows the database counted at that moment.
    """
    return _keep(target, _write_lines)


def _write_lines(part: Path) -> None:
    try:
        with part.open("wb") as raw:
            if part.name.removesuffix(PART).endswith(PACKED):
                with gzip.GzipFile("", "wb", HOW_HARD, raw, mtime=0) as stream:
                    export.write(stream)
            else:
                export.write(raw)
    except export.ExportError as error:
        part.unlink(missing_ok=True)
        raise BackupError(str(error)) from error


def _named(at: datetime, end: str) -> str:
    return f"{at.astimezone(UTC):{STAMP}}{end}"


def _keep(target: Path, make: Callable[[Path], None]) -> Backup:
    """Make a backup beside its name, look through it, give it its name and its hash."""
    target.parent.mkdir(parents=True, exist_ok=True)
    if target.exists():
        raise BackupError(f"{target.name} is there already")
    part = target.with_name(target.name + PART)
    part.unlink(missing_ok=True)
    # Password hashes and contacts are in it: for its owner's eyes only, from its first byte.
    os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    make(part)
    look_through(part)
    found = _hash(part)
    _sync(part)
    os.replace(part, target)
    _write_hash(target, found)
    _sync(target.parent)
    return Backup(target, found, target.stat().st_size)


def verify(file: Path) -> Backup:
    """A backup, if it is still what it was: hash, pages or lines, links.  BackupError otherwise."""
    beside = file.with_name(file.name + HASH)
    if not file.is_file() or not beside.is_file():
        raise BackupError(f"{file.name} is no finished backup: the file or its hash is not there")
    found = _hash(file)
    if not beside.read_bytes().startswith(found.encode("ascii") + b"  "):
        raise BackupError(f"{file.name} has changed since it was made: its hash is another")
    look_through(file)
    return Backup(file, found, file.stat().st_size)


def backups(folder: Path) -> list[Path]:
    """Finished backups, the newest first.  Whether they are whole, ``verify`` tells."""
    found = [file for end in (PAGES, LINES) for file in folder.glob(f"strandline-*{end}")]
    return sorted((file for file in found if file.with_name(file.name + HASH).is_file()), reverse=True)


def time_of(file: Path) -> datetime | None:
    """The time in a backup's name, None if it is named otherwise."""
    try:
        return datetime.strptime(file.name.partition(".")[0], STAMP).replace(tzinfo=UTC)
    except ValueError:
        return None


def restore(file: Path, database: Path, at: datetime) -> Path | None:
    """Put a backup of pages in the place of the database; nobody may have the record open.

    What was there is moved aside, never deleted; its new name is returned, None if there was nothing.
    Raises BackupError, with nothing changed, for a backup that is not whole or of a newer program.
    """
    verify(file)
    if holds_lines(file):
        raise BackupError(f"{file.name} is an export; it has no pages to put in place")
    if newer := unknown_migrations(file):
        raise BackupError(f"{file.name} was made by a newer Strandline (it has {newer[0]}); update first")
    part = database.with_name(database.name + PART)
    database.parent.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(file, part)
    return put_in_place(part, database, at)


def put_in_place(part: Path, database: Path, at: datetime) -> Path | None:
    """Give a database that lies ready its name; what was there is moved aside, and its new name returned."""
    _sync(part)
    aside = _move_aside(database, at)
    os.replace(part, database)
    _sync(database.parent)
    return aside


def holds_lines(file: Path) -> bool:
    """Whether this is an export by its name, finished or not; a backup is of pages otherwise."""
    return file.name.removesuffix(PART).removesuffix(PACKED).endswith(PLAIN)


def look_through(file: Path) -> None:
    """Every page or line is whole, and no row points at one that is not there; BackupError otherwise."""
    if holds_lines(file):
        try:
            _read_lines(file)
        except export.ExportError as error:
            raise BackupError(f"{file.name} is damaged: {error}") from error
        return
    try:
        with closing(_open(file)) as connection:
            pages = [row[0] for row in connection.execute("PRAGMA integrity_check")]
            links = connection.execute("PRAGMA foreign_key_check").fetchall()
    except sqlite3.DatabaseError as error:
        raise BackupError(f"{file.name} is damaged: {error}") from error
    if pages != ["ok"]:
        raise BackupError(f"{file.name} is damaged: {pages[0]}")
    if links:
        raise BackupError(f"{file.name} is damaged: a row of {links[0][0]} points at nothing")


def _read_lines(file: Path) -> None:
    """Count the rows of an export; ExportError if it cannot be read to its end."""
    with lines_of(file) as stream:
        export.read_through(stream)


@contextmanager
def lines_of(file: Path) -> Iterator[Iterable[bytes]]:
    """The lines of an export, packed or not; ExportError where it cannot be unpacked."""
    packed = file.name.removesuffix(PART).endswith(PACKED)
    try:
        with gzip.open(file, "rb") if packed else file.open("rb") as stream:
            yield stream
    except (EOFError, zlib.error, gzip.BadGzipFile) as error:
        raise export.ExportError(f"it cannot be unpacked: {error}") from error


def unknown_migrations(file: Path) -> list[str]:
    """Migrations a database has and this program does not know: it was made by a newer one."""
    folder = files("strandline.records") / "migrations"
    known = {entry.name.removesuffix(".py") for entry in folder.iterdir() if entry.name[:1].isdigit()}
    try:
        with closing(_open(file)) as connection:
            rows = connection.execute("SELECT name FROM django_migrations WHERE app = 'records'").fetchall()
    except sqlite3.DatabaseError as error:
        raise BackupError(f"{file.name} is no record of Strandline: {error}") from error
    return sorted({name for (name,) in rows} - known)


def _open(file: Path) -> sqlite3.Connection:
    """Open for reading only, and never make a file that is not there."""
    return sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True)


def _copy(database: Path, part: Path) -> None:
    try:
        with closing(_open(database)) as source, closing(sqlite3.connect(part)) as target:
            source.backup(target)
            # One file, not three: the copy is not in use.
            target.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.DatabaseError as error:
        part.unlink(missing_ok=True)
        raise BackupError(f"{database.name} could not be copied: {error}") from error


def _move_aside(database: Path, at: datetime) -> Path | None:
    if not database.exists():
        return None
    aside = database.with_name(f"{database.stem}-before-{at:%Y%m%dT%H%M%SZ}{database.suffix}")
    if aside.exists():
        raise BackupError(f"{aside.name} is there already")
    for end in BESIDE:
        old = database.with_name(database.name + end)
        if old.exists():
            os.replace(old, aside.with_name(aside.name + end))
    return aside


def _write_hash(target: Path, found: str) -> None:
    beside = target.with_name(target.name + HASH)
    part = beside.with_name(beside.name + PART)
    part.write_text(f"{found}  {target.name}\n", encoding="ascii")
    _sync(part)
    os.replace(part, beside)


def _hash(file: Path) -> str:
    digest = hashlib.sha256()
    with file.open("rb") as stream:
        while chunk := stream.read(CHUNK_BYTES):
            digest.update(chunk)
    return digest.hexdigest()


def _sync(path: Path) -> None:
    """Wait until the disk has it; a folder on Windows cannot be asked."""
    if os.name == "nt" and path.is_dir():
        return
    handle = os.open(path, os.O_RDWR if path.is_file() else os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
