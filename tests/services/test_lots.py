"""Lots: one tag for several things, filled, overruled, split; and what every act on groups has in common."""

import uuid
from collections.abc import Callable
from typing import Any

import pytest

from strandline.records import translate
from strandline.records.models.acts import Act, Refusal
from strandline.records.models.objects import Batch, Fragment, ListRow, Lot, Object, Tag, Tray, TrayCount
from strandline.records.models.plans import Override, StepEnd
from strandline.services.acting import Caller, KeyTaken, NotAllowed, Refused
from strandline.services.came_off import came_off
from strandline.services.claim_row import claim_row
from strandline.services.copies import ORIGIN
from strandline.services.count_tray import count_tray, settle_count
from strandline.services.end_tray_step import end_tray_step
from strandline.services.fill_lot import fill_lot
from strandline.services.find_parent import find_parent
from strandline.services.fold import differences
from strandline.services.make_lot import make_lot, stands_for_several, thing_of
from strandline.services.make_tray import make_tray
from strandline.services.merge import merge
from strandline.services.observe import observe
from strandline.services.open_batch import close_batch, open_batch
from strandline.services.override import override
from strandline.services.plan import plan
from strandline.services.print_paper import print_paper
from strandline.services.put_on_tray import put_on_tray, take_off_tray
from strandline.services.roles import MAY
from strandline.services.scribe import record_for
from strandline.services.split import split
from strandline.services.split_lot import split_lot
from strandline.services.take_in_hand import take_in_hand
from strandline.things.facts import Part
from tests.records.cast import an_object, helper, incident, lead, person
from tests.services.doing import by, received

pytestmark = pytest.mark.django_db
FLOATS = (Part("p1", "float", "glass", "glass"), Part("p2", "netting", "hemp", "textile"))


class Scene:
    """Floats in a lot, two chests on a tray with a count that is short, a stray and a batch."""

    def __init__(self) -> None:
        self.floats: Object = received(
            "0012", title="Floats", materials="glass, hemp", parts=FLOATS, joins=()
        )
        self.lot: Lot = make_lot(by(), self.floats, 12)
        self.first: Object = received("0021")
        self.second: Object = received("0022")
        for thing in (self.first, self.second):
            plan(by(), thing)
        self.tray: Tray = make_tray(by(), incident(), "blue tray")
        put_on_tray(by(), self.tray, [self.first])
        self.count: TrayCount = count_tray(by(), self.tray, 0)
        self.stray: Fragment = came_off(by(), incident(), "a rope end")
        self.batch: Batch = open_batch(by(), incident(), "room_square", "floor by the door")


ACTS: dict[str, Callable[[Caller, Scene], Any]] = {
    "make_lot": lambda who, scene: make_lot(who, scene.first, 3, "chests"),
    "fill_lot": lambda who, scene: fill_lot(who, scene.lot, [scene.first, scene.second]),
    "split_lot": lambda who, scene: split_lot(who, scene.floats, ["0051", "0050"], 10),
    "make_tray": lambda who, _: make_tray(who, incident(), "green tray"),
    "put_on_tray": lambda who, scene: put_on_tray(who, scene.tray, [scene.second]),
    "take_off_tray": lambda who, scene: take_off_tray(who, [scene.first]),
    "count_tray": lambda who, scene: count_tray(who, scene.tray, 1),
    "settle_count": lambda who, scene: settle_count(who, scene.count, "it lay under the table"),
    "end_tray_step": lambda who, scene: end_tray_step(who, scene.tray, "photograph", "done", {}),
    "record_for": lambda who, _: record_for(who, [(lead(), "0022", "photograph", "done", "", "")]),
    "came_off": lambda who, scene: came_off(who, incident(), "a splinter", scene.first, scene.batch),
    "find_parent": lambda who, scene: find_parent(who, scene.stray, scene.first),
    "open_batch": lambda who, _: open_batch(who, incident(), "rinse_water", "second basin"),
    "close_batch": lambda who, scene: close_batch(who, scene.batch),
    "merge": lambda who, scene: merge(who, scene.first, scene.second, "lid and body of one chest"),
    "split": lambda who, scene: split(who, scene.first, "0060", ["p2"], "Hoop", "lay in the chest"),
}
WITH_MORE = ("end_tray_step", "record_for")
"""Acts that are followed by one act for each thing."""


