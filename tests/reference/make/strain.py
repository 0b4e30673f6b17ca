"""Makes the rows of strain.csv that come from a solver of our own choosing: SciPy 1.17.1.

Method of lines on a grid written here: cells of equal ratio, thinnest at the surface, moisture at their
middles and one more unknown on the surface itself. Moisture by LSODA (banded); then the strain of every cell
by an explicit Runge-Kutta method along the interpolated moisture, as an ordinary differential equation

    de/dt = -beta (ds/dt - mean ds/dt) - e (mechano |ds/dt| + 1/relax) - (mean of all that),

so that the section stays flat. Nothing is shared with the engine: other grid, other methods, other order.
Two schedules are run to their ends as well, each step until the mean moisture has come down (an event of the
solver); only the steps themselves come from our file of schedules.
s is the moisture that counts for shrinkage, (u + f - sqrt((u - f)^2 + 0.01^2)) / 2 with fibre saturation f.

Moisture: du/dt = x^-m d/dx (x^m D du/dx); D a polynomial in s1 = min(u/c, 1), constant beyond; at the surface
rho0 D du/dx = -k rho_sat (h - rh), h = (a + 1 - sqrt((a - 1)^2 + 0.01^2)) / 2, a = x/k of the isotherm.

Rows typed from pages stay as they are; rows this script made before are replaced. A row whose two grids (160
and 260 cells) differ by more than half a percent stops the script.

Run: PYTHONPATH=src:. python tests/reference/make/strain.py (a minute or two).
"""

from __future__ import annotations

import csv
import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import scipy
from scipy.integrate import RK45, cumulative_trapezoid, solve_ivp
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from strandline.knowledge.kiln import schedule

OUT = Path(__file__).parents[1] / "strain.csv"
COLUMNS = ("quantity", "inputs", "value", "unit", "tolerance", "source", "place", "how", "note", "miss")
HOW = f"library:scipy {scipy.__version__}"
EPS = 0.01
ORDER = {"plane": 0, "cylinder": 1, "sphere": 2}
GRIDS = (160, 260)
THINNEST = 2e-4
"""Thinnest cell over the half thickness."""
WORST = 0.005
FINE = 1e-8

PINE = {"density": 400, "c": 0.3, "p0": 4e-11, "p1": 6e-11, "p2": 1.2e-10, "beta": 0.26}
OAK = {"density": 580, "c": 0.28, "p0": 1.2e-11, "p1": 2e-11, "p2": 6e-11, "beta": 0.30}
LIME = {"density": 420, "c": 0.3, "p0": 3e-11, "p1": 5e-11, "p2": 1e-10, "beta": 0.32}
BONE = {"density": 1700, "c": 0.15, "p0": 5e-12, "p1": 1e-11, "p2": 1.5e-11, "beta": 0.16}
WOOD_20 = {"m0": 0.04734, "k": 0.8186, "k1": 5.961, "k2": 2.607, "rho_sat": 0.01728}
WOOD_45 = {"m0": 0.04146, "k": 0.8326, "k1": 5.234, "k2": 3.148, "rho_sat": 0.0655}
GAB_BONE = {"m0": 0.0512, "k": 0.669, "k1": 15.3, "k2": 0.0, "rho_sat": 0.01728}

