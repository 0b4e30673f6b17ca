"""Every kind of body through the engine itself, in every view: text, JSON and chart, alone and in a list."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from strandline.exchange.dry_json import dry_schema
from strandline.knowledge.bodies import MODELS, bodies
from strandline.knowledge.timbers import timbers
from tests.cli.run import AS_OF, run

SMALL = ("--room-c", "12", "--room-rh", "60", "--days", "3", "--members", "8", "--as-of", AS_OF)
OTHERS = tuple(bodies())
WOODS = tuple(one.key for one in timbers()[:: max(1, len(timbers()) // 12)])
VAGUE = ("oak", "hardwood", "timber", "board_composite")
CIRCUMSTANCES = (
    ("--under-water-h", "12"),
    ("--cover", "pe_50", "--gap", "hole,6,side,4", "--moisture-percent", "30"),
    ("--wet-mass-g", "900", "--out-h", "60"),
)


def test_every_model_is_among_them() -> None:
    assert {bodies()[key].model for key in OTHERS} == set(MODELS)
    assert len(WOODS) >= 12


@pytest.mark.parametrize("kind", [*OTHERS, *WOODS, *VAGUE])
def test_no_view_of_any_kind_breaks(kind: str, tmp_path: Path) -> None:
    """A traceback would be an exception that click hands on; a chart is drawn or refused in a sentence."""
    for number, more in enumerate(CIRCUMSTANCES):
        asked = ("dry", "--kind", kind, "--thickness-mm", "12", *SMALL, *more)
        text = run(*asked)
        assert text.exit_code == 0, f"{text.output} {text.exception!r}"
        assert re.findall(r"\de[-+]\d", text.stdout) == []
        document = json.loads(run(*asked, "--json").stdout)
        assert list(Draft202012Validator(dry_schema()).iter_errors(document)) == []
        (body,) = document["bodies"]
        path = tmp_path / f"{number}.svg"
        chart = run(*asked, "--chart", path)
        if body["model"] == "none":
            assert (chart.exit_code, path.exists()) == (2, False)
            assert "no course to draw" in chart.stderr
        else:
            assert chart.exit_code == 0, f"{chart.output} {chart.exception!r}"
            assert "NaN" not in path.read_text(encoding="utf-8")


def test_bodies_of_pores_show_their_water_and_say_they_are_three_readings() -> None:
    told = run("dry", "--kind", "brick", "--thickness-mm", "65", *SMALL).stdout
    assert "60 %; 3 d ahead, three readings" in told
    assert "hours  water, %\n" in told, "no surface is reckoned"
    assert "are three readings, a fast, a likely and a slow one" in " ".join(told.split())
    assert "Each figure was reckoned" not in told


def test_a_list_of_every_model(tmp_path: Path) -> None:
    """Wood, pores, skin and a glaze side by side: one line each, and each in full."""
    path = tmp_path / "list.csv"
    path.write_text(
        "tag,title,materials,thickness_mm,water\n0001,Board,oak,18,clean\n0002,Cast,plaster,15,clean\n"
        "0003,Strap,leather,3,clean\n0004,Plate,stoneware,,clean\n0005,Slab,marble,30,clean\n",
        encoding="utf-8",
    )
    table = run("dry", path, *SMALL)
    assert table.exit_code == 0, f"{table.output} {table.exception!r}"
    rows = [line for line in table.stdout.splitlines() if line[:4].isdecimal()]
    assert [row[:4] for row in rows] == ["0001", "0002", "0003", "0004", "0005"]
    assert " own " in rows[2]
    for tag in ("0001", "0002", "0003", "0004", "0005"):
        shown = run("dry", path, *SMALL, "--show", tag)
        assert shown.exit_code == 0, f"{shown.output} {shown.exception!r}"
        drawn = run("dry", path, *SMALL, "--show", tag, "--chart", tmp_path / f"{tag}.svg")
        assert drawn.exit_code == (2 if tag == "0004" else 0)
