"""Rows and things: what goes in comes out, and what depends on the hour is not kept."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from random import Random
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from hypothesis import Phase, find, given
from hypothesis import settings as draws
from hypothesis import strategies as st

from strandline.care.engine import Engine
from strandline.knowledge import models as m
from strandline.knowledge.base import shipped
from strandline.pipeline.objects import Site, facts_from_row
from strandline.pipeline.times import resolve_times
from strandline.records import careful, translate
from strandline.records.models.facts import Observation
from strandline.records.models.objects import Join as JoinRow
from strandline.records.models.objects import Object
from strandline.records.models.plans import HazardRelease
from strandline.records.snapshot import snapshot
from strandline.things.facts import Facts, Join, Part, Word
from strandline.things.listing import RawRow
from tests.care.draws import an_object
from tests.records.cast import NOW, lead
from tests.records.rows import put

pytestmark = pytest.mark.django_db
KNOWLEDGE = shipped()
ENGINE = Engine(KNOWLEDGE)

TEXT = st.text(st.characters(codec="utf-8", exclude_characters="\x00"), max_size=12)
BY = st.sampled_from(["stated", "assumed", "seen", "measured", "family_worst", "unknown"])
LENGTH = st.none() | st.floats(0.1, 1e6)
SIZES = (
    "length_mm", "width_mm", "height_mm", "diameter_mm", "thickness_mm", "mass_g", "dry_mass_g",
)  # fmt: skip
KEYS = st.lists(st.sampled_from(["cracked", "gilt", "painted", "veneered", "corroded"]), unique=True)


@contextmanager
def rolled_back() -> Iterator[None]:
    """Each drawn example on an empty record."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


@st.composite
def parts(draw: st.DrawFn) -> tuple[Part, ...]:
    """Up to four parts of anything, whatever could be said of them."""
    count = draw(st.integers(1, 4))
    return tuple(
        Part(
            id=f"p{n}", name=draw(TEXT), material=draw(st.sampled_from(sorted(KNOWLEDGE.materials))),
            family=draw(TEXT), span=draw(TEXT), column="materials", known_by=draw(BY), species=draw(TEXT),
            could_be=tuple(draw(KEYS)), lookalike=draw(TEXT), thickness_mm=draw(LENGTH),
            thickness_by=draw(BY), exposed=draw(st.booleans()), features=tuple(draw(KEYS)),
            surface=draw(st.sampled_from(["stated", "silent"])),
        )
        for n in range(1, count + 1)
    )  # fmt: skip


@st.composite
def facts(draw: st.DrawFn) -> Facts:
    """Facts of any object; times as the list's reader settles them."""
    bodies = draw(parts())
    ids = [part.id for part in bodies]
    joins = tuple(
        Join(f"j{n}", draw(TEXT), (draw(st.sampled_from(ids)), draw(st.sampled_from(ids))), draw(BY))
        for n in range(1, draw(st.integers(0, 3)) + 1)
    )
    ago = st.none() | st.integers(1, 400).map(lambda hours: NOW - timedelta(hours=hours))
    hours = st.none() | st.floats(0.5, 90)
    times = resolve_times(draw(ago), draw(ago), draw(hours), draw(hours), NOW)
    scalars: dict[str, Any] = {name: draw(LENGTH) for name in SIZES}
    known = {key: draw(BY) for key in (*scalars, "water", "wet_state", "significance", "site.air_c")}
    return Facts(
        tag=f"{draw(st.integers(0, 10**6)):04d}", row=draw(st.integers(0, 9999)), title=draw(TEXT),
        owner_number=draw(TEXT), materials=draw(TEXT), klass=draw(TEXT), parts=bodies, joins=joins,
        features=tuple(sorted(draw(KEYS))), water=tuple(sorted(draw(KEYS))), wet_state=draw(TEXT),
        done_already=tuple(sorted(draw(KEYS))), wet_since=times.wet_since, out_since=times.out_since,
        hours_wet=times.hours_wet, under_water_h=times.under_water_h, significance=draw(st.integers(1, 5)),
        pieces=draw(st.none() | st.integers(1, 500)), owner=draw(TEXT), place=draw(TEXT),
        air_c=draw(st.none() | st.floats(-20, 45)), known_by={**times.known_by, **known},
        harmless=tuple(Word(draw(TEXT), "title", draw(TEXT)) for _ in range(draw(st.integers(0, 2)))),
        unread=(Word(draw(TEXT), "title"),), read=(Word(draw(TEXT), "title", "join:glued"),),
        kept=draw(st.dictionaries(TEXT, TEXT, max_size=2)), **scalars,
    )  # fmt: skip


