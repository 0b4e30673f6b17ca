"""The lock of a practice folder: one program serves it at a time.  Commands that only read need none."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from strandline.records.practice import PracticeError

LOCK = "lock"

if sys.platform == "win32":
    import msvcrt

    def _take(handle: int) -> None:
        """OSError if somebody else has it.  The byte lies behind what is written, which can then be read."""
        os.lseek(handle, 1 << 20, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _take(handle: int) -> None:
        """OSError if somebody else has it."""
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


class Held:
    """The lock, until ``release`` or the end of the program, however it ends."""

    def __init__(self, handle: int) -> None:
        self._handle: int | None = handle

    def release(self) -> None:
        """Give it back; a second time does nothing."""
        handle, self._handle = self._handle, None
        if handle is not None:
            os.close(handle)


def hold(folder: Path) -> Held:
    """Take the lock of a practice; PracticeError if another program serves it."""
    try:
        handle = os.open(folder / LOCK, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError as error:
        raise PracticeError(f"{folder} cannot be locked: {error.strerror}") from error
    try:
        _take(handle)
    except OSError as error:
        by = os.pread(handle, 20, 0).decode("ascii", "replace") if hasattr(os, "pread") else ""
        os.close(handle)
        who = f" (process {by.strip()})" if by.strip() else ""
        raise PracticeError(f"another Strandline has {folder} open{who}; stop that one first") from error
    os.ftruncate(handle, 0)
    os.lseek(handle, 0, os.SEEK_SET)
    os.write(handle, f"{os.getpid()}\n".encode("ascii"))
    return Held(handle)


@contextmanager
def held(folder: Path) -> Iterator[None]:
    """The lock for the length of a block."""
    lock = hold(folder)
    try:
        yield
    finally:
        lock.release()
