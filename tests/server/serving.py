"""A server in a program of its own, started as a person starts it, and killed as nobody should."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

from tests.records.programs import paths

LONGEST_S = 60.0


def free_port() -> int:
    """A port nobody has."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


class Server:
    """``strandline serve`` over a practice, on a port of its own."""

    def __init__(self, practice: Path, port: int) -> None:
        self.practice, self.port = practice, port
        self._program: subprocess.Popen[bytes] | None = None
        self._window = practice.parent / f"window-{port}.txt"

    def start(self) -> None:
        """Start it and wait until it listens and has said so; AssertionError where it does not."""
        command = [
            sys.executable, "-m", "strandline", "serve", "--practice", str(self.practice),
            "--port", str(self.port),
        ]  # fmt: skip
        with self._window.open("wb") as window:
            self._program = subprocess.Popen(
                command, env={**os.environ, **paths()}, stdin=subprocess.DEVNULL,
                stdout=window, stderr=subprocess.STDOUT,
            )  # fmt: skip
        until = time.monotonic() + LONGEST_S
        while not (self._listens() and "Ctrl-C ends it" in self.said()):
            assert self._program.poll() is None, self.said()
            assert time.monotonic() < until, "the server does not listen"
            time.sleep(0.02)

    def _listens(self) -> bool:
        try:
            socket.create_connection(("127.0.0.1", self.port), 1).close()
        except OSError:
            return False
        return True

    def said(self) -> str:
        """What stands in its window since it was last started."""
        return self._window.read_text(encoding="utf-8")

    def kill(self) -> None:
        """SIGKILL: no last word, no backup."""
        self._end(signal.SIGKILL)

    def stop(self) -> int:
        """A polite end; the exit code."""
        return self._end(signal.SIGTERM)

    def _end(self, how: signal.Signals) -> int:
        program, self._program = self._program, None
        if program is None:
            return 0
        program.send_signal(how)
        program.wait(LONGEST_S)
        return int(program.returncode)
