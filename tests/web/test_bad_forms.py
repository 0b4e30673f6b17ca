"""Forms and files that cannot be used: each comes back with status and sentence, and nothing is made."""

from __future__ import annotations

import gzip
import io
import json
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from PIL import Image

from strandline.records.models.acts import Act
from strandline.records.models.objects import ListRow, Object
from strandline.records.models.sites import Place
from strandline.services.looks import taking_in_upload
from tests.records.cast import an_object
from tests.web.cast import form, signed_in
from tests.web.taking_in_cast import (
    CSV,
    LIST,
    LIST_IN,
    TAKE_IN,
    WALK,
    a_room,
    a_row,
    bomb,
    flooded,
    intake,
    jpeg,
    upload,
)

pytestmark = pytest.mark.django_db
Fields = dict[str, Any]

SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>'
HTML = b"<!doctype html><html><body><script>1</script></body></html>"
NOWHERE = str(uuid.UUID(int=7))
TAKEN = "/ORNL1/things/0042/taken/"


def _of_many_pixels() -> bytes:
    stream = io.BytesIO()
    Image.new("1", (9000, 9000)).save(stream, "PNG")
    return stream.getvalue()


def _photo(name: str, data: bytes) -> Callable[[], Fields]:
    return lambda: intake(title="long bench", photo=upload(name, data, "image/jpeg"))


PHOTOGRAPHS: tuple[tuple[str, Callable[[], Fields], str], ...] = (
    ("a web page named jpg", _photo("photo.jpg", HTML), "this is a web page, not a photograph"),
    ("a drawing", _photo("photo.jpg", SVG), "this is an SVG drawing, not a photograph"),
    ("an XML drawing", _photo("a.svg", b'<?xml version="1.0"?>' + SVG), "an SVG drawing"),
    ("an empty file", _photo("photo.jpg", b""), "the file is empty"),
    ("a cut off JPEG", _photo("photo.jpg", jpeg()[:500]), "cannot be read to its end"),
    ("a PDF", _photo("photo.jpg", b"%PDF-1.7\n"), "this is a PDF"),
    ("a GIF", _photo("photo.gif", b"GIF89a" + bytes(20)), "this is a GIF"),
    ("a video", _photo("photo.heic", b"\0\0\0\x18ftypmp42" + bytes(40)), "this is a video"),
    ("words", _photo("photo.jpg", b"only words"), "this is a text"),
    ("noise", _photo("photo.jpg", bytes(range(128, 256)) * 9), "a file of a kind not known here"),
    ("too many pixels", _photo("photo.png", _of_many_pixels()), "more than 60 million pixels"),
    ("too many bytes", _photo("photo.jpg", jpeg() + bytes(25_000_001)), "larger than 25 MB"),
    ("a list as a photograph", _photo("list.jpg", bomb()), "a zip or office file"),
)

FIELDS: tuple[tuple[str, Fields, str], ...] = (
    ("no look at all", {"none": ""}, "look first"),
    ("none and a picture", {"hazard": ["silver"]}, "which is it?"),
    (
        "a picture there is not",
        {"none": "", "hazard": ["dragon"]},
        "&#x27;dragon&#x27; cannot be ticked here",
    ),
    ("no material", {"material": []}, "tap what it is made of"),
    ("a material there is not", {"material": ["mithril"]}, "cannot be ticked here"),
    ("a tag in use", {"tag": "0042"}, "tag 0042 is already tied to an object"),
    ("a tag of words", {"tag": "chest"}, "is no tag"),
    ("a tag with a stroke", {"tag": "../42"}, "is no tag"),
    ("a tag too long", {"tag": "1" * 41}, "40 characters at most; got 41"),
    ("a title too long", {"title": "t" * 201}, "200 characters at most; got 201"),
    ("materials too long", {"materials": "m" * 501}, "500 characters at most; got 501"),
    ("a state there is not", {"state": "wringing"}, "got &#x27;wringing&#x27;"),
    ("done, but not that", {"done": ["sung to"]}, "cannot be ticked here"),
    ("bare and painted", {"seen": ["bare", "paint"]}, "bare"),
    ("a place that is none", {"place": "the attic"}, "this is not one of those offered"),
    ("a place of nowhere", {"place": NOWHERE}, "this place is none of ORNL1"),
    ("an owner of nowhere", {"owner": NOWHERE}, "this owner is none of ORNL1"),
    ("a row of nowhere", {"row": NOWHERE}, "this row is of another list"),
    ("a photograph that is not kept", {"photo_kept": "0" * 64}, "there is no photograph 000000000000"),
)

