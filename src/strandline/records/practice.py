"""The practice folder: everything a practice keeps, in one place that can be copied.

``strandline.sqlite3``, ``photos``, ``papers``, ``backups``, ``log``, ``secret_key``, which only its owner may
read, and ``lock``, held by the one program that serves it.  ``settings.toml``, which need not be there, may
name a PostgreSQL database to use in place of the file: ``database = "postgresql://..."``.
"""

from __future__ import annotations

import os
import secrets
import tomllib
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured
from django.core.management import call_command
from django.db import OperationalError, connection
from django.db.migrations.executor import MigrationExecutor

from strandline.records.apps import RecordsConfig
from strandline.records.backup import Backup, back_up, back_up_lines
from strandline.records.settings import DATABASE_FILE, DatabaseAddressError, settings_for
from strandline.records.setup import start

VARIABLE = "STRANDLINE_PRACTICE"
USUAL = "Strandline"
FOLDERS: tuple[str, ...] = ("photos", "papers", "backups", "log")
SECRET = "secret_key"
SETTINGS = "settings.toml"
DATABASE = "database"


class PracticeError(Exception):
    """The practice cannot be opened; says why in one sentence."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A practice whose record is open.

    ``backup`` was taken because the tables had to be changed; ``made``: this was its first start; ``address``
    is that of its PostgreSQL database, None where its record is a file.
    """

    folder: Path
    backup: Backup | None
    made: bool = False
    address: str | None = None

    @property
    def backups(self) -> Path:
        """Where its backups lie."""
        return self.folder / "backups"

    @property
    def log(self) -> Path:
        """Where what went wrong is written."""
        return self.folder / "log"


def practice_folder(given: Path | None) -> Path:
    """The folder named, else that of STRANDLINE_PRACTICE, else Strandline in the home folder."""
    if given is not None:
        return given
    named = os.environ.get(VARIABLE)
    return Path(named).expanduser() if named else Path.home() / USUAL


def open_practice(
    folder: Path, at: datetime, address: str | None = None, hosts: tuple[str, ...] = ()
) -> Opened:
    """Open a practice, making what is missing; ``address`` names a PostgreSQL database in place of its file.

    ``hosts`` are names it may be asked for under besides this machine's own.  Tables are brought up to date,
    after a backup where there is something to lose.  Raises PracticeError for a record of a newer program, a
    folder that cannot be made, and a database that cannot be reached.
    """
    made = make_folders(folder)
    address = begin(folder, address, hosts)
    try:
        kept = _up_to_date(folder, at, address)
    except OperationalError as error:
        said = " ".join(str(error).split())
        raise PracticeError(f"the database of this practice cannot be used: {said}") from error
    return Opened(folder, kept, made, address)


def make_folders(folder: Path) -> bool:
    """Make what is missing of a practice's folders and its key; whether this was its first start.

    A folder made here is its owner's alone: contacts, log-ins and photographs lie in it.
    """
    made = not (folder / SECRET).exists()
    try:
        for name in FOLDERS:
            (folder / name).mkdir(parents=True, exist_ok=True)
        if made:
            folder.chmod(0o700)
        secret_key(folder / SECRET)
    except OSError as error:
        raise PracticeError(f"{folder} cannot be used as a practice: {error.strerror}") from error
    return made


def begin(folder: Path, address: str | None = None, hosts: tuple[str, ...] = ()) -> str | None:
    """Start on the record of a practice that is there, without looking at it or changing its tables.

    Returns the address of its PostgreSQL database, None where the record is a file.
    """
    if not (folder / SECRET).is_file():
        raise PracticeError(f"there is no practice in {folder}")
    address = address or database_address(folder)
    try:
        start(settings_for(folder, secret_key(folder / SECRET), address, hosts))
    except (DatabaseAddressError, OSError) as error:
        raise PracticeError(str(error)) from error
    except ImproperlyConfigured as error:
        # The one thing of ours that may be missing is the driver, an extra.
        raise PracticeError(
            "PostgreSQL needs its driver: install strandline[postgres] in place of strandline"
        ) from error
    return address


def database_address(folder: Path) -> str | None:
    """The database that the practice's settings name; PracticeError if they cannot be read."""
    try:
        found = tomllib.loads((folder / SETTINGS).read_text(encoding="utf-8"))
    except FileNotFoundError:
        return None
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise PracticeError(f"{folder / SETTINGS} cannot be read: {error}") from error
    if unknown := sorted(found.keys() - {DATABASE}):
        raise PracticeError(f"{SETTINGS}: '{unknown[0]}' is no setting; there is one, '{DATABASE}'")
    address = found.get(DATABASE)
    if address is not None and not (isinstance(address, str) and address):
        raise PracticeError(f'{SETTINGS}: {DATABASE} is an address, such as "postgresql://host/strandline"')
    return address


def _up_to_date(folder: Path, at: datetime, address: str | None) -> Backup | None:
    """Bring the tables up to date; the backup taken before, if one was needed."""
    executor = MigrationExecutor(connection)
    applied = {name for app, name in executor.loader.applied_migrations if app == RecordsConfig.label}
    known = {name for app, name in executor.loader.disk_migrations if app == RecordsConfig.label}
    if newer := sorted(applied - known):
        raise PracticeError(f"this record was made by a newer Strandline (it has {newer[0]}); update first")
    if not known - applied:
        return None
    kept = None
    if applied:
        backups = folder / "backups"
        kept = back_up_lines(backups, at) if address else back_up(folder / DATABASE_FILE, backups, at)
    call_command("migrate", verbosity=0)
    return kept


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