@pytest.mark.parametrize("kind", ACTS)
@pytest.mark.parametrize("role", ["lead", "conservator", "helper", "viewer"])
def test_who_may_and_who_may_not(kind: str, role: str) -> None:
    """Allowed: done, whole, and the log agrees with the tables.  Else a refusal and no act."""
    scene = Scene()
    count = Act.objects.count()
    if role in MAY[kind]:
        ACTS[kind](by(person(role)), scene)
        assert Act.objects.order_by("id")[count].kind == kind
        assert Act.objects.count() == count + 1 + (kind in WITH_MORE)
    else:
        with pytest.raises(NotAllowed, match=role):
            ACTS[kind](by(person(role)), scene)
        assert Act.objects.count() == count
        assert Refusal.objects.get().kind == kind
    assert differences() == []


@pytest.mark.parametrize("kind", ACTS)
def test_sent_twice_is_done_once(kind: str) -> None:
    """The same key with the same payload gives the same again and changes nothing."""
    scene, who = Scene(), by(lead())
    first = ACTS[kind](who, scene)
    count, tags = Act.objects.count(), Tag.objects.count()
    assert ACTS[kind](who, scene) == first
    assert (Act.objects.count(), Tag.objects.count()) == (count, tags)
    assert differences() == []


@pytest.mark.parametrize("kind", ACTS)
def test_a_key_stands_for_one_act(kind: str) -> None:
    """The same key for another act is an error and changes nothing."""
    scene, key = Scene(), uuid.uuid4()
    observe(by(key=key), scene.first, "pieces", 3, "seen", None)
    count = Act.objects.count()
    with pytest.raises(KeyTaken, match="another act"):
        ACTS[kind](by(lead(), key), scene)
    assert Act.objects.count() == count


def floats(counted: int = 3) -> Object:
    """So many glass floats in netting under one tag."""
    thing = received("0012", title="Floats", materials="glass, hemp", parts=FLOATS, joins=())
    make_lot(by(), thing, counted)
    thing.refresh_from_db()
    return thing


def test_a_lot_has_the_name_of_its_thing_unless_another_is_given() -> None:
    """One tag, a count, and the object that holds the tag."""
    thing = floats()
    assert thing.lot is not None
    assert (thing.lot.name, thing.lot.counted, thing_of(thing.lot)) == ("Floats", 3, thing)
    assert make_lot(by(), received("0013"), 2, " jars ").name == "jars"


@pytest.mark.parametrize(
    ("counted", "name", "why"), [(1, "", "2 things or more"), (True, "", "2 things"), (3, "x" * 201, "200")]
)
def test_what_is_no_lot(counted: int, name: str, why: str) -> None:
    """One thing is none; a name has an end."""
    with pytest.raises(Refused, match=why):
        make_lot(by(), received(), counted, name)
    assert not Lot.objects.exists()


def test_what_is_overruled_for_a_lot_bears_on_all_in_it() -> None:
    """On the lot's own tag, on what joined, on what was taken out; on nothing else."""
    thing, joined, apart = floats(), received("0013"), received("0014")
    assert thing.lot is not None
    before = joined.revision
    fill_lot(by(), thing.lot, [joined])
    joined.refresh_from_db()
    assert joined.revision == before + 1
    (taken,) = split_lot(by(), thing, ["0050"], 2)
    override(by(lead()), "act.lift.all", {"how": "Two people."}, "the stair is wet", thing.lot)

    def marked(one: Object) -> bool:
        return any("the stair is wet" in mark for mark in plan(by(), one).result["overrides"])

    assert [marked(one) for one in (thing, joined, taken, apart)] == [True, True, True, False]
    assert [stands_for_several(one) for one in (joined, thing)] == [False, True]


def test_what_cannot_join_a_lot() -> None:
    """Of another incident, in a lot, merged, nothing at all; and nothing joins a lot that was split."""
    thing, two, three = floats(), received("0013"), received("0014")
    assert thing.lot is not None
    make_lot(by(), two, 2)
    merge(by(lead()), three, received("0015"), "one chest")
    merged = Object.objects.get(tag="0015")
    far = an_object("0001", incident=incident("ORNL2"))
    for things, why in (
        ([far], "another incident"),
        ([three, two], "already"),
        ([merged], "merged"),
        ([], "one"),
    ):
        with pytest.raises(Refused, match=why):
            fill_lot(by(), thing.lot, things)
    three.refresh_from_db()
    assert three.lot is None
    split_lot(by(), thing, ["0050", "0051", "0052"], 0)
    with pytest.raises(Refused, match="was split"):
        fill_lot(by(), thing.lot, [three])