LISTS: tuple[tuple[str, str, bytes, str], ...] = (
    ("empty", "list.csv", b"", "the file is empty"),
    ("nothing but blanks", "list.csv", b" \n\n ", "the file is empty"),
    ("a photograph", "list.xlsx", jpeg(), "this is a picture (JPEG)"),
    ("a PDF", "list.csv", b"%PDF-1.7\n", "this is a PDF"),
    ("a web page", "list.csv", HTML, "this is a web page or XML"),
    ("text that says it is a workbook", "list.xlsx", b"just a note to say hello\n", "no known column"),
    ("no column of use", "list.csv", b"red;blue\n1;2\n", "no known column"),
    ("no header", "list.csv", b"1;2;3\n4;5;6\n", "no header row"),
    ("a header alone", "list.csv", b"Object;Made of\n", "a header and no row under it"),
    ("a bomb", "list.xlsx", bomb(), "unpacks to more than 100 MB"),
    ("a broken workbook", "list.xlsx", b"PK\x03\x04" + bytes(40), "the workbook is damaged"),
    ("an archive", "list.zip", gzip.compress(CSV), "a compressed file (gzip)"),
    ("an old workbook", "list.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(90), "the old XLS format"),
    ("JSON of another kind", "list.json", json.dumps({"a": 1}).encode(), "list.json"),
    ("broken JSON", "list.json", b'{"objects": [', "list.json"),
    ("noise", "list.csv", bytes(range(1, 32)) * 40, "this is not text"),
    ("too large", "list.csv", CSV + b"x" * 20_000_001, "the list is larger than 20 MB"),
)


@pytest.fixture(autouse=True)
def signed(client: Client) -> None:
    """A helper, a thing that has tag 0042, a row nobody has seen."""
    flooded()
    an_object("0042")
    a_row()
    signed_in(client, "helper")


def comes_back(client: Client, address: str, fields: Fields, status: int, sentence: str) -> str:
    """The page with the sentence; no thing, row or act is made."""
    before = Object.objects.count(), ListRow.objects.count(), Act.objects.count()
    answer = client.post(address, fields)
    text = answer.content.decode()
    assert answer.status_code == status, text
    assert sentence in text
    assert (Object.objects.count(), ListRow.objects.count(), Act.objects.count()) == before
    return text


@pytest.mark.parametrize(("name", "fields", "sentence"), PHOTOGRAPHS, ids=[one[0] for one in PHOTOGRAPHS])
def test_bad_photographs(client: Client, name: str, fields: Callable[[], Fields], sentence: str) -> None:
    """The form stands as it was left, but for the file."""
    text = comes_back(client, TAKE_IN, fields(), 422, sentence)
    assert 'value="long bench"' in text
    assert 'value="wood" checked' in text


@pytest.mark.parametrize(("name", "fields", "sentence"), FIELDS, ids=[one[0] for one in FIELDS])
def test_bad_intakes(client: Client, name: str, fields: Fields, sentence: str) -> None:
    """Also with what was typed into another field still there."""
    text = comes_back(client, TAKE_IN, intake(**{"spot": "under the stairs", **fields}), 422, sentence)
    assert 'value="under the stairs"' in text


@pytest.mark.parametrize(("name", "file", "data", "sentence"), LISTS, ids=[one[0] for one in LISTS])
def test_bad_lists(client: Client, name: str, file: str, data: bytes, sentence: str) -> None:
    """Nothing of it is kept either."""
    before = sorted(taking_in_upload.folder().glob("*"))
    comes_back(client, LIST_IN, {**form("send_list"), "file": upload(file, data)}, 422, sentence)
    assert sorted(taking_in_upload.folder().glob("*")) == before


@pytest.mark.parametrize(
    ("address", "fields", "status", "sentence"),
    [
        (LIST_IN, form("send_list"), 422, "choose the file of the list first"),
        (LIST_IN, form("take_rows_in", list=""), 422, "is needed"),
        (LIST_IN, form("take_rows_in", list="0" * 64), 422, "not here any more"),
        (LIST_IN, form("take_rows_in", list="../../secret_key"), 422, "not here any more"),
        (LIST_IN, form("take_rows_in", list="0" * 65), 422, "64 characters at most"),
        (LIST_IN, {"do": "send_list"}, 422, "the form has no key"),
        (LIST_IN, {"do": "send_list", "key": "seven"}, 422, "the form has no key"),
        (LIST_IN, form("burn_list"), 400, "does not know what was asked"),
        (LIST, form("claim_row", tag="", row=NOWHERE), 422, "the tag is needed"),
        (LIST, form("claim_row", tag="42", row=NOWHERE), 422, "this row is of another list"),
        (LIST, form("claim_row", tag="42", row="first"), 422, "not one of those offered"),
        (LIST, form("claim_row", tag="4\x002", row=NOWHERE), 400, "no keyboard makes"),
        (TAKE_IN, intake(title="a\x00b"), 400, "no keyboard makes"),
        (TAKEN, form("claim_row"), 422, "choose the row that is this thing"),
        (TAKEN, form("photograph"), 422, "choose a photograph first"),
        (TAKEN, {**form("photograph"), "photo": upload("a.jpg", SVG)}, 422, "an SVG drawing"),
        (TAKE_IN, {"do": "take_in", "none": "1"}, 422, "the form has no key"),
        (TAKE_IN, form("", none="1"), 400, "does not know what was asked"),
        (WALK, form("note_walk", none="1"), 422, "choose the room you looked through"),
        (WALK, form("note_walk", none="1", room=NOWHERE), 422, "choose the room you looked through"),
    ],
)
def test_bad_forms(client: Client, address: str, fields: Fields, status: int, sentence: str) -> None:
    """Each page, each with its sentence."""
    comes_back(client, address, fields, status, sentence)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({}, "and not both"),
        ({"none": "1", "hazard": ["gun"]}, "and not both"),
        ({"hazard": ["x"]}, "ticked here"),
    ],
)
def test_bad_walks(client: Client, fields: Fields, sentence: str) -> None:
    """The room stays chosen."""
    room = str(a_room().uid)
    text = comes_back(client, WALK, form("note_walk", room=room, **fields), 422, sentence)
    assert f'value="{room}" checked' in text


