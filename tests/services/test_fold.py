"""The log is whole: folded, it says what the tables hold, whatever was done in whatever order."""

from collections.abc import Callable
from contextlib import suppress
from typing import Any

import pytest
from django.db import transaction
from hypothesis import given
from hypothesis import settings as draws
from hypothesis import strategies as st

from strandline.records import translate
from strandline.records.models.acts import Act
from strandline.records.models.base import Row
from strandline.records.models.facts import Observation
from strandline.records.models.objects import Batch, Fragment, ListRow, Lot, Object, Tag, Tray
from strandline.records.models.plans import PlanSnapshot
from strandline.records.models.sites import Place
from strandline.services.acting import Refused
from strandline.services.came_off import came_off
from strandline.services.changes import Changes, shown, table
from strandline.services.claim_row import claim_row
from strandline.services.count_tray import count_tray, open_searches, settle_count
from strandline.services.end_step import end_step
from strandline.services.end_tray_step import end_tray_step
from strandline.services.fill_lot import fill_lot
from strandline.services.find_parent import find_parent
from strandline.services.fold import differences
from strandline.services.make_lot import make_lot, thing_of
from strandline.services.make_tray import make_tray
from strandline.services.merge import merge
from strandline.services.move import move
from strandline.services.observe import observe
from strandline.services.open_batch import close_batch, open_batch
from strandline.services.override import override
from strandline.services.plan import newest, plan, steps_of
from strandline.services.print_paper import print_paper
from strandline.services.put_on_tray import next_of, put_on_tray, take_off_tray
from strandline.services.release_hazard import open_stops, release_hazard
from strandline.services.scribe import record_for
from strandline.services.split import split
from strandline.services.split_lot import split_lot
from tests.records.cast import incident, lead, person
from tests.services.doing import barometer, by, received

pytestmark = pytest.mark.django_db
CALLERS = ("lead", "conservator", "helper")
Pick = Callable[[str], Any]


def things() -> list[Object]:
    """All objects, in order."""
    return list(Object.objects.order_by("id"))


def places() -> list[Place]:
    """Three places, one of them with room for one."""
    wanted = (("long room", None), ("table", 1), ("rack", 4))
    return [
        Place.objects.get_or_create(incident=incident(), inside=None, name=name,
                                    defaults={"kind": "spot", "room_for": room})[0]
        for name, room in wanted
    ]  # fmt: skip


class Doing:
    """One act of each kind on a thing drawn."""

    def __init__(self, data: st.DataObject) -> None:
        self.data = data

    def draw(self, values: Any) -> Any:
        """One of several."""
        return self.data.draw(st.sampled_from(list(values)))

    def who(self) -> Any:
        """Anybody with hands."""
        return by(person(self.draw(CALLERS)))

    def receive(self) -> None:
        """A chest or a barometer under a tag that may be taken."""
        self.draw((received, barometer))(self.draw(("0001", "0002", "0003", "0004")))

    def observe(self, thing: Object) -> None:
        """A fact, having seen what stands or what stood first."""
        key, value = self.draw(
            (("pieces", 3), ("pieces", 4), ("water", ["sea"]), ("mass_g", 812.5), ("mass_g", -1))
        )
        stood = Observation.objects.filter(object=thing, key=key).order_by("id")
        saw = self.draw((stood.first(), translate.in_force(thing).get(key)))
        observe(self.who(), thing, key, value, "measured", saw)

    def plan(self, thing: Object) -> None:
        """The next plan."""
        plan(self.who(), thing)

    def move(self, thing: Object) -> None:
        """To one of the places."""
        move(self.who(), thing, self.draw(places()))

    def override(self, thing: Object) -> None:
        """A note of the lead at some level."""
        how = self.draw(("Two people.", "On a board."))
        level = self.draw((None, thing, thing.incident))
        override(by(lead()), "act.lift.all", {"how": how}, "the stair is wet", level)

    def claim_row(self, thing: Object) -> None:
        """One of two rows."""
        row, _ = ListRow.objects.get_or_create(
            incident=incident(), list_sha256="0" * 64, row=self.draw((2, 3))
        )
        claim_row(self.who(), thing, row)

    def end_step(self, thing: Object) -> None:
        """Any step of any plan, in any way."""
        found = self.draw(PlanSnapshot.objects.filter(object=thing).order_by("number") or [None])
        if found is not None:
            end, because = self.draw((("done", ""), ("not_done", "no_time"), ("done_differently", "")))
            end_step(self.who(), found, self.draw(steps_of(found)), end, because, self.draw(("", "by hand")))

    def print_paper(self, thing: Object) -> None:
        """A card of the newest plan."""
        found = newest(thing)
        if found is not None:
            print_paper(self.who(), found, "care_card")

    def release_hazard(self, thing: Object) -> None:
        """Whatever stops it."""
        for hazard in open_stops(thing, newest(thing)):
            release_hazard(by(lead()), thing, hazard, "licensed remover", "Taken out and packed.")


