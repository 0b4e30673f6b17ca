"""Finding a text's encoding and cleaning its cells, with every guess told.

UTF-8 and UTF-16 (either byte order, with or without a byte order mark) are recognised; anything else
is taken as Windows-1252, which is what office programs of Western Europe write.  Bytes that do not
fit become lone surrogates while decoding (Python's ``surrogateescape``), so that each can be
reported at the cell it stands in.
"""

from __future__ import annotations

import codecs
import html
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass

from strandline.exchange.failures import unusable

_ESCAPED = re.compile("[\ud800-\udfff]")
_LOW = 0xDC00  # surrogateescape turns byte b into this + b
_CONTROL = re.compile("[\x00-\x08\x0e-\x1f\x7f]")
_REFERENCE = re.compile(r"&(?:#[0-9]{1,7}|#[xX][0-9a-fA-F]{1,6}|amp|lt|gt|quot|apos|nbsp);")
_NOT_PLAIN = re.compile("[\x00-\x08\x0b-\x1f\x7f&_\x80-\U0010ffff]")


@dataclass(frozen=True, slots=True)
class Encoding:
    """An encoding found: ``name`` as it is told, the codec, its error handler, bytes of mark to skip."""

    name: str
    codec: str
    errors: str
    skip: int = 0


@dataclass(frozen=True, slots=True)
class Cleaned:
    """A cell's text, and what had to be guessed in it ('' if nothing)."""

    text: str
    trouble: str = ""


def encoding_of(data: bytes) -> Encoding:
    """The encoding of a text's bytes; never fails."""
    if data.startswith(codecs.BOM_UTF8):
        return Encoding("utf-8 with mark", "utf-8", "surrogateescape", 3)
    if data.startswith(codecs.BOM_UTF16_LE):
        return Encoding("utf-16-le with mark", "utf-16-le", "replace", 2)
    if data.startswith(codecs.BOM_UTF16_BE):
        return Encoding("utf-16-be with mark", "utf-16-be", "replace", 2)
    order = _order_without_mark(data[:4096])
    if order:
        return Encoding(order, order, "replace")
    if _is_utf8(data):
        return Encoding("utf-8", "utf-8", "surrogateescape")
    return Encoding("windows-1252", "cp1252", "surrogateescape")


def _order_without_mark(sample: bytes) -> str:
    """UTF-16 shows by its zeros: Latin letters have one in every second byte."""
    pairs = len(sample) // 2
    if pairs < 2:
        return ""
    first, second = sample[0 : pairs * 2 : 2].count(0), sample[1 : pairs * 2 : 2].count(0)
    if second > 0.3 * pairs and first < 0.1 * second:
        return "utf-16-le"
    if first > 0.3 * pairs and second < 0.1 * first:
        return "utf-16-be"
    return ""


def _is_utf8(data: bytes) -> bool:
    """Strictly UTF-8, or with fewer stray bytes than characters that only make sense as UTF-8."""
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        text = data.decode("utf-8", "surrogateescape")
        stray = len(_ESCAPED.findall(text))
        return sum(1 for letter in text if letter > "\x7f") - stray > stray
    return True


def lines_of(data: bytes, encoding: Encoding, name: str) -> Iterator[str]:
    """The text's lines with their ends, decoded one after another.  Raises ListError at a NUL."""
    raw = io.BytesIO(data)
    raw.seek(encoding.skip)
    with io.TextIOWrapper(raw, encoding=encoding.codec, errors=encoding.errors, newline="") as text:
        for number, line in enumerate(text, start=1):
            if "\0" in line:
                raise unusable(name, f"a NUL byte (byte 0) stands in line {number}, so this is no plain text")
            yield line


def clean(text: str, encoding: str = "") -> Cleaned:
    """A cell as it is kept: stripped, numeric character references in their own letters.

    Stray bytes become the Windows-1252 letter they most likely are, or U+FFFD; both are told in
    ``trouble``.  Control codes become spaces.
    """
    if not _NOT_PLAIN.search(text):
        return Cleaned(text.strip())
    trouble = ""
    if _ESCAPED.search(text):
        text, trouble = _mended(text, encoding)
    elif "\ufffd" in text:
        trouble = "a letter was lost before or while the file was read; it stands as \ufffd"
    if "&" in text:
        text = _REFERENCE.sub(_referred, text)
    text = text.replace("_x000D_", "").replace("\r\n", "\n").replace("\r", "\n").replace("\x0b", "\n")
    return Cleaned(_CONTROL.sub(" ", text).strip(), trouble)


def _mended(text: str, encoding: str) -> tuple[str, str]:
    stray = "utf-8" in encoding
    mended = _ESCAPED.sub(lambda found: _letter(found[0]), text)
    if stray and "\ufffd" not in mended:
        return mended, "a byte is not UTF-8; read as Windows-1252"
    where = "UTF-8 or Windows-1252" if stray else encoding or "this text"
    return mended, f"a byte or code means nothing in {where}; it stands as \ufffd"


def _letter(escaped: str) -> str:
    byte = ord(escaped) - _LOW
    return bytes([byte]).decode("cp1252", "replace") if 0x80 <= byte <= 0xFF else "\ufffd"


def _referred(found: re.Match[str]) -> str:
    """The character a reference stands for; one that stands for nothing printable stays as typed."""
    letter = html.unescape(found[0])
    fits = (letter.isprintable() and letter != "\ufffd") or letter in "\n\xa0"
    return letter if fits else found[0]
