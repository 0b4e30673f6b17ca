"""Makes tests/reference/nonlinear.csv: drying with moisture-dependent diffusivity, by two solvers.

Solver one: FiPy 4.0.3, cell-centred volumes, backward Euler on a quadratic time grid, Picard sweeps, direct
LU. Solver two: SciPy 1.17.1 ``solve_ivp`` (LSODA, banded) on a vertex-centred grid written here.
Both are run at several finenesses and extrapolated; a row is the middle of the two answers and its tolerance
what they (or the refinements of either) differ by. Rows that differ by more than 2e-4 kg/kg stop the script.

Equation: du/dt = x^-m d/dx (x^m D(u) du/dx), m = 0, 1, 2; x from the middle, surface at ``half_mm``.
D(u) = factor * (p0 + p1 s1 + p2 s1^2 + p3 s1^3 + p4 s1^4 + rise (3 s2^2 - 2 s2^3)), s = u/c,
s1 = min(s, 1), s2 = min(s - s1, 1): a polynomial up to the moisture c, a smooth step from c to 2 c, constant
beyond.
Surface: u = ``surface``, or rho0 times the flux of u = k_m (h(u_s) - rh_air); the surface law h runs on past
saturation: a = x(u)/k, h = (a + 1 - sqrt((a-1)^2 + 0.01^2))/2, x from the isotherm's shape up to x < 1.
Start: u = ``start``, or start_surface + (start_centre - start_surface) sqrt(depth/half).
FiPy's own spherical mesh is not used: its cell volumes are (r2^3 - r1^3)/2 with face areas r^2, which slows
diffusion by a factor 1.5; the plane mesh with x^m in both terms gives all three shapes.

Run: FIPY_SOLVERS=scipy python tests/reference/make/nonlinear.py (about ten minutes alone on a machine).
"""

from __future__ import annotations

import csv
import importlib
import itertools
import math
import os
import sys
import time
from pathlib import Path

import numpy as np
from scipy.integrate import solve_ivp

# FiPy looks at the environment and at the command line when it is imported.
os.environ.setdefault("FIPY_SOLVERS", "scipy")
sys.argv = sys.argv[:1]
fipy = importlib.import_module("fipy")
LinearLUSolver = importlib.import_module("fipy.solvers.scipy").LinearLUSolver

OUT = Path(__file__).parents[1] / "nonlinear.csv"
EPSILON = 0.01
ORDER = {"plane": 0, "cylinder": 1, "sphere": 2}
WORST_SPREAD = 2e-4
SMALLEST_TOLERANCE = 2e-5
CELLS, BASE_STEPS = 80, 80

PINE = {"c": 0.3, "p0": 2.4e-11, "p1": 4.2e-11, "p2": 9e-11, "p3": -3e-11, "p4": 9e-11, "rise": 1.2e-9}
OAK = {"c": 0.28, "p0": 8e-12, "p1": 1.2e-11, "p2": 2.6e-11, "p3": -9e-12, "p4": 2.7e-11, "rise": 0}
LEATHER = {"c": 0.35, "p0": 1e-11, "p1": 3e-11, "p2": 5e-11, "p3": 0, "p4": 0, "rise": 4e-10}
BONE = {"c": 0.12, "p0": 5e-12, "p1": 1e-11, "p2": 1.5e-11, "p3": 0, "p4": 0, "rise": 6e-11}
WOOD_AIR = {"m0": 0.04734, "k": 0.8186, "k1": 5.961, "k2": 2.607}
LEATHER_AIR = {"m0": 0.1, "k": 0.75, "k1": 9.0, "k2": 0.0}
BONE_AIR = {"m0": 0.03445, "k": 0.84, "k1": 11.39, "k2": 0.0}

