"""Lists brought in, read as facts, received row by row, and suggested for what lies on the table."""

import hashlib
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import strandline
from strandline.exchange.json_rows import read_json
from strandline.exchange.lists import open_list
from strandline.knowledge.base import shipped
from strandline.pipeline.objects import Site, facts_from_row
from strandline.records import translate
from strandline.records.models.acts import Act, Refusal
from strandline.records.models.objects import ListRow, Object, Tag, TagRange
from strandline.records.models.people import Device, Party
from strandline.services import receive_rows as receiving
from strandline.services.acting import Caller, KeyTaken, NotAllowed, Refused
from strandline.services.add_party import add_party
from strandline.services.claim_row import claim_row
from strandline.services.fold import differences
from strandline.services.import_list import columns_kept, facts_of_row, import_list, raw_of
from strandline.services.observe import observe
from strandline.services.plan import plan
from strandline.services.receive import receive
from strandline.services.receive_rows import receive_rows
from strandline.services.suggestions import suggest
from strandline.things.listing import RawRow
from tests.records.cast import NOW, device, incident, lead, person
from tests.services.doing import by, received

pytestmark = pytest.mark.django_db
HASH = hashlib.sha256(b"a list").hexdigest()
DEMO = Path(strandline.__file__).parent / "demo_data" / "list.csv"


def raw(row: int, title: str, tag: str = "", **cells: str) -> RawRow:
    """A row of a list."""
    return RawRow(row, {"tag": tag, "title": title, **cells})


LOFT = (
    raw(2, "Sea chest", "0042", materials="oak, iron", owner="lender A", mass_g="24.5"),
    raw(3, "Ship's compass", "7", materials="brass, glass", owner=" Lender  a ", water="brackish"),
    raw(4, "Bait pot", "", materials="low-fired clay", owner="museum"),
    raw(5, "Figurehead", "0042", materials="pine, old paint, gilding"),
    raw(6, "Harpoon", "H/3", materials="iron in ash"),
    RawRow(7, {"tag": "", "title": "", "mass_g": "5"}, {"drawer": "3"}),
)


def listed(rows: Any = LOFT, sha256: str = HASH) -> list[ListRow]:
    """Those rows, brought in."""
    return import_list(by(), incident(), rows, sha256)


@pytest.mark.parametrize("role", ["lead", "conservator", "helper", "viewer"])
def test_who_may_bring_a_list_in_and_receive_it(role: str) -> None:
    """Everybody with hands; a viewer is refused, and no row comes in."""
    who = person(role)
    if role == "viewer":
        with pytest.raises(NotAllowed, match="viewer"):
            import_list(by(who), incident(), LOFT, HASH)
        assert not ListRow.objects.exists()
        with pytest.raises(NotAllowed, match="viewer"):
            receive_rows(by(who), incident(), listed(), True)
        assert not Object.objects.exists()
    else:
        rows = import_list(by(who), incident(), LOFT, HASH)
        assert len(receive_rows(by(who), incident(), rows, True)) == 5
    assert differences() == []


def test_a_list_comes_in_as_typed_in_one_act() -> None:
    """Cells and unknown columns to the letter; the log has count, hash, and each row's number and state."""
    rows = listed()
    assert [raw_of(row) for row in rows] == list(LOFT)
    assert (rows[5].kept, {row.state for row in rows}) == ({"drawer": "3"}, {"not_seen"})
    act = Act.objects.get()
    assert act.payload == {"incident": str(incident().uid), "sha256": HASH, "count": 6}
    log = json.dumps([act.payload, act.before, act.after])
    for said in ("lender", "museum", "chest", "drawer"):
        assert said not in log
    assert len(act.after[ListRow._meta.db_table]) == 6
    assert differences() == []


