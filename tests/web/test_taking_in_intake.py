"""Intake of one thing: what it makes, once; what a picture ends; what comes back with everything in it."""

import json
import uuid
from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.test import Client

from strandline.records.models.acts import Act
from strandline.records.models.facts import Observation, Photo
from strandline.records.models.objects import ListRow, Object, RowClaim
from strandline.records.models.people import Party, PartyRole
from strandline.records.models.plans import PlanSnapshot, StepEnd
from strandline.services import clock
from strandline.services.looks import taking_in_words as words
from strandline.services.plan import newest
from strandline.things.facts import Part
from tests.records.cast import incident, owner
from tests.web.cast import form, signed_in
from tests.web.taking_in_cast import TAKE_IN, a_room, a_row, flooded, intake, jpeg, photo, upload

pytestmark = pytest.mark.django_db


def sent_in(client: Client, **more: Any) -> Object:
    """A thing taken in, the form accepted."""
    answer = client.post(TAKE_IN, intake(**more))
    assert answer.status_code == 302, answer.content.decode()
    return Object.objects.get(tag=answer.headers["Location"].split("/")[3])


@pytest.mark.parametrize(
    ("role", "status"), [("lead", 200), ("conservator", 200), ("helper", 200), ("viewer", 403)]
)
def test_who_sees_the_form(client: Client, role: str, status: int) -> None:
    """Hands do; page and JSON agree on it."""
    incident()
    signed_in(client, role)
    for address in (TAKE_IN, TAKE_IN.rstrip("/") + ".json"):
        assert client.get(address).status_code == status


def test_a_viewer_takes_nothing_in(client: Client) -> None:
    """Refused, and nothing is there."""
    incident()
    signed_in(client, "viewer")
    assert client.post(TAKE_IN, intake()).status_code == 403
    assert not Object.objects.exists()


def test_an_ordinary_thing(client: Client) -> None:
    """A tag, a plan, the photograph kept and its step done; the page after it says what to do now."""
    flooded()
    me = signed_in(client, "helper")
    thing = sent_in(client, materials="oak, iron bands", photo=photo())
    assert (thing.tag, thing.title) == ("0001", "Wood, oak, iron bands")
    assert {part.material for part in thing.parts.all()} == {"timber", "iron"}
    assert Photo.objects.get(object=thing).by == me
    assert StepEnd.objects.get(object=thing).step == "photograph"
    page = client.get(f"/ORNL1/things/{thing.tag}/taken/")
    told = client.get(f"/ORNL1/things/{thing.tag}/taken.json").json()
    assert page.status_code == 200
    assert told["holding"]
    assert told["holding"][0] in page.content.decode()
    assert (told["tag"], told["photographs"], told["stops"]) == ("0001", 1, [])
    assert told["next_step"]["key"] != "photograph"


