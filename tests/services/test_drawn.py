"""Drawn photographs of the demo: the record takes them, they are the same each time, every row has one."""

import csv
from io import BytesIO, StringIO
from pathlib import Path

import pytest
from PIL import Image, ImageChops, ImageStat

import strandline
from strandline.records.photos import keep, shown
from strandline.services import drawn_shapes as flat
from strandline.services import drawn_vessels as hollow
from strandline.services.drawn import KINDS, colours_of, draw, shape_of
from tests.records.cast import NOW

LIST = Path(strandline.__file__).parent / "demo_data" / "list.csv"


def rows() -> list[dict[str, str]]:
    """The rows of the museum's list."""
    return list(csv.DictReader(StringIO(LIST.read_text(encoding="cp1252")), delimiter=";"))


def picture(title: str, tag: str = "0042", materials: str = "oak, iron", seed: int = 1) -> Image.Image:
    """A drawn photograph, opened."""
    return Image.open(BytesIO(draw(title, tag, materials, seed)))


def test_the_same_words_and_seed_give_the_same_bytes() -> None:
    """And any other word or seed gives others."""
    first = draw("Sea chest", "0042", "oak, iron", 1)
    assert draw("Sea chest", "0042", "oak, iron", 1) == first
    others = [
        draw("Sea boots", "0042", "oak, iron", 1), draw("Sea chest", "0043", "oak, iron", 1),
        draw("Sea chest", "0042", "copper, brass", 1), draw("Sea chest", "0042", "oak, iron", 2),
    ]  # fmt: skip
    assert len({first, *others}) == 5


def test_the_record_takes_one_and_shows_it(tmp_path: Path) -> None:
    """It is a whole photograph of 1200 by 900 without a time, or of the size that is asked for."""
    kept = keep(tmp_path, draw("Sea chest", "0042", "oak, iron", 1), NOW)
    assert (kept.media_type, kept.width_px, kept.height_px) == ("image/jpeg", 1200, 900)
    assert kept.taken_at is None
    with Image.open(shown(tmp_path, kept.sha256, 320)) as image:
        assert image.size == (320, 240)
    assert Image.open(BytesIO(draw("Bell", "0006", "bronze", 1, (400, 300)))).size == (400, 300)


@pytest.mark.parametrize("row", rows()[::6], ids=lambda row: f"{row['Tag']} {row['What is it'][:20]}")
def test_every_sixth_thing_of_the_list_stands_on_the_table(row: dict[str, str]) -> None:
    """Something lies in the middle, the table is grey at the upper edge, card and scale below."""
    image = picture(row["What is it"], row["Tag"], row["Made of"])
    table = ImageStat.Stat(image.crop((0, 0, 1200, 12)))
    assert max(table.mean) - min(table.mean) < 8
    middle, card, scale = (400, 300, 800, 500), (830, 730, 1100, 840), (75, 780, 200, 840)
    for box, least in ((middle, 6), (card, 20), (scale, 40)):
        assert max(ImageStat.Stat(image.crop(box).convert("L")).stddev) > least


def test_a_scale_follows_the_size_of_the_thing() -> None:
    """Twice as wide, half as many pixels a cm; the rest of the picture is the same."""
    one, two = (Image.open(BytesIO(draw("Sea chest", "0042", "oak", 1, wide_cm=wide))) for wide in (60, 120))
    box = ImageChops.difference(one, two).convert("L").point([0] * 24 + [255] * 232).getbbox()
    assert box is not None
    assert box[1] > 740
    assert box[2] < 700


@pytest.mark.parametrize(
    ("title", "shape"),
    [
        ("sea chest, oak, rope beckets", hollow.chest), ("Bell from the lightship tender", hollow.bell),
        ("Figurehead, woman with a shell", flat.figurehead), ("Coil of rope, tarred", flat.coil),
        ("Sea boots, pair", flat.boots), ("Gannet, stuffed, in glass case", hollow.bird_case),
        ("Dressing-table brush", flat.small), ("Ledger of the chandlery", flat.paper), ("??", flat.lump),
    ],
)  # fmt: skip
def test_a_title_calls_for_a_shape(title: str, shape: object) -> None:
    """What no word fits is a lump."""
    assert shape_of(title)[0] is shape


def test_most_things_of_the_list_have_a_shape_of_their_kind() -> None:
    """At most one in thirty is a lump, and each shape is used."""
    found = [shape_of(row["What is it"])[0] for row in rows()]
    assert found.count(flat.lump) * 30 <= len(found)
    assert {shape for _, shape, _ in KINDS} <= set(found)


def test_materials_are_coloured_in_the_order_they_are_named() -> None:
    """The first is the body; without a word that is known, plain brown."""
    oak, iron = colours_of("oak")[0], colours_of("iron")[0]
    assert colours_of("oak, iron") == (oak, iron)
    assert colours_of("iron; oak") == (iron, oak)
    assert colours_of("") == colours_of("??")
