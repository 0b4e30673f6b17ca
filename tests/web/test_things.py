"""The page of one thing: what it shows to whom, and what its forms do."""

from __future__ import annotations

import json
import uuid
from typing import Any

import pytest
from django.test import Client

from strandline.records.models.acts import Act, WorkClaim
from strandline.records.models.facts import Photo
from strandline.records.models.objects import Fragment, Object
from strandline.records.models.people import Authority
from strandline.records.models.plans import PlanSnapshot, StepEnd
from strandline.records.models.sites import Place
from strandline.services import clock
from strandline.services.end_step import end_step
from strandline.services.merge import merge
from strandline.services.override import override
from strandline.services.plan import newest, plan
from strandline.services.release_hazard import release_hazard
from tests.records.cast import NOW, device, incident, lead, owner, person
from tests.services.doing import barometer, by, received
from tests.web.cast import form, signed_in

pytestmark = pytest.mark.django_db
ROLES = ("lead", "conservator", "helper", "viewer")
AT = "/ORNL1/things/0042/"


def planned(tag: str = "0042", **more: Any) -> tuple[Object, PlanSnapshot]:
    """The sea chest with its first plan."""
    thing = received(tag, **more)
    return thing, plan(by(), thing)


def place(name: str = "long room") -> Place:
    """A place to put it."""
    return Place.objects.create(incident=incident(), kind="room", name=name)


def twin(client: Client, at: str) -> dict[str, Any]:
    """The JSON beside a page."""
    path, _mark, query = at.partition("?")
    answer = client.get(path.rstrip("/") + ".json" + (f"?{query}" if query else ""))
    assert answer.status_code == 200
    found: dict[str, Any] = json.loads(answer.content)
    return found


