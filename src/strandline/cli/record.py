"""``strandline backup``, ``restore`` and ``export``: the record of a practice, kept, put back, taken away."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from strandline.cli.shared import UserError, folder_to_write

if TYPE_CHECKING:
    from strandline.records.backup import Backup

practice_option = click.option(
    "--practice",
    "practice",
    metavar="DIR",
    type=click.Path(path_type=Path),
    help="The practice folder (default: $STRANDLINE_PRACTICE, else Strandline in the home folder).",
)


@click.command("backup")
@practice_option
@click.option(
    "--to",
    "to",
    metavar="FOLDER",
    type=click.Path(path_type=Path),
    help="Where to put it (default: backups in the practice folder).",
)
def backup_command(practice: Path | None, to: Path | None) -> None:
    """Make a backup of the record, looked through, with its SHA-256 beside it; others may work meanwhile.

    Names, contacts and password hashes are in it. Photographs and papers are files of the practice folder:
    copy that folder to keep them.
    """
    # Django takes half a second to start, and the planning commands do without it: here as below.
    from strandline.records.backup import back_up, back_up_lines
    from strandline.records.settings import DATABASE_FILE

    with told():
        folder, address = _reach(practice)
        target = folder_to_write(to) if to else folder / "backups"
        now = datetime.now(UTC)
        made = back_up_lines(target, now) if address else back_up(folder / DATABASE_FILE, target, now)
    _say_made(made)


@click.command("restore")
@click.argument("file", metavar="BACKUP", type=click.Path(path_type=Path))
@practice_option
@click.option(
    "--database",
    metavar="ADDRESS",
    help="An empty PostgreSQL database to restore into, postgresql://... (default: as settings.toml says).",
)
@click.option("--yes", is_flag=True, help="Do not ask before a record that is there is moved aside.")
def restore_command(file: Path, practice: Path | None, database: str | None, yes: bool) -> None:
    """Put a BACKUP, or an export, back into a practice, which must not be in use.

    A record that is there is moved aside, never deleted; a PostgreSQL database must be empty.
    """
    # As in backup: only these commands start Django.
    from strandline.records.backup import verify
    from strandline.records.practice import database_address, practice_folder
    from strandline.records.restore import restore_practice
    from strandline.records.settings import DATABASE_FILE

    with told():
        verify(file)
        folder = folder_to_write(practice_folder(practice))
        address = database or database_address(folder)
        if not yes and not address and (folder / DATABASE_FILE).exists():
            _ask(f"{folder} holds a record. Move it aside and put {file.name} in its place?")
        aside = restore_practice(folder, file, datetime.now(UTC), address)
    click.echo(f"{file.name} is restored into {'the database of ' if address else ''}{folder}.")
    if aside is not None:
        click.echo(f"The record that was there is now {aside.name}.")


@click.command("export")
@practice_option
@click.option(
    "--to",
    "to",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="A new file, .jsonl or .jsonl.gz (default: standard output).",
)
def export_command(practice: Path | None, to: Path | None) -> None:
    """Write the whole record as lines of JSON, strandline.record/1, the same from either database.

    Names, contacts and password hashes are in it.
    """
    # As in backup: only these commands start Django.
    from strandline.records.backup import holds_lines, keep_lines
    from strandline.records.export import write

    if to is not None and not holds_lines(to):
        raise UserError(f"an export is called something.jsonl or something.jsonl.gz; got '{to.name}'")
    with told():
        _reach(practice)
        if to is None:
            write(sys.stdout.buffer)
            sys.stdout.buffer.flush()
            return
        folder_to_write(to.parent)
        made = keep_lines(to)
    _say_made(made)


def _reach(practice: Path | None) -> tuple[Path, str | None]:
    """The folder and database address of a practice with a record, its tables left as they are."""
    # As in backup: only these commands start Django.
    from strandline.records.practice import PracticeError, begin, practice_folder
    from strandline.records.settings import DATABASE_FILE

    folder = practice_folder(practice)
    address = begin(folder)
    if address is None and not (folder / DATABASE_FILE).is_file():
        raise PracticeError(f"the practice in {folder} has no record yet")
    return folder, address


@contextmanager
def told() -> Iterator[None]:
    """Turn what can go wrong with a record into one sentence."""
    # As in backup: only these commands start Django.
    from django.db import Error

    from strandline.records.backup import BackupError
    from strandline.records.export import ExportError
    from strandline.records.practice import PracticeError

    try:
        yield
    except (BackupError, ExportError, PracticeError) as error:
        raise UserError(str(error)) from error
    except Error as error:
        raise UserError(f"the database cannot be used: {' '.join(str(error).split())}") from error
    except BrokenPipeError:
        raise
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        raise UserError(f"{where}{error.strerror or error}") from error


def _ask(question: str) -> None:
    try:
        agreed = click.confirm(question, err=True)
    except click.Abort as error:
        click.echo(err=True)  # the question ends its line
        raise UserError("nobody answered, so nothing was changed; --yes answers beforehand") from error
    if not agreed:
        raise UserError("nothing was changed")


def _say_made(made: Backup) -> None:
    click.echo(f"{made.file}  {made.size_bytes} bytes, looked through")
    click.echo(f"sha256 {made.sha256}")