NEW_TAGS = ("0007", "0008", "0009", "0010", "0011")


class Grouping(Doing):
    """Acts on lots, trays, fragments and batches, merges and splits; what there is none of is made first."""

    def one(self, model: type[Row], make: Callable[[], Any]) -> Any:
        """One that there is, or a new one."""
        found = list(model._default_manager.order_by("id"))
        return self.draw(found) if found and self.draw((True, True, False)) else make()

    def make_lot(self, thing: Object) -> None:
        """Of two or three."""
        make_lot(self.who(), thing, self.draw((2, 3)))

    def fill_lot(self, thing: Object) -> None:
        """One more in it."""
        fill_lot(self.who(), self.one(Lot, lambda: make_lot(self.who(), self.draw(things()), 2)), [thing])

    def split_lot(self, thing: Object) -> None:
        """One or two out of a lot, and what is left counted rightly or not."""
        lot = self.one(Lot, lambda: make_lot(self.who(), thing, 2))
        tags = self.draw((NEW_TAGS[:1], NEW_TAGS[1:3], NEW_TAGS[3:4]))
        left = self.draw((lot.counted - len(tags), lot.counted))
        split_lot(self.who(), thing_of(lot), tags, left)

    def tray(self) -> Any:
        """One of two trays."""
        return self.one(
            Tray, lambda: make_tray(self.who(), incident(), self.draw(("blue tray", "green tray")))
        )

    def planned(self, thing: Object) -> Object:
        """A thing with a plan."""
        if newest(thing) is None:
            plan(self.who(), thing)
        return thing

    def put_on_tray(self, thing: Object) -> None:
        """Two of them."""
        put_on_tray(self.who(), self.tray(), [self.planned(thing), self.planned(self.draw(things()))])

    def lying(self, thing: Object) -> Any:
        """One that lies on a tray; this one put there if none does."""
        if not Object.objects.filter(tray__isnull=False).exists():
            put_on_tray(self.who(), self.tray(), [self.planned(thing)])
        return self.draw(Object.objects.filter(tray__isnull=False).order_by("id"))

    def take_off_tray(self, thing: Object) -> None:
        """One of those on a tray."""
        take_off_tray(self.who(), [self.lying(thing)])

    def count_tray(self, thing: Object) -> None:
        """None, one or two seen."""
        count_tray(self.who(), self.lying(thing).tray, self.draw((0, 1, 2)))

    def settle_count(self, thing: Object) -> None:
        """A search, or a count that may be none."""
        found = list(open_searches(thing.incident)) or [
            count_tray(self.who(), self.lying(thing).tray, self.draw((0, 1)))
        ]
        settle_count(self.who(), self.draw(found), "it lay under the rack")

    def end_tray_step(self, thing: Object) -> None:
        """The next step of what lies there, done but for one."""
        lying = self.lying(thing)
        excepted = self.draw(({}, {lying.tag: ("no_time", "")}))
        end_tray_step(self.who(), lying.tray, next_of(lying).step, "done", excepted)

    def record_for(self, thing: Object) -> None:
        """What two did."""
        two = [self.planned(one) for one in (thing, self.draw(things()))]
        told = [(person(self.draw(CALLERS)), one.tag, next_of(one).step, "done", "", "") for one in two]
        record_for(self.who(), told)

    def batch(self) -> Any:
        """A batch of mud."""
        name = self.draw(("by the door", "by the stair"))
        return self.one(Batch, lambda: open_batch(self.who(), incident(), "room_square", name))

    def came_off(self, thing: Object) -> None:
        """Of a thing, or a stray."""
        came_off(
            self.who(), incident(), "a splinter", self.draw((None, thing)), self.draw((None, self.batch()))
        )

    def find_parent(self, thing: Object) -> None:
        """Of a stray, or of one that has one."""
        find_parent(self.who(), self.one(Fragment, lambda: came_off(self.who(), incident(), "a pin")), thing)

    def close_batch(self, thing: Object) -> None:
        """Looked through."""
        close_batch(self.who(), self.batch())

    def merge(self, thing: Object) -> None:
        """With any other one, or itself."""
        merge(self.who(), thing, self.draw(things()), "one chest")

    def split(self, thing: Object) -> None:
        """One part out, or one there is not."""
        split(
            self.who(),
            thing,
            self.draw(NEW_TAGS),
            [self.draw(("p1", "p2", "p3"))],
            "Hoop",
            "lay in the chest",
        )