Case = dict[str, float | str]
Potential = Callable[[np.ndarray], np.ndarray]
# Rounded numbers of the right order; what is tried is the law of strain, not the wood. Sample hours follow.
CASES: list[tuple[Case, tuple[float, ...]]] = [
    ({"shape": "plane", "half_mm": 10, **PINE, **WOOD_20, "k_m": 2e-3, "rh": 0.5, "fibre": 0.28,
      "mechano": 42, "relax_h": 480, "start": 0.6, "hours": 480}, (240,)),
    ({"shape": "plane", "half_mm": 10, **PINE, **WOOD_20, "k_m": 1e-4, "rh": 0.55, "fibre": 0.28,
      "mechano": 42, "relax_h": 480, "start": 0.8, "hours": 1440}, ()),
    ({"shape": "plane", "half_mm": 14, **OAK, **WOOD_45, "k_m": 0.012, "rh": 0.87, "fibre": 0.28,
      "mechano": 30, "relax_h": 80, "start": 0.6, "hours": 240}, (120,)),
    ({"shape": "plane", "half_mm": 14, **OAK, **WOOD_45, "k_m": 0.012, "rh": 0.4, "fibre": 0.28,
      "mechano": 75, "relax_h": 80, "start": 0.6, "hours": 120}, ()),
    ({"shape": "plane", "half_mm": 25, **OAK, **WOOD_20, "k_m": 1e-4, "rh": 0.9, "rh_end": 0.5,
      "ramp_h": 1000, "fibre": 0.28, "mechano": 50, "relax_h": 480, "start": 0.5, "hours": 2000}, (1500,)),
    ({"shape": "cylinder", "half_mm": 25, **LIME, **WOOD_20, "k_m": 2e-3, "rh": 0.55, "fibre": 0.28,
      "mechano": 45, "relax_h": 480, "start": 0.6, "hours": 720}, (240,)),
    ({"shape": "cylinder", "half_mm": 20, **LIME, **WOOD_20, "k_m": 5e-5, "rh": 0.85, "rh_end": 0.55,
      "ramp_h": 600, "fibre": 0.28, "mechano": 45, "relax_h": 480, "start": 0.6, "hours": 1200}, ()),
    ({"shape": "sphere", "half_mm": 15, **LIME, **WOOD_20, "k_m": 1e-3, "rh": 0.5, "fibre": 0.28,
      "mechano": 45, "relax_h": 480, "start": 0.5, "hours": 480}, ()),
    ({"shape": "sphere", "half_mm": 8, **BONE, **GAB_BONE, "k_m": 2e-4, "rh": 0.5, "fibre": 0.12,
      "mechano": 20, "relax_h": 480, "start": 0.25, "hours": 480}, ()),
    ({"shape": "plane", "half_mm": 4, **BONE, **GAB_BONE, "k_m": 1e-4, "rh": 0.4, "fibre": 0.12,
      "mechano": 20, "relax_h": 480, "start": 0.2, "hours": 240}, ()),
    ({"shape": "plane", "half_mm": 2, **PINE, **WOOD_20, "k_m": 3e-3, "rh": 0.4, "fibre": 0.28,
      "mechano": 42, "relax_h": 480, "start": 0.5, "hours": 96}, ()),
    ({"shape": "plane", "half_mm": 10, **PINE, **WOOD_20, "k_m": 1e-4, "rh": 0.5, "fibre": 0.28,
      "mechano": 0, "relax_h": 100, "start": 0.4, "hours": 480}, ()),
    ({"shape": "plane", "half_mm": 10, **PINE, **WOOD_20, "k_m": 1e-4, "rh": 0.5, "fibre": 0.28,
      "mechano": 42, "start": 0.4, "hours": 480}, ()),
    ({"shape": "plane", "half_mm": 10, **PINE, **WOOD_20, "k_m": 1e-4, "rh": 0.5, "fibre": 0.28,
      "mechano": 0, "start": 0.4, "hours": 480}, ()),
    ({"shape": "cylinder", "half_mm": 15, **OAK, **WOOD_20, "k_m": 5e-5, "rh": 0.7, "fibre": 0.28,
      "mechano": 50, "relax_h": 480, "start": 0.5, "hours": 960, "change_h": 480, "k_m_2": 2e-3,
      "factor_2": 1.6, "relax_h_2": 240}, (900,)),
    ({"shape": "plane", "half_mm": 10, **PINE, **WOOD_20, "k_m": 2e-3, "rh": 0.5, "rh_end": 0.95,
      "ramp_h": 400, "fibre": 0.28, "mechano": 42, "relax_h": 480, "start": 0.12, "hours": 800}, ()),
]  # fmt: skip


@dataclass(frozen=True)
class Mesh:
    """Cell middles and the surface, volumes (the surface has none), faces' areas over distances."""

    x: np.ndarray
    volume: np.ndarray
    exchange: np.ndarray
    area: float


def mesh(shape: str, cells: int) -> Mesh:
    """Cells whose thickness falls by equal ratios to THINNEST at the surface; width and volume are 1."""
    m = ORDER[shape]

    def reach(ratio: float) -> float:
        return THINNEST * math.fsum(ratio**i for i in range(cells)) - 1.0

    ratio = brentq(reach, 1.0 + 1e-9, 2.0)
    thick = THINNEST * ratio ** np.arange(cells)[::-1]
    faces = np.concatenate(([0.0], np.cumsum(thick)))
    faces /= faces[-1]
    middles = 0.5 * (faces[1:] + faces[:-1])
    x = np.append(middles, 1.0)
    exchange = (m + 1) * faces[1:] ** m / np.diff(x)
    return Mesh(x, np.diff(faces ** (m + 1)), exchange, m + 1.0)


