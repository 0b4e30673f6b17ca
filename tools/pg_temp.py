"""A PostgreSQL server for the length of a test run: an unprivileged user's, on a private socket, in a
folder that is thrown away."""

from __future__ import annotations

import glob
import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

VARIABLE = "STRANDLINE_TEST_DATABASE"
INSTALL = "apt-get install postgresql"
USERS = ("postgres", "nobody")
"""Who runs it when we are root: the server refuses to run as root."""


def programs() -> Path | None:
    """The folder with initdb and pg_ctl, or None."""
    found = shutil.which("initdb")
    places = [os.path.dirname(os.path.realpath(found))] if found else []
    places += sorted(glob.glob("/usr/lib/postgresql/*/bin"), reverse=True)
    for place in places:
        if all(os.access(os.path.join(place, name), os.X_OK) for name in ("initdb", "pg_ctl", "postgres")):
            return Path(place)
    return None


def user_to_run_as() -> str | None:
    """None: as ourselves; otherwise the first of USERS there is."""
    if os.geteuid() != 0:
        return None
    known = {entry.pw_name for entry in pwd.getpwall()}
    return next(name for name in USERS if name in known)


@contextmanager
def server() -> Iterator[str]:
    """Start a server, yield the address of its database, stop it and take its folder away."""
    place = programs()
    if place is None:
        raise FileNotFoundError(f"PostgreSQL is not installed; install it: {INSTALL}")
    user = user_to_run_as()
    folder = Path(tempfile.mkdtemp(prefix="strandline-pg-"))
    try:
        if user:
            shutil.chown(folder, user)
        data = folder / "data"
        call(user, folder, place / "initdb", "-D", data, "-U", "strandline", "-A", "trust", "-E", "UTF8",
             "--locale=C", "--no-sync")  # fmt: skip
        flags = f"-c listen_addresses= -c unix_socket_directories={folder} -c fsync=off"
        call(user, folder, place / "pg_ctl", "-D", data, "-l", folder / "log", "-w", "-o", flags, "start")
        try:
            yield f"postgresql://strandline@/postgres?host={folder}"
        finally:
            call(user, folder, place / "pg_ctl", "-D", data, "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder)


def call(user: str | None, folder: Path, *command: str | Path) -> None:
    """Run one of the server's programs quietly; its output is told if it fails."""
    done = subprocess.run(
        [str(word) for word in command],
        cwd=folder,
        user=user,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE if "start" not in command else subprocess.DEVNULL,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    if done.returncode:
        raise RuntimeError(f"{command[0]} failed:\n{done.stdout or ''}")