def comes_back(given_facts: Facts) -> bool:
    """Facts into rows and rows into facts: the same, to the last word."""
    with rolled_back():
        return translate.facts_at(put(given_facts), NOW) == given_facts


@given(facts())
@draws(max_examples=60)
def test_any_facts_come_back(given_facts: Facts) -> None:
    """Whatever an object is made of and however it is known."""
    assert comes_back(given_facts)


def without(name: str, value: Any) -> Callable[..., Any]:
    """part_fields that keeps one field as it pleases."""
    whole = translate.part_fields
    return lambda part, order: {**whole(part, order), name: value}


def swapped(row: JoinRow) -> Join:
    """join_of with the two parts changed about."""
    return Join(row.key, row.kind, (row.second.key, row.first.key), "stated", row.span, row.column)


WRONG: dict[str, tuple[str, Any]] = {
    "species lost": ("part_fields", without("species", "")),
    "could-be lost": ("part_fields", without("could_be", [])),
    "thickness taken for measured": ("part_fields", without("thickness_by", "measured")),
    "everything exposed": ("part_fields", without("exposed", True)),
    "joins turned round": ("join_of", swapped),
    "everything stated": ("_by", lambda text: "stated"),
    "hours not counted": ("_count_hours", lambda scalars, known, as_of: None),
    "words forgotten": ("WORDS", ("harmless", "read")),
    "air forgotten": ("KEYS", tuple(key for key in translate.KEYS if key != "site.air_c")),
}


@pytest.mark.parametrize("slip", WRONG)
def test_a_wrong_translation_is_found(monkeypatch: pytest.MonkeyPatch, slip: str) -> None:
    """Each of these would be caught by the drawn facts above."""
    monkeypatch.setattr(translate, *WRONG[slip])
    first_only = draws(max_examples=60, phases=[Phase.generate], database=None, derandomize=True)
    assert find(facts(), lambda drawn: not comes_back(drawn), settings=first_only)


ROWS = [
    {"tag": "0042", "title": "Sea chest", "materials": "oak, iron, painted", "water": "brackish",
     "wet_since": "2026-03-14T02:10Z", "length_mm": "900"},
    {"title": "Barometer", "materials": "mahogany, glass, mercury, brass", "pieces": "3",
     "owner": "trustees"},
    {"title": "bag of wet nets and ??", "hours_wet": "30", "under_water_h": "4", "done_already": "rinsed"},
    {"title": "Gilt frame", "materials": "gesso, gilding, pine", "significance": "5", "mass_g": "1200"},
]  # fmt: skip


@pytest.mark.parametrize("cells", ROWS, ids=lambda cells: cells["title"])
def test_a_list_comes_back(cells: dict[str, str]) -> None:
    """What the list's reader makes of a row comes back whole, and gives the same plan."""
    site = Site(as_of=NOW, wet_since=None, water=("river",), air_c=9.5)
    read, _ = facts_from_row(RawRow(2, cells), cells.get("tag", "0001"), site, KNOWLEDGE)
    assert read is not None
    back = translate.facts_at(put(read), NOW)
    assert back == read
    assert ENGINE.plan(back, NOW) == ENGINE.plan(read, NOW)


@pytest.mark.parametrize("cells", ROWS, ids=lambda cells: cells["title"])
@pytest.mark.parametrize("hours", [1, 30, 400])
def test_a_snapshot_is_the_same_at_every_hour(cells: dict[str, str], hours: int) -> None:
    """Facts read later make the same snapshot: nothing in it depends on now.  Another fact makes another."""
    site = Site(as_of=NOW, wet_since=NOW - timedelta(hours=20), water=("river",))
    read, _ = facts_from_row(RawRow(2, cells), "0001", site, KNOWLEDGE)
    assert read is not None
    thing = put(read)
    later = NOW + timedelta(hours=hours)
    first = snapshot(read, ENGINE.plan(read, NOW))
    second = translate.facts_at(thing, later)
    assert second.hours_wet != read.hours_wet
    assert snapshot(second, ENGINE.plan(second, later)) == first
    other = replace(read, water=("sea",))
    assert snapshot(other, ENGINE.plan(other, NOW)).sha256 != first.sha256


