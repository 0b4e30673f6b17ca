"""A record as lines: whole, sorted, the same from both engines, and put back as it was or not at all."""

import json
import math
import uuid
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta, timezone
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.db import transaction

from strandline.records import export
from strandline.records.export import ExportError, applied, line, number, plain, tables
from strandline.records.models.facts import Reading
from strandline.records.models.objects import Object
from strandline.records.models.people import Person
from strandline.records.models.sites import Place
from tests.records.cast import NOW, incident
from tests.records.programs import (
    FIRST,
    empty_database,
    filled,
    lines_of,
    practice_on,
    program,
    strandline,
    went_well,
    with_hash,
)
from tests.services.doing import received

Rows = list[dict[str, Any]]


def exported() -> Rows:
    """The record these tests have open, as its lines say it."""
    stream = BytesIO()
    export.write(stream)
    return [json.loads(raw) for raw in stream.getvalue().splitlines()]


@pytest.mark.django_db
def test_every_table_is_written_after_those_it_links_to() -> None:
    """All tables of the record and the log-ins; only circles and links to itself wait for a second go."""
    found = tables(applied())
    assert set(found) == {
        str(model._meta.model_name) for model in apps.get_app_config("records").get_models()
    } | {"user"}
    seen: set[str] = set()
    for table in found.values():
        assert {one.to for one in table.columns if one.to and not one.late} <= seen
        seen.add(table.name)
    late = {(table.name, one.name) for table in found.values() for one in table.columns if one.late}
    assert late == {
        ("object", "plan"), ("object", "merged_into"), ("observation", "supersedes"), ("place", "inside"),
    }  # fmt: skip


@pytest.mark.django_db
def test_rows_are_sorted_and_whole() -> None:
    """Head, then rows by uid; keys sorted; links by uid; times in UTC with microseconds."""
    thing = received()
    stream = BytesIO()
    counts = export.write(stream)
    raw = stream.getvalue().splitlines(keepends=True)
    head, *rows = [json.loads(one) for one in raw]
    assert head["format"] == "strandline.record/1"
    assert head["migrations"] == list(applied())
    assert head["rows"] == counts
    assert len(rows) == sum(counts.values())
    keys = [(list(counts).index(row["table"]), row.get("uid") or row["username"]) for row in rows]
    assert keys == sorted(keys)
    assert raw[1:] == [line(row) for row in rows]
    mine = next(row for row in rows if row["table"] == "object")
    assert mine["uid"] == str(thing.uid)
    assert mine["row"]["incident"] == str(thing.incident.uid)
    assert mine["row"]["received_at"].endswith("+00:00")
    assert len(mine["row"]["received_at"]) == len("2026-03-15T15:40:00.000000+00:00")


@pytest.mark.django_db
def test_rows_say_in_which_order_they_were_made() -> None:
    """The log is folded in that order; gaps in the numbers of a database do not show."""
    where = incident()
    made = [Place.objects.create(incident=where, kind="room", name=f"room {n}") for n in range(9)]
    for gone in made[2:5]:
        gone.delete()
    rows = [row for row in exported() if row.get("table") == "place"]
    in_order = [row["uid"] for row in sorted(rows, key=lambda row: int(row["nth"]))]
    assert in_order == [str(place.uid) for place in [*made[:2], *made[5:]]]
    assert sorted(row["nth"] for row in rows) == [1, 2, 3, 4, 5, 6]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.1, "0.1"),
        (-0.0, "0.0"),
        (1e16, "10000000000000000"),
        (1.5e300, "15" + "0" * 299),
        (5e-324, "5e-324"),
        (812.5, "812.5"),
        (3, "3"),
        (True, "true"),
        ({"b": [1e22], "a": None}, '{"a":null,"b":[' + "1" + "0" * 22 + "]}"),
        (datetime(2026, 3, 15, 17, 40, tzinfo=timezone(timedelta(hours=2))),
         '"2026-03-15T15:40:00.000000+00:00"'),
        (uuid.UUID(int=7), '"00000000-0000-0000-0000-000000000007"'),
        ("浮玉", '"浮玉"'),
        ("half a \ud83d letter", '"half a \\ud83d letter"'),
    ],
)  # fmt: skip
def test_values_are_written_alike(value: Any, text: str) -> None:
    """As both engines give them back, whatever they keep them as."""
    assert line({"x": plain(value)}).decode() == f'{{"x":{text}}}\n'


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused(value: float) -> None:
    """Never NaN."""
    with pytest.raises(ValueError, match="no number"):
        number(value)


@pytest.mark.django_db
def test_numbers_of_rows_come_back_as_they_were() -> None:
    """Floats of a column and of JSON, through the engine these tests run on."""
    thing = received()
    values = [0.1 + 0.2, 1e-7, 5e-324, 1e300, 2.0**60, -0.0, 3.0]
    for value in values:
        Reading.objects.create(object=thing, kind="mass_g", value=value, at=NOW)
    Object.objects.filter(pk=thing.pk).update(kept={"numbers": values})
    rows = exported()
    wanted = [plain(value) for value in values]
    readings = sorted((row for row in rows if row.get("table") == "reading"), key=lambda row: int(row["nth"]))
    assert [row["row"]["value"] for row in readings] == wanted
    (mine,) = [row for row in rows if row.get("table") == "object"]
    assert mine["row"]["kept"]["numbers"] == wanted


