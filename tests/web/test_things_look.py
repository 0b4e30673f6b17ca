"""The looking-over: answers and ticks become observations, the plan follows, the page says what changed."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from strandline.records import translate
from strandline.records.models.acts import Act, Refusal
from strandline.records.models.facts import Observation
from strandline.records.models.objects import Object
from strandline.records.models.plans import PlanSnapshot
from strandline.services.clock import now
from strandline.services.fold import differences
from strandline.services.observe import observe
from strandline.services.plan import plan
from strandline.services.print_paper import print_paper
from strandline.web import things_look
from tests.records.cast import lead, person
from tests.services.doing import by, received
from tests.web.cast import form, signed_in
from tests.web.test_things import AT, planned, twin

pytestmark = pytest.mark.django_db
LOOK = AT + "look/"


def saw(thing: Object, key: str) -> str:
    """The uid of what is in force."""
    return str(translate.in_force(thing)[key].uid)


@pytest.mark.parametrize(
    ("role", "status"), [("lead", 200), ("conservator", 200), ("helper", 200), ("viewer", 403)]
)
def test_hands_look_things_over(client: Client, role: str, status: int) -> None:
    """A viewer does not; page and twin alike."""
    planned()
    signed_in(client, role)
    assert client.get(LOOK).status_code == status
    assert client.get(AT + "look.json").status_code == status


def test_the_question_that_opens_most_comes_first_and_not_sure_before_all(client: Client) -> None:
    """Then the others."""
    _thing, found = planned()
    signed_in(client, "helper")
    look = twin(client, LOOK)
    assert look["question"]["fact"] == found.result["assumed"][0]["fact"] == "surface:p2"
    assert [one["value"] for one in look["question"]["buttons"]] == ["bare", "painted", "gilded"]
    asked = {one["fact"] for one in (look["question"], *look["questions"])}
    assert asked == {one["fact"] for one in found.result["assumed"]}
    told = client.get(LOOK).content.decode()
    assert told.index("Not sure") < told.index(">Bare<")


def test_no_paint_seen_loosens_and_the_page_says_so(client: Client) -> None:
    """Who looked, when, what was seen, what was and what is; the printed card is void."""
    thing, found = planned()
    print_paper(by(), found, "care_card")
    signed_in(client, "helper")
    sent = form("answer", fact="surface:p2", answer="bare", skip="")
    going = client.post(LOOK, sent).headers["Location"]
    assert client.post(LOOK, sent).status_code == 302
    assert Act.objects.filter(kind="observe_part").count() == 1
    assert PlanSnapshot.objects.count() == 2
    answer = client.get(going)
    changed = answer.context["look"]["changed"]
    assert (changed["before_no"], changed["after_no"]) == (1, 2)
    loose = [one for one in changed["verdicts"] if one["way"] == "loosened"]
    assert loose
    assert changed["seen"]
    assert len(changed["void"]) == 1
    told = answer.content.decode()
    assert f"looked at by {person('helper').name}" in told
    assert "no paint seen" in told
    assert "1 printed paper is void now" in told
    assert thing.parts.get(key="p2").features == ["bare"]
    assert differences() == []


def test_not_sure_changes_nothing_and_asks_the_next_one(client: Client) -> None:
    """The question comes last then."""
    planned()
    signed_in(client, "helper")
    acts = Act.objects.count()
    going = client.post(LOOK, form("answer", fact="surface:p2", answer="not_sure", skip="")).headers[
        "Location"
    ]
    look = client.get(going).context["look"]
    assert look["question"]["fact"] != "surface:p2"
    assert look["questions"][-1]["fact"] == "surface:p2"
    assert Act.objects.count() == acts


@pytest.mark.parametrize(
    ("fields", "key", "value", "by_what"),
    [
        ({"fact": "water", "answer": "brackish,sewage"}, "water", ["brackish", "sewage"], "seen"),
        ({"fact": "wet_state", "answer": "splashed"}, "wet_state", "splashed", "seen"),
        ({"fact": "significance", "answer": "5"}, "significance", 5, "stated"),
        ({"fact": "mass_g", "typed": "12,5"}, "mass_g", 12500, "measured"),
        ({"fact": "under_water_h", "typed": "9"}, "under_water_h", 9, "measured"),
        (
            {"fact": "wet_since", "typed": "2026-03-15T02:40"},
            "wet_since",
            "2026-03-15T02:40:00+00:00",
            "stated",
        ),
        ({"fact": "pieces", "typed": "3"}, "pieces", 3, "measured"),
    ],
)
def test_an_answer_about_the_whole(
    client: Client, fields: dict[str, str], key: str, value: Any, by_what: str
) -> None:
    """It takes the place of what the page had in view, and clashes with nothing."""
    thing, _found = planned()
    signed_in(client, "helper")
    sent = form("answer", **{f"saw-{key}": saw(thing, key)}, **fields)
    assert client.post(LOOK, sent).status_code == 302
    row = translate.in_force(thing)[key]
    assert (row.value, row.known_by, row.clash) == (value, by_what, False)


@pytest.mark.parametrize(
    ("fields", "field", "value"),
    [
        ({"fact": "surface:p2", "typed": "French polish"}, "features", ["polished_finish"]),
        ({"fact": "material:p1", "typed": "Marble"}, "material", "marble"),
        ({"fact": "material:p1", "typed": "stone, not known which"}, "material", "stone_unknown"),
        ({"fact": "thickness:p1", "typed": "18"}, "thickness_mm", 18.0),
    ],
)
def test_an_answer_about_a_part(client: Client, fields: dict[str, str], field: str, value: Any) -> None:
    """Typed in words as people know them."""
    thing, _found = planned()
    signed_in(client, "helper")
    assert client.post(LOOK, form("answer", **fields)).status_code == 302
    assert getattr(thing.parts.get(key=fields["fact"].partition(":")[2]), field) == value


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ({"fact": "surface:p2", "typed": "cheesy"}, "not in the list"),
        ({"fact": "surface:p2", "answer": "cracked"}, "is no surface"),
        ({"fact": "material:p1", "typed": "cheese"}, "is no material"),
        ({"fact": "wet_state", "answer": "soggy"}, "is no answer"),
        ({"fact": "water", "answer": "lemonade"}, "is no answer"),
        ({"fact": "significance", "answer": "9"}, "is no answer"),
        ({"fact": "mass_g", "typed": "heavy"}, "a number from"),
        ({"fact": "mass_g", "typed": ""}, "type a number"),
        ({"fact": "wet_since", "typed": "yesterday"}, "a day and a time"),
        ({"fact": "wet_since", "typed": "2999-01-01T00:00"}, "still to come"),
        ({"fact": "features", "answer": "x"}, "answered with the ticks"),
        ({"fact": ""}, "the question is needed"),
    ],
)
def test_an_answer_that_is_none(client: Client, fields: dict[str, str], why: str) -> None:
    """422, its sentence, what was typed is still there, nothing is kept."""
    planned(known_by={"wet_since": "unknown", "mass_g": "unknown"})
    signed_in(client, "helper")
    before = Observation.objects.count()
    answer = client.post(LOOK, form("answer", **fields))
    assert answer.status_code == 422
    told = answer.content.decode()
    assert why in told
    if fields["fact"] in {"surface:p2", "material:p1", "mass_g", "wet_since"}:
        assert f'value="{fields.get("typed", "")}"' in told
    assert Observation.objects.count() == before


def test_ticks_of_a_part(client: Client) -> None:
    """Only what differs is kept; what had no tick stays."""
    thing, _found = planned()
    thing.parts.filter(key="p1").update(features=["painted", "tarred"])
    signed_in(client, "helper")
    ticks = {"shown": ["painted", "cracked"], "feature": ["cracked"], "other": "old glued or filled repair"}
    sent = form("look_part", part="p1", material="", thickness_mm="21", **ticks)
    assert [client.post(LOOK, sent).status_code for _ in range(2)] == [302, 302]
    part = thing.parts.get(key="p1")
    assert part.features == ["cracked", "old_repair", "tarred"]
    assert (part.thickness_mm, part.thickness_by, part.material) == (21, "measured", "oak")
    assert Act.objects.filter(kind="observe_part").count() == 2
    assert PlanSnapshot.objects.count() == 2


@pytest.mark.parametrize(
    ("fields", "status", "why"),
    [
        ({"part": "p1", "shown": ["painted"], "feature": ["painted"]}, 422, "nothing new"),
        ({"part": "p9", "feature": ["painted"]}, 422, "not there"),
        ({"part": "p1", "feature": ["wings"]}, 422, "not known"),
        ({"part": "p1", "feature": ["painted"], "other": "wings"}, 422, "not in the list"),
        ({"part": "p1", "feature": ["painted"], "thickness_mm": "thick"}, 422, "a number from"),
        ({"part": "p1", "feature": ["painted", "bare"]}, 409, "bare surface has nothing"),
    ],
)
def test_ticks_that_cannot_be(client: Client, fields: dict[str, Any], status: int, why: str) -> None:
    """The ticks that were sent are still ticked."""
    planned()
    signed_in(client, "helper")
    answer = client.post(LOOK, form("look_part", **fields))
    assert answer.status_code == status
    assert why in answer.content.decode()
    if fields.get("feature") == ["painted", "bare"]:
        told = answer.content.decode()
        assert 'value="bare" checked' in told
        assert 'value="painted" checked' in told


def test_sizes_and_ticks_of_the_whole(client: Client) -> None:
    """Weights typed in kg are kept in g; a feature that stops the work stops it."""
    thing, _found = planned()
    signed_in(client, "helper")
    more = {f"saw-{key}": str(row.uid) for key, row in translate.in_force(thing).items()}
    sent = form("look_whole", wet_state="damp_now", length_mm="900", mass_g="31,5", done_already=["wiped"],
                features=["mercury_inside"], **more)  # fmt: skip
    assert [client.post(LOOK, sent).status_code for _ in range(2)] == [302, 302]
    held = translate.in_force(thing)
    assert (held["length_mm"].value, held["mass_g"].value, held["wet_state"].value) == (
        900,
        31500,
        "damp_now",
    )
    assert (held["done_already"].value, held["features"].value) == (["wiped"], ["mercury_inside"])
    assert not any(row.clash for row in held.values())
    thing.refresh_from_db()
    assert thing.stops == 1
    assert PlanSnapshot.objects.count() == 2
    again = client.post(LOOK, form("look_whole", wet_state="damp_now", length_mm="900", mass_g="31.5",
                                   done_already=["wiped"], features=["mercury_inside"]))  # fmt: skip
    assert again.status_code == 422
    assert "nothing new" in again.content.decode()


def test_somebody_else_saw_another_thing_meanwhile(client: Client) -> None:
    """Both stand, and the page asks for a third look."""
    thing, _found = planned()
    old = saw(thing, "pieces")
    observe(by(lead()), thing, "pieces", 4, "seen", translate.in_force(thing)["pieces"])
    signed_in(client, "helper")
    assert (
        client.post(LOOK, form("answer", fact="pieces", typed="3", **{"saw-pieces": old})).status_code == 302
    )
    assert "Two people saw different things: how many pieces" in client.get(LOOK).content.decode()


def test_a_part_is_added(client: Client) -> None:
    """With how it holds; once."""
    thing, _found = planned()
    signed_in(client, "helper")
    sent = form(
        "add_part", name="lock", new_material="iron", new_thickness_mm="2", joined_to="p1", join="nailed"
    )
    assert [client.post(LOOK, sent).status_code for _ in range(2)] == [302, 302]
    assert list(thing.parts.order_by("order").values_list("name", flat=True)) == ["chest", "bands", "lock"]
    bad = client.post(LOOK, form("add_part", name="latch", new_material="cheese"))
    told = bad.content.decode()
    assert bad.status_code == 422
    assert 'value="latch"' in told
    assert "no material" in told


HALF: dict[str, dict[str, Any]] = {
    "look_whole": {"wet_state": "damp_now", "mass_g": "3", "features": []},
    "look_part": {"part": "p2", "material": "copper_alloy", "feature": ["bare"], "thickness_mm": "4"},
    "answer": {"fact": "surface:p2", "answer": "bare"},
    "add_part": {"name": "lock", "new_material": "iron"},
}


@pytest.mark.parametrize("do", HALF)
def test_a_plan_that_broke_follows_when_the_form_is_sent_again(
    client: Client, monkeypatch: pytest.MonkeyPatch, do: str
) -> None:
    """What was seen is kept once; the same form sent again brings its plan, and a third time nothing new."""

    def broken(*given: Any) -> PlanSnapshot:
        raise RuntimeError("cut off")

    thing, _found = planned()
    signed_in(client, "helper")
    sent = form(do, **HALF[do])
    client.raise_request_exception = False
    with monkeypatch.context() as cut:
        cut.setattr(things_look, "plan", broken)
        assert client.post(LOOK, sent).status_code == 500
    kept = thing.acts.count()
    assert PlanSnapshot.objects.count() == 1
    assert [client.post(LOOK, sent).status_code for _ in range(2)] == [302, 302]
    assert PlanSnapshot.objects.count() == 2
    assert thing.acts.count() == kept + 1
    assert differences() == []


def test_of_one_form_all_is_kept_or_nothing(client: Client) -> None:
    """What it is made of is not kept where what is on it is refused; the refusal is."""
    thing, _found = planned()
    signed_in(client, "helper")
    sent = form("look_part", part="p2", material="copper_alloy", feature=["bare", "painted"])
    assert client.post(LOOK, sent).status_code == 409
    assert thing.parts.get(key="p2").material == "iron"
    assert not Observation.objects.filter(part__isnull=False).exists()
    assert "a bare surface has nothing on it" in Refusal.objects.get().reason
    assert PlanSnapshot.objects.count() == 1


@pytest.mark.parametrize("do", ["answer", "look_part", "look_whole", "add_part"])
def test_a_viewer_notes_nothing(client: Client, do: str) -> None:
    """Refused, whatever is sent."""
    planned()
    signed_in(client, "viewer")
    assert client.post(LOOK, form(do, fact="water", answer="clean")).status_code == 403


def test_a_thing_without_a_plan_can_be_looked_over(client: Client) -> None:
    """There is no question yet; what is ticked makes its first plan."""
    thing = received()
    signed_in(client, "helper")
    assert client.get(LOOK).context["look"]["question"] is None
    assert client.post(LOOK, form("look_part", part="p2", feature=["bare"])).status_code == 302
    assert PlanSnapshot.objects.filter(object=thing).count() == 1
    plan(by(), thing)
    assert now() >= thing.received_at