def activity(u: float, case: Case) -> float:
    """Humidity over a surface of this moisture, rounded where it meets 1."""
    m0, k1, k2 = float(case["m0"]), float(case["k1"]), float(case["k2"])

    def over(x: float) -> float:
        low = 1.0 + k1 * x + k1 * k2 * x * x
        return m0 * (x / (1.0 - x) + (k1 * x + 2.0 * k1 * k2 * x * x) / low) - u

    x = brentq(over, 0.0, 1.0 - 1e-9, xtol=1e-14) if u > 0.0 else 0.0
    a = x / float(case["k"])
    return 0.5 * (a + 1.0 - math.sqrt((a - 1.0) ** 2 + EPS * EPS))


def polynomial(case: Case, factor: float) -> Potential:
    """Integral of the diffusivity [m2/h] of a case."""
    c, p0, p1, p2 = (float(case[name]) for name in ("c", "p0", "p1", "p2"))

    def integral(u: np.ndarray) -> np.ndarray:
        s = np.minimum(u / c, 1.0)
        inside = c * s * (p0 + s * (p1 / 2.0 + s * p2 / 3.0))
        return 3600.0 * factor * (inside + np.maximum(u - c, 0.0) * (p0 + p1 + p2))

    return integral


def room(case: Case, t: float) -> float:
    """Humidity of the room: one value, or a ramp to another."""
    rh = float(case["rh"])
    if "rh_end" not in case:
        return rh
    return rh + (float(case["rh_end"]) - rh) * min(1.0, t / float(case["ramp_h"]))


def slopes(
    case: Case, grid: Mesh, k_m: float, potential: Potential
) -> Callable[[float, np.ndarray], np.ndarray]:
    """du/dt of the cells for the moisture of the cells; the surface is found from the balance of fluxes."""
    half = float(case["half_mm"]) / 1000.0
    per = 3600.0 * k_m * float(case["rho_sat"]) * half / float(case["density"])
    per_square = half * half
    edge = 1.0 / (grid.x[-1] - grid.x[-2])

    def rate(t: float, u: np.ndarray) -> np.ndarray:
        inner = potential(u)
        rh = room(case, t)

        def balance(surface: float) -> float:
            leaving = per * (activity(surface, case) - rh)
            return edge * (inner[-1] - float(potential(np.array([surface]))[0])) - leaving

        surface = brentq(balance, 1e-6, max(3.0, 2.0 * float(u[-1])), xtol=1e-13)
        outer = float(potential(np.array([surface]))[0])
        flux = grid.exchange * np.diff(np.append(inner, outer)) / per_square
        return np.diff(np.concatenate(([0.0], flux))) / grid.volume

    return rate


def counts(u: np.ndarray, fibre: float) -> np.ndarray:
    """Moisture that counts for shrinkage."""
    return 0.5 * (u + fibre - np.sqrt((u - fibre) ** 2 + EPS * EPS))


def counts_slope(u: np.ndarray, fibre: float) -> np.ndarray:
    """Its derivative."""
    return 0.5 * (1.0 - (u - fibre) / np.sqrt((u - fibre) ** 2 + EPS * EPS))


def pieces(case: Case) -> list[tuple[float, float, float, float, float]]:
    """Start, end, conductance, factor of the diffusivity and relax time of each stretch."""
    end, relax = float(case["hours"]), float(case.get("relax_h", math.inf))
    first = (float(case["k_m"]), 1.0, relax)
    if "change_h" not in case:
        return [(0.0, end, *first)]
    change = float(case["change_h"])
    second = (float(case["k_m_2"]), float(case["factor_2"]), float(case["relax_h_2"]))
    return [(0.0, change, *first), (change, end, *second)]


@dataclass
class Course:
    """Where a body stands, and the greatest tension it has met."""

    u: np.ndarray
    e: np.ndarray
    t: float = 0.0
    peak: float = 0.0
    peak_at: float = 0.0


