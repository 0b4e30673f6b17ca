"""Incidents, places, releases of rooms, overrides withdrawn, papers struck out, work taken in hand."""

import uuid
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from strandline.knowledge.base import shipped
from strandline.knowledge.files import KnowledgeError
from strandline.records.models.acts import Act, Refusal, WorkClaim
from strandline.records.models.objects import Object
from strandline.records.models.people import Device
from strandline.records.models.plans import Override, Paper
from strandline.records.models.sites import Incident, Place, Practice, RoomRelease, Site
from strandline.services import take_in_hand as in_hand
from strandline.services import withdraw_override as withdrawing
from strandline.services.acting import Caller, KeyTaken, NotAllowed, Refused
from strandline.services.add_place import add_place
from strandline.services.change_incident import change_incident
from strandline.services.clock import now
from strandline.services.fold import differences
from strandline.services.observe import observe
from strandline.services.open_incident import open_incident
from strandline.services.override import override
from strandline.services.plan import plan
from strandline.services.print_paper import print_paper
from strandline.services.release_room import release_room, unreleased
from strandline.services.roles import MAY
from strandline.services.set_crew import set_crew
from strandline.services.strike_out import strike_out, void_papers
from strandline.services.take_in_hand import give_back, take_in_hand
from strandline.services.withdraw_override import orphans, withdraw_override
from tests.records.cast import NOW, device, incident, lead, person
from tests.services.doing import by, received

pytestmark = pytest.mark.django_db
WET = NOW - timedelta(hours=13)
LOFT: dict[str, Any] = {
    "code": "ORNL7", "name": "Storm surge", "zone": "Europe/London", "site_name": "Ostrey Reach Net Loft",
    "address": "on the quay", "water": ("brackish", "sewage"), "wet_since": WET, "out_since": NOW,
    "air_c": 11, "air_rh": 0.92, "arrangements": {"crew": [{"day": 1, "helpers": 5}]},
}  # fmt: skip
WORDS = "Supply cut at the board and locked."


def opened(**more: Any) -> Incident:
    """The surge at the loft, or what ``more`` says of it."""
    return open_incident(by(lead()), **{**LOFT, **more})


class Scene:
    """A chest with an override, a void card and a claim, and a room."""

    def __init__(self) -> None:
        self.thing: Object = received()
        plan(by(), self.thing)
        self.room = add_place(by(), incident(), "room", "net floor")
        self.paper: Paper = print_paper(by(), plan(by(), self.thing), "care_card")
        self.override: Override = override(
            by(lead()), "act.lift.all", {"how": "Two people."}, "the stair is wet", self.thing
        )
        plan(by(), self.thing)
        self.claim: WorkClaim = take_in_hand(by(), self.thing, "photograph")


ACTS: dict[str, Callable[[Caller, Scene], Any]] = {
    "open_incident": lambda who, _: open_incident(who, **LOFT),
    "change_incident": lambda who, _: change_incident(who, incident(), name="High water, again"),
    "set_crew": lambda who, _: set_crew(who, incident(), 2, {"lead_conservator": 1, "helpers": 4}),
    "add_place": lambda who, scene: add_place(who, incident(), "station", "table 1", scene.room, "", 5),
    "release_room": lambda who, scene: release_room(who, scene.room, "electricity", "electrician", WORDS),
    "withdraw_override": lambda who, scene: withdraw_override(who, scene.override, "the stair has dried"),
    "strike_out": lambda who, scene: strike_out(who, scene.paper),
    "take_in_hand": lambda who, scene: take_in_hand(who, scene.thing, "photograph", 3),
    "give_back": lambda who, scene: give_back(who, scene.claim),
}


@pytest.mark.parametrize("kind", ACTS)
@pytest.mark.parametrize("role", ["lead", "conservator", "helper", "viewer"])
def test_who_may_and_who_may_not(kind: str, role: str) -> None:
    """Allowed: one act, whole, and the log agrees with the tables.  Else a refusal and no act."""
    scene = Scene()
    count = Act.objects.count()
    if role in MAY[kind]:
        ACTS[kind](by(person(role)), scene)
        assert Act.objects.latest("id").kind == kind
        assert Act.objects.count() == count + 1
    else:
        with pytest.raises(NotAllowed, match=role):
            ACTS[kind](by(person(role)), scene)
        assert Act.objects.count() == count
        assert Refusal.objects.latest("id").kind == kind
    assert differences() == []


