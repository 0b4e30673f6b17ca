"""Lots, trays, fragments, the scribe, tags joined and parted, photographs: pages and forms."""

import uuid
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.conf import LazySettings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image
from pytest_django import DjangoAssertNumQueries

from strandline.records.models.acts import Act
from strandline.records.models.facts import Photo
from strandline.records.models.objects import Batch, Fragment, Object, Tray, TrayCount
from strandline.records.models.people import Person
from strandline.records.models.plans import PlanSnapshot, StepEnd
from strandline.services import scribe
from strandline.services.end_tray_step import Ended, end_each
from strandline.services.plan import plan
from strandline.web import together
from tests.services.doing import barometer, by, received
from tests.web.cast import form, signed_in

NOBODY = "00000000-0000-4000-8000-000000000000"

pytestmark = pytest.mark.django_db


def planned(tag: str, **more: Any) -> Object:
    """A chest with a plan."""
    found = received(tag, **more)
    plan(by(), found)
    return found


def picture(shade: int = 60) -> bytes:
    """A small photograph."""
    out = BytesIO()
    Image.new("RGB", (640, 480), (shade, 90, 90)).save(out, "JPEG")
    return out.getvalue()


def test_alike_things_go_on_a_tray_and_through_it(client: Client) -> None:
    """One press makes the tray, one says done for all but one, and the same form twice does it once."""
    for tag in ("0042", "0043", "0044"):
        planned(tag)
    who = signed_in(client, "helper")
    data = client.get("/ORNL1/trays.json").json()
    assert data["alike"][0]["tags"] == ["0042", "0043", "0044"]
    sent = form("make_tray", name="Tray 1", tags="0042 0043, 0044")
    for _ in range(2):
        client.post("/ORNL1/trays/", sent)
    tray = Tray.objects.get()
    page = f"/ORNL1/trays/{tray.uid}/"
    step = client.get(page.rstrip("/") + ".json").json()["step"]["key"]
    ended = form("end_tray_step", step=step, end="done")
    ended |= {"except": ["0043"], "because-0043": "no_time"}
    for _ in range(2):
        assert client.post(page, ended).status_code == 302
    rows = {row.object.tag: (row.end, row.because) for row in StepEnd.objects.select_related("object")}
    assert rows == {"0042": ("done", ""), "0043": ("not_done", "no_time"), "0044": ("done", "")}
    assert Act.objects.filter(kind="end_step", person=who).count() == 3


def test_a_stopped_thing_goes_on_no_tray(client: Client) -> None:
    """The sentence says why, and the tags typed are still there."""
    plan(by(), barometer("0013"))
    signed_in(client, "helper")
    answer = client.post("/ORNL1/trays/", form("make_tray", name="Tray 1", tags="0013"))
    assert answer.status_code == 409
    assert "0013 is stopped" in answer.content.decode()
    assert "Tray 1" in answer.content.decode()


def test_a_short_count_is_a_search_until_it_is_settled(client: Client) -> None:
    """The page of trays shows it; settling takes it away."""
    for tag in ("0042", "0043"):
        planned(tag)
    signed_in(client, "helper")
    client.post("/ORNL1/trays/", form("make_tray", name="Tray 1", tags="0042 0043"))
    page = f"/ORNL1/trays/{Tray.objects.get().uid}/"
    client.post(page, form("count_tray", counted="1", missing="0043"))
    found = client.get("/ORNL1/trays.json").json()["searches"][0]
    assert (found["short"], found["missing"]) == (1, ["0043"])
    assert client.get("/ORNL1.json").json()["counts"]["searches"] == 1
    client.post("/ORNL1/trays/", form("settle_count", count=found["uid"], note="Under the towel."))
    assert client.get("/ORNL1/trays.json").json()["searches"] == []
    assert TrayCount.objects.get().settled_at is not None
    client.post(page, form("put_on_tray", tags="0042"))
    client.post(page, form("take_off_tray", tags="0042"))
    assert Object.objects.get(tag="0042").tray is None


