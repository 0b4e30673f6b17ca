"""The walk: rooms, pictures, and what was noted."""

from typing import Any

import pytest
from django.test import Client

from strandline.records.models.acts import Act
from strandline.services.release_room import NEEDED, release_room
from tests.records.cast import incident, lead
from tests.services.doing import by
from tests.web.cast import form, signed_in
from tests.web.taking_in_cast import WALK, a_room

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("role", ["lead", "conservator", "helper", "viewer"])
def test_everybody_sees_the_rooms(client: Client, role: str) -> None:
    """With what nobody has released; a viewer has no form."""
    room = a_room()
    signed_in(client, role)
    page = client.get(WALK)
    told = client.get("/ORNL1/walk.json").json()
    assert page.status_code == 200
    assert told["rooms"] == [
        {"uid": str(room.uid), "name": "long room", "not_released": list(NEEDED), "looked_at": None}
    ]
    assert "long room" in page.content.decode()
    assert "electricity" in page.content.decode()
    assert ('name="hazard"' in page.content.decode()) == (role != "viewer")
    assert len(told["pictures"]) == 10


def test_a_released_room_says_so(client: Client) -> None:
    """Once released in every respect nothing is missing."""
    room = a_room()
    for about in NEEDED:
        release_room(by(lead()), room, about, "electrician", "Isolated at the head, looked at by me.")
    signed_in(client, "helper")
    assert client.get("/ORNL1/walk.json").json()["rooms"][0]["not_released"] == []


def test_none_of_these_and_a_picture(client: Client) -> None:
    """Each is an act; a picture ends the matter there, in words; the newest stands first."""
    room = a_room()
    signed_in(client, "helper")
    none = client.post(WALK, form("note_walk", room=str(room.uid), none="1"))
    assert "none of these, noted" in client.get(none.headers["Location"]).content.decode()
    fields = form("note_walk", room=str(room.uid), hazard=["silver"])
    for _ in range(2):
        answer = client.post(WALK, fields)
    page = client.get(answer.headers["Location"]).content.decode()
    assert "It ends there: photograph it from where you stand, touch nothing, tell the lead." in page
    told = client.get("/ORNL1/walk.json").json()
    assert [len(one["seen"]) for one in told["walks"]] == [1, 0]
    assert told["rooms"][0]["looked_at"] == told["walks"][0]["at"]
    assert Act.objects.filter(kind="note_walk").count() == 2


def test_a_viewer_notes_nothing(client: Client) -> None:
    """Refused."""
    room = a_room()
    signed_in(client, "viewer")
    assert client.post(WALK, form("note_walk", room=str(room.uid), none="1")).status_code == 403
    assert not Act.objects.exists()


def test_without_rooms_the_page_says_who_adds_them(client: Client) -> None:
    """No form, a sentence."""
    incident()
    signed_in(client, "helper")
    assert "No rooms are recorded yet" in client.get(WALK).content.decode()


def test_few_queries_for_many_rooms_and_walks(client: Client, django_assert_max_num_queries: Any) -> None:
    """As many for sixty as for five."""
    signed_in(client, "helper")
    a_room()
    client.get(WALK)
    for count in (5, 60):
        for n in range(count):
            room = a_room(f"room {n}")
            client.post(WALK, form("note_walk", room=str(room.uid), none="1")) if n < 5 else None
        with django_assert_max_num_queries(12):
            client.get(WALK)
