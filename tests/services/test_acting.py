"""Every act: who may, once only, logged whole, refused whole."""

import json
import uuid
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User

from strandline.records.models.acts import Act, Refusal
from strandline.records.models.objects import ListRow, Object
from strandline.records.models.people import Person
from strandline.records.models.plans import PlanSnapshot
from strandline.records.models.sites import Place
from strandline.services.acting import Caller, KeyTaken, NotAllowed, Refused
from strandline.services.claim_row import claim_row
from strandline.services.end_step import end_step
from strandline.services.fold import differences
from strandline.services.move import move
from strandline.services.observe import observe
from strandline.services.override import override
from strandline.services.own_password import own_password
from strandline.services.plan import plan
from strandline.services.print_paper import print_paper
from strandline.services.receive import receive
from strandline.services.release_hazard import release_hazard
from strandline.services.roles import MAY
from tests.records.cast import helper, incident, lead, owner, person
from tests.services import test_lots, test_people_acts, test_site_acts
from tests.services.doing import barometer, by, facts, received

pytestmark = pytest.mark.django_db


class Scene:
    """A barometer with a plan, a chest that nothing stops, a row of a list, a table: enough for every act."""

    def __init__(self) -> None:
        self.thing: Object = barometer()
        self.plan: PlanSnapshot = plan(by(), self.thing)
        self.chest: Object = received("0044")
        self.row = ListRow.objects.create(incident=incident(), list_sha256="0" * 64, row=2)
        self.place = Place.objects.create(incident=incident(), kind="station", name="table", room_for=5)


ACTS: dict[str, Callable[[Caller, Scene], Any]] = {
    "receive": lambda who, _: receive(who, incident(), facts("0099")),
    "claim_row": lambda who, scene: claim_row(who, scene.thing, scene.row),
    "observe": lambda who, scene: observe(who, scene.thing, "mass_g", 900, "measured", None),
    "plan": lambda who, scene: plan(who, scene.thing),
    "move": lambda who, scene: move(who, scene.chest, scene.place),
    "end_step": lambda who, scene: end_step(who, scene.plan, "call", "done"),
    "print_paper": lambda who, scene: print_paper(who, scene.plan, "care_card"),
    "override": lambda who, scene: override(who, "act.lift.all", {"how": "Two people."}, "the stair is wet"),
    "release_hazard": lambda who, scene: release_hazard(
        who, scene.thing, "mercury", "licensed remover", "Taken out and packed."
    ),
}
ROLES = ("lead", "conservator", "helper", "viewer")
IN_TESTS_OF_THEIR_OWN = {
    "answer": "test_answer.py", "photograph": "test_photograph.py", "import_list": "test_list_acts.py",
    "observe_part": "test_observe_part.py", "add_part": "test_observe_part.py",
    "note_walk": "test_note_walk.py", "own_password": "test_acting.py",
    "reserve_tags": "test_reserve_tags.py",
}  # fmt: skip
"""Acts that need more than a scene; each of these files asks every role."""


def test_every_kind_of_act_is_tried() -> None:
    """The lists of the three files, and those with tests of their own, are all there is."""
    tried = [*ACTS, *test_site_acts.ACTS, *test_people_acts.ACTS, *test_lots.ACTS, *IN_TESTS_OF_THEIR_OWN]
    assert sorted(tried) == sorted(MAY)
    for kind, name in IN_TESTS_OF_THEIR_OWN.items():
        text = (Path(__file__).parent / name).read_text(encoding="utf-8")
        assert kind in text, name
        assert "NotAllowed" in text or kind == "own_password", name


def test_everybody_takes_a_new_password() -> None:
    """Also a viewer, who may do nothing else; it is not in the log."""
    who = person("viewer")
    who.user = User.objects.create_user("trustee", password="string and tags")
    who.save()
    with pytest.raises(Refused, match="not right"):
        own_password(by(who), "wrong", "another string and tags")
    act = own_password(by(who), "string and tags", "another string and tags")
    assert "string" not in json.dumps([act.payload, act.before, act.after])
    assert User.objects.get(username="trustee").check_password("another string and tags")


@pytest.mark.parametrize("kind", ACTS)
@pytest.mark.parametrize("role", ROLES)
def test_who_may_and_who_may_not(kind: str, role: str) -> None:
    """Allowed: one act, whole.  Not allowed: no row changes, and the refusal is kept."""
    scene, who = Scene(), person(role)
    count = Act.objects.count()
    if role in MAY[kind]:
        ACTS[kind](by(who), scene)
        act = Act.objects.latest("id")
        assert (act.kind, act.person, Act.objects.count()) == (kind, who, count + 1)
        assert act.after
    else:
        with pytest.raises(NotAllowed, match=role):
            ACTS[kind](by(who), scene)
        assert Act.objects.count() == count
        assert Refusal.objects.get().kind == kind
    assert differences() == []


def test_somebody_who_has_left_may_nothing() -> None:
    """A person who is no longer active is refused whatever the role."""
    scene = Scene()
    gone = Person.objects.create(name="gone", role="lead", active=False)
    with pytest.raises(NotAllowed):
        ACTS["move"](by(gone), scene)


@pytest.mark.parametrize("kind", ACTS)
def test_sent_twice_is_done_once(kind: str) -> None:
    """The same key with the same payload gives the first act's row again and changes nothing."""
    scene, who = Scene(), by(lead())
    first = ACTS[kind](who, scene)
    count = Act.objects.count()
    assert ACTS[kind](who, scene) == first
    assert Act.objects.count() == count
    assert differences() == []


@pytest.mark.parametrize("kind", ACTS)
def test_a_key_stands_for_one_act(kind: str) -> None:
    """The same key for another act, or from another person, is an error and changes nothing."""
    scene, key = Scene(), uuid.uuid4()
    observe(by(key=key), scene.thing, "pieces", 3, "seen", None)
    count = Act.objects.count()
    with pytest.raises(KeyTaken, match="another act"):
        ACTS[kind](by(lead(), key), scene)
    with pytest.raises(KeyTaken, match="another act"):
        observe(by(key=key), scene.thing, "pieces", 4, "seen", None)
    assert Act.objects.count() == count


def test_the_log_names_nobody() -> None:
    """Names and contacts of people and owners are in no act, so that they can be erased."""
    person = owner()
    thing = receive(by(), incident(), facts(owner="Trustees named in the list"), person)
    plan(by(), thing)
    override(by(lead()), "act.lift.all", {"how": "Two people."}, "the stair is wet", thing)
    log = json.dumps([[act.payload, act.before, act.after] for act in Act.objects.all()])
    for name in (person.name, person.contact, helper().name, lead().name, "Trustees named"):
        assert name not in log
    assert str(person.uid) in log


def test_an_act_that_fails_half_way_leaves_nothing() -> None:
    """One transaction: a place that is full is found out after nothing was written."""
    scene = Scene()
    scene.place.room_for = 0
    scene.place.save()
    revision = scene.chest.revision
    with pytest.raises(Refused, match="room for 0"):
        move(by(), scene.chest, scene.place)
    scene.chest.refresh_from_db()
    assert (scene.chest.place, scene.chest.revision) == (None, revision)
    assert "room for 0" in Refusal.objects.get().reason


def test_every_act_on_an_object_counts_its_revision() -> None:
    """Revision 1 when received, one more with each act."""
    scene = Scene()
    assert scene.thing.revision == 2
    plan(by(), scene.chest)
    move(by(), scene.chest, scene.place)
    assert Object.objects.get(tag="0044").revision == 3
