"""Stops outlast every look: nothing seen, added or carried takes one away; a recorded release does."""

from __future__ import annotations

from typing import Any

import pytest

from strandline.records import translate
from strandline.records.models.acts import Refusal
from strandline.records.models.facts import Observation
from strandline.records.models.objects import Object
from strandline.records.models.plans import PlanSnapshot
from strandline.records.models.sites import Place
from strandline.services.acting import Refused, all_or_none
from strandline.services.fold import differences
from strandline.services.move import move
from strandline.services.observe import observe
from strandline.services.observe_part import add_part, observe_part
from strandline.services.plan import newest, plan
from strandline.services.release_hazard import open_stops, release_hazard
from strandline.things.facts import Part
from tests.records.cast import incident, lead, person
from tests.services.doing import barometer, by, received

pytestmark = pytest.mark.django_db
SAID = "Proved empty, carried out and locked away."
NOT_BY_LOOKING = "a stop is lifted only by recording who released it, not by looking again"
ARM = (Part("p1", "stock", "arm_stock", "working"), Part("p2", "barrel", "iron", "metal"))


def arm() -> Object:
    """An arm, planned: it stops."""
    thing = received("0058", title="Long thing", parts=ARM, joins=())
    plan(by(), thing)
    return thing


def stops(thing: Object) -> list[str]:
    """Its open stops, by its newest plan."""
    return open_stops(thing, newest(thing))


@pytest.mark.parametrize("role", ["helper", "conservator", "lead"])
def test_another_material_lifts_no_stop(role: str) -> None:
    """Whoever looked: nothing is written, and the refusal is kept."""
    thing = arm()
    with pytest.raises(Refused, match=f"^0058 is stopped because of 'arm'; {NOT_BY_LOOKING}$"):
        observe_part(by(person(role)), thing, "p1", "material", "timber", "seen")
    assert thing.parts.get(key="p1").material == "arm_stock"
    assert not Observation.objects.filter(part__isnull=False).exists()
    assert NOT_BY_LOOKING in Refusal.objects.get().reason
    plan(by(), thing)
    assert stops(thing) == ["arm"]
    assert differences() == []


def test_after_the_release_it_is_what_it_was_seen_to_be() -> None:
    """Then the stock may be timber, and the plan follows without a stop."""
    thing = arm()
    release_hazard(by(lead()), thing, "arm", "licensed gunsmith", SAID)
    observe_part(by(), thing, "p1", "material", "timber", "seen")
    plan(by(), thing)
    assert stops(thing) == []
    assert thing.parts.get(key="p1").material == "timber"


def test_a_release_is_of_its_own_hazard() -> None:
    """The barometer's mercury is released; its dial still stops, and stays."""
    thing = received("0013", parts=(Part("p1", "case", "mahogany", "wood", features=("luminous",)),
                                    Part("p2", "tube", "mercury", "working")), joins=())  # fmt: skip
    plan(by(), thing)
    release_hazard(by(lead()), thing, "mercury", "mercury specialist", SAID)
    observe_part(by(), thing, "p2", "material", "glass", "seen")
    with pytest.raises(Refused, match="'radium'"):
        observe_part(by(), thing, "p1", "features", [], "seen")
    plan(by(), thing)
    assert stops(thing) == ["radium"]


def test_a_stop_of_the_whole_thing_is_not_unticked() -> None:
    """Nor with the fact it stands on in view; more may be ticked beside it."""
    thing = received(features=("luminous",))
    plan(by(), thing)
    saw = translate.in_force(thing)["features"]
    with pytest.raises(Refused, match="'radium'"):
        observe(by(), thing, "features", [], "seen", saw)
    observe(by(), thing, "features", ["battery_inside", "luminous"], "seen", saw)
    plan(by(), thing)
    assert stops(thing) == ["battery", "radium"]
    assert differences() == []


def test_a_stop_that_no_plan_names_yet_is_not_lifted_either() -> None:
    """The plan that should have followed did not: what stops by the facts alone stays as well."""
    thing = received()
    plan(by(), thing)
    observe(by(), thing, "features", ["luminous"], "seen", None)
    with pytest.raises(Refused, match="'radium'"):
        observe(by(), thing, "features", [], "seen", translate.in_force(thing)["features"])
    never = barometer("0014")
    with pytest.raises(Refused, match="'mercury'"):
        observe_part(by(), never, "p2", "material", "glass", "seen")


def test_other_looks_at_a_stopped_thing_are_kept() -> None:
    """What takes no stop away is written: sizes, another stop of the same kind, a part beside it."""
    thing = arm()
    observe(by(), thing, "mass_g", 3200, "measured", None)
    observe_part(by(), thing, "p2", "material", "arm_steel", "seen")
    observe_part(by(), thing, "p1", "material", "timber", "seen")
    add_part(by(), thing, "strap", "leather", "seen", (), 3, "p1", "strung")
    plan(by(), thing)
    assert stops(thing) == ["arm"]
    with pytest.raises(Refused, match="'arm'"):
        observe_part(by(), thing, "p2", "material", "iron", "seen")


def test_nobody_moves_what_a_stop_holds() -> None:
    """Before release it stays where it is; after it, it is put down elsewhere."""
    thing = arm()
    room = Place.objects.create(incident=incident(), kind="room", name="long room")
    for role in ("helper", "conservator", "lead"):
        with pytest.raises(Refused, match=r"0058 is stopped \(arm\): nobody moves it"):
            move(by(person(role)), thing, room)
    thing.refresh_from_db()
    assert thing.place is None
    release_hazard(by(lead()), thing, "arm", "licensed gunsmith", SAID)
    move(by(), thing, room)
    assert thing.place == room


def test_a_helper_makes_no_plan_without_a_stop_nobody_released() -> None:
    """Facts that changed by no look: the plan without the stop is for others to make."""
    thing = arm()
    thing.parts.filter(key="p1").update(material="timber", family="wood")
    with pytest.raises(Refused, match=r"without its stop \(arm\)"):
        plan(by(), thing)
    assert PlanSnapshot.objects.count() == 1
    plan(by(person("conservator")), thing)
    assert stops(thing) == []


def test_of_several_acts_all_are_done_or_none() -> None:
    """The first is undone with the one that is refused; the refusal stays, once."""
    thing = received()

    def acts() -> Any:
        observe(by(), thing, "pieces", 3, "seen", None)
        observe(by(), thing, "pieces", -1, "seen", None)

    count = thing.acts.count()
    with pytest.raises(Refused, match="nought or more"):
        all_or_none(acts)
    assert thing.acts.count() == count
    assert not Observation.objects.filter(object=thing, key="pieces", value=3).exists()
    assert "nought or more" in Refusal.objects.get().reason
    assert differences() == []