def test_the_owner_is_not_in_a_snapshot() -> None:
    """An owner can be erased while plans stay: no name is kept in them."""
    read, _ = facts_from_row(
        RawRow(2, {"title": "Oar", "owner": "Trustees of the loft"}), "0001", Site(NOW), KNOWLEDGE
    )
    assert read is not None
    kept = snapshot(read, ENGINE.plan(read, NOW))
    assert "Trustees" not in f"{kept.facts}{kept.result}"


def test_a_newer_observation_is_in_force() -> None:
    """The one that supersedes counts; the one it superseded stays in its row."""
    thing = put(Facts("0042", 2, known_by={"wet_state": "stated"}))
    old = translate.in_force(thing)["wet_state"]
    Observation.objects.create(
        object=thing, key="wet_state", value="damp", known_by="seen", supersedes=old,
        at=datetime(2026, 3, 15, 16, tzinfo=UTC),
    )  # fmt: skip
    found = translate.facts_at(thing, NOW)
    assert (found.wet_state, found.known_by["wet_state"]) == ("damp", "seen")
    assert Observation.objects.get(pk=old.pk).value == "unknown"


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("wet_since", "yesterday"), ("wet_since", "2026-03-15T10:00"), ("wet_since", 5), ("water", "river"),
        ("water", [1]), ("wet_state", None), ("mass_g", "12"), ("mass_g", True), ("mass_g", -1),
        ("mass_g", float("nan")), ("significance", 6), ("significance", None),
    ],
)  # fmt: skip
def test_what_cannot_be_a_fact_is_refused(key: str, value: Any) -> None:
    """A wrong kind of value is named with its key."""
    with pytest.raises(translate.NotAFact, match=key):
        translate.read_value(key, value)


def released(thing: Object, *hazards: str) -> None:
    """Stops of an object lifted."""
    for hazard in hazards:
        HazardRelease.objects.create(
            object=thing, hazard=hazard, role="licensed remover", said="Taken out and packed.", at=NOW,
            recorded_by=lead(),
        )  # fmt: skip


def test_releases_are_facts_of_their_object_alone() -> None:
    """Sorted, each once, and in the snapshot and its hash; another object's are none of its own."""
    one, two = (put(Facts(tag, 2, parts=(Part("p1", "", "mercury", "working"),))) for tag in ("0001", "0002"))
    before = snapshot(translate.facts_at(one, NOW), ENGINE.plan(translate.facts_at(one, NOW), NOW))
    released(one, "radium", "mercury", "mercury")
    found = translate.facts_at(one, NOW)
    assert found.released == ("mercury", "radium")
    assert translate.facts_at(two, NOW).released == ()
    after = snapshot(found, ENGINE.plan(found, NOW))
    assert after.facts["facts"]["released"] == ["mercury", "radium"]
    assert [one.get("released") for one in after.result["hazards"] if one["key"] == "mercury"] == [True]
    assert after.sha256 != before.sha256
    assert "released" not in before.facts["facts"]


@given(st.lists(facts(), min_size=1, max_size=4), st.data())
@draws(max_examples=25)
def test_many_read_at_once_are_as_each_read_alone(drawn: list[Facts], data: st.DataObject) -> None:
    """Any objects, releases and clashes, in any order, also one of them twice."""
    with rolled_back():
        things = [put(replace(one, tag=f"{n:04d}")) for n, one in enumerate(drawn)]
        for thing in things:
            released(thing, *data.draw(st.lists(st.sampled_from(["mercury", "radium"]), max_size=2)))
            if data.draw(st.booleans()):
                clashing(thing, "pieces", 3, 5)
        order = data.draw(st.permutations([*things, things[0]]))
        assert translate.facts_many(order, NOW) == [translate.facts_at(thing, NOW) for thing in order]