# Rounded numbers of the right order for each material; what is tested is the solving, not the material.
CASES: list[tuple[dict[str, float | str], tuple[float, ...], tuple[float, ...]]] = [
    ({"shape": "plane", "half_mm": 10, **PINE, "start": 0.6, "surface": 0.12}, (24, 96, 240), ()),
    ({"shape": "cylinder", "half_mm": 25, **PINE, "start": 0.5, "surface": 0.1}, (48, 240, 720), ()),
    ({"shape": "sphere", "half_mm": 15, **PINE, "start": 0.6, "surface": 0.1}, (12, 72, 240), ()),
    ({"shape": "plane", "half_mm": 10, **PINE, "start": 0.1, "surface": 0.28}, (48, 240, 720), ()),
    (
        {
            "shape": "plane",
            "half_mm": 10,
            **PINE,
            **WOOD_AIR,
            "rho0": 420,
            "k_m": 4e-5,
            "rh_air": 0.5,
            "start": 1.0,
        },
        (6, 48, 168),
        (48,),
    ),
    (
        {
            "shape": "plane",
            "half_mm": 10,
            **PINE,
            **WOOD_AIR,
            "rho0": 420,
            "k_m": 1e-6,
            "rh_air": 0.55,
            "start": 1.2,
        },
        (240, 1440, 2880),
        (1440, 2880),
    ),
    (
        {
            "shape": "cylinder",
            "half_mm": 20,
            **PINE,
            **WOOD_AIR,
            "rho0": 420,
            "k_m": 5e-6,
            "rh_air": 0.6,
            "start": 0.9,
        },
        (48, 240, 720),
        (240,),
    ),
    (
        {
            "shape": "sphere",
            "half_mm": 12,
            **OAK,
            **WOOD_AIR,
            "rho0": 580,
            "k_m": 2e-5,
            "rh_air": 0.45,
            "start": 0.7,
        },
        (12, 96, 480),
        (96,),
    ),
    (
        {
            "shape": "plane",
            "half_mm": 30,
            **OAK,
            **WOOD_AIR,
            "rho0": 580,
            "k_m": 2e-6,
            "rh_air": 0.65,
            "start": 0.8,
        },
        (480, 1440, 2880),
        (1440,),
    ),
    (
        {
            "shape": "plane",
            "half_mm": 2,
            **LEATHER,
            **LEATHER_AIR,
            "rho0": 700,
            "k_m": 3e-6,
            "rh_air": 0.55,
            "start_centre": 1.2,
            "start_surface": 0.6,
        },
        (24, 72, 240),
        (72,),
    ),
    (
        {
            "shape": "cylinder",
            "half_mm": 15,
            **OAK,
            **WOOD_AIR,
            "rho0": 580,
            "k_m": 5e-6,
            "rh_air": 0.85,
            "start": 0.6,
            "change_h": 240,
            "k_m_2": 2e-5,
            "rh_air_2": 0.55,
            "factor_2": 1.588,
        },
        (240, 480, 960),
        (240, 960),
    ),
    (
        {
            "shape": "plane",
            "half_mm": 10,
            **PINE,
            **WOOD_AIR,
            "rho0": 420,
            "k_m": 2e-5,
            "rh_air": 0.5,
            "start": 0.5,
            "change_h": 168,
            "k_m_2": 2e-5,
            "rh_air_2": 0.9,
            "factor_2": 1.0,
        },
        (168, 336, 672),
        (336,),
    ),
    (
        {
            "shape": "sphere",
            "half_mm": 8,
            **BONE,
            "start_centre": 0.3,
            "start_surface": 0.08,
            "surface": 0.08,
        },
        (24, 120, 480),
        (),
    ),
    (
        {
            "shape": "plane",
            "half_mm": 4,
            **BONE,
            **BONE_AIR,
            "rho0": 1700,
            "k_m": 2e-6,
            "rh_air": 0.5,
            "start": 0.25,
        },
        (48, 240, 720),
        (240,),
    ),
    (
        {
            "shape": "cylinder",
            "half_mm": 5,
            **LEATHER,
            "start_centre": 1.0,
            "start_surface": 0.25,
            "surface": 0.25,
        },
        (12, 48, 168),
        (),
    ),
    # Bound water in the cell wall of a wood of specific gravity 0.5 at 20 degC, in its own exponential form.
    (
        {
            "shape": "plane",
            "half_mm": 12.5,
            "temp_c": 20,
            "specific_gravity": 0.5,
            "start": 0.25,
            "surface": 0.10,
        },
        (24, 120, 240, 480, 720, 1440),
        (),
    ),
]


class Pieces:
    """The diffusivity as a polynomial and a step, with its integral."""

    def __init__(self, case: dict) -> None:
        self.c, self.rise = case["c"], case["rise"]
        self.p = [case[f"p{k}"] for k in range(5)]

    def d(self, u):
        s = u / self.c
        s1 = np.minimum(s, 1.0)
        s2 = np.minimum(s - s1, 1.0)
        return sum(p * s1**k for k, p in enumerate(self.p)) + self.rise * s2 * s2 * (3 - 2 * s2)

    def phi(self, u):
        s = u / self.c
        s1 = np.minimum(s, 1.0)
        s2 = np.minimum(s - s1, 1.0)
        inner = sum(p * s1 ** (k + 1) / (k + 1) for k, p in enumerate(self.p)) + sum(self.p) * (s - s1)
        return self.c * (inner + self.rise * (s2**3 - 0.5 * s2**4 + s - s1 - s2))


