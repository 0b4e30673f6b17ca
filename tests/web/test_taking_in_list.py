"""The list: sent, shown, taken in once; held against the tables, with sums that agree to the thing."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from strandline.exchange.lists import OpenedList, open_list
from strandline.records.models.objects import ListRow, Object, RowClaim
from strandline.records.models.plans import PlanSnapshot
from strandline.services.claim_row import claim_row
from strandline.services.looks import taking_in_upload
from strandline.services.looks.taking_in_reality import GROUPS, Reality, matched
from strandline.services.plan import plan
from strandline.things.listing import RawRow
from strandline.web import taking_in_list
from tests.records.cast import an_object, incident, owner
from tests.services.doing import by, received
from tests.web.cast import form, signed_in
from tests.web.taking_in_cast import CSV, LIST, LIST_IN, a_row, demo_list, flooded, upload, workbook

pytestmark = pytest.mark.django_db


def shown(client: Client, data: bytes = CSV, name: str = "our list.csv") -> str:
    """A list sent; the address that shows what was understood."""
    answer = client.post(LIST_IN, {**form("send_list"), "file": upload(name, data)})
    assert answer.status_code == 302, answer.content.decode()
    return answer.headers["Location"]


def told(client: Client, address: str) -> dict[str, Any]:
    """The JSON of a page."""
    path, _, query = address.partition("?")
    found: dict[str, Any] = client.get(f"{path.rstrip('/')}.json?{query}").json()
    return found


@pytest.mark.parametrize(
    ("role", "list_in", "found"),
    [("lead", 200, 200), ("conservator", 200, 200), ("helper", 200, 200), ("viewer", 403, 200)],
)
def test_who_sees_what(client: Client, role: str, list_in: int, found: int) -> None:
    """Hands take a list in, everybody sees how it stands; only the lead is offered to receive the rest."""
    a_row()
    signed_in(client, role)
    assert (client.get(LIST_IN).status_code, client.get(LIST).status_code) == (list_in, found)
    assert (told(client, LIST)["rest"] is not None) == (role == "lead")
    assert ("receive_rest" in client.get(LIST).content.decode()) == (role == "lead")


@pytest.mark.parametrize(("name", "data"), [("list.csv", CSV), ("list.xlsx", workbook()), ("odd.bin", CSV)])
def test_a_list_is_understood_before_it_is_in(client: Client, name: str, data: bytes) -> None:
    """Judged by content; columns, rows, problems with row, column, value and reason; nothing is in yet."""
    flooded()
    signed_in(client, "helper")
    address = shown(client, data, name)
    page, found = client.get(address).content.decode(), told(client, address)["read"]
    assert found["rows"] == 3
    assert {"header": "Made of", "column": "materials"} in found["columns"]
    bad = [one for one in found["problems"] if one["column"] == "under_water_h"]
    assert [(one["row"], one["value"]) for one in bad] == [(4, "a while")]
    assert bad[0]["reason"].split(";")[0] in page.replace("&#x27;", "'")
    assert not ListRow.objects.exists()


def test_its_rows_come_in_once(client: Client) -> None:
    """Without sending the file again; twice under one key is once, under another key is refused."""
    flooded()
    signed_in(client, "helper")
    sha256 = shown(client).partition("list=")[2]
    fields = form("take_rows_in", list=sha256)
    for _ in range(2):
        assert client.post(LIST_IN, fields).headers["Location"] == LIST
    assert ListRow.objects.count() == 3
    assert ListRow.objects.get(row=4).cells["under_water_h"] == "a while"
    answer = client.post(LIST_IN, form("take_rows_in", list=sha256))
    assert answer.status_code == 409
    assert "this list is in already, 3 rows" in answer.content.decode()
    assert told(client, f"{LIST_IN}?list={sha256}")["read"]["taken_in"] == 3


def test_a_viewer_brings_no_list(client: Client) -> None:
    """Neither sends nor takes in nor claims."""
    a_row()
    signed_in(client, "viewer")
    assert client.post(LIST_IN, {**form("send_list"), "file": upload("a.csv", CSV)}).status_code == 403
    assert client.post(LIST_IN, form("take_rows_in", list="0" * 64)).status_code == 403
    assert client.post(LIST, form("claim_row", tag="0001", row=str(a_row(3).uid))).status_code == 403


@pytest.mark.parametrize("role", ["conservator", "helper", "viewer"])
def test_only_the_lead_receives_the_rest(client: Client, role: str) -> None:
    """Refused to all others."""
    a_row()
    signed_in(client, role)
    fields = form("receive_rest", list="0" * 64, first="2", last="2")
    assert client.post(LIST, fields).status_code == 403
    assert not Object.objects.exists()


def the_five(client: Client) -> None:
    """One of each group, and one thing that nobody listed."""
    rows = [a_row(n, title=f"thing {n}", owner="lender A" if n < 5 else "Lender B") for n in range(2, 8)]
    a_row(8, owner="n/k", under_water_h="3", place="store")
    things = [an_object(f"{n:04d}", owner=owner() if n == 9 else None) for n in (1, 2, 3, 4, 9)]
    claim_row(by(), things[0], rows[0])
    claim_row(by(), things[1], rows[1])
    claim_row(by(), things[2], rows[1])
    claim_row(by(), things[3], rows[2])
    claim_row(by(), things[3], rows[3])
    signed_in(client, "helper")


def test_the_five_groups(client: Client) -> None:
    """Each match in its group; what is not seen says where it was last known and whether under water."""
    the_five(client)
    found = told(client, LIST)
    assert {one["key"]: one["count"] for one in found["groups"]} == {
        "not_seen": 3, "found": 1, "unlisted": 1, "one_row": 1, "several_rows": 1,
    }  # fmt: skip
    last = found["lines"][-1]["rows"][0]
    assert (last["place"], last["water_line"]) == ("store", "under")
    page = client.get(LIST).content.decode()
    assert "under the water line" in page
    for group in GROUPS:
        lines = told(client, f"{LIST}?show={group}")
        assert lines["show"] == group
        assert lines["count"] == len(lines["lines"]) > 0
        assert client.get(f"{LIST}?show={group}").status_code == 200


def test_sums_per_owner_agree_to_the_thing(client: Client) -> None:
    """Counted = on list - missing + beyond, for each and for all; what nobody named stands as such."""
    the_five(client)
    found = told(client, LIST)
    by_owner = {one["owner"]: one for one in found["sums"]}
    assert by_owner["lender A"] == {"owner": "lender A", "listed": 3, "counted": 4, "missing": 0, "beyond": 1}
    assert by_owner["Lender B"] == {"owner": "Lender B", "listed": 3, "counted": 0, "missing": 3, "beyond": 0}
    assert by_owner[""]["listed"] == by_owner[""]["missing"] == 1
    assert found["all"] == {"owner": "", "listed": 7, "counted": 5, "missing": 4, "beyond": 2}
    assert found["all"]["counted"] == Object.objects.count()
    one = told(client, f"{LIST}?owner=LENDER+b")
    assert one["count"] == 2
    assert {line["rows"][0]["owner"] for line in one["lines"]} == {"Lender B"}


@given(st.data())
def test_sums_agree_whatever_was_claimed(data: st.DataObject) -> None:
    """Any rows, things, owners and claims: each row and thing stands once, and every line adds up."""
    rows = data.draw(st.lists(st.integers(1, 12), unique=True))
    things = data.draw(st.lists(st.integers(1, 12), unique=True))
    some = st.tuples(st.sampled_from(rows or [0]), st.sampled_from(things or [0]))
    claims = data.draw(st.lists(some, max_size=12)) if rows and things else []
    whose = st.sampled_from(["", "a", "b"])
    found = Reality(
        matched(rows, things, claims),
        {row: data.draw(whose) for row in rows},
        {thing: data.draw(whose) for thing in things},
        {"a": "A", "b": "B", "": ""},
    )
    assert sorted(row for one in found.matches for row in one.rows) == sorted(rows)
    assert sorted(thing for one in found.matches for thing in one.things) == sorted(things)
    *lines, total = found.sums()
    for line in (*lines, total):
        assert line.counted == line.listed - line.missing + line.beyond
    assert (total.listed, total.counted) == (len(rows), len(things))
    for owner_ in ("", "a", "b"):
        listed = sum(line.listed for line in lines if line.owner == found.names[owner_])
        assert listed == sum(one == owner_ for one in found.row_owner.values())


def test_a_row_is_claimed_by_tag(client: Client) -> None:
    """From the list, once; a second claim of the same is refused with its sentence."""
    flooded()
    row = a_row()
    thing = received("0042")
    signed_in(client, "helper")
    fields = form("claim_row", tag="42", row=str(row.uid), show="not_seen")
    for _ in range(2):
        assert client.post(LIST, fields).headers["Location"] == f"{LIST}?show=not_seen"
    assert RowClaim.objects.get().object == thing
    answer = client.post(LIST, form("claim_row", tag="42", row=str(row.uid)))
    assert answer.status_code == 409
    assert "already claimed" in answer.content.decode()


def test_what_a_thing_could_be(client: Client) -> None:
    """Rows that read like it, for one thing at a time, with a button each."""
    row = a_row()
    received("0042", title="Sea chest")
    signed_in(client, "helper")
    found = told(client, f"{LIST}?show=unlisted&for=0042")["for"]
    assert [one["uid"] for one in found["rows"]] == [str(row.uid)]
    assert f'value="{row.uid}"' in client.get(f"{LIST}?show=unlisted&for=0042").content.decode()
    assert told(client, f"{LIST}?for=0404")["for"] is None


def test_the_lead_receives_what_nobody_has_seen(client: Client) -> None:
    """A batch at a time, a plan each; the same form again makes no more; what is nameless stays a row."""
    flooded()
    for n in range(2, 6):
        a_row(n, title=f"Chest {n}", owner="lender A")
    ListRow.objects.create(incident=incident(), list_sha256="0" * 64, row=6, cells={"place": "store"})
    signed_in(client, "lead")
    rest = told(client, LIST)["rest"]
    assert rest == {"list": "0" * 64, "first": 2, "last": 5, "batch": 4, "left": 4, "nameless": 1, "done": 0,
                    "total": 5}  # fmt: skip
    fields = form("receive_rest", list=rest["list"], first=rest["first"], last=rest["last"])
    for _ in range(2):
        assert client.post(LIST, fields).headers["Location"] == LIST
    assert Object.objects.filter(plan__isnull=False).count() == 4
    assert ListRow.objects.filter(state="found").count() == 4
    after = told(client, LIST)
    assert after["rest"] is None
    assert after["all"]["counted"] == 4


@pytest.mark.parametrize("breaks_at", [1, 2, 3])
def test_what_broke_off_is_received_when_it_is_sent_again(
    client: Client, monkeypatch: pytest.MonkeyPatch, breaks_at: int
) -> None:
    """Each is planned as it comes in; sent again, none is without a plan, and the page tells how many."""
    flooded()
    for n in range(2, 5):
        a_row(n, title=f"Chest {n}", owner="lender A")
    signed_in(client, "lead")
    calls: list[int] = []

    def broken(*args: Any) -> PlanSnapshot:
        calls.append(1)
        if len(calls) == breaks_at:
            raise RuntimeError("cut")
        return plan(*args)

    monkeypatch.setattr(taking_in_list, "plan", broken)
    fields = form("receive_rest", list="0" * 64, first="2", last="4")
    with pytest.raises(RuntimeError, match="cut"):
        client.post(LIST, fields)
    assert Object.objects.count() == breaks_at
    assert Object.objects.filter(plan=None).count() == 1
    for _ in range(2):
        assert "3 received, with a plan each." in client.post(LIST, fields, follow=True).content.decode()
    assert Object.objects.filter(plan__isnull=False).count() == Object.objects.count() == 3
    assert PlanSnapshot.objects.count() == 3
    other = client.post(LIST, {**fields, "key": form("")["key"]}, follow=True)
    assert "No row of these was left to receive." in other.content.decode()
    assert Object.objects.count() == 3


def test_what_stands_above_the_header_is_for_the_lead_and_the_conservator(client: Client) -> None:
    """Names and numbers may stand there: others are told how many lines there are."""
    flooded()
    lines = b"Typed by lender A, telephone 100 200;;\nSecond copy;;\n"
    signed_in(client, "helper")
    address = shown(client, lines + CSV)
    for role, above in (
        ("helper", []),
        ("conservator", ["Typed by lender A, telephone 100 200", "Second copy"]),
        ("lead", ["Typed by lender A, telephone 100 200", "Second copy"]),
    ):
        signed_in(client, role)
        found = told(client, address)["read"]
        assert (found["above"], found["above_lines"]) == (above, 2)
        page = client.get(address).content.decode()
        assert ("100 200" in page) == bool(above)
        assert ("2 lines stood above the header." in page) != bool(above)


def test_of_a_list_that_is_too_long_no_more_is_read_than_may_be(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One row over the most is drawn and no other; many times as many lines are not even opened."""
    flooded()
    signed_in(client, "helper")
    drawn: list[int] = []

    def counting(path: Path) -> OpenedList:
        found = open_list(path)

        def rows() -> Iterator[RawRow]:
            for row in found.rows:
                drawn.append(row.row)
                yield row

        return replace(found, rows=rows())

    monkeypatch.setattr(taking_in_upload, "open_list", counting)
    monkeypatch.setattr(taking_in_upload, "MOST_ROWS", 10)
    header = b"Object;Made of;Owner\n"
    for rows, blank, read in ((10, 5, 10), (11, 0, 11), (40, 0, 11), (60, 0, 0), (1, 60, 0)):
        drawn.clear()
        data = header + b"Bell;bronze;lender A\n" * rows + b";;\n" * blank
        answer = client.post(LIST_IN, {**form("send_list"), "file": upload("l.csv", data)})
        assert answer.status_code == (302 if rows == 10 else 422)
        assert len(drawn) == read
        if rows != 10:
            assert "l.csv: more than 10 rows, blank ones counted; split it" in answer.content.decode()