@pytest.mark.parametrize("kind", ACTS)
def test_sent_twice_is_done_once_and_a_key_is_for_one_act(kind: str) -> None:
    """The first answer again, nothing new; another act under the key is refused."""
    scene, who = Scene(), by(lead())
    first = ACTS[kind](who, scene)
    count = Act.objects.count()
    assert ACTS[kind](who, scene) == first
    with pytest.raises(KeyTaken):
        observe(Caller(lead(), who.key, NOW), scene.thing, "pieces", 3, "seen", None)
    taken = by(lead(), uuid.uuid4())
    observe(Caller(lead(), taken.key, NOW), scene.thing, "pieces", 3, "seen", None)
    with pytest.raises(KeyTaken):
        ACTS[kind](taken, scene)
    assert Act.objects.count() == count + 1
    assert differences() == []


def test_an_incident_brings_practice_and_site_once() -> None:
    """Made where missing, found where there; the address is told anew and stays out of the log."""
    first = opened()
    second = opened(code="ORNL8", address="behind the chapel")
    assert first.site == second.site
    assert (Practice.objects.count(), Site.objects.get().address) == (1, "behind the chapel")
    assert (first.water, first.air_c, first.air_rh) == (["brackish", "sewage"], 11.0, 0.92)
    assert first.arrangements == {"crew": [{"day": 1, "helpers": 5}]}
    for act in Act.objects.all():
        assert "chapel" not in str([act.payload, act.before, act.after])
    assert differences() == []


@pytest.mark.parametrize(
    ("more", "why"),
    [
        ({"code": "orn 1"}, "no incident code"),
        ({"code": "X"}, "no incident code"),
        ({"name": " "}, "needs a name"),
        ({"name": "x" * 201}, "200 characters"),
        ({"site_name": ""}, "site needs a name"),
        ({"zone": "Ostrey/Reach"}, "no time zone"),
        ({"zone": "Europe"}, "no time zone"),
        ({"zone": ""}, "no time zone"),
        ({"water": ("brackish", "lemonade")}, "lemonade"),
        ({"water": "lemonade"}, "lemonade"),
        ({"out_since": WET - timedelta(minutes=1)}, "before"),
        ({"wet_since": WET.replace(tzinfo=None)}, "offset"),
        ({"air_rh": 92}, "between 0 and 1"),
        ({"air_rh": float("nan")}, "no number"),
        ({"air_c": 111}, "between -40 and 60"),
        ({"arrangements": {"crew": {1}}}, "cannot be kept"),
    ],
)
def test_an_incident_that_cannot_be(more: dict[str, Any], why: str) -> None:
    """Each with its sentence; nothing is made, not even the site."""
    with pytest.raises(Refused, match=why):
        opened(**more)
    assert not Incident.objects.exists()
    assert not Site.objects.exists()
    assert why in Refusal.objects.get().reason


def test_a_code_is_used_once() -> None:
    """Whatever else is different."""
    opened()
    with pytest.raises(Refused, match="ORNL7 is there already"):
        opened(name="Another flood", site_name="Elsewhere")


def test_an_incident_is_changed_in_part_and_checked_as_a_whole() -> None:
    """Only what is named changes; the two times are compared also when one of them is given."""
    flood = opened()
    change_incident(by(lead()), flood, water=["river"], air_rh=0.7, closed_at=now())
    assert (flood.water, flood.air_rh, flood.air_c) == (["river"], 0.7, 11.0)
    assert flood.closed_at is not None
    for fields, why in (
        ({"wet_since": NOW + timedelta(hours=1)}, "before"), ({"zone": "Mars"}, "no time zone"),
        ({"closed_at": NOW - timedelta(days=9)}, "before it was opened"), ({}, "nothing to change"),
        ({"code": "ORNL9"}, "cannot be changed"), ({"air_rh": 1.2}, "between 0 and 1"),
    ):  # fmt: skip
        with pytest.raises(Refused, match=why):
            change_incident(by(lead()), flood, **fields)
    assert Incident.objects.get(pk=flood.pk).code == "ORNL7"
    assert differences() == []


def test_who_sets_a_day_loses_no_other_day() -> None:
    """Each holds a row read before the other wrote; both days stand, in order, and the kit beside them."""
    flood = opened(arrangements={"kit": {"towels": 40}})
    first, second = (Incident.objects.get(pk=flood.pk) for _ in range(2))
    set_crew(by(lead()), first, 2, {"lead_conservator": 1, "helpers": 3})
    set_crew(by(lead()), second, 1, {"helpers": 5})
    assert second.arrangements == {
        "kit": {"towels": 40},
        "crew": [{"day": 1, "helpers": 5}, {"day": 2, "lead_conservator": 1, "helpers": 3}],
    }
    set_crew(by(lead()), first, 2, {"helpers": 6})
    assert first.arrangements["crew"] == [{"day": 1, "helpers": 5}, {"day": 2, "helpers": 6}]
    assert differences() == []


