"""``strandline dry`` with a room whose air the things in it wet: words, JSON, chart, and what is refused."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from strandline.cli import dry_room_tell
from strandline.cli.dry_options import DRIER_KINDS
from strandline.drying import together
from strandline.exchange.dry_json import dry_schema
from strandline.knowledge.driers import driers
from strandline.physics.coupled import NotSettled
from tests.cli.run import AS_OF, run

BOARDS = (
    "tag,title,materials,thickness_mm,length_mm,width_mm,water\n"
    "0001,Board,oak,25,900,200,clean\n"
    "0002,Plank,beech,40,900,200,clean\n"
    "0003,Strip,pine,12,900,200,clean\n"
    "0004,Slab,gypsum plaster,20,300,300,clean\n"
)
ROOM = ("--room-c", "18", "--room-rh", "60")
SHARED = (*ROOM, "--shared-room-m3", "30", "--air-changes", "0.3", "--outside", "11,92%")
FEW = ("--days", "5", "--members", "8", "--as-of", AS_OF)
MACHINE = ("--dehumidifier-l-per-day", "20")
OAK = ("--kind", "oak", "--thickness-mm", "25")


@pytest.fixture(scope="module")
def boards(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("lists") / "boards.csv"
    path.write_text(BOARDS, encoding="utf-8")
    return path


@cache
def told_of(path: Path, *more: str) -> dict[str, Any]:
    result = run("dry", path, *SHARED, *FEW, *more, "--json")
    found: dict[str, Any] = json.loads(result.stdout)
    return found


@pytest.mark.parametrize("more", [(), MACHINE])
def test_the_balance_adds_up_from_the_json_alone(boards: Path, more: tuple[str, ...]) -> None:
    told = told_of(boards, *more)
    assert list(Draft202012Validator(dry_schema()).iter_errors(told)) == []
    room = told["shared_room"]
    held = room["balance"]
    out = held["rise_kg"] + held["air_change_kg"] + held["machine_kg"] + held["dew_kg"] + held["miss_kg"]
    assert held["given_kg"] == pytest.approx(out, abs=1e-4 * held["given_kg"])
    assert abs(held["miss_kg"]) < 0.005 * held["given_kg"]
    assert (held["machine_kg"] > 0.0) == bool(more)
    assert room["bodies"] == 4
    assert room["by_formula"] == 1
    assert [one["until_h"] for one in room["days"]] == [24, 48, 72, 96, 120]


def test_every_body_is_forecast_in_it(boards: Path) -> None:
    told = told_of(boards)
    assert {flag["key"] for one in told["bodies"] for flag in one["flags"]} >= {"shared_room"}
    assert all(any(flag["key"] == "shared_room" for flag in one["flags"]) for one in told["bodies"])
    assert any("well mixed" in one for one in told["says"])
    assert not any("taken as given" in one for one in told["says"])
    plain = json.loads(run("dry", boards, *ROOM, *FEW, "--json").stdout)
    assert "shared_room" not in plain
    assert any("taken as given" in one for one in plain["says"])


def test_one_that_is_shown_dries_in_the_air_of_all(boards: Path) -> None:
    shown, whole = told_of(boards, "--show", "0001"), told_of(boards)
    assert [one["body"]["tag"] for one in shown["bodies"]] == ["0001"]
    assert shown["shared_room"] == whole["shared_room"]
    assert shown["bodies"][0]["series"] == whole["bodies"][0]["series"]


def test_the_words_say_the_numbers_of_the_json(boards: Path) -> None:
    room = told_of(boards, *MACHINE)["shared_room"]
    said = " ".join(run("dry", boards, *SHARED, *FEW, *MACHINE).stdout.split())
    low, mid, high = (f"{100 * one:.0f}" for one in room["rh"][-1])
    assert f"120 {low} {mid} {high}" in said
    assert "rated 20 l a day at 30 C and 80 %" in said
    low, mid, high = (f"{one:.1f}" for one in room["days"][0]["machine_kg"])
    assert f"{low} {mid} {high} 2 " in said
    low, mid, high = (f"{100 * one:.0f}" for one in told_of(boards)["shared_room"]["highest_rh"])
    without = " ".join(run("dry", boards, *SHARED, *FEW).stdout.split())
    assert f"highest {low} to {high} %, likely {mid}" in without


def test_one_body_has_a_room_too() -> None:
    said = run("dry", *OAK, *SHARED, "--days", "5", "--members", "8").stdout
    assert said.startswith("The room they share: 30 m3 at 18 C, 60 % at the start")
    assert "60 % at first, then the air it shares" in " ".join(said.split())


def test_the_chart_of_a_list_is_that_of_the_room(boards: Path, tmp_path: Path) -> None:
    path = tmp_path / "room.svg"
    assert run("dry", boards, *SHARED, *FEW, "--chart", path).exit_code == 0
    svg = path.read_text(encoding="utf-8")
    assert "Humidity of the room they share" in svg
    assert "4 bodies give off water" in svg
    body = tmp_path / "body.svg"
    assert run("dry", boards, *SHARED, *FEW, "--show", "0001", "--chart", body).exit_code == 0
    assert "then the air it shares" in body.read_text(encoding="utf-8")


def test_the_target_is_the_usual_one_and_may_be_said(boards: Path) -> None:
    assert told_of(boards)["shared_room"]["target_rh"] == 0.62
    assert told_of(boards, "--target-rh", "55")["shared_room"]["target_rh"] == 0.55


def test_a_room_that_does_not_settle_is_one_sentence(monkeypatch: pytest.MonkeyPatch, boards: Path) -> None:
    def fails(*_: Any, **__: Any) -> None:
        raise NotSettled("the room's humidity between hours 0 and 3 did not settle")

    monkeypatch.setattr(together, "dry_together", fails)
    result = run("dry", boards, *SHARED, *FEW)
    assert result.exit_code == 2
    assert "the room they share cannot be reckoned: the room's humidity" in result.stderr
    assert "Traceback" not in result.stderr


def test_the_kinds_of_machines_are_those_that_are_known() -> None:
    assert set(DRIER_KINDS) == set(driers().kinds) == set(dry_room_tell.KINDS)
    assert driers().kinds[DRIER_KINDS[0]].rated_temp_c == 30.0
    assert driers().kinds[DRIER_KINDS[0]].rated_rh == 0.8
    assert driers().kinds["desiccant"].rated_temp_c == 20.0
    assert driers().kinds["desiccant"].rated_rh == 0.6


def test_a_refrigerant_machine_does_little_in_the_cold(boards: Path) -> None:
    def takes(*more: str) -> float:
        cold = ("--room-c", "9", *SHARED[2:], "--air-changes", "0")
        told = json.loads(run("dry", boards, *cold, *FEW, *MACHINE, *more, "--json").stdout)
        found: float = told["shared_room"]["takes_at_target_kg_day"][1]
        return found

    plain = takes()
    assert 0.0 < plain < 0.2 * 20.0
    assert takes("--dehumidifier-kind", "desiccant") > 3.0 * plain


WANTS = "--outside wants C,RH% or UNTIL_H,C,RH%, for example 11,92% or 72,11,92%; got "
IN = ("--shared-room-m3", "30")


@pytest.mark.parametrize(
    ("more", "say"),
    [
        (("--air-changes", "1"), "--air-changes is of a room whose air the things wet"),
        (("--outside", "11,92%"), "--outside is of a room whose air the things wet"),
        (("--humidistat-rh", "50"), "--humidistat-rh is of a room whose air the things wet"),
        (MACHINE, "--dehumidifier-l-per-day is of a room whose air the things wet"),
        (IN, "--air-changes is missing"),
        ((*SHARED[4:], "--cover", "pe_50", "--then", "72,off"), "--then changes a cover later"),
        ((*IN, *SHARED[6:], "--room", "72,9,70%"), "--room"),
        ((*IN, "--air-changes", "1"), "--outside is missing"),
        ((*SHARED[4:], "--outside", "4,70"), "--outside: only the last may leave out"),
        ((*IN, "--air-changes", "1", "--outside", "warm"), f"{WANTS}'warm'"),
        ((*IN, "--air-changes", "1", "--outside", "1,2,3,4"), f"{WANTS}'1,2,3,4'"),
        ((*IN, "--air-changes", "1", "--outside", "nan,50"), "--outside wants C,RH% or UNTIL_H,C,RH%"),
        ((*IN, "--air-changes", "1", "--outside", "11,0"), "--outside: relative humidity is from 1 to 100"),
        ((*IN, "--air-changes", "1", "--outside", "0,11,92"), "the hour until which it holds is above 0"),
        ((*SHARED[4:], "--dehumidifier-kind", "desiccant"), "--dehumidifier-kind is of a dehumidifier"),
        ((*SHARED[4:], *MACHINE, "--dehumidifier-rated-at", "30"), "--dehumidifier-rated-at wants C,RH%"),
        (
            (*SHARED[4:], *MACHINE, "--dehumidifier-rated-at", "30,nan"),
            "--dehumidifier-rated-at wants C,RH%",
        ),
    ],
)
def test_what_is_refused_in_one_sentence(more: tuple[str, ...], say: str) -> None:
    result = run("dry", *OAK, *ROOM, *more)
    assert result.exit_code == 2
    assert say in result.stderr
    assert result.stderr.count("strandline:") == 1
    assert result.stdout == ""
