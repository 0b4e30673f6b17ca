"""The backups that make themselves: each hour when something changed, and one when the program ends.

Of the backups in a practice's folder the newest 48 are kept, and of the older ones one a day for 30 days.
"""

from __future__ import annotations

import hashlib
import json
import os
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.contrib.auth import get_user_model
from django.db import connection, connections
from django.db.models import Max

from strandline.records import backup
from strandline.records.backup import Backup, BackupError, back_up, back_up_lines, backups, verify
from strandline.records.export import applied, tables
from strandline.records.practice import Opened
from strandline.records.settings import DATABASE_FILE

EVERY_S = 3600.0
KEPT = 48
DAYS_KEPT = 30
MARK = "last.json"
LOG = "backup.log"
Wait = Callable[[float], bool]
Clock = Callable[[], datetime]


@dataclass(frozen=True, slots=True)
class Status:
    """How the backups stand.  ``last_error`` is None again after one that went well."""

    last_ok_at: datetime | None = None
    last_error: str | None = None
    last_error_at: datetime | None = None


class Rounds:
    """Makes verified backups of an open practice in a thread of its own.

    ``now`` is the clock; ``wait`` waits so many seconds and says whether to end, a thread's event by default.
    """

    def __init__(
        self,
        opened: Opened,
        address: str | None = None,
        every_s: float = EVERY_S,
        now: Clock | None = None,
        wait: Wait | None = None,
    ) -> None:
        self._opened = opened
        self._address = address or opened.address
        self._every_s = every_s
        self._now: Clock = now or _now
        self._ending = threading.Event()
        self._wait: Wait = wait or self._ending.wait
        self._thread: threading.Thread | None = None
        self._one_at_a_time = threading.Lock()
        self._status = Status()

    @property
    def status(self) -> Status:
        """How the backups stand, as of the last round."""
        return self._status

    def start(self) -> None:
        """Begin; the first round comes after ``every_s``."""
        if self._thread is not None:
            raise RuntimeError("the rounds have begun already")
        thread = threading.Thread(target=self._go_round, name="backups", daemon=True)
        thread.start()
        self._thread = thread  # only now: one that has not begun cannot be waited for

    def stop(self) -> None:
        """End, after one more round; what went wrong is in ``status`` and the log."""
        self._ending.set()
        if self._thread is not None:
            self._thread.join()
            self._thread = None
        self.round()

    def round(self) -> Backup | None:
        """Back up if something changed since the last backup, and take away what is kept no longer.

        Returns the backup, None if there was nothing to do or something went wrong: ``status`` tells which.
        """
        with self._one_at_a_time:
            at = self._now()
            try:
                made = self._back_up(at)
                prune(self._opened.backups, at)
            except Exception as error:  # whatever it is, the next round shall come and somebody be told
                self._failed(at, error)
                return None
            self._status = Status(last_ok_at=at)
            return made

    def _go_round(self) -> None:
        try:
            while not self._wait(self._every_s):
                self.round()
        finally:
            connections.close_all()

    def _back_up(self, at: datetime) -> Backup | None:
        folder = self._opened.backups
        # Taken before the backup: what changes in between is in the next one at the latest.
        mark = mark_of_now()
        if mark == _last_mark(folder):
            return None
        if self._address:
            made = back_up_lines(folder, at)
        else:
            made = back_up(self._opened.folder / DATABASE_FILE, folder, at)
        part = folder / (MARK + backup.PART)
        part.write_text(json.dumps({"mark": mark, "file": made.file.name}), encoding="ascii")
        os.replace(part, folder / MARK)
        return made

    def _failed(self, at: datetime, error: Exception) -> None:
        said = " ".join(str(error).split()) or type(error).__name__
        if not isinstance(error, BackupError):
            said = f"{type(error).__name__}: {said}"
        try:
            with (self._opened.log / LOG).open("a", encoding="utf-8") as stream:
                stream.write(f"{at.isoformat(timespec='seconds')} no backup: {said}\n")
        except OSError as unwritten:
            said = f"{said} (and the log cannot be written: {unwritten.strerror})"
        self._status = Status(self._status.last_ok_at, said, at)


def _now() -> datetime:
    return datetime.now(UTC)


def mark_of_now() -> str:
    """A short text that changes when the record does.

    Everything of the work is an act, and acts are only added; rows that come without one, and log-ins, are
    looked at besides.  A sign-in alone is no change.
    """
    newest = [
        table.model._base_manager.aggregate(newest=Max("pk"))["newest"]
        for table in tables(applied()).values()
    ]
    log_ins = (
        get_user_model()
        .objects.order_by("pk")
        .values_list(
            "username",
            "password",
            "is_active",
            "is_staff",
            "is_superuser",
            "email",
            "first_name",
            "last_name",
        )
    )
    text = json.dumps([connection.vendor, newest, list(log_ins)])
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def _last_mark(folder: Path) -> str | None:
    """The mark of the last backup, if that backup is still there."""
    try:
        found = json.loads((folder / MARK).read_text(encoding="ascii"))
        mark, name = str(found["mark"]), str(found["file"])
    except FileNotFoundError:
        return None
    except (ValueError, KeyError, TypeError):
        # Half written or from elsewhere: one backup more than is needed does no harm.
        return None
    return mark if folder / name in backups(folder) else None


def prune(folder: Path, at: datetime) -> list[Path]:
    """Take away the backups that are kept no longer; returns them.

    None goes while the newest that stay have not one whole among them: then BackupError.
    """
    there = backups_by_time(folder)
    kept = [file for _, file in there[:KEPT]]
    days: set[str] = set()
    for when, file in there[KEPT:]:
        day = f"{when:%Y%m%d}"
        if at - when <= timedelta(days=DAYS_KEPT) and day not in days:
            days.add(day)
            kept.append(file)
    gone = [file for _, file in there if file not in kept]
    if gone and not any(_whole(file) for file in kept):
        raise BackupError("none of the newest backups is whole; the older ones are all kept")
    for file in gone:
        file.unlink()
        file.with_name(file.name + backup.HASH).unlink()
    return gone


def backups_by_time(folder: Path) -> list[tuple[datetime, Path]]:
    """Finished backups with the time in their names, the newest first; files named otherwise are not ours."""
    found = [(when, file) for file in backups(folder) if (when := backup.time_of(file)) is not None]
    return sorted(found, reverse=True)


def _whole(file: Path) -> bool:
    try:
        verify(file)
    except BackupError:
        return False
    return True