def test_what_belongs_to_another_incident(client: Client) -> None:
    """Rooms, places and rows of one flood are none of another."""
    other = a_room(code="ORNL2")
    row = a_row(code="ORNL2")
    comes_back(client, WALK, form("note_walk", room=str(other.uid), none="1"), 422, "choose the room")
    comes_back(client, TAKE_IN, intake(place=str(other.uid)), 422, "none of ORNL1")
    comes_back(client, TAKE_IN, intake(row=str(row.uid)), 422, "another list")
    comes_back(client, LIST, form("claim_row", tag="0042", row=str(row.uid)), 422, "another list")
    assert Place.objects.get() == other


@pytest.mark.parametrize(
    ("fields", "status", "sentence"),
    [
        ({"list": "0" * 64, "first": "2", "last": "two"}, 422, "a number from 1"),
        ({"list": "0" * 64, "first": "0", "last": "2"}, 422, "a number from 1"),
        ({"list": "0" * 64, "first": "2", "last": "nan"}, 422, "a number from 1"),
        ({"list": "0" * 64, "first": "2", "last": ""}, 422, "a row number is needed"),
        ({"first": "2", "last": "2"}, 422, "is needed"),
    ],
)
def test_bad_batches(client: Client, fields: Fields, status: int, sentence: str) -> None:
    """The lead's batch names its rows, or nothing is received."""
    signed_in(client, "lead")
    comes_back(client, LIST, form("receive_rest", **fields), status, sentence)


def test_several_faults_are_told_at_once(client: Client) -> None:
    """A bad photograph and two bad fields: three sentences, in one go."""
    fields = intake(tag="chest", state="wringing", photo=upload("a.jpg", SVG))
    text = comes_back(client, TAKE_IN, fields, 422, "is no tag")
    assert "an SVG drawing" in text
    assert "wringing" in text


def test_a_good_photograph_outlasts_a_bad_field(client: Client) -> None:
    """Kept once, and named in the form that comes back."""
    text = comes_back(client, TAKE_IN, intake(tag="chest", photo=upload("a.jpg", jpeg(33))), 422, "is no tag")
    assert 'name="photo_kept"' in text


def test_a_tag_nobody_has_comes_back(client: Client) -> None:
    """With the row still open and the tag as it was typed."""
    row = str(a_row(9).uid)
    text = comes_back(client, LIST, form("claim_row", tag="0099", row=row), 422, "has the tag 0099")
    assert 'value="0099"' in text


@pytest.mark.parametrize("query", ["for=%FF", "page=%01", "show=x", "owner=%01", "page=-3", "for=../0042"])
def test_odd_addresses_of_the_list(client: Client, query: str) -> None:
    """What stands after the question mark is never trusted."""
    assert client.get(f"{LIST}?{query}").status_code == 200


@pytest.mark.parametrize("query", ["list=%01", "list=../x", "list=" + "f" * 64])
def test_odd_addresses_of_a_list_sent(client: Client, query: str) -> None:
    """A list that is not here is told as such."""
    answer = client.get(f"{LIST_IN}?{query}")
    assert answer.status_code == 200
    assert "not here any more" in answer.content.decode()


def test_names_of_files_stay_outside(client: Client) -> None:
    """A name that climbs or hides is only a name."""
    for name in ("../../etc/passwd", "a/b\\c.csv", "\x07.csv", "." * 300, ""):
        plain = taking_in_upload.plain_name(name)
        assert plain
        assert len(plain) <= 80
        assert not set("/\\\x07") & set(plain)
        assert plain.strip(".")
