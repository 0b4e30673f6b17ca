"""The site, its people, hours, log and keeping: pages and forms."""

from typing import Any

import pytest
from django.test import Client

from strandline.records.models.people import Authority, Hours, Party, Person
from strandline.records.models.sites import Incident, Place, RoomRelease
from strandline.services.looks.asked import incident_of
from strandline.web import site
from tests.records.cast import incident, owner, person
from tests.services.doing import received
from tests.web.cast import form, signed_in

pytestmark = pytest.mark.django_db

STARTED: dict[str, Any] = {
    "code": "ORNL2", "name": "High water again", "site_name": "Ostrey Reach Net Loft",
    "address": "by the quay", "zone": "Europe/London", "water": ["brackish", "sewage"],
    "wet_since": "2026-03-15 02:40",
    "out_since": "", "air_c": "11", "air_rh_percent": "92",
}  # fmt: skip


def test_a_lead_starts_an_incident_once(client: Client) -> None:
    """The form sent twice makes one incident; its humidity is kept as a fraction, its time in UTC."""
    signed_in(client, "lead")
    sent = form("open_incident", **STARTED)
    for _ in range(2):
        assert client.post("/start/", sent).headers["Location"] == "/ORNL2/site/"
    made = Incident.objects.get(code="ORNL2")
    assert (made.air_rh, made.wet_since and made.wet_since.isoformat()) == (0.92, "2026-03-15T02:40:00+00:00")


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("code", "", "is needed"),
        ("zone", "Europe/Nowhere", "time zone"),
        ("wet_since", "2026-03-29 01:30", "skip that time"),
        ("wet_since", "2026-10-25 01:30", "show that time twice"),
        ("wet_since", "soon", "wet_since"),
        ("out_since", "2026-03-14 02:00", "before into it"),
        ("air_rh_percent", "140", "a number from 0 to 100"),
        ("air_c", "warm", "a number from -40 to 60"),
        ("water", "wine", "wine"),
        ("name", "n" * 300, "200 characters at most"),
        ("code", "ORNL1", "a code is used once"),
    ],
)
def test_an_incident_that_cannot_be(client: Client, field: str, value: str, sentence: str) -> None:
    """The sentence stands on the page with everything that was typed."""
    signed_in(client, "lead")
    incident()
    answer = client.post("/start/", form("open_incident", **{**STARTED, field: value}))
    text = answer.content.decode()
    assert answer.status_code in {409, 422}
    assert sentence in text
    assert "by the quay" in text
    assert Incident.objects.count() == 1


def test_places_releases_and_authority(client: Client) -> None:
    """A room is released in somebody's words, and an owner's word is kept; the page shows both."""
    signed_in(client, "lead")
    incident()
    page = "/ORNL1/site/"
    client.post(page, form("add_place", kind="building", name="Boathouse", inside=""))
    outer = Place.objects.get()
    client.post(page, form("add_place", kind="room", name="Net Floor", inside=str(outer.uid), room_for="12"))
    room = Place.objects.get(name="Net Floor")
    assert "Net Floor: structure, electricity, gas, contamination" in client.get(page).content.decode()
    client.post(page, form("release_room", place=str(room.uid), about="electricity", role="electrician",
                           said="The supply is cut at the meter."))  # fmt: skip
    assert RoomRelease.objects.get().place == room
    client.post(page, form("add_party", name="lender B", role="lender", contact="a number"))
    lender = Party.objects.get()
    client.post(
        page, form("give_authority", party=str(lender.uid), given="verbal", scope="plan", said="Go on.")
    )
    assert Authority.objects.get().scope == "plan"
    client.post(page, form("crew", day="2", lead_conservator="1", assistant_conservator="1", helpers="3"))
    client.post(page, form("note_reading", place=str(room.uid), air_c="11", rh_percent="95"))
    client.post(page, form("change_incident", water=["sea"], air_c="4", air_rh_percent="70"))
    data = client.get("/ORNL1/site.json").json()
    assert data["water"] == ["sea"]
    assert data["crew"] == [{"day": 2, "lead_conservator": 1, "assistant_conservator": 1, "helpers": 3}]
    assert data["not_released"][0]["missing"] == ["structure", "gas", "contamination"]
    assert data["parties"][0]["contact"] == "a number"
    signed_in(client, "helper")
    assert client.get("/ORNL1/site.json").json()["parties"][0]["contact"] is None


