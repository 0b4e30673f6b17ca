"""How the demo's story is told: by acts of invented people, each at its hour of the story."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any
from uuid import UUID, uuid5

from strandline.records.models.facts import Observation
from strandline.records.models.objects import Object
from strandline.records.models.people import Device, Party, Person
from strandline.records.models.sites import Incident, Place
from strandline.services import clock
from strandline.services.acting import Caller
from strandline.services.end_step import end_step
from strandline.services.plan import newest
from strandline.services.plan import plan as make_plan
from strandline.services.resolve import resolve
from strandline.services.standing import open_steps

STORY = UUID("6f1de0a4-7b53-4b6e-9d3a-5f0a8c1e2d47")
"""From it every key of the story is made, so that a story told twice is told once."""


@dataclass(slots=True)
class Story:
    """The people, places and devices of a demo, and the hour it has come to."""

    people: dict[str, Person] = field(default_factory=dict)
    devices: dict[str, Device] = field(default_factory=dict)
    places: dict[str, Place] = field(default_factory=dict)
    parties: dict[str, Party] = field(default_factory=dict)
    site: Incident | None = None
    _acts: int = 0

    @property
    def incident(self) -> Incident:
        """The incident, once it is open."""
        if self.site is None:
            raise LookupError("the story has no incident yet")
        return self.site

    def at(self, text: str) -> None:
        """Go to an hour of the story, such as 2026-03-15 16:40 (UTC)."""
        clock.run_from(datetime.fromisoformat(text).replace(tzinfo=UTC))

    def by(self, who: str, device: str = "laptop") -> Caller:
        """Somebody acts."""
        self._acts += 1
        key = uuid5(STORY, f"{self._acts} {who}")
        return Caller(self.people[who], key, clock.now(), self.devices[device], self._acts)

    def thing(self, tag: str) -> Object:
        """The object of a tag."""
        found = resolve(self.incident, tag)
        if not isinstance(found, Object):
            raise LookupError(f"the story has no {tag}")
        return found

    def plan(self, who: str, thing: Object, device: str = "laptop") -> None:
        """A new plan."""
        make_plan(self.by(who, device), thing)

    def last(self, thing: Object, key: str) -> Observation | None:
        """What is known of a thing by this key."""
        rows = thing.observations.filter(key=key, part__isnull=True, superseded_by__isnull=True)
        return rows.order_by("at", "id").last()

    def do_next(self, who: str, thing: Object, count: int, device: str = "rinse phone", **more: Any) -> int:
        """End the next steps that this person may do, up to ``count`` of them; how many it were."""
        done = 0
        while done < count:
            found = newest(thing)
            left = open_steps(found) if found else []
            if not found or not left or not self._may(who, left[0]):
                return done
            end_step(self.by(who, device), found, left[0]["key"], "done", **more)
            done += 1
        return done

    def _may(self, who: str, step: dict[str, Any]) -> bool:
        return step["role"] != "conservator" or self.people[who].role != "helper"
