"""Makes tests/reference/coupled.csv: bodies that share a room, the whole as one system, by SciPy's BDF.

Bodies on 20 cells each, the air under each cover, and the room, written here anew with the same equations:

    volume_i du_i/dt = what comes through the faces, D(u) at the face by the integral of the diffusivity
    surface: film (h(u_s) - cover) / (1 + cooling h(u_s)) leaves; h is the inverse isotherm, by bisection and
        Newton steps, rounded at 1 with width 0.01
    air_depth d cover/dt = that - opening (cover - room)
    V c d room/dt = sum of area opening c (cover - room) - n V (c room - outside) - removed(room)

SciPy 1.17.1, solve_ivp, BDF, rtol 1e-9, atol 1e-11: ten times looser moves no answer by 1e-6. Run with the
environment of the tests:  PYTHONPATH=src:. python tests/reference/make/coupled.py
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
from scipy.integrate import solve_ivp

from tests.reference.calls.coupled import (
    CASES,
    CELLS,
    HOURS,
    MATERIALS,
    SATURATION_KG_M3,
    Case,
    One,
    outside_kg_m3,
    removed_kg_h,
)

OUT = Path(__file__).parents[1] / "coupled.csv"
ORDER = {"plane": 0, "cylinder": 1, "sphere": 2}
ROOM_HOURS = (3.0, 12.0, 48.0, 168.0, 480.0)
BODY_ROWS = {
    "crowded": ((0, 48.0), (1, 480.0), (2, 168.0), (4, 48.0)),
    "dehumidified": ((0, 168.0), (1, 168.0), (2, 48.0), (3, 480.0)),
}
MOISTURE_TOLERANCE, RH_TOLERANCE = 1e-4, 5e-4
"""What the engine is asked to keep to; the reference itself is good to the digits written."""


class Slab:
    """The equations of one body."""

    def __init__(self, one: One) -> None:
        self.one = one
        self.m = ORDER[one.shape]
        self.density, (self.top, *self.p, self.rise), (self.m0, self.k, self.k1, self.k2) = MATERIALS[
            one.material
        ]
        depth = np.linspace(1.0, 0.0, CELLS + 1) ** 2
        self.x = 1.0 - depth
        self.face = 0.5 * (self.x[1:] + self.x[:-1])
        edge = np.concatenate([[0.0], self.face, [1.0]]) * one.half_m
        self.shell = np.diff(edge ** (self.m + 1)) / (self.m + 1)  # per area of angle; surface area half^m
        self.width = np.diff(self.x) * one.half_m

    def potential(self, u):
        s = u / self.top
        s1 = np.minimum(s, 1.0)
        s2 = np.minimum(s - s1, 1.0)
        inner = sum(p * s1 ** (n + 1) / (n + 1) for n, p in enumerate(self.p)) + sum(self.p) * (s - s1)
        return self.top * (inner + self.rise * (s2**3 - 0.5 * s2**4 + s - s1 - s2))

    def humidity(self, u: float) -> float:
        wanted, low, high = u / self.m0, 0.0, 1.0
        x = wanted / (1.0 + wanted)
        for _ in range(100):
            below = 1 + self.k1 * x + self.k1 * self.k2 * x * x
            above = self.k1 * x + 2 * self.k1 * self.k2 * x * x
            miss = x / (1 - x) + above / below - wanted
            low, high = (x, high) if miss < 0 else (low, x)
            slope = (
                1 / (1 - x) ** 2
                + (
                    (self.k1 + 4 * self.k1 * self.k2 * x) * below
                    - above * (self.k1 + 2 * self.k1 * self.k2 * x)
                )
                / below**2
            )
            new = x - miss / slope
            if not low < new < high:
                new = 0.5 * (low + high)
            if abs(new - x) < 1e-15:
                break
            x = new
        a = x / self.k
        return 0.5 * (a + 1 - math.sqrt((a - 1) ** 2 + 0.01**2))

    def rates(self, u, cover: float, room: float):
        """Per hour: of the vertices, of the cover's air; and kg/(m2 h) into the room."""
        one = self.one
        through = 3600 * (self.face * one.half_m) ** self.m * np.diff(self.potential(u)) / self.width
        h = self.humidity(float(u[-1]))
        leaving = 3600 * one.surface_m_s * (h - cover) / (1 + one.cooling * h)
        change = np.zeros_like(u)
        change[:-1] += through
        change[1:] -= through
        change[-1] -= leaving * SATURATION_KG_M3 / self.density * one.half_m**self.m
        out = 3600 * one.outer_m_s * (cover - room)
        return change / self.shell, (leaving - out) / one.air_depth_m, out * SATURATION_KG_M3

    def mean(self, u) -> float:
        return float(self.shell @ u / self.shell.sum())