def test_two_who_say_the_crew_of_different_days_lose_neither(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another form is done between the look and the act of this one."""
    incident()
    signed_in(client, "lead")
    page, second = "/ORNL1/site/", form("crew", day="2", helpers="5")
    waiting = [form("crew", day="1", helpers="3")]

    def looked_up(code: str) -> Incident:
        found = incident_of(code)
        if waiting:
            assert client.post(page, waiting.pop()).status_code == 302
        return found

    monkeypatch.setattr(site, "incident_of", looked_up)
    assert client.post(page, second).status_code == 302
    crew = client.get("/ORNL1/site.json").json()["crew"]
    assert [(one["day"], one["helpers"]) for one in crew] == [(1, 3), (2, 5)]


def test_a_person_is_let_in_and_the_password_shown_once(client: Client) -> None:
    """The password stands on the answer, nowhere after; with it the person signs in."""
    signed_in(client, "lead")
    sent = form("add_person", name="helper 3", role="helper", username="helper3")
    text = client.post("/people/", sent).content.decode()
    password = text.split("Password: <b>")[1].split("</b>")[0]
    assert password not in client.get("/people/").content.decode()
    assert password not in client.post("/people/", sent, follow=True).content.decode()
    assert Person.objects.filter(name="helper 3").count() == 1
    other = Client()
    assert other.post("/sign-in/", {"username": "helper3", "password": password}).status_code == 302
    new = client.post("/people/", form("new_password", person=str(Person.objects.get(name="helper 3").uid)))
    assert "Password: <b>" in new.content.decode()
    assert other.get("/home.json").status_code == 401


def test_the_last_lead_stays(client: Client) -> None:
    """Somebody always decides."""
    lead = signed_in(client, "lead")
    answer = client.post("/people/", form("change_person", person=str(lead.uid), role="helper", active="yes"))
    assert answer.status_code == 409
    assert "last lead" in answer.content.decode()


def test_ones_own_password(client: Client) -> None:
    """The old one is asked for; the session stays."""
    who = signed_in(client, "viewer")
    assert who.user is not None
    who.user.set_password("old string and tags")
    who.user.save()
    client.force_login(who.user)
    wrong = client.post("/me/", form("own_password", old="not it", new="new string and tags"))
    assert "not right" in wrong.content.decode()
    answer = client.post("/me/", form("own_password", old="old string and tags", new="new string and tags"))
    assert answer.status_code == 302
    assert client.get("/me/").status_code == 200


def test_hours_are_noted(client: Client) -> None:
    """For somebody, from a local time on."""
    who = signed_in(client, "helper")
    incident()
    sent = form("note_hours", person=str(who.uid), minutes="45", started_at="2026-03-15 16:00", step="rinse")
    assert client.post("/ORNL1/hours/", sent).status_code == 302
    assert Hours.objects.get().minutes == 45
    assert client.get("/ORNL1/hours.json").json()["sums"] == [{"name": who.name, "minutes": 45.0}]


def test_the_log_shows_acts_and_refusals(client: Client) -> None:
    """What was done, by whom; nobody's contact."""
    thing = received(owner=owner().name)
    signed_in(client, "lead")
    assert client.get("/ORNL1/log.json").json()["acts"][0]["tag"] == thing.tag
    assert client.get("/ORNL1/log/").status_code == 200
    assert client.get("/keeping/").status_code == 200


@pytest.mark.parametrize("role", ["lead", "conservator", "helper", "viewer"])
def test_pages_and_their_json_by_role(client: Client, role: str) -> None:
    """Who may look sees page and JSON, who may not sees neither."""
    signed_in(client, role)
    incident()
    person("lead")
    may = {
        "/": True, "/start/": role == "lead", "/people/": role == "lead", "/me/": True, "/ORNL1/": True,
        "/keeping/": role in {"lead", "conservator"}, "/ORNL1/site/": True, "/ORNL1/hours/": role != "viewer",
        "/ORNL1/log/": role in {"lead", "conservator"},
    }  # fmt: skip
    for page, yes in may.items():
        twin = "/home.json" if page == "/" else page.rstrip("/") + ".json"
        wanted = 200 if yes else 403
        assert (client.get(page).status_code, client.get(twin).status_code) == (wanted, wanted), page


def test_nobody_is_found_in_an_unknown_incident(client: Client) -> None:
    """An address that leads nowhere."""
    signed_in(client, "lead")
    assert client.get("/NOPE1/").status_code == 404
    assert client.get("/NOPE1/site.json").json() == {"refused": "there is no incident 'NOPE1' in this record"}
    assert client.get("/no/such/page/here/").status_code == 404