def advance(
    course: Course,
    case: Case,
    grid: Mesh,
    rate: Callable[[float, np.ndarray], np.ndarray],
    relax: float,
    end: float,
    samples: list[float],
    goal: float | None = None,
) -> list[float]:
    """Take a course on to an hour or a mean moisture; returns the greatest tension at the sample hours."""
    fibre, beta, mechano = float(case["fibre"]), float(case["beta"]), float(case["mechano"])

    def reached(t: float, u: np.ndarray) -> float:
        return float(u @ grid.volume) - (goal or 0.0)

    vars(reached)["terminal"] = True
    moist = solve_ivp(
        rate, (course.t, end), course.u, method="LSODA", lband=1, uband=1, rtol=FINE, atol=1e-10,
        dense_output=True, first_step=1e-7, events=None if goal is None else reached,
    )  # fmt: skip
    if not moist.success or (goal is not None and moist.status != 1):
        raise RuntimeError(f"{moist.message}; goal {goal}")
    end = float(moist.t[-1])

    def strain(t: float, e: np.ndarray) -> np.ndarray:
        now = moist.sol(t)
        ds = counts_slope(now, fibre) * rate(t, now)
        raw = -beta * (ds - ds @ grid.volume) - e * (mechano * np.abs(ds) + 1.0 / relax)
        return raw - raw @ grid.volume

    by = RK45(strain, course.t, course.e, end, rtol=1e-6, atol=1e-9, first_step=min(1e-6, 0.1 * end))
    found = []
    while by.status == "running":
        by.step()
        if by.y.max() > course.peak:
            course.peak, course.peak_at = float(by.y.max()), float(by.t)
        while samples and samples[0] <= by.t:
            found.append(float(by.dense_output()(samples.pop(0)).max()))
    course.u, course.e, course.t = moist.y[:, -1], by.y, end
    return found


def solve(case: Case, cells: int, samples: tuple[float, ...]) -> tuple[float, float, list[float]]:
    """Greatest tension of the whole course, its hour, and the greatest at each sample hour."""
    grid = mesh(str(case["shape"]), cells)
    course = Course(np.full(cells, float(case["start"])), np.zeros(cells))
    found: list[float] = []
    for start, end, k_m, factor, relax in pieces(case):
        rate = slopes(case, grid, k_m, polynomial(case, factor))
        found += advance(course, case, grid, rate, relax, end, [one for one in samples if start < one <= end])
    return course.peak, course.peak_at, found


def siau(temp_c: float, specific_gravity: float, fibre: float) -> Potential:
    """Integral of the diffusivity across the grain [m2/h], held below 0.05 and above fibre saturation."""
    u = np.linspace(0.0, fibre, 401)
    held = np.maximum(u, 0.05)
    wall = 7e-6 * np.exp(-(38_500.0 - 29_000.0 * held) / (8.314 * (temp_c + 273.15)))
    open_share = 1.0 - specific_gravity * (0.667 + held)
    d = 3600.0 * wall / ((1.0 - np.sqrt(open_share)) * (1.0 - open_share))
    whole = CubicSpline(u, cumulative_trapezoid(d, u, initial=0.0))
    return lambda at: whole(np.minimum(at, fibre)) + d[-1] * np.maximum(at - fibre, 0.0)


def air_of(temp_c: float) -> dict[str, float]:
    """Isotherm of wood and density of saturated vapour, constants typed again."""
    t, kelvin = temp_c, temp_c + 273.15
    w = 349.0 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    pressure = math.exp(
        -5800.2206 / kelvin + 1.3914993 - 0.048640239 * kelvin + 4.1764768e-5 * kelvin**2
        - 1.4452093e-8 * kelvin**3 + 6.5459673 * math.log(kelvin)
    )  # fmt: skip
    k1, k2 = 6.27 - 0.00938 * t - 0.000303 * t * t, 1.91 + 0.0407 * t - 0.000293 * t * t
    return {"m0": 18.0 / w, "k": k, "k1": k1, "k2": k2, "rho_sat": pressure / (461.52 * kelvin)}


# The wood, whose schedule, thickness [mm], start and end of the mean moisture, easing strain; and the wood's
# basic density and tangential shrinkage.
SCHEDULED: list[tuple[dict[str, float | str], float, float]] = [
    ({"wood": "northern_red_oak", "schedule": "red_oak", "thickness_mm": 28.6, "start": 0.8, "end": 0.08,
      "easing": 0.0101}, 560.0, 0.086),
    ({"wood": "eastern_white_pine", "schedule": "eastern_white_pine", "thickness_mm": 28.6, "start": 1.5,
      "end": 0.08, "easing": 0.0101}, 340.0, 0.061),
]  # fmt: skip
FIBRE = 0.28


