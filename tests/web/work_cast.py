"""Things in the record for the tests of the work pages."""

from __future__ import annotations

from typing import Any

from strandline.records.models.objects import Object
from strandline.records.models.plans import PlanSnapshot
from strandline.services.end_step import end_step
from strandline.services.plan import newest, plan
from strandline.things.facts import Part
from tests.records.cast import incident
from tests.services.doing import barometer, by, received


def planned(tag: str, material: str = "oak", family: str = "wood", **more: Any) -> Object:
    """A thing of one material, received and planned."""
    part = Part("p1", "body", material, family, surface="stated")
    wanted: dict[str, Any] = {"title": f"Thing {tag}", "materials": material, "parts": (part,), "joins": ()}
    thing = received(tag, **{**wanted, **more})
    plan(by(), thing)
    return Object.objects.get(pk=thing.pk)


def salty_pot(tag: str) -> Object:
    """A pot full of salt: whether it is rinsed is for the lead to say."""
    return planned(tag, "ceramic_salty", "ceramic", title="Bait pot")


def stopped(tag: str = "0013") -> Object:
    """A barometer nobody goes near."""
    thing = barometer(tag)
    plan(by(), thing)
    return Object.objects.get(pk=thing.pk)


def done_with(thing: Object) -> None:
    """End every step of a thing, as not done for want of time."""
    found = the_plan(thing)
    for step in found.result["steps"]:
        end_step(by(), found, step["key"], "not_done", "no_time")


def the_plan(thing: Object) -> PlanSnapshot:
    """The newest plan of a thing."""
    found = newest(thing)
    assert found is not None
    return found


def address(page: str) -> str:
    """Where a page of the incident lies."""
    return f"/{incident().code}/{page}"
