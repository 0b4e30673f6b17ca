"""Several programs on one record: the same act sent twice at once is done once, and what was acknowledged
is there after a program was killed."""

import json
import os
import subprocess
import sys
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import psycopg
import pytest

ROOT = Path(__file__).parent.parent.parent
SENT = 25


@pytest.fixture
def record(tmp_path: Path) -> Iterator[tuple[str, str]]:
    """Folder and address of a new record with one chest in it, on the engine these tests run on."""
    server = os.environ.get("STRANDLINE_TEST_DATABASE", "")
    name = f"at_once_{uuid.uuid4().hex}"
    if server:
        with psycopg.connect(server, autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name}")
    where = (str(tmp_path), server.replace("/postgres?", f"/{name}?"))
    finish(begin(where, "make"))
    yield where
    if server:
        with psycopg.connect(server, autocommit=True) as connection:
            connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


def begin(where: tuple[str, str], *task: object) -> subprocess.Popen[str]:
    """Start one of the programs."""
    paths = os.pathsep.join([str(ROOT / "src"), str(ROOT)])
    return subprocess.Popen(
        [sys.executable, "-m", "tests.services.at_once", *where, *map(str, task)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": paths},
        stdout=subprocess.PIPE,
        text=True,
    )


def finish(program: subprocess.Popen[str]) -> str:
    """Wait for one, which must end well; what it printed."""
    printed, _ = program.communicate(timeout=120)
    assert program.returncode == 0
    return printed


def told(where: tuple[str, str]) -> dict[str, Any]:
    """What the record holds."""
    found: dict[str, Any] = json.loads(finish(begin(where, "tell")))
    return found


def test_the_same_acts_from_two_programs_at_once(record: tuple[str, str]) -> None:
    """Both are told that all is done; each act is there once; none is lost in between."""
    programs = [
        begin(record, "send", 1, SENT),
        begin(record, "send", 1, SENT),
        begin(record, "send", 2, SENT),
    ]
    first, second, other = (finish(program).split() for program in programs)
    assert first == second
    found = told(record)
    assert sorted(found["keys"]) == sorted([*first, *other])
    assert len(set(found["keys"])) == 2 * SENT
    assert found["revision"] == 1 + 2 * SENT
    assert found["differences"] == []


@pytest.mark.parametrize("after", [1, 7, 18])
def test_what_was_acknowledged_outlives_a_kill(record: tuple[str, str], after: int) -> None:
    """Killed in the middle of its work: every act it was told of is there once, none is there by half."""
    program = begin(record, "send", 3, 10_000)
    assert program.stdout is not None
    acknowledged = [program.stdout.readline().strip() for _ in range(after)]
    program.kill()
    acknowledged += [line for line in program.communicate()[0].split("\n") if len(line) == 36]
    found = told(record)
    assert set(acknowledged) <= set(found["keys"])
    assert len(found["keys"]) == len(set(found["keys"])) <= len(acknowledged) + 1
    assert found["revision"] == 1 + len(found["keys"])
    assert found["differences"] == []
