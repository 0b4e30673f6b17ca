"""Trays: what may lie on one, counts at each hand-over, steps ended for all but some, and the dry scribe."""

import uuid

import pytest

from strandline.records.models.acts import Act, Refusal
from strandline.records.models.objects import Object, Tray, TrayCount
from strandline.records.models.people import Person
from strandline.records.models.plans import PlanSnapshot, StepEnd
from strandline.records.models.sites import Place
from strandline.services.acting import KeyTaken, Refused
from strandline.services.came_off import came_off
from strandline.services.count_tray import count_tray, open_searches, settle_count
from strandline.services.end_step import end_step
from strandline.services.end_tray_step import end_tray_step
from strandline.services.fold import differences
from strandline.services.make_tray import make_tray
from strandline.services.merge import merge
from strandline.services.plan import newest, plan
from strandline.services.put_on_tray import next_of, put_on_tray, take_off_tray
from strandline.services.receive import receive
from strandline.services.release_hazard import release_hazard
from strandline.services.scribe import record_for
from strandline.services.standing import open_steps
from tests.records.cast import NOW, an_object, device, helper, incident, lead, person
from tests.services.doing import barometer, by, facts, received

pytestmark = pytest.mark.django_db
HERS = "refer_to_conservator"
"""A step of a conservator that a chest's plan has."""


def tray(name: str = "blue tray") -> Tray:
    """A tray of that name."""
    return Tray.objects.filter(name=name).first() or make_tray(by(), incident(), name)


def planned(tag: str) -> Object:
    """A chest with a plan."""
    thing = received(tag)
    plan(by(), thing)
    return thing


def loaded(*tags: str) -> list[Object]:
    """Chests on the blue tray."""
    things = [planned(tag) for tag in tags]
    put_on_tray(by(), tray(), things)
    for thing in things:
        thing.refresh_from_db()
    return things


def test_a_tray_has_a_name_of_its_own_and_stands_in_its_incident() -> None:
    """Named once, not empty, not endless, at a place of the same flood."""
    there = Place.objects.create(incident=incident("ORNL2"), kind="room", name="hall")
    here = Place.objects.create(incident=incident(), kind="room", name="hall")
    assert make_tray(by(), incident(), " blue tray ", here).name == "blue tray"
    assert make_tray(by(), incident("ORNL2"), "blue tray", there).place == there
    for name, place, why in (("blue tray", None, "already"), ("  ", None, "a name"), ("x" * 51, None, "50"),
                             ("green tray", there, "another incident")):  # fmt: skip
        with pytest.raises(Refused, match=why):
            make_tray(by(), incident(), name, place)


def test_things_lie_on_one_tray_at_a_time() -> None:
    """Put on another one, they are no longer on the first; each act counts their revision."""
    one, two = loaded("0001", "0002")
    assert (one.tray, two.tray, one.revision) == (tray(), tray(), 3)
    put_on_tray(by(), tray("green tray"), [two])
    two.refresh_from_db()
    assert (two.tray, two.revision) == (tray("green tray"), 4)
    take_off_tray(by(), [one, two])
    assert not Object.objects.filter(tray__isnull=False).exists()
    with pytest.raises(Refused, match="0001 lies on no tray"):
        take_off_tray(by(), [one])
    with pytest.raises(Refused, match="one thing at least"):
        take_off_tray(by(), [])


def test_another_next_step_is_refused_with_both_named() -> None:
    """Against what lies there, or against the first one given; then nothing is put on."""
    one, two = planned("0001"), planned("0002")
    plan_two = newest(two)
    assert plan_two is not None
    end_step(by(), plan_two, "photograph", "done")
    first, second = next_of(one).step, next_of(two).step
    assert first != second
    why = f"0002 does not go .* '{second}', that of 0001 is '{first}'"
    with pytest.raises(Refused, match=why):
        put_on_tray(by(), tray(), [one, two])
    assert not Object.objects.filter(tray__isnull=False).exists()
    put_on_tray(by(), tray(), [one])
    with pytest.raises(Refused, match=why):
        put_on_tray(by(), tray(), [two])


def test_the_same_step_under_other_rules_is_refused() -> None:
    """The rules are named by which the two differ."""
    one, two = planned("0001"), planned("0002")
    found = newest(two)
    assert found is not None
    result = found.result
    open_steps(found)[0]["rules"].append("a.rule.of.its.own")
    first = next(step for step in result["steps"] if step["key"] == next_of(two).step)
    first["rules"] = [*first["rules"], "a.rule.of.its.own"]
    PlanSnapshot.objects.filter(pk=found.pk).update(result=result)
    with pytest.raises(Refused, match=r"0002 .*different rules \(a\.rule\.of\.its\.own\)"):
        put_on_tray(by(), tray(), [one, two])


