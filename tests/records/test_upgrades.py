"""Records of earlier versions, as those left them: brought up to date, nothing in them is lost.

``tests/upgrades/VERSION/`` holds one per engine and the export of both, made by tools/upgrade_fixture.py.
"""

import gzip
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import psycopg
import pytest

from strandline.records.export import line
from tests.records.programs import (
    empty_database,
    lines_of,
    practice_on,
    program,
    strandline,
    went_well,
    with_hash,
)

UPGRADES = Path(__file__).parent.parent / "upgrades"
VERSIONS = sorted(folder.name for folder in UPGRADES.iterdir() if folder.is_dir())
MOST_BYTES = 2 * 1024 * 1024

# Its own Python: opens the record, which brings it up to date, and tells where log and tables differ.
UPGRADE = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from strandline.records.practice import open_practice

open_practice(Path(sys.argv[1]), datetime(2026, 3, 15, 16, tzinfo=UTC))
from strandline.records.models.acts import Act
from strandline.records.models.objects import Object
from strandline.services.fold import differences
from tests.services.doing import by
from strandline.services.plan import plan

sys.stdout.write("\\n".join(differences()))
if "plan" in sys.argv:
    for thing in Object.objects.order_by("pk"):
        plan(by(), thing)
    sys.stdout.write("\\n".join(differences()))
"""


@pytest.fixture
def address() -> Iterator[str]:
    """A new PostgreSQL database where these tests run on one, else ''."""
    with empty_database() as found:
        yield found


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """The folder of a practice."""
    return tmp_path / "practice"


def put(version: str, folder: Path, address: str) -> Path:
    """The record of that version in a practice of this one, on the engine these tests run on."""
    practice_on(folder, address)
    kept = UPGRADES / version
    if address:
        text = gzip.decompress((kept / "postgres.sql.gz").read_bytes()).decode("utf-8")
        with psycopg.connect(address, autocommit=True) as connection:
            # It comes from our own tool, as bytes: psycopg takes no text it cannot see.
            connection.execute(text.encode("utf-8"))
    else:
        data = gzip.decompress((kept / "sqlite.sqlite3.gz").read_bytes())
        (folder / "strandline.sqlite3").write_bytes(data)
    return folder


def old_lines(version: str) -> list[dict[str, Any]]:
    """The export as that version wrote it, without its head."""
    return [json.loads(raw) for raw in lines_of(UPGRADES / version / "record.jsonl.gz")[1:]]


def only_what_was(rows: list[dict[str, Any]], then: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Rows with no table or field that there was not then."""
    fields = {row["table"]: row["row"].keys() for row in then}
    return [
        {**row, "row": {name: row["row"][name] for name in row["row"].keys() & fields[row["table"]]}}
        for row in rows
        if row["table"] in fields
    ]


def sorted_lines(rows: list[dict[str, Any]]) -> list[bytes]:
    """Lines in an order that does not depend on the order of tables."""
    return sorted(line(row) for row in rows)


def test_there_is_a_record_of_each_version() -> None:
    """Of both engines, small enough to be kept for ever."""
    assert VERSIONS
    for version in VERSIONS:
        files = {file.name: file.stat().st_size for file in (UPGRADES / version).iterdir()}
        assert files.keys() == {"postgres.sql.gz", "record.jsonl.gz", "sqlite.sqlite3.gz"}
        assert max(files.values()) < MOST_BYTES


@pytest.mark.parametrize("version", VERSIONS)
def test_nothing_is_lost_on_the_way_up(version: str, old: Path, address: str) -> None:
    """Every row and field of then is there, the log still tells the tables, and work goes on."""
    folder = put(version, old, address)
    assert went_well(program(UPGRADE, folder)) == b""
    _, *rows = [json.loads(raw) for raw in went_well(strandline("export", "--practice", folder)).splitlines()]
    then = old_lines(version)
    assert len(then) > 300
    assert sorted_lines(only_what_was(rows, then)) == sorted_lines(then)
    assert went_well(program(UPGRADE, folder, "plan")) == b""


@pytest.mark.parametrize("version", VERSIONS)
def test_an_old_export_is_restored_and_brought_up_to_date(version: str, old: Path, address: str) -> None:
    """Into an empty record of today, with the tables of its time first."""
    folder = practice_on(old, address)
    file = old.parent / "record.jsonl.gz"
    file.write_bytes((UPGRADES / version / file.name).read_bytes())
    refused = strandline("restore", file, "--practice", folder)
    assert b"record.jsonl.gz is no finished backup" in refused.stderr
    with_hash(file)
    went_well(strandline("restore", file, "--practice", folder))
    assert went_well(program(UPGRADE, folder)) == b""
    _, *rows = [json.loads(raw) for raw in went_well(strandline("export", "--practice", folder)).splitlines()]
    then = old_lines(version)
    assert sorted_lines(only_what_was(rows, then)) == sorted_lines(then)