# Its own Python, with a record of its own: another connection commits in the middle.
MEANWHILE = """
import sys, threading
from pathlib import Path
import upgrade_fixture
from strandline.records.practice import open_practice
open_practice(Path(sys.argv[1]), upgrade_fixture.AT)
from django.db import connection, connections
from strandline.records import export
from strandline.records.models.sites import Practice

def rows():
    return export.count(export.tables(export.applied()))["practice"]

def other():
    Practice.objects.create(name="A practice of one")
    connections.close_all()

with export.standing_still():
    told = [rows()]
    thread = threading.Thread(target=other)
    thread.start()
    thread.join()
    told.append(rows())
print(*told, rows(), connection.get_autocommit(), connection.in_atomic_block)
"""


def test_a_record_is_read_as_of_one_moment(tmp_path: Path) -> None:
    """What somebody else commits meanwhile is not in it, and they do not wait; nothing is left open."""
    with empty_database() as address:
        done = program(MEANWHILE, practice_on(tmp_path / "practice", address))
    assert went_well(done).split() == b"0 0 1 True False".split()


class There:
    """A filled practice of the engine these tests run on, with its export."""

    def __init__(self, folder: Path, address: str) -> None:
        self.folder = filled(folder / "practice", address)
        self.address = address
        self.file = folder / "record.jsonl.gz"
        went_well(strandline("export", "--practice", self.folder, "--to", self.file))
        self.lines = lines_of(self.file)


@pytest.fixture(scope="module")
def there(tmp_path_factory: pytest.TempPathFactory) -> Iterator[There]:
    """Filled once; nobody changes it."""
    with empty_database() as address:
        yield There(tmp_path_factory.mktemp("there"), address)


@pytest.mark.parametrize("engine", ["file", "server"])
def test_what_is_put_back_is_the_same_byte_for_byte(there: There, tmp_path: Path, engine: str) -> None:
    """Into a file always; into a server where the tests run on one, else into a second file."""
    with empty_database() as address:
        folder = practice_on(tmp_path / "new", address if engine == "server" else "")
        went_well(strandline("restore", there.file, "--practice", folder))
        assert went_well(strandline("export", "--practice", folder)) == b"".join(there.lines)


def test_a_filled_record_has_something_of_every_kind(there: There) -> None:
    """Otherwise the round trip would show little."""
    rows = json.loads(there.lines[0])["rows"]
    few = {"object": 12, "plansnapshot": 24, "override": 2, "paper": 12, "user": 1, "person": 2}
    assert {name: rows[name] for name in few} == few
    assert rows["stepend"] >= 12
    assert min(rows["act"], rows["observation"], rows["part"]) > 12
    assert rows["join"] > 0
    assert any(b'"inside":"' in raw for raw in there.lines)
    assert any(b'"supersedes":"' in raw for raw in there.lines)


Change = Callable[[list[bytes]], list[bytes]]


def at_row(name: str, change: Callable[[dict[str, Any]], Any], nth: int = 1) -> Change:
    """Change the so-manieth line of a table."""

    def changed(lines: list[bytes]) -> list[bytes]:
        found = [at for at, raw in enumerate(lines) if f'"table":"{name}"'.encode() in raw]
        row = json.loads(lines[found[nth - 1]])
        change(row)
        return [*lines[: found[nth - 1]], line(row), *lines[found[nth - 1] + 1 :]]

    return changed


def numbered_alike(lines: list[bytes]) -> list[bytes]:
    """The second tag gets the number of the first."""
    first, second = [at for at, raw in enumerate(lines) if b'"table":"tag"' in raw][:2]
    row = {**json.loads(lines[second]), "nth": json.loads(lines[first])["nth"]}
    return [*lines[:second], line(row), *lines[second + 1 :]]


def head(change: Callable[[dict[str, Any]], Any]) -> Change:
    """Change the first line."""

    def changed(lines: list[bytes]) -> list[bytes]:
        found = json.loads(lines[0])
        change(found)
        return [line(found), *lines[1:]]

    return changed