@pytest.mark.parametrize(
    ("day", "hands", "why"),
    [
        (0, {"helpers": 5}, "from 1 to 400"),
        (401, {"helpers": 5}, "from 1 to 400"),
        (1, {}, "how many hands"),
        (1, {"divers": 2}, "'divers' is no kind of hands"),
        (1, {"helpers": -1}, "from 0 to 200"),
        (1, {"helpers": 201}, "from 0 to 200"),
        (1, {"helpers": 2.5}, "from 0 to 200"),
    ],
)
def test_a_crew_that_cannot_be(day: int, hands: dict[str, Any], why: str) -> None:
    """Each with its sentence; what was told before stays."""
    flood = opened()
    with pytest.raises(Refused, match=why):
        set_crew(by(lead()), flood, day, hands)
    assert Incident.objects.get(pk=flood.pk).arrangements == LOFT["arrangements"]
    assert why in Refusal.objects.get().reason


def test_places_lie_in_places() -> None:
    """The same name may stand in two rooms, not twice in one."""
    hall = add_place(by(), incident(), "building", "chapel hall")
    warm = add_place(by(), incident(), "room", "warm room", hall)
    table = add_place(by(), incident(), "station", "table 1", warm, "slow_dry", 6)
    add_place(by(), incident(), "station", "table 1", hall)
    assert (table.inside, table.zone, table.room_for) == (warm, "slow_dry", 6)
    elsewhere = incident("ORNL2")
    for arguments, why in (
        ((incident(), "station", " table 1 ", warm), "there already, in warm room"),
        ((incident(), "building", "chapel hall"), "there already"),
        ((incident(), "cupboard", "one"), "no kind of place"), ((incident(), "room", ""), "needs a name"),
        ((elsewhere, "shelf", "one", warm), "another incident"),
        ((incident(), "shelf", "one", warm, "", 0), "room for one thing"),
        ((incident(), "shelf", "one", warm, "z" * 33), "32 characters"),
    ):  # fmt: skip
        with pytest.raises(Refused, match=why):
            add_place(by(), *arguments)
    assert Place.objects.count() == 4
    assert differences() == []


def test_a_room_is_unreleased_until_all_four_have_been_recorded() -> None:
    """By room, in what respect; a release of the building holds for its rooms, one of 'other' for nothing."""
    house = add_place(by(), incident(), "building", "boathouse")
    rooms = [add_place(by(), incident(), "room", name, house) for name in ("net floor", "boat bay")]
    add_place(by(), incident("ORNL2"), "room", "long room")
    four = ("structure", "electricity", "gas", "contamination")
    assert unreleased(incident()) == [(rooms[1], four), (rooms[0], four)]
    release_room(by(lead()), house, "electricity", "electrician", WORDS)
    release_room(by(lead()), rooms[0], "other", "harbour office", "The quay may be walked on.")
    assert {missing for _, missing in unreleased(incident())} == {("structure", "gas", "contamination")}
    for about in ("structure", "gas", "contamination"):
        release_room(by(lead()), rooms[0], about, "surveyor", "Looked at; may be entered.")
    assert [room for room, _ in unreleased(incident())] == [rooms[1]]
    assert differences() == []


@pytest.mark.parametrize(
    ("about", "role", "said", "why"),
    [("water", "plumber", WORDS, "not 'water'"), ("gas", "", WORDS, "both are needed"),
     ("gas", "fitter", "  it is ok ", "both are needed"), ("gas", "f" * 101, WORDS, "both are needed")],
)  # fmt: skip
def test_a_release_has_a_role_and_words(about: str, role: str, said: str, why: str) -> None:
    """Nobody releases a room by a tick."""
    room = add_place(by(), incident(), "room", "net floor")
    with pytest.raises(Refused, match=why):
        release_room(by(lead()), room, about, role, said)
    assert not RoomRelease.objects.exists()


def test_an_override_withdrawn_is_in_no_plan_after() -> None:
    """It stays in the record; twice, or without a reason, is refused."""
    scene = Scene()
    assert plan(by(), scene.thing).result["overrides"]
    with pytest.raises(Refused, match="10 characters"):
        withdraw_override(by(lead()), scene.override, " dry ")
    assert withdraw_override(by(lead()), scene.override, "the stair has dried").withdrawn_at is not None
    assert not plan(by(), scene.thing).result["overrides"]
    with pytest.raises(Refused, match="withdrawn already"):
        withdraw_override(by(lead()), scene.override, "the stair has dried")
    wide = override(by(lead()), "act.lift.all", {"how": "Two people."}, "the stair is wet")
    withdraw_override(by(lead()), wide, "the stair has dried")
    assert differences() == []


