"""Short ways to act in the tests of the services."""

import uuid
from typing import Any

from strandline.records.models.objects import Object
from strandline.records.models.people import Person
from strandline.services.acting import Caller
from strandline.services.receive import receive
from strandline.things.facts import Facts, Join, Part
from tests.records.cast import NOW, device, helper, incident


def by(person: Person | None = None, key: uuid.UUID | None = None) -> Caller:
    """A caller with a new key."""
    return Caller(person or helper(), key or uuid.uuid4(), NOW, device(), 1)


CHEST = (
    Part("p1", "chest", "oak", "wood", features=("painted",), surface="stated"),
    Part("p2", "bands", "iron", "metal", thickness_mm=2.5, thickness_by="measured"),
)
BAROMETER = (Part("p1", "case", "mahogany", "wood"), Part("p2", "tube", "mercury", "working"))


def facts(tag: str = "0042", **more: Any) -> Facts:
    """A chest of painted oak with iron bands, or what ``more`` says."""
    wanted: dict[str, Any] = {
        "title": "Sea chest", "materials": "oak, iron", "parts": CHEST,
        "joins": (Join("j1", "riveted", ("p1", "p2")),), "water": ("brackish",), **more,
    }  # fmt: skip
    return Facts(tag, 0, **wanted)


def received(tag: str = "0042", **more: Any) -> Object:
    """That chest, received."""
    return receive(by(), incident(), facts(tag, **more))


def barometer(tag: str = "0013") -> Object:
    """A barometer with its mercury: the work stops at it."""
    return received(tag, title="Barometer", materials="mahogany, mercury", parts=BAROMETER, joins=())