def test_the_same_list_comes_in_once() -> None:
    """The same act again gives the same rows; another one is refused; another incident may have it too."""
    who = by()
    rows = import_list(who, incident(), iter(LOFT), HASH)
    assert import_list(who, incident(), iter(LOFT), HASH) == rows
    with pytest.raises(Refused, match="this list is in already, 6 rows"):
        listed()
    with pytest.raises(KeyTaken):
        import_list(who, incident(), LOFT[:2], HASH)
    with pytest.raises(KeyTaken):
        observe(who, received(), "pieces", 3, "seen", None)
    assert len(import_list(by(), incident("ORNL2"), LOFT, HASH)) == 6
    assert Act.objects.filter(kind="import_list").count() == 2


@pytest.mark.parametrize(
    ("rows", "sha256", "why"),
    [
        ((), HASH, "no rows"),
        (LOFT, "abc", "SHA-256"),
        (LOFT, HASH.upper(), "SHA-256"),
        ((*LOFT, raw(4, "Bell")), HASH, "row 4 of the list stands twice"),
        ((RawRow(2, {"title": "Bell"}, {"strandline:units": "x"}),), HASH, "cannot be called"),
    ],
)
def test_a_list_that_cannot_come_in(rows: Any, sha256: str, why: str) -> None:
    """Each with its sentence; no row is kept."""
    with pytest.raises(Refused, match=why):
        listed(rows, sha256)
    assert not ListRow.objects.exists()
    assert why in Refusal.objects.get().reason


def test_units_parts_and_joins_come_back() -> None:
    """What of a row is neither a cell nor an unknown column is not lost, and is no column either."""
    told = {
        "schema": "strandline.list/1",
        "objects": [
            {
                "title": "Harpoon", "drawer": "3", "joins": [{"kind": "socketed", "parts": ["a", "b"]}],
                "parts": [
                    {"id": "a", "material": "iron", "thickness_mm": 12.5, "features": ["painted"]},
                    {"id": "b", "material": "ash"},
                ],
            }
        ],
    }  # fmt: skip
    stated = list(read_json(json.dumps(told).encode(), "list.json").rows)
    heavy = replace(raw(2, "Bell", mass_g="3"), units={"mass_g": "kg"})
    rows = listed((*stated, heavy))
    assert [raw_of(row) for row in rows] == [*stated, heavy]
    assert columns_kept(rows[0]) == stated[0].kept
    facts, _ = facts_of_row(rows[1], "0001", incident(), NOW)
    assert facts is not None
    assert (facts.mass_g, facts.kept) == (3000.0, {})


def test_a_row_is_read_with_what_the_incident_says() -> None:
    """As the commands read it; where the row is silent the incident speaks."""
    flood = incident()
    flood.water, flood.wet_since, flood.zone, flood.air_c = ["brackish", "sewage"], NOW, "Europe/London", 11.0
    rows = listed()
    site = Site(NOW, "Europe/London", NOW, None, ("brackish", "sewage"), 11.0)
    for row, given in zip(rows, LOFT, strict=True):
        assert facts_of_row(row, "0001", flood, NOW) == facts_from_row(given, "0001", site, shipped())
    compass, _ = facts_of_row(rows[1], "0002", flood, NOW)
    pot, _ = facts_of_row(rows[2], "0003", flood, NOW)
    assert compass is not None
    assert pot is not None
    assert (compass.water, pot.water, pot.hours_wet) == (("brackish",), ("brackish", "sewage"), 0.0)
    nothing, problems = facts_of_row(rows[5], "0004", flood, NOW)
    assert nothing is None
    assert "not taken" in problems[0].reason


def test_rows_become_objects_under_tags_that_can_be_claimed() -> None:
    """Its own tag, four digits wide; for one in use, a double, none or an odd one the next above all."""
    received("0007")
    rows = listed()
    things = receive_rows(by(), incident(), rows, True)
    assert [thing.tag for thing in things] == ["0042", "0043", "0044", "0045", "0046"]
    assert [thing.kept.get("tag") for thing in things] == [None, "7", None, "0042", "H/3"]
    assert [row.state for row in ListRow.objects.order_by("row")] == ["found"] * 5 + ["not_seen"]
    assert [claim.object for row in rows for claim in row.claims.all()] == things
    assert translate.facts_at(things[0], NOW).mass_g == 24.5
    assert differences() == []