class Siau:
    """Transverse bound-water diffusivity of wood, siau-1984; the integral by a fine Simpson table."""

    def __init__(self, case: dict) -> None:
        self.kelvin, self.gravity = case["temp_c"] + 273.15, case["specific_gravity"]
        self.grid = np.linspace(0.05, 0.30, 4001)
        middle = 0.5 * (self.grid[1:] + self.grid[:-1])
        pieces = (
            (self.d(self.grid[1:]) + 4 * self.d(middle) + self.d(self.grid[:-1])) / 6 * np.diff(self.grid)
        )
        self.table = np.concatenate([[0.0], np.cumsum(pieces)])

    def d(self, u):
        m = 100 * u
        wall = 7e-6 * np.exp(-(38500 - 290 * m) / (8.314 * self.kelvin))
        a = np.sqrt(1 - self.gravity * (0.667 + 0.01 * m))
        return wall / ((1 - a) * (1 - a * a))

    def phi(self, u):
        # cubic Hermite on the table: its slope is known exactly
        step = self.grid[1] - self.grid[0]
        at = np.clip(((u - self.grid[0]) / step).astype(int), 0, len(self.grid) - 2)
        t = (u - self.grid[at]) / step
        p0, p1, s0, s1 = self.table[at], self.table[at + 1], self.d(self.grid[at]), self.d(self.grid[at + 1])
        return (
            p0 * (1 + 2 * t) * (1 - t) ** 2
            + step * s0 * t * (1 - t) ** 2
            + p1 * t * t * (3 - 2 * t)
            + step * s1 * t * t * (t - 1)
        )


def diffusivity(case: dict):
    return Pieces(case) if "p0" in case else Siau(case)


def surface_law(case: dict, u: float) -> tuple[float, float]:
    """Humidity at a surface of moisture u, and its slope; the engine's law, run on past saturation."""
    m0, k, k1, k2 = (case[name] for name in ("m0", "k", "k1", "k2"))
    wanted = u / m0
    low, high, x = 0.0, 1.0, min(0.999, wanted / (1 + wanted))
    slope = 1.0
    for _ in range(200):
        below = 1 + k1 * x + k1 * k2 * x * x
        above = k1 * x + 2 * k1 * k2 * x * x
        miss = x / (1 - x) + above / below - wanted
        slope = (
            1 / (1 - x) ** 2 + ((k1 + 4 * k1 * k2 * x) * below - above * (k1 + 2 * k1 * k2 * x)) / below**2
        )
        low, high = (x, high) if miss < 0 else (low, x)
        new = x - miss / slope
        if not low <= new <= high:
            new = 0.5 * (low + high)
        if abs(new - x) < 1e-15:
            break
        x = new
    a = x / k
    root = math.sqrt((a - 1) ** 2 + EPSILON**2)
    return 0.5 * (a + 1 - root), 0.5 * (1 - (a - 1) / root) / (k * m0 * slope)


def stages(
    case: dict, ends: tuple[float, ...]
) -> list[tuple[float, float, float, float | None, float | None]]:
    """(from_h, to_h, factor of D, k_m, rh_air), cut where the climate changes."""
    km, rh = case.get("k_m"), case.get("rh_air")
    if "change_h" not in case:
        return [(0.0, max(ends), 1.0, km, rh)]
    second = (case["change_h"], max(ends), case["factor_2"], case["k_m_2"], case["rh_air_2"])
    return [(0.0, case["change_h"], 1.0, km, rh), second]


def start_at(case: dict, depth):
    if "start" in case:
        return np.full_like(depth, case["start"])
    return case["start_surface"] + (case["start_centre"] - case["start_surface"]) * np.sqrt(depth)


# Solver two: vertex-centred method of lines.


