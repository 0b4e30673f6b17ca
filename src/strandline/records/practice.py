"""The practice folder: everything a practice keeps, in one place that can be copied.

``strandline.sqlite3``, ``photos``, ``papers``, ``backups``, ``log``, and ``secret_key``, which only its owner
may read.
"""

from __future__ import annotations

import os
import secrets
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from strandline.records.apps import RecordsConfig
from strandline.records.backup import Backup, back_up
from strandline.records.settings import DATABASE_FILE, settings_for
from strandline.records.setup import start

VARIABLE = "STRANDLINE_PRACTICE"
USUAL = "Strandline"
FOLDERS: tuple[str, ...] = ("photos", "papers", "backups", "log")
SECRET = "secret_key"


class PracticeError(Exception):
    """The practice cannot be opened; says why in one sentence."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A practice whose record is open.  ``backup`` was taken because the tables had to be changed."""

    folder: Path
    backup: Backup | None

    @property
    def backups(self) -> Path:
        """Where its backups lie."""
        return self.folder / "backups"


def practice_folder(given: Path | None) -> Path:
    """The folder named, else that of STRANDLINE_PRACTICE, else Strandline in the home folder."""
    if given is not None:
        return given
    named = os.environ.get(VARIABLE)
    return Path(named).expanduser() if named else Path.home() / USUAL


def open_practice(folder: Path, at: datetime, address: str | None = None) -> Opened:
    """Open a practice, making what is missing; ``address`` names a PostgreSQL database in place of its file.

    Tables are brought up to date, after a backup where there is something to lose and the record is a file.
    Raises PracticeError for a record of a newer program, and for a folder that cannot be made.
    """
    try:
        for name in FOLDERS:
            (folder / name).mkdir(parents=True, exist_ok=True)
        key = secret_key(folder / SECRET)
    except OSError as error:
        raise PracticeError(f"{folder} cannot be used as a practice: {error.strerror}") from error
    start(settings_for(folder, key, address))
    executor = MigrationExecutor(connection)
    applied = {name for app, name in executor.loader.applied_migrations if app == RecordsConfig.label}
    known = {name for app, name in executor.loader.disk_migrations if app == RecordsConfig.label}
    if newer := sorted(applied - known):
        raise PracticeError(f"this record was made by a newer Strandline (it has {newer[0]}); update first")
    kept = None
    if known - applied:
        if applied and not address:
            kept = back_up(folder / DATABASE_FILE, folder / "backups", at)
        call_command("migrate", verbosity=0)
    return Opened(folder, kept)


def secret_key(file: Path) -> str:
    """The key in the file, made on first use, for its owner's eyes only."""
    try:
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return file.read_text(encoding="ascii")
    with os.fdopen(handle, "w", encoding="ascii") as stream:
        stream.write(secrets.token_urlsafe(50))
        stream.flush()
        os.fsync(stream.fileno())
    return file.read_text(encoding="ascii")
