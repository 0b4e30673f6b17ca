"""The server is killed twenty times while people send their acts: what was acknowledged is there, once.

SQLite, or the PostgreSQL whose address STRANDLINE_TEST_DATABASE holds, in a database of its own.
"""

from __future__ import annotations

import json
import random
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.records.programs import ROOT, empty_database, practice_on, program, strandline, went_well
from tests.server.crew import TAGS, Browser, Writer
from tests.server.serving import LONGEST_S, Server, free_port

SEED, KILLS = 20260315, 20
RUN = "import runpy, sys; sys.path.insert(0, sys.argv.pop(1)); runpy.run_module('tests.server.record')"


def record(practice: Path, task: str) -> dict[str, Any]:
    """What the record holds, told by another program."""
    found: dict[str, Any] = json.loads(went_well(program(RUN, ROOT, practice, task)))
    return found


@pytest.fixture(scope="module")
def worked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, dict[str, Any], list[Writer]]]:
    """A practice after its twenty kills: its folder, what it held before, and who worked at it."""
    with empty_database() as address:
        practice = practice_on(tmp_path_factory.mktemp("killed") / "practice", address)
        before = record(practice, "make")
        yield practice, before, rounds(Server(practice, free_port()))


def rounds(server: Server) -> list[Writer]:
    """Kill the server at KILLS seeded points, with one person at work or two; at the end all is sent."""
    draws = random.Random(SEED)
    server.start()
    writers = [Writer(name, Browser(server.port), random.Random(f"{SEED} {name}")) for name in TAGS]
    threads = [threading.Thread(target=one.work, daemon=True) for one in writers]
    try:
        for one in writers:
            one.browser.sign_in(one.name)
        for thread in threads:
            thread.start()
        for number in range(KILLS):
            at_work = writers if number % 2 else writers[:1]
            a_round(at_work, draws)
            server.kill()
            for one in writers:
                one.up.clear()
            server.start()
        for one in writers:
            one.over = True
            one.up.set()
        for thread in threads:
            thread.join(LONGEST_S)
        assert not any(thread.is_alive() for thread in threads)
        assert server.stop() == 0
    finally:
        server.kill()
    assert [one.lost for one in writers] == [[], []]
    return writers


def a_round(at_work: list[Writer], draws: random.Random) -> None:
    """Let people work until so many acts are acknowledged, and a few milliseconds more."""
    wanted = sum(len(one.acknowledged) for one in at_work) + draws.randint(1, 6)
    for one in at_work:
        one.up.set()
    until = time.monotonic() + LONGEST_S
    while sum(len(one.acknowledged) for one in at_work) < wanted:
        assert [one.lost for one in at_work] == [[] for one in at_work]
        assert time.monotonic() < until, "nothing is acknowledged any more"
        time.sleep(0.002)
    time.sleep(draws.random() * 0.08)


Worked = tuple[Path, dict[str, Any], list[Writer]]


@pytest.fixture(scope="module")
def after(worked: Worked) -> dict[str, Any]:
    """What the record holds at the end."""
    return record(worked[0], "tell")


def test_the_kills_met_people_in_the_middle_of_something(worked: Worked) -> None:
    """Otherwise the others of these tests would show little."""
    _practice, _before, writers = worked
    assert sum(one.resent for one in writers) >= KILLS // 3
    assert all(len(one.acknowledged) >= KILLS // 2 for one in writers)
    assert sum(len(one.acknowledged) for one in writers) >= 3 * KILLS
    assert all(one.pending is None for one in writers)


def test_every_acknowledged_act_is_there_once_and_no_other(worked: Worked, after: dict[str, Any]) -> None:
    """Also the further acts of a form that was cut in two: resent, it did what was left."""
    _practice, before, writers = worked
    wanted = [key for one in writers for form in one.acknowledged for key in form.keys]
    assert len(set(after["keys"])) == len(after["keys"])
    assert len(set(wanted)) == len(wanted)
    assert sorted(set(after["keys"]) - set(before["keys"])) == sorted(wanted)


def test_each_made_its_rows_once(worked: Worked, after: dict[str, Any]) -> None:
    """Objects, trays, fragments, photographs, ends of steps; one plan of each thing taken in."""
    _practice, before, writers = worked
    for kind in ("thing", "tray", "fragment", "photo", "end"):
        made = [
            name for one in writers for form in one.acknowledged for what, name in form.rows if what == kind
        ]
        fresh = {name: n for name, n in after[kind].items() if before[kind].get(name) != n}
        if kind == "end":
            # The photograph of intake ends a step under the tag that was allotted.
            fresh = {name: n for name, n in fresh.items() if name in made or not name.endswith(" photograph")}
        assert fresh == dict.fromkeys(made, 1), kind
    taken = [n for name, n in after["plans"].items() if name not in before["plans"]]
    assert set(taken) == {1}


def test_log_and_tables_agree_and_the_files_are_whole(after: dict[str, Any]) -> None:
    """The fold, the database's own look at itself, and the sweep of the photographs with their hashes."""
    assert after["differences"] == []
    assert after["database"] == ["ok"]
    assert after["photo"]
    assert (after["rows_without_file"], after["files_without_row"], after["wrong_bytes"]) == ([], [], [])


def test_its_backup_restored_is_the_same_to_the_byte(worked: Worked, tmp_path: Path) -> None:
    """Backup, restore into a fresh practice, export of both."""
    practice, _before, _writers = worked
    went_well(strandline("backup", "--practice", practice, "--to", tmp_path / "kept"))
    (kept,) = (one for one in (tmp_path / "kept").iterdir() if one.suffix != ".sha256")
    with empty_database() as address:
        fresh = practice_on(tmp_path / "fresh", address)
        went_well(strandline("restore", kept, "--practice", fresh))
        first = went_well(strandline("export", "--practice", practice))
        again = went_well(strandline("export", "--practice", fresh))
    assert first.count(b"\n") > 100
    assert again == first