def lines(case: dict, ends: tuple[float, ...], cells: int) -> dict[float, tuple[float, float]]:
    m, half, d = ORDER[case["shape"]], case["half_mm"] * 1e-3, diffusivity(case)
    depth = np.linspace(1, 0, cells + 1) ** 2  # depth under the surface over the half thickness
    x = 1 - depth
    faces = 0.5 * (x[1:] + x[:-1])
    bounds = np.concatenate([[0.0], faces, [1.0]])
    volume = np.diff(bounds ** (m + 1)) / (m + 1)
    weight = faces**m / np.diff(x)
    u = start_at(case, depth)
    fixed = case.get("surface")
    if fixed is not None:
        u[-1] = fixed
    found: dict[float, tuple[float, float]] = {}
    for begin, end, factor, km, rh in stages(case, ends):
        scale = factor * 3600 / half**2

        def rate(_, y, scale=scale, km=km, rh=rh):
            flux = scale * weight * np.diff(d.phi(y))
            out = np.empty_like(y)
            out[0], out[1:-1] = flux[0], flux[1:] - flux[:-1]
            leaving = (
                0.0 if km is None else 3600 * km * (surface_law(case, y[-1])[0] - rh) / (case["rho0"] * half)
            )
            out[-1] = 0.0 if km is None else -flux[-1] - leaving
            return out / volume

        at = sorted({t for t in ends if begin < t <= end} | {end})
        went = solve_ivp(
            rate,
            (begin, end),
            u,
            "LSODA",
            at,
            rtol=1e-9,
            atol=1e-11,
            lband=1,
            uband=1,
            first_step=1e-9 * (end - begin),
        )
        assert went.success, went.message
        u = went.y[:, -1]
        for t, y in zip(went.t, went.y.T, strict=True):
            found[float(t)] = (float(volume @ y / volume.sum()), float(y[-1]))
    return found


# Solver one: FiPy.


def half_cell(case: dict, d, scale: float, km: float, rh: float, half: float, gap: float, u: float):
    """Flux out of the last cell (per hour, over the half thickness), its slope, and the surface moisture."""
    out = 3600 * km / (case["rho0"] * half)
    inner = float(d.phi(np.array(u)))
    low, high, s = 0.0, 3.0, u
    for _ in range(100):
        h, slope = surface_law(case, s)
        miss = scale * (inner - float(d.phi(np.array(s)))) / gap - out * (h - rh)
        falls = scale * float(d.d(s)) / gap + out * slope
        low, high = (s, high) if miss > 0 else (low, s)
        new = s + miss / falls
        if not low < new < high:
            new = 0.5 * (low + high)
        if abs(new - s) < 1e-14:
            break
        s = new
    h, slope = surface_law(case, s)
    follows = scale * float(d.d(u)) / gap / (scale * float(d.d(s)) / gap + out * slope)
    return out * (h - rh), out * slope * follows, s


def fipy_run(case: dict, ends: tuple[float, ...], cells: int, split: int) -> dict[float, tuple[float, float]]:
    m, half, d = ORDER[case["shape"]], case["half_mm"] * 1e-3, diffusivity(case)
    bounds = 1 - np.linspace(1, 0, cells + 1) ** 2
    dx = np.diff(bounds)
    mesh = fipy.Grid1D(dx=dx)
    volume = np.diff(bounds ** (m + 1)) / (m + 1)
    nodes, weights = np.polynomial.legendre.leggauss(12)
    inside = bounds[:-1, None] + dx[:, None] * 0.5 * (1 + nodes)
    first = (start_at(case, 1 - inside) * inside**m) @ weights / ((inside**m) @ weights)
    u = fipy.CellVariable(mesh=mesh, value=first, hasOld=True)
    metric = fipy.CellVariable(mesh=mesh, value=volume / dx)
    face_d = fipy.FaceVariable(mesh=mesh, value=1.0)
    given, pull = fipy.CellVariable(mesh=mesh, value=0.0), fipy.CellVariable(mesh=mesh, value=0.0)
    fixed = case.get("surface")
    if fixed is not None:
        u.constrain(fixed, mesh.facesRight)
    eq = fipy.TransientTerm(coeff=metric, var=u) == fipy.DiffusionTerm(
        coeff=face_d, var=u
    ) + given - fipy.ImplicitSourceTerm(coeff=pull, var=u)
    solver = LinearLUSolver(tolerance=1e-14, iterations=3)
    powers = bounds**m
    gap = 1 - float(mesh.cellCenters.value[0][-1])
    found, surface = {}, float("nan") if fixed is None else fixed
    for begin, end, factor, km, rh in stages(case, ends):
        scale = factor * 3600 / half**2
        marks = sorted({t for t in ends if begin < t <= end} | {end})
        grid = begin + (end - begin) * (np.arange(BASE_STEPS + 1) / BASE_STEPS) ** 2
        for t in marks:  # the wanted times are made points of the grid
            grid[1 + np.argmin(np.abs(grid[1:] - t))] = t
        # each step of that grid cut alike, so that the error in time can be extrapolated
        grid = np.concatenate(
            [np.linspace(a, b, split + 1)[:-1] for a, b in itertools.pairwise(grid)] + [[end]]
        )
        went = None
        for now, following in itertools.pairwise(grid):
            u.updateOld()
            before = np.array(u.value)
            if went is not None:  # a better first guess; the sweeps decide
                u.setValue(before + went * (following - now))
            for _ in range(60):
                value = np.array(u.value)
                between = np.array(u.faceValue)
                face_d.setValue(scale * powers * d.d(between))
                if km is not None:
                    flux, slope, surface = half_cell(case, d, scale, km, rh, half, gap, value[-1])
                    given[-1] = -(flux - slope * value[-1]) / dx[-1]
                    pull[-1] = slope / dx[-1]
                eq.sweep(var=u, dt=float(following - now), solver=solver)
                if np.max(np.abs(u.value - value)) < 1e-9:
                    break
            else:
                raise ArithmeticError("the sweeps did not close in")
            went = (np.array(u.value) - before) / (following - now)
            assert np.max(np.abs(went)) > 0, "frozen"
            if km is not None:
                surface = half_cell(case, d, scale, km, rh, half, gap, float(u.value[-1]))[2]
            for t in marks:
                if abs(t - following) < 1e-9:
                    found[t] = (float(volume @ u.value / volume.sum()), surface)
    return found


