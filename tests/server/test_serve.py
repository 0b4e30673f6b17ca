"""``strandline serve`` as a person meets it: the first lead, one server at a time, a polite end."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.records.programs import empty_database, practice_on, program
from tests.server.crew import PASSWORD, Browser
from tests.server.serving import Server, free_port

SERVE = "from strandline.cli.main import main; main()"


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    """A server over a practice that is not there yet."""
    with empty_database() as address:
        practice = practice_on(tmp_path / "practice", address)
        one = Server(practice, free_port())
        one.start()
        yield one
        one.kill()


def begun(server: Server) -> Browser:
    """The first lead has begun the record, with the code in the window."""
    found = re.search(r"asks for this code: ([A-Z0-9]{4}-[A-Z0-9]{4})\n", server.said())
    assert found
    browser = Browser(server.port)
    assert browser.get("/").location.startswith("/sign-in/")
    assert browser.get("/sign-in/").location == "/begin/"
    browser.get("/begin/")
    fields = {"name": "lead conservator", "username": "lead", "password": PASSWORD}
    wrong = browser.post("/begin/", {**fields, "code": "AAAA-AAAA"})
    assert (wrong.status, b"not the code that was printed" in wrong.body) == (422, True)
    answer = browser.post("/begin/", {**fields, "code": found[1]})
    assert (answer.status, answer.location) == (302, "/")
    return browser


def test_a_record_is_begun_once_by_whoever_reads_the_window(server: Server) -> None:
    """The code is asked for, is good once, and is not printed again; a log-in outlives the server."""
    browser = begun(server)
    assert browser.get("/").status == 200
    late = Browser(server.port)
    assert late.get("/begin/").status == 403
    server.kill()
    server.start()
    assert "asks for this code" not in server.said()
    assert browser.get("/").status == 200
    late.sign_in("lead")
    assert late.get("/start/").status == 200


def test_one_server_at_a_time(server: Server) -> None:
    """A second one is told who has the practice, and a port that is taken is named; the first goes on."""
    taken = program(SERVE, "serve", "--practice", server.practice.parent / "other", "--port", server.port)
    second = program(SERVE, "serve", "--practice", server.practice, "--port", free_port())
    for done, why in ((taken, f"port {server.port} cannot be used"), (second, "another Strandline has ")):
        said = done.stderr.decode()
        assert (done.returncode, why in said, said.count("\n")) == (2, True, 1), said
    assert Browser(server.port).get("/begin/").status == 200


def test_a_polite_end_leaves_a_backup(server: Server) -> None:
    """It says so; a killed server leaves none, and the next one serves the same record."""
    begun(server)
    backups = server.practice / "backups"
    server.kill()
    assert list(backups.iterdir()) == []
    server.start()
    assert server.stop() == 0
    assert "Stopping; a backup is made first." in server.said()
    assert len(list(backups.glob("*.sha256"))) == 1
    server.start()
    assert server.stop() == 0
    assert len(list(backups.glob("*.sha256"))) == 1, "nothing changed since"


EARLY = """
import os, signal
from strandline.cli import main, serve
from strandline.records.rounds import Rounds

def ended_first(do):
    def both(*given):
        os.kill(os.getpid(), signal.SIGTERM)
        return do(*given)
    return both

{place} = ended_first({place})
main.main()
"""


@pytest.mark.parametrize("place", ["serve.told", "Rounds.start"])
def test_an_end_before_it_has_quite_begun_is_polite(tmp_path: Path, place: str) -> None:
    """Whoever ends it with the first word in the window gets the backup, too, and no error."""
    with empty_database() as address:
        practice = practice_on(tmp_path / "practice", address)
        done = program(EARLY.format(place=place), "serve", "--practice", practice, "--port", free_port())
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"Stopping; a backup is made first." in done.stdout
    assert len(list((practice / "backups").glob("*.sha256"))) == 1