def test_the_same_form_twice_is_one_thing(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """Also half an hour later, when hours wet read otherwise: one object, photograph, plan and claim."""
    flooded()
    signed_in(client, "helper")
    row = a_row(owner="lender A")
    fields = intake(row=str(row.uid))
    first = client.post(TAKE_IN, {**fields, "photo": photo()})
    later = clock.now() + timedelta(minutes=30)
    for module in ("strandline.services.clock.now", "strandline.web.pages.now"):
        monkeypatch.setattr(module, lambda: later)
    second = client.post(TAKE_IN, {**fields, "photo": photo()})
    assert (first.status_code, second.status_code) == (302, 302)
    assert first.headers["Location"] == second.headers["Location"]
    counts = [model.objects.count() for model in (Object, Photo, PlanSnapshot, RowClaim, Party, StepEnd)]
    assert counts == [1, 1, 1, 1, 1, 1]


def test_a_form_sent_again_with_other_things_in_it_is_refused(client: Client) -> None:
    """Somebody went back and typed the next thing into the old form: it says so, nothing is lost or made."""
    flooded()
    signed_in(client, "helper")
    fields = intake(tag="0007")
    client.post(TAKE_IN, fields)
    answer = client.post(TAKE_IN, {**fields, "tag": "0008", "title": "stone mooring post"})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "sent already, as 0007" in text
    assert 'value="stone mooring post"' in text
    assert Object.objects.count() == 1


def test_what_is_tapped_is_read(client: Client) -> None:
    """State, what was done, what is seen, where, whose: each lands as a fact of the thing."""
    flooded()
    signed_in(client, "helper")
    PartyRole.objects.create(party=owner(), incident=incident(), role="owner")
    room = a_room()
    thing = sent_in(
        client, state="dry_with_mud", done=["wiped", "heated"], seen=["paint", "loose"], place=str(room.uid),
        spot="under the stairs", owner=str(owner().uid), title="sea chest", tag="42",
    )  # fmt: skip
    facts = {row.key: (row.value, row.known_by) for row in Observation.objects.filter(object=thing)}
    assert facts["wet_state"] == ("dry_with_mud", "seen")
    assert facts["done_already"][0] == ["heated", "wiped"]
    assert facts["features"][0] == ["loose_pieces"]
    assert "painted" in thing.parts.get().features
    assert (thing.tag, thing.place, thing.owner) == ("0042", room, owner())
    assert thing.kept["found at"] == "under the stairs"


def test_a_row_of_the_list_tells_what_nobody_typed(client: Client) -> None:
    """Its materials, owner and number come with it; what was seen stands beside them."""
    flooded()
    signed_in(client, "helper")
    row = a_row(owner="lender A", owner_number="1982.14", features="painted lid")
    thing = sent_in(client, row=str(row.uid), material=[], seen=["crack"])
    row.refresh_from_db()
    assert (row.state, thing.list_row, thing.title, thing.owner_number) == (
        "found",
        2,
        "Sea chest",
        "1982.14",
    )
    assert thing.owner
    assert thing.owner.name == "lender A"
    assert {part.material for part in thing.parts.all()} == {"timber", "iron"}
    seen = {key for part in thing.parts.all() for key in part.features}
    assert {"painted", "cracked"} <= {*seen, *Observation.objects.get(object=thing, key="features").value}


def test_parts_that_a_row_states_are_not_lost(client: Client) -> None:
    """A list that states its parts keeps them; what was seen stands beside them."""
    flooded()
    signed_in(client, "helper")
    row = a_row()
    stated = [asdict(Part("p1", "tube", "mercury", "working"))]
    row.kept = {"strandline:parts": json.dumps(stated)}
    row.save()
    thing = sent_in(client, row=str(row.uid), material=["wood"], seen=["crack"])
    assert [part.material for part in thing.parts.order_by("order")] == ["mercury", "timber"]
    thing.refresh_from_db()
    assert thing.stops == 1
    assert "cracked" in thing.parts.get(material="timber").features


@pytest.mark.parametrize("key", [key for key in words.hazards() if key != "fur"])
@pytest.mark.parametrize("material", [[], ["wood", "iron"]])
def test_a_picture_stops_the_work(client: Client, key: str, material: list[str]) -> None:
    """Only photograph, tag and place are needed; the plan has a stop and the page after it says so."""
    flooded()
    signed_in(client, "helper")
    thing = sent_in(client, none="", hazard=[key], material=material, photo=photo())
    thing.refresh_from_db()
    assert thing.stops >= 1
    told = client.get(f"/ORNL1/things/{thing.tag}/taken.json").json()
    page = client.get(f"/ORNL1/things/{thing.tag}/taken/").content.decode()
    assert told["stops"]
    assert "Stop." in page
    plan = newest(thing)
    assert plan
    assert plan.result["zone"] == "hazard_hold"


def test_fur_waits_for_a_conservator_under_a_guard(client: Client) -> None:
    """Old pesticide is a guard, not a stop; with nothing else said nobody works on it."""
    flooded()
    signed_in(client, "helper")
    plan = newest(sent_in(client, none="", hazard=["fur"], material=[]))
    assert plan is not None
    assert ("pesticide", "guard") in {(one["key"], one["grade"]) for one in plan.result["hazards"]}
    assert plan.result["route"] == "wait_for_conservator"


def test_every_picture_has_its_words() -> None:
    """The table has the ten pictures, and each tile its words."""
    said = words.said()
    assert said["hazard"].keys() == words.hazards().keys()
    assert said["material"].keys() == words.materials().keys()
    assert said["seen"].keys() == words.seen().keys()


@pytest.mark.parametrize("key", list(words.materials()))
def test_every_tile_is_understood(client: Client, key: str) -> None:
    """No word of a tile is left unread, and all but 'not sure' name a family."""
    flooded()
    signed_in(client, "helper")
    thing = sent_in(client, material=[key])
    assert thing.words["unread"] == []
    assert (thing.parts.get().family == "unknown") == (key == "not_sure")


@pytest.mark.parametrize("key", list(words.seen()))
def test_everything_seen_is_understood(client: Client, key: str) -> None:
    """It becomes a feature of the thing or of a part, or a part of its own (veneer)."""
    flooded()
    signed_in(client, "helper")
    thing = sent_in(client, seen=[key])
    features = Observation.objects.get(object=thing, key="features").value
    assert features or thing.parts.count() > 1 or thing.parts.get().features
    assert thing.words["unread"] == []


def test_words_nobody_knows_are_kept_and_told(client: Client) -> None:
    """They are no reason to refuse: the page after it says what was not understood."""
    flooded()
    signed_in(client, "helper")
    thing = sent_in(client, materials="xyzzium", material=[])
    assert client.get(f"/ORNL1/things/{thing.tag}/taken.json").json()["unread"] == ["xyzzium"]
    assert "xyzzium" in client.get(f"/ORNL1/things/{thing.tag}/taken/").content.decode()


def test_a_tag_in_use_comes_back_with_everything(client: Client) -> None:
    """What was typed stands there, the next free tag is offered, the photograph need not be taken again."""
    flooded()
    signed_in(client, "helper")
    sent_in(client, tag="0042")
    room = a_room()
    sent = intake(
        tag="0042", title="long bench", materials="beech", seen=["paint"], done=["rinsed"], state="damp_now",
        place=str(room.uid), spot="by the door", photo=photo(),
    )  # fmt: skip
    answer = client.post(TAKE_IN, sent)
    text = answer.content.decode()
    assert answer.status_code == 422
    for there in ("0042 is already tied to an object", "0043 is free", 'value="0043"', 'value="long bench"',
                  'value="beech"', 'value="paint" checked', 'value="rinsed" checked',
                  'value="damp_now" checked',
                  f'value="{room.uid}" selected', 'value="by the door"',
                  "no need to take it again"):  # fmt: skip
        assert there in text, there
    kept = text.split('name="photo_kept" value="')[1].split('"')[0]
    again = {key: value for key, value in sent.items() if key not in {"photo", "do", "key"}}
    thing = sent_in(client, **{**again, "tag": "0043", "photo_kept": kept})
    assert Photo.objects.get(object=thing).sha256 == kept


@pytest.mark.parametrize(
    ("name", "data", "why"),
    [
        ("note.jpg", b"just words, no picture", "this is a text"),
        ("cut.jpg", jpeg()[:400], "cannot be read to its end"),
    ],
)
def test_a_bad_photograph_loses_nothing(client: Client, name: str, data: bytes, why: str) -> None:
    """The sentence, the rest of the form as it was, and nothing received."""
    flooded()
    signed_in(client, "helper")
    answer = client.post(TAKE_IN, intake(title="long bench", photo=upload(name, data)))
    text = answer.content.decode()
    assert answer.status_code == 422
    assert why in text
    assert 'value="long bench"' in text
    assert 'value="wood" checked' in text
    assert "Choose the photograph again" in text
    assert not Object.objects.exists()


def test_a_photograph_afterwards(client: Client) -> None:
    """A thing taken in without one gets it from the page after intake, once."""
    flooded()
    signed_in(client, "helper")
    thing = sent_in(client)
    address = f"/ORNL1/things/{thing.tag}/taken/"
    fields = form("photograph")
    for _ in range(2):
        assert client.post(address, {**fields, "photo": photo()}).status_code == 302
    assert Photo.objects.filter(object=thing).count() == 1
    assert client.get(address.rstrip("/") + ".json").json()["photographs"] == 1
    signed_in(client, "viewer")
    assert client.post(address, {**form("photograph"), "photo": photo(90)}).status_code == 403


def test_the_list_is_asked_after_a_title(client: Client) -> None:
    """Rows that read alike stand in the form, and on the page after intake, to be confirmed by a tap."""
    flooded()
    signed_in(client, "helper")
    row = a_row()
    told = client.get(TAKE_IN.rstrip("/") + ".json?title=sea+chest").json()
    assert [one["uid"] for one in told["rows"]] == [str(row.uid)]
    assert f'value="{row.uid}"' in client.get(TAKE_IN + "?title=sea+chest").content.decode()
    assert client.get(TAKE_IN.rstrip("/") + ".json").json()["rows"] == []
    thing = sent_in(client, title="sea chest")
    address = f"/ORNL1/things/{thing.tag}/taken/"
    fields = form("claim_row", row=str(row.uid))
    assert f'value="{row.uid}"' in client.get(address).content.decode()
    for _ in range(2):
        assert client.post(address, fields).status_code == 302
    assert RowClaim.objects.get().object == thing
    assert ListRow.objects.get().state == "found"
    assert "Row 2 of the list" in client.get(address).content.decode()


def test_the_next_one_keeps_the_place(client: Client) -> None:
    """The way to the next intake carries the place, which is then chosen already."""
    flooded()
    signed_in(client, "helper")
    room = a_room()
    thing = sent_in(client, place=str(room.uid))
    page = client.get(f"/ORNL1/things/{thing.tag}/taken/").content.decode()
    assert f"{TAKE_IN}?place={room.uid}" in page
    assert f'value="{room.uid}" selected' in client.get(f"{TAKE_IN}?place={room.uid}").content.decode()
    assert client.get(TAKE_IN.rstrip("/") + ".json?place=nowhere").json()["place"] == ""


@pytest.mark.parametrize("address", ["/ORNL9/take-in/", "/ORNL9/walk/", "/ORNL9/list/", "/ORNL9/list/in/",
                                     "/ORNL1/things/0404/taken/"])  # fmt: skip
def test_what_is_not_there(client: Client, address: str) -> None:
    """Page, JSON and form: 404 with a sentence."""
    incident()
    signed_in(client, "lead")
    deeds = {
        "take-in": "take_in",
        "walk": "note_walk",
        "list": "claim_row",
        "in": "send_list",
        "taken": "photograph",
    }
    do = deeds[address.rstrip("/").rsplit("/", 1)[1]]
    assert client.get(address).status_code == 404
    assert client.get(address.rstrip("/") + ".json").status_code == 404
    more = {"photo": photo(), "tag": "0001", "row": str(uuid.uuid4())}
    assert client.post(address, form(do, **more)).status_code == 404


def test_the_form_asks_few_questions_of_the_database(
    client: Client, django_assert_max_num_queries: Any
) -> None:
    """As many for sixty things and rows as for five."""
    flooded()
    signed_in(client, "helper")
    client.get(TAKE_IN)
    for count in (5, 60):
        for n in range(ListRow.objects.count(), count):
            a_row(n + 2, title=f"Chest {n}")
            sent_in(client, title=f"Chest {n}") if n < 5 else None
        with django_assert_max_num_queries(18):
            client.get(f"{TAKE_IN}?title=chest")


def test_the_moment_of_the_first_sending_counts(client: Client) -> None:
    """The act keeps when the form came, which a second sending reads facts at."""
    flooded()
    signed_in(client, "helper")
    thing = sent_in(client)
    act = Act.objects.get(kind="receive")
    assert isinstance(act.device_at, datetime)
    assert act.device_at <= act.server_at
    assert act.after["records_object"][str(thing.uid)]["tag"] == "0001"
