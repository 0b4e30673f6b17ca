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
from strandline.records.models.objects import ListRow, Object
from strandline.records.models.plans import PlanSnapshot
from strandline.records.models.sites import Place
from strandline.services.acting import Refused
from strandline.services.changes import Changes, shown, table
from strandline.services.claim_row import claim_row
from strandline.services.end_step import end_step
from strandline.services.fold import differences
from strandline.services.move import move
from strandline.services.observe import observe
from strandline.services.override import override
from strandline.services.plan import newest, plan, steps_of
from strandline.services.print_paper import print_paper
from strandline.services.release_hazard import open_stops, release_hazard
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


ON_A_THING = ("observe", "plan", "move", "override", "claim_row", "end_step", "print_paper", "release_hazard")


def random_acts(data: st.DataObject, count: int) -> None:
    """So many acts; those that are refused leave no trace in the tables."""
    doing = Doing(data)
    for _ in range(count):
        kind = doing.draw(("receive", *ON_A_THING))
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
        random_acts(data, 14)
        assert differences() == []
        assert Act.objects.exists()
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