ON_A_THING = ("observe", "plan", "move", "override", "claim_row", "end_step", "print_paper", "release_hazard")
ON_GROUPS = (
    "make_lot", "fill_lot", "split_lot", "put_on_tray", "take_off_tray", "count_tray", "settle_count",
    "end_tray_step", "record_for", "came_off", "find_parent", "close_batch", "merge", "split",
)  # fmt: skip


def random_acts(doing: Doing, kinds: tuple[str, ...], count: int) -> None:
    """So many acts; those that are refused leave no trace in the tables."""
    for _ in range(count):
        kind = doing.draw(("receive", *kinds))
        here = things()
        with suppress(Refused):
            if kind == "receive" or not here:
                doing.receive()
            else:
                getattr(doing, kind)(doing.draw(here))


@given(st.data())
@draws(max_examples=25)
def test_the_log_and_the_tables_agree(data: st.DataObject) -> None:
    """After any acts in any order."""
    with transaction.atomic():
        random_acts(Doing(data), ON_A_THING, 14)
        assert differences() == []
        assert Act.objects.exists()
        transaction.set_rollback(True)


@given(st.data())
@draws(max_examples=25)
def test_they_agree_when_things_are_grouped_merged_and_split(data: st.DataObject) -> None:
    """Also with lots, trays, fragments and batches; and no tag is tied to two things."""
    with transaction.atomic():
        for make in (received, received, barometer):
            make(f"000{Object.objects.count() + 1}")
        random_acts(Grouping(data), ON_GROUPS + ON_A_THING, 14)
        assert differences() == []
        tags = [*Tag.objects.values_list("text", flat=True), *Fragment.objects.values_list("tag", flat=True)]
        assert len(set(tags)) == len(tags) == Object.objects.count() + Fragment.objects.count()
        transaction.set_rollback(True)


BEHIND_THE_LOG: dict[str, Callable[[Object], Any]] = {
    "a field changed": lambda thing: Object.objects.filter(pk=thing.pk).update(title="Another"),
    "a row made": lambda thing: Observation.objects.create(
        object=thing, key="pieces", value=9, known_by="seen", at=thing.received_at
    ),
    "a row gone": lambda thing: thing.joins.all().delete(),
    "a value in a list": lambda thing: thing.parts.filter(key="p1").update(features=["gilt"]),
    "a revision changed": lambda thing: Object.objects.filter(pk=thing.pk).update(revision=7),
}


@pytest.mark.parametrize("slip", BEHIND_THE_LOG)
def test_what_is_done_behind_the_log_is_found(slip: str) -> None:
    """Rows changed, made or taken away without an act: each is one sentence."""
    thing = received()
    assert differences() == []
    BEHIND_THE_LOG[slip](thing)
    assert len(differences()) == 1


def forgets_updates(changes: Changes, row: Row, **fields: Any) -> None:
    """Changes.update that does its work and logs nothing."""
    type(row)._default_manager.filter(pk=row.pk).update(**fields)


def logs_too_early(changes: Changes, row: Row, **fields: Any) -> None:
    """Changes.update that logs what was instead of what is."""
    was = shown(row, fields)
    forgets_updates(changes, row, **fields)
    changes.before.setdefault(table(row), {})[str(row.uid)] = was
    changes.after.setdefault(table(row), {})[str(row.uid)] = was


@pytest.mark.parametrize("wrong", [forgets_updates, logs_too_early])
def test_a_log_that_is_kept_wrongly_is_found(monkeypatch: pytest.MonkeyPatch, wrong: Any) -> None:
    """The fold catches services that change rows and do not say so, or say it wrongly."""
    thing = received()
    monkeypatch.setattr(Changes, "update", wrong)
    move(by(), thing, places()[0])
    found = differences()
    assert any("place is" in line for line in found)
    assert any("revision is" in line for line in found)
