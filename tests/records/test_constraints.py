"""What the tables refuse, on both engines, with or without a service in front of them."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.db.models import ProtectedError

from strandline.records.models.acts import WorkClaim
from strandline.records.models.facts import Observation, Reading
from strandline.records.models.objects import Fragment, Object, Part, Tag, TagRange
from strandline.records.models.people import Authority, Hours, PartyRole, Person
from strandline.records.models.plans import HazardRelease, KnowledgeVersion, Override, PlanSnapshot, StepEnd
from strandline.records.models.sites import Place
from tests.records.cast import NOW, an_object, device, helper, incident, lead, owner

pytestmark = pytest.mark.django_db


def a_plan(thing: Object) -> PlanSnapshot:
    """A plan row without content."""
    knowledge = KnowledgeVersion.objects.create(
        version="0", sha256="0" * 64, engine_version="0", first_used_at=NOW
    )
    return PlanSnapshot.objects.create(
        object=thing, number=1, short_id="00000000", knowledge=knowledge, facts={}, result={},
        sha256="0" * 64, made_at=NOW,
    )  # fmt: skip


def override(**more: Any) -> Override:
    """An override of the whole practice, changed by ``more``."""
    wanted = {"level": "practice", "target": "act.rinse.iron", "value": {}, "reason": "our water is salty",
              "person": lead(), "at": NOW, **more}  # fmt: skip
    return Override.objects.create(**wanted)


def ended(thing: Object, end: str, because: str = "", note: str = "") -> StepEnd:
    """A step that ended so."""
    return StepEnd.objects.create(
        object=thing,
        plan=a_plan(thing),
        step="rinse",
        end=end,
        because=because,
        note=note,
        by=helper(),
        at=NOW,
    )


def a_part(thing: Object, **more: Any) -> Part:
    """A part of oak, changed by ``more``."""
    wanted = {"object": thing, "key": "p1", "order": 1, "material": "oak", "family": "wood",
              "known_by": "stated", "thickness_by": "unknown", "surface": "silent", **more}  # fmt: skip
    return Part.objects.create(**wanted)


def seen(thing: Object, **more: Any) -> Observation:
    """An observation, changed by ``more``."""
    wanted = {"object": thing, "key": "wet_state", "known_by": "seen", "at": NOW, **more}
    return Observation.objects.create(**wanted)


GOOD: dict[str, Callable[[Object], Any]] = {
    "override of the practice": lambda _: override(),
    "override of an object": lambda thing: override(level="object", object=thing),
    "not done because": lambda thing: ended(thing, "not_done", "no_water"),
    "done": lambda thing: ended(thing, "done"),
    "part": a_part,
    "observation": seen,
    "humidity": lambda _: Reading.objects.create(place=a_place(), kind="rh", value=0.55, at=NOW),
    "first aid only": lambda _: allowed("none", "first_aid_only"),
    "hours": lambda _: worked(20.0),
    "range": lambda _: TagRange.objects.create(incident=incident(), first=100, last=160, reserved_at=NOW),
    "release": lambda thing: released(thing, "harbour electrician", "The supply is off and locked."),
}

BAD: dict[str, Callable[[Object], Any]] = {
    "short reason": lambda _: override(reason="because"),
    "object override without object": lambda _: override(level="object"),
    "practice override of one object": lambda thing: override(object=thing),
    "unknown level": lambda _: override(level="galaxy"),
    "not done for no reason": lambda thing: ended(thing, "not_done"),
    "done for a reason": lambda thing: ended(thing, "done", "no_water"),
    "done differently, not said how": lambda thing: ended(thing, "done_differently"),
    "short tag": lambda _: an_object("42"),
    "same tag": lambda thing: an_object(thing.tag),
    "same tag again": lambda thing: Tag.objects.create(
        incident=thing.incident, text=thing.tag, object=thing, claimed_at=NOW
    ),
    "revision nought": lambda _: an_object("0007", revision=0),
    "unknown role": lambda _: Person.objects.create(name="x", role="admiral"),
    "unknown way of knowing": lambda thing: a_part(thing, known_by="rumour"),
    "part twice": lambda thing: (a_part(thing), a_part(thing)),
    "observation of nothing": lambda thing: seen(thing, key=""),
    "observation by rumour": lambda thing: seen(thing, known_by="rumour"),
    "humidity in percent": lambda _: Reading.objects.create(place=a_place(), kind="rh", value=55, at=NOW),
    "reading of nothing": lambda _: Reading.objects.create(kind="air_c", value=12, at=NOW),
    "treatment without authority": lambda _: allowed("none", "named_treatment"),
    "no hours": lambda _: worked(0.0),
    "range backwards": lambda _: TagRange.objects.create(
        incident=incident(), first=160, last=100, reserved_at=NOW
    ),
    "release by nobody": lambda thing: released(thing, "", "The supply is off and locked."),
    "release without words": lambda thing: released(thing, "harbour electrician", "ok"),
    "place twice": lambda _: (a_place(), a_place()),
    "party twice": lambda thing: (owns(thing), owns(thing)),
    "two at work on it": lambda thing: (takes(thing), takes(thing)),
    "fragment twice": lambda thing: (fell_off(thing), fell_off(thing)),
}


def a_place() -> Place:
    """The long room."""
    return Place.objects.create(incident=incident(), kind="room", name="long room")


def allowed(given: str, scope: str) -> Authority:
    """What the owner allowed."""
    return Authority.objects.create(
        party=owner(), incident=incident(), given=given, scope=scope, at=NOW, recorded_by=lead()
    )


def worked(minutes: float) -> Hours:
    """Work of a helper."""
    return Hours.objects.create(person=helper(), incident=incident(), started_at=NOW, minutes=minutes)


def released(thing: Object, role: str, said: str) -> HazardRelease:
    """A stop lifted."""
    return HazardRelease.objects.create(
        object=thing, hazard="electricity", role=role, said=said, at=NOW, recorded_by=lead()
    )


def owns(thing: Object) -> PartyRole:
    """Owner of the whole incident's things."""
    return PartyRole.objects.create(party=owner(), incident=thing.incident, role="owner")


