"""Receive: an object comes to the table, its tag is claimed, its facts are kept."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from strandline.records import translate
from strandline.records.models.facts import Observation
from strandline.records.models.objects import Join, Object, Part, Tag, TagRange
from strandline.records.models.people import Party, Person
from strandline.records.models.sites import Incident, Place
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.things.facts import Facts
from strandline.things.tags import LEAST_DIGITS, TagError, check_tag


def receive(
    caller: Caller, incident: Incident, facts: Facts, owner: Party | None = None, place: Place | None = None
) -> Object:
    """Take an object in under ``facts.tag``.  ``facts.owner`` is not kept: the owner is a party.

    Raises Refused for a tag that is malformed, in use, or set aside for another device.
    """
    payload = {"incident": incident, "facts": _payload(facts), "owner": owner, "place": place}

    def work(changes: Changes) -> None:
        claimable(incident, facts.tag, caller)
        at = now()
        thing = changes.create(
            Object, incident=incident, owner=owner, place=place, received_at=at,
            **translate.object_fields(facts),
        )  # fmt: skip
        changes.create(Tag, incident=incident, text=facts.tag, object=thing, claimed_at=at)
        _bodies(changes, thing, facts)
        by: Person = caller.person
        for known in translate.known_facts(facts):
            changes.create(
                Observation, object=thing, key=known.key, value=known.value, known_by=known.known_by,
                by=by, at=at,
            )  # fmt: skip

    act = perform(caller, Wanted("receive", payload, incident), work)
    return made_by(act, Object)


def _bodies(changes: Changes, thing: Object, facts: Facts) -> None:
    parts = {
        part.id: changes.create(Part, object=thing, **translate.part_fields(part, n))
        for n, part in enumerate(facts.parts)
    }
    for n, join in enumerate(facts.joins):
        first, second = (parts[one] for one in join.parts)
        changes.create(Join, object=thing, first=first, second=second, **translate.join_fields(join, n))


def _payload(facts: Facts) -> dict[str, Any]:
    found = asdict(facts)
    del found["owner"]
    return found


def claimable(incident: Incident, tag: str, caller: Caller) -> None:
    """Refuse a tag that cannot be claimed by this device."""
    try:
        check_tag(tag)
    except TagError as error:
        raise Refused(str(error)) from error
    if Tag.objects.filter(incident=incident, text=tag).exists():
        raise Refused(f"tag {tag} is already tied to an object; tags are never used twice")
    number = int(tag.partition("-")[0])
    others = TagRange.objects.filter(incident=incident, first__lte=number, last__gte=number)
    if others.filter(device__isnull=False).exclude(device=caller.device).exists():
        raise Refused(f"tag {tag} is set aside for another device")


def next_tag(incident: Incident) -> str:
    """The next tag nobody has and no range holds.  Somebody may be quicker: receive then refuses."""
    texts = Tag.objects.filter(incident=incident).values_list("text", flat=True)
    used = [int(text.partition("-")[0]) for text in texts]
    held = TagRange.objects.filter(incident=incident).values_list("last", flat=True)
    return f"{max([*used, *held], default=0) + 1:0{LEAST_DIGITS}d}"
