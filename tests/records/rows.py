"""Puts facts into rows without a service, for the tests of the translation."""

from strandline.records import translate
from strandline.records.models.facts import Observation
from strandline.records.models.objects import Join, Object, Part
from strandline.records.models.people import Party
from strandline.things.facts import Facts
from tests.records.cast import NOW, incident


def put(facts: Facts) -> Object:
    """An object with its parts, joins and observations."""
    owner = Party.objects.create(name=facts.owner) if facts.owner else None
    fields = translate.object_fields(facts)
    thing = Object.objects.create(incident=incident(), owner=owner, received_at=NOW, **fields)
    parts = {
        part.id: Part.objects.create(object=thing, **translate.part_fields(part, n))
        for n, part in enumerate(facts.parts)
    }
    for n, join in enumerate(facts.joins):
        first, second = (parts[one] for one in join.parts)
        Join.objects.create(object=thing, first=first, second=second, **translate.join_fields(join, n))
    for known in translate.known_facts(facts):
        Observation.objects.create(
            object=thing, key=known.key, value=known.value, known_by=known.known_by, at=NOW
        )
    return Object.objects.get(pk=thing.pk)
