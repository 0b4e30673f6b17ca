"""The size of a body: what its numbers give, what has to be assumed, and the plane that dries as fast."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from strandline.physics.grid import SHAPES
from strandline.physics.ranges import within
from strandline.physics.shapes import combined_half_m, equivalent_half_m
from strandline.things.drying import Assumption, Flag, WetBody

ASSUMED_THICKNESS_MM = 20.0
WIDE, LONG = 8.0, 20.0
"""Width and length over the thickness where they are not known: of a board, so that edges hardly count."""
LEAST_WIDTH_MM, LEAST_LENGTH_MM = 60.0, 300.0
"""The same where the thickness is that of a sheet or a thread: nobody covers a flag of 3 mm by 8."""
EDGES_COUNT = 0.9
SMALLEST_MM, LARGEST_MM = 0.01, 100_000.0
UNIT_M2_S = 1e-10
"""Only the ratio of diffusivities counts; this is what it is taken over."""


@dataclass(frozen=True, slots=True)
class Size:
    """``half_m`` is what the engine runs; ``area_m2`` and ``volume_m3`` are those of the whole body.

    ``open_m2`` is the area through which the body that is run gives off its water: volume and half thickness
    fix it. What a cover passes is shared out over this area, so that in all it passes what it can.
    """

    half_m: float
    thickness_m: float
    area_m2: float
    open_m2: float
    volume_m3: float
    known: bool
    assumed: tuple[Assumption, ...]
    flags: tuple[Flag, ...]


def size_of(wet: WetBody, along: float) -> Size:
    """Size from what is known of a body; ``along`` is the diffusivity along the grain over that across.

    A box or a short cylinder runs as the plane or cylinder that in the end dries as fast as it does with all
    its faces (the product rule's late stage); that is flagged where it matters.
    Raises ValueError for another shape or number of faces, OutOfRange for a size that is none.
    """
    _check(wet)
    assumed: list[Assumption] = []
    thickness = wet.thickness_mm
    if thickness is None:
        thickness = ASSUMED_THICKNESS_MM
        why = "no thickness given: time goes with its square, so measure it"
        assumed.append(Assumption("thickness_mm", f"{thickness:g} mm", why, (), "c"))
    depth = thickness / 1000.0
    told = wet.shape == "sphere" or wet.length_mm is not None
    told = told and (wet.shape != "plane" or wet.width_mm is not None)
    known = told and wet.thickness_mm is not None and wet.thickness_band_mm is None
    if not (known or (told and wet.thickness_band_mm)) and wet.shape != "sphere":
        assumed.append(
            Assumption(
                "size", "as a board or rod", "width or length not given: weight and cover are rough", (), "c"
            )
        )
    width = (wet.width_mm or max(WIDE * thickness, LEAST_WIDTH_MM)) / 1000.0
    length = (wet.length_mm or max(LONG * thickness, LEAST_LENGTH_MM)) / 1000.0
    if wet.shape == "sphere":
        area, volume = math.pi * depth**2, math.pi * depth**3 / 6
        return Size(depth / 2, depth, area, area, volume, known, tuple(assumed), ())
    half = depth / 2 if wet.faces == 2 or wet.shape == "cylinder" else depth
    end = equivalent_half_m(length / 2, along * UNIT_M2_S, UNIT_M2_S) if wet.length_mm else math.inf
    if wet.shape == "cylinder":
        # The late rate of a long cylinder is that of a plane of half thickness r (pi/2) / 2.405.
        as_plane = half * (math.pi / 2.0) / 2.404826
        factor = combined_half_m(as_plane, end) / as_plane
        area, volume = math.pi * depth * length + math.pi * depth**2 / 2, math.pi * depth**2 / 4 * length
    else:
        edge = width / 2 if wet.width_mm else math.inf
        factor = combined_half_m(half, edge, end) / half
        area = wet.faces * width * length + 2.0 * depth * (width + length)
        volume = depth * width * length
    flags: tuple[Flag, ...] = ()
    if factor < EDGES_COUNT:
        say = "edges count: reckoned as the plane that in the end dries as fast; early on it loses more"
        flags = (Flag("product_rule", say),)
    open_m2 = (SHAPES.index(wet.shape) + 1) * volume / (half * factor)
    return Size(half * factor, depth, area, open_m2, volume, known, tuple(assumed), flags)


def half_of(wet: WetBody, thickness_mm: float, along: float = 1.0) -> float:
    """Half thickness [m] of the plane that dries as fast, were the body this thick."""
    return size_of(replace(wet, thickness_mm=thickness_mm, thickness_band_mm=None), along).half_m


def _check(wet: WetBody) -> None:
    """Refuse what is no body."""
    if wet.shape not in SHAPES or wet.faces not in (1, 2):
        raise ValueError(f"{wet.tag}: a body is a {', '.join(SHAPES)} with 1 or 2 open faces")
    for name in ("thickness_mm", "width_mm", "length_mm"):
        size = getattr(wet, name)
        if size is not None:
            within(name, size, SMALLEST_MM, LARGEST_MM, "mm")
    band = wet.thickness_band_mm
    if band is not None:
        for size in band:
            within("thickness_band_mm", size, SMALLEST_MM, LARGEST_MM, "mm")
        if not band[0] < band[1] < band[2] or wet.thickness_mm != band[1]:
            raise ValueError(f"{wet.tag}: a band of thickness rises, and its middle is the thickness")
