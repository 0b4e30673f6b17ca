"""The first pages, the order and search: what they say, to whom, with how many questions to the record."""

from __future__ import annotations

from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from strandline.records.models.objects import Fragment, Object, Tag, Tray, TrayCount
from strandline.records.models.people import Party
from strandline.records.models.sites import Place
from strandline.records.rounds import Status
from strandline.services.looks.work_rows import half_day
from strandline.services.plan import plan
from strandline.services.print_paper import print_paper
from strandline.services.ranking import ranking
from strandline.services.take_in_hand import take_in_hand
from strandline.things.tags import qr_text
from tests.records.cast import NOW, helper, incident
from tests.services.doing import by, received
from tests.web.cast import signed_in
from tests.web.work_cast import address, planned, salty_pot, stopped, the_plan

pytestmark = pytest.mark.django_db

ROLES: tuple[str, ...] = ("lead", "conservator", "helper", "viewer")
PAGES: dict[str, tuple[str, ...]] = {
    "": ROLES,
    "order/": ROLES,
    "find/": ROLES,
    "referrals/": ("lead", "conservator"),
    "papers/": ("lead", "conservator", "helper"),
}


def told(client: Client, where: str, **query: str) -> dict[str, Any]:
    """The data of a page, which are its JSON as well."""
    answer = client.get(address(where), query)
    assert answer.status_code == 200
    twin = client.get(address(where).rstrip("/") + ".json", query)
    data: dict[str, Any] = answer.context["look"]
    for key in data.keys() - {"ranked_at"}:
        assert (key, twin.json()[key]) == (key, _as_json(data[key]))
    return data


def _as_json(value: Any) -> Any:
    return [_as_json(one) for one in value] if isinstance(value, list | tuple) else value


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("page", PAGES)
def test_a_page_is_for_those_it_is_for(client: Client, page: str, role: str) -> None:
    """Page and JSON alike, and none of an incident that is not there."""
    salty_pot("0001")
    signed_in(client, role)
    wanted = 200 if role in PAGES[page] else 403
    assert client.get(address(page)).status_code == wanted
    assert client.get(address(page).rstrip("/") + ".json").status_code == wanted
    if wanted == 200:
        assert client.get(f"/NOPE9/{page}").status_code == 404


@pytest.mark.parametrize("role", ROLES)
def test_the_first_page_of_all_names_the_incidents(client: Client, role: str) -> None:
    """Starting one is offered to the lead alone."""
    incident()
    signed_in(client, role)
    page = client.get("/")
    assert "High water" in page.content.decode()
    assert ("Start an incident" in page.content.decode()) == (role == "lead")
    assert client.get("/home.json").json() == page.context["look"]


def test_a_helper_sees_the_next_things_and_no_hours(client: Client) -> None:
    """Five that nobody has in hand and that are a helper's; nothing of what is stopped, no hour, no loss."""
    for n in range(7):
        planned(f"{n + 1:04d}", significance=1 + n % 5, wet_since=NOW)
    stopped()
    taken = Object.objects.get(tag="0005")
    take_in_hand(by(), taken, taken.next_step)
    signed_in(client, "helper")
    data = told(client, "")
    assert len(data["next"]) == 5
    assert {row["tag"] for row in data["next"]}.isdisjoint({"0005", "0013"})
    assert data["counts"]["objects"] == 8
    assert data["counts"]["stopped"] == 1
    assert all("hours_left" not in row for row in data["next"])
    page = client.get(address("")).content.decode()
    assert "Photograph it where it lies" in page
    assert "h left" not in page
    assert "overdue" not in page


