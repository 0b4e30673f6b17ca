"""The drying engine: bodies as plain numbers in, their courses out. The compiled part is in
physics/lanes_run.py.

A body's constants may change at stated hours (another temperature, another opening): each stretch is a
``Piece``.
The humidity of its room is a line between knots. Bodies do not know one another here; physics/coupled.py lets
them share one room.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from strandline.physics import lanes_table as at
from strandline.physics.diffusivity import Diffusivity
from strandline.physics.grid import STEEP_POWER, Grid, grid
from strandline.physics.isotherm import Isotherm

Floats = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]

CELLS = 40
STRAIN_CELLS = 48
TOLERANCE = 1e-4
STRAIN_TOLERANCE = 1e-5
"""Strain asks for shorter steps than moisture: its peak is up to 7 % off at 1e-4, 5 % at 3e-5, 1.4 % here."""
FOREVER_H = 1e12
SECONDS_PER_HOUR = 3600.0
OPEN_M_S = 100.0
"""Conductance that stands for no cover at all: the air at the film's edge is that of the room to within
1e-4."""
FIRST_STEP_H = 0.01


class EngineError(ArithmeticError):
    """The steps of a body shrank to nothing: its numbers are beyond what the engine can follow."""


@dataclass(frozen=True, slots=True)
class Piece:
    """What holds for a body until an hour.

    ``surface_m_s`` is the conductance for vapour between its surface and the air around it (film and
    coatings in series); ``outer_m_s`` that between this air and the room, per area of the body;
    ``air_depth_m`` the volume of this air over the area of the body; ``cooling`` how much the evaporation
    cools it: the rate is divided by 1 + cooling x (humidity at the surface). ``relax_h`` is the time in
    which strain eases to 1/e of itself.
    """

    until_h: float
    isotherm: Isotherm
    diffusivity: Diffusivity
    saturation_kg_m3: float
    surface_m_s: float
    outer_m_s: float = OPEN_M_S
    air_depth_m: float = 0.01
    cooling: float = 0.0
    relax_h: float = FOREVER_H


@dataclass(frozen=True, slots=True)
class Body:
    """A body that dries: ``half_m`` is the half thickness of a plane (the whole if one face is shut) or the
    radius.

    ``profile`` is its moisture [kg/kg]: one number, or one per vertex of the grid it will run on.
    ``room`` holds (hour, rh) knots; before the first and after the last the humidity stays.
    ``shrinkage`` is the free strain per kg/kg below ``fibre_saturation``; ``mechano`` the easing per kg/kg.
    """

    shape: str
    half_m: float
    dry_density_kg_m3: float
    pieces: tuple[Piece, ...]
    profile: float | tuple[float, ...]
    room: tuple[tuple[float, float], ...]
    cover_rh: float | None = None
    shrinkage: float = 0.0
    fibre_saturation: float = 0.3
    mechano: float = 0.0


@dataclass(slots=True)
class Batch:
    """Bodies of one shape as arrays, ready to run; ``state`` moves on with every run.

    sets (s, 27), first_set (b), climate (b, 2) places of the knots (k, 2), starts and ends (b) [h],
    state (b, 2 cells + 3): moisture of the vertices, humidity of the cover's air, strain of the vertices.
    """

    grid: Grid
    sets: Floats
    first_set: Whole
    climate: Whole
    knots: Floats
    starts: Floats
    ends: Floats
    state: Floats
    hints: Floats
    order: Whole = field(default_factory=lambda: np.zeros(0, dtype=np.int64))

    @property
    def cells(self) -> int:
        """Number of cells."""
        return len(self.grid.conductance)

    @property
    def mean(self) -> Floats:
        """Mean moisture of each body [kg/kg], shape (b)."""
        mean: Floats = self.state[:, : self.cells + 1] @ self.grid.volume
        return mean


@dataclass(frozen=True, slots=True)
class Dried:
    """Courses of bodies. All arrays (bodies, samples) but the last three, which are (bodies).

    mean and surface [kg/kg]; surface_rh, cover_rh as fractions; strain is the greatest tension of that
    moment; wettest the greatest moisture anywhere in the body, only where strain is asked for, else nan;
    peak_strain the greatest of the whole run with its hour; steps the engine took.
    """

    hours: Floats
    mean: Floats
    surface: Floats
    surface_rh: Floats
    cover_rh: Floats
    strain: Floats
    wettest: Floats
    peak_strain: Floats
    peak_at_h: Floats
    steps: Floats


def set_row(body: Body, piece: Piece) -> list[float]:
    """The numbers of a body and a piece as the lanes want them, in the order of ``lanes_table.SET_NAMES``."""
    exponent = {"plane": 0, "cylinder": 1, "sphere": 2}[body.shape]
    scale = SECONDS_PER_HOUR / (body.half_m * body.half_m)
    c, iso = piece.diffusivity.top, piece.isotherm
    p = [scale * value for value in piece.diffusivity.polynomial]
    rise = scale * piece.diffusivity.rise
    share = (exponent + 1) / (body.half_m * body.dry_density_kg_m3)
    leaving = SECONDS_PER_HOUR * piece.surface_m_s
    return [
        piece.until_h,
        1.0 / c,
        *(c * value / (power + 1) for power, value in enumerate(p)),
        p[0], p[1], p[2], p[3], p[4],
        c * sum(p),
        c * rise,
        rise,
        leaving * piece.saturation_kg_m3 * share,
        piece.cooling,
        leaving / piece.air_depth_m,
        SECONDS_PER_HOUR * piece.outer_m_s / piece.air_depth_m,
        1.0 / iso.m0,
        1.0 / iso.k,
        iso.k1,
        iso.k1 * iso.k2,
        body.shrinkage,
        body.fibre_saturation,
        body.mechano,
        1.0 / piece.relax_h,
    ]  # fmt: skip


def prepare(
    bodies: Sequence[Body],
    hours: float,
    *,
    cells: int = CELLS,
    power: float | None = None,
    start_h: float = 0.0,
) -> Batch:
    """Bodies of one shape as arrays.

    Rule: each body gets its own sets and knots; its cover's air starts at its ``cover_rh``, else at the
    room's.
    Source: none; bookkeeping.
    Range: at least one body; all of one shape.
    Doubt: none.
    Raises: ValueError for bodies of several shapes or a profile that does not fit the grid.

    >>> from strandline.physics.diffusivity import constant
    >>> piece = Piece(FOREVER_H, Isotherm(0.05, 0.8, 6.0, 2.0), constant(1e-10), 0.0173, 0.003)
    >>> prepare([Body("plane", 0.01, 500.0, (piece,), 0.6, ((0.0, 0.5),))], 24.0).state.shape
    (1, 83)
    """
    shapes = {body.shape for body in bodies}
    if len(shapes) != 1:
        raise ValueError(f"a batch holds bodies of one shape, not {sorted(shapes)}")
    one = grid(shapes.pop(), cells, power)
    sets: list[list[float]] = []
    knots: list[tuple[float, float]] = []
    first, climate = [], []
    state = np.zeros((len(bodies), 2 * cells + 3))
    for number, body in enumerate(bodies):
        hours_told = [hour for hour, _ in body.room]
        if not hours_told or hours_told != sorted(hours_told):
            raise ValueError(f"body {number}: the hours of its room's knots do not rise: {hours_told}")
        first.append(len(sets))
        sets.extend(set_row(body, piece) for piece in body.pieces)
        sets[-1][0] = FOREVER_H
        climate.append((len(knots), len(knots) + len(body.room)))
        knots.extend(body.room)
        profile = np.asarray(body.profile, dtype=np.float64)
        if profile.ndim and profile.shape != (cells + 1,):
            raise ValueError(f"body {number}: a profile of {profile.size} values for {cells + 1} vertices")
        state[number, : cells + 1] = profile
        state[number, cells + 1] = body.room[0][1] if body.cover_rh is None else body.cover_rh
    return Batch(
        one,
        np.array(sets),
        np.array(first, dtype=np.int64),
        np.array(climate, dtype=np.int64),
        np.array(knots, dtype=np.float64),
        np.full(len(bodies), start_h),
        np.full(len(bodies), start_h + hours),
        state,
        np.full(len(bodies), FIRST_STEP_H),
    )


def run(
    batch: Batch,
    samples_h: Sequence[float] | Floats,
    *,
    tolerance: float = TOLERANCE,
    strained: bool = False,
    longest_h: float = FOREVER_H,
    threads: int | None = None,
) -> Dried:
    """Take a batch to its ends, writing down each body at the sample hours; its state moves on in place.

    Equation: see physics/lanes.py.
    Source: finite-volumes, rodas3.
    Range: at the default tolerance and 40 cells mean moisture is within 1.5e-4 (plane), 2e-4 (cylinder) and
        3e-4 kg/kg (sphere) of a 320-cell run.
    Doubt: that of the numbers put in; strain needs 48 cells on a steep grid and STRAIN_TOLERANCE.
    Raises: EngineError, naming the bodies.

    >>> from strandline.physics.diffusivity import constant
    >>> piece = Piece(FOREVER_H, Isotherm(0.05, 0.8, 6.0, 2.0), constant(1e-10), 0.0173, 0.003)
    >>> body = Body("plane", 0.01, 500.0, (piece,), 0.6, ((0.0, 0.5),))
    >>> bool(run(prepare([body], 240.0), [240.0]).mean[0, 0] < 0.6)
    True
    """
    # Loaded here because numba takes a quarter of a second, which commands without a forecast do not spend.
    from strandline.physics.lanes_run import run_all

    bodies = len(batch.first_set)
    samples = np.ascontiguousarray(samples_h, dtype=np.float64)
    if np.any(np.diff(samples) < 0.0):
        raise ValueError("the sample hours do not rise")
    if np.any(batch.ends <= batch.starts):
        raise ValueError("a body must end later than it starts")
    out = np.full((bodies, len(samples), at.SAMPLE_COLUMNS), np.nan)
    peaks = np.zeros((bodies, 3))
    queues, sizes = share_out(batch.order if len(batch.order) else np.arange(bodies), threads or hands())
    run_all(
        queues, sizes, batch.cells, batch.grid.conductance, batch.grid.volume, tolerance, longest_h, strained,
        batch.first_set, batch.climate, batch.knots, batch.sets, batch.starts, batch.ends, samples,
        batch.state, peaks, batch.hints, out,
    )  # fmt: skip
    if lost := np.flatnonzero(peaks[:, 2] < 0).tolist():
        raise EngineError(
            f"the steps of bodies {lost[:5]} shrank to nothing; their numbers cannot be followed"
        )
    return Dried(samples, *(out[:, :, column] for column in range(at.SAMPLE_COLUMNS)), *peaks.T)


def dry(
    bodies: Sequence[Body],
    samples_h: Sequence[float],
    *,
    cells: int | None = None,
    tolerance: float | None = None,
    strained: bool = False,
) -> Dried:
    """Courses of any bodies, also of several shapes, in the order given; strain on a steep grid of 48 cells.

    Equation: see physics/lanes.py.
    Source: finite-volumes, rodas3.
    Range: sample hours rise from 0 or later.
    Doubt: see run.
    Raises: EngineError; ValueError for an unknown shape or a profile that does not fit.

    >>> from strandline.physics.diffusivity import constant
    >>> piece = Piece(FOREVER_H, Isotherm(0.05, 0.8, 6.0, 2.0), constant(1e-10), 0.0173, 0.003)
    >>> bodies = [Body(shape, 0.01, 500.0, (piece,), 0.6, ((0.0, 0.5),)) for shape in ("sphere", "plane")]
    >>> gone = dry(bodies, [48.0])
    >>> bool(gone.mean[0, 0] < gone.mean[1, 0])
    True
    """
    count = cells or (STRAIN_CELLS if strained else CELLS)
    power = STEEP_POWER if strained else None
    close = tolerance or (STRAIN_TOLERANCE if strained else TOLERANCE)
    places: dict[str, list[int]] = {}
    for number, body in enumerate(bodies):
        places.setdefault(body.shape, []).append(number)
    shape = (len(bodies), len(samples_h))
    columns = [np.full(shape, np.nan) for _ in range(at.SAMPLE_COLUMNS)]
    totals = [np.zeros(len(bodies)) for _ in range(3)]
    for members in places.values():
        batch = prepare([bodies[number] for number in members], samples_h[-1], cells=count, power=power)
        part = run(batch, samples_h, tolerance=close, strained=strained)
        found = (part.mean, part.surface, part.surface_rh, part.cover_rh, part.strain, part.wettest)
        for column, values in zip(columns, found, strict=True):
            column[members] = values
        for total, values in zip(totals, (part.peak_strain, part.peak_at_h, part.steps), strict=True):
            total[members] = values
    return Dried(np.asarray(samples_h, dtype=np.float64), *columns, *totals)


def share_out(order: Whole, hands: int) -> tuple[Whole, Whole]:
    """Deal the bodies out to queues, one for each thread: (hands, longest) and the length of each."""
    parts = [order[part::hands] for part in range(hands)]
    queues = np.zeros((hands, max(len(part) for part in parts)), dtype=np.int64)
    for number, part in enumerate(parts):
        queues[number, : len(part)] = part
    return queues, np.array([len(part) for part in parts], dtype=np.int64)


def hands() -> int:
    """How many threads may work: as many as processors this program may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
