"""``strandline.order/1`` as it leaves: valid, finite, the same each time."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest
from jsonschema import Draft202012Validator, ValidationError  # type: ignore[import-untyped]  # ships no types

from strandline.exchange.order_json import order_document, order_schema
from strandline.things.work import Op
from strandline.workplan.explain import explain
from strandline.workplan.rules import apparent_tardiness
from tests.workplan.instances import flood

MADE_BY = {"strandline": "0.1.0", "knowledge": "2026.1"}


def document() -> dict[str, Any]:
    """Forty objects; one under a stop, one whose step has no station."""
    problem = flood(40, 2)
    kiln = replace(
        problem.jobs[1], ops=(*problem.jobs[1].ops[:2], Op("fire", "kiln", "helper", 5)), stable_after=2
    )
    stop = replace(problem.jobs[0], stop="mercury", stop_say="Silver liquid.", release="fire brigade")
    problem = replace(problem, jobs=(stop, kiln, *problem.jobs[2:]))
    schedule = apparent_tardiness(problem)
    return order_document(problem, schedule, explain(problem, schedule), MADE_BY)


def validator() -> Draft202012Validator:
    """For the schema that ships."""
    return Draft202012Validator(order_schema())


def test_the_schema_is_a_schema() -> None:
    """Draft 2020-12 accepts it."""
    Draft202012Validator.check_schema(order_schema())


def test_the_document_is_valid() -> None:
    """As it stands and after a trip through text, with no number that JSON does not know."""
    made = document()
    validator().validate(made)
    assert json.loads(json.dumps(made, allow_nan=False)) == made


def test_rows_are_in_the_order_of_work() -> None:
    """Places from 1, the first dear step never earlier than that of the row before, every tag somewhere."""
    made = document()
    assert [row["place"] for row in made["rows"]] == list(range(1, 39))
    cheap = {"photograph", "tag", "look"}
    begun = [next(s["start_h"] for s in row["steps"] if s["key"] not in cheap) for row in made["rows"]]
    assert begun == sorted(begun)
    tags = [row["tag"] for row in made["rows"]] + [one["tag"] for one in made["unplaced"]]
    assert sorted(tags) == [f"{n:04d}" for n in range(1, 41)]


def test_stops_and_the_rest_are_said() -> None:
    """The stop stands apart and in unplaced; what could be done of the other is listed."""
    made = document()
    assert made["stops"] == [
        {
            "tag": "0001",
            "title": made["stops"][0]["title"],
            "hazard": "mercury",
            "say": "Silver liquid.",
            "release": "fire brigade",
        }
    ]
    assert {one["tag"]: (one["reason"], len(one["steps"])) for one in made["unplaced"]} == {
        "0001": ("stop", 0),
        "0002": ("no_station", 2),
    }


def test_trays_and_rows_agree() -> None:
    """A row names the tray that holds it, and the tray's steps are steps of each member."""
    made = document()
    tray_of = {tag: tray["n"] for tray in made["trays"] for tag in tray["tags"]}
    steps = {row["tag"]: {step["key"] for step in row["steps"]} for row in made["rows"]}
    assert tray_of
    assert {row["tag"]: row["tray"] for row in made["rows"] if row["tray"]} == tray_of
    for tray in made["trays"]:
        assert all(set(tray["steps"]) <= steps[tag] for tag in tray["tags"])


def test_no_bound_is_claimed() -> None:
    """Null, with a note; nothing random, nothing timed."""
    made = document()
    assert (made["bound"], made["bound_note"]) == (None, "no bound computed")
    assert (made["seed"], made["seconds"]) == (None, None)
    assert 0 < made["loss"]["expected"] < made["loss"]["if_nothing_done"] <= made["loss"]["total_weight"]


def test_the_same_problem_gives_the_same_bytes() -> None:
    """Twice the same."""
    assert json.dumps(document()) == json.dumps(document())


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("schema",), "strandline.order/2"),
        (("as_of",), "2026-03-15 15:40"),
        (("rows", 0, "place"), 0),
        (("rows", 0, "why"), "Because."),
        (("rows", 0, "steps", 0, "people"), []),
        (("unplaced", 0, "reason"), "late"),
        (("trays", 0, "tags"), ["0003"]),
        (("loss", "expected"), None),
    ],
)
def test_the_schema_refuses(path: tuple[str | int, ...], value: object) -> None:
    """What the contract does not allow."""
    made = document()
    place: Any = made
    for key in path[:-1]:
        place = place[key]
    place[path[-1]] = value
    with pytest.raises(ValidationError):
        validator().validate(made)
