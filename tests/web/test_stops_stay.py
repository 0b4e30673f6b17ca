"""No form that a helper can send takes a stop away, whichever picture a thing was taken in under."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.test import Client
from django.urls import reverse

from strandline.records.models.objects import Object
from strandline.records.models.plans import HazardRelease
from strandline.services.looks import taking_in_words as words
from strandline.services.plan import newest
from strandline.services.release_hazard import open_stops, release_hazard
from tests.records.cast import lead
from tests.services.doing import by
from tests.web import taking_in_cast as taking
from tests.web.cast import form, signed_in

pytestmark = pytest.mark.django_db
PICTURES = tuple(words.said()["hazard"])
NO_STOP = ("fur",)
"""Old pesticide is a guard."""


def taken_in(client: Client, picture: str, title: str) -> Object:
    """A thing taken in under a picture, by a helper, with a name of its own or none."""
    taking.flooded()
    signed_in(client, "helper")
    sent = form("take_in", hazard=[picture], tag="", title=title, material=["wood"], state="")
    assert client.post(taking.TAKE_IN, sent).status_code == 302
    return Object.objects.order_by("-id")[0]


def page(thing: Object, name: str) -> str:
    """Address of a page of a thing."""
    return reverse(name, args=["ORNL1", thing.tag])


def stops(thing: Object) -> set[str]:
    """Its open stops, by its newest plan."""
    return set(open_stops(thing, newest(thing)))


def looks(thing: Object) -> Iterator[dict[str, object]]:
    """Forms of the looking-over that take away whatever can be taken away."""
    yield form("look_whole", wet_state="damp_now", features=[], done_already=[])
    yield form("answer", fact="water", answer="river")
    yield form("answer", fact="wet_state", answer="damp_air_only")
    for part in thing.parts.order_by("order"):
        yield form("look_part", part=part.key, shown=part.features, material="", thickness_mm="4")
        for material in ("timber", "glass", "unknown"):
            yield form("look_part", part=part.key, material=material)
            yield form("answer", fact=f"material:{part.key}", answer=material)
        yield form("look_part", part=part.key, shown=part.features, material="timber")
        yield form("answer", fact=f"surface:{part.key}", answer="bare")
    yield form("add_part", name="board", new_material="timber")


@pytest.mark.parametrize("title", ["", "Thing from the loft"])
@pytest.mark.parametrize("picture", PICTURES)
def test_no_form_of_a_helper_lifts_a_stop(client: Client, picture: str, title: str) -> None:
    """Every look, a move and a plan later, all stops stand that stood, and nobody released one."""
    thing = taken_in(client, picture, title)
    was = stops(thing)
    assert bool(was) == (picture not in NO_STOP)
    room = taking.a_room()
    answers = []
    for sent in looks(thing):
        answers.append(client.post(page(thing, "look_over"), sent).status_code)
        assert was <= stops(thing), sent
    client.post(page(thing, "thing"), form("plan"))
    client.post(page(thing, "thing"), form("move", to=str(room.uid)))
    thing.refresh_from_db()
    assert was <= stops(thing)
    assert thing.stops >= len(was)
    assert (thing.place is None) == bool(was)
    assert not HazardRelease.objects.exists()
    assert set(answers) <= {302, 409, 422}
    assert 302 in answers


@pytest.mark.parametrize("picture", ["wires", "gun", "flare", "fibre"])
def test_the_page_says_why_and_after_release_it_may_be_changed(client: Client, picture: str) -> None:
    """What stops is a part: the sentence says so; after each release the same look is kept and planned."""
    thing = taken_in(client, picture, "")
    was = sorted(stops(thing))
    parts = list(thing.parts.order_by("order"))
    told = ""
    for one in parts:
        sent = form("look_part", part=one.key, shown=one.features, material="timber")
        told += client.post(page(thing, "look_over"), sent).content.decode()
    assert "a stop is lifted only by recording who released it, not by looking again" in told
    for hazard in was:
        release_hazard(by(lead()), thing, hazard, "somebody licensed", "Looked at, proved and carried out.")
    for one in parts:
        sent = form("look_part", part=one.key, shown=one.features, material="timber")
        assert client.post(page(thing, "look_over"), sent).status_code in {302, 422}
    thing.refresh_from_db()
    assert {part.material for part in thing.parts.all()} == {"timber"}
    assert (stops(thing), thing.stops) == (set(), 0)
