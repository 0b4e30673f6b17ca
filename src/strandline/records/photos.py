"""Photographs on disk: originals byte for byte under their hash, derivatives apart, a sweep for orphans.

An original is written under a temporary name, reaches the disk, is renamed, and its folder reaches the disk;
its row comes after that.  What a program killed in between leaves behind the sweep lists, and nothing here
deletes an original.

``folder`` is the folder of photographs of a practice: ``originals/<ab>/<sha256>.<ending>`` and
``shown/<width>/<ab>/<sha256>.jpg`` lie in it.
"""

from __future__ import annotations

import hashlib
import os
import re
import secrets
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import BinaryIO

from PIL import Image, ImageCms

from strandline.records.pictures import (
    ENDINGS,
    MOST_BYTES,
    ON_ITS_SIDE,
    judge,
    media_type_of,
    opened,
    orientation,
    upright,
)

ORIGINALS, SHOWN, PART = "originals", "shown", ".part"
WIDTHS: tuple[int, ...] = (320, 1280)
"""Widths in pixels of what pages and papers show; a narrower picture is never enlarged."""

TALLEST = 8
"""A derivative is at most so many times as high as its width."""

QUALITY = 82
CHUNK_BYTES = 1 << 20
SHA256 = re.compile(r"[0-9a-f]{64}")


class NoOriginal(LookupError):
    """There is no original of this hash; says so in one sentence."""


@dataclass(frozen=True, slots=True)
class Kept:
    """An original that lies on the disk.

    ``path`` is relative to the practice folder, with slashes.  Pixels are those of the picture upright;
    ``taken_at`` is UTC by the camera's clock.  ``frames`` above 1: only the first picture in it is shown.
    """

    sha256: str
    size_bytes: int
    path: str
    media_type: str
    taken_at: datetime | None
    width_px: int
    height_px: int
    frames: int = 1

    @property
    def says(self) -> str:
        """What a person should know of it; '' for nothing."""
        if self.frames == 1:
            return ""
        return f"{self.frames} pictures are in this file; all are kept, the first one is shown"


@dataclass(frozen=True, slots=True)
class Sweep:
    """Where disk and record differ; paths relative to the folder of photographs, hashes as in the rows.

    ``unfinished`` are temporary names: left by a program that was stopped, or being written right now.
    """

    files_without_row: tuple[str, ...]
    rows_without_file: tuple[str, ...]
    wrong_bytes: tuple[str, ...]
    unfinished: tuple[str, ...]

    @property
    def agrees(self) -> bool:
        """Whether there is nothing to tell."""
        return not (self.files_without_row or self.rows_without_file or self.wrong_bytes or self.unfinished)


def keep(folder: Path, source: BinaryIO | bytes, at: datetime) -> Kept:
    """Keep an original.  ``at`` is now (aware); the same bytes twice lie there once.

    Raises NotAPicture, with nothing written, for anything that is not a whole JPEG, PNG, WebP or HEIC within
    the limits; OSError if the disk does not take it.
    """
    data = source if isinstance(source, bytes) else _read(source)
    picture = judge(data, at)
    sha256 = hashlib.sha256(data).hexdigest()
    target = folder / ORIGINALS / sha256[:2] / f"{sha256}.{ENDINGS[picture.media_type]}"
    if not (target.is_file() and hash_of(target) == sha256):
        if target.exists():
            # Not what its name says: damaged.  It stays beside the whole one, for somebody to look at.
            os.replace(target, target.with_name(f"{target.name}.{secrets.token_hex(4)}.damaged"))
        write_whole(target, data, folder)
    return Kept(
        sha256=sha256,
        size_bytes=len(data),
        path=target.relative_to(folder.parent).as_posix(),
        media_type=picture.media_type,
        taken_at=picture.taken_at,
        width_px=picture.width_px,
        height_px=picture.height_px,
        frames=picture.frames,
    )


def original(folder: Path, sha256: str) -> Path:
    """Where the original of a hash lies; NoOriginal if it does not, or for what is no hash."""
    if SHA256.fullmatch(sha256):
        for ending in ENDINGS.values():
            file = folder / ORIGINALS / sha256[:2] / f"{sha256}.{ending}"
            if file.is_file():
                return file
    raise NoOriginal(f"there is no photograph {sha256[:12]} in this practice")


def shown(folder: Path, sha256: str, width: int) -> Path:
    """The derivative of an original at one of WIDTHS, made if missing: JPEG, upright, sRGB, no metadata.

    Raises NoOriginal, NotAPicture for an original that has been damaged, ValueError for another width.
    """
    if width not in WIDTHS:
        raise ValueError(f"photographs are shown at widths of {WIDTHS} pixels, not {width}")
    source = original(folder, sha256)
    target = folder / SHOWN / str(width) / sha256[:2] / f"{sha256}.jpg"
    if not target.is_file():
        write_whole(target, derivative(source.read_bytes(), width), folder)
    return target