@pytest.mark.parametrize("role", ROLES)
def test_everybody_sees_the_thing_and_its_twin_says_the_same(
    client: Client, role: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page is made of what JSON gives."""
    planned()
    frozen = clock.now()
    monkeypatch.setattr("strandline.web.pages.now", lambda: frozen)
    monkeypatch.setattr("strandline.api.urls.now", lambda: frozen)
    signed_in(client, role)
    answer = client.get(AT)
    assert answer.status_code == 200
    assert json.loads(json.dumps(answer.context["look"])) == twin(client, AT)
    assert "Photograph it where it lies" in answer.content.decode()


def test_the_headline_numbers_stand_in_the_data(client: Client) -> None:
    """Plan number, short id, route, zone, hours, verdicts, overrides."""
    thing, _first = planned(wet_since=NOW, out_since=NOW)
    override(by(lead()), "act.lift.all", {"how": "Two people."}, "the stair is wet", thing)
    second = plan(by(), thing)
    signed_in(client, "helper")
    look = twin(client, AT)
    assert (look["plan_no"], look["short_id"]) == (2, second.short_id)
    assert (look["route"], look["zone"]) == (second.result["route"], second.result["zone"])
    assert look["hours_left"] < 0
    assert look["good_until"] is None
    assert look["holding"]["tell_the_lead"]
    assert look["verdicts"] == {key: one["verdict"] for key, one in second.result["actions"].items()}
    (mark,) = look["overrides"]
    assert (mark["rule"], mark["level"], mark["reason"]) == ("act.lift.all", "object", "the stair is wet")
    assert lead().name in mark["who"]
    assert str(lead().uid) not in json.dumps(look)


def test_a_helper_reads_half_days_and_the_lead_minutes(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Clocks are the lead's."""
    planned(wet_since=NOW, out_since=NOW)
    monkeypatch.setattr("strandline.web.pages.now", lambda: NOW)
    signed_in(client, "helper")
    told = client.get(AT).content.decode()
    assert "Sun 15 March, evening" in told
    assert "h left" not in told
    assert "18:40" not in told
    signed_in(client, "lead")
    told = client.get(AT).content.decode()
    assert "Sun 15 March, 18:40" in told
    assert "h left" in told


def test_a_stop_comes_first_and_nothing_else_is_offered(client: Client) -> None:
    """Who to call, how far off; no verdicts, no move, no hour."""
    thing = barometer("0013")
    plan(by(), thing)
    place()
    signed_in(client, "helper")
    answer = client.get("/ORNL1/things/0013/")
    told = answer.content.decode()
    assert told.index("STOP") < told.index("Step back")
    assert "Keep 5 metres away" in told
    assert "Call: the fire service" in told
    assert "It lies there now" not in told
    assert "What may be done to it" not in told
    assert answer.context["look"]["good_until"] is None
    release_hazard(by(lead()), thing, "mercury", "licensed remover", "Taken out and packed.")
    plan(by(), thing)
    told = client.get("/ORNL1/things/0013/").content.decode()
    assert "STOP" not in told
    assert "licensed remover" in told
    assert "It lies there now" in told


@pytest.mark.parametrize(
    ("fields", "end", "because", "note"),
    [
        ({"end": "done"}, "done", "", ""),
        ({"end": "done_differently", "note": "on the bench"}, "done_differently", "", "on the bench"),
        ({"end": "not_done", "because": "no_water"}, "not_done", "no_water", ""),
        (
            {"end": "not_done", "because": "would_not_bear_it", "note": "soft"},
            "not_done",
            "would_not_bear_it",
            "soft",
        ),
    ],
)
def test_the_next_step_ends_in_each_way(
    client: Client, fields: dict[str, str], end: str, because: str, note: str
) -> None:
    """Once, however often the form is sent; then the next step is shown."""
    _thing, found = planned()
    signed_in(client, "helper")
    sent = form("end_step", plan=str(found.uid), step="photograph", **fields)
    for _ in range(2):
        assert client.post(AT, sent).headers["Location"] == AT
    row = StepEnd.objects.get()
    assert (row.step, row.end, row.because, row.note) == ("photograph", end, because, note)
    look = twin(client, AT)
    assert look["next"]["key"] == "tag"
    assert look["ended"][0]["step"] == "photograph"


@pytest.mark.parametrize(
    ("fields", "status", "why"),
    [
        ({"end": "done_differently", "note": ""}, 422, "how it was done is needed"),
        ({"end": "not_done", "because": "tired", "note": "wet feet"}, 422, "one of"),
        ({"end": "eaten"}, 422, "one of"),
        ({"end": "done", "step": "fly"}, 409, "no step"),
        ({"end": "done", "step": ""}, 422, "the step is needed"),
        ({"end": "done", "plan": "x"}, 422, "not one of those offered"),
        ({"end": "done", "plan": str(uuid.uuid4())}, 409, "older than the object"),
    ],
)
def test_an_end_that_cannot_be(client: Client, fields: dict[str, str], status: int, why: str) -> None:
    """Its sentence, and what was typed stays."""
    _thing, found = planned()
    signed_in(client, "helper")
    sent = form("end_step", **{"plan": str(found.uid), "step": "photograph", **fields})
    answer = client.post(AT, sent)
    told = answer.content.decode()
    assert answer.status_code == status
    assert why in told
    assert fields.get("note", "") in told
    assert not StepEnd.objects.exists()


def test_a_step_of_an_older_plan_is_not_ended(client: Client) -> None:
    """The page that was open is older than the plan."""
    thing, first = planned()
    plan(by(), thing)
    signed_in(client, "helper")
    answer = client.post(AT, form("end_step", plan=str(first.uid), step="photograph", end="done"))
    assert answer.status_code == 409
    assert "is not the newest" in answer.content.decode()


def test_a_conservators_step_is_not_a_helpers(client: Client) -> None:
    """The page does not offer it, and the form is refused."""
    thing, found = planned()
    for key in ("photograph", "tag", "look_surface", "carry"):
        end_step(by(), found, key, "done")
    signed_in(client, "helper")
    look = twin(client, AT)
    assert (look["next"]["key"], look["may_do_next"]) == ("refer_to_conservator", False)
    assert "Ask the lead" in client.get(AT).content.decode()
    answer = client.post(AT, form("end_step", plan=str(found.uid), step="refer_to_conservator", end="done"))
    assert answer.status_code == 409
    signed_in(client, "conservator")
    assert twin(client, AT)["may_do_next"] is True
    assert thing.step_ends.count() == 4


def test_it_is_put_down_elsewhere(client: Client) -> None:
    """Once, however often it is sent; under a stop by nobody."""
    thing, _found = planned()
    stopped = barometer("0013")
    plan(by(), stopped)
    room = place()
    signed_in(client, "helper")
    sent = form("move", to=str(room.uid))
    assert [client.post(AT, sent).status_code for _ in range(2)] == [302, 302]
    thing.refresh_from_db()
    assert thing.place == room
    assert Act.objects.filter(kind="move").count() == 1
    assert "long room" in client.get(AT).content.decode()
    answer = client.post("/ORNL1/things/0013/", form("move", to=str(room.uid)))
    assert answer.status_code == 409
    assert "nobody moves it" in answer.content.decode()
    for bad in ("x", str(uuid.uuid4())):
        assert client.post(AT, form("move", to=bad)).status_code == 422


def test_a_thing_without_a_plan_gets_one(client: Client) -> None:
    """By the button on its page, once."""
    thing = received()
    signed_in(client, "helper")
    assert "Make its plan" in client.get(AT).content.decode()
    sent = form("plan")
    assert [client.post(AT, sent).status_code for _ in range(2)] == [302, 302]
    assert PlanSnapshot.objects.count() == 1
    assert newest(thing) is not None


@pytest.mark.parametrize("do", ["end_step", "move", "plan"])
def test_a_viewer_does_nothing(client: Client, do: str) -> None:
    """No form is shown, and one that is sent is refused."""
    planned()
    signed_in(client, "viewer")
    assert f'value="{do}"' not in client.get(AT).content.decode()
    assert client.post(AT, form(do)).status_code == 403


@pytest.mark.parametrize("page", ["", "why/", "working/", "history/", "look/", "overrule/"])
@pytest.mark.parametrize("where", ["/ORNL1/things/9999/", "/NONE1/things/0042/"])
def test_what_is_not_there(client: Client, where: str, page: str) -> None:
    """Unknown tag, unknown incident: 404, page and twin."""
    planned()
    signed_in(client, "lead")
    assert client.get(where + page).status_code == 404
    assert client.get((where + page).rstrip("/") + ".json").status_code == 404


@pytest.mark.parametrize("page", ["why/", "working/", "overrule/"])
def test_pages_about_a_plan_need_one(client: Client, page: str) -> None:
    """Without a plan there is nothing to say."""
    received()
    signed_in(client, "lead")
    assert client.get(AT + page).status_code == 404


def test_a_merged_tag_leads_to_the_kept_thing(client: Client) -> None:
    """With a note, on every page of it."""
    kept, _plan = planned()
    merge(by(lead()), kept, received("0101"), "the lid of the same chest")
    plan(by(), kept)
    signed_in(client, "helper")
    for page in ("", "why/", "working/", "history/", "look/"):
        told = client.get(f"/ORNL1/things/0101/{page}").content.decode()
        assert "0101 was merged into 0042" in told


def test_what_is_around_it(client: Client) -> None:
    """Fragments, photographs, owner and what they allow, who has it in hand; contacts never."""
    thing, _found = planned()
    party = owner()
    Object.objects.filter(pk=thing.pk).update(owner=party)
    Fragment.objects.create(incident=incident(), object=thing, tag="0042-1", says="a rivet", found_at=NOW)
    Photo.objects.create(
        incident=incident(), object=thing, sha256="a" * 64, size_bytes=1, path="x", media_type="image/jpeg",
        added_at=NOW,
    )  # fmt: skip
    Authority.objects.create(
        party=party, incident=incident(), given="verbal", scope="plan", said="Do what is needed.", at=NOW,
        recorded_by=lead(),
    )  # fmt: skip
    WorkClaim.objects.create(
        object=thing, device=device(), step="tag", taken_at=NOW, until=clock.now().replace(year=2999)
    )
    signed_in(client, "helper")
    told = client.get(AT).content.decode()
    for one in ("a rivet", "The loft&#x27;s trustees", "by word of mouth", "intake phone"):
        assert one in told
    assert "by the door" not in told
    assert "Do what is needed." not in told
    look = twin(client, AT)
    assert len(look["photos"]) == 1
    assert "by the door" not in json.dumps(look)
    signed_in(client, "lead")
    assert "Do what is needed." in client.get(AT).content.decode()


def budget_of(count: int) -> None:
    """So many things with plans, steps ended and places."""
    for n in range(count):
        thing, found = planned(f"{n + 1:04d}")
        end_step(by(), found, "photograph", "done")
        place(f"shelf {n}")
        thing.refresh_from_db()


MOST_QUERIES = {"": 20, "why/": 12, "working/": 12, "history/": 18, "look/": 14}
"""By page, the most queries; session and person included."""


@pytest.mark.parametrize("count", [5, 60])
def test_the_same_few_queries_however_many_things(
    client: Client, count: int, django_assert_max_num_queries: Any
) -> None:
    """Every page of one thing."""
    budget_of(count)
    signed_in(client, "helper")
    for page, most in MOST_QUERIES.items():
        with django_assert_max_num_queries(most):
            assert client.get(f"/ORNL1/things/0001/{page}").status_code == 200


def test_why_names_rule_source_and_who_overruled(client: Client) -> None:
    """Confidence in words, titles of sources, the mark with name, role and reason."""
    thing, _found = planned()
    override(by(lead()), "act.lift.all", {"how": "Two people."}, "the stair is wet", thing)
    plan(by(), thing)
    signed_in(client, "viewer")
    told = client.get(AT + "why/").content.decode()
    for one in (
        "act.rinse.wood_surface_no",
        "S27",
        "read in the source",
        "common practice, no published source",
    ):
        assert one in told
    assert "lead conservator: the stair is wet" in told
    assert str(lead().uid) not in told
    look = twin(client, AT + "why/")
    rinse = next(one for one in look["actions"] if one["action"] == "rinse" and not one["part"])
    assert rinse["verdict"] == "no"
    assert rinse["reasons"][0]["sources"][0]["title"]
    assert {one["key"] for one in look["clocks"]} >= {"paint", "rust"}


def test_the_working_shows_the_numbers(client: Client) -> None:
    """Hashes, clocks, limits per part, what was assumed and how much it would change."""
    _thing, found = planned(wet_since=NOW, out_since=NOW)
    signed_in(client, "lead")
    look = twin(client, AT + "working/")
    assert look["knowledge"]["sha256"] == found.knowledge.sha256
    assert look["plan_sha256"] == found.sha256
    assert [one["changes"] for one in look["assumed"]] == [one["changes"] for one in found.result["assumed"]]
    assert all(one["left_h"] is not None for one in look["clocks"])
    assert look["loss"]["weight"] == 4.0
    assert {one["key"] for one in look["parts"]} == {"p1", "p2"}
    told = client.get(AT + "working/").content.decode()
    assert found.knowledge.sha256 in told
    assert found.short_id in told


def test_history_is_newest_first_and_names_who(client: Client) -> None:
    """Acts in words, numbers of plans, what was refused."""
    thing, found = planned()
    room = place()
    signed_in(client, "helper")
    client.post(AT, form("move", to=str(room.uid)))
    client.post(
        AT, form("end_step", plan=str(found.uid), step="photograph", end="not_done", because="no_time")
    )
    client.post(AT, form("end_step", plan=str(found.uid), step="fly", end="done"))
    look = twin(client, AT + "history/")
    assert [one["kind"] for one in look["acts"]] == ["end_step", "move", "plan", "receive"]
    assert look["acts"][1]["what"] == "long room"
    assert look["acts"][2]["plan_no"] == 1
    assert "no time" in look["acts"][0]["what"]
    assert look["acts"][0]["by"] == person("helper").name
    assert "no step" in look["refused"][0]["reason"]
    told = client.get(AT + "history/").content.decode()
    assert told.index("Step ended") < told.index("Taken in")
    assert thing.acts.count() == 3


def test_history_is_paged(client: Client) -> None:
    """Fifty acts a page; a page there is not is the last one."""
    thing, _found = planned()
    for _ in range(51):
        plan(by(), thing)
    signed_in(client, "viewer")
    first, last = twin(client, AT + "history/"), twin(client, AT + "history/?page=99")
    assert (len(first["acts"]), first["pages"], last["page"], len(last["acts"])) == (50, 2, 2, 3)
    assert [one["plan_no"] for one in first["acts"][:2]] == [52, 51]
    assert "Nothing: verdicts" in client.get(AT + "history/?plan=52").content.decode()