def test_the_scribe_writes_for_several_people(client: Client) -> None:
    """Each act is that of the person who did it; the sheet sent twice is recorded once."""
    for tag in ("0042", "0043"):
        planned(tag)
    lead = signed_in(client, "lead")
    who = signed_in(client, "helper")
    rows = {
        "who-0": str(who.uid), "tags-0": "0042", "end-0": "done", "because-0": "no_time", "note-0": "",
        "who-1": str(lead.uid), "tags-1": "0043", "end-1": "not_done", "because-1": "no_water", "note-1": "",
    }  # fmt: skip
    sent = form("record_for", **rows)
    for _ in range(2):
        assert client.post("/ORNL1/scribe/", sent).status_code == 302
    found = {(row.by, row.object.tag, row.end) for row in StepEnd.objects.select_related("by", "object")}
    assert found == {(who, "0042", "done"), (lead, "0043", "not_done")}


def sheet(helper: Person, lead: Person) -> dict[str, object]:
    """A sheet of the scribe about two chests, one row for each of two people."""
    rows = {
        "who-0": str(helper.uid), "tags-0": "0042", "end-0": "done", "because-0": "no_time", "note-0": "",
        "who-1": str(lead.uid), "tags-1": "0043", "end-1": "not_done", "because-1": "no_water", "note-1": "",
    }  # fmt: skip
    return form("record_for", **rows)


@pytest.mark.parametrize("whole", [0, 1])
def test_a_sheet_that_broke_off_is_recorded_when_it_is_sent_again(
    client: Client, monkeypatch: pytest.MonkeyPatch, whole: int
) -> None:
    """Before its first row or after it: sent again, every row is there once, of the step it was about."""
    firsts = {tag: planned(tag).next_step for tag in ("0042", "0043")}
    lead = signed_in(client, "lead")
    sent = sheet(signed_in(client, "helper"), lead)
    calls: list[int] = []

    def broken(*args: Any, **more: Any) -> Ended:
        calls.append(1)
        if len(calls) > whole:
            raise RuntimeError("cut")
        return end_each(*args, **more)

    monkeypatch.setattr(scribe, "end_each", broken)
    with pytest.raises(RuntimeError, match="cut"):
        client.post("/ORNL1/scribe/", sent)
    assert StepEnd.objects.count() == whole
    monkeypatch.setattr(scribe, "end_each", end_each)
    for _ in range(2):
        page = client.post("/ORNL1/scribe/", sent, follow=True).content.decode()
        assert "2 recorded." in page
    found = {(row.object.tag, row.step, row.end) for row in StepEnd.objects.select_related("object")}
    assert found == {("0042", firsts["0042"], "done"), ("0043", firsts["0043"], "not_done")}
    assert StepEnd.objects.count() == 2


def test_another_sheet_under_the_same_key_is_refused(client: Client) -> None:
    """It is not told as recorded, and nothing of it is."""
    for tag in ("0042", "0043", "0044"):
        planned(tag)
    lead = signed_in(client, "lead")
    sent = sheet(signed_in(client, "helper"), lead)
    client.post("/ORNL1/scribe/", sent)
    for other in ({"tags-1": "0044"}, {"end-1": "done"}, {"tags-0": "0042 0044"}):
        answer = client.post("/ORNL1/scribe/", {**sent, **other})
        assert answer.status_code == 409
        assert "already stands for another act" in answer.content.decode()
    assert set(StepEnd.objects.values_list("object__tag", flat=True)) == {"0042", "0043"}


