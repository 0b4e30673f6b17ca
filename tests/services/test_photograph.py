"""Photographs get their rows: after the file, once, of things and places of the incident only."""

import uuid
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from django.db import IntegrityError

from strandline.records.models.acts import Act, Refusal
from strandline.records.models.facts import Photo
from strandline.records.models.sites import Place
from strandline.records.photos import Kept, keep, original
from strandline.services.acting import Caller, KeyTaken, NotAllowed, Refused
from strandline.services.changes import Changes, shown, table
from strandline.services.fold import fold
from strandline.services.photograph import orphans, photograph, photographs, photos_folder
from tests.records.cast import NOW, an_object, incident, lead, person
from tests.records.test_photos import jpeg, png
from tests.services.doing import by, received

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _own_folder(settings: Any, tmp_path: Path) -> None:
    """A practice folder of its own for each test."""
    settings.PRACTICE_FOLDER = tmp_path


def kept(data: bytes = b"") -> Kept:
    """A photograph that lies on the disk."""
    return keep(photos_folder(), data or jpeg(), NOW)


def spot(name: str = "quay door", code: str = "ORNL1") -> Place:
    """A place of an incident."""
    return Place.objects.get_or_create(
        incident=incident(code), inside=None, name=name, defaults={"kind": "spot"}
    )[0]


def agrees() -> None:
    """What the log says of photographs is what the table holds."""
    logged = fold(Act.objects.order_by("id")).get(table(Photo), {})
    assert logged == {str(row.uid): shown(row) for row in Photo.objects.all()}


def test_the_row_says_what_lies_there() -> None:
    """Hash, size, path, type and time as they were found; the act says by whom and of what."""
    thing, file = received(), kept()
    row = photograph(by(lead()), incident(), file, thing, spot(), " the lid, from above ")
    found = {name: getattr(row, name) for name in ("sha256", "size_bytes", "path", "media_type", "taken_at")}
    assert found == {name: getattr(file, name) for name in found}
    assert (row.object, row.place, row.by) == (thing, spot(), lead())
    assert (photos_folder().parent / row.path) == original(photos_folder(), row.sha256)
    act = Act.objects.get(kind="photograph")
    assert (act.object, act.payload["is_of"]) == (thing, "the lid, from above")
    assert thing.revision == 2
    agrees()


@pytest.mark.parametrize("role", ["lead", "conservator", "helper"])
def test_everybody_with_hands_takes_photographs(role: str) -> None:
    """Also of a place, and of the incident as a whole."""
    assert photograph(by(person(role)), incident(), kept(), place=spot()).place == spot()
    assert photograph(by(person(role)), incident(), kept(png())).place is None


def test_a_viewer_takes_none() -> None:
    """It is kept that they asked."""
    with pytest.raises(NotAllowed, match="a viewer may not"):
        photograph(by(person("viewer")), incident(), kept())
    assert not Photo.objects.exists()
    assert Refusal.objects.get().kind == "photograph"


def test_the_same_bytes_for_the_same_object_are_one_photograph() -> None:
    """Another key, another person, other words: the row there is; both acts are in the log."""
    thing = received()
    first = photograph(by(), incident(), kept(), thing, is_of="the lid")
    second = photograph(by(lead()), incident(), kept(), thing, is_of="the lid, wet")
    assert first == second
    assert Photo.objects.get().by == by().person
    words = [act.payload["is_of"] for act in Act.objects.filter(kind="photograph").order_by("id")]
    assert words == ["the lid", "the lid, wet"]
    agrees()


def test_the_same_bytes_for_two_objects_are_two_rows_of_one_file() -> None:
    """A photograph of two things is a photograph of each, and of the incident besides."""
    file = kept()
    rows = [photograph(by(), incident(), file, thing) for thing in (received("0001"), received("0002"), None)]
    assert len({row.pk for row in rows}) == 3
    assert len({row.path for row in rows}) == 1
    assert orphans(rehash=True).agrees