def test_the_lead_sees_what_waits(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """Referrals, void papers, searches, and the backup of the server; a helper sees none of it."""
    pot = salty_pot("0001")
    paper = print_paper(by(), the_plan(pot), "care_card")
    type(paper).objects.filter(pk=paper.pk).update(void_at=NOW)
    tray = Tray.objects.create(incident=incident(), name="A1")
    TrayCount.objects.create(tray=tray, expected=3, counted=2, missing=["0001"], by=helper(), at=NOW)

    class Rounds:
        status = Status(last_ok_at=NOW, last_error="the disk is full")

    monkeypatch.setattr(settings, "ROUNDS", Rounds(), raising=False)
    signed_in(client, "lead")
    data = told(client, "")
    assert [one["tag"] for one in data["waiting"]] == ["0001"]
    assert [(one["tag"], one["kind"]) for one in data["void"]] == [("0001", "care_card")]
    assert [(one["tray"], one["expected"], one["counted"]) for one in data["searches"]] == [("A1", 3, 2)]
    assert data["backup"] == {"last_ok_at": NOW.isoformat(), "last_error": "the disk is full"}
    assert (data["counts"]["void_papers"], data["counts"]["searches"]) == (1, 1)
    assert "the disk is full" in client.get(address("")).content.decode()
    signed_in(client, "helper")
    data = told(client, "")
    assert (data["waiting"], data["void"], data["searches"], data["backup"]) == ([], [], [], None)


def test_rooms_that_are_not_released_stand_first(client: Client) -> None:
    """With what is missing of each."""
    Place.objects.create(incident=incident(), kind="room", name="net loft")
    signed_in(client, "helper")
    assert told(client, "")["rooms"] == [
        {"room": "net loft", "missing": ["structure", "electricity", "gas", "contamination"]}
    ]


def test_the_order_says_what_why_whose_and_by_when(client: Client) -> None:
    """The lead reads hours, helpers half-days; what loses most stands first."""
    planned("0001", "oak", significance=1, wet_since=NOW, out_since=NOW)
    planned("0002", "iron", "metal", significance=5, wet_since=NOW, out_since=NOW)
    stopped()
    received("0044")
    signed_in(client, "lead")
    data = told(client, "order/")
    assert [row["tag"] for row in data["rows"]] == ["0002", "0001"]
    assert [(one["key"], one["things"]) for one in data["groups"]] == [
        ("ordered", 2), ("stopped", 1), ("at_rest", 0), ("unplanned", 1),
    ]  # fmt: skip
    first = data["rows"][0]
    assert first["whose"] == "helper"
    assert first["step"].startswith("Photograph")
    assert "rated 5 of 5" in first["why"]
    assert isinstance(first["hours_left"], float)
    assert [row["tag"] for row in told(client, "order/", group="stopped")["rows"]] == ["0013"]
    assert [row["why"] for row in told(client, "order/", group="unplanned")["rows"]] == ["No plan yet."]
    signed_in(client, "helper")
    row = told(client, "order/")["rows"][0]
    assert "hours_left" not in row
    assert row["by"]
    assert " h " not in row["why"]


def test_nobody_is_told_that_an_hour_has_gone_by() -> None:
    """What should have begun is to be begun now."""
    thing = planned("0001", wet_since=NOW.replace(hour=1), out_since=NOW.replace(hour=1))
    held = ranking.of(thing.incident, NOW).ordered[0]
    assert half_day(held, NOW.replace(day=25), "UTC") == "now"


def test_the_order_can_be_narrowed(client: Client) -> None:
    """By whose step it is, place, owner, zone; by what nobody knows nothing is left out."""
    planned("0001")
    there = Place.objects.create(incident=incident(), kind="room", name="long room")
    other = Party.objects.create(name="Lender B")
    Object.objects.filter(pk=planned("0002", "iron", "metal").pk).update(place=there, owner=other)
    plan(by(), Object.objects.get(tag="0002"))
    signed_in(client, "helper")
    both = {"0001", "0002"}
    zones = [the_plan(Object.objects.get(tag=tag)).result["zone"] for tag in ("0001", "0002")]
    assert zones[0] != zones[1]
    assert {one["key"] for one in told(client, "order/")["choices"]["zone"]} > set(zones)
    assert {row["tag"] for row in told(client, "order/", mine="yes")["rows"]} == both
    assert {row["tag"] for row in told(client, "order/", role="conservator")["rows"]} == set()
    assert {row["tag"] for row in told(client, "order/", place=str(there.pk))["rows"]} == {"0002"}
    assert {row["tag"] for row in told(client, "order/", owner=str(other.pk))["rows"]} == {"0002"}
    by_zone = [{row["tag"] for row in told(client, "order/", zone=zone)["rows"]} for zone in zones]
    assert by_zone == [{"0001"}, {"0002"}]
    assert {row["tag"] for row in told(client, "order/", role="captain", place="loft")["rows"]} == both
    page = client.get(address("order/")).content.decode()
    assert "Lender B" in page
    assert "by the door" not in page


@pytest.mark.parametrize("page", ["", "order/", "find/?q=thing", "referrals/", "papers/"])
def test_more_things_need_no_more_questions(
    client: Client, page: str, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    """At 5 things and at 60; fifty stand on a page."""
    signed_in(client, "lead")
    counted: list[int] = []
    for n in range(60):
        one = salty_pot(f"{n + 1:04d}")
        Object.objects.filter(pk=one.pk).update(sought=f"{one.tag} thing")
        if n in {4, 59}:
            client.get(address(page))
            with django_assert_max_num_queries(20) as asked:
                assert client.get(address(page)).status_code == 200
            counted.append(len(asked.captured_queries))
    assert counted[1] <= counted[0]


def test_fifty_a_page(client: Client) -> None:
    """And the rest on the next; a page too far is the last one."""
    for n in range(52):
        received(f"{n + 1:04d}", title=f"Float {n}")
    signed_in(client, "viewer")
    first = told(client, "find/", q="float")
    assert (len(first["rows"]), first["pages"]["last"]) == (50, 2)
    assert first["pages"]["after"] == "?q=float&page=2"
    assert [row["tag"] for row in told(client, "find/", q="float", page="9")["rows"]] == ["0051", "0052"]
    assert len(told(client, "order/", group="unplanned", page="2")["rows"]) == 2


def test_search_finds_by_words_without_accents_and_by_tag_first(client: Client) -> None:
    """All words must occur, in any order; a tag stands before what merely holds its digits."""
    received("0042", title="Sea chest", materials="oak, rope beckets")
    received("0043", title="Jug, transfer-printed, No. 0042", materials="façade ware")
    received("0420", title="Cork floats")
    signed_in(client, "helper")
    found = {q: [row["tag"] for row in told(client, "find/", q=q)["rows"]] for q in SEARCHES}
    assert found == SEARCHES


SEARCHES: dict[str, list[str]] = {
    "": [],
    "oak CHEST": ["0042"],
    "chest cork": [],
    "facade": ["0043"],
    "FAÇADE": ["0043"],
    "0042": ["0042", "0043"],
    "042": ["0420", "0042", "0043"],
    "042 chest": ["0042"],
    "0420": ["0420"],
    "%": [],
    "_": [],
    "'; drop table": [],
}


def test_search_reads_codes_old_tags_and_fragments(client: Client) -> None:
    """A code of another incident, or one misread, is told in a sentence."""
    one, other = received("0042", title="Sea chest"), received("0050", title="Lid")
    Object.objects.filter(pk=other.pk).update(merged_into=one)
    Fragment.objects.create(incident=incident(), object=one, tag="0042-a", says="a hinge", found_at=NOW)
    Fragment.objects.create(incident=incident(), tag="0044-a", says="blue sherd", found_at=NOW)
    signed_in(client, "helper")
    assert [row["tag"] for row in told(client, "find/", q=qr_text("ORNL1", "0042"))["rows"]] == ["0042"]
    old = told(client, "find/", q="0050")["rows"]
    assert [(row["tag"], row["once"]) for row in old] == [("0042", "0050")]
    assert told(client, "find/", q=qr_text("ORNL2", "0042"))["note"] == "This code is one of incident ORNL2."
    assert "cannot be read" in told(client, "find/", q="SL1:ORNL1:0042:?")["note"]
    found = told(client, "find/", q="0042-a")["fragments"]
    assert [(row["tag"], row["of"]) for row in found] == [("0042-a", "0042")]
    assert [row["tag"] for row in told(client, "find/", q="sherd")["fragments"]] == ["0044-a"]
    assert Tag.objects.filter(text="0050").exists()


def test_what_is_typed_is_shown_as_text(client: Client) -> None:
    """And not as part of the page."""
    signed_in(client, "helper")
    page = client.get(address("find/"), {"q": "<script>x</script>"}).content.decode()
    assert "<script>x" not in page
    assert "&lt;script&gt;x" in page