BROKEN: dict[str, tuple[Change, str]] = {
    "nothing": (lambda lines: [], "line 1: the export is cut short"),
    "another format": (head(lambda row: row.update(format="other/1")), "line 1: this is no export"),
    "a newer program": (head(lambda row: row["migrations"].append("9999_later")), "newer Strandline"),
    "a gap": (head(lambda row: row["migrations"].pop(0)), "gap"),
    "no counts": (head(lambda row: row.pop("rows")), "line 1: the head needs"),
    "cut at the end of a line": (lambda lines: lines[:-3], "not whole"),
    "cut within a line": (lambda lines: [*lines[:-1], lines[-1][:-9]], "cut short here"),
    "no JSON": (lambda lines: [*lines[:4], b"{]\n", *lines[5:]], "line 5: this is no JSON"),
    "NaN": (lambda lines: [*lines[:4], b'{"nth":NaN}\n', *lines[5:]], "line 5: .*NaN is no number"),
    "a list": (lambda lines: [*lines[:4], b"[1]\n", *lines[5:]], "line 5: a line is one JSON object"),
    "a table nobody has": (at_row("tag", lambda row: row.update(table="spell")), "'spell' is no table"),
    "a row less": (lambda lines: lines[:-1], "not whole"),
    "twice": (lambda lines: [*lines[:2], lines[1], *lines[2:]], "line 3: rows are sorted"),
    "a number twice": (numbered_alike, "line .*: the database"),
    "no number": (at_row("tag", lambda row: row.update(nth=0)), "line .*: a row needs its uid and 'nth'"),
    "a number too large": (at_row("part", lambda row: row["row"].update(order=2**70)), "order is not of"),
    "a field less": (at_row("tag", lambda row: row["row"].pop("text")), "line .*: this is no row of tag"),
    "a field more": (at_row("tag", lambda row: row["row"].update(x=1)), "line .*: this is no row of tag"),
    "text for a number": (at_row("part", lambda row: row["row"].update(order="1")), "order is not of"),
    "a text too long": (at_row("tag", lambda row: row["row"].update(text="9" * 17)), "17 characters of 16"),
    "a time without its offset": (
        at_row("tag", lambda row: row["row"].update(claimed_at="2026-03-15T15:40:00")), "offset from UTC"
    ),
    "empty where it may not be": (at_row("tag", lambda row: row["row"].update(object=None)), "may not be"),
    "a link that leads nowhere": (
        at_row("tag", lambda row: row["row"].update(object=str(uuid.UUID(int=1)))),
        "line .*: object leads to object '00000000-0000-0000-0000-000000000001', which is not there",
    ),
    "a late link that leads nowhere": (
        at_row("object", lambda row: row["row"].update(merged_into=str(uuid.UUID(int=1)))),
        "line .*: merged_into leads to object",
    ),
    "a link that is no uid": (at_row("tag", lambda row: row["row"].update(object="chest")), "'chest' is no"),
    "a row the database refuses": (
        at_row("override", lambda row: row["row"].update(reason="short")),
        "line .*: the database does not take this row",
    ),
    "other blanks": (
        lambda lines: [*lines[:9], lines[9].replace(b'":', b'": ', 1), *lines[10:]],
        "not as this program writes",
    ),
}  # fmt: skip


@pytest.mark.django_db
@pytest.mark.parametrize("how", BROKEN)
def test_a_broken_export_is_refused_in_a_sentence(how: str, there: There, tmp_path: Path) -> None:
    """With the line it is at; into the database of these tests, which stays without a row."""
    from strandline.records.loading import load  # the record is open by now

    change, why = BROKEN[how]
    with pytest.raises(ExportError, match=why), transaction.atomic():
        load(change(list(there.lines)))
    assert not Object.objects.exists()
    assert not Person.objects.exists()


@pytest.mark.django_db
def test_a_record_with_rows_takes_no_export(there: There) -> None:
    """One sentence; what is there stays."""
    from strandline.records.loading import load  # as above

    thing = received()
    with pytest.raises(ExportError, match="holds a record already"), transaction.atomic():
        load(there.lines)
    assert Object.objects.get() == thing


def test_a_database_of_a_newer_time_takes_no_older_export(there: There, tmp_path: Path) -> None:
    """Its tables would lack columns; an empty database is made as of then and brought up to date."""
    short = head(lambda row: row.update(migrations=row["migrations"][:1]))
    file = tmp_path / "changed.jsonl"
    file.write_bytes(b"".join(short(list(there.lines))))
    with_hash(file)
    done = strandline("restore", file, "--practice", tmp_path / "new")
    assert done.returncode == 2
    assert b"the tables are not those of its migrations" in done.stderr
    assert not (tmp_path / "new" / "strandline.sqlite3").exists()


def test_an_export_of_an_older_program_is_brought_up_to_date(tmp_path: Path) -> None:
    """Exported with the columns of its time, put into tables of its time, and these then changed."""
    with empty_database() as address:
        went_well(program(FIRST, practice_on(tmp_path / "old", address)))
        file = tmp_path / "old.jsonl"
        went_well(strandline("export", "--practice", tmp_path / "old", "--to", file))
    first, row = file.read_bytes().splitlines()
    assert json.loads(first)["migrations"] == ["0001_initial"]
    with empty_database() as address:
        went_well(strandline("restore", file, "--practice", practice_on(tmp_path / "new", address)))
        now, *rows = went_well(strandline("export", "--practice", tmp_path / "new")).splitlines()
    assert len(json.loads(now)["migrations"]) > 2
    assert len(json.loads(now)["rows"]) >= len(json.loads(first)["rows"])
    assert rows == [row]
