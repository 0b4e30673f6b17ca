"""Runs the commands of the record, and other small programs, each in a Python of its own: one record each."""

import gzip
import hashlib
import os
import subprocess
import sys
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg

from pg_temp import VARIABLE

ROOT = Path(__file__).parent.parent.parent

# Adding a command that is there already changes nothing.
COMMANDS = """
from strandline.cli.main import main
from strandline.cli import record

for one in (record.backup_command, record.restore_command, record.export_command):
    main.add_command(one)
main()
"""


def program(text: str, *arguments: object, **variables: str) -> subprocess.CompletedProcess[bytes]:
    """Run a program, whatever comes of it."""
    return subprocess.run(
        [sys.executable, "-c", text, *map(str, arguments)],
        capture_output=True,
        check=False,
        stdin=subprocess.DEVNULL,
        env={**os.environ, **paths(), **variables},
    )


def paths() -> dict[str, str]:
    """The variable that lets another Python find the product, the tests and the tools."""
    here = [str(ROOT / "src"), str(ROOT), str(ROOT / "tools")]
    return {"PYTHONPATH": os.pathsep.join([*here, os.environ.get("PYTHONPATH", "")])}


def strandline(*arguments: object, **variables: str) -> subprocess.CompletedProcess[bytes]:
    """One command."""
    return program(COMMANDS, *arguments, **variables)


def went_well(done: subprocess.CompletedProcess[bytes]) -> bytes:
    """What it printed."""
    assert done.returncode == 0, done.stderr.decode()
    return done.stdout


@contextmanager
def empty_database() -> Iterator[str]:
    """The address of a new PostgreSQL database where these tests run on one, else ''."""
    server = os.environ.get(VARIABLE, "")
    if not server:
        yield ""
        return
    name = f"empty_{uuid.uuid4().hex}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    try:
        yield server.replace("/postgres?", f"/{name}?")
    finally:
        with psycopg.connect(server, autocommit=True) as connection:
            connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


def practice_on(folder: Path, address: str) -> Path:
    """A folder whose settings name the database, if there is one."""
    folder.mkdir(parents=True, exist_ok=True)
    if address:
        (folder / "settings.toml").write_text(f'database = "{address}"\n', encoding="utf-8")
    return folder


def lines_of(file: Path) -> list[bytes]:
    """The lines of a packed export."""
    return gzip.decompress(file.read_bytes()).splitlines(keepends=True)


FILL = """
import sys
from pathlib import Path
import upgrade_fixture
from strandline.records.practice import open_practice

open_practice(Path(sys.argv[1]), upgrade_fixture.AT)
upgrade_fixture.fill()
"""


def filled(folder: Path, address: str = "") -> Path:
    """A practice with twelve objects, filled through the services."""
    went_well(program(FILL, practice_on(folder, address)))
    return folder


def with_hash(file: Path) -> Path:
    """A file with the hash beside it that makes it a backup."""
    digest = hashlib.sha256(file.read_bytes()).hexdigest()
    beside = file.with_name(file.name + ".sha256")
    beside.write_text(f"{digest}  {file.name}\n", encoding="ascii")
    return file


# A record as the first program left it, with a row in it.
FIRST = """
import sys
from pathlib import Path
from strandline.records.practice import FOLDERS, secret_key, begin

folder = Path(sys.argv[1])
for name in FOLDERS:
    (folder / name).mkdir(parents=True)
secret_key(folder / "secret_key")
begin(folder)
from django.core.management import call_command
from django.db import connection
call_command("migrate", "auth", verbosity=0)
call_command("migrate", "records", "0001_initial", verbosity=0)
with connection.cursor() as cursor:
    cursor.execute("INSERT INTO records_practice (uid, name) VALUES (%s, 'The first')", ["7" * 32])
"""