def test_what_goes_on_no_tray() -> None:
    """Stopped, without a plan, with nothing left to do, merged, of another incident."""
    stopped, bare, done = barometer(), received("0001"), planned("0002")
    plan(by(), stopped)
    found = newest(done)
    assert found is not None
    for step in open_steps(found):
        end_step(by(lead()), found, step["key"], "done")
    gone = received("0003")
    merge(by(lead()), bare, gone, "one chest")
    far = receive(by(), incident("ORNL2"), facts("0009"))
    for thing, why in (
        (stopped, r"0013 is stopped \(mercury\)"), (bare, "0001 has no plan"), (gone, "merged"),
        (done, "0002 has no step left"), (far, "another incident"),
    ):  # fmt: skip
        with pytest.raises(Refused, match=why):
            put_on_tray(by(), tray(), [thing])
    release_hazard(by(lead()), stopped, "mercury", "licensed remover", "Taken out and packed.")
    put_on_tray(by(), tray(), [stopped])
    stopped.refresh_from_db()
    assert stopped.tray == tray()
    assert differences() == []


def test_a_shortfall_is_a_search_until_it_is_settled() -> None:
    """Fewer than expected, with or without their tags; a full count is no search."""
    loaded("0001", "0002", "0003")
    full = count_tray(by(), tray(), 3)
    short = count_tray(by(), tray(), 1, ["0003", "0001"], "after the second basin")
    unknown = count_tray(by(), tray(), 2)
    assert (full.expected, short.expected, short.missing) == (3, 3, ["0001", "0003"])
    assert list(open_searches(incident())) == [short, unknown]
    assert list(open_searches(incident("ORNL2"))) == []
    settled = settle_count(by(lead()), short, "both lay under the rack")
    assert settled.note == "after the second basin\nboth lay under the rack"
    assert list(open_searches(incident())) == [unknown]
    for count, note, why in (
        (short, "again", "no search"),
        (full, "why", "no search"),
        (unknown, " ", "say how"),
    ):
        with pytest.raises(Refused, match=why):
            settle_count(by(), count, note)
    assert differences() == []


@pytest.mark.parametrize(
    ("counted", "missing", "note", "why"),
    [
        (-1, [], "", "nought or more"),
        (3, [], "", "holds 2 by the record"),
        (1, ["0009"], "", "0009 is not on tray"),
        (1, ["0001", "0002"], "", "1 missing by the count, 2 named"),
        (0, ["0001", "0001"], "", "each one once"),
        (2, ["0001"], "", "0 missing"),
        (3, ["0001"], "a spoon", "0 missing"),
    ],
)
def test_a_count_that_does_not_fit(counted: int, missing: list[str], note: str, why: str) -> None:
    """Nothing is kept of it but the refusal."""
    loaded("0001", "0002")
    with pytest.raises(Refused, match=why):
        count_tray(by(), tray(), counted, missing, note)
    assert not TrayCount.objects.exists()
    assert why in Refusal.objects.get().reason


def test_more_than_expected_is_kept_with_a_note() -> None:
    """Something lies there that the record does not know; nobody searches for it."""
    loaded("0001")
    assert count_tray(by(), tray(), 2, note="a spoon without a tag").counted == 2
    assert list(open_searches(incident())) == []


def test_a_step_is_done_for_the_tray_except_one() -> None:
    """Each has an act of its own; the one that is named was not done, because."""
    loaded("0001", "0002", "0003")
    who = by()
    found = end_tray_step(who, tray(), "photograph", "done", {"0002": ("no_time", "the phone was wet")})
    assert [(row.object.tag, row.end, row.because, row.note) for row in found.ended] == [
        ("0001", "done", "", ""), ("0002", "not_done", "no_time", "the phone was wet"),
        ("0003", "done", "", ""),
    ]  # fmt: skip
    assert found.refused == []
    keys = {uuid.uuid5(who.key, tag) for tag in ("0001", "0002", "0003")}
    assert set(Act.objects.filter(kind="end_step").values_list("key", flat=True)) == keys
    assert Act.objects.get(key=who.key).payload["excepted"] == {"0002": ["no_time", "the phone was wet"]}
    assert differences() == []


def test_what_cannot_be_ended_keeps_no_other_from_it() -> None:
    """Ended before, or with a reason that is none: each is told with its sentence."""
    things = loaded("0001", "0002", "0003")
    found = newest(things[0])
    assert found is not None
    end_step(by(), found, "photograph", "done")
    result = end_tray_step(by(), tray(), "photograph", "done", {"0003": ("tired", "")})
    assert [row.object.tag for row in result.ended] == ["0002"]
    assert [tag for tag, _ in result.refused] == ["0001", "0003"]
    assert "ended already" in result.refused[0][1]
    assert "because of what" in result.refused[1][1]


def test_an_exception_that_is_not_on_the_tray_ends_nothing() -> None:
    """It may be a tag misheard; nor does an empty tray have steps."""
    loaded("0001")
    with pytest.raises(Refused, match="0031 is not on tray 'blue tray'; nothing was ended"):
        end_tray_step(by(), tray(), "photograph", "done", {"0031": ("no_time", "")})
    with pytest.raises(Refused, match="nothing lies"):
        end_tray_step(by(), tray("green tray"), "photograph", "done", {})
    assert not StepEnd.objects.exists()


