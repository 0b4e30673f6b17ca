"""A practice folder: made on first use, brought up to date after a backup, closed to older programs."""

import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from strandline.records.backup import verify
from strandline.records.practice import practice_folder, secret_key

# Its own Python: a process keeps one record, and this one has its own.
OPEN = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from strandline.records.practice import PracticeError, open_practice

try:
    opened = open_practice(Path(sys.argv[1]), datetime(2026, 3, 15, 16, tzinfo=UTC))
except PracticeError as error:
    sys.exit(f"said: {error}")
from django.db import connections
from strandline.records.models.sites import Practice
Practice.objects.create(name="A practice of one")
sys.stdout.write(f"{Practice.objects.count()} {opened.backup.file.name if opened.backup else '-'}")
connections.close_all()
"""


def open_it(folder: Path) -> subprocess.CompletedProcess[str]:
    """Open a practice in a program of its own and put a row into it."""
    return subprocess.run(
        [sys.executable, "-c", OPEN, str(folder)], capture_output=True, text=True, check=False
    )


def change(folder: Path, statement: str) -> None:
    """Change its database by hand."""
    with closing(sqlite3.connect(folder / "strandline.sqlite3")) as connection, connection:
        connection.execute(statement)


def test_a_practice_is_made_once_and_opened_again(tmp_path: Path) -> None:
    """The second start finds the first one's row and key, and needs no backup: nothing changed."""
    folder = tmp_path / "new" / "practice"
    assert open_it(folder).stdout == "1 -"
    key = (folder / "secret_key").read_text(encoding="ascii")
    assert open_it(folder).stdout == "2 -"
    assert (folder / "secret_key").read_text(encoding="ascii") == key
    assert (folder / "secret_key").stat().st_mode & 0o777 == 0o600
    assert {path.name for path in folder.iterdir() if path.is_dir()} == {"photos", "papers", "backups", "log"}


def test_tables_are_changed_only_after_a_backup(tmp_path: Path) -> None:
    """A record that lacks the last migration, with a row in it: kept aside as it was, then brought up."""
    assert open_it(tmp_path).returncode == 0
    for table, event in (("act", "update"), ("act", "delete"), ("tag", "delete")):
        change(tmp_path, f"DROP TRIGGER records_{table}_no_{event}")
    change(tmp_path, "DELETE FROM django_migrations WHERE name = '0002_written_once'")
    assert open_it(tmp_path).stdout == "2 strandline-20260315T160000Z.sqlite3"
    kept = verify(tmp_path / "backups" / "strandline-20260315T160000Z.sqlite3")
    with closing(sqlite3.connect(kept.file)) as connection:
        count = "SELECT count(*) FROM sqlite_master WHERE type = 'trigger'"
        assert connection.execute(count).fetchone() == (0,)
        assert connection.execute("SELECT count(*) FROM records_practice").fetchone() == (1,)


def test_an_older_program_refuses_a_newer_record(tmp_path: Path) -> None:
    """One sentence, and nothing is changed."""
    assert open_it(tmp_path).returncode == 0
    change(
        tmp_path,
        "INSERT INTO django_migrations (app, name, applied) VALUES ('records', '9999_later', '2031-01-01')",
    )
    before = (tmp_path / "strandline.sqlite3").read_bytes()
    answer = open_it(tmp_path)
    assert answer.returncode == 1
    assert "said: this record was made by a newer Strandline (it has 9999_later)" in answer.stderr
    assert (tmp_path / "strandline.sqlite3").read_bytes() == before


def test_a_folder_that_cannot_be_made_is_one_sentence(tmp_path: Path) -> None:
    """A file stands where the folder should."""
    (tmp_path / "file").write_text("", encoding="ascii")
    answer = open_it(tmp_path / "file" / "practice")
    assert answer.returncode == 1
    assert "cannot be used as a practice" in answer.stderr


def test_which_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The one named, else the variable's, else one in the home folder."""
    monkeypatch.setenv("STRANDLINE_PRACTICE", str(tmp_path / "by variable"))
    assert practice_folder(tmp_path / "named") == tmp_path / "named"
    assert practice_folder(None) == tmp_path / "by variable"
    monkeypatch.delenv("STRANDLINE_PRACTICE")
    monkeypatch.setenv("HOME", str(tmp_path))
    assert practice_folder(None) == tmp_path / "Strandline"


def test_two_practices_have_two_keys(tmp_path: Path) -> None:
    """Long, and drawn anew."""
    one, two = secret_key(tmp_path / "one"), secret_key(tmp_path / "two")
    assert one != two
    assert min(len(one), len(two)) >= 50