def both(case: dict, ends: tuple[float, ...]) -> dict[tuple[float, int], tuple[float, float, float, float]]:
    """Per time and quantity: (fipy, scipy, last correction of FiPy in time, and in space)."""
    coarse, fine = lines(case, ends, 200), lines(case, ends, 400)
    one, two, four = (fipy_run(case, ends, CELLS, split) for split in (1, 2, 4))
    half_cells = fipy_run(case, ends, CELLS // 2, 1)
    answers = {}
    for t in ends:
        for what in (0, 1):
            scipy_value = fine[t][what] + (fine[t][what] - coarse[t][what]) / 3
            once, again = 2 * two[t][what] - one[t][what], 2 * four[t][what] - two[t][what]
            in_time, in_space = (again - once) / 3, (one[t][what] - half_cells[t][what]) / 3
            answers[t, what] = (again + in_time + in_space, scipy_value, abs(in_time), abs(in_space))
    return answers


def row(case: dict, t: float, what: int, answer: tuple[float, float, float, float]) -> list[str]:
    fipy_value, scipy_value, in_time, in_space = answer
    spread = abs(fipy_value - scipy_value)
    name = "siau_mean_moisture" if "temp_c" in case else ("mean_moisture", "surface_moisture")[what]
    if spread > WORST_SPREAD:
        raise ArithmeticError(f"{case} at {t} h: fipy {fipy_value:.6f}, scipy {scipy_value:.6f}: refine")
    tolerance = max(SMALLEST_TOLERANCE, math.ceil(spread * 1e5) * 1e-5)
    inputs = ";".join(
        f"{key}={value}" if isinstance(value, str) else f"{key}={value:g}" for key, value in case.items()
    )
    note = f"fipy={fipy_value:.6f};scipy={scipy_value:.6f}"
    note += f";fipy corrected by {in_time:.1e} in time and {in_space:.1e} in space"
    middle = 0.5 * (fipy_value + scipy_value)
    source = "siau-1984" if "temp_c" in case else "fipy-2009"
    return [
        f"nonlinear.{name}", f"{inputs};hours={t:g}", f"{middle:.6f}", "kg/kg", f"{tolerance:.5f}", source,
        "FiPy 4.0.3 and SciPy 1.17.1 LSODA", "solvers", note, "",
    ]  # fmt: skip


def main() -> None:
    rows = []
    for number, (case, means, surfaces) in enumerate(CASES):
        began = time.perf_counter()
        answers = both(case, means)
        for what, wanted in ((0, means), (1, surfaces)):
            rows.extend(row(case, t, what, answers[t, what]) for t in wanted)
        print(f"case {number}: {time.perf_counter() - began:.0f} s", flush=True)
        for t in means:
            for what in (0, 1):
                print("   ", t, [f"{x:.6g}" for x in answers[t, what]], flush=True)
    with OUT.open("w", newline="", encoding="utf-8") as handle:
        writer = csv.writer(handle, lineterminator="\n")
        writer.writerow("quantity,inputs,value,unit,tolerance,source,place,how,note,miss".split(","))
        writer.writerows(rows)
    print(f"{len(rows)} rows")


if __name__ == "__main__":
    main()
