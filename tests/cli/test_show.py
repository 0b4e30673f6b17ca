"""``show``: an object of the record in words, as JSON, on a card; one sentence for each thing that is wrong.

Each command runs in a Python of its own, as one program keeps one record.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.papers import looking
from tests.records.programs import filled, program, strandline, went_well

SHOW = """
from strandline.cli.main import main
from strandline.cli.show import show

main.add_command(show)
main()
"""
SECOND = """
import sys, uuid
from datetime import UTC, datetime
from pathlib import Path
from strandline.records.practice import begin

begin(Path(sys.argv[1]))
from strandline.records.models.people import Person
from strandline.services.acting import Caller
from strandline.services.open_incident import open_incident
from strandline.services.receive import receive
from strandline.things.facts import Facts, Part

AT = datetime(2026, 3, 15, 15, 40, tzinfo=UTC)
lead = Person.objects.get(role="lead")

def by():
    return Caller(lead, uuid.uuid4(), AT, None, 1)

where = open_incident(
    by(), code="SPIT2", name="Burst main", zone="UTC", site_name="The spit", address="", water=["clean"],
    wet_since=AT, out_since=AT, air_c=None, air_rh=None,
)
for tag in ("0042", "0900"):
    receive(by(), where, Facts(tag, 0, title="Oar", parts=(Part("p1", "oar", "timber", "wood"),)))
"""
MANY = """
import json, sys
from click.testing import CliRunner
from strandline.cli.main import main
from strandline.cli.show import show

main.add_command(show)
done = [CliRunner().invoke(main, arguments) for arguments in json.loads(sys.argv[1])]
json.dump([(one.exit_code, one.stderr) for one in done], sys.stdout)
"""
NOBODY = """
import sys
from pathlib import Path
from strandline.records.practice import open_practice
from datetime import UTC, datetime
open_practice(Path(sys.argv[1]), datetime.now(UTC))
"""
STOPPED = """
import sys
from pathlib import Path
from strandline.records.practice import begin
begin(Path(sys.argv[1]))
from strandline.records.models.objects import Object
print(*Object.objects.filter(stops__gt=0).values_list("tag", flat=True))
"""
LEADLESS = """
import sys
from pathlib import Path
from strandline.records.practice import begin
begin(Path(sys.argv[1]))
from strandline.records.models.people import Person
Person.objects.filter(role="lead").update(role="conservator")
"""


def show(*arguments: object) -> subprocess.CompletedProcess[bytes]:
    """The command."""
    return program(SHOW, "show", *arguments)


def printed(*arguments: object) -> str:
    """What it prints when it goes well."""
    return went_well(show(*arguments)).decode()


@pytest.fixture(scope="module")
def practice(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Twelve objects of the demo in one incident."""
    return filled(tmp_path_factory.mktemp("show") / "practice")


