"""A stop that was released: the next plan goes on, and says that it was one."""

import pytest

from strandline.services.end_step import end_step
from strandline.services.fold import differences
from strandline.services.plan import plan, steps_of
from strandline.services.print_paper import print_paper
from strandline.services.release_hazard import open_stops, release_hazard
from tests.records.cast import lead
from tests.services.doing import BAROMETER, barometer, by, received

pytestmark = pytest.mark.django_db
SAID = "Taken out, packed and carried away."


def test_the_plan_after_a_release_is_not_stopped() -> None:
    """A barometer released by the mercury specialist: still named, as a guard, and no longer held."""
    thing = barometer()
    before = plan(by(), thing)
    release_hazard(by(lead()), thing, "mercury", "mercury specialist", SAID)
    after = plan(by(), thing)
    was, found = (
        next(one for one in each.result["hazards"] if one["key"] == "mercury") for each in (before, after)
    )
    assert (was["grade"], was.get("released"), found["grade"], found["released"]) == (
        "stop", None, "guard", True,
    )  # fmt: skip
    assert found["say"] == was["say"]
    assert (before.result["zone"], before.result["route"]) == ("hazard_hold", "wait_for_conservator")
    assert after.result["zone"] != "hazard_hold"
    assert after.result["route"] == "dry"
    assert before.result["holding"]["do"] != after.result["holding"]["do"]
    assert not {"keep_away", "call", "tag_at_door"} & steps_of(after).keys()
    assert after.facts["facts"]["released"] == ["mercury"]
    assert after.sha256 != before.sha256
    assert differences() == []


def test_before_the_next_plan_no_stop_is_open_and_after_it_none_comes_back() -> None:
    """Open stops are those of the newest plan that nobody released."""
    thing = barometer()
    first = plan(by(), thing)
    release_hazard(by(lead()), thing, "mercury", "mercury specialist", SAID)
    thing.refresh_from_db()
    assert (thing.stops, open_stops(thing, first)) == (0, [])
    second = plan(by(), thing)
    thing.refresh_from_db()
    assert (thing.stops, open_stops(thing, second)) == (0, [])


def test_another_stop_still_holds() -> None:
    """Of two stops one is released: the plan stays stopped by the other."""
    thing = received("0013", parts=BAROMETER, joins=(), features=("luminous",))
    assert open_stops(thing, plan(by(), thing)) == ["mercury", "radium"]
    release_hazard(by(lead()), thing, "mercury", "mercury specialist", SAID)
    after = plan(by(), thing)
    assert after.result["zone"] == "hazard_hold"
    assert open_stops(thing, after) == ["radium"]
    assert {one["key"]: one["grade"] for one in after.result["hazards"] if "released" in one} == {
        "mercury": "guard"
    }


def test_a_release_is_of_one_object() -> None:
    """The other barometer on the shelf is stopped as before."""
    one, two = barometer("0013"), barometer("0014")
    for thing in (one, two):
        plan(by(), thing)
    release_hazard(by(lead()), one, "mercury", "mercury specialist", SAID)
    assert plan(by(), one).result["zone"] != "hazard_hold"
    assert plan(by(), two).result["zone"] == "hazard_hold"


def test_a_release_calls_papers_back_and_withdraws_the_steps_of_the_stop() -> None:
    """The card that says keep away is void with the next plan; its steps are nobody's any more."""
    thing = barometer()
    first = plan(by(), thing)
    card = print_paper(by(), first, "care_card")
    end_step(by(), first, "keep_away", "done")
    release_hazard(by(lead()), thing, "mercury", "mercury specialist", SAID)
    plan(by(), thing)
    card.refresh_from_db()
    assert card.void_at is not None
    withdrawn = set(thing.step_ends.filter(end="withdrawn").values_list("step", flat=True))
    assert {"call", "tag_at_door"} <= withdrawn
    assert "keep_away" not in withdrawn