def test_only_so_many_are_received_in_one_request(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """The page says how many are left, with a bar and a button to go on."""
    flooded()
    for module in ("services.looks.taking_in_list", "web.taking_in_list"):
        monkeypatch.setattr(f"strandline.{module}.A_BATCH", 2)
    for n in range(2, 7):
        a_row(n)
    signed_in(client, "lead")
    left = []
    while rest := told(client, LIST)["rest"]:
        left.append((rest["batch"], rest["left"]))
        client.post(LIST, form("receive_rest", list=rest["list"], first=rest["first"], last=rest["last"]))
        assert "<progress" in client.get(LIST).content.decode() or rest["left"] == rest["batch"]
    assert left == [(2, 5), (2, 3), (1, 1)]


def test_few_queries_for_a_long_list(client: Client, django_assert_max_num_queries: Any) -> None:
    """As many for sixty rows and things as for five, in every group."""
    signed_in(client, "lead")
    a_row(1)
    client.get(LIST)
    for count in (5, 60):
        for n in range(count):
            if not ListRow.objects.filter(row=n + 2).exists():
                a_row(n + 2)
                thing = an_object(f"{n + 1:04d}")
                RowClaim.objects.create(list_row=a_row(n + 1000), object=thing, claimed_at=thing.received_at)
                an_object(f"{n + 2001:04d}")
        for group in GROUPS:
            with django_assert_max_num_queries(18):
                assert told(client, f"{LIST}?show={group}&for=2001")["show"] == group


def test_a_long_group_is_paged(client: Client) -> None:
    """Fifty a page; a page beyond the last is the last."""
    signed_in(client, "helper")
    for n in range(2, 62):
        a_row(n)
    assert [len(told(client, f"{LIST}?page={n}")["lines"]) for n in (1, 2, 9)] == [50, 10, 10]
    assert "page 2 of 2" in client.get(f"{LIST}?page=2").content.decode()


def test_the_list_of_the_demo(client: Client) -> None:
    """140 rows, typed by several people: understood, taken in, none lost."""
    flooded()
    signed_in(client, "helper")
    address = shown(client, demo_list(), "list.csv")
    found = told(client, address)["read"]
    assert found["rows"] == 140
    assert found["problems_in_all"] == len(found["problems"]) > 0
    client.post(LIST_IN, form("take_rows_in", list=found["list"]))
    assert told(client, LIST)["all"]["listed"] == ListRow.objects.count() == 140