def test_what_is_taken_out_has_all_that_was_known() -> None:
    """Parts, joins, facts with how they are known, rows of the list, what was overruled; and where it was."""
    thing = received("0042", mass_g=800, known_by={"mass_g": "measured"})
    row = ListRow.objects.create(incident=incident(), list_sha256="0" * 64, row=2)
    claim_row(by(), thing, row)
    make_lot(by(), thing, 3)
    seen = observe(by(lead()), thing, "water", ["sea"], "seen", translate.in_force(thing)["water"])
    override(by(lead()), "act.lift.all", {"how": "Two people."}, "the stair is wet", thing)
    thing.refresh_from_db()
    taken = split_lot(by(), thing, ["0051", "0050"], 1)
    assert [one.tag for one in taken] == ["0051", "0050"]
    whole = translate.facts_at(thing, seen.at)
    for one in taken:
        found = translate.facts_at(one, seen.at)
        assert (found.parts, found.joins, found.water) == (whole.parts, whole.joins, ("sea",))
        assert (found.mass_g, found.known_by) == (800, whole.known_by)
        assert translate.in_force(one)["water"].by == lead()
        assert (one.kept[ORIGIN], one.revision, one.sought.split()[0]) == ("0042", 1, one.tag)
        assert Override.objects.filter(object=one).count() == 1
        assert not one.observations.filter(supersedes__isnull=False).exists()
    row.refresh_from_db()
    assert (row.state, row.claims.count()) == ("one_row_several_things", 3)
    lot = Lot.objects.get()
    assert (lot.counted, lot.split_at) == (1, None)
    assert differences() == []


def test_facts_that_clash_go_on_clashing() -> None:
    """Nobody settled them, so both are with each thing; what was superseded or settled is with none."""
    thing = floats()
    saw = translate.in_force(thing)["pieces"]
    for value in (3, 4):
        observe(by(), thing, "pieces", value, "seen", saw)
    (one,) = split_lot(by(), thing, ["0050"], 2)
    rows = one.observations.filter(key="pieces")
    assert sorted((row.value, row.clash) for row in rows) == [(3, True), (4, True)]


@pytest.mark.parametrize(
    ("tags", "left", "why"),
    [
        (["0050"], 1, "stands for 3; 1 taken out and 1 left make 2"),
        (["0050", "0051"], 2, "make 4"),
        ([], 3, "one at least"),
        (["0050", "0050"], 1, "of its own"),
        (["0050"], -1, "nought or more"),
        (["0050", "0012"], 1, "never used twice"),
        (["0050", "51"], 1, "no tag"),
    ],
)
def test_a_count_agrees_to_the_unit(tags: list[str], left: int, why: str) -> None:
    """Or nothing is taken out; also when the second tag is the wrong one."""
    thing = floats()
    with pytest.raises(Refused, match=why):
        split_lot(by(), thing, tags, left)
    assert Object.objects.count() == 1
    assert Lot.objects.get().counted == 3
    assert Refusal.objects.get().kind == "split_lot"


def test_a_lot_of_which_nothing_is_left() -> None:
    """Its tag has no open step, no valid paper, nobody's hand on it, and nothing more comes out."""
    thing = floats()
    card = print_paper(by(), plan(by(), thing), "care_card")
    claim = take_in_hand(by(), thing, "photograph")
    split_lot(by(helper()), thing, ["0050", "0051", "0052"], 0)
    for row in (thing, card, claim):
        row.refresh_from_db()
    assert thing.lot is not None
    assert (thing.lot.counted, thing.lot.split_at is None, thing.next_step) == (0, False, "")
    ends = StepEnd.objects.filter(object=thing)
    assert {row.end for row in ends} == {"withdrawn"}
    assert "0050, 0051, 0052" in ends[0].note
    assert None not in (card.void_at, claim.given_back_at)
    with pytest.raises(Refused, match="already"):
        split_lot(by(), thing, ["0053"], 0)
    assert differences() == []


def test_one_thing_is_no_lot_to_take_from() -> None:
    """Neither a thing by itself nor one that joined a lot."""
    thing, joined = floats(), received("0013")
    with pytest.raises(Refused, match="one thing"):
        split_lot(by(), joined, ["0050"], 2)
    assert thing.lot is not None
    fill_lot(by(), thing.lot, [joined])
    with pytest.raises(Refused, match="one thing"):
        split_lot(by(), joined, ["0050"], 2)
