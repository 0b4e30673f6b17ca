"""A backup is whole or it is none; the way back keeps what was there."""

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from strandline.records.backup import BackupError, back_up, backups, restore, verify
from tests.records.programs import program, went_well

AT = datetime(2026, 3, 15, 16, 0, tzinfo=UTC)
LATER = datetime(2026, 3, 15, 17, 0, tzinfo=UTC)

# Its own Python: this one has its record open already, perhaps on the other engine.
MAKE = """
import sys
from pathlib import Path
from django.core.management import call_command
from django.db import connections
from strandline.records.settings import settings_for
from strandline.records.setup import start

start(settings_for(Path(sys.argv[1]), "a key for tests only"))
call_command("migrate", verbosity=0)
from strandline.records.models.sites import Practice
for n in range(50):
    Practice.objects.create(name=f"practice {n}")
connections.close_all()
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The bytes of a record with fifty practices."""
    folder = tmp_path_factory.mktemp("practice")
    went_well(program(MAKE, folder))
    return (folder / "strandline.sqlite3").read_bytes()


@pytest.fixture
def record(made: bytes, tmp_path: Path) -> Path:
    """A record in a folder of its own."""
    file = tmp_path / "strandline.sqlite3"
    file.write_bytes(made)
    return file


def content(file: Path) -> str:
    """Everything in a record, as text."""
    with closing(sqlite3.connect(file)) as connection:
        return "\n".join(connection.iterdump())


def names(file: Path) -> int:
    """How many practices a record holds."""
    with closing(sqlite3.connect(file)) as connection:
        return int(connection.execute("SELECT count(*) FROM records_practice").fetchone()[0])


def test_there_and_back(record: Path, tmp_path: Path) -> None:
    """What is restored is what was backed up; what had come since lies aside, whole."""
    before = content(record)
    kept = back_up(record, tmp_path / "backups", AT)
    with closing(sqlite3.connect(record)) as connection, connection:
        connection.execute("DELETE FROM records_practice WHERE id > 10")
    aside = restore(kept.file, record, LATER)
    assert content(record) == before
    assert aside is not None
    assert (names(record), names(aside)) == (50, 10)


def test_what_is_only_in_the_log_of_writes_is_in_the_backup(record: Path, tmp_path: Path) -> None:
    """A writer has the record open in WAL; what it has committed is copied, what it has not is not."""
    with closing(sqlite3.connect(record, isolation_level=None)) as writer:
        writer.execute("PRAGMA journal_mode=WAL")
        writer.execute("PRAGMA wal_autocheckpoint=0")
        writer.execute("DELETE FROM records_practice WHERE id > 20")
        writer.execute("BEGIN IMMEDIATE")
        writer.execute("DELETE FROM records_practice")
        kept = back_up(record, tmp_path / "backups", AT)
        writer.execute("ROLLBACK")
    assert names(kept.file) == 20
    assert sorted(path.name for path in kept.file.parent.iterdir()) == [
        "strandline-20260315T160000Z.sqlite3",
        "strandline-20260315T160000Z.sqlite3.sha256",
    ]


@pytest.mark.parametrize("at", [0.02, 0.5, 0.98])
def test_one_changed_byte_is_found(record: Path, tmp_path: Path, at: float) -> None:
    """Wherever it lies; and nothing is restored from such a file."""
    kept = back_up(record, tmp_path / "backups", AT)
    damaged = bytearray(kept.file.read_bytes())
    damaged[int(at * len(damaged))] ^= 1
    kept.file.write_bytes(damaged)
    before = record.read_bytes()
    with pytest.raises(BackupError, match="hash is another"):
        restore(kept.file, record, LATER)
    assert record.read_bytes() == before


def test_a_damaged_record_gives_no_backup(record: Path, tmp_path: Path) -> None:
    """A copy of damaged pages is found before it gets its name."""
    pages = bytearray(record.read_bytes())
    pages[8192:12288] = b"\xff" * 4096
    record.write_bytes(pages)
    with pytest.raises(BackupError):
        back_up(record, tmp_path / "backups", AT)
    assert backups(tmp_path / "backups") == []


def test_a_row_that_points_at_nothing_is_found(record: Path, tmp_path: Path) -> None:
    """Whole pages are not enough."""
    with closing(sqlite3.connect(record)) as connection, connection:
        connection.execute(
            "INSERT INTO records_site (uid, name, address, practice_id) VALUES ('0', 'x', '', 999)"
        )
    with pytest.raises(BackupError, match="records_site points at nothing"):
        back_up(record, tmp_path / "backups", AT)


def test_a_record_of_a_newer_program_is_refused(record: Path, tmp_path: Path) -> None:
    """One sentence, and the record in use stays."""
    with closing(sqlite3.connect(record)) as connection, connection:
        connection.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES ('records', '9999_later', '')"
        )
    kept = back_up(record, tmp_path / "backups", AT)
    with pytest.raises(BackupError, match="newer Strandline"):
        restore(kept.file, record, LATER)
    assert names(record) == 50


def test_something_else_is_no_backup(record: Path, tmp_path: Path) -> None:
    """Nothing there, no hash, another program's database, the same second twice."""
    folder = tmp_path / "backups"
    with pytest.raises(BackupError, match="nothing to back up"):
        back_up(tmp_path / "none.sqlite3", folder, AT)
    kept = back_up(record, folder, AT)
    with pytest.raises(BackupError, match="there already"):
        back_up(record, folder, AT)
    other = tmp_path / "other.sqlite3"
    with closing(sqlite3.connect(other)) as connection, connection:
        connection.execute("CREATE TABLE a (b)")
    with pytest.raises(BackupError, match="no record of Strandline"):
        restore(back_up(other, folder, LATER).file, record, LATER)
    kept.file.with_name(kept.file.name + ".sha256").unlink()
    with pytest.raises(BackupError, match="no finished backup"):
        verify(kept.file)
    assert [file.name for file in backups(folder)] == ["strandline-20260315T170000Z.sqlite3"]


def test_the_hash_is_one_other_programs_know(record: Path, tmp_path: Path) -> None:
    """The file beside it has the form that sha256sum --check reads: hash, two blanks, name."""
    kept = back_up(record, tmp_path / "backups", AT)
    text = kept.file.with_name(kept.file.name + ".sha256").read_text(encoding="ascii")
    assert text == f"{kept.sha256}  {kept.file.name}\n"
