"""What a file of bytes is, judged by its content: a photograph that can be read to its end, or why not.

JPEG, PNG, WebP and HEIC are taken.  A name or a declared type is never asked.
"""

from __future__ import annotations

import re
import struct
import warnings
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from io import BytesIO
from types import MappingProxyType
from typing import Any

import pi_heif  # type: ignore[import-untyped]  # the package carries no types
from PIL import Image

MOST_BYTES = 25_000_000
MOST_PIXELS = 60_000_000
MOST_SCANS = 200
"""Passes over one JPEG; cameras make about ten, and each costs the time of a whole picture."""

MARKER = re.compile(rb"\xff[^\x00\x01\xd0-\xd8\xff]", re.DOTALL)
"""A marker with a length behind it, or the end of the picture; not a byte of pixels, nor a restart."""

BEGIN_SCAN, END_OF_PICTURE = b"\xff\xda", b"\xff\xd9"

ENDINGS = MappingProxyType(
    {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp", "image/heic": "heic"}
)
"""Ending of a kept file by media type."""

OPENERS = MappingProxyType(
    {"image/jpeg": "JPEG", "image/png": "PNG", "image/webp": "WEBP", "image/heic": "HEIF"}
)
NAMES = MappingProxyType(
    {"image/jpeg": "JPEG", "image/png": "PNG", "image/webp": "WebP", "image/heic": "HEIC"}
)
HEIC_BRANDS: frozenset[bytes] = frozenset({b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1"})
TURNS = MappingProxyType(
    {
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_270,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_90,
    }
)
"""How a picture is turned upright, by its EXIF orientation; 5 and above lie on their side."""

BROKEN_EXIF = (
    OSError,
    SyntaxError,
    ValueError,
    KeyError,
    IndexError,
    TypeError,
    AttributeError,
    struct.error,
)
"""What the reader raises at EXIF that is not as it should be."""

ON_ITS_SIDE = 5
ORIENTATION, EXIF_IFD, TAKEN, TAKEN_OFFSET = 0x0112, 0x8769, 0x9003, 0x9011
AHEAD = timedelta(days=1)
"""A camera's clock further ahead than this is set wrong, and tells nothing."""

OTHERS: tuple[tuple[bytes, str], ...] = (
    (b"%PDF", "a PDF"),
    (b"GIF8", "a GIF"),
    (b"II*\x00", "a TIFF or raw file of a camera"),
    (b"MM\x00*", "a TIFF or raw file of a camera"),
    (b"BM", "a BMP"),
    (b"PK\x03\x04", "a zip or office file"),
    (b"8BPS", "a layered file of an image editor"),
    (b"\x00\x00\x01\x00", "an icon"),
    (b"\x1a\x45\xdf\xa3", "a video"),
    (b"\x1f\x8b", "a packed file"),
    (b"MZ", "a program"),
    (b"\x7fELF", "a program"),
)
MARKUP: tuple[tuple[bytes, str], ...] = (
    (b"<svg", "an SVG drawing"),
    (b"<html", "a web page"),
    (b"<!doctype html", "a web page"),
    (b"<script", "a web page"),
    (b"<?xml", "an XML file"),
)
TAKES = "JPEG, PNG, WebP and HEIC are taken"

# Once for the process, not around each picture: filters of warnings are shared by all threads.
Image.MAX_IMAGE_PIXELS = MOST_PIXELS
warnings.filterwarnings("error", category=Image.DecompressionBombWarning)
pi_heif.register_heif_opener(thumbnails=False)


class NotAPicture(ValueError):
    """The bytes are not kept; the text says why, in one sentence."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture that was read to its end.

    ``width_px`` and ``height_px`` are those of the picture upright; ``taken_at`` is UTC by its clock,
    None if it did not say its offset; ``frames`` counts pictures in the file, the first is shown.
    """

    media_type: str
    taken_at: datetime | None
    width_px: int
    height_px: int
    frames: int


def judge(data: bytes, at: datetime) -> Picture:
    """Read a picture to its end.  ``at`` is now; NotAPicture for anything else."""
    if not data:
        raise NotAPicture("the file is empty")
    if len(data) > MOST_BYTES:
        raise NotAPicture(f"the file is larger than {MOST_BYTES // 1_000_000} MB")
    media_type = media_type_of(data)
    if media_type == "image/jpeg" and scans(data) > MOST_SCANS:
        raise NotAPicture("this JPEG is built to take long to read")
    try:
        _verify(data, media_type)
        with opened(data, media_type) as image:
            _small_enough(image)
            image.load()
            return _told(image, media_type, at)
    except NotAPicture:
        raise
    except (Image.DecompressionBombWarning, Image.DecompressionBombError) as error:
        raise NotAPicture(_too_many()) from error
    except Exception as error:
        # Hostile bytes may raise anything in a decoder; all of it means that this is no whole picture.
        raise NotAPicture(f"this {NAMES[media_type]} cannot be read to its end; send it again") from error


def media_type_of(data: bytes) -> str:
    """What the first bytes say; NotAPicture, naming what it is, for anything that is not taken."""
    if data.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "image/webp"
    if data[4:8] == b"ftyp":
        if data[8:12] in HEIC_BRANDS and b"avif" not in data[8:64]:
            return "image/heic"
        raise NotAPicture(f"this is {_other_box(data)}, not a photograph; {TAKES}")
    raise NotAPicture(f"this is {_other(data)}, not a photograph; {TAKES}")


def scans(jpeg: bytes) -> int:
    """How many passes the first picture of a JPEG has.

    Segments are stepped over by their length and pixels up to the next marker, so that what telephones hang
    on behind the picture (a film, a second picture) is not counted.
    """
    found, at = 0, 2
    while (hit := MARKER.search(jpeg, at)) and hit[0] != END_OF_PICTURE:
        found += hit[0] == BEGIN_SCAN
        at = hit.end() + max(2, int.from_bytes(jpeg[hit.end() : hit.end() + 2], "big"))
    return found


def opened(data: bytes, media_type: str) -> Image.Image:
    """The picture, its pixels not read yet, by the one reader of its type."""
    return Image.open(BytesIO(data), formats=[OPENERS[media_type]])


def orientation(image: Image.Image) -> int:
    """The EXIF orientation, 1 to 8; 1 if there is none that can be read."""
    try:
        found = image.getexif().get(ORIENTATION, 1)
    except BROKEN_EXIF:
        # A picture with broken EXIF is a picture all the same.
        return 1
    return found if isinstance(found, int) and found in TURNS else 1


def upright(image: Image.Image, turn: int) -> Image.Image:
    """The picture turned by its orientation; the HEIC reader has turned its own already."""
    return image.transpose(TURNS[turn]) if turn in TURNS else image


def _other(data: bytes) -> str:
    for begins, name in OTHERS:
        if data.startswith(begins):
            return name
    head = data[:1024].removeprefix(b"\xef\xbb\xbf").lstrip().lower()
    for mark, name in MARKUP:
        if head.startswith(mark):
            return "an SVG drawing" if b"<svg" in head else name
    try:
        data[:1024].decode("ascii")
    except UnicodeDecodeError:
        return "a file of a kind not known here"
    return "a text"


def _other_box(data: bytes) -> str:
    return "an AVIF picture" if b"avi" in data[8:64] else "a video"


def _verify(data: bytes, media_type: str) -> None:
    """Check sums of the file's own format; a picture is spent by this and opened anew."""
    with opened(data, media_type) as image:
        _small_enough(image)
        image.verify()


def _small_enough(image: Image.Image) -> None:
    if image.width * image.height > MOST_PIXELS:
        raise NotAPicture(_too_many())
    if not (image.width and image.height):
        raise NotAPicture("this picture has no width or no height")


def _too_many() -> str:
    return f"this picture has more than {MOST_PIXELS // 1_000_000} million pixels"


def _told(image: Image.Image, media_type: str, at: datetime) -> Picture:
    wide, high = image.size
    if orientation(image) >= ON_ITS_SIDE:
        wide, high = high, wide
    frames = getattr(image, "n_frames", 1)
    return Picture(media_type, taken_at(image, at), wide, high, frames)


def taken_at(image: Image.Image, at: datetime) -> datetime | None:
    """When the camera says it was taken (UTC); None without an offset, or if it makes no sense."""
    try:
        exif: Any = image.getexif().get_ifd(EXIF_IFD)
        said = f"{exif.get(TAKEN, '')}".strip("\0 ")
        offset = f"{exif.get(TAKEN_OFFSET, '')}".strip("\0 ")
    except BROKEN_EXIF:
        # A picture with broken EXIF is a picture all the same.
        return None
    if not re.fullmatch(r"[+-]\d\d:\d\d", offset):
        return None
    try:
        found = datetime.strptime(said + offset, "%Y:%m:%d %H:%M:%S%z").astimezone(UTC)
    except (ValueError, OverflowError):
        return None
    return found if found <= at + AHEAD else None
