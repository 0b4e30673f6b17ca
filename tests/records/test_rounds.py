"""Backups that make themselves: when something changed, at the end, few enough, and no failure is kept quiet.

No test waits: the clock and the waiting are the test's own.
"""

import json
import shutil
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from django.contrib.auth import get_user_model
from django.db import connection

from strandline.records.backup import BackupError, backups, verify
from strandline.records.models.sites import Practice
from strandline.records.practice import FOLDERS, Opened
from strandline.records.rounds import KEPT, Rounds, Status, backups_by_time, mark_of_now, prune
from strandline.services.acting import Refused
from strandline.services.observe import observe
from tests.records.programs import empty_database, lines_of, practice_on, program, went_well
from tests.services.doing import by, received

pytestmark = pytest.mark.django_db
AT = datetime(2026, 3, 15, 16, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


class Clock:
    """An hour later each time it is asked."""

    def __init__(self) -> None:
        self.at = AT

    def __call__(self) -> datetime:
        self.at += HOUR
        return self.at


class Practised:
    """The record these tests have open, as the practice of a folder."""

    def __init__(self, folder: Path) -> None:
        for name in FOLDERS:
            (folder / name).mkdir()
        address = None if connection.vendor == "sqlite" else "postgresql://the.one/open"
        if address is None:
            (folder / "strandline.sqlite3").symlink_to(connection.settings_dict["NAME"])
        self.opened = Opened(folder, None, address=address)
        self.clock = Clock()
        self.rounds = Rounds(self.opened, now=self.clock)

    @property
    def there(self) -> list[Path]:
        """Its finished backups, the newest first."""
        return backups(self.opened.backups)

    @property
    def log(self) -> list[str]:
        """What was written of failures."""
        file = self.opened.log / "backup.log"
        return file.read_text(encoding="utf-8").splitlines() if file.exists() else []


@pytest.fixture
def practice(tmp_path: Path) -> Iterator[Practised]:
    """With one chest in it."""
    received()
    made = Practised(tmp_path)
    yield made
    for file in made.there:
        verify(file)


def test_a_round_makes_a_backup_when_something_changed(practice: Practised) -> None:
    """The first always; then only after an act, a refusal, or a change of a log-in."""
    first = practice.rounds.round()
    assert first is not None
    assert practice.rounds.status == Status(last_ok_at=AT + HOUR)
    assert practice.rounds.round() is None
    assert practice.rounds.status == Status(last_ok_at=AT + 2 * HOUR)
    assert practice.there == [first.file]
    thing = received("0043")
    second = practice.rounds.round()
    assert second is not None
    assert second.file.name.startswith("strandline-20260315T190000Z.")
    with pytest.raises(Refused):
        observe(by(), thing, "pieces", -3, "seen", None)
    assert practice.rounds.round() is not None
    user = get_user_model().objects.create_user("lead", password="tide table")
    assert practice.rounds.round() is not None
    user.last_login = AT
    user.save()
    assert practice.rounds.round() is None
    user.set_password("another")
    user.save()
    assert practice.rounds.round() is not None


# Its own Python, as what these tests do is never committed.
WORK = """
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from strandline.records.practice import open_practice
from strandline.records.rounds import Rounds

at = datetime(2026, 3, 15, 16, tzinfo=UTC)
opened = open_practice(Path(sys.argv[1]), at)
from tests.services.doing import received
turns = []
def now():
    return at + timedelta(hours=len(turns))
def wait(seconds):
    turns.append(received(f"00{10 + len(turns)}"))
    return len(turns) == 4
rounds = Rounds(opened, None, 1800.0, now, wait)
rounds.start()
rounds._thread.join()
turns.append(received("0099"))
rounds.stop()
assert rounds.status.last_error is None, rounds.status
"""


def test_backups_hold_what_the_record_holds(tmp_path: Path) -> None:
    """Of both engines: after each of three rounds, and at the end."""
    with empty_database() as address:
        went_well(program(WORK, practice_on(tmp_path / "practice", address)))
    files = backups(tmp_path / "practice" / "backups")
    assert [things(verify(file).file) for file in files] == [5, 3, 2, 1]


def things(file: Path) -> int:
    """How many objects a backup holds."""
    if file.name.endswith(".gz"):
        return int(json.loads(lines_of(file)[0])["rows"]["object"])
    with closing(sqlite3.connect(file)) as record:
        return int(record.execute("SELECT count(*) FROM records_object").fetchone()[0])


def test_the_next_program_knows_of_the_last_backup(practice: Practised) -> None:
    """Nothing changed: none is made; with the backup gone, or its note unreadable, one is."""
    assert practice.rounds.round() is not None
    later = Rounds(practice.opened, now=practice.clock)
    later.stop()
    assert later.status.last_ok_at is not None
    assert len(practice.there) == 1
    practice.there[0].unlink()
    later.stop()
    assert len(practice.there) == 1
    (practice.opened.backups / "last.json").write_text("{", encoding="ascii")
    later.stop()
    assert len(practice.there) == 2


def test_the_thread_goes_round(practice: Practised, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each time it has waited, until it is told to end; the end is one more."""
    waited: list[float] = []
    marks = iter(["a", "a", "b", "c"])
    monkeypatch.setattr("strandline.records.rounds.mark_of_now", lambda: next(marks))

    def wait(seconds: float) -> bool:
        waited.append(seconds)
        return len(waited) == 4

    rounds = Rounds(practice.opened, None, 1800.0, practice.clock, wait)
    rounds.start()
    with pytest.raises(RuntimeError, match="begun already"):
        rounds.start()
    rounds.stop()
    assert waited == [1800.0] * 4
    assert [when for when, _ in backups_by_time(practice.opened.backups)] == [
        AT + n * HOUR for n in (4, 3, 1)
    ]
    assert rounds.status == Status(last_ok_at=AT + 4 * HOUR)


def test_the_end_does_not_wait_for_the_hour(practice: Practised) -> None:
    """Stopped while it waits in earnest, for an hour: it ends at once, with a backup."""
    practice.rounds.start()
    practice.rounds.stop()
    assert len(practice.there) == 1
    assert [thread for thread in threading.enumerate() if thread.name == "backups"] == []


def test_a_failure_is_told_and_the_next_round_comes(
    practice: Practised, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In the status and in the log of the practice; what went well before is still known."""
    assert practice.rounds.round() is not None
    received("0043")
    monkeypatch.setattr("strandline.records.rounds.back_up", full)
    monkeypatch.setattr("strandline.records.rounds.back_up_lines", full)
    assert practice.rounds.round() is None
    assert practice.rounds.status == Status(AT + HOUR, "OSError: [Errno 28] the disk is full", AT + 2 * HOUR)
    assert practice.log == ["2026-03-15T18:00:00+00:00 no backup: OSError: [Errno 28] the disk is full"]
    monkeypatch.undo()
    assert practice.rounds.round() is not None
    assert practice.rounds.status == Status(last_ok_at=AT + 3 * HOUR)


def full(*_: object) -> None:
    """No backup can be written."""
    raise OSError(28, "the disk is full")


def test_a_failure_that_cannot_be_logged_is_told_all_the_same(practice: Practised) -> None:
    """The folder of the log is gone, and so is that of the record."""
    shutil.rmtree(practice.opened.folder)
    practice.opened.folder.parent.joinpath(practice.opened.folder.name).write_text("", encoding="ascii")
    practice.rounds.stop()
    assert practice.rounds.status.last_ok_at is None
    assert "the log cannot be written: Not a directory" in str(practice.rounds.status.last_error)
    practice.opened.folder.unlink()
    practice.opened.folder.mkdir()


def test_something_already_done_behind_the_log_shows_in_the_mark() -> None:
    """A row that came without an act."""
    before = mark_of_now()
    assert mark_of_now() == before
    Practice.objects.create(name="A practice of one")
    assert mark_of_now() != before


def hourly(folder: Path, made: Path, hours: int) -> list[Path]:
    """A whole backup for each of so many hours, the newest at AT."""
    named = []
    ends = "".join(made.suffixes)
    digest = made.with_name(made.name + ".sha256").read_text(encoding="ascii").split()[0]
    for n in range(hours):
        file = folder / f"strandline-{AT - n * HOUR:%Y%m%dT%H%M%SZ}{ends}"
        shutil.copyfile(made, file)
        file.with_name(file.name + ".sha256").write_text(f"{digest}  {file.name}\n", encoding="ascii")
        named.append(file)
    return named


def test_few_enough_are_kept(practice: Practised, tmp_path: Path) -> None:
    """The newest 48, and before that the last of each day for 30 days; nothing else in the folder goes."""
    made = practice.rounds.round()
    assert made is not None
    folder = tmp_path / "many"
    folder.mkdir()
    hourly(folder, made.file, 24 * 40)
    (folder / "notes.txt").write_text("mine", encoding="ascii")
    gone = prune(folder, AT)
    kept = [when for when, _ in backups_by_time(folder)]
    assert kept[:KEPT] == [AT - n * HOUR for n in range(48)]
    older = kept[KEPT:]
    assert len({when.date() for when in older}) == len(older) == 29
    assert {when.hour for when in older[1:]} == {23}
    assert min(kept) >= AT - timedelta(days=30)
    assert len(gone) == 24 * 40 - len(kept)
    assert len(list(folder.iterdir())) == 2 * len(kept) + 1
    assert prune(folder, AT) == []


def test_the_only_whole_one_never_goes(practice: Practised, tmp_path: Path) -> None:
    """All that would stay are damaged: the old ones stay too, and somebody is told."""
    made = practice.rounds.round()
    assert made is not None
    folder = tmp_path / "many"
    folder.mkdir()
    named = hourly(folder, made.file, 60)
    for file in named[:59]:
        file.write_bytes(b"gone")
    with pytest.raises(BackupError, match="none of the newest backups is whole"):
        prune(folder, AT + timedelta(days=90))
    assert len(backups(folder)) == 60
    shutil.copyfile(made.file, named[40])
    assert prune(folder, AT + timedelta(days=90)) == named[48:]
