"""A body dried under a kiln schedule: how long it takes, and how far its skin is strained on the way.

A schedule follows the mean moisture: each step holds until the mean has come down to the start of the next.
Several easing strains can be asked at once; they share the drying and differ only in the strain.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from strandline.physics.air import saturation_density_kg_m3
from strandline.physics.diffusion import DRIEST, WETTEST, transverse_diffusivity_m2_s
from strandline.physics.diffusivity import fitted
from strandline.physics.engine import FOREVER_H, STRAIN_CELLS, Body, Floats, Piece, prepare, run
from strandline.physics.grid import STEEP_POWER
from strandline.physics.kiln import Step
from strandline.physics.ranges import within
from strandline.physics.sorption import wood_isotherm
from strandline.physics.strain import relax_time_h

KILN_AIR_M_S = 0.012
"""Conductance for vapour of the film on a board in kiln air of 1 to 2 m/s."""
END = 0.08
"""Mean moisture [kg/kg] at which a schedule is over, where nothing else is said."""
FINE = 1e-5
"""Tolerance of the steps: the peak of the strain is sharper than the mean moisture."""
LONGEST_STEP_H = 4000.0
SAMPLE_H = 0.5


class NeverDryError(ArithmeticError):
    """A step of a schedule does not bring the body down to the start of the next."""


@dataclass(frozen=True, slots=True)
class Board:
    """What is dried: ``half_m`` half its thickness (plane) or its radius; shrinkage to oven-dry.

    ``diffusivity_factor`` scales the diffusivity across the grain, ``surface_m_s`` is the film of the kiln.
    """

    half_m: float
    basic_density_kg_m3: float
    total_shrinkage: float
    fibre_saturation: float = 0.28
    shape: str = "plane"
    diffusivity_factor: float = 1.0
    surface_m_s: float = KILN_AIR_M_S


@dataclass(frozen=True, slots=True)
class Stage:
    """One step of the schedule as it ran; peaks are those of this step, one for each easing strain."""

    step: Step
    hours: float
    mean_end: float
    surface_end: float
    peaks: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class ScheduleRun:
    """The whole drying.

    For each easing strain the greatest tension, its hour from the start, and the number of the stage (from 0)
    in which it came.
    """

    hours: float
    peaks: tuple[float, ...]
    peaks_at_h: tuple[float, ...]
    peaks_in: tuple[int, ...]
    stages: tuple[Stage, ...]


def kiln_piece(board: Board, step: Step, relax_h: float = FOREVER_H) -> Piece:
    """What holds for a board during one step of a schedule.

    Rule: isotherm of wood, diffusivity across the grain times the board's factor (held below 0.05 and above
        fibre saturation), vapour density and easing time, all at the dry bulb of the step.
    Source: simpson-1973; siau-1984 (recalled); ashrae-f17-1.
    Range: dry bulb 0 to 99 degC; fibre saturation 0.06 to 0.32.
    Doubt: the board has the temperature of the dry bulb: while its surface is wet it is cooler.
    Raises: OutOfRange.

    >>> piece = kiln_piece(Board(0.0143, 560.0, 0.086), Step(math.inf, 43.3, 0.87, 0.177))
    >>> f"{piece.diffusivity.at(0.15):.3g}"
    '1.34e-10'
    """
    top = within("fibre_saturation", board.fibre_saturation, DRIEST + 0.01, WETTEST, "kg/kg")
    factor = within("diffusivity_factor", board.diffusivity_factor, 1e-6, 1e6)

    def law(moisture: float) -> float:
        held = min(max(moisture, DRIEST), top)
        return factor * transverse_diffusivity_m2_s(step.temp_c, held, board.basic_density_kg_m3)

    return Piece(
        until_h=FOREVER_H,
        isotherm=wood_isotherm(step.temp_c),
        diffusivity=fitted(law, top, DRIEST),
        saturation_kg_m3=saturation_density_kg_m3(step.temp_c),
        surface_m_s=board.surface_m_s,
        relax_h=relax_h,
    )


def run_schedule(
    board: Board,
    steps: Sequence[Step],
    easing_strains: Sequence[float],
    moisture_start: float,
    *,
    moisture_end: float = END,
    relax_h: Callable[[float], float] = relax_time_h,
    cells: int = STRAIN_CELLS,
    tolerance: float = FINE,
) -> ScheduleRun:
    """Dry a board under a schedule and say how far its skin was strained.

    Rule: each step holds until the mean moisture has come down to the start of the next, the last to
        ``moisture_end``; steps whose end lies above the start are left out. Mechano-sorptive easing per kg/kg
        is free strain per kg/kg over the easing strain; an infinite one leaves only viscous easing.
    Source: simpson-1991, chapter 7 (recalled) for the feedback; finite-volumes; strain-easing.
    Range: that of the engine; every step must be dry enough to reach the next.
    Doubt: the mean of one board steers, not the wettest of a charge; no warming up, no conditioning, so the
        time is the shortest possible. Diffusivity to a factor of two moves the time by as much.
    Raises: NeverDryError; OutOfRange; EngineError.

    >>> oak = Board(0.0143, 560.0, 0.086)
    >>> steps = (Step(math.inf, 43.3, 0.87, 0.177), Step(0.3, 48.9, 0.32, 0.057))
    >>> found = run_schedule(oak, steps, [0.009], 0.5, moisture_end=0.1, cells=12)
    >>> (len(found.stages), 0.004 < found.peaks[0] < 0.009)
    (2, True)
    """
    within("moisture_start", moisture_start, 0.0, 10.0, "kg/kg")
    slope = board.total_shrinkage / board.fibre_saturation
    mechanos = [_mechano(slope, one) for one in easing_strains]
    state: Floats | None = None
    stages: list[Stage] = []
    mean, gone_h = moisture_start, 0.0
    top, at_h, which = (np.zeros(len(mechanos)) for _ in range(3))
    for number, step in enumerate(steps):
        goal = steps[number + 1].moisture_start if number + 1 < len(steps) else moisture_end
        if mean <= goal:
            continue
        body = Body(
            shape=board.shape,
            half_m=board.half_m,
            dry_density_kg_m3=board.basic_density_kg_m3,
            pieces=(kiln_piece(board, step, relax_h(step.temp_c)),),
            profile=moisture_start,
            room=((0.0, step.rh),),
            shrinkage=slope,
            fibre_saturation=board.fibre_saturation,
        )
        hours = _hours_to(body, goal, state, cells, tolerance)
        batch = prepare([replace(body, mechano=m) for m in mechanos], hours, cells=cells, power=STEEP_POWER)
        if state is not None:
            batch.state[:] = state
        dried = run(batch, [hours], tolerance=tolerance, strained=True)
        higher = dried.peak_strain > top
        at_h, which = (
            np.where(higher, gone_h + dried.peak_at_h, at_h),
            np.where(higher, len(stages), which),
        )
        top = np.maximum(top, dried.peak_strain)
        state, mean, gone_h = batch.state, float(dried.mean[0, -1]), gone_h + hours
        mean = min(mean, goal)
        peaks = tuple(float(peak) for peak in dried.peak_strain)
        stages.append(Stage(step, hours, mean, float(dried.surface[0, -1]), peaks))
    return ScheduleRun(
        hours=gone_h,
        peaks=tuple(float(one) for one in top),
        peaks_at_h=tuple(float(one) for one in at_h),
        peaks_in=tuple(int(one) for one in which),
        stages=tuple(stages),
    )


def _mechano(slope: float, easing_strain: float) -> float:
    """Easing per kg/kg for one easing strain; none for an infinite one."""
    if math.isinf(easing_strain) and easing_strain > 0.0:
        return 0.0
    return slope / within("easing_strain", easing_strain, 1e-6, 10.0)


def _hours_to(body: Body, goal: float, state: Floats | None, cells: int, tolerance: float) -> float:
    """Hours until the mean has come down to the goal.  Raises NeverDryError."""
    start_h, horizon_h = 0.0, 48.0
    batch = prepare([body], LONGEST_STEP_H, cells=cells, power=STEEP_POWER)
    if state is not None:
        batch.state[:] = state[:1]
    while start_h < LONGEST_STEP_H:
        end_h = min(horizon_h, LONGEST_STEP_H)
        batch.starts[:], batch.ends[:] = start_h, end_h
        samples = np.linspace(start_h, end_h, 1 + round((end_h - start_h) / SAMPLE_H))
        dried = run(batch, samples, tolerance=tolerance)
        below = np.flatnonzero(dried.mean[0] <= goal)
        if below.size:
            last = max(1, int(below[0]))
            before, after = dried.mean[0, last - 1], dried.mean[0, last]
            share = min(1.0, max(0.0, (before - goal) / (before - after)))
            return float(samples[last - 1] + share * (samples[last] - samples[last - 1]))
        start_h, horizon_h = end_h, 4.0 * end_h
    raise NeverDryError(f"air of {body.room[0][1]:.0%} does not bring the body down to {goal:g} kg/kg")
