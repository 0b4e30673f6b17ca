"""Two tags that are one thing, one tag that is several: what follows, what stays, what still resolves."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import DatabaseError, transaction

from strandline.records import translate
from strandline.records.models.acts import Act
from strandline.records.models.facts import Observation, Photo, Reading
from strandline.records.models.objects import Fragment, Join, ListRow, Object, RowClaim, Tag
from strandline.records.models.people import Party
from strandline.records.models.plans import StepEnd
from strandline.services import clock
from strandline.services.acting import Refused
from strandline.services.came_off import came_off
from strandline.services.claim_row import claim_row
from strandline.services.copies import ORIGIN
from strandline.services.fill_lot import fill_lot
from strandline.services.fold import GONE, differences
from strandline.services.make_lot import make_lot
from strandline.services.merge import merge
from strandline.services.observe import observe
from strandline.services.override import override
from strandline.services.plan import newest, plan
from strandline.services.print_paper import print_paper
from strandline.services.release_hazard import open_stops, release_hazard
from strandline.services.resolve import resolve
from strandline.services.split import split
from strandline.services.take_in_hand import take_in_hand
from strandline.things.facts import Join as JoinFact
from strandline.things.facts import Part as PartFact
from tests.records.cast import NOW, an_object, incident, lead, owner, person
from tests.services.doing import barometer, by, received

pytestmark = pytest.mark.django_db
WHY = "lid and body of one chest"
BOX = (
    PartFact("p1", "box", "mahogany", "wood"),
    PartFact("p2", "compass", "brass", "metal"),
    PartFact("p3", "cover", "glass", "glass"),
)
HELD = (JoinFact("j1", "riveted", ("p2", "p3")), JoinFact("j2", "riveted", ("p1", "p2")))


def row_of_list(number: int) -> ListRow:
    """A row of the list."""
    return ListRow.objects.get_or_create(incident=incident(), list_sha256="0" * 64, row=number)[0]


def photo(thing: Object, digit: str) -> Photo:
    """A photograph of a thing."""
    return Photo.objects.create(
        incident=thing.incident, object=thing, sha256=digit * 64, size_bytes=1, path=digit, added_at=NOW
    )


def test_what_was_recorded_of_the_other_follows() -> None:
    """Tag, facts, fragments, photographs, readings, rows, rulings; no row is taken away."""
    kept, other = received("0042"), received("0043")
    fragment = came_off(by(), incident(), "a splinter", other)
    reading = Reading.objects.create(object=other, kind="mass_g", value=800, at=NOW)
    shots = [photo(kept, "a"), photo(other, "a"), photo(other, "b")]
    claim_row(by(), other, row_of_list(2))
    ruling = override(by(lead()), "act.lift.all", {"how": "Two people."}, "the stair is wet", other)
    seen = observe(by(), other, "water", ["sea"], "seen", translate.in_force(other)["water"])
    counts = [model.objects.count() for model in (Tag, Observation, Fragment, Photo, RowClaim)]
    act = merge(by(person("conservator")), kept, other, WHY)
    for row in (fragment, reading, ruling, seen):
        row.refresh_from_db()
        assert row.object == kept
    assert [Photo.objects.get(pk=one.pk).object for one in shots] == [kept, other, kept]
    assert RowClaim.objects.get().object == kept
    assert (other.merged_into, other.revision, act.payload["reason"]) == (kept, 6, WHY)
    after = [model.objects.count() for model in (Tag, Observation, Fragment, Photo, RowClaim)]
    assert [now - was for now, was in zip(after, counts, strict=True)] == [0, 0, 0, 0, 0]
    assert Act.objects.filter(object=other).count() == 4
    kept.refresh_from_db()
    assert {"0042", "0043"} <= set(kept.sought.split())
    assert translate.in_force(kept)["water"] == seen
    assert translate.facts_at(kept, NOW).water == ("brackish", "sea")  # nobody has settled it


def test_old_tags_still_resolve_however_often_it_was_merged() -> None:
    """0044 into 0043 into 0042: each leads to 0042, no act goes to the old ones, no tag can be deleted."""
    kept, other, third = received("0042"), received("0043"), received("0044")
    merge(by(lead()), other, third, WHY)
    merge(by(lead()), kept, other, WHY)
    assert [resolve(incident(), tag) for tag in ("0042", "0043", "0044")] == [kept] * 3
    assert set(kept.tags.values_list("text", flat=True)) == {"0042", "0043", "0044"}
    with pytest.raises(DatabaseError, match="written once"), transaction.atomic():
        Tag.objects.filter(text="0044").delete()
    with pytest.raises(Refused, match="never used twice"):
        received("0044")
    with pytest.raises(Refused, match="was merged"):
        plan(by(), Object.objects.get(tag="0044"))
    assert differences() == []


def test_nothing_is_left_to_do_under_the_other_tag() -> None:
    """Open steps withdrawn, papers void, given back; the kept object's own steps stay open."""
    kept, other = received("0042"), received("0043")
    plan(by(), kept)
    card = print_paper(by(), plan(by(), other), "care_card")
    claim = take_in_hand(by(), other, "photograph")
    merge(by(lead()), kept, other, WHY)
    card.refresh_from_db()
    claim.refresh_from_db()
    assert None not in (card.void_at, claim.given_back_at)
    ends = StepEnd.objects.filter(object=other)
    assert {(row.end, row.note) for row in ends} == {("withdrawn", "withdrawn: merged into 0042")}
    assert not StepEnd.objects.filter(object=kept).exists()
    assert (other.next_step, other.tray, kept.next_step != "") == ("", None, True)
    assert differences() == []