def test_many_are_read_with_as_many_queries_as_one() -> None:
    """None for none."""
    things = [put(replace(Facts("0001", 2, owner="Trustees"), tag=f"{n:04d}")) for n in range(12)]
    counts = []
    for some in ([], things[:1], things):
        with CaptureQueriesContext(connection) as ran:
            translate.facts_many([Object.objects.get(pk=thing.pk) for thing in some], NOW)
        counts.append(len(ran) - len(some))
    assert counts[0] == 0
    assert counts[1] == counts[2] <= 5


def clashing(thing: Object, key: str, *values: Any) -> None:
    """Observations of one key that nobody has settled."""
    for value in values:
        Observation.objects.create(
            object=thing, key=key, value=value, known_by="seen", clash=True, at=NOW + timedelta(minutes=1)
        )


EARLY, LATE = "2026-03-14T02:00:00+00:00", "2026-03-14T09:00:00+00:00"


@pytest.mark.parametrize(
    ("key", "values", "taken"),
    [
        ("water", (["sea"], ["river", "sewage"]), ("river", "sea", "sewage")),
        ("features", ([], ["gilded"]), ("gilded",)),
        ("done_already", (["wiped"], ["rinsed"]), ("rinsed", "wiped")),
        ("wet_since", (LATE, EARLY), datetime.fromisoformat(EARLY)),
        ("wet_since", (None, LATE), datetime.fromisoformat(LATE)),
        ("wet_state", ("damp_air_only", "splashed"), "splashed"),
        ("wet_state", ("under_water", "frozen"), "frozen"),
        ("wet_state", ("soggy", "damp_air_only"), "unknown"),
        ("mass_g", (9000, 12000, 300), 12000),
        ("mass_g", (None, 300), 300),
        ("length_mm", (900, 1200), 1200),
        ("pieces", (3, 4), 4),
        ("significance", (2, 5), 5),
        ("site.air_c", (9.5, 24), 24),
    ],
)
def test_of_several_values_the_careful_one_is_taken(key: str, values: tuple[Any, ...], taken: Any) -> None:
    """And it is an assumption, whoever saw it last."""
    thing = put(Facts("0042", 2))
    clashing(thing, key, *values)
    found = translate.facts_at(thing, NOW)
    assert (getattr(found, translate.field_of(key)), found.known_by[key]) == (taken, "assumed")


@pytest.mark.parametrize(("wet", "taken"), [(EARLY, None), (None, datetime.fromisoformat(LATE))])
def test_not_knowing_when_it_came_out_is_careful_where_the_wetting_is_known(wet: Any, taken: Any) -> None:
    """The hours then run from the wetting, which is earlier; without it, from the one hour there is."""
    thing = put(Facts("0042", 2, wet_since=datetime.fromisoformat(wet) if wet else None))
    clashing(thing, "out_since", None, LATE)
    assert translate.facts_at(thing, NOW).out_since == taken


def test_every_fact_has_its_careful_value() -> None:
    """No key of a fact, and no state of wetness, is left out."""
    assert careful.TAKE.keys() == set(translate.KEYS)
    assert set(careful.WET_STATES) == {*m.WET_STATES, "unknown"}


@given(st.integers(0, 2**32 - 1))
@draws(max_examples=150)
def test_dried_mud_is_as_strict_as_any_wetness(seed: int) -> None:
    """The order of wet states that the table claims, for whatever object."""
    drawn = an_object(Random(seed), KNOWLEDGE)
    order = ("dry_with_mud", "under_water", "splashed", "damp_now", "unknown")
    strict = [ENGINE.outline(ENGINE.signature(replace(drawn, wet_state=state))).ranks for state in order]
    for before, after in pairwise(strict):
        assert all(before[action] >= rank for action, rank in after.items())


def test_what_clashes_is_asked() -> None:
    """Also about things no list is asked about."""
    thing = put(Facts("0042", 2, parts=(Part("p1", "", "oak", "wood"),)))
    for key, values in (("features", ([], ["gilded"])), ("pieces", (3, 4)), ("mass_g", (300, 400))):
        clashing(thing, key, *values)
    asked = {one.fact for one in ENGINE.plan(translate.facts_at(thing, NOW), NOW).assumed}
    assert {"features", "pieces", "mass_g"} <= asked
