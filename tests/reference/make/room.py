"""Rows for ``room.csv``, ``enclosure.csv``, ``dehumidifier.csv`` and ``condensation.csv`` that are computed.

The balances of a room and of a cover are integrated twice: by scipy's LSODA and by a fixed-step Runge-Kutta
of fourth order written here. Properties of air are those of psychrolib; for nights and wheels those of
CoolProp 8.0.0. Run with a Python that has CoolProp, psychrolib and scipy; prints both answers and what the
two say of air.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import psychrolib
from CoolProp.HumidAirProp import HAPropsSI
from scipy.integrate import solve_ivp

psychrolib.SetUnitSystem(psychrolib.SI)
Slope = Callable[[float, np.ndarray], np.ndarray]


def full(temp_c: float) -> float:
    """Vapour of saturated air [kg/m3]."""
    return float(psychrolib.GetSatVapPres(temp_c)) / (461.52 * (temp_c + 273.15))


def twice(
    slope: Slope, start: list[float], end: float, pieces: int = 1000
) -> tuple[list[float], list[float]]:
    """The end state by LSODA and by Runge-Kutta."""
    one = solve_ivp(slope, (0.0, end), start, method="LSODA", rtol=1e-10, atol=1e-13, max_step=end / 100.0)
    y, h = np.array(start, dtype=float), end / pieces
    for i in range(pieces):
        t = i * h
        a = slope(t, y)
        b = slope(t + h / 2.0, y + h / 2.0 * a)
        c = slope(t + h / 2.0, y + h / 2.0 * b)
        d = slope(t + h, y + h * c)
        y = y + h / 6.0 * (a + 2.0 * b + 2.0 * c + d)
    return [float(v) for v in one.y[:, -1]], [float(v) for v in y]


def room() -> None:
    """81 m3, half an air change an hour, outside 10 degC and 80 %, inside 20 degC."""
    volume, rate, outside, sat = 81.0, 0.5, 0.8 * full(10.0), full(20.0)

    def plain(source: float, buffer: float) -> Slope:
        held = volume + buffer / sat
        return lambda t, y: np.array([(rate * volume * (outside - y[0]) + source) / held])

    for name, source, buffer, end in (("after 2 h", 0.1, 0.0, 2.0), ("buffer, 24 h", 0.3, 5.0, 24.0)):
        print("room", name, *(v[0] / sat for v in twice(plain(source, buffer), [0.9 * sat], end)))
    print("room settled", *(v[0] / sat for v in twice(plain(0.1, 0.0), [0.9 * sat], 80.0)))

    def dried(t: float, y: np.ndarray) -> np.ndarray:
        taken = max(0.0, y[0] / sat - 0.4)
        return np.array([(rate * volume * (outside - y[0]) + 0.3 - taken) / volume, taken])

    for told in twice(dried, [0.9 * sat, 0.0], 24.0):
        print("room with a drier: rh, removed", told[0] / sat, told[1])

    rising = plain(0.8, 0.0)
    full_at = solve_ivp(rising, (0.0, 24.0), [0.9 * sat], method="LSODA", rtol=1e-10, atol=1e-13,
                        events=lambda t, y: y[0] - sat).t_events[0][0]  # fmt: skip
    low, high = 0.0, 24.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if twice(rising, [0.9 * sat], middle, 100)[1][0] < sat else (low, middle)
    surplus = rate * volume * (outside - sat) + 0.8
    print("room that fogs: condensed", surplus * (24.0 - full_at), surplus * (24.0 - low))

    cold, buffer = full(16.0), 2.0
    first = twice(plain(0.05, buffer), [0.7 * sat], 12.0)
    for told in first:
        water = told[0] * (volume + buffer / sat)
        held = volume + buffer / cold

        def slope(t, y, held=held):
            return np.array([(rate * volume * (outside - y[0]) + 0.05) / held])

        print(
            "room by day and night", told[0] / sat, *(v[0] / cold for v in twice(slope, [water / held], 12.0))
        )
    goal = 0.6 * sat
    for source in (-0.2, 0.05):
        low, high = 0.0, 60.0
        for _ in range(40):
            middle = 0.5 * (low + high)
            told_end = twice(plain(source, 0.0), [0.9 * sat], max(middle, 1e-6), 100)[1][0]
            low, high = (middle, high) if told_end > goal else (low, middle)
        falling = plain(source, 0.0)
        reached = solve_ivp(falling, (0.0, 60.0), [0.9 * sat], method="LSODA", rtol=1e-10, atol=1e-13,
                            events=lambda t, y: y[0] - goal).t_events[0][0]  # fmt: skip
        print("pull-down hours, source", source, reached, low)


def aired(slope: Slope, sat: float) -> None:
    """A cover that was opened, one that dries a body of 60 %, and a bag in a box of wood."""
    for start, end in ((0.5, 60.0), (0.2, 90.0)):
        print("cover from", start, "after", end, *(v[0] for v in twice(slope, [start], end, 4000)))

    def drier(t: float, y: np.ndarray) -> np.ndarray:
        return np.array([(1e-4 * (0.6 - y[0]) + 4e-4 * (0.4 - y[0])) / 0.25])

    for end in (300.0, 900.0):
        print("dry cover after", end, *(v[0] for v in twice(drier, [0.9], end, 4000)))
    for told in twice(drier, [0.9], 20000.0, 4000):
        print("dry cover settled: rh, loss kg/s", told[0], 4e-4 * sat * (told[0] - 0.4))

    def nested(t: float, y: np.ndarray) -> np.ndarray:
        one, two, three = 0.002 * (1.0 - y[0]), 4e-5 * (y[0] - y[1]), 6e-5 * (y[1] - 0.5)
        return np.array([(one - two) / 0.05, (two - three) / 0.2])

    for told in twice(nested, [0.5, 0.5], 60000.0, 40000):
        print("bag in a thin box: loss per unit difference", 6e-5 * (told[1] - 0.5) / (told[0] - 0.5))


def cover() -> None:
    """A body in a bag, and a bag in a box."""
    body, outer, volume, sat = 0.0015, 3.0e-5, 0.1, full(20.0)

    def slope(t, y):
        return np.array([(body * (1.0 - y[0]) + outer * (0.5 - y[0])) / volume])

    for end in (30.0, 120.0, 5000.0):
        print("cover after", end, *(v[0] for v in twice(slope, [0.5], end, 4000)))

    def slow(t, y):
        return np.array([(2e-5 * (0.95 - y[0]) + outer * (0.5 - y[0])) / volume])

    for told in twice(slow, [0.5], 60000.0, 4000):
        print("cover of a dry-skinned body: rh, loss kg/s", told[0], outer * sat * (told[0] - 0.5))
    bag, box = 5.0e-6, 2.0e-5

    def pair(t, y):
        return np.array(
            [
                (body * (1.0 - y[0]) + bag * (y[1] - y[0])) / volume,
                (bag * (y[0] - y[1]) + box * (0.5 - y[1])) / 0.3,
            ]
        )

    for told in twice(pair, [0.5, 0.5], 300000.0, 40000):
        print("bag in a box: loss per unit difference", box * (told[1] - 0.5) / (told[0] - 0.5))
    aired(slope, sat)
    matrix = np.array([[body + bag, -bag], [-bag, bag + box]])
    inner, middle = np.linalg.solve(matrix, np.array([body, 0.5 * box]))
    print("bag in a box, linear", box * (middle - 0.5) / (inner - 0.5))
    warm, chill = (float(psychrolib.GetSatVapPres(t)) / (461.52 * (14.0 + 273.15)) for t in (18.0, 10.0))

    def night(t, y):
        return np.array([(body * (warm - y[0]) + 0.003 * (chill - y[0])) / volume, 0.003 * (y[0] - chill)])

    for told in twice(night, [0.9 * warm, 0.0], 36000.0, 4000):
        print("night, 10 h: condensed kg", told[1], "of which the start of", volume * 0.9 * warm)


def air() -> None:
    """What psychrolib says."""
    for temp, rh, new in ((11.0, 0.92, 9.0), (4.0, 0.7, 9.0), (4.0, 0.7, 18.0), (18.0, 0.65, 9.0)):
        ratio = psychrolib.GetHumRatioFromRelHum(temp, rh, 101325.0)
        pressure = psychrolib.GetVapPresFromHumRatio(ratio, 101325.0)
        print("rh of", temp, rh, "at", new, pressure / psychrolib.GetSatVapPres(new))
    for surface, temp, rh in ((9.0, 18.0, 0.65), (15.0, 20.0, 0.75), (2.0, 25.0, 0.8)):
        print("margin of", surface, temp, rh, surface - psychrolib.GetTDewPointFromRelHum(temp, rh))
    for temp, surface in ((20.0, 12.0), (18.0, 9.0)):
        print("highest dry rh", temp, surface, psychrolib.GetRelHumFromTDewPoint(temp, surface))
    for flow, temp, rh, coil in ((0.1, 20.0, 0.6, 5.0),):
        ratio = psychrolib.GetHumRatioFromRelHum(temp, rh, 101325.0)
        after = psychrolib.GetSatHumRatio(coil, 101325.0)
        dry = flow / psychrolib.GetMoistAirVolume(temp, ratio, 101325.0)
        print("stream", flow, temp, rh, coil, dry * (ratio - after) * 3600.0)


def real_air() -> None:
    """What CoolProp says of a cover that cools at night and of the vapour a drying wheel meets."""

    def told(what: str, temp: float, rh: float) -> float:
        return float(HAPropsSI(what, "T", temp + 273.15, "R", rh, "P", 101325.0))

    def vapour(temp: float, rh: float) -> float:
        return told("W", temp, rh) / told("Vda", temp, rh)

    for volume, temp, rh, night in ((0.1, 18.0, 0.98, 10.0), (1.0, 22.0, 0.6, 8.0), (0.5, 20.0, 0.9, 2.0)):
        print("air of a cover", volume, temp, rh, night, volume * (vapour(temp, rh) - vapour(night, 1.0)))
    for temp, rh, exponent in ((10.0, 0.7, 1.0), (15.0, 0.5, 1.0), (5.0, 0.8, 0.5), (25.0, 0.5, 0.5)):
        print("wheel", temp, rh, exponent, (told("W", temp, rh) / told("W", 20.0, 0.6)) ** exponent)


if __name__ == "__main__":
    room()
    cover()
    air()
    real_air()
