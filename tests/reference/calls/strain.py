"""What answers for the rows of ``strain.csv``: the engine for a course, the scalar functions for the rest."""

from __future__ import annotations

from functools import cache

from strandline.knowledge import kiln
from strandline.knowledge.timbers import timber
from strandline.physics import strain
from strandline.physics.diffusivity import Diffusivity
from strandline.physics.engine import FOREVER_H, Body, Dried, Piece, dry
from strandline.physics.isotherm import Isotherm
from strandline.physics.schedule_run import Board, ScheduleRun, run_schedule
from strandline.physics.sorption import equilibrium_moisture, equilibrium_rh
from strandline.physics.strain import EASING_STRAIN

Case = dict[str, float | str]
SAME = 1.0


def body_of(case: Case) -> Body:
    """A case as a body."""
    n = {name: float(value) for name, value in case.items() if name != "shape"}
    change_h = n.get("change_h", FOREVER_H)
    pieces = [_piece(n, change_h, n["k_m"], SAME, n.get("relax_h", FOREVER_H))]
    if "change_h" in n:
        pieces.append(_piece(n, FOREVER_H, n["k_m_2"], n["factor_2"], n["relax_h_2"]))
    room: tuple[tuple[float, float], ...] = ((0.0, n["rh"]),)
    if "rh_end" in n:
        room = (*room, (n["ramp_h"], n["rh_end"]))
    return Body(
        shape=str(case["shape"]),
        half_m=n["half_mm"] / 1000.0,
        dry_density_kg_m3=n["density"],
        pieces=tuple(pieces),
        profile=n["start"],
        room=room,
        shrinkage=n["beta"],
        fibre_saturation=n["fibre"],
        mechano=n["mechano"],
    )


def _piece(n: dict[str, float], until_h: float, k_m: float, factor: float, relax_h: float) -> Piece:
    """One stretch."""
    shape = (factor * n["p0"], factor * n["p1"], factor * n["p2"], 0.0, 0.0)
    return Piece(
        until_h=until_h,
        isotherm=Isotherm(n["m0"], n["k"], n["k1"], n["k2"]),
        diffusivity=Diffusivity(n["c"], shape),
        saturation_kg_m3=n["rho_sat"],
        surface_m_s=k_m,
        relax_h=relax_h,
    )


@cache
def _course(items: tuple[tuple[str, float | str], ...], at_h: float | None) -> Dried:
    """The course of a case as users get it: 48 cells, the tolerance of the engine."""
    case: Case = dict(items)
    hours = float(case["hours"])
    samples = [hours] if at_h is None else [at_h, hours]
    return dry([body_of(case)], samples, strained=True)


def peak_strain(**case: float | str) -> float:
    """Greatest tension of the whole course."""
    return float(_course(tuple(case.items()), None).peak_strain[0])


def strain_at(at_h: float, **case: float | str) -> float:
    """Greatest tension at an hour."""
    return float(_course(tuple(case.items()), at_h).strain[0, 0])


@cache
def _scheduled(
    wood: str, schedule: str, thickness_mm: float, start: float, end: float, easing: float
) -> ScheduleRun:
    """A board under the schedule of a species."""
    held = timber(wood)
    board = Board(thickness_mm / 2000.0, held.basic_density_kg_m3[1], held.tangential_to_oven_dry[1])
    steps = kiln.schedule(schedule.replace("_", " ")).steps
    return run_schedule(board, steps, [easing], start, moisture_end=end)


def scheduled_hours(
    wood: str, schedule: str, thickness_mm: float, start: float, end: float, easing: float = EASING_STRAIN[1]
) -> float:
    """Hours through a schedule."""
    return _scheduled(wood, schedule, thickness_mm, start, end, easing).hours


def scheduled_days(wood: str, schedule: str, thickness_mm: float, start: float, end: float) -> float:
    """Days through a schedule."""
    return scheduled_hours(wood, schedule, thickness_mm, start, end) / 24.0


def scheduled_peak(
    wood: str, schedule: str, thickness_mm: float, start: float, end: float, easing: float
) -> float:
    """Greatest tension under a schedule."""
    return _scheduled(wood, schedule, thickness_mm, start, end, easing).peaks[0]


def swelling(total_shrinkage: float, temp_c: float, rh_low: float, rh_high: float) -> float:
    """Free strain between two humidities."""
    dry_at, wet_at = (equilibrium_moisture(temp_c, rh) for rh in (rh_low, rh_high))
    wet = strain.free_strain(total_shrinkage, wet_at, 0.30)
    return strain.free_strain(total_shrinkage, dry_at, 0.30) - wet


def limit(of: str) -> float:
    """A strain that ships as a limit."""
    return {
        "yield": strain.YIELD_STRAIN,
        "warning": strain.WARNING_STRAIN,
        "gesso": strain.GESSO_STRAIN,
    }[of]


def easing_per_moisture(free_strain_per_moisture: float, band: str) -> float:
    """Mechano-sorptive easing per kg/kg: modulus times mechano-sorptive coefficient, without unit."""
    easing = dict(zip(("low", "middle", "high"), EASING_STRAIN, strict=True))[band]
    return free_strain_per_moisture / easing


def lowest_rh(strain_limit: float, total_shrinkage: float, temp_c: float, rh: float) -> float:
    """Humidity down to which a held, elastic piece may come without passing the limit."""
    change = strain.greatest_change(strain_limit, total_shrinkage)
    return equilibrium_rh(temp_c, equilibrium_moisture(temp_c, rh) - change)
