"""What each act does, and what it refuses."""

from datetime import timedelta
from typing import Any

import pytest

from strandline.records import translate
from strandline.records.models.acts import Refusal
from strandline.records.models.objects import ListRow, TagRange
from strandline.records.models.people import Device
from strandline.records.models.plans import Override, PlanSnapshot, StepEnd
from strandline.records.models.sites import Place
from strandline.services.acting import Refused
from strandline.services.claim_row import claim_row
from strandline.services.clock import now
from strandline.services.end_step import end_step
from strandline.services.move import move
from strandline.services.observe import observe
from strandline.services.override import override
from strandline.services.plan import plan, steps_of
from strandline.services.print_paper import print_paper
from strandline.services.receive import next_tag
from strandline.services.release_hazard import open_stops, release_hazard
from tests.records.cast import NOW, an_object, incident, lead, person
from tests.services.doing import barometer, by, facts, received

pytestmark = pytest.mark.django_db


def test_what_is_received_can_be_read_again() -> None:
    """Facts, parts and joins as given."""
    given = facts(known_by={key: "stated" for key in translate.KEYS if key not in translate.UNMARKED})
    thing = received(known_by=given.known_by)
    assert translate.facts_at(thing, NOW) == given


@pytest.mark.parametrize(
    ("tag", "why"), [("0042", "never used twice"), ("42", "no tag"), ("0150", "set aside for another device")]
)
def test_a_tag_that_cannot_be_claimed(tag: str, why: str) -> None:
    """In use, malformed, or printed for somebody else's table."""
    received("0042")
    other = Device.objects.create(name="second table", first_seen_at=NOW)
    TagRange.objects.create(incident=incident(), first=100, last=160, device=other, reserved_at=NOW)
    with pytest.raises(Refused, match=why):
        received(tag)
    assert next_tag(incident()) == "0161"


def test_rows_and_things_are_counted_both_ways() -> None:
    """One to one, one row for several things, several rows for one thing."""
    one, two = received("0001"), received("0002")
    rows = [ListRow.objects.create(incident=incident(), list_sha256="0" * 64, row=n) for n in (2, 3)]
    claim_row(by(), one, rows[0])
    assert rows[0].state == "found"
    claim_row(by(), two, rows[0])
    assert rows[0].state == "one_row_several_things"
    claim_row(by(), two, rows[1])
    assert rows[1].state == "several_rows_one_thing"
    with pytest.raises(Refused, match="already claimed"):
        claim_row(by(), two, rows[1])
    with pytest.raises(Refused, match="another incident"):
        claim_row(by(), an_object("0001", incident=incident("ORNL2")), rows[0])


def test_an_observation_takes_the_place_of_what_was_known() -> None:
    """With the one it saw superseded, nothing clashes."""
    thing = received()
    saw = translate.in_force(thing)["water"]
    new = observe(by(), thing, "water", ["sea"], "seen", saw)
    found = translate.facts_at(thing, NOW)
    assert (found.water, found.known_by["water"], new.clash) == (("sea",), "seen", False)


def test_two_who_look_at_the_same_time_clash_until_a_third_settles_it() -> None:
    """Both observations stay and are marked; one made with both in view settles it."""
    thing = received()
    saw = translate.in_force(thing)["pieces"]
    first = observe(by(), thing, "pieces", 3, "seen", saw)
    second = observe(by(lead()), thing, "pieces", 4, "seen", saw)
    first.refresh_from_db()
    assert (first.clash, second.clash) == (True, True)
    third = observe(by(lead()), thing, "pieces", 5, "seen", second)
    first.refresh_from_db()
    assert (first.clash, third.clash) == (False, False)
    assert translate.in_force(thing)["pieces"] == third


def test_two_who_see_the_same_do_not_clash() -> None:
    """Equal values agree, however many looked."""
    thing = received()
    saw = translate.in_force(thing)["pieces"]
    observe(by(), thing, "pieces", 3, "seen", saw)
    assert not observe(by(lead()), thing, "pieces", 3, "seen", saw).clash


@pytest.mark.parametrize(("key", "value"), [("colour", "red"), ("mass_g", "heavy"), ("wet_since", "today")])
def test_what_is_no_fact_is_refused(key: str, value: Any) -> None:
    """Key and value are looked at before anything is kept."""
    thing = received()
    with pytest.raises(Refused, match=key):
        observe(by(), thing, key, value, "seen", None)


def test_a_plan_is_numbered_and_says_what_made_it() -> None:
    """Number, short id, knowledge; a second plan of the same facts is the same but for its number."""
    thing = received()
    first, second = plan(by(), thing), plan(by(), thing)
    assert (first.number, second.number) == (1, 2)
    assert first.sha256 == second.sha256
    assert len({first.short_id, second.short_id}) == 2
    assert first.knowledge == second.knowledge
    assert first.facts["facts"]["water"] == ["brackish"]


def test_papers_are_void_when_the_plan_tells_another_thing() -> None:
    """The same plan again leaves the card good; one that tells otherwise calls it back."""
    thing = received()
    card = print_paper(by(), plan(by(), thing), "care_card")
    second = plan(by(), thing)
    card.refresh_from_db()
    assert card.void_at is None
    override(by(lead()), "act.lift.all", {"how": "Two people and a board."}, "the stair is wet", thing)
    plan(by(), thing)
    card.refresh_from_db()
    assert card.void_at is not None
    with pytest.raises(Refused, match="not the newest"):
        print_paper(by(), second, "care_card")


