"""Overruling on one thing, releasing its stops, and the list of everything that is overruled."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.test import Client

from strandline.records.models.acts import Act, Refusal
from strandline.records.models.objects import Lot, Object
from strandline.records.models.plans import HazardRelease, KnowledgeVersion, Override, PlanSnapshot
from strandline.services.override import override
from strandline.services.plan import newest, plan
from tests.records.cast import NOW, incident, lead
from tests.services.doing import barometer, by, received
from tests.web.cast import form, signed_in
from tests.web.test_things import AT, planned, twin

pytestmark = pytest.mark.django_db
OVERRULE = AT + "overrule/"
ALL = "/ORNL1/overrides/"
WHY = "the stair is wet and narrow"


def sent_override(**more: Any) -> dict[str, object]:
    """Lifting is overruled to: no."""
    given = {"kind": "action", "about": "lift", "target": ["act.lift.all"], "verdict": "no",
             "how": "It stays where it is.", "level": "object", "reason": WHY, **more}  # fmt: skip
    return form("override", **given)


@pytest.mark.parametrize("role", ["conservator", "helper", "viewer"])
def test_only_the_lead_overrules(client: Client, role: str) -> None:
    """Page, twin and forms are refused to others."""
    planned()
    signed_in(client, role)
    assert client.get(OVERRULE).status_code == 403
    assert client.get(AT + "overrule.json").status_code == 403
    assert client.post(OVERRULE, sent_override()).status_code == 403
    assert client.post(OVERRULE, form("release")).status_code == 403
    assert client.post(ALL, form("withdraw")).status_code == 403
    assert client.post(ALL, form("follow")).status_code == 403
    assert client.get(ALL).status_code == 200


def test_what_may_be_overruled_is_grouped_by_action(client: Client) -> None:
    """Rules of verdicts, limits and clocks; no stop and no hazard among them."""
    planned()
    signed_in(client, "lead")
    look = twin(client, OVERRULE)
    rinse = next(row for row in look["rows"] if row["about"] == "rinse")
    assert "act.rinse.wood_surface_no" in {rule["target"] for rule in rinse["rules"]}
    assert {row["kind"] for row in look["rows"]} == {"action", "limit", "clock"}
    assert not [rule for row in look["rows"] for rule in row["rules"] if rule["target"].startswith("hz.")]
    told = client.get(OVERRULE + "?about=rinse").content.decode()
    assert "Which rule is wrong here?" in told
    assert "act.rinse.wood_surface_no" in told


def test_overruling_changes_the_plan_and_the_page_says_how(client: Client) -> None:
    """Once, with who and why."""
    thing, _found = planned()
    signed_in(client, "lead")
    sent = sent_override()
    going = client.post(OVERRULE, sent).headers["Location"]
    assert client.post(OVERRULE, sent).status_code == 302
    assert (Override.objects.count(), PlanSnapshot.objects.count()) == (1, 2)
    last = newest(thing)
    assert last is not None
    assert last.result["actions"]["lift"]["verdict"] == "no"
    answer = client.get(going)
    told = answer.content.decode()
    assert "Lift was carefully, is no" in told
    assert WHY in told
    assert "lead conservator" in told
    assert str(lead().uid) not in told


def test_of_several_rules_all_are_overruled_or_none(client: Client) -> None:
    """A later one is refused: the earlier is not overruled either; the refusal is kept, the plan stays."""
    thing, _found = planned()
    signed_in(client, "lead")
    sent = sent_override(target=["act.lift.all", "no.such.rule"])
    for times in (1, 2):
        answer = client.post(OVERRULE, sent)
        assert answer.status_code == 409
        assert "no rule or material has this id" in answer.content.decode()
        assert [row.kind for row in Refusal.objects.filter(object=thing)] == ["override"] * times
    assert (Override.objects.count(), PlanSnapshot.objects.count()) == (0, 1)
    assert not Act.objects.filter(kind="override").exists()
    both = sent_override(target=["act.lift.all", "act.rinse.salt_metal"])
    assert client.post(OVERRULE, both).status_code == 302
    assert (Override.objects.count(), PlanSnapshot.objects.count()) == (2, 2)


def test_a_rule_that_is_not_the_strictest_changes_no_verdict(client: Client) -> None:
    """And the page says so instead of keeping silent."""
    planned()
    signed_in(client, "lead")
    sent = sent_override(about="rinse", target=["act.rinse.salt_metal"], verdict="yes", how="")
    answer = client.get(client.post(OVERRULE, sent).headers["Location"])
    assert not [
        one
        for one in answer.context["look"]["changed"]["verdicts"]
        if one["action"] == "rinse" and not one["part"]
    ]


@pytest.mark.parametrize(
    ("about", "fields", "target", "value"),
    [
        ("limit:rh_percent", {"kind": "limit", "low": "45", "high": "60"}, "material.timber_painted",
         {"rh_percent": [45.0, 60.0]}),
        ("clock:rust:emerged", {"kind": "clock", "hours": "2"}, "material.iron", None),
    ],
)  # fmt: skip
def test_limits_and_hours_are_overruled_too(
    client: Client, about: str, fields: dict[str, str], target: str, value: dict[str, Any] | None
) -> None:
    """Of the material that brings them."""
    planned()
    signed_in(client, "lead")
    look = twin(client, f"{OVERRULE}?about={about}")
    assert target in {rule["target"] for rule in look["chosen"]["rules"]}
    sent = form("override", about=about, target=[target], level="object", reason=WHY, **fields)
    assert client.post(OVERRULE, sent).status_code == 302
    row = Override.objects.get()
    assert row.target == target
    assert row.value == value if value else row.value["start_by_h"] == 2.0
    (mark,) = twin(client, AT)["overrides"]
    assert (mark["rule"], mark["level"], mark["reason"]) == (target, "object", WHY)
    assert WHY in client.get(AT).content.decode()


def test_an_action_no_rule_speaks_of(client: Client) -> None:
    """Is answered for this object under a target of its own."""
    thing, found = planned()
    silent = next((key for key in ("freeze", "hold_wet", "operate", "immerse", "take_apart", "open_up", "sun")
                   if key not in found.result["actions"]), None)  # fmt: skip
    signed_in(client, "lead")
    rows = twin(client, OVERRULE)["rows"]
    absent = [
        row for row in rows if row["kind"] == "action" and row["rules"][0]["target"].startswith("absent.")
    ]
    assert {row["about"] for row in absent} == {
        row["about"]
        for row in rows
        if row["kind"] == "action" and row["about"] not in found.result["actions"]
    }
    if silent is None:
        assert not absent
    assert thing.plans.count() == 1


@pytest.mark.parametrize(
    ("more", "status", "why"),
    [
        ({"reason": "too short"}, 422, "10 characters at least; this has 9"),
        ({"reason": ""}, 422, "a reason is needed"),
        ({"target": []}, 422, "tick at least one rule"),
        ({"verdict": "perhaps"}, 422, "one of"),
        ({"verdict": "no", "how": ""}, 422, "say how"),
        ({"level": "world"}, 422, "one of"),
        ({"level": "lot"}, 422, "is in no lot"),
        ({"expires": "tomorrow"}, 422, "a day and a time"),
        ({"expires": "2020-01-01T00:00"}, 422, "over already"),
        ({"target": ["hz.lead_paint"]}, 409, "cannot be overridden"),
        ({"target": ["act.fly.all"]}, 409, "no rule or material"),
        ({"kind": "limit", "low": "60", "high": "40"}, 422, "the lower first"),
        ({"kind": "clock", "hours": ""}, 422, "a number of hours"),
    ],
)
def test_what_cannot_be_overruled(client: Client, more: dict[str, Any], status: int, why: str) -> None:
    """Its sentence, and what was typed and ticked is still there."""
    planned()
    signed_in(client, "lead")
    answer = client.post(OVERRULE + "?about=lift", sent_override(**more))
    told = answer.content.decode()
    assert answer.status_code == status
    assert why in told
    assert not Override.objects.exists()
    assert PlanSnapshot.objects.count() == 1
    if more.get("reason", "x") == "x" and "how" not in more:
        assert WHY in told
        assert "It stays where it is." in told
    if "target" not in more:
        assert 'value="act.lift.all" checked' in told


@pytest.mark.parametrize("level", ["object", "lot", "incident", "practice"])
def test_every_level(client: Client, level: str) -> None:
    """The row says which; the plans of others follow from the list, and only those it bears on."""
    thing, _found = planned()
    other, jar = received("0043"), received("0044")
    lot = Lot.objects.create(incident=incident(), name="chests")
    Object.objects.filter(pk__in=(thing.pk, other.pk)).update(lot=lot)
    plan(by(), other)
    plan(by(), jar)
    signed_in(client, "lead")
    assert client.post(OVERRULE, sent_override(level=level)).status_code == 302
    assert Override.objects.get().level == level
    (row,) = twin(client, ALL)["overrides"]
    assert row["behind"] == {"object": 0, "lot": 1, "incident": 2, "practice": 2}[level]
    sent = form("follow", override=row["uid"])
    if row["behind"]:
        assert client.post(ALL, sent).status_code == 302
        assert client.post(ALL, form("follow", override=row["uid"])).status_code == 409
    assert twin(client, ALL)["overrides"][0]["behind"] == 0
    marked = [one.result["actions"]["lift"]["verdict"] for one in map(newest, (thing, other, jar)) if one]
    reached = {"object": 1, "lot": 2, "incident": 3, "practice": 3}[level]
    assert marked.count("no") == reached


def test_an_override_is_withdrawn_and_the_plan_follows(client: Client) -> None:
    """With a reason; it stays in the list."""
    thing, _found = planned()
    override(by(lead()), "act.lift.all", {"verdict": "no", "how": "It stays."}, WHY, thing)
    plan(by(), thing)
    signed_in(client, "lead")
    (row,) = twin(client, ALL)["overrides"]
    assert (row["state"], row["level"], row["tag"], row["reason"]) == ("in_force", "object", "0042", WHY)
    assert row["by"] == lead().name
    assert row["role"] == "lead conservator"
    bad = client.post(ALL, form("withdraw", override=row["uid"], reason="dry now"))
    assert bad.status_code == 422
    assert "dry now" in bad.content.decode()
    sent = form("withdraw", override=row["uid"], reason="the stair is dry again")
    assert [client.post(ALL, sent).status_code for _ in range(2)] == [302, 302]
    assert Act.objects.filter(kind="withdraw_override").count() == 1
    last = newest(thing)
    assert last is not None
    assert last.number == 3
    assert last.result["actions"]["lift"]["verdict"] == "careful"
    assert twin(client, ALL)["overrides"][0]["state"] == "withdrawn"
    again = client.post(ALL, form("withdraw", override=row["uid"], reason="the stair is dry again"))
    assert again.status_code == 409


def test_an_override_of_another_incident_is_none_of_this_one(client: Client) -> None:
    """Neither shown nor withdrawn here."""
    planned()
    there = override(by(lead()), "act.lift.all", {"how": "Two people."}, WHY, incident("ORNL2"))
    signed_in(client, "lead")
    assert twin(client, ALL)["overrides"] == []
    for uid in (str(there.uid), str(uuid.uuid4()), "x"):
        answer = client.post(ALL, form("withdraw", override=uid, reason="the stair is dry again"))
        assert answer.status_code == 422
    assert client.get("/NONE1/overrides/").status_code == 404


def test_what_fits_nothing_any_more_is_named(client: Client) -> None:
    """An override whose rule has gone."""
    planned()
    row = override(by(lead()), "act.lift.all", {"how": "Two people."}, WHY)
    Override.objects.filter(pk=row.pk).update(target="act.lift.gone")
    signed_in(client, "helper")
    look = twin(client, ALL)
    assert look["orphans"] == 1
    assert "no longer fits" in look["overrides"][0]["orphan"]
    assert "no longer fits" in client.get(ALL).content.decode()


def test_a_stop_is_lifted_only_by_recording_who_released_it(client: Client) -> None:
    """Role and words; once; then the plan has it no more."""
    thing = barometer("0013")
    plan(by(), thing)
    at = "/ORNL1/things/0013/overrule/"
    signed_in(client, "lead")
    assert "A stop is not overruled" in client.get(at).content.decode()
    bad = client.post(at, form("release", hazard="mercury", role="remover", said="ok"))
    assert bad.status_code == 422
    assert 'value="remover"' in bad.content.decode()
    assert (
        client.post(at, form("release", hazard="radium", role="remover", said="It is gone.")).status_code
        == 409
    )
    sent = form("release", hazard="mercury", role="licensed remover", said="Taken out and packed.")
    going = client.post(at, sent).headers["Location"]
    assert client.post(at, sent).status_code == 302
    assert HazardRelease.objects.count() == 1
    told = client.get(going).content.decode()
    assert "The stop mercury was released." in told
    assert "Taken out and packed." in told
    thing.refresh_from_db()
    assert thing.stops == 0


@pytest.mark.parametrize("count", [5, 60])
def test_the_list_takes_few_queries(client: Client, count: int, django_assert_max_num_queries: Any) -> None:
    """However many there are; fifty a page."""
    thing = received()
    for n in range(count):
        Override.objects.create(
            level="object", object=thing, target="act.lift.all", value={"how": f"way {n}"}, reason=WHY,
            person=lead(), at=NOW,
        )  # fmt: skip
    signed_in(client, "lead")
    with django_assert_max_num_queries(10):
        answer = client.get(ALL)
    assert len(answer.context["look"]["overrides"]) == min(count, 50)
    assert answer.context["look"]["pages"] == (2 if count > 50 else 1)


def test_newer_rules_wait_for_the_lead(client: Client) -> None:
    """An object says so, nothing is made anew by itself, and the lead takes them on for all at one press."""
    thing = received()
    first = plan(by(), thing)
    signed_in(client, "helper")
    assert client.get("/ORNL1/things/0042.json").json()["newer_rules"] is False
    KnowledgeVersion.objects.update(engine_version="0.0.1")
    assert "Newer rules have come" in client.get("/ORNL1/things/0042/").content.decode()
    assert client.get("/ORNL1/overrides.json").json()["older_rules"] == 1
    signed_in(client, "lead")
    assert client.post("/ORNL1/overrides/", form("accept")).status_code == 302
    thing.refresh_from_db()
    assert thing.plan is not None
    assert thing.plan.number == first.number + 1
    assert client.get("/ORNL1/overrides.json").json()["older_rules"] == 0


def test_an_orphaned_override_holds_nothing_up(client: Client) -> None:
    """What is no longer shipped cannot be overruled: the plan is made without it, and the page lists it."""
    thing = received()
    who = signed_in(client, "lead")
    Override.objects.create(
        level="incident", incident=thing.incident, target="act.lift.long_gone", value={"verdict": "yes"},
        reason="It was a rule once.", person=who, at=NOW,
    )  # fmt: skip
    assert plan(by(), thing).number == 1
    assert client.get("/ORNL1/overrides.json").json()["orphans"] == 1
    assert client.get("/keeping.json").json()["orphans"][0]["target"] == "act.lift.long_gone"