def break_second(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of the plans that a form makes the second breaks, once."""
    calls: list[int] = []

    def broken(*args: Any) -> PlanSnapshot:
        calls.append(1)
        if len(calls) == 2:
            raise RuntimeError("cut")
        return plan(*args)

    monkeypatch.setattr(together, "plan", broken)


@pytest.mark.parametrize(
    ("page", "do", "fields"),
    [
        ("lots/", "split_lot", {"tag": "0022", "tags": "0050 0051 0052", "counted_left": "1"}),
        (
            "tags/",
            "split",
            {
                "tag": "0056",
                "new_tag": "0058",
                "parts": ["p2"],
                "title": "bands",
                "reason": "They lay apart.",
            },
        ),
    ],
)
def test_plans_that_broke_off_are_made_when_the_form_is_sent_again(
    client: Client, monkeypatch: pytest.MonkeyPatch, page: str, do: str, fields: dict[str, Any]
) -> None:
    """All of them, each once, and the things are parted once."""
    planned("0022")
    planned("0056")
    signed_in(client, "lead")
    client.post("/ORNL1/lots/", form("make_lot", tag="0022", counted="4", name="ink jars"))
    before = set(Act.objects.values_list("key", flat=True))
    break_second(monkeypatch)
    sent = form(do, **fields)
    with pytest.raises(RuntimeError, match="cut"):
        client.post(f"/ORNL1/{page}", sent)
    assert Object.objects.filter(plan=None).exists()
    for _ in range(2):
        assert client.post(f"/ORNL1/{page}", sent).status_code == 302
    assert not Object.objects.filter(plan=None).exists()
    acts = Act.objects.exclude(key__in=before)
    assert acts.filter(kind=do).count() == 1
    assert acts.filter(kind="plan").count() == {"split_lot": 3, "split": 2}[do]


def test_history_and_the_thing_say_who_wrote_for_whom(client: Client) -> None:
    """Beside the one who did it stands who wrote it down; who wrote for themselves stands there once."""
    for tag in ("0042", "0043"):
        planned(tag)
    lead = signed_in(client, "lead")
    who = signed_in(client, "helper")
    rows = {"who-0": str(lead.uid), "tags-0": "0042", "end-0": "done",
            "who-1": str(who.uid), "tags-1": "0043", "end-1": "done"}  # fmt: skip
    assert client.post("/ORNL1/scribe/", form("record_for", **rows)).status_code == 302
    for tag, doer, written in (("0042", lead.name, who.name), ("0043", who.name, "")):
        at = f"/ORNL1/things/{tag}"
        act = client.get(f"{at}/history.json").json()["acts"][0]
        assert (act["kind"], act["by"], act["written_by"]) == ("end_step", doer, written)
        (ended,) = client.get(f"{at}.json").json()["ended"]
        assert (ended["by"], ended["written_by"]) == (doer, written)
        for page in (f"{at}/history/", f"{at}/"):
            told = client.get(page).content.decode()
            assert (f"written by {who.name}" in told) == bool(written)


def test_strays_find_their_objects(client: Client) -> None:
    """A fragment of an object has its letters, a stray a tag of its own and then its object."""
    planned("0042")
    signed_in(client, "helper")
    page = "/ORNL1/fragments/"
    client.post(page, form("open_batch", kind="rinse_water", name="Basin 1"))
    batch = Batch.objects.get()
    client.post(page, form("came_off", title="a hand", tag="0042"))
    client.post(page, form("came_off", title="a pin", batch=str(batch.uid)))
    stray = Fragment.objects.get(object__isnull=True)
    assert sorted(Fragment.objects.values_list("tag", flat=True)) == ["0042-a", "0043"]
    client.post(page, form("find_parent", fragment=str(stray.uid), tag="0042"))
    assert client.get("/ORNL1/fragments.json").json()["strays"] == []
    client.post(page, form("close_batch", batch=str(batch.uid)))
    assert client.post(page, form("close_batch", batch=str(batch.uid))).status_code == 409


def test_a_lot_is_counted_and_taken_apart(client: Client) -> None:
    """Counts agree to the unit, or nothing is done."""
    planned("0022")
    signed_in(client, "helper")
    client.post("/ORNL1/lots/", form("make_lot", tag="0022", counted="3", name="ink jars"))
    wrong = client.post("/ORNL1/lots/", form("split_lot", tag="0022", tags="0050", counted_left="1"))
    assert wrong.status_code == 409
    client.post("/ORNL1/lots/", form("split_lot", tag="0022", tags="0050", counted_left="2"))
    assert Object.objects.get(tag="0050").plan is not None
    assert client.get("/ORNL1/lots.json").json()["lots"][0]["counted"] == 2


def test_tags_are_joined_and_parted(client: Client) -> None:
    """The old tag leads to the thing that stays; parts that leave have a tag and plan of their own."""
    for tag in ("0056", "0057"):
        planned(tag)
    signed_in(client, "conservator")
    page = "/ORNL1/tags/"
    client.post(page, form("merge", kept="0056", other="0057", reason="The lid fits the box."))
    assert client.get("/ORNL1/tags.json").json()["joined"] == [
        {"tag": "0057", "title": "Sea chest", "into": "0056"}
    ]
    assert client.get("/ORNL1/tags.json?tag=0056").json()["parts"][1]["key"] == "p2"
    sent = form(
        "split", tag="0056", new_tag="0058", parts=["p2"], title="iron bands", reason="They lay apart."
    )
    assert client.post(page, sent).status_code == 302
    made = Object.objects.get(tag="0058")
    assert made.plan is not None
    assert [one.material for one in made.parts.all()] == ["iron"]


def test_a_photograph_is_kept_and_shown(client: Client, settings: LazySettings, tmp_path: Path) -> None:
    """The bytes as they came, a smaller picture on the page; the same file twice is one photograph."""
    settings.PRACTICE_FOLDER = tmp_path
    planned("0042")
    signed_in(client, "helper")
    sent = form("photograph", is_of="as it came in")
    for key in (sent["key"], str(uuid.uuid4())):
        file = SimpleUploadedFile("IMG 1.jpg", picture(), "image/jpeg")
        client.post("/ORNL1/things/0042/", {**sent, "key": key, "photo": file})
    row = Photo.objects.get()
    shown = client.get(f"/ORNL1/photos/{row.uid}/320/")
    assert (shown.status_code, shown.headers["Content-Type"]) == (200, "image/jpeg")
    assert Image.open(BytesIO(b"".join(shown.streaming_content))).size == (320, 240)  # type: ignore[attr-defined]  # a FileResponse
    assert client.get(f"/ORNL1/photos/{row.uid}/500/").status_code == 404
    bad = SimpleUploadedFile("IMG 2.jpg", b"<svg/>", "image/jpeg")
    good = SimpleUploadedFile("IMG 3.jpg", picture(90), "image/jpeg")
    answer = client.post("/ORNL1/things/0042/", form("photograph", photo=[good, bad]))
    assert answer.status_code == 422
    assert "IMG 2.jpg" in answer.content.decode()
    assert Photo.objects.count() == 1


@pytest.mark.parametrize(
    ("page", "do", "fields", "status", "sentence"),
    [
        ("trays/", "make_tray", {"name": ""}, 422, "a name is needed"),
        ("trays/", "make_tray", {"name": "T", "tags": "9999"}, 422, "no object of this incident has the tag"),
        ("trays/", "make_tray", {"name": "T", "place": "nowhere"}, 422, "one of those offered"),
        ("fragments/", "came_off", {"title": "a pin", "batch": NOBODY}, 404, "no such batch"),
        ("lots/", "make_lot", {"tag": "0042", "counted": "one"}, 422, "a number from 2"),
        ("lots/", "make_lot", {"tag": "0042", "counted": "2.5"}, 422, "whole number"),
        ("fragments/", "came_off", {"title": ""}, 422, "what it is is needed"),
        ("fragments/", "open_batch", {"kind": "soup", "name": "x"}, 422, "one of"),
        ("fragments/", "find_parent", {"fragment": NOBODY, "tag": "0042"}, 404, "no such fragment"),
        ("scribe/", "record_for", {}, 422, "one tag at least"),
        ("tags/", "merge", {"kept": "0042", "other": "0042", "reason": "the same"}, 409, "0042"),
        ("tags/", "merge", {"kept": "0042", "other": "0077", "reason": "the same"}, 422, "0077"),
    ],
)
def test_forms_that_cannot_be_used(
    client: Client, page: str, do: str, fields: dict[str, str], status: int, sentence: str
) -> None:
    """A sentence on the page, and nothing is done."""
    planned("0042")
    signed_in(client, "lead")
    before = Act.objects.count()
    answer = client.post(f"/ORNL1/{page}", form(do, **fields))
    assert answer.status_code == status
    assert sentence in answer.content.decode()
    assert Act.objects.count() == before


@pytest.mark.parametrize("count", [3, 30])
def test_lists_ask_little(
    client: Client, count: int, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    """The same few questions to the database however many things there are."""
    for number in range(count):
        planned(f"{number + 100:04d}")
    signed_in(client, "helper")
    client.post("/ORNL1/trays/", form("make_tray", name="Tray 1", tags="0100 0101"))
    tray = Tray.objects.get()
    for page in ("trays/", f"trays/{tray.uid}/", "fragments/", "lots/", "scribe/"):
        with django_assert_max_num_queries(14):
            assert client.get(f"/ORNL1/{page}").status_code == 200
