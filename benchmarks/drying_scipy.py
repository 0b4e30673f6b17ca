"""The same equations by SciPy's solvers, one body at a time: what the drying engine is compared with.

The unknowns are those of the engine: 41 vertices and the air under the cover, on the same grid. The system is
tridiagonal, which the solvers are told in the way each takes it.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.integrate import solve_ivp
from scipy.sparse import diags

from strandline.physics.engine import Body, set_row
from strandline.physics.grid import grid
from strandline.physics.lanes_table import SET_NAMES

Floats = npt.NDArray[np.float64]
VARIANTS = ("BDF, sparsity", "BDF, analytic", "LSODA, banded", "Radau, analytic")
EPS_RH = 0.01


class Line:
    """One body with one piece in a room that stays as it is."""

    def __init__(self, body: Body, cells: int) -> None:
        self.one = grid(body.shape, cells)
        self.row = dict(zip(SET_NAMES, set_row(body, body.pieces[0]), strict=True))
        self.n, self.room = cells, body.room[0][1]
        self.start = np.append(np.full(cells + 1, float(np.max(body.profile))), self.room)
        self.weights = np.append(self.one.volume, 1.0)
        self.sparsity = diags(
            [np.ones(cells + 1), np.ones(cells + 2), np.ones(cells + 1)], [-1, 0, 1], format="csc"
        )

    def potential(self, u: Floats) -> tuple[Floats, Floats]:
        """The integral of the diffusivity, and the diffusivity."""
        r = self.row
        s = u * r["per_c"]
        s1 = np.minimum(s, 1.0)
        s2 = np.minimum(s - s1, 1.0)
        inner = s1 * (r["f1"] + s1 * (r["f2"] + s1 * (r["f3"] + s1 * (r["f4"] + s1 * r["f5"]))))
        outer = r["rise"] * (s2 * s2 * s2 * (1.0 - 0.5 * s2) + (s - s1 - s2))
        steep = r["d1"] + s1 * (r["d2"] + s1 * (r["d3"] + s1 * (r["d4"] + s1 * r["d5"])))
        return inner + r["top"] * (s - s1) + outer, steep + r["step"] * s2 * s2 * (3.0 - 2.0 * s2)

    def surface(self, u: float, air: float) -> tuple[float, float, float]:
        """Evaporation and its slopes with the moisture and the air."""
        r = self.row
        k1, k12, m = r["k1"], r["k12"], u * r["per_m0"]
        b = 1.0 + k1 - m * (k1 - 1.0)
        x = 2.0 * m / (b + (b * b + 4.0 * k1 * m * m) ** 0.5)
        slope = low = 1.0
        for _ in range(3):
            low = 1.0 + x * (k1 + x * k12)
            low_x = k1 + 2.0 * x * k12
            left = m * (1.0 - x) - x
            slope = left * low_x - (1.0 + m) * low + x * low_x - (1.0 - x) * (k1 + 4.0 * x * k12)
            x = x - (left * low - (1.0 - x) * x * low_x) / slope
        h = x * r["per_k"]
        root = ((h - 1.0) ** 2 + EPS_RH**2) ** 0.5
        dh = -r["per_k"] * r["per_m0"] * (1.0 - x) * low / slope * 0.5 * (1.0 - (h - 1.0) / root)
        h = 0.5 * (h + 1.0 - root)
        slowed = 1.0 / (1.0 + r["p"] * h)
        return (h - air) * slowed, dh * (1.0 + r["p"] * air) * slowed * slowed, -slowed

    def rate(self, _: float, y: Floats) -> Floats:
        """The right-hand side."""
        r = self.row
        flux = self.one.conductance * np.diff(self.potential(y[:-1])[0])
        j, _, _ = self.surface(float(y[-2]), float(y[-1]))
        out = np.zeros_like(y)
        out[: self.n] += flux
        out[1:-1] -= flux
        out[-2] -= r["q"] * j
        out[-1] = r["kv"] * j - r["gv"] * (y[-1] - self.room)
        return out / self.weights

    def jacobian(self, _: float, y: Floats) -> Any:
        """Its derivative, tridiagonal."""
        r, a = self.row, self.one.conductance
        d = self.potential(y[:-1])[1]
        _, by_u, by_air = self.surface(float(y[-2]), float(y[-1]))
        middle = np.zeros_like(y)
        middle[: self.n] -= a * d[:-1]
        middle[1:-1] -= a * d[1:]
        middle[-2] -= r["q"] * by_u
        middle[-1] = r["kv"] * by_air - r["gv"]
        above = np.append(a * d[1:], -r["q"] * by_air)
        below = np.append(a * d[:-1], r["kv"] * by_u)
        parts = [below / self.weights[1:], middle / self.weights, above / self.weights[:-1]]
        return diags(parts, [-1, 0, 1], format="csc")

    def means(self, variant: str, rtol: float, hours: Floats) -> Floats:
        """Mean moisture at the hours by one of VARIANTS."""
        how: dict[str, Any] = {
            "BDF, sparsity": {"method": "BDF", "jac_sparsity": self.sparsity},
            "BDF, analytic": {"method": "BDF", "jac": self.jacobian},
            "LSODA, banded": {"method": "LSODA", "lband": 1, "uband": 1},
            "Radau, analytic": {"method": "Radau", "jac": self.jacobian},
        }[variant]
        found = solve_ivp(
            self.rate,
            (0.0, hours[-1]),
            self.start,
            t_eval=hours,
            rtol=rtol,
            atol=0.1 * rtol,
            first_step=1e-4,
            **how,
        )
        if not found.success:
            raise ArithmeticError(found.message)
        mean: Floats = self.one.volume @ found.y[:-1]
        return mean
