"""Fragments and strays, their tags beside those of objects, the batches they come out of."""

import pytest

from strandline.records.models.objects import Fragment, TagRange
from strandline.records.models.people import Device
from strandline.records.models.sites import Place
from strandline.services.acting import Refused
from strandline.services.came_off import came_off, next_letters
from strandline.services.find_parent import find_parent
from strandline.services.fold import differences
from strandline.services.merge import merge
from strandline.services.open_batch import close_batch, open_batch
from strandline.services.receive import next_tag
from strandline.services.resolve import resolve
from strandline.things.tags import qr_text
from tests.records.cast import NOW, an_object, device, incident, lead
from tests.services.doing import by, received

pytestmark = pytest.mark.django_db


def test_what_comes_off_has_the_tag_of_its_object_and_a_letter() -> None:
    """a, b and on; a letter typed by hand is passed over, and a gap is filled."""
    thing = received("0042")
    revision = thing.revision
    tags = [
        came_off(by(), incident(), "a splinter", thing, tag=tag).tag
        for tag in ("", "0042-c", "", "", " 0042-f ")
    ]
    assert tags == ["0042-a", "0042-c", "0042-b", "0042-d", "0042-f"]
    thing.refresh_from_db()
    assert thing.revision == revision + 5
    assert {row.object for row in Fragment.objects.all()} == {thing}
    assert differences() == []


def test_letters_go_on_after_z() -> None:
    """aa after z, and past an object that bears such a tag."""
    thing = received("0042")
    an_object("0042-aa")
    for letter in "abcdefghijklmnopqrstuvwxyz":
        Fragment.objects.create(incident=incident(), object=thing, tag=f"0042-{letter}", found_at=NOW)
    assert came_off(by(), incident(), "a splinter", thing).tag == "0042-ab"


def test_no_letters_are_left(monkeypatch: pytest.MonkeyPatch) -> None:
    """After the last there is a sentence, no tag that is none."""
    monkeypatch.setattr("strandline.services.came_off.MOST_LETTERS", 1)
    thing = received("0042")
    for letter in "abcdefghijklmnopqrstuvwxyz":
        Fragment.objects.create(incident=incident(), object=thing, tag=f"0042-{letter}", found_at=NOW)
    with pytest.raises(Refused, match="no tag is left for what came off 0042"):
        next_letters(incident(), "0042")


def test_a_stray_has_the_next_whole_tag_and_keeps_it() -> None:
    """Its parent found, it is a fragment of it under the tag it has; once only."""
    thing, other = received("0042"), received("0043")
    stray = came_off(by(), incident(), " bone pin ", tag="")
    assert (stray.tag, stray.object, stray.says) == ("0044", None, "bone pin")
    assert next_tag(incident()) == "0045"
    found = find_parent(by(), stray, thing)
    assert (found.tag, found.object) == ("0044", thing)
    for parent in (thing, other):
        with pytest.raises(Refused, match="no stray; it came off 0042"):
            find_parent(by(), stray, parent)
    assert differences() == []


def test_tags_are_used_once_by_objects_and_fragments_together() -> None:
    """A fragment's tag is no object's any more, an object's no fragment's."""
    thing = received("0042")
    came_off(by(), incident(), "a splinter", thing)
    came_off(by(), incident(), "bone pin", tag="0050")
    for tag in ("0050", "0042-a"):
        with pytest.raises(Refused, match="tied to a fragment; tags are never used twice"):
            received(tag)
    for parent in (None, thing):
        with pytest.raises(Refused, match="tied to an object"):
            came_off(by(), incident(), "bone pin", parent, tag="0042")
    assert came_off(by(), incident("ORNL2"), "bone pin", tag="0042").tag == "0042"


@pytest.mark.parametrize(
    ("tag", "parent", "why"),
    [
        ("42", False, "no tag"),
        ("0042-A", True, "no tag"),
        ("0043-a", True, "came off 0043"),
        ("0042-a", False, "came off 0042"),
        ("0150", False, "another device"),
        ("0150", True, "another device"),
    ],
)
def test_a_tag_that_is_no_fragments(tag: str, parent: bool, why: str) -> None:
    """Malformed, speaking of another object, or printed for somebody else's table."""
    thing = received("0042")
    second = Device.objects.create(name="second table", first_seen_at=NOW)
    TagRange.objects.create(incident=incident(), first=100, last=160, device=second, reserved_at=NOW)
    with pytest.raises(Refused, match=why):
        came_off(by(), incident(), "bone pin", thing if parent else None, tag=tag)
    assert not Fragment.objects.exists()


