"""``strandline.care/1`` as it leaves the command line: its schema and every promise about its contents."""

from __future__ import annotations

import csv
import io
import json
import random
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from strandline.knowledge.base import shipped
from strandline.knowledge.reading.tokens import tokens
from tests.cli.run import AS_OF, care_json, demo_file

RANK = {"yes": 0, "careful": 1, "refer": 2, "no": 3}


@pytest.fixture(scope="module")
def document(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    folder = tmp_path_factory.mktemp("demo")
    return care_json(
        demo_file("list.csv", folder), "--site", demo_file("site.toml", folder), "--as-of", AS_OF
    )


def test_the_document_follows_its_schema(document: dict[str, Any]) -> None:
    schema = json.loads(files("strandline.exchange").joinpath("schemas/care.1.json").read_text())
    Draft202012Validator.check_schema(schema)
    errors = [
        f"{list(e.path)[:6]}: {e.message[:200]}" for e in Draft202012Validator(schema).iter_errors(document)
    ]
    assert errors == []


def test_rows_are_objects_and_rejected(document: dict[str, Any]) -> None:
    head = document["list"]
    assert head["rows"] == head["objects"] + head["rejected"]
    assert head["objects"] == len(document["objects"])
    assert len({one["tag"] for one in document["objects"]}) == head["objects"]


def every_because(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        if {"rule", "why", "confidence"} <= value.keys():
            yield value
        for inner in value.values():
            yield from every_because(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from every_because(inner)


def test_every_reason_is_whole_and_its_sources_resolve(document: dict[str, Any]) -> None:
    sources = set(shipped().sources)
    seen = 0
    for because in every_because(document["objects"]):
        seen += 1
        assert because["why"]
        assert because["confidence"] == "c" or because["source"], because["rule"]
        assert {cite["key"] for cite in because["source"]} <= sources
    assert seen > 10_000


def test_careful_refer_and_no_say_how_and_why(document: dict[str, Any]) -> None:
    for one in document["objects"]:
        for name, action in one["actions"].items():
            if action["verdict"] != "yes":
                assert action["how"], (one["tag"], name)
                assert action["because"], (one["tag"], name)


def test_parts_joins_and_spans_hold_together(document: dict[str, Any]) -> None:
    for one in document["objects"]:
        ids = [part["id"] for part in one["parts"]]
        assert len(ids) == len(set(ids))
        for join in one["joins"]:
            assert set(join["parts"]) <= set(ids)
        for part in one["parts"]:
            if part["known_by"] == "stated" and part["column"] in {"title", "materials", "class"}:
                assert part["span"] in one[part["column"]], (one["tag"], part)


def test_every_word_is_accounted_for(document: dict[str, Any]) -> None:
    """Each word of title, materials and class lies in a part, was read as something, or is listed."""
    for one in document["objects"]:
        for column in ("title", "materials", "class"):
            listed = [word["word"] for key in ("read", "harmless", "unread") for word in one[key]]
            told = " ".join([*listed, *(part["span"] for part in one["parts"])]).lower()
            lost = [token.text for token in tokens(one[column]) if token.text.lower() not in told]
            assert lost == [], (one["tag"], column)


def test_a_stop_comes_first_and_holds(document: dict[str, Any]) -> None:
    stopped = [one for one in document["objects"] if any(h["grade"] == "stop" for h in one["hazards"])]
    assert 5 <= len(stopped) <= 12
    for one in stopped:
        assert one["hazards"][0]["grade"] == "stop"
        assert (one["route"], one["zone"]) == ("wait_for_conservator", "hazard_hold")
        assert all(RANK[action["verdict"]] >= RANK["refer"] for action in one["actions"].values())


def test_limits_are_the_parts_or_a_conflict_explains_them(document: dict[str, Any]) -> None:
    for one in document["objects"]:
        for key, (low, high) in one["limits"].items():
            bands = [part["limits"][key] for part in one["parts"] if key in part["limits"]]
            meet = [max(band[0] for band in bands), min(band[1] for band in bands)]
            named = any(conflict["about"] == f"limit:{key}" for conflict in one["conflicts"])
            assert named or meet == [low, high], (one["tag"], key, meet, [low, high])


def test_steps_are_permitted(document: dict[str, Any]) -> None:
    for one in document["objects"]:
        for step in one["steps"]:
            if step["action"]:
                local = step.get("verdict_of")
                held = next((p["local"] for p in one["parts"] if p["id"] == local), one["actions"])
                verdict = held[step["action"]]["verdict"] if step["action"] in held else "refer"
                assert verdict != "no", (one["tag"], step["key"])
                assert verdict != "refer" or step["role"] == "conservator", (one["tag"], step["key"])


def test_the_look_comes_before_the_water(document: dict[str, Any]) -> None:
    for one in document["objects"]:
        order = {step["key"]: step["n"] for step in one["steps"]}
        if "rinse" in order and "look_surface" in order:
            assert order["look_surface"] < order["rinse"], one["tag"]


def test_questions_are_sorted_by_what_they_change(document: dict[str, Any]) -> None:
    for one in document["objects"]:
        changes = [question["changes"] for question in one["assumed"]]
        assert changes == sorted(changes, reverse=True)


def test_row_and_column_order_change_nothing(tmp_path: Path) -> None:
    """With a tag on every row, objects without their row numbers have the same bytes in any order."""
    rows = list(csv.reader(io.StringIO(demo_file("first12.csv", tmp_path).read_text(encoding="utf-8"))))
    rng = random.Random(5)
    columns = list(range(len(rows[0])))
    body = rows[1:]
    rng.shuffle(columns)
    rng.shuffle(body)
    out = io.StringIO()
    csv.writer(out).writerows([[row[index] for index in columns] for row in (rows[0], *body)])
    shuffled = tmp_path / "shuffled.csv"
    shuffled.write_text(out.getvalue(), encoding="utf-8")
    straight = care_json(tmp_path / "first12.csv", "--as-of", AS_OF)
    mixed = care_json(shuffled, "--as-of", AS_OF)
    assert _without_rows(straight) == _without_rows(mixed)


def _without_rows(document: dict[str, Any]) -> str:
    objects = sorted(document["objects"], key=lambda one: str(one["tag"]))
    return json.dumps([{key: value for key, value in one.items() if key != "row"} for one in objects])


def test_facts_in_any_order_give_the_same_plan(tmp_path: Path) -> None:
    texts = (
        ("iron;timber", "hinged_lid;hollow", "brackish;sewage"),
        ("timber;iron", "hollow;hinged_lid", "sewage + brackish"),
    )
    found = []
    for n, (materials, features, water) in enumerate(texts):
        path = tmp_path / f"{n}.csv"
        path.write_text(
            f'tag,materials,features,water\n0001,"{materials}","{features}","{water}"\n', encoding="utf-8"
        )
        one = care_json(path, "--as-of", AS_OF)["objects"][0]
        found.append(
            {key: one[key] for key in ("actions", "route", "zone", "limits", "steps", "clocks", "conflicts")}
        )
    assert found[0] == found[1]
