"""A practice folder: made on first use, brought up to date after a backup, closed to older programs."""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from strandline.records.backup import verify
from strandline.records.holding import held, hold
from strandline.records.practice import PracticeError, database_address, practice_folder, secret_key
from tests.records.programs import FIRST, empty_database, lines_of, paths, practice_on, program, went_well

# Its own Python: a process keeps one record, and this one has its own.
OPEN = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from strandline.records.practice import PracticeError, open_practice

try:
    at = datetime(2026, 3, 15, 16, tzinfo=UTC)
    opened = open_practice(Path(sys.argv[1]), at, hosts=tuple(sys.argv[2:]))
except PracticeError as error:
    sys.exit(f"said: {error}")
from django.db import connections
from strandline.records.models.sites import Practice
Practice.objects.create(name="A practice of one")
sys.stdout.write(f"{Practice.objects.count()} {opened.backup.file.name if opened.backup else '-'}")
if sys.argv[2:]:
    from django.conf import settings
    sys.stdout.write(f" {opened.made} {settings.ALLOWED_HOSTS[-1]}")
connections.close_all()
"""


def open_it(folder: Path, *hosts: str) -> subprocess.CompletedProcess[str]:
    """Open a practice in a program of its own and put a row into it."""
    done = program(OPEN, folder, *hosts)
    return subprocess.CompletedProcess(done.args, done.returncode, done.stdout.decode(), done.stderr.decode())


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
    """A record that has only the first migration, with a row in it: kept aside as it was, then brought up."""
    assert program(FIRST, tmp_path).returncode == 0
    assert open_it(tmp_path).stdout == "2 strandline-20260315T160000Z.sqlite3"
    kept = verify(tmp_path / "backups" / "strandline-20260315T160000Z.sqlite3")
    with closing(sqlite3.connect(kept.file)) as connection:
        count = "SELECT count(*) FROM sqlite_master WHERE type = 'trigger'"
        assert connection.execute(count).fetchone() == (0,)
        assert connection.execute("SELECT name FROM records_practice").fetchall() == [("The first",)]


@pytest.mark.on_postgres
def test_on_a_server_too(tmp_path: Path) -> None:
    """There the backup is the export, with the columns the tables had then."""
    with empty_database() as address:
        practice_on(tmp_path, address)
        went_well(program(FIRST, tmp_path))
        opened = open_it(tmp_path)
        assert not opened.returncode, opened.stderr
        assert opened.stdout == "2 strandline-20260315T160000Z.jsonl.gz"
        kept = verify(tmp_path / "backups" / "strandline-20260315T160000Z.jsonl.gz")
        head, row = lines_of(kept.file)
        assert b'"migrations":["0001_initial"]' in head
        assert b'"name":"The first"' in row
        assert not (tmp_path / "strandline.sqlite3").exists()


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


def test_it_says_whether_it_was_made_and_for_whom_it_may_be_served(tmp_path: Path) -> None:
    """Once only; names of this machine are passed on to Django."""
    assert open_it(tmp_path / "new", "loft.local").stdout == "1 - True loft.local"
    assert open_it(tmp_path / "new", "loft.local").stdout == "2 - False loft.local"


def test_only_one_program_serves_a_folder(tmp_path: Path) -> None:
    """Another is told which process has it; when that one ends, however it ends, the next may."""
    serve = (
        "import sys; from pathlib import Path; from strandline.records.holding import hold\n"
        "lock = hold(Path(sys.argv[1])); print(flush=True); sys.stdin.read()"
    )
    with subprocess.Popen(
        [sys.executable, "-c", serve, str(tmp_path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env={**os.environ, **paths()},
    ) as other:
        assert other.stdout is not None
        other.stdout.readline()
        with pytest.raises(PracticeError, match=f"another Strandline has .* open .process {other.pid}"):
            hold(tmp_path)
        other.kill()
    with held(tmp_path):
        assert (tmp_path / "lock").stat().st_mode & 0o777 == 0o600
    lock = hold(tmp_path)
    lock.release()
    lock.release()
    hold(tmp_path).release()


def test_a_folder_that_cannot_be_locked_is_one_sentence(tmp_path: Path) -> None:
    """There is none."""
    with pytest.raises(PracticeError, match="cannot be locked: No such file"):
        hold(tmp_path / "none")


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("database = ", "cannot be read"),
        ("databse = 'x'", "'databse' is no setting"),
        ("database = 7", "database is an address"),
        ("database = ''", "database is an address"),
        ("\udcff", "cannot be read"),
    ],
)
def test_settings_that_cannot_be_used(tmp_path: Path, text: str, why: str) -> None:
    """One sentence that names the file."""
    (tmp_path / "settings.toml").write_bytes(text.encode("utf-8", "surrogateescape"))
    with pytest.raises(PracticeError, match=f"settings.toml.*{why}"):
        database_address(tmp_path)


def test_settings_need_not_be_there(tmp_path: Path) -> None:
    """Nor need they say anything."""
    assert database_address(tmp_path) is None
    (tmp_path / "settings.toml").write_text("# nothing\n", encoding="utf-8")
    assert database_address(tmp_path) is None
    practice_on(tmp_path, "postgresql://host/loft")
    assert database_address(tmp_path) == "postgresql://host/loft"


@pytest.mark.parametrize(
    ("address", "why"),
    [
        ("mysql://host/loft", "begins with postgresql://"),
        ("postgresql://host", "names no database"),
        ("postgresql://nobody@/loft?host=/nowhere", "database of this practice cannot be used"),
    ],
)
def test_a_database_that_is_not_there_is_one_sentence(tmp_path: Path, address: str, why: str) -> None:
    """No traceback, and no file in its place."""
    answer = open_it(practice_on(tmp_path, address))
    assert answer.stderr.startswith("said: ")
    assert why in answer.stderr
    assert not (tmp_path / "strandline.sqlite3").exists()