def test_letters_are_no_part_of_a_range() -> None:
    """What comes off a thing is tagged at any table, whoever has the range of the thing's own tag."""
    thing = received("0042")
    second = Device.objects.create(name="second table", first_seen_at=NOW)
    TagRange.objects.create(incident=incident(), first=40, last=49, device=second, reserved_at=NOW)
    assert by().device == device() != second
    assert came_off(by(), incident(), "a splinter", thing).tag == "0042-a"


def test_the_next_tag_after_the_highest_there_can_be() -> None:
    """A tag of nine nines typed by mistake does not stop intake: a gap is filled, no range touched."""
    received("0001")
    came_off(by(), incident(), "bone pin", tag="0002")
    TagRange.objects.create(incident=incident(), first=3, last=20, reserved_at=NOW)
    assert next_tag(incident()) == "0021"
    came_off(by(), incident(), "bone pin", tag="999999999")
    assert next_tag(incident()) == "0021"
    TagRange.objects.create(incident=incident(), first=21, last=999999998, reserved_at=NOW)
    with pytest.raises(Refused, match="no tag is left"):
        next_tag(incident())


def test_a_fragment_belongs_to_its_incident() -> None:
    """Object, batch and place of the same flood; a batch that is closed yields nothing."""
    far = incident("ORNL2")
    place = Place.objects.create(incident=far, kind="room", name="hall")
    batch = open_batch(by(), far, "rinse_water", "first basin", place)
    thing = an_object("0001", incident=far)
    for parts, what in (
        ((thing, None, None), "object"),
        ((None, batch, None), "batch"),
        ((None, None, place), "place"),
    ):
        with pytest.raises(Refused, match=f"{what} is of another incident"):
            came_off(by(), incident(), "bone pin", *parts)
    made = came_off(by(), far, "bone pin", None, batch, place)
    assert (made.batch, made.place) == (batch, place)
    close_batch(by(), batch)
    with pytest.raises(Refused, match="is closed"):
        came_off(by(), far, "bone pin", None, batch)
    with pytest.raises(Refused, match="different incidents"):
        find_parent(by(), made, received("0042"))


def test_nothing_comes_off_a_tag_that_was_merged() -> None:
    """The tag of the kept object is named instead; nor does a stray find its parent there."""
    kept, other = received("0042"), received("0043")
    stray = came_off(by(), incident(), "bone pin")
    merge(by(lead()), kept, other, "one chest")
    with pytest.raises(Refused, match="was merged"):
        came_off(by(), incident(), "a splinter", other)
    with pytest.raises(Refused, match="was merged"):
        find_parent(by(), stray, other)


def test_batches_open_and_close_once() -> None:
    """Kind and name as they should be; the name is free again when the batch is closed."""
    batch = open_batch(by(), incident(), "room_square", " floor by the door ")
    assert (batch.name, batch.closed_at) == ("floor by the door", None)
    far = Place.objects.create(incident=incident("ORNL2"), kind="room", name="hall")
    for kind, name, place, why in (
        ("mud", "x", None, "not 'mud'"), ("other", " ", None, "a name"), ("other", "x" * 101, None, "100"),
        ("other", "x", far, "another incident"), ("room_square", "floor by the door", None, "open already"),
    ):  # fmt: skip
        with pytest.raises(Refused, match=why):
            open_batch(by(), incident(), kind, name, place)
    assert close_batch(by(), batch).closed_at is not None
    with pytest.raises(Refused, match="closed already"):
        close_batch(by(), batch)
    assert open_batch(by(), incident(), "room_square", "floor by the door") != batch
    assert differences() == []


def test_what_a_tag_stands_for() -> None:
    """Object, fragment or nothing; typed, or as its code reads; within one incident."""
    thing = received("0042")
    fragment = came_off(by(), incident(), "a splinter", thing)
    assert resolve(incident(), " 0042 ") == thing
    assert resolve(incident(), "0042-a") == fragment
    assert resolve(incident(), qr_text("ORNL1", "0042-a")) == fragment
    an_object("0042", incident=incident("ORNL2"))
    for text in ("0043", "", "SL1:ORNL1:0042:?", qr_text("ORNL2", "0042"), "a:b"):
        assert resolve(incident(), text) is None