def test_overrides_whose_rule_has_gone_are_told() -> None:
    """In force, and with no target or no field any more; what fits, expired or was withdrawn is not told."""
    kept = {"person": lead(), "at": NOW, "level": "practice", "reason": "the stair is wet"}
    override(by(lead()), "act.lift.all", {"how": "Two people."}, "the stair is wet")
    gone = Override.objects.create(target="act.fly.all", value={"how": "x"}, **kept)
    field = Override.objects.create(target="act.lift.all", value={"colour": "red"}, **kept)
    Override.objects.create(target="act.fly.all", value={"how": "x"}, withdrawn_at=NOW, **kept)
    Override.objects.create(target="act.fly.all", value={"how": "x"}, expires_at=NOW, **kept)
    found = orphans(NOW)
    assert [row for row, _ in found] == [gone, field]
    assert "act.fly.all: no rule" in found[0][1]
    assert "has no field 'colour'" in found[1][1]


def test_only_what_no_longer_fits_is_an_orphan(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each override is tried with what is shipped now: when that loses the rule, the override is told."""
    row = override(by(lead()), "act.lift.all", {"how": "Two people."}, "the stair is wet")
    assert orphans(now()) == []

    def without(texts: Any) -> Any:
        raise KnowledgeError([f"{texts[0][0]} override: {row.target}: no rule or material has this id"])

    assert "act.lift.all" in shipped().with_ids()
    monkeypatch.setattr(withdrawing, "knowledge_with", without)
    assert [one for one, _ in orphans(now())] == [row]


def test_a_void_paper_is_about_until_it_is_struck_out() -> None:
    """Only a void one, only once; the list of those still about gets shorter."""
    scene = Scene()
    assert list(void_papers(incident())) == [scene.paper]
    assert list(void_papers(incident("ORNL2"))) == []
    assert strike_out(by(), scene.paper).struck_out_at is not None
    assert list(void_papers(incident())) == []
    with pytest.raises(Refused, match="struck out already"):
        strike_out(by(), scene.paper)
    holds = print_paper(by(), plan(by(), scene.thing), "care_card")
    with pytest.raises(Refused, match="only a void one"):
        strike_out(by(), holds)
    assert differences() == []


def on(other: Device | None, key: uuid.UUID | None = None) -> Caller:
    """The helper at another device, or at none."""
    return Caller(person("helper"), key or uuid.uuid4(), NOW, other)


def test_one_device_has_a_thing_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Another device waits until it is given back or its time has passed; the same may take it for longer."""
    thing, other = received(), Device.objects.create(name="second table", first_seen_at=NOW)
    monkeypatch.setattr(in_hand, "now", lambda: NOW)
    first = take_in_hand(by(), thing, "photograph", 2)
    assert (first.device, first.until) == (device(), NOW + timedelta(hours=2))
    with pytest.raises(Refused, match="in hand at intake phone until 17:40 UTC"):
        take_in_hand(on(other), thing, "photograph")
    longer = take_in_hand(by(), thing, "photograph", 4)
    first.refresh_from_db()
    assert first.given_back_at == NOW
    monkeypatch.setattr(in_hand, "now", lambda: NOW + timedelta(hours=4))
    second = take_in_hand(on(other), thing, "photograph")
    longer.refresh_from_db()
    assert longer.given_back_at == NOW + timedelta(hours=4)
    assert Act.objects.latest("id").after[WorkClaim._meta.db_table].keys() == {
        str(longer.uid), str(second.uid)
    }  # fmt: skip
    assert differences() == []


def test_who_may_give_back() -> None:
    """The device that has it or a lead, once."""
    thing, other = received(), Device.objects.create(name="second table", first_seen_at=NOW)
    claim = take_in_hand(by(), thing, "photograph")
    for who in (on(other), on(None)):
        with pytest.raises(Refused, match="another device"):
            give_back(who, claim)
    assert give_back(by(), claim).given_back_at is not None
    with pytest.raises(Refused, match="given back already"):
        give_back(by(), claim)
    again = take_in_hand(on(other), thing, "photograph")
    assert give_back(by(lead()), again).given_back_at is not None
    assert differences() == []


@pytest.mark.parametrize("hours", [0, -1, 25, float("nan"), float("inf")])
def test_hours_in_hand_that_cannot_be(hours: float) -> None:
    """More than nought and a day at most."""
    with pytest.raises(Refused, match="in hand for more than 0"):
        take_in_hand(by(), received(), "photograph", hours)


def test_what_cannot_be_taken_in_hand() -> None:
    """Without a device, without a step, or a step the newest plan does not have."""
    thing = received()
    with pytest.raises(Refused, match="only a device"):
        take_in_hand(on(None), thing, "photograph")
    with pytest.raises(Refused, match="which step"):
        take_in_hand(by(), thing, " ")
    plan(by(), thing)
    with pytest.raises(Refused, match="no step 'fly'"):
        take_in_hand(by(), thing, "fly")
    assert not WorkClaim.objects.exists()