def test_an_override_reaches_the_objects_of_its_level() -> None:
    """Of the object only that object; of the practice all; expired or withdrawn, none."""
    one, two = received("0001"), received("0002")
    new = {"how": "Two people and a board."}
    row = override(by(lead()), "act.lift.all", new, "the stair is wet", one)

    def marked(found: PlanSnapshot) -> bool:
        return any("the stair is wet" in mark for mark in found.result["overrides"])

    assert [marked(plan(by(), thing)) for thing in (one, two)] == [True, False]
    Override.objects.filter(pk=row.pk).update(withdrawn_at=now())
    assert not marked(plan(by(), one))
    wide = override(by(lead()), "act.lift.all", new, "the stair is wet", None, now() + timedelta(hours=1))
    assert [marked(plan(by(), thing)) for thing in (one, two)] == [True, True]
    Override.objects.filter(pk=wide.pk).update(expires_at=now() - timedelta(hours=1))
    assert not marked(plan(by(), two))


@pytest.mark.parametrize(
    ("target", "value", "reason", "why"),
    [
        ("hz.mercury", {"grade": "note"}, "it looks fine to us", "cannot be overridden"),
        ("material.mercury", {"duty": ""}, "it looks fine to us", "stop cannot be overridden"),
        ("act.lift.all", {"how": "x"}, "because", "10 characters"),
        ("act.lift.all", {"how": None}, "the stair is wet", "null"),
        ("act.lift.all", {"colour": "red"}, "the stair is wet", "no field"),
        ("act.fly.all", {"how": "x"}, "the stair is wet", "no rule"),
    ],
)
def test_what_cannot_be_overruled(target: str, value: dict[str, Any], reason: str, why: str) -> None:
    """Stops never; anything else with a reason, a field there is, and a value that fits."""
    with pytest.raises(Refused, match=why):
        override(by(lead()), target, value, reason)
    assert not Override.objects.exists()
    assert why in Refusal.objects.get().reason


def test_a_stop_is_released_with_role_and_words_only() -> None:
    """Not by nobody, not without words, not where nothing stops; then it is open no longer."""
    thing = barometer()
    found = plan(by(), thing)
    assert open_stops(thing, found) == ["mercury"]
    for hazard, role, said in (("mercury", "", "Taken out and packed."), ("mercury", "remover", "ok"),
                               ("radium", "remover", "Taken out and packed.")):  # fmt: skip
        with pytest.raises(Refused):
            release_hazard(by(lead()), thing, hazard, role, said)
    release_hazard(by(lead()), thing, "mercury", "licensed remover", "Taken out and packed.")
    assert open_stops(thing, found) == []


def test_steps_end_in_three_ways() -> None:
    """Done, done differently, not done because."""
    found = plan(by(), received())
    ways = (("done", "", ""), ("done_differently", "", "on the bench"), ("not_done", "no_water", ""))
    for step, (end, because, note) in zip(steps_of(found), ways, strict=False):
        assert end_step(by(), found, step, end, because, note).end == end


@pytest.mark.parametrize(
    ("step", "end", "because", "note", "why"),
    [
        ("photograph", "withdrawn", "", "", "a step ends"),
        ("photograph", "not_done", "", "", "because of what"),
        ("photograph", "done", "no_time", "", "only a step that was not done"),
        ("photograph", "done_differently", "", " ", "say how"),
        ("fly", "done", "", "", "no step 'fly'"),
        ("refer_to_conservator", "done", "", "", "conservator's"),
    ],
)
def test_an_end_that_is_refused(step: str, end: str, because: str, note: str, why: str) -> None:
    """Each with its sentence; nothing is kept."""
    found = plan(by(), received())
    with pytest.raises(Refused, match=why):
        end_step(by(), found, step, end, because, note)
    assert not StepEnd.objects.exists()


def test_a_conservator_ends_a_conservators_step_and_no_step_ends_twice() -> None:
    """The role of the step counts; a second end is refused, one of an older plan too."""
    thing = received()
    found = plan(by(), thing)
    who = person("conservator")
    end_step(by(who), found, "refer_to_conservator", "done")
    with pytest.raises(Refused, match="ended already"):
        end_step(by(who), found, "refer_to_conservator", "done")
    plan(by(), thing)
    with pytest.raises(Refused, match="not the newest"):
        end_step(by(who), found, "photograph", "done")


def test_steps_a_new_plan_no_longer_has_are_withdrawn() -> None:
    """They do not stay open for ever: the new plan's number says why they went."""
    thing = received(parts=facts().parts[1:], joins=())
    first = plan(by(), thing)
    thing.parts.update(material="mercury", family="working")  # found to be another thing altogether
    second = plan(by(), thing)
    gone = set(steps_of(first)) - set(steps_of(second))
    assert gone
    ends = StepEnd.objects.filter(plan=first, end="withdrawn")
    assert {(row.step, row.note) for row in ends} == {(key, "withdrawn by plan 2") for key in gone}


def test_a_place_of_another_incident_is_none() -> None:
    """A thing is put down where it was flooded."""
    thing = received()
    there = Place.objects.create(incident=incident("ORNL2"), kind="room", name="long room")
    with pytest.raises(Refused, match="another incident"):
        move(by(), thing, there)
