"""What is seen of a part: its row, the observation beside it, and what is refused."""

import uuid
from typing import Any

import pytest

from strandline.records.models.acts import Act, Refusal
from strandline.records.models.facts import Observation
from strandline.services.acting import KeyTaken, NotAllowed, Refused
from strandline.services.fold import differences
from strandline.services.observe_part import add_part, observe_part
from strandline.services.plan import plan
from tests.records.cast import lead, person
from tests.services.doing import by, received

pytestmark = pytest.mark.django_db


def test_a_look_that_finds_no_paint_opens_the_plan() -> None:
    """The question is gone, the surface is known, and the local rinse is no longer a guess."""
    thing = received()
    first = plan(by(), thing)
    assert "surface:p2" in {one["fact"] for one in first.result["assumed"]}
    seen = observe_part(by(), thing, "p2", "surface", "bare", "seen")
    part = thing.parts.get(key="p2")
    assert (part.surface, part.features, seen.part, seen.value) == ("stated", ["bare"], part, "bare")
    second = plan(by(), thing)
    assert "surface:p2" not in {one["fact"] for one in second.result["assumed"]}
    assert differences() == []


def test_bare_takes_away_what_the_surface_was_taken_for() -> None:
    """And paint seen takes bare away."""
    thing = received()
    observe_part(by(), thing, "p1", "surface", "bare", "seen")
    assert thing.parts.get(key="p1").features == ["bare"]
    observe_part(by(), thing, "p1", "surface", "gilded", "seen")
    assert thing.parts.get(key="p1").features == ["gilded"]
    assert differences() == []


def test_another_material_brings_its_family() -> None:
    """What it could have been before is gone; a family alone is known as such."""
    thing = received()
    thing.parts.filter(key="p2").update(could_be=["iron", "steel_finished"], lookalike="x")
    observe_part(by(), thing, "p2", "material", "copper_alloy", "seen")
    part = thing.parts.get(key="p2")
    assert (part.material, part.family, part.known_by, part.could_be) == ("copper_alloy", "metal", "seen", [])
    observe_part(by(), thing, "p2", "material", "stone", "seen")
    part.refresh_from_db()
    assert (part.material, part.family) == ("stone_unknown", "stone")


def test_a_later_look_takes_the_place_of_the_earlier() -> None:
    """Both stay in the record."""
    thing = received()
    first = observe_part(by(), thing, "p1", "thickness_mm", 18, "measured")
    second = observe_part(by(lead()), thing, "p1", "thickness_mm", 21.5, "measured")
    assert second.supersedes == first
    part = thing.parts.get(key="p1")
    assert (part.thickness_mm, part.thickness_by) == (21.5, "measured")
    observe_part(by(), thing, "p1", "thickness_mm", None, "unknown")
    part.refresh_from_db()
    assert (part.thickness_mm, part.thickness_by) == (None, "unknown")
    assert differences() == []


def test_a_part_nobody_had_noted() -> None:
    """With its key, its place in the order, and how it holds."""
    thing = received()
    made = add_part(by(), thing, "lock", "iron", "seen", ["corroded_core"], 3, "p1", "nailed")
    assert (made.key, made.order, made.family, made.thickness_by) == ("p3", 2, "metal", "seen")
    join = thing.joins.get(key="j2")
    assert (join.first.key, join.second.key, join.kind) == ("p1", "p3", "nailed")
    found = plan(by(), thing)
    assert [one["id"] for one in found.result["parts"]] == ["p1", "p2", "p3"]
    assert differences() == []


@pytest.mark.parametrize(
    ("part", "field", "value", "why"),
    [
        ("p9", "surface", "bare", "no part 'p9'"),
        ("p1", "colour", "red", "not looked at"),
        ("p1", "material", "cheese", "no material"),
        ("p1", "material", 7, "no material"),
        ("p1", "features", "painted", "a list of words"),
        ("p1", "features", ["mercury_inside"], "not seen on a part"),
        ("p1", "features", ["bare", "painted"], "bare surface has nothing"),
        ("p1", "surface", "cracked", "no surface"),
        ("p1", "surface", ["bare"], "no surface"),
        ("p1", "thickness_mm", 0, "more than 0"),
        ("p1", "thickness_mm", "thick", "number of mm"),
        ("p1", "thickness_mm", True, "number of mm"),
    ],
)
def test_what_is_no_part_fact_is_refused(part: str, field: str, value: Any, why: str) -> None:
    """Nothing is kept but the refusal."""
    thing = received()
    with pytest.raises(Refused, match=why):
        observe_part(by(), thing, part, field, value, "seen")
    assert not Observation.objects.filter(part__isnull=False).exists()
    assert why in Refusal.objects.get().reason


@pytest.mark.parametrize(
    ("more", "why"),
    [
        ({"name": " "}, "has a name"),
        ({"material": "cheese"}, "no material"),
        ({"features": ["fly"]}, "not seen on a part"),
        ({"thickness_mm": -1}, "more than 0"),
        ({"joined_to": "p9"}, "no part 'p9'"),
        ({"joined_to": "p1", "join": "magic"}, "no way of joining"),
        ({"known_by": "guessed"}, "a look is"),
    ],
)
def test_a_part_that_cannot_be_added(more: dict[str, Any], why: str) -> None:
    """Each with its sentence; no part is made."""
    thing = received()
    given: dict[str, Any] = {"name": "lock", "material": "iron", "known_by": "seen", **more}
    with pytest.raises(Refused, match=why):
        add_part(by(), thing, **given)
    assert thing.parts.count() == 2


def test_a_viewer_looks_and_notes_nothing() -> None:
    """Both acts are for hands."""
    thing = received()
    with pytest.raises(NotAllowed):
        observe_part(by(person("viewer")), thing, "p1", "surface", "bare", "seen")
    with pytest.raises(NotAllowed):
        add_part(by(person("viewer")), thing, "lock", "iron", "seen")


def test_sent_twice_is_done_once() -> None:
    """The same key gives the same observation; with another content it is an error."""
    thing, key = received(), uuid.uuid4()
    first = observe_part(by(key=key), thing, "p2", "surface", "bare", "seen")
    assert observe_part(by(key=key), thing, "p2", "surface", "bare", "seen") == first
    assert Act.objects.filter(kind="observe_part").count() == 1
    with pytest.raises(KeyTaken):
        observe_part(by(key=key), thing, "p2", "surface", "painted", "seen")
    again = uuid.uuid4()
    made = add_part(by(key=again), thing, "lock", "iron", "seen")
    assert add_part(by(key=again), thing, "lock", "iron", "seen") == made
    assert thing.parts.count() == 3
