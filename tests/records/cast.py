"""People and things of the tests, in the invented world of the Ostrey Reach Net Loft."""

from datetime import UTC, datetime
from typing import Any

from strandline.records.models.objects import Object, Tag
from strandline.records.models.people import Device, Party, Person
from strandline.records.models.sites import Incident, Practice, Site

NOW = datetime(2026, 3, 15, 15, 40, tzinfo=UTC)


def incident(code: str = "ORNL1") -> Incident:
    """The flood of the loft."""
    found = Incident.objects.filter(code=code).first()
    if found:
        return found
    practice = Practice.objects.first() or Practice.objects.create(name="A practice of one")
    site = Site.objects.create(practice=practice, name="Ostrey Reach Net Loft")
    return Incident.objects.create(site=site, code=code, name="High water", opened_at=NOW)


def person(role: str) -> Person:
    """Somebody in this role, always the same one."""
    return Person.objects.filter(role=role).first() or Person.objects.create(
        name=f"{role} number 3 of the loft", role=role
    )


def helper() -> Person:
    """A helper."""
    return person("helper")


def lead() -> Person:
    """The lead conservator."""
    return person("lead")


def device() -> Device:
    """The phone at the intake table."""
    return Device.objects.first() or Device.objects.create(name="intake phone", first_seen_at=NOW)


def owner() -> Party:
    """The owner of the loft."""
    return Party.objects.first() or Party.objects.create(name="The loft's trustees", contact="by the door")


def an_object(tag: str, **more: Any) -> Object:
    """An object with its tag claimed."""
    where = more.pop("incident", None) or incident()
    made = Object.objects.create(incident=where, tag=tag, received_at=NOW, **more)
    Tag.objects.create(incident=where, text=tag, object=made, claimed_at=NOW)
    return made
