"""The commands do what they say on the demo's files."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from pypdf import PdfReader

import strandline
from strandline.papers.registry import PAPERS
from strandline.services.given import MAKERS
from tests.cli.run import AS_OF, demo_file, run


def test_the_table_says_stop_and_look(tmp_path: Path) -> None:
    result = run("care", demo_file("first12.csv", tmp_path), "--as-of", AS_OF)
    assert result.exit_code == 1
    assert "STOP" in result.stdout
    assert "Not yet reviewed" in result.stdout
    assert len([line for line in result.stdout.splitlines() if line[:4].isdecimal()]) == 12


def test_one_object_in_full_gives_reasons_sources_and_questions(tmp_path: Path) -> None:
    listed, site = demo_file("list.csv", tmp_path), demo_file("site.toml", tmp_path)
    result = run("care", listed, "--site", site, "--as-of", AS_OF, "--show", "0002")
    for text in ("Hold it now", "because", "common practice", "Steps:", "Taken for granted"):
        assert text in result.stdout


def test_the_order_ends_in_whole_sentences(tmp_path: Path) -> None:
    result = run("order", demo_file("first12.csv", tmp_path), "--as-of", AS_OF)
    assert "if nothing is done. How much better it could be is not computed.\n" in result.stdout


def test_the_order_follows_its_schema_and_leaves_stops_alone(tmp_path: Path) -> None:
    listed, site = demo_file("list.csv", tmp_path), demo_file("site.toml", tmp_path)
    result = run("order", listed, "--site", site, "--as-of", AS_OF, "--json")
    document = json.loads(result.stdout)
    schema = json.loads(files("strandline.exchange").joinpath("schemas/order.1.json").read_text())
    Draft202012Validator(schema).validate(document)
    stops = {row["tag"] for row in document["stops"]}
    assert stops
    assert not stops & {row["tag"] for row in document["rows"]}


def test_every_paper_has_its_data() -> None:
    assert set(MAKERS) == set(PAPERS)


@pytest.mark.parametrize("name", sorted(PAPERS))
def test_each_paper_is_written_archival_and_tagged(name: str, tmp_path: Path) -> None:
    listed, site = demo_file("list.csv", tmp_path), demo_file("site.toml", tmp_path)
    result = run("papers", listed, "--site", site, "--as-of", AS_OF, "--to", tmp_path / "out", "--only", name)
    assert result.exit_code == 1, "the demo list holds stops"
    path = tmp_path / "out" / f"{name.replace('_', '-')}.pdf"
    catalog = PdfReader(path).trailer["/Root"]
    assert catalog["/MarkInfo"]["/Marked"]
    xmp = catalog["/Metadata"].get_object().get_data().decode()
    assert "pdfaid:part" in xmp
    assert "pdfuaid:part" in xmp


def test_an_override_shows_on_the_plan_and_in_the_json(tmp_path: Path) -> None:
    path = tmp_path / "o.toml"
    path.write_text(
        '[[override]]\ntarget = "act.sun.any"\nset = { how = "Shade cloth over the yard table." }\n'
        'reason = "no indoor room is left"\nperson = "lead conservator"\nat = "2026-03-15"\n'.replace(
            "act.sun.any", _sun_rule()
        ),
        encoding="utf-8",
    )
    listed = demo_file("first12.csv", tmp_path)
    result = run("care", listed, "--as-of", AS_OF, "--overrides", path, "--json")
    document = json.loads(result.stdout)
    assert document["made_by"]["overrides_sha256"]
    free = next(one for one in document["objects"] if one["route"] != "wait_for_conservator")
    sun = free["actions"]["sun"]
    assert sun["how"] == "Shade cloth over the yard table."
    assert any("no indoor room is left" in one.get("override", "") for one in sun["because"])
    assert any("no indoor room is left" in mark for mark in free["overrides"])


def _sun_rule() -> str:
    result = run("knowledge", "list", "verdict", "--json")
    return str(next(row["id"] for row in json.loads(result.stdout) if row["id"].startswith("act.sun.")))


def test_knowledge_lists_shows_and_checks(tmp_path: Path) -> None:
    assert "verdict" in run("knowledge", "list").stdout
    shown = run("knowledge", "show", "iron").stdout
    assert "rh_percent" in shown
    assert "Not yet reviewed" in shown
    path = tmp_path / "more.toml"
    path.write_text(
        '[[verdict]]\nid = "act.rinse.our_tap"\naction = "rinse"\n'
        'verdict = "careful"\nhow = "Bottled water only."\n'
        'why = "Our tap runs salty."\nconfidence = "c"\nwhen = { materials = ["iron"] }\n',
        encoding="utf-8",
    )
    assert run("knowledge", "check", path).exit_code == 0


def test_the_demo_makes_everything_it_names(tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    # In a program of its own: it opens a record, and a process has one only.
    command = [sys.executable, "-m", "strandline", "demo", "--to", str(folder)]
    where = {**os.environ, "PYTHONPATH": str(Path(strandline.__file__).parents[1])}
    result = subprocess.run(command, capture_output=True, text=True, check=False, env=where)
    assert result.returncode == 0, result.stderr
    for name in ("list.csv", "plans.json", "order.json", "papers/care-card.pdf", "papers/day-sheet.pdf"):
        assert (folder / name).stat().st_size > 1000
        assert name.split("/")[-1] in result.stdout
    assert (folder / "practice" / "strandline.sqlite3").stat().st_size > 1_000_000
    assert "strandline serve --practice" in result.stdout
    password = (folder / "LOG-INS.txt").read_text(encoding="utf-8").split("password for all of them: ")[1]
    assert password.split()[0] in result.stdout
