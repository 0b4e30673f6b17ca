"""Receive: an object comes to the table, its tag is claimed, its facts are kept."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from strandline.records import translate
from strandline.records.models.facts import Observation
from strandline.records.models.objects import Fragment, Join, Object, Part, Tag, TagRange
from strandline.records.models.people import Party, Person
from strandline.records.models.sites import Incident, Place
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.standing import sought
from strandline.services.together import hold
from strandline.things.facts import Facts
from strandline.things.tags import LEAST_DIGITS, TagError, check_tag

HIGHEST = 10**9 - 1
"""Tags have nine digits at most."""


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
            significance=facts.significance, sought=_sought(facts),
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


def _sought(facts: Facts) -> str:
    return sought(facts.tag, facts.title, facts.materials, facts.owner_number, facts.klass, facts.place)


def _payload(facts: Facts) -> dict[str, Any]:
    found = asdict(facts)
    # Both may hold what people would want to be forgotten; the log forgets nothing.
    del found["owner"], found["kept"]
    return found


def claimable(incident: Incident, tag: str, caller: Caller) -> None:
    """Refuse a tag that cannot be claimed by this device; within a transaction, as others wait meanwhile."""
    free(incident, tag)
    number = int(tag.partition("-")[0])
    others = TagRange.objects.filter(incident=incident, first__lte=number, last__gte=number)
    if others.filter(device__isnull=False).exclude(device=caller.device).exists():
        raise Refused(f"tag {tag} is set aside for another device")


def free(incident: Incident, tag: str) -> None:
    """Refuse a tag that is malformed or tied to an object or a fragment; within a transaction."""
    try:
        check_tag(tag)
    except TagError as error:
        raise Refused(str(error)) from error
    hold(incident)
    for model, what in (
        (Tag.objects.filter(text=tag), "an object"),
        (Fragment.objects.filter(tag=tag), "a fragment"),
    ):
        if model.filter(incident=incident).exists():
            raise Refused(f"tag {tag} is already tied to {what}; tags are never used twice")


def next_tag(incident: Incident) -> str:
    """The next tag nobody has and no range holds.  Somebody may be quicker: receive then refuses.

    It is the one after the highest, as lower ones may hang on things nobody has recorded yet; a gap is filled
    only when the highest tag there can be is taken.
    """
    objects = Tag.objects.filter(incident=incident).values_list("text", flat=True)
    fragments = Fragment.objects.filter(incident=incident).values_list("tag", flat=True)
    used = {int(text.partition("-")[0]) for text in (*objects, *fragments)}
    ranges = list(TagRange.objects.filter(incident=incident).values_list("first", "last"))
    after = sorted({0, *used, *(last for _, last in ranges)}, reverse=True)
    fits = [number + 1 for number in after if number < HIGHEST]
    if fits and fits[0] == after[0] + 1:
        return f"{fits[0]:0{LEAST_DIGITS}d}"
    gaps = (one for one in reversed(fits) if one not in used and not any(a <= one <= z for a, z in ranges))
    found = next(gaps, None)
    if found is None:
        raise Refused("no tag is left in this incident")
    return f"{found:0{LEAST_DIGITS}d}"
