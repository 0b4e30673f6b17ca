"""Bodies of many kinds for trying the drying engine: drawn from a seed, the same each time.

Rounded numbers of the right order for wood, leather and bone; what is tried is the solving, not the
materials.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from strandline.physics.air import saturation_pressure_pa
from strandline.physics.diffusivity import Diffusivity
from strandline.physics.engine import FOREVER_H, Body, Piece
from strandline.physics.isotherm import Isotherm

SHAPES = ("plane", "cylinder", "sphere")
HOURS = 720.0
GAS_J_KG_K = 461.5
BARRIER_J_MOL = 35_000.0


@dataclass(frozen=True, slots=True)
class Stuff:
    """One material: its diffusivity at 20 degC, isotherm, dry density, start and shrinkage."""

    diffusivity: Diffusivity
    isotherm: Isotherm
    dry_density_kg_m3: float
    start: tuple[float, float]
    shrinkage: float
    fibre_saturation: float


WOOD_AIR = Isotherm(0.04734, 0.8186, 5.961, 2.607)
PINE = Stuff(
    Diffusivity(0.3, (2.4e-11, 4.2e-11, 9e-11, -3e-11, 9e-11), 1.2e-9), WOOD_AIR, 420.0, (0.4, 1.5), 0.26, 0.3
)
OAK = Stuff(
    Diffusivity(0.28, (8e-12, 1.2e-11, 2.6e-11, -9e-12, 2.7e-11)), WOOD_AIR, 580.0, (0.4, 1.0), 0.3, 0.28
)
LEATHER = Stuff(
    Diffusivity(0.35, (1e-11, 3e-11, 5e-11, 0.0, 0.0), 4e-10),
    Isotherm(0.1, 0.75, 9.0, 0.0),
    700.0,
    (0.5, 1.5),
    0.3,
    0.4,
)
BONE = Stuff(
    Diffusivity(0.12, (5e-12, 1e-11, 1.5e-11, 0.0, 0.0), 6e-11), Isotherm(0.03445, 0.84, 11.39, 0.0), 1700.0,
    (0.15, 0.3), 0.16, 0.12,
)  # fmt: skip
STUFFS = (PINE, OAK, LEATHER, BONE)


def saturation_kg_m3(temp_c: float) -> float:
    """Density of saturated vapour."""
    return saturation_pressure_pa(temp_c) / (GAS_J_KG_K * (temp_c + 273.15))


def warmed(diffusivity: Diffusivity, temp_c: float) -> Diffusivity:
    """A diffusivity at another temperature than 20 degC."""
    factor = math.exp(-BARRIER_J_MOL / 8.314 * (1.0 / (temp_c + 273.15) - 1.0 / 293.15))
    p0, p1, p2, p3, p4 = (factor * value for value in diffusivity.polynomial)
    return Diffusivity(diffusivity.top, (p0, p1, p2, p3, p4), factor * diffusivity.rise)


def piece_of(stuff: Stuff, temp_c: float, until_h: float = FOREVER_H, **numbers: float) -> Piece:
    """A piece at a temperature: film 3 mm/s, no cover, unless said otherwise."""
    given = {"surface_m_s": 3e-3, **numbers}
    return Piece(
        until_h, stuff.isotherm, warmed(stuff.diffusivity, temp_c), saturation_kg_m3(temp_c), **given
    )


def body_of(stuff: Stuff, shape: str = "plane", half_m: float = 0.01, **numbers: object) -> Body:
    """A body at 20 degC from 0.6 kg/kg in a room of 50 %, unless said otherwise."""
    given = {"pieces": (piece_of(stuff, 20.0),), "profile": 0.6, "room": ((0.0, 0.5),), **numbers}
    return Body(shape, half_m, stuff.dry_density_kg_m3, **given)


def some_bodies(
    count: int, seed: int = 1, shape: str | None = None, hours: float = HOURS, lively: bool = True
) -> list[Body]:
    """Bodies of 1 to 40 mm, at 10 to 30 degC, behind openings of 2e-5 to 3e-3 m/s; a third change their
    climate
    once, half stand in a room whose humidity swings by the day; with ``lively`` false none of that."""
    draw = random.Random(seed)
    return [_one(draw, shape, hours, lively) for _ in range(count)]


def _one(draw: random.Random, shape: str | None, hours: float, lively: bool) -> Body:
    stuff = draw.choice(STUFFS)
    half_m = math.exp(draw.uniform(math.log(1e-3), math.log(0.04)))
    changes = [draw.uniform(0.1, 0.6) * hours] if lively and draw.random() < 1.0 / 3.0 else []
    pieces = tuple(
        piece_of(
            stuff,
            draw.uniform(10.0, 30.0),
            until_h,
            surface_m_s=math.exp(draw.uniform(math.log(5e-4), math.log(5e-3))),
            outer_m_s=math.exp(draw.uniform(math.log(2e-5), math.log(3e-3))),
            air_depth_m=draw.uniform(0.01, 0.2),
            cooling=draw.uniform(0.0, 0.8),
            relax_h=draw.uniform(200.0, 1000.0),
        )
        for until_h in [*changes, FOREVER_H]
    )
    middle, swing = draw.uniform(0.4, 0.65), draw.uniform(0.0, 0.15)
    if lively and draw.random() < 0.5:
        ticks = range(int(hours / 6.0) + 1)
        room = tuple((6.0 * tick, middle + swing * math.sin(0.5 * math.pi * tick)) for tick in ticks)
    else:
        room = ((0.0, middle),)
    return Body(
        shape or draw.choice(SHAPES), half_m, stuff.dry_density_kg_m3, pieces, draw.uniform(*stuff.start),
        room,
        shrinkage=stuff.shrinkage, fibre_saturation=stuff.fibre_saturation, mechano=draw.uniform(15.0, 60.0),
    )  # fmt: skip
