"""Rows for ``openings.csv`` that need a solver: diffusion through a round hole in a sheet of some thickness.

Two programs solve Laplace's equation around the hole on a grid that grows outwards: FiPy 4.0.3, and a few
lines of finite volumes with scipy. Both use the symmetry about the middle of the sheet, and both are
extrapolated from two grids. Beyond the grid the field is that of a point, which is added. The elliptical
apertures are by mpmath. Run with a Python that has fipy, mpmath and scipy; prints conductance over (D times
radius) by depth over radius.
"""

from __future__ import annotations

import math

import fipy
import mpmath
import numpy as np
import scipy.sparse as sparse
from scipy.sparse.linalg import spsolve

FAR = 150.0
DEPTHS = (0.1, 0.2, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0, 10.0)


def edges(start: float, end: float, first: float, growth: float) -> list[float]:
    """Cell edges from start to end that grow by a factor; the last is moved to the end."""
    found, step = [start], first
    while found[-1] + step < end:
        found.append(found[-1] + step)
        step *= growth
    return [*found[:-1], end] if end - found[-1] < 0.5 * step else [*found, end]


def grid(depth: float, fine: float, growth: float) -> tuple[np.ndarray, np.ndarray]:
    """Edges in radius and height; both are finest at the rim of the hole, radius 1, height half the depth."""
    inner = [1.0 - r for r in reversed(edges(0.0, 1.0, fine, growth))]
    radius = inner + [1.0 + r for r in edges(0.0, FAR - 1.0, fine, growth)[1:]]
    below = [depth / 2.0 - z for z in reversed(edges(0.0, depth / 2.0, fine, growth))]
    height = below + [depth / 2.0 + z for z in edges(0.0, FAR, fine, growth)[1:]]
    return np.array(radius), np.array(height)


def by_hand(depth: float, fine: float, growth: float) -> float:
    """Finite volumes: conductance from the middle of the sheet (1) to the edge of the grid (0), D = 1."""
    r, z = grid(depth, fine, growth)
    nr, nz = len(r) - 1, len(z) - 1
    mid_r, mid_z = 0.5 * (r[1:] + r[:-1]), 0.5 * (z[1:] + z[:-1])
    ring = math.pi * (r[1:] ** 2 - r[:-1] ** 2)
    solid = (mid_r[:, None] > 1.0) & (mid_z[None, :] < depth / 2.0)
    number = np.arange(nr * nz).reshape(nr, nz)
    rows, cols, values = [], [], []
    diagonal, right = np.zeros(nr * nz), np.zeros(nr * nz)

    def join(one: np.ndarray, two: np.ndarray, g: np.ndarray) -> None:
        rows.extend([one, two])
        cols.extend([two, one])
        values.extend([-g, -g])
        np.add.at(diagonal, one, g)
        np.add.at(diagonal, two, g)

    side = 2.0 * math.pi * r[1:-1, None] * np.diff(z)[None, :] / np.diff(mid_r)[:, None]
    open_side = ~(solid[1:, :] | solid[:-1, :])
    join(number[:-1, :][open_side], number[1:, :][open_side], side[open_side])
    up = ring[:, None] / np.diff(mid_z)[None, :]
    open_up = ~(solid[:, 1:] | solid[:, :-1])
    join(number[:, :-1][open_up], number[:, 1:][open_up], up[open_up])
    entry = np.where(solid[:, 0], 0.0, ring / (mid_z[0] - z[0]))
    diagonal[number[:, 0]] += entry
    right[number[:, 0]] += entry
    diagonal[number[-1, :]] += 2.0 * math.pi * r[-1] * np.diff(z) / (r[-1] - mid_r[-1])
    diagonal[number[:, -1]] += ring / (z[-1] - mid_z[-1])
    diagonal[number[solid]] = 1.0
    matrix = sparse.coo_matrix(
        (
            np.concatenate([*values, diagonal]),
            (np.concatenate([*rows, np.arange(nr * nz)]), np.concatenate([*cols, np.arange(nr * nz)])),
        ),
        shape=(nr * nz, nr * nz),
    ).tocsc()
    field = spsolve(matrix, right)
    return float(np.sum(entry * (1.0 - field[number[:, 0]])))


def by_fipy(depth: float, fine: float, growth: float) -> float:
    """The same by FiPy."""
    r, z = grid(depth, fine, growth)
    mesh = fipy.CylindricalGrid2D(dr=np.diff(r), dz=np.diff(z))
    field = fipy.CellVariable(mesh=mesh, value=0.0)
    field.constrain(1.0, mesh.facesBottom & (mesh.faceCenters[0] < 1.0))
    field.constrain(0.0, mesh.facesTop | mesh.facesRight)
    x, y = mesh.faceCenters
    solid = ((x >= 1.0 - 1e-9) & (y < depth / 2.0 - 1e-9)) | ((x > 1.0) & (y <= depth / 2.0 + 1e-9))
    conduct = fipy.FaceVariable(mesh=mesh, value=1.0)
    conduct.setValue(1e-9, where=solid)
    solver = fipy.solvers.LinearLUSolver(tolerance=1e-12)
    fipy.DiffusionTerm(coeff=conduct).solve(var=field, solver=solver)
    inside = int(np.sum(0.5 * (r[1:] + r[:-1]) < 1.0))
    ring = math.pi * (r[1:] ** 2 - r[:-1] ** 2)[:inside]
    return float(np.sum(ring * (1.0 - field.value[:inside]) / (0.5 * (z[1] - z[0]))))


def whole(half: float) -> float:
    """From middle to infinity, then from one side to the other: half as much again halved."""
    beyond = 1.0 / (2.0 * math.pi * FAR)
    return 0.5 / (1.0 / half + beyond)


def plate(length: float, width: float) -> mpmath.mpf:
    """Conductance of an elliptical aperture, D = 1: pi times the capacity of the plate, by quadrature."""
    a, b = mpmath.mpf(length) / 2, mpmath.mpf(width) / 2

    def thickness(t: mpmath.mpf) -> mpmath.mpf:
        return 1 / mpmath.sqrt((a * a + t * t) * (b * b + t * t))

    return mpmath.pi / mpmath.quad(thickness, [0, b, a, 10 * a, mpmath.inf])


def main() -> None:
    """Print both answers, each extrapolated (the error falls with the cell at the rim)."""
    for depth in DEPTHS:
        told = []
        for solve, cells in (
            (by_hand, ((0.016, 1.06), (0.008, 1.03))),
            (by_fipy, ((0.02, 1.08), (0.01, 1.04))),
        ):
            coarse, dense = (whole(solve(depth, fine, growth)) for fine, growth in cells)
            told.append(2.0 * dense - coarse)
        print(f"depth/radius {depth}: by hand {told[0]:.5f}, FiPy {told[1]:.5f}")
    mpmath.mp.dps = 20
    for length, width in ((0.01, 0.01), (0.1, 0.05), (0.1, 0.01), (1.0, 0.005)):
        print(f"aperture {length} by {width}:", mpmath.nstr(plate(length, width), 13))


if __name__ == "__main__":
    main()