FACTS: dict[str, tuple[tuple[Any, str], tuple[Any, str], Any, bool]] = {
    "both measured": ((800, "measured"), (900, "measured"), 900, True),
    "the same": ((800, "measured"), (800, "stated"), 800, False),
    "measured, then taken for granted": ((800, "measured"), (900, "assumed"), 800, False),
    "measured, then not known": ((800, "measured"), (None, "unknown"), 800, False),
    "taken for granted, then measured": ((800, "assumed"), (900, "measured"), 900, False),
    "measured, then stated": ((800, "measured"), (900, "stated"), 800, True),
    "not known twice": ((None, "unknown"), (None, "unknown"), None, False),
}


@pytest.mark.parametrize("kept_first", [True, False])
@pytest.mark.parametrize("case", FACTS)
def test_two_facts_about_one_thing(case: str, kept_first: bool) -> None:
    """The stronger stands, among equals the newer; two that were looked at and differ are marked."""
    first, second, stands, clash = FACTS[case]
    things = [
        received(tag, mass_g=value, known_by={"mass_g": known})
        for tag, (value, known) in zip(("0042", "0043"), (first, second), strict=True)
    ]
    kept, other = things if kept_first else reversed(things)
    merge(by(lead()), kept, other, WHY)
    found = translate.in_force(kept)["mass_g"]
    rows = Observation.objects.filter(object=kept, key="mass_g", superseded_by__isnull=True)
    assert (found.value, sum(row.clash for row in rows)) == (stands, 2 * clash)
    if clash:
        observe(by(lead()), kept, "mass_g", 850, "measured", found)
        assert not Observation.objects.filter(clash=True).exists()
    assert differences() == []


def test_rows_of_the_list_are_counted_again() -> None:
    """Two rows on one thing; a row that both claimed is one thing again."""
    kept, other = received("0042"), received("0043")
    one, two = row_of_list(2), row_of_list(3)
    claim_row(by(), kept, one)
    claim_row(by(), other, two)
    merge(by(lead()), kept, other, WHY)
    assert {row.state for row in ListRow.objects.all()} == {"several_rows_one_thing"}
    third, fourth, both = received("0044"), received("0045"), row_of_list(4)
    for thing in (third, fourth):
        claim_row(by(), thing, both)
    assert ListRow.objects.get(row=4).state == "one_row_several_things"
    merge(by(lead()), third, fourth, WHY)
    assert ListRow.objects.get(row=4).state == "found"
    assert differences() == []