def test_sent_twice_with_one_key_it_is_done_once() -> None:
    """One act, one row; the key with another content is an error."""
    thing, key = received(), uuid.uuid4()
    rows = [photograph(by(key=key), incident(), kept(), thing, is_of="the lid") for _ in range(2)]
    assert rows[0] == rows[1]
    assert Act.objects.filter(kind="photograph").count() == 1
    for file, words in ((kept(png()), "the lid"), (kept(), "the foot")):
        with pytest.raises(KeyTaken):
            photograph(by(key=key), incident(), file, thing, is_of=words)
    assert Photo.objects.count() == 1


def test_where_it_was_taken_may_come_later_but_does_not_change() -> None:
    """A row without a place takes the first one; a second one is refused by name."""
    thing = received()
    photograph(by(), incident(), kept(), thing)
    assert photograph(by(), incident(), kept(), thing, spot()).place == spot()
    with pytest.raises(Refused, match="already, as one of quay door"):
        photograph(by(), incident(), kept(), thing, spot("long room"))
    assert Photo.objects.get().place == spot()
    agrees()


def _elsewhere(caller: Caller) -> None:
    photograph(caller, incident(), kept(), an_object("0001", incident=incident("ORNL2")))


def _far_place(caller: Caller) -> None:
    photograph(caller, incident(), kept(), place=spot("mill", "ORNL2"))


def _no_file(caller: Caller) -> None:
    photograph(caller, incident(), replace(kept(), path="photos/originals/00/none.jpg"))


def _no_hash(caller: Caller) -> None:
    photograph(caller, incident(), replace(kept(), sha256="A" * 64))


def _no_picture(caller: Caller) -> None:
    photograph(caller, incident(), replace(kept(), media_type="text/html"))


def _many_words(caller: Caller) -> None:
    photograph(caller, incident(), kept(), is_of="x" * 201)


@pytest.mark.parametrize(
    ("ask", "why"),
    [
        (_elsewhere, "0001 is an object of another incident"),
        (_far_place, "mill is a place of another incident"),
        (_no_file, "is not there; send it again"),
        (_no_hash, "not a photograph that was kept"),
        (_no_picture, "not a photograph that was kept"),
        (_many_words, "at most 200 characters"),
    ],
)
def test_what_is_refused(ask: Any, why: str) -> None:
    """In one sentence that is kept; there is no row and no act."""
    with pytest.raises(Refused, match=why):
        ask(by())
    assert why in Refusal.objects.get().reason
    assert not Photo.objects.exists()
    assert not Act.objects.filter(kind="photograph").exists()


def test_of_a_merged_object_no_photograph_is_taken() -> None:
    """It belongs to the one it was merged into."""
    one, two = received("0001"), received("0002")
    type(one).objects.filter(pk=one.pk).update(merged_into=two)
    with pytest.raises(Refused, match="0001 was merged"):
        photograph(by(), incident(), kept(), one)


def test_the_newest_comes_first() -> None:
    """By the camera's clock where it is known, else by when it came."""
    thing = received()
    early = photograph(by(), incident(), kept(jpeg(taken="2026:03:15 06:00:00")), thing)
    late = photograph(by(), incident(), kept(jpeg(taken="2026:03:15 07:00:00")), thing)
    unknown = photograph(by(), incident(), kept(png()), thing)
    assert photographs(thing) == [unknown, late, early]


def test_a_program_that_stops_between_file_and_row_leaves_a_file_the_sweep_lists(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """No row without a file; sent again it gets its row."""
    file = kept()

    def stopped(*_: object, **__: object) -> None:
        raise IntegrityError("stopped")

    with monkeypatch.context() as broken:
        broken.setattr(Changes, "create", stopped)
        with pytest.raises(IntegrityError):
            photograph(by(), incident(), file)
    assert orphans().files_without_row == (file.path.removeprefix("photos/"),)
    photograph(by(), incident(), file)
    assert orphans(rehash=True).agrees


def test_a_row_whose_file_is_gone_is_listed() -> None:
    """By its hash."""
    row = photograph(by(), incident(), kept())
    original(photos_folder(), row.sha256).unlink()
    assert orphans().rows_without_file == (row.sha256,)
