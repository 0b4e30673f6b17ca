"""A released stop in ``strandline.care/1``: two optional members, and none where nothing was released."""

import json
from dataclasses import replace
from datetime import UTC, datetime
from importlib.resources import files
from typing import Any

from jsonschema import Draft202012Validator

from strandline.care.engine import Engine
from strandline.exchange.care_json import PlanWriter
from strandline.knowledge.base import shipped
from strandline.things.facts import Facts, Part

NOW = datetime(2026, 3, 15, 15, 40, tzinfo=UTC)
PARTS = (Part("p1", "case", "mahogany", "wood"), Part("p2", "tube", "mercury", "working"))
STOPPED = Facts("0013", 2, title="Barometer", parts=PARTS, water=("brackish",))
LIFTED = replace(STOPPED, released=("mercury",))


def written(facts: Facts, writer: PlanWriter) -> dict[str, Any]:
    """The object as it is written."""
    return writer.object_dict(facts, Engine(shipped()).plan(facts, NOW))


def errors(found: dict[str, Any]) -> list[str]:
    """What the schema says against an object."""
    schema = json.loads(files("strandline.exchange").joinpath("schemas/care.1.json").read_text())
    one = {"$ref": "#/$defs/object", "$defs": schema["$defs"]}
    return [error.message for error in Draft202012Validator(one).iter_errors(found)]


def test_a_released_stop_is_written_and_follows_the_schema() -> None:
    """Among the facts which, at the hazard that it was one; its distance is no longer kept."""
    found = written(LIFTED, PlanWriter())
    assert errors(found) == []
    assert found["facts"]["released"] == ["mercury"]
    hazard = next(one for one in found["hazards"] if one["key"] == "mercury")
    assert (hazard["grade"], hazard["released"], "keep_m" in hazard) == ("guard", True, False)


def test_without_a_release_nothing_of_it_is_written() -> None:
    """Neither member stands anywhere; one writer that has written both does not mix them up."""
    writer = PlanWriter()
    written(LIFTED, writer)
    found = written(STOPPED, writer)
    assert errors(found) == []
    assert '"released":' not in json.dumps(found, separators=(",", ":"))
    assert next(one for one in found["hazards"] if one["key"] == "mercury")["grade"] == "stop"


def test_the_schema_takes_no_half_release() -> None:
    """A hazard was released or says nothing of it."""
    found = written(LIFTED, PlanWriter())
    found["hazards"][0]["released"] = False
    assert errors(found)