def test_what_cannot_be_merged() -> None:
    """Across incidents, with itself, merged already, without a reason; nothing changes."""
    kept, other = received("0042"), received("0043")
    far = an_object("0001", incident=incident("ORNL2"))
    for thing, reason, why in (
        (far, WHY, "another incident"),
        (kept, WHY, "same object"),
        (other, " ", "say why"),
    ):
        with pytest.raises(Refused, match=why):
            merge(by(lead()), kept, thing, reason)
    merge(by(lead()), kept, other, WHY)
    with pytest.raises(Refused, match="was merged"):
        merge(by(lead()), kept, other, WHY)
    with pytest.raises(Refused, match="was merged"):
        merge(by(lead()), other, kept, WHY)


@pytest.mark.parametrize("stopped_is_kept", [True, False])
def test_a_stop_is_not_lost_in_a_merge(stopped_is_kept: bool) -> None:
    """Stopped and not stopped are not one thing until the stop was released."""
    stopped, chest = barometer(), received("0042")
    for thing in (stopped, chest):
        plan(by(), thing)
    kept, other = (stopped, chest) if stopped_is_kept else (chest, stopped)
    with pytest.raises(Refused, match=r"0013 is stopped \(mercury\) and 0042 is not"):
        merge(by(lead()), kept, other, WHY)
    release_hazard(by(lead()), stopped, "mercury", "licensed remover", "Taken out and packed.")
    merge(by(lead()), kept, other, WHY)
    assert other.merged_into == kept


def test_two_under_the_same_stop_are_one_under_it() -> None:
    """The kept one is stopped as before."""
    kept, other = barometer("0013"), barometer("0014")
    for thing in (kept, other):
        plan(by(), thing)
    merge(by(lead()), kept, other, "one barometer")
    assert open_stops(kept, plan(by(), kept)) == ["mercury"]


def test_lots_and_owners_are_not_mixed() -> None:
    """A lot's tag is no one thing; members of different lots, things of different owners are two."""
    lots = [make_lot(by(), received(tag), 2) for tag in ("0001", "0002")]
    one, two, three = (received(tag) for tag in ("0011", "0012", "0013"))
    for lot, thing in zip(lots, (one, two), strict=True):
        fill_lot(by(), lot, [thing])
        thing.refresh_from_db()
    for other, why in ((Object.objects.get(tag="0001"), "0001 is the tag of a lot"), (two, "different lots")):
        with pytest.raises(Refused, match=why):
            merge(by(lead()), one, other, WHY)
    Object.objects.filter(pk=one.pk).update(owner=owner())
    Object.objects.filter(pk=two.pk).update(owner=Party.objects.create(name="lender B"), lot=None)
    with pytest.raises(Refused, match="different owners"):
        merge(by(lead()), one, two, WHY)
    merge(by(lead()), three, one, WHY)
    three.refresh_from_db()
    assert (three.owner, three.lot) == (owner(), lots[0])


def compass() -> Object:
    """A compass under glass in a box, joined all through, weighed together."""
    return received("0042", title="Compass in box", parts=BOX, joins=HELD, mass_g=900, height_mm=120,
                    known_by={"mass_g": "measured", "height_mm": "stated"})  # fmt: skip


def test_some_of_the_parts_go_on_under_another_tag() -> None:
    """With the joins between them and what was seen of them; the join to what stays is no more."""
    thing = compass()
    part = thing.parts.get(key="p3")
    seen = Observation.objects.create(
        object=thing, part=part, key="look", value="dull", known_by="seen", at=NOW
    )
    made = split(by(person("conservator")), thing, "0060", ["p3", "p2"], " Compass ", "lay in the box")
    found, rest = translate.facts_at(made, NOW), translate.facts_at(thing, NOW)
    assert [one.id for one in found.parts] == ["p2", "p3"]
    assert ([one.id for one in found.joins], [one.id for one in rest.parts], rest.joins) == (
        ["j1"],
        ["p1"],
        (),
    )
    assert (made.tag, made.title, made.materials, made.kept[ORIGIN]) == (
        "0060",
        "Compass",
        "brass, glass",
        "0042",
    )
    assert (found.water, thing.title) == (rest.water, "Compass in box")
    seen.refresh_from_db()
    assert (seen.object, seen.part) == (made, part)
    for one in (made, thing):
        assert plan(by(), one).result["steps"]