@pytest.fixture(scope="module")
def two(practice: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same, and a second incident with a 0042 and a 0900 of its own, without plans."""
    folder = copied(practice, tmp_path_factory.mktemp("two") / "practice")
    went_well(program(SECOND, folder))
    return folder


def copied(practice: Path, to: Path) -> Path:
    """A copy of a practice."""
    shutil.copytree(practice, to)
    return to


def test_it_tells_what_the_record_has(practice: Path) -> None:
    """Plan and short id, guards, next step, verdicts, what was overruled, by whom and why."""
    told = printed("42", "--practice", practice)
    look = json.loads(printed("0042", "--practice", practice, "--json"))
    assert told.startswith("0042  Sea chest")
    assert f"Plan 2, {look['short_id']}, made " in told
    assert "guard: Old paint: gloves" in told
    assert "Overruled: act.lift.all (object): Lead conservator, lead conservator. the stair is wet" in told
    assert "Rinse - no" in told
    assert look["hours_left"] < 0
    assert "    may have happened\n" in told
    assert [one["rule"] for one in look["overrides"]] == ["act.lift.all"]


def test_a_stop_says_nothing_else_is_done(practice: Path) -> None:
    """Neither hours nor verdicts."""
    (stopped,) = went_well(program(STOPPED, practice)).decode().split()[:1]
    told = printed(stopped, "--practice", practice)
    assert "  STOP: " in told
    assert "release is recorded by: " in told
    assert "What may be done" not in told
    assert "good until" not in told
    assert " left" not in told


def test_its_card_is_a_paper_nobody_follows(practice: Path, tmp_path: Path) -> None:
    """Written into the file named, folders made; the record is as before, and what is printed says so."""
    before = dump(practice)
    done = show("0042", "--practice", practice, "--paper", tmp_path / "a" / "card.pdf")
    assert done.returncode == 0
    assert b"will not be called back" in done.stderr
    text = looking.text((tmp_path / "a" / "card.pdf").read_bytes())
    assert text.startswith("0042 Sea chest")
    assert "the stair is wet (Lead conservator, lead conservator)" in text
    assert dump(practice) == before


def dump(folder: Path) -> bytes:
    """All that the record holds."""
    return went_well(strandline("export", "--practice", folder))


def test_two_incidents_with_one_tag_are_told_apart(two: Path) -> None:
    """By --incident in any letters; where only one has the tag, it is that one."""
    assert printed("0042", "--practice", two, "--incident", "ornl1").startswith("0042  Sea chest")
    other = printed("0042", "--practice", two, "--incident", "SPIT2")
    assert other.startswith("0042  Oar")
    assert "It has no plan yet." in other
    assert printed("900", "--practice", two).startswith("0900  Oar")


def test_a_story_runs_in_its_own_days(practice: Path, tmp_path: Path) -> None:
    """A practice with the clock of a demo is shown at that hour."""
    demo = copied(practice, tmp_path / "demo")
    (demo / "story-clock").write_text("2026-03-14T03:00:00+00:00\n", encoding="ascii")
    story = json.loads(printed("0042", "--practice", demo, "--json"))
    today = json.loads(printed("0042", "--practice", practice, "--json"))
    hours = (datetime.now(UTC) - datetime(2026, 3, 14, 3, tzinfo=UTC)).total_seconds() / 3600
    assert story["hours_left"] - today["hours_left"] == pytest.approx(hours, abs=0.1)


def test_what_cannot_be_shown_is_one_sentence(practice: Path, two: Path, tmp_path: Path) -> None:
    """On stderr, with exit code 2, and no traceback."""
    empty = tmp_path / "empty"
    went_well(program(NOBODY, empty))
    refused(
        practice,
        (["0099"], "no object of ORNL1 has the tag 0099"),
        ([""], "no object of ORNL1 has the tag"),
        (["x" * 3000], "no object of ORNL1 has the tag"),
        (["STRAND1:ORNL1:0042:ZZ"], "no object of ORNL1 has the tag"),
        (["0042", "--incident", "NO1"], "there is no incident 'NO1'"),
        (["0042", "--paper", str(tmp_path / "card.txt")], "a care card is a PDF"),
        (["0042", "--paper", "/dev/null/card.pdf"], "cannot be written"),
    )
    refused(
        two,
        (["0042"], "ORNL1 and SPIT2 each have a 0042; say which with --incident"),
        (["0777"], "no object of ORNL1, SPIT2 has the tag 0777"),
        (["0900", "--paper", str(tmp_path / "c.pdf")], "0900 has no plan yet"),
    )
    refused(tmp_path / "none", (["0042"], "there is no practice in"))
    refused(empty, (["0042"], "nobody leads this record yet"))
    assert not (tmp_path / "c.pdf").exists()


def refused(practice: Path, *cases: tuple[list[str], str]) -> None:
    """Each command is refused with its sentence and nothing else; one program for all of one practice."""
    commands = [["show", *arguments, "--practice", str(practice)] for arguments, _why in cases]
    told = json.loads(went_well(program(MANY, json.dumps(commands))))
    assert len(told) == len(cases)
    for (code, said), (arguments, why) in zip(told, cases, strict=True):
        assert (code, why in said, said.count("\n")) == (2, True, 1), (arguments, said)


def test_a_record_nobody_leads(practice: Path, tmp_path: Path) -> None:
    """Its lead is whose eyes it is shown through."""
    folder = copied(practice, tmp_path / "practice")
    went_well(program(LEADLESS, folder))
    done = show("0042", "--practice", folder)
    assert (done.returncode, b"nobody leads this record yet" in done.stderr) == (2, True)


def test_without_the_record_nothing_of_django_is_loaded() -> None:
    """The planning commands start as fast with this command beside them."""
    told = subprocess.run(
        [sys.executable, "-c", "import sys, strandline.cli.show; print('django' in sys.modules)"],
        capture_output=True, check=True, text=True,
    )  # fmt: skip
    assert told.stdout == "False\n"
