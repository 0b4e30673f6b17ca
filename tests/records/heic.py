"""A small HEIC file made here: squares of grey, each sent as plain samples (H.265, intra, PCM).

The reader the program uses can only read, and no camera's file lies in the tests.  ITU-T H.265 and
ISO/IEC 23008-12 say what the fields are; every one that is left out here has its simplest value.
"""

import struct
from collections.abc import Sequence

SIDE = 32
"""Pixels of a side of a square: one coding tree, one slice."""

PROFILE = 3  # main still picture
COMPATIBLE = 0x70000000
LEVEL = 30
VPS, SPS, PPS, IDR = 32, 33, 34, 20


class Bits:
    """A string of bits, and the arithmetic coder's way to write into it."""

    def __init__(self) -> None:
        self.text = ""

    def u(self, count: int, value: int) -> None:
        """An unsigned number of so many bits."""
        self.text += f"{value:0{count}b}"

    def ue(self, *values: int) -> None:
        """Exponential-Golomb numbers, each nought or more."""
        for value in values:
            body = f"{value + 1:b}"
            self.text += "0" * (len(body) - 1) + body

    def align(self) -> None:
        """Noughts up to the next byte."""
        self.text += "0" * (-len(self.text) % 8)

    def trail(self) -> None:
        """The stop bit and noughts."""
        self.text += "1"
        self.align()

    def take(self) -> bytes:
        """The bytes."""
        return int(self.text, 2).to_bytes(len(self.text) // 8, "big")


def ended(width: int) -> str:
    """What the arithmetic coder puts out for a last bin of 1, if its range is ``width`` and nothing is out.

    Two of the range are left and its low end moves up; its ten bits are put out, the very first never is, and
    the last one is 1.
    """
    return f"{(width - 2) | 1:010b}"[1:]


def nal(kind: int, body: bytes) -> bytes:
    """A unit with its header; a 3 goes in wherever a start code could be seen."""
    out = bytearray()
    for byte in body:
        if byte <= 3 and out[-2:] == b"\0\0":
            out.append(3)
        out.append(byte)
    return struct.pack(">H", kind << 9 | 1) + bytes(out)


def profile(bits: Bits) -> None:
    """Profile, tier and level."""
    bits.u(8, PROFILE)
    bits.u(32, COMPATIBLE)
    bits.u(4, 0b1001)
    bits.u(44, 0)
    bits.u(8, LEVEL)


def vps() -> bytes:
    """Video parameters."""
    bits = Bits()
    bits.u(4, 0)
    bits.u(2, 3)
    bits.u(9, 0)
    bits.u(1, 1)
    bits.u(16, 0xFFFF)
    profile(bits)
    bits.u(1, 1)
    bits.ue(0, 0, 0)
    bits.u(6, 0)
    bits.ue(0)
    bits.u(2, 0)
    bits.trail()
    return nal(VPS, bits.take())


def sps(squares: int) -> bytes:
    """Sequence parameters: a row of squares, 4:2:0, eight bits, PCM of 32 by 32."""
    bits = Bits()
    bits.u(7, 0)
    bits.u(1, 1)
    profile(bits)
    bits.ue(0, 1, SIDE * squares, SIDE)
    bits.u(1, 0)
    bits.ue(0, 0, 0)
    bits.u(1, 1)
    bits.ue(0, 0, 0)
    bits.ue(2, 0, 0, 3, 0, 0)
    bits.u(3, 0)
    bits.u(1, 1)
    bits.u(8, 0x77)
    bits.ue(2, 0)
    bits.u(1, 1)
    bits.ue(0)
    bits.u(5, 0)
    bits.trail()
    return nal(SPS, bits.take())


def pps() -> bytes:
    """Picture parameters: no filter over edges."""
    bits = Bits()
    bits.ue(0, 0)
    bits.u(7, 0)
    bits.ue(0, 0, 0)
    bits.u(3, 0)
    bits.ue(0, 0)
    bits.u(7, 0)
    bits.u(3, 0b101)
    bits.u(2, 0)
    bits.ue(0)
    bits.u(2, 0)
    bits.trail()
    return nal(PPS, bits.take())


def square(number: int, squares: int, grey: int) -> bytes:
    """One slice: one square of one grey, as plain samples."""
    bits = Bits()
    bits.u(1, number == 0)
    bits.u(1, 0)
    bits.ue(0)
    if number:
        bits.u((squares - 1).bit_length(), number)
    bits.ue(2)
    bits.ue(0)
    bits.trail()
    bits.text += ended(510 - 240)  # one whole block: the likely bin, from the even state
    bits.align()
    bits.text += "".join(f"{grey:08b}" * SIDE * SIDE) + f"{128:08b}" * (SIDE * SIDE // 2)
    bits.text += ended(510)
    bits.align()
    return nal(IDR, bits.take())


def box(kind: str, *inside: bytes) -> bytes:
    """A box of the file."""
    body = b"".join(inside)
    return struct.pack(">I4s", len(body) + 8, kind.encode()) + body


def full(kind: str, version: int, *inside: bytes) -> bytes:
    """A box with a version."""
    return box(kind, bytes([version, 0, 0, 0]), *inside)


def decoder_setup(units: Sequence[bytes]) -> bytes:
    """The hvcC box."""
    head = struct.pack(
        ">BBI6sBHBBBBHB", 1, PROFILE, COMPATIBLE, b"\x90", LEVEL, 0xF000, 0xFC, 0xFD, 0xF8, 0xF8, 0, 0x0F
    )
    arrays = [
        struct.pack(">BHH", 0x80 | kind, 1, len(unit)) + unit
        for kind, unit in zip((VPS, SPS, PPS), units, strict=True)
    ]
    return box("hvcC", head, bytes([len(arrays)]), *arrays)


def heic(greys: Sequence[int], quarter_turns: int = 0, exif: bytes = b"") -> bytes:
    """Grey squares in a row, shown turned anticlockwise by quarters; ``exif`` begins with its TIFF header."""
    count = len(greys)
    slices = [square(n, count, grey) for n, grey in enumerate(greys)]
    picture = b"".join(struct.pack(">I", len(one)) + one for one in slices)
    about = struct.pack(">I", 0) + exif
    items = [b"hvc1", b"Exif"]
    infos = [full("infe", 2, struct.pack(">HH4sB", n, 0, kind, 0)) for n, kind in enumerate(items, 1)]
    properties = box(
        "iprp",
        box(
            "ipco",
            decoder_setup((vps(), sps(count), pps())),
            full("ispe", 0, struct.pack(">II", SIDE * count, SIDE)),
            box("irot", bytes([quarter_turns])),
        ),
        full("ipma", 0, struct.pack(">IHB3B", 1, 1, 3, 0x81, 0x02, 0x83)),
    )

    def whole(start: int) -> bytes:
        spots = (start, len(picture)), (start + len(picture), len(about))
        places = b"".join(struct.pack(">HHHII", n, 0, 1, *spot) for n, spot in enumerate(spots, 1))
        meta = full(
            "meta", 0,
            full("hdlr", 0, struct.pack(">I4s12sB", 0, b"pict", b"", 0)),
            full("pitm", 0, struct.pack(">H", 1)),
            full("iinf", 0, struct.pack(">H", len(items)), *infos),
            full("iref", 0, box("cdsc", struct.pack(">HHH", 2, 1, 1))),
            properties,
            full("iloc", 0, struct.pack(">HH", 0x4400, len(items)), places),
        )  # fmt: skip
        return box("ftyp", b"heic\0\0\0\0mif1heic") + meta + box("mdat", picture, about)

    head = len(whole(0)) - len(picture) - len(about)
    return whole(head)