def scheduled(
    told: dict[str, float | str], density: float, shrinkage: float, cells: int
) -> tuple[float, float]:
    """Hours through a schedule, and the greatest tension."""
    grid, beta = mesh("plane", cells), shrinkage / FIBRE
    course = Course(np.full(cells, float(told["start"])), np.zeros(cells))
    steps = schedule(str(told["schedule"]).replace("_", " ")).steps
    for number, step in enumerate(steps):
        goal = steps[number + 1].moisture_start if number + 1 < len(steps) else float(told["end"])
        if float(course.u @ grid.volume) <= goal:
            continue
        case: Case = {
            **air_of(step.temp_c), "half_mm": float(told["thickness_mm"]) / 2.0, "density": density,
            "rh": step.rh, "fibre": FIBRE, "beta": beta, "mechano": beta / float(told["easing"]),
        }  # fmt: skip
        rate = slopes(case, grid, 0.012, siau(step.temp_c, density / 1000.0, FIBRE))
        relax = 480.0 * 2.0 ** ((20.0 - step.temp_c) / 10.0)
        advance(course, case, grid, rate, relax, course.t + 4000.0, [], goal)
    return course.t, course.peak


def row(
    quantity: str, case: Case, value: float, note: str, unit: str = "1", tolerance: str = "3%"
) -> tuple[str, ...]:
    """One line of the file."""
    inputs = ";".join(f"{name}={number}" for name, number in case.items())
    place = "LSODA and RK45 by the method of lines, 260 cells"
    return (quantity, inputs, f"{value:.6g}", unit, tolerance, "scipy-strain", place, HOW, note, "")


def made() -> list[tuple[str, ...]]:
    """Every row of this script."""
    rows = []
    for case, samples in CASES:
        coarse, (peak, at_h, at_samples) = (solve(case, cells, samples) for cells in GRIDS)
        values = [(peak, coarse[0]), *zip(at_samples, coarse[2], strict=True)]
        apart = max(abs(fine / other - 1.0) for fine, other in values)
        print(
            case["shape"],
            case["half_mm"],
            f"{peak:.5f} at {at_h:.2f} h",
            at_samples,
            f"{apart:.1e}",
            flush=True,
        )
        if apart > WORST:
            raise RuntimeError(f"the two grids differ by {apart:.2%}")
        note = f"160 cells differ by {apart:.2%}"
        rows.append(row("strain.peak_strain", case, peak, note))
        for hour, value in zip(samples, at_samples, strict=True):
            rows.append(row("strain.strain_at", {**case, "at_h": hour}, value, note))
    for told, density, shrinkage in SCHEDULED:
        coarse, (hours, peak) = (scheduled(told, density, shrinkage, cells) for cells in GRIDS)
        apart = max(abs(hours / coarse[0] - 1.0), abs(peak / coarse[1] - 1.0))
        print(told["wood"], f"{hours / 24:.3f} d, {peak:.5f}; {apart:.1e}", flush=True)
        if apart > WORST:
            raise RuntimeError(f"the two grids differ by {apart:.2%}")
        note = f"160 cells differ by {apart:.2%}; diffusivity by its own exponential form"
        rows.append(row("schedule_run.scheduled_peak", told, peak, note))
        rows.append(row("schedule_run.scheduled_hours", told, hours, note, unit="h", tolerance="0.5%"))
    return rows


def main() -> None:
    """Replace the rows made before, keep the others, and what was said of those that miss."""
    kept, said = [], {}
    if OUT.exists():
        with OUT.open(encoding="utf-8", newline="") as stream:
            held = [tuple(line) for line in csv.reader(stream)][1:]
        kept = [line for line in held if not line[COLUMNS.index("how")].startswith("library:scipy")]
        said = {line[:2]: line[-1] for line in held}
    new = [(*line[:-1], said.get(line[:2], "")) for line in made()]
    with OUT.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream, lineterminator="\n").writerows([COLUMNS, *new, *kept])
    print(len(new), "made,", len(kept), "kept")


if __name__ == "__main__":
    main()