def test_sent_again_it_is_about_the_same_things_and_plans() -> None:
    """Also when other things lie there by now, and one has a new plan; what was cut off is finished."""
    one, two = loaded("0001", "0002")
    who = by()
    first = end_tray_step(who, tray(), "photograph", "done", {})
    plan(by(), one)
    late = planned("0003")
    found = newest(late)
    assert found is not None
    end_step(by(), found, "photograph", "done")
    put_on_tray(by(), tray(), [late])
    take_off_tray(by(), [two])
    assert end_tray_step(who, tray(), "photograph", "done", {}) == first
    assert StepEnd.objects.filter(step="photograph").count() == 3
    with pytest.raises(KeyTaken):
        end_tray_step(who, tray(), "photograph", "done_differently", {}, note="on the bench")


def scribed(
    who: Person, doer: Person, tag: str, step: str = "photograph"
) -> tuple[int, list[tuple[str, str]]]:
    """One act told to a scribe: how many were ended, what was refused."""
    found = record_for(by(who), [(doer, tag, step, "done", "", "")])
    return len(found.ended), found.refused


def test_a_scribe_records_what_others_did() -> None:
    """The act is that of the doer, on the scribe's device; its payload names the scribe, by uid."""
    one, two = planned("0001"), planned("0002")
    hers = person("conservator")
    who = by()
    told = [
        (hers, "0001", HERS, "done", "", ""),
        (helper(), "0002", "photograph", "done_differently", "", "on the bench"),
        (lead(), "0001", "photograph", "not_done", "no_time", ""),
    ]
    found = record_for(who, told)
    assert [(row.object, row.by, row.step, row.end) for row in found.ended] == [
        (one, hers, HERS, "done"), (two, helper(), "photograph", "done_differently"),
        (one, lead(), "photograph", "not_done"),
    ]  # fmt: skip
    acts = list(Act.objects.filter(kind="end_step").order_by("id"))
    assert [act.person for act in acts] == [hers, helper(), lead()]
    assert {act.payload["scribe"] for act in acts} == {str(helper().uid)}
    assert {(act.device, act.device_at) for act in acts} == {(device(), NOW)}
    assert record_for(who, told) == found
    assert StepEnd.objects.count() == 3
    with pytest.raises(KeyTaken):
        record_for(who, told[:2])
    assert differences() == []


def test_whose_step_it_is_is_asked_of_the_doer() -> None:
    """A helper as scribe ends a conservator's step for a conservator, and for no helper."""
    planned("0001")
    assert scribed(lead(), helper(), "0001", HERS) == (0, [("0001", f"step '{HERS}' is a conservator's")])
    assert scribed(helper(), helper(), "0001", HERS)[0] == 0
    assert scribed(helper(), person("conservator"), "0001", HERS) == (1, [])


def test_both_roles_must_allow_it() -> None:
    """A viewer did nothing and records nothing; nor does somebody who has left."""
    found = plan(by(), received("0001"))
    ended, refused = scribed(helper(), person("viewer"), "0001")
    assert ended == 0
    assert "viewer" in refused[0][1]
    with pytest.raises(Refused, match="viewer"):
        scribed(person("viewer"), helper(), "0001")
    gone = Person.objects.create(name="gone", role="lead", active=False)
    assert scribed(helper(), gone, "0001")[0] == 0
    for scribe in (person("viewer"), gone):
        with pytest.raises(Refused, match="may not record for others"):
            end_step(by(), found, "photograph", "done", scribe=scribe)
    assert not StepEnd.objects.exists()


def test_tags_a_scribe_may_hear_wrongly() -> None:
    """None such, a fragment's, one of two incidents, one without a plan: told; the rest is recorded."""
    one = planned("0001")
    came_off(by(), incident(), "a splinter", one)
    received("0002")
    received("0003")
    an_object("0003", incident=incident("ORNL2"))
    tags = ("0404", "0001-a", "0003", "0002", "0001")
    told = [(helper(), tag, "photograph", "done", "", "") for tag in tags]
    found = record_for(by(), told)
    assert [row.object.tag for row in found.ended] == ["0001"]
    assert [why for _, why in found.refused] == [
        "there is no object under the tag 0404",
        "0001-a is a fragment; steps are those of the object it came off",
        "there is a 0003 in several incidents; say which",
        "0002 has no plan yet",
    ]
    assert record_for(by(), [told[2]], incident()).refused == [("0003", "0003 has no plan yet")]
    with pytest.raises(Refused, match="nothing to record"):
        record_for(by(), [])


def test_a_scribe_uses_the_old_tag_of_a_merged_thing() -> None:
    """It leads to the kept object, whose step is ended."""
    kept, other = planned("0001"), planned("0002")
    merge(by(lead()), kept, other, "one chest")
    found = record_for(by(), [(helper(), "0002", "photograph", "done", "", "")])
    assert [row.object for row in found.ended] == [kept]