def takes(thing: Object) -> WorkClaim:
    """Taken in hand for an hour."""
    return WorkClaim.objects.create(
        object=thing, device=device(), step="rinse", taken_at=NOW, until=NOW.replace(hour=16)
    )


def fell_off(thing: Object) -> Fragment:
    """A fragment of it."""
    return Fragment.objects.create(incident=thing.incident, object=thing, tag="0042-a", found_at=NOW)


@pytest.mark.parametrize("case", GOOD)
def test_what_fits_is_taken(case: str) -> None:
    """Each constraint lets the ordinary case through."""
    GOOD[case](an_object("0042"))


@pytest.mark.parametrize("case", BAD)
def test_what_does_not_fit_is_refused(case: str) -> None:
    """Each constraint stops the case it is there for."""
    thing = an_object("0042")
    with pytest.raises(IntegrityError), transaction.atomic():
        BAD[case](thing)


def test_a_tag_is_never_reused() -> None:
    """Not even when its object was merged into another and its number came free on the table."""
    kept, gone = an_object("0001"), an_object("0002")
    gone.merged_into = kept
    gone.save()
    Tag.objects.filter(text="0002").update(object=kept)
    with pytest.raises(IntegrityError), transaction.atomic():
        Tag.objects.create(incident=kept.incident, text="0002", object=gone, claimed_at=NOW)
    assert Tag.objects.get(text="0002").object == kept


def test_the_same_tag_in_another_incident_is_another() -> None:
    """Tags are unique in their incident only."""
    first, second = an_object("0042"), an_object("0042", incident=incident("ORNL2"))
    assert first.uid != second.uid


def test_nothing_that_is_named_elsewhere_can_go() -> None:
    """An incident with an object, a person with an act stay."""
    thing = an_object("0042")
    with pytest.raises(ProtectedError):
        thing.incident.delete()
