"""What answers for the rows of ``coupled.csv``: several bodies in one room, on 20 cells as in the reference.

The numbers of the rooms and their bodies stand here once, for the engine and for ``make/coupled.py``, which
solves the same equations on its own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from strandline.physics.coupled import SharedRoom, Together, dry_together
from strandline.physics.diffusivity import Diffusivity
from strandline.physics.engine import FOREVER_H, Body, Piece
from strandline.physics.isotherm import Isotherm

CELLS = 20
HOURS = 480.0
KNOT_H = 0.25
TOLERANCE = 1e-5
SATURATION_KG_M3 = 0.0173


@dataclass(frozen=True, slots=True)
class One:
    """A body of a case: its numbers and its area."""

    shape: str
    half_m: float
    area_m2: float
    material: str
    start: float
    surface_m_s: float
    outer_m_s: float
    air_depth_m: float
    cooling: float


@dataclass(frozen=True, slots=True)
class Case:
    """A room with its bodies."""

    volume_m3: float
    air_change_per_h: float
    outside_mean_kg_m3: float
    outside_swing_kg_m3: float
    removed_kg_h: float
    start_rh: float
    bodies: tuple[One, ...]


MATERIALS: dict[str, tuple[float, tuple[float, ...], tuple[float, ...]]] = {
    # dry density; top, p0 to p4, rise; m0, k, k1, k2
    "pine": (420.0, (0.3, 2.4e-11, 4.2e-11, 9e-11, -3e-11, 9e-11, 1.2e-9), (0.04734, 0.8186, 5.961, 2.607)),
    "oak": (580.0, (0.28, 8e-12, 1.2e-11, 2.6e-11, -9e-12, 2.7e-11, 0.0), (0.04734, 0.8186, 5.961, 2.607)),
    "leather": (700.0, (0.35, 1e-11, 3e-11, 5e-11, 0.0, 0.0, 4e-10), (0.1, 0.75, 9.0, 0.0)),
    "bone": (1700.0, (0.12, 5e-12, 1e-11, 1.5e-11, 0.0, 0.0, 6e-11), (0.03445, 0.84, 11.39, 0.0)),
}
CASES = {
    "crowded": Case(
        40.0, 0.3, 0.0085, 0.0015, 0.0, 0.6,
        (
            One("plane", 0.012, 2.0, "pine", 1.1, 2.5e-3, 2e-3, 0.05, 0.3),
            One("plane", 0.030, 3.0, "oak", 0.7, 3e-3, 5e-4, 0.1, 0.2),
            One("cylinder", 0.020, 1.5, "pine", 0.9, 2e-3, 1e-3, 0.08, 0.3),
            One("sphere", 0.025, 0.8, "oak", 0.6, 2e-3, 3e-3, 0.05, 0.3),
            One("plane", 0.002, 2.5, "leather", 1.2, 3e-3, 1e-3, 0.03, 0.4),
            One("cylinder", 0.008, 0.6, "bone", 0.22, 2e-3, 1.5e-3, 0.04, 0.3),
        ),
    ),
    "dehumidified": Case(
        120.0, 0.5, 0.0095, 0.001, 0.4, 0.55,
        (
            One("plane", 0.020, 6.0, "pine", 1.3, 2.5e-3, 3e-3, 0.05, 0.3),
            One("cylinder", 0.015, 4.0, "oak", 0.8, 2e-3, 2e-3, 0.06, 0.2),
            One("plane", 0.003, 8.0, "leather", 1.0, 3e-3, 5e-4, 0.03, 0.4),
            One("sphere", 0.030, 2.0, "pine", 0.8, 2.5e-3, 1e-3, 0.10, 0.3),
            One("plane", 0.006, 3.0, "bone", 0.25, 2e-3, 2e-3, 0.05, 0.3),
        ),
    ),
}  # fmt: skip


def outside_kg_m3(case: Case, hour: float) -> float:
    """Vapour in the air that comes in: a day's swing."""
    return case.outside_mean_kg_m3 + case.outside_swing_kg_m3 * math.sin(math.pi * hour / 12.0)


def removed_kg_h(case: Case, rh: float) -> float:
    """What the machine takes: the more, the moister the room."""
    return case.removed_kg_h * rh * rh


def body_of(one: One) -> Body:
    """A body as the engine wants it; the room's humidity is put in by the room."""
    density, (top, p0, p1, p2, p3, p4, rise), (m0, k, k1, k2) = MATERIALS[one.material]
    law = Diffusivity(top, (p0, p1, p2, p3, p4), rise)
    piece = Piece(
        FOREVER_H, Isotherm(m0, k, k1, k2), law, SATURATION_KG_M3,
        one.surface_m_s, one.outer_m_s, one.air_depth_m, one.cooling,
    )  # fmt: skip
    return Body(one.shape, one.half_m, density, (piece,), one.start, ((0.0, 0.5),))


@cache
def together(name: str, knot_h: float = KNOT_H, cells: int = CELLS, tolerance: float = TOLERANCE) -> Together:
    """The engine's answer for a case; the air under the covers starts at the room's humidity."""
    case = CASES[name]
    room = SharedRoom(
        case.volume_m3, SATURATION_KG_M3, case.air_change_per_h,
        lambda hour: outside_kg_m3(case, hour), lambda rh, hour: removed_kg_h(case, rh), case.start_rh,
    )  # fmt: skip
    bodies = [
        Body(one.shape, one.half_m, one.dry_density_kg_m3, one.pieces, one.profile, one.room, case.start_rh)
        for one in map(body_of, case.bodies)
    ]
    areas = [one.area_m2 for one in case.bodies]
    return dry_together(bodies, areas, room, HOURS, knot_h=knot_h, cells=cells, tolerance=tolerance)


def room_rh(case: str, hours: float) -> float:
    """Humidity of the room."""
    found = together(case)
    return float(found.room_rh[np.searchsorted(found.hours, hours)])


def mean_moisture(case: str, body: int, hours: float) -> float:
    """Mean moisture of a body [kg/kg]."""
    found = together(case)
    return float(found.mean[body, np.searchsorted(found.hours, hours)])