def derivative(data: bytes, width: int) -> bytes:
    """A picture as JPEG, at most ``width`` pixels wide and without anything but its pixels."""
    with opened(data, media_type_of(data)) as image:
        turn = orientation(image)
        profile = image.info.get("icc_profile")
        box = (width, TALLEST * width)
        image.thumbnail(box[::-1] if turn >= ON_ITS_SIDE else box, reducing_gap=3.0)
        small = in_srgb(upright(image, turn), profile)
    stream = BytesIO()
    # Pasted into a new picture, as comments and the like travel with the old one.
    bare = Image.new("RGB", small.size, "white")
    bare.paste(small)
    bare.save(stream, "JPEG", quality=QUALITY)
    return stream.getvalue()


def in_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """A picture in RGB, on white where it lets through; by its colour profile if that can be read."""
    if image.mode in {"I;16", "I;16B", "I"}:
        image = image.convert("I").point(lambda level: level * (1 / 256)).convert("L")
    if image.mode == "P" or "A" in image.mode or "transparency" in image.info:
        over = image.convert("RGBA")
        image = Image.new("RGB", over.size, "white")
        image.paste(over, mask=over.getchannel("A"))
    if profile and image.mode in {"RGB", "CMYK", "L"}:
        try:
            return _converted(image, profile)
        except (ImageCms.PyCMSError, OSError):
            # A profile that is damaged or of another kind of picture: the colours as they stand.
            return image.convert("RGB")
    return image.convert("RGB")


def _converted(image: Image.Image, profile: bytes) -> Image.Image:
    found = ImageCms.profileToProfile(
        image, ImageCms.ImageCmsProfile(BytesIO(profile)), ImageCms.createProfile("sRGB"), outputMode="RGB"
    )
    return image.convert("RGB") if found is None else found


def sweep(folder: Path, known: Iterable[str], rehash: bool = False) -> Sweep:
    """Compare originals with the hashes that rows have; ``rehash`` reads each file.  Deletes nothing."""
    rows = set(known)
    there: set[str] = set()
    strays: list[str] = []
    wrong: list[str] = []
    unfinished: list[str] = []
    for file in _files(folder):
        name = file.relative_to(folder).as_posix()
        if file.name.endswith(PART):
            unfinished.append(name)
        elif not name.startswith(SHOWN + "/"):
            sha256 = _hash_in(name)
            there.add(sha256)
            if sha256 not in rows:
                strays.append(name)
            if rehash and sha256 and hash_of(file) != sha256:
                wrong.append(name)
    return Sweep(tuple(strays), tuple(sorted(rows - there)), tuple(wrong), tuple(unfinished))


def hash_of(file: Path) -> str:
    """SHA-256 of a file, in hex."""
    digest = hashlib.sha256()
    with file.open("rb") as stream:
        while chunk := stream.read(CHUNK_BYTES):
            digest.update(chunk)
    return digest.hexdigest()


def write_whole(target: Path, data: bytes, folder: Path) -> None:
    """Write a file that is there whole or not at all, also after a power cut.

    ``folder`` is there or made, and so is everything between it and the file.
    """
    _make(target.parent, folder)
    part = target.with_name(f".{target.name}.{secrets.token_hex(4)}{PART}")
    try:
        with part.open("xb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(part, target)
    except OSError:
        part.unlink(missing_ok=True)
        raise
    _sync_folder(target.parent)


def _read(source: BinaryIO) -> bytes:
    """All of a stream, or one byte more than is taken."""
    chunks: list[bytes] = []
    left = MOST_BYTES + 1
    while left and (chunk := source.read(min(CHUNK_BYTES, left))):
        chunks.append(chunk)
        left -= len(chunk)
    return b"".join(chunks)


def _make(inner: Path, folder: Path) -> None:
    """Make the folders down to ``inner``; each reaches the disk by way of the one it lies in."""
    folder.mkdir(parents=True, exist_ok=True)
    at = folder
    for part in inner.relative_to(folder).parts:
        outer, at = at, at / part
        if not at.is_dir():
            at.mkdir(exist_ok=True)
            _sync_folder(outer)


def _sync_folder(folder: Path) -> None:
    """Wait until the disk has the folder's names; Windows cannot be asked."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _files(folder: Path) -> Iterator[Path]:
    return (file for file in sorted(folder.rglob("*")) if file.is_file())


def _hash_in(name: str) -> str:
    """The hash in the name of an original in its right place; '' for anything else."""
    found = re.fullmatch(rf"{ORIGINALS}/([0-9a-f]{{2}})/(\1[0-9a-f]{{62}})\.(\w+)", name)
    return found[2] if found and found[3] in ENDINGS.values() else ""