def test_owners_named_by_rows_are_parties() -> None:
    """One party however the name is typed, found where there is one; nobody's name in the log."""
    known = add_party(by(), incident(), "Museum", "owner")
    things = receive_rows(by(), incident(), listed(), True)
    owners = [thing.owner for thing in things]
    assert owners[0] == owners[1] != owners[2] == known
    assert owners[3:] == [None, None]
    assert Party.objects.count() == 2
    log = json.dumps([[act.payload, act.before, act.after] for act in Act.objects.all()]).casefold()
    assert "lender a" not in log
    assert "museum" not in log


def test_an_insurer_named_as_owner_becomes_one_too() -> None:
    """The same party in one more role; a lender is an owner already."""
    insurer = add_party(by(), incident(), "lender A", "insurer")
    lender = add_party(by(), incident(), "museum", "lender")
    things = receive_rows(by(), incident(), listed(LOFT[:3]), True)
    assert [thing.owner for thing in things] == [insurer, insurer, lender]
    assert sorted(insurer.roles.values_list("role", flat=True)) == ["insurer", "owner"]
    assert list(lender.roles.values_list("role", flat=True)) == ["lender"]


def test_what_broke_off_is_sent_again_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same key goes on where it stopped, also between receiving and claiming; nothing is done twice."""
    rows, who = listed(), by()

    def breaks(caller: Caller, thing: Object, row: ListRow) -> None:
        if row.row == 4:
            raise ConnectionError("the line went")
        claim_row(caller, thing, row)

    monkeypatch.setattr(receiving, "claim_row", breaks)
    with pytest.raises(ConnectionError):
        receive_rows(who, incident(), rows, True)
    assert Object.objects.count() == 3
    monkeypatch.undo()
    things = receive_rows(who, incident(), rows, True)
    count = Act.objects.count()
    assert receive_rows(who, incident(), rows, True) == things
    assert (len(things), Object.objects.count(), Act.objects.count()) == (5, 5, count)
    with pytest.raises(KeyTaken):
        receive_rows(Caller(lead(), who.key, NOW), incident(), rows, True)
    assert differences() == []


def test_rows_that_are_not_received() -> None:
    """Of another incident, claimed already, or with a tag that cannot be claimed where none is allotted."""
    rows = listed()
    with pytest.raises(Refused, match="another incident"):
        receive_rows(by(), incident("ORNL2"), rows, True)
    claim_row(by(), received("0001"), rows[3])
    with pytest.raises(Refused, match="row 5 is claimed"):
        receive_rows(by(), incident(), rows, True)
    assert Object.objects.count() == 1
    assert len(receive_rows(by(), incident(), rows[:2], False)) == 2
    with pytest.raises(Refused, match="row 4: '' is no tag"):
        receive_rows(by(), incident(), rows[2:3], False)
    assert differences() == []


def test_tags_set_aside_for_another_device_are_left_alone() -> None:
    """A row that states one gets another, above the range."""
    assert device().name == "intake phone"
    other = Device.objects.create(name="second table", first_seen_at=NOW)
    TagRange.objects.create(incident=incident(), first=40, last=60, device=other, reserved_at=NOW)
    things = receive_rows(by(), incident(), listed(LOFT[:1]), True)
    assert (things[0].tag, things[0].kept["tag"]) == ("0061", "0042")


def test_a_tag_somebody_was_quicker_with(monkeypatch: pytest.MonkeyPatch) -> None:
    """Between the look and the act: the next one is taken."""
    rows = listed(LOFT[2:3])
    taken: list[str] = []

    def slower(caller: Caller, where: Any, facts: Any, owner: Any) -> Object:
        if not taken:
            taken.append(received(facts.tag).tag)
        return receive(caller, where, facts, owner)

    monkeypatch.setattr(receiving, "receive", slower)
    things = receive_rows(by(), incident(), rows, True)
    assert (taken, things[0].tag) == (["0001"], "0002")


def test_the_whole_demo_list_becomes_objects() -> None:
    """Every row that names something; tags once; log and tables agree."""
    opened = open_list(DEMO, None)
    rows = import_list(by(), incident(), opened.rows, opened.head.sha256)
    things = receive_rows(by(), incident(), rows, True)
    named = [row for row in rows if facts_of_row(row, "0000", incident(), NOW)[0] is not None]
    assert len(things) == len(named) > 130
    assert Tag.objects.count() == len({thing.tag for thing in things}) == len(things)
    assert differences() == []


def test_a_thing_is_suggested_the_row_it_could_be() -> None:
    """Whatever the order of its words, capitals and accents; rows seen already are no longer offered."""
    rows = listed()
    found = suggest(incident(), "CHEST, séa", "iron / oak")
    assert found[0][0] == rows[0]
    assert found[0][1] >= 90
    assert all(0 <= score <= 100 for _, score in found)
    assert [score for _, score in found] == sorted((score for _, score in found), reverse=True)
    assert [row for row, _ in suggest(incident(), "figurehed", "")][:1] == [rows[3]]
    assert [row for row, _ in suggest(incident(), "", "brass and glass")][:1] == [rows[1]]
    claim_row(by(), received("0001"), rows[0])
    assert rows[0] not in [row for row, _ in suggest(incident(), "sea chest", "oak, iron")]
    assert suggest(incident(), "", "") == []
    assert suggest(incident("ORNL2"), "sea chest", "oak") == []
    assert len(suggest(incident(), "bait pot", "clay", 1)) == 1
    assert suggest(incident(), "xylophone", "") == []


def test_the_nearer_of_two_comes_first() -> None:
    """More of the words, not only some of them."""
    rows = listed((raw(2, "Chest"), raw(3, "Sea chest"), raw(4, "Chest of drawers")))
    assert [row for row, _ in suggest(incident(), "sea chest", "", 2)] == [rows[1], rows[0]]


@pytest.mark.parametrize("text", ["??", "n/k", "Unknown", "-", " ? "])
def test_an_owner_nobody_knows_is_no_party(text: str) -> None:
    """A question mark on a list is not somebody."""
    rows = import_list(by(lead()), incident(), [RawRow(1, {"title": "Oar", "owner": text})], "b" * 64)
    thing = receive_rows(by(), incident(), rows, True)[0]
    assert thing.owner is None
    assert not Party.objects.exists()


def test_commas_of_a_list_hide_no_word() -> None:
    """The chest is found under its first two words."""
    rows = [
        RawRow(1, {"title": "Jug, transfer printed, Success to the Nets"}),
        RawRow(2, {"title": "sea chest, oak, rope beckets, iron bands, painted lid"}),
        RawRow(3, {"title": "Sea boots, pair"}),
    ]
    import_list(by(lead()), incident(), rows, "d" * 64)
    assert suggest(incident(), "sea chest", "")[0][0].row == 2
    assert suggest(incident(), "jug", "")[0][0].row == 1


def test_what_an_unknown_column_says_stays_out_of_log_and_plan() -> None:
    """Telephone numbers and values of a list are kept with the object, where they can be taken out."""
    raw = RawRow(1, {"title": "Oar", "materials": "ash"}, kept={"Owner phone": "0700 900 111"})
    rows = import_list(by(lead()), incident(), [raw], "e" * 64)
    thing = receive_rows(by(), incident(), rows, True)[0]
    made = plan(by(), thing)
    assert thing.kept["Owner phone"] == "0700 900 111"
    told = [[act.payload, act.before, act.after] for act in Act.objects.all()]
    assert "0700" not in json.dumps([*told, made.facts, made.result])
    assert differences() == []