def test_the_log_keeps_the_join_that_is_no_more() -> None:
    """What it was stands before, a mark after; the fold knows that it is gone."""
    thing = compass()
    gone = Join.objects.get(key="j2")
    split(by(lead()), thing, "0060", ["p2", "p3"], "Compass", "lay in the box")
    act = Act.objects.get(kind="split")
    table = Join._meta.db_table
    assert act.after[table][str(gone.uid)] == GONE
    assert act.before[table][str(gone.uid)]["kind"] == "riveted"
    assert not Join.objects.filter(key="j2").exists()


def test_what_was_measured_of_the_whole_is_known_of_neither() -> None:
    """Sizes and masses are unknown on both sides; what was measured is superseded, not lost."""
    thing = compass()
    made = split(by(lead()), thing, "0060", ["p2", "p3"], "Compass", "lay in the box")
    for one in (thing, made):
        found = translate.facts_at(one, NOW)
        assert (found.mass_g, found.height_mm) == (None, None)
    assert translate.in_force(thing)["mass_g"].supersedes is not None
    assert Observation.objects.filter(object=thing, key="mass_g", value=900).exists()


def test_the_history_of_the_old_tag_stays() -> None:
    """Plans, fragments, released stops stay; rows and rulings are of both; the stop stands again."""
    thing = barometer("0013")
    old = plan(by(), thing)
    release_hazard(by(lead()), thing, "mercury", "licensed remover", "Taken out and packed.")
    fragment = came_off(by(), incident(), "a splinter", thing)
    claim_row(by(), thing, row_of_list(2))
    override(by(lead()), "act.lift.all", {"how": "Two people."}, "the stair is wet", thing)
    made = split(by(lead()), thing, "0060", ["p2"], "Tube", "was wrapped beside it")
    fragment.refresh_from_db()
    assert (newest(thing), fragment.object, newest(made)) == (old, thing, None)
    assert ListRow.objects.get().state == "one_row_several_things"
    assert any("the stair is wet" in mark for mark in plan(by(), made).result["overrides"])
    assert open_stops(made, newest(made)) == ["mercury"]
    assert differences() == []


@pytest.mark.parametrize(
    ("tag", "parts", "title", "reason", "why"),
    [
        ("0060", [], "Box", WHY, "at least one goes"),
        ("0060", ["p1", "p2", "p3"], "Box", WHY, "at least one stays"),
        ("0060", ["p9"], "Box", WHY, "no part p9; it has p1, p2, p3"),
        ("0060", ["p1"], " ", WHY, "say what"),
        ("0060", ["p1"], "Box", "", "say what"),
        ("0042", ["p1"], "Box", WHY, "never used twice"),
        ("60", ["p1"], "Box", WHY, "no tag"),
    ],
)
def test_what_cannot_be_split(tag: str, parts: list[str], title: str, reason: str, why: str) -> None:
    """Nothing of it is kept."""
    thing = compass()
    with pytest.raises(Refused, match=why):
        split(by(lead()), thing, tag, parts, title, reason)
    assert (Object.objects.count(), thing.parts.count(), thing.joins.count()) == (1, 3, 2)


def test_a_lots_tag_is_not_split_by_parts() -> None:
    """Things are taken out of it instead."""
    thing = compass()
    make_lot(by(), thing, 2)
    with pytest.raises(Refused, match="take things out of the lot instead"):
        split(by(lead()), thing, "0060", ["p1"], "Box", WHY)


def test_the_moment_is_the_clocks(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a split claims is claimed at the moment the services have."""
    thing = compass()
    later: datetime = clock.now() + timedelta(hours=2)
    monkeypatch.setattr("strandline.services.copies.now", lambda: later)
    made = split(by(lead()), thing, "0060", ["p1"], "Box", WHY)
    assert (made.received_at, Tag.objects.get(text="0060").claimed_at) == (later, later)
