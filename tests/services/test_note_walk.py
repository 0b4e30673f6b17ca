"""A walk is noted: who may, which rooms, which pictures, once."""

import uuid

import pytest

from strandline.records.models.acts import Act, Refusal
from strandline.records.models.sites import Place
from strandline.services.acting import KeyTaken, NotAllowed, Refused
from strandline.services.note_walk import note_walk
from tests.records.cast import incident, person
from tests.services.doing import by

pytestmark = pytest.mark.django_db


def room(name: str = "long room", code: str = "ORNL1", kind: str = "room") -> Place:
    """A place of the loft."""
    return Place.objects.create(incident=incident(code), kind=kind, name=name)


def test_the_act_is_the_record() -> None:
    """What was seen, each once and in order, and the room by uid; no table changes."""
    where = room()
    act = note_walk(by(), incident(), where, ["silver", "dial", "silver"])
    assert act.payload == {
        "incident": str(incident().uid),
        "place": str(where.uid),
        "seen": ["dial", "silver"],
    }
    assert (act.before, act.after) == ({}, {})


def test_twice_with_one_key_is_once() -> None:
    """The same again is the same act; another thing under the key is refused."""
    where, key = room(), uuid.uuid4()
    first = note_walk(by(key=key), incident(), where, [])
    assert note_walk(by(key=key), incident(), where, []).pk == first.pk
    with pytest.raises(KeyTaken):
        note_walk(by(key=key), incident(), where, ["gun"])
    assert Act.objects.count() == 1


@pytest.mark.parametrize(
    ("place", "seen", "why"),
    [
        ({"code": "ORNL2"}, [], "another incident"),
        ({"kind": "shelf"}, [], "goes through a room"),
        ({}, ["dragon"], "none of the pictures"),
    ],
)
def test_what_is_refused(place: dict[str, str], seen: list[str], why: str) -> None:
    """Each with its sentence, and the refusal is kept."""
    with pytest.raises(Refused, match=why):
        note_walk(by(), incident(), room(**place), seen)
    assert why in Refusal.objects.get().reason
    assert not Act.objects.exists()


def test_a_viewer_walks_no_room() -> None:
    """Hands do: lead, conservator, helper."""
    where = room()
    with pytest.raises(NotAllowed):
        note_walk(by(person("viewer")), incident(), where, [])
    for role in ("lead", "conservator", "helper"):
        note_walk(by(person(role)), incident(), where, [])
    assert Act.objects.count() == 3