def solve(case: Case, hours: list[float], rtol: float = 1e-9):
    slabs = [Slab(one) for one in case.bodies]
    rows = CELLS + 2

    def rate(hour: float, y):
        change, into = np.empty_like(y), 0.0
        for number, slab in enumerate(slabs):
            at = slice(number * rows, (number + 1) * rows - 1)
            change[at], change[at.stop], given = slab.rates(y[at], y[at.stop], y[-1])
            into += slab.one.area_m2 * given
        blown = (
            case.air_change_per_h * case.volume_m3 * (SATURATION_KG_M3 * y[-1] - outside_kg_m3(case, hour))
        )
        change[-1] = (into - blown - removed_kg_h(case, y[-1])) / (case.volume_m3 * SATURATION_KG_M3)
        return change

    block = np.zeros((len(slabs) * rows + 1,) * 2)
    for number in range(len(slabs)):
        for i in range(rows):
            for j in range(max(0, i - 1), min(rows, i + 2)):
                block[number * rows + i, number * rows + j] = 1
        block[(number + 1) * rows - 1, -1] = block[-1, (number + 1) * rows - 1] = 1
    block[-1, -1] = 1
    start = np.concatenate(
        [np.append(np.full(CELLS + 1, s.one.start), case.start_rh) for s in slabs] + [[case.start_rh]]
    )
    went = solve_ivp(
        rate,
        (0, HOURS),
        start,
        "BDF",
        hours,
        rtol=rtol,
        atol=0.01 * rtol,
        jac_sparsity=block,
        max_step=3.0,
        first_step=1e-6,
    )
    assert went.success, went.message
    rooms = {t: float(y[-1]) for t, y in zip(went.t, went.y.T, strict=True)}
    means = {
        (number, t): slab.mean(y[number * rows : (number + 1) * rows - 1])
        for number, slab in enumerate(slabs)
        for t, y in zip(went.t, went.y.T, strict=True)
    }
    return rooms, means


def main() -> None:
    rows = []
    place = "solve_ivp, BDF, rtol 1e-9, 20 cells a body"
    for name, case in CASES.items():
        rooms, means = solve(case, list(ROOM_HOURS))
        looser = solve(case, list(ROOM_HOURS), 1e-8)
        moved = max(
            *(abs(rooms[t] - looser[0][t]) for t in rooms), *(abs(means[k] - looser[1][k]) for k in means)
        )
        assert moved < 1e-6, moved
        note = "a tenfold looser tolerance moves it by less than 1e-6"
        for t in ROOM_HOURS:
            rows.append(
                ["coupled.room_rh", f"case={name};hours={t:g}", f"{rooms[t]:.6f}", "1", f"{RH_TOLERANCE}"]
            )
        for number, t in BODY_ROWS[name]:
            inputs = f"case={name};body={number};hours={t:g}"
            rows.append(
                ["coupled.mean_moisture", inputs, f"{means[number, t]:.6f}", "kg/kg", f"{MOISTURE_TOLERANCE}"]
            )
    with OUT.open("w", newline="", encoding="utf-8") as handle:
        writer = csv.writer(handle, lineterminator="\n")
        writer.writerow("quantity,inputs,value,unit,tolerance,source,place,how,note,miss".split(","))
        writer.writerows([*row, "scipy-1.17", place, "library:scipy 1.17.1", note, ""] for row in rows)
    print(f"{len(rows)} rows")


if __name__ == "__main__":
    main()
