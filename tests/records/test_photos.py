"""Photographs on disk: what is kept, what is refused in which words, what is shown, what a sweep finds."""

import hashlib
import os
import signal
import subprocess
import sys
import zlib
from collections.abc import Callable
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from struct import pack
from typing import Any

import pytest
from PIL import Image, ImageCms, PngImagePlugin

from strandline.records import photos, pictures
from strandline.records.photos import NoOriginal, keep, original, shown, sweep
from strandline.records.pictures import NotAPicture
from tests.records.cast import NOW
from tests.records.heic import heic

GPS_IFD, MAKER = 0x8825, 0x010F
WHERE = {1: "N", 2: (51.0, 7.0, 30.0), 3: "W", 4: (2.0, 30.0, 1.0)}


def two_halves(size: tuple[int, int] = (400, 200), mode: str = "RGB") -> Image.Image:
    """Dark on the left, bright on the right."""
    image = Image.new("L", size, 40)
    image.paste(215, (size[0] // 2, 0, *size))
    return image.convert(mode)


def encoded(image: Image.Image, kind: str = "JPEG", **more: Any) -> bytes:
    """The picture as a file."""
    stream = BytesIO()
    image.save(stream, kind, **more)
    return stream.getvalue()


def exif(turn: int = 1, taken: str = "2026:03:15 16:05:00", offset: str = "+01:00") -> Image.Exif:
    """What a telephone writes: how it was held, when, and where."""
    found = Image.Exif()
    found[pictures.ORIENTATION], found[MAKER] = turn, "A telephone"
    found.get_ifd(pictures.EXIF_IFD).update({pictures.TAKEN: taken, pictures.TAKEN_OFFSET: offset})
    found.get_ifd(GPS_IFD).update(WHERE)
    return found


def jpeg(**more: Any) -> bytes:
    """A small photograph."""
    return encoded(two_halves(), exif=exif(**more))


def png_of(width: int, height: int) -> bytes:
    """A PNG that says it is so large, and holds next to nothing."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return pack(">I", len(body)) + kind + body + pack(">I", zlib.crc32(kind + body))

    head = pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return (
        pictures_signature() + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")
    )


def pictures_signature() -> bytes:
    """How a PNG begins."""
    return b"\x89PNG\r\n\x1a\n"


def webp() -> bytes:
    """A small WebP."""
    return encoded(two_halves(), "WEBP")


def png(**more: Any) -> bytes:
    """A small PNG."""
    return encoded(two_halves(), "PNG", **more)


def spoiled(data: bytes, share: float = 0.5) -> bytes:
    """A byte changed somewhere inside."""
    place = int(len(data) * share)
    return data[:place] + bytes([data[place] ^ 0xFF]) + data[place + 1 :]


def many_scans() -> bytes:
    """A JPEG whose last pass over the picture comes three hundred times."""
    whole = encoded(two_halves(), progressive=True)
    last = whole.rindex(b"\xff\xda")
    return whole[:last] + whole[last:-2] * 300 + whole[-2:]


BAD: dict[str, tuple[Callable[[], bytes], str]] = {
    "empty": (lambda: b"", "the file is empty"),
    "too large": (lambda: encoded(two_halves()) + b"\0" * pictures.MOST_BYTES, "larger than 25 MB"),
    "one byte": (lambda: b"\xff", "kind not known here"),
    "text": (lambda: b"the bell is by the door\n", "this is a text"),
    "web page": (lambda: b"  <!DOCTYPE html><script>alert(1)</script>", "this is a web page"),
    "page without type": (lambda: b"\xef\xbb\xbf<html><body>", "this is a web page"),
    "drawing": (lambda: b"<svg xmlns='http://www.w3.org/2000/svg'/>", "this is an SVG drawing"),
    "drawing in xml": (lambda: b"<?xml version='1.0'?>\n<svg/>", "this is an SVG drawing"),
    "xml": (lambda: b"<?xml version='1.0'?><list/>", "this is an XML file"),
    "pdf": (lambda: b"%PDF-1.7\n1 0 obj", "this is a PDF"),
    "gif": (lambda: encoded(two_halves(), "GIF"), "this is a GIF"),
    "bmp": (lambda: encoded(two_halves(), "BMP"), "this is a BMP"),
    "tiff": (lambda: encoded(two_halves(), "TIFF"), "this is a TIFF or raw file"),
    "tiff the other way round": (lambda: b"MM\0*\0\0\0\x08", "this is a TIFF or raw file"),
    "office": (lambda: b"PK\x03\x04" + b"\0" * 40, "a zip or office file"),
    "program": (lambda: b"\x7fELF" + b"\0" * 40, "this is a program"),
    "video": (lambda: b"\0\0\0\x20ftypisom\0\0\2\0isomiso2", "this is a video"),
    "video of a telephone": (lambda: b"\0\0\0\x14ftypqt  \0\0\0\0qt  ", "this is a video"),
    "avif": (lambda: b"\0\0\0\x20ftypavif\0\0\0\0avifmif1", "this is an AVIF picture"),
    "avif behind mif1": (lambda: b"\0\0\0\x20ftypmif1\0\0\0\0mif1avif", "this is an AVIF picture"),
    "jpeg begun": (lambda: b"\xff\xd8\xff", "this JPEG cannot be read to its end"),
    "half a jpeg": (lambda: jpeg()[: len(jpeg()) * 2 // 3], "this JPEG cannot be read to its end"),
    "jpeg of noise": (lambda: b"\xff\xd8\xff" + b"noise" * 400, "this JPEG cannot be read to its end"),
    "jpeg of many passes": (many_scans, "built to take long"),
    "half a png": (lambda: png()[: len(png()) // 2], "this PNG cannot be read to its end"),
    "png spoiled": (lambda: spoiled(png()), "this PNG cannot be read to its end"),
    "png without pixels": (lambda: png_of(20, 20), "this PNG cannot be read to its end"),
    "png bomb": (lambda: png_of(60_000, 60_000), "more than 60 million pixels"),
    "png just too large": (lambda: png_of(7751, 7742), "more than 60 million pixels"),
    "png without width": (lambda: png_of(0, 5), "cannot be read|no width"),
    "half a webp": (lambda: webp()[: len(webp()) // 2], "this WebP cannot be read to its end"),
    "webp begun": (lambda: webp()[:14], "this WebP cannot be read to its end"),
    "half a heic": (lambda: heic([40, 200])[:900], "this HEIC cannot be read to its end"),
    "heic begun": (lambda: heic([40, 200])[:24], "this HEIC cannot be read to its end"),
}  # fmt: skip


@pytest.mark.parametrize("bad", BAD)
def test_what_is_no_photograph_is_refused_in_a_sentence(tmp_path: Path, bad: str) -> None:
    """Each says what is wrong with it, and leaves nothing on the disk."""
    make, why = BAD[bad]
    with pytest.raises(NotAPicture, match=why) as told:
        keep(tmp_path / "photos", make(), NOW)
    assert "\n" not in str(told.value)
    assert not (tmp_path / "photos").exists()


GOOD: dict[str, tuple[Callable[[], bytes], str, tuple[int, int]]] = {
    "jpeg": (jpeg, "image/jpeg", (400, 200)),
    "progressive jpeg": (lambda: encoded(two_halves(), progressive=True), "image/jpeg", (400, 200)),
    "jpeg with a film behind it": (
        lambda: jpeg() + b"ftypmp42" + b"\xff\xda\0\2" * 300,
        "image/jpeg",
        (400, 200),
    ),
    "grey jpeg": (lambda: encoded(two_halves(mode="L")), "image/jpeg", (400, 200)),
    "cmyk jpeg": (lambda: encoded(two_halves(mode="CMYK")), "image/jpeg", (400, 200)),
    "png": (png, "image/png", (400, 200)),
    "png with a palette": (lambda: encoded(two_halves(mode="P"), "PNG"), "image/png", (400, 200)),
    "png of 16 bits": (
        lambda: encoded(two_halves(mode="I").point(lambda level: level * 257).convert("I;16"), "PNG"),
        "image/png",
        (400, 200),
    ),
    "png of one bit": (lambda: encoded(two_halves(mode="1"), "PNG"), "image/png", (400, 200)),
    "png one lets through": (lambda: encoded(two_halves(mode="LA"), "PNG"), "image/png", (400, 200)),
    "webp": (webp, "image/webp", (400, 200)),
    "heic": (lambda: heic([40, 200]), "image/heic", (64, 32)),
    "one pixel": (lambda: encoded(two_halves((1, 1))), "image/jpeg", (1, 1)),
}


@pytest.mark.parametrize("good", GOOD)
def test_an_original_is_kept_byte_for_byte(tmp_path: Path, good: str) -> None:
    """Under its hash, with its type by content; from a stream as from bytes, twice as once."""
    make, media_type, size = GOOD[good]
    data = make()
    folder = tmp_path / "photos"
    kept = keep(folder, data, NOW)
    assert (kept.media_type, (kept.width_px, kept.height_px)) == (media_type, size)
    file = tmp_path / kept.path
    assert file.read_bytes() == data
    assert kept.sha256 == hashlib.sha256(data).hexdigest() == photos.hash_of(file)
    assert kept.size_bytes == len(data)
    assert file == original(folder, kept.sha256)
    assert keep(folder, BytesIO(data), NOW) == kept
    assert [one for one in folder.rglob("*") if one.is_file()] == [file]


@pytest.mark.parametrize("good", [name for name in GOOD if name != "one pixel"])
def test_what_is_shown_is_what_was_photographed(tmp_path: Path, good: str) -> None:
    """Dark on the left and bright on the right, in RGB, at most as wide as asked, never enlarged."""
    make, _, size = GOOD[good]
    folder = tmp_path / "photos"
    kept = keep(folder, make(), NOW)
    for width in photos.WIDTHS:
        with Image.open(shown(folder, kept.sha256, width)) as image:
            assert (image.format, image.mode, image.width) == ("JPEG", "RGB", min(width, size[0]))
            middle = image.height // 2
            levels = [image.getpixel((image.width * n // 4, middle))[0] for n in (1, 3)]
            assert levels[0] < 70
            assert levels[1] > 190


def test_a_picture_is_turned_upright(tmp_path: Path) -> None:
    """By EXIF for each of its eight ways, by the reader for HEIC."""
    ways = {1: "left", 2: "right", 3: "right", 4: "left", 5: "top", 6: "top", 7: "bottom", 8: "bottom"}
    for turn, dark in ways.items():
        data = jpeg(turn=turn)
        kept = keep(tmp_path, data, NOW)
        lies = turn >= pictures.ON_ITS_SIDE
        assert (kept.width_px, kept.height_px) == ((200, 400) if lies else (400, 200))
        assert dark_side(shown(tmp_path, kept.sha256, 320)) == dark
    turned = keep(tmp_path, heic([40, 200], 1), NOW)
    assert (turned.width_px, turned.height_px) == (32, 64)
    assert dark_side(shown(tmp_path, turned.sha256, 320)) == "bottom"


@pytest.mark.parametrize("turn", [1, 3, 6, 8])
def test_a_width_is_that_of_the_picture_upright(tmp_path: Path, turn: int) -> None:
    """However the camera was held."""
    kept = keep(tmp_path, encoded(two_halves((1800, 900)), exif=exif(turn)), NOW)
    for width in photos.WIDTHS:
        with Image.open(shown(tmp_path, kept.sha256, width)) as image:
            assert image.width == min(width, kept.width_px)
            assert image.height * kept.width_px == pytest.approx(image.width * kept.height_px, rel=0.01)


def dark_side(file: Path) -> str:
    """Where the dark half is."""
    with Image.open(file) as image:
        grey = image.convert("L")
        wide, high = grey.size
        spots = {"left": (2, high // 2), "right": (wide - 3, high // 2), "top": (wide // 2, 2),
                 "bottom": (wide // 2, high - 3)}  # fmt: skip
        if wide > high:
            spots = {side: spots[side] for side in ("left", "right")}
        else:
            spots = {side: spots[side] for side in ("top", "bottom")}
        return min(spots, key=lambda side: grey.getpixel(spots[side]))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIC"])
def test_nothing_but_pixels_is_shown(tmp_path: Path, kind: str) -> None:
    """Place, time, maker, comment, text and profile stay with the original."""
    about = exif()
    if kind == "HEIC":
        data = heic([40, 200], exif=about.tobytes().removeprefix(b"Exif\0\0"))
    else:
        text = PngImagePlugin.PngInfo()
        text.add_text("Comment", "by the quay door")
        more: dict[str, Any] = {"PNG": {"pnginfo": text}, "JPEG": {"comment": b"by the quay door"}}.get(
            kind, {}
        )
        profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
        data = encoded(two_halves(), kind, exif=about, icc_profile=profile, **more)
    kept = keep(tmp_path, data, NOW)
    assert b"A telephone" in original(tmp_path, kept.sha256).read_bytes()
    for width in photos.WIDTHS:
        file = shown(tmp_path, kept.sha256, width)
        with Image.open(file) as image:
            assert not image.getexif()
            assert not set(image.info) - {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
        for word in (b"A telephone", b"Exif", b"quay door", b"ICC_PROFILE"):
            assert word not in file.read_bytes()


@pytest.mark.parametrize(
    ("more", "wanted"),
    [
        ({}, datetime(2026, 3, 15, 15, 5, tzinfo=UTC)),
        ({"offset": "-00:30"}, datetime(2026, 3, 15, 16, 35, tzinfo=UTC)),
        ({"offset": ""}, None),
        ({"offset": "one"}, None),
        ({"taken": ""}, None),
        ({"taken": "2026:02:30 10:00:00"}, None),
        ({"taken": "0001:01:01 00:00:00"}, None),
        ({"taken": "2031:01:01 00:00:00"}, None),
    ],
)
def test_when_it_was_taken(tmp_path: Path, more: dict[str, str], wanted: datetime | None) -> None:
    """By the camera's clock where it says its offset; nothing that cannot be, or is far ahead."""
    assert keep(tmp_path, jpeg(**more), NOW).taken_at == wanted


def test_when_a_heic_was_taken(tmp_path: Path) -> None:
    """The same, from an item of its own in the file."""
    data = heic([40, 200], exif=exif().tobytes().removeprefix(b"Exif\0\0"))
    assert keep(tmp_path, data, NOW).taken_at == datetime(2026, 3, 15, 15, 5, tzinfo=UTC)


def test_broken_exif_does_not_cost_the_photograph(tmp_path: Path) -> None:
    """It is kept and shown as it lies."""
    whole = jpeg()
    start = whole.index(b"Exif\0\0") + 6
    kept = keep(tmp_path, whole[:start] + b"\xff" * 60 + whole[start + 60 :], NOW)
    assert (kept.taken_at, kept.width_px) == (None, 400)
    assert dark_side(shown(tmp_path, kept.sha256, 320)) == "left"


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_of_several_pictures_the_first_is_shown_and_it_is_said(tmp_path: Path, kind: str) -> None:
    """All bytes are kept."""
    other = Image.new("RGB", (400, 200), "white")
    data = encoded(two_halves(), kind, save_all=True, append_images=[other, two_halves((400, 200))])
    kept = keep(tmp_path, data, NOW)
    assert kept.frames == 3
    assert "first one is shown" in kept.says
    assert dark_side(shown(tmp_path, kept.sha256, 320)) == "left"
    assert keep(tmp_path, png(), NOW).says == ""


def test_colours_go_by_their_profile(tmp_path: Path) -> None:
    """By a profile in which red and blue have changed places, red is blue."""
    usual = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    swapped = usual.replace(b"rXYZ", b"?XYZ").replace(b"bXYZ", b"rXYZ").replace(b"?XYZ", b"bXYZ")
    red = Image.new("RGB", (64, 64), (210, 40, 40))
    for profile, wanted in ((usual, (210, 40, 40)), (swapped, (40, 40, 210))):
        kept = keep(tmp_path, encoded(red, "PNG", icc_profile=profile), NOW)
        with Image.open(shown(tmp_path, kept.sha256, 320)) as image:
            assert image.getpixel((5, 5)) == pytest.approx(wanted, abs=6)


def test_a_profile_that_is_none_leaves_the_colours(tmp_path: Path) -> None:
    """Or one of another kind of picture."""
    grey = Image.new("RGB", (64, 64), (100, 100, 100))
    lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()
    for profile in (b"no profile at all", lab):
        kept = keep(tmp_path, encoded(grey, "PNG", icc_profile=profile), NOW)
        with Image.open(shown(tmp_path, kept.sha256, 320)) as image:
            assert image.getpixel((5, 5)) == pytest.approx((100, 100, 100), abs=3)


def test_a_long_strip_is_shown_within_bounds(tmp_path: Path) -> None:
    """A picture of one pixel by very many has no derivative that nothing can open."""
    kept = keep(tmp_path, encoded(Image.new("L", (2, 200_000), 90), "PNG"), NOW)
    with Image.open(shown(tmp_path, kept.sha256, 320)) as image:
        assert image.size == (1, 320 * photos.TALLEST)


@pytest.mark.parametrize("sha256", ["", "..", "0" * 64, "../../secret_key", "A" * 64, "0" * 63 + "/"])
def test_what_is_not_there_is_not_shown(tmp_path: Path, sha256: str) -> None:
    """No hash, no file, no way out of the folder; and no other widths."""
    with pytest.raises(NoOriginal, match="no photograph"):
        shown(tmp_path, sha256, 320)
    with pytest.raises(ValueError, match="widths"):
        shown(tmp_path, sha256, 321)


def test_a_name_does_not_lead_out_of_the_folder(tmp_path: Path) -> None:
    """A picture that lies elsewhere is not shown, whatever is asked for."""
    folder = tmp_path / "practice" / "photos"
    keep(folder, png(), NOW)
    (tmp_path / "elsewhere.jpg").write_bytes(jpeg())
    with pytest.raises(NoOriginal):
        shown(folder, "../../elsewhere", 320)


def test_a_sweep_lists_orphans_both_ways_and_deletes_nothing(tmp_path: Path) -> None:
    """Files without rows, rows without files, changed bytes, temporary names; a whole folder agrees."""
    assert sweep(tmp_path / "nowhere", []).agrees
    one, two = keep(tmp_path, jpeg(), NOW), keep(tmp_path, png(), NOW)
    shown(tmp_path, one.sha256, 320)
    assert sweep(tmp_path, [one.sha256, two.sha256], rehash=True).agrees
    stray = tmp_path / photos.ORIGINALS / "list.csv"
    stray.write_text("tag;title", encoding="ascii")
    file = original(tmp_path, one.sha256)
    file.write_bytes(spoiled(file.read_bytes()))
    before = sorted(tmp_path.rglob("*"))
    found = sweep(tmp_path, [one.sha256, "0" * 64], rehash=True)
    other = original(tmp_path, two.sha256).relative_to(tmp_path).as_posix()
    assert found.files_without_row == (other, "originals/list.csv")
    assert found.rows_without_file == ("0" * 64,)
    assert found.wrong_bytes == (file.relative_to(tmp_path).as_posix(),)
    assert sweep(tmp_path, [one.sha256]).wrong_bytes == ()
    assert sorted(tmp_path.rglob("*")) == before


def test_a_damaged_original_is_kept_beside_the_whole_one(tmp_path: Path) -> None:
    """Sent again, the right bytes take their place; the others are listed."""
    kept = keep(tmp_path, jpeg(), NOW)
    file = original(tmp_path, kept.sha256)
    file.write_bytes(b"gone")
    keep(tmp_path, jpeg(), NOW)
    assert file.read_bytes() == jpeg()
    found = sweep(tmp_path, [kept.sha256], rehash=True)
    assert [name.rsplit(".", 1)[1] for name in found.files_without_row] == ["damaged"]
    assert (tmp_path / found.files_without_row[0]).read_bytes() == b"gone"


KILLED = """
import os, signal, sys
from datetime import UTC, datetime
from pathlib import Path
from strandline.records import photos

def killed(*names):
    os.kill(os.getpid(), signal.SIGKILL)

setattr(os, sys.argv[2], killed)
photos.keep(Path(sys.argv[1]), sys.stdin.buffer, datetime.now(UTC))
"""


@pytest.mark.skipif(os.name == "nt", reason="Windows has no signal that cannot be caught")
@pytest.mark.parametrize("at", ["fsync", "replace"])
def test_a_program_killed_in_the_middle_leaves_no_half_original(tmp_path: Path, at: str) -> None:
    """A temporary name that the sweep lists, and nothing under a hash; sent again, it is whole."""
    folder = tmp_path / photos.ORIGINALS
    (folder / hashlib.sha256(jpeg()).hexdigest()[:2]).mkdir(parents=True)
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(tmp_path), at], input=jpeg(), capture_output=True, check=False,
        env={**os.environ, "PYTHONPATH": str(Path(photos.__file__).parents[2])},
    )  # fmt: skip
    assert done.returncode == -signal.SIGKILL, done.stderr
    found = sweep(tmp_path, [])
    assert (len(found.unfinished), found.files_without_row) == (1, ())
    kept = keep(tmp_path, jpeg(), NOW)
    again = sweep(tmp_path, [kept.sha256], rehash=True)
    assert again == photos.Sweep((), (), (), found.unfinished)


def test_a_disk_that_is_full_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The error is told, and no temporary name stays."""

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    (tmp_path / photos.ORIGINALS / hashlib.sha256(jpeg()).hexdigest()[:2]).mkdir(parents=True)
    with pytest.raises(OSError, match="No space"):
        keep(tmp_path, jpeg(), NOW)
    assert not [file for file in tmp_path.rglob("*") if file.is_file()]
