#!/usr/bin/env python3
"""Makes the filled records of this version that later versions are tried on, one per engine.

    python tools/upgrade_fixture.py        write tests/upgrades/VERSION/, anew

Twelve objects of the demo are received, planned, observed, overruled, worked on and printed through the
services, on SQLite; the PostgreSQL one is that record's export, restored and dumped.  The export is kept
beside the two.  Once a version is released its folder is never made again.
"""

from __future__ import annotations

import gzip
import subprocess
import sys
import tempfile
import uuid
from collections.abc import Callable
from datetime import UTC, datetime
from importlib.resources import as_file, files
from pathlib import Path
from typing import TYPE_CHECKING

import pg_temp

if TYPE_CHECKING:
    from strandline.pipeline.objects import Site as PipelineSite
    from strandline.records.models.objects import Object
    from strandline.services.acting import Caller
    from strandline.things.listing import RawRow

ROOT = Path(__file__).resolve().parent.parent
SRC = ROOT / "src"
if str(SRC) not in sys.path:
    sys.path.insert(0, str(SRC))
AT = datetime(2026, 3, 15, 15, 40, tzinfo=UTC)
MOST_BYTES = 2 * 1024 * 1024
SQLITE, POSTGRES, LINES = "sqlite.sqlite3.gz", "postgres.sql.gz", "record.jsonl.gz"


def main(arguments: list[str]) -> int:
    """Write the fixtures, or, in a program of its own, do one of the steps."""
    steps: dict[str, Callable[..., None]] = {"fill": step_fill, "restore": step_restore}
    if arguments and arguments[0] in steps:
        steps[arguments[0]](*arguments[1:])
        return 0
    if arguments:
        print(__doc__, file=sys.stderr)
        return 2
    from strandline import __version__  # here: only now is src certain to be on the path

    target = ROOT / "tests" / "upgrades" / __version__
    target.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="strandline-fixture-") as folder:
        for name, data in make(Path(folder)).items():
            if len(data) > MOST_BYTES:
                print(f"upgrade_fixture: {name} has {len(data)} bytes of {MOST_BYTES}", file=sys.stderr)
                return 1
            (target / name).write_bytes(data)
            print(f"{(target / name).relative_to(ROOT)}  {len(data)} bytes")
    return 0


def make(folder: Path) -> dict[str, bytes]:
    """The three files, by name."""
    again("fill", folder)
    (lines,) = folder.glob("*.jsonl.gz")
    (pages,) = folder.glob("*-*.sqlite3")
    return {
        SQLITE: packed(pages.read_bytes()),
        POSTGRES: packed(dumped(folder, lines)),
        LINES: lines.read_bytes(),
    }


def packed(data: bytes) -> bytes:
    """Packed, without name or time."""
    return gzip.compress(data, 9, mtime=0)


def again(*arguments: str | Path) -> None:
    """This program once more: one record per program."""
    subprocess.run([sys.executable, __file__, *map(str, arguments)], check=True)


def dumped(folder: Path, lines: Path) -> bytes:
    """The record restored into a new PostgreSQL server and dumped as SQL."""
    programs = pg_temp.programs()
    if programs is None:
        raise FileNotFoundError(f"PostgreSQL is not installed; install it: {pg_temp.INSTALL}")
    with pg_temp.server() as address:
        again("restore", folder / "server", lines, address)
        command = [str(programs / "pg_dump"), "--no-owner", "--no-privileges", "--inserts", address]
        text = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    return without_session(text).encode("utf-8")


def without_session(text: str) -> str:
    """A dump without psql's own commands and the settings that only the server that made it knows."""
    left = ("\\", "SET transaction_timeout", "-- Dumped ")
    return "".join(line for line in text.splitlines(keepends=True) if not line.startswith(left))


def step_fill(folder: str) -> None:
    """Fill a new practice and leave a backup of it, as pages and as lines, in the folder."""
    # In a program of its own, as step_restore: one process keeps one record.
    from strandline.records.backup import back_up, back_up_lines
    from strandline.records.practice import open_practice

    practice = Path(folder) / "practice"
    open_practice(practice, AT)
    fill()
    back_up(practice / "strandline.sqlite3", Path(folder), AT)
    back_up_lines(Path(folder), AT)


def step_restore(folder: str, lines: str, address: str) -> None:
    """Restore the export into the empty database."""
    # As step_fill.
    from strandline.records.restore import restore_practice

    restore_practice(Path(folder), Path(lines), AT, address)


def fill() -> None:
    """Twelve objects of the demo in the record that is open, and something of every early act."""
    # The record has to be open first.
    from django.contrib.auth import get_user_model

    from strandline.knowledge.base import shipped
    from strandline.pipeline.objects import facts_from_row
    from strandline.records.models.people import Device, Party, Person
    from strandline.records.models.sites import Incident, Place, Practice, Site
    from strandline.services.acting import Caller
    from strandline.services.receive import receive

    user = get_user_model().objects.create_user("lead", password="tide table")
    lead = Person.objects.create(name="Lead conservator", role="lead", user=user)
    helper = Person.objects.create(name="Helper number 3", role="helper")
    device = Device.objects.create(name="intake table", first_seen_at=AT)
    site = Site.objects.create(practice=Practice.objects.create(name="A practice of one"), name="Net Loft")
    incident = Incident.objects.create(site=site, code="ORNL1", name="Storm surge", opened_at=AT)
    hall = Place.objects.create(incident=incident, kind="building", name="chapel hall")
    table = Place.objects.create(incident=incident, kind="station", name="table 1", inside=hall)

    def by(person: Person) -> Caller:
        return Caller(person, uuid.uuid4(), AT, device, 1)

    parties: dict[str, Party] = {}
    for row in rows():
        facts, _ = facts_from_row(row, str(row.cells["tag"]), demo_site(), shipped())
        if facts is None:
            raise ValueError(f"row {row.row} of the demo names nothing")
        owner = parties.get(facts.owner) or Party.objects.create(name=facts.owner)
        parties[facts.owner] = owner
        thing = receive(by(helper), incident, facts, owner, table)
        work_on(thing, lambda: by(lead), lambda: by(helper))


def rows() -> list[RawRow]:
    """The first twelve things of the demo."""
    from strandline.exchange.lists import open_list  # as in fill

    with as_file(files("strandline.demo_data") / "first12.csv") as path:
        return list(open_list(path).rows)


def demo_site() -> PipelineSite:
    """What holds where a row is silent: the rows are not."""
    from strandline.pipeline.objects import Site  # as in fill

    return Site(AT, "Europe/London", None, None, (), 11.0)


def work_on(thing: Object, lead: Callable[[], Caller], helper: Callable[[], Caller]) -> None:
    """Plan an object, observe, overrule, plan again, end a step, print."""
    # As in fill.
    from strandline.records import translate
    from strandline.services.end_step import end_step
    from strandline.services.observe import observe
    from strandline.services.override import override
    from strandline.services.plan import plan, steps_of
    from strandline.services.print_paper import print_paper

    print_paper(helper(), plan(helper(), thing), "care_card")
    saw = translate.in_force(thing)["pieces"]
    observe(helper(), thing, "pieces", 2, "seen", saw)
    if thing.tag in {"0042", "0048"}:
        override(lead(), "act.lift.all", {"how": "Two people."}, "the stair is wet", thing)
    made = plan(lead(), thing)
    end_step(lead(), made, next(iter(steps_of(made))), "not_done", "no_time")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
