"""Makes the rows of weather.csv from the weather years that pvlib 0.16.1 carries, and prints them.

Run: python tests/reference/make/weather.py

Needs pvlib 0.16.1 with pandas and numpy. The files are read by pvlib's readers; hours are counted with
pandas; mould is a plain implementation of its own, in explicit steps of a tenth of an hour, which imports
nothing of this project. Dew points are those that the files hold.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pvlib
from pvlib.iotools import read_tmy2, read_tmy3

HOW = "data:pvlib 0.16.1"
FILES = {"greensboro": "723170TYA.CSV", "sand_point": "703165TY.csv", "miami": "12839.tm2"}
CLASSES = {
    # early, late (None: from the response times), a, b, c, least critical humidity
    "pine_resawn": (1.0, None, 1.0, 7.0, 2.0, 80.0),
    "very_sensitive": (1.0, 2.0, 1.0, 7.0, 2.0, 80.0),
    "sensitive": (0.578, 0.386, 0.3, 6.0, 1.0, 80.0),
    "medium_resistant": (0.072, 0.097, 0.0, 5.0, 1.5, 85.0),
}
SUBSTEPS = 10


def year(name: str) -> tuple[Any, Any, Any]:
    """Temperature, humidity in percent and dew point of each hour."""
    path = f"{pvlib.__path__[0]}/data/{FILES[name]}"
    if path.endswith(".tm2"):
        table, _ = read_tmy2(path)
        return table["DryBulb"] / 10.0, table["RHum"], table["DewPoint"] / 10.0
    table, _ = read_tmy3(path)
    return table["temp_air"], table["relative_humidity"], table["temp_dew"]


def mould(temps: Any, percents: Any, kind: str) -> tuple[float, float]:
    """Largest index and index at the end, by small explicit steps."""
    early, late, a, b, c, least = CLASSES[kind]
    index, dry, largest = 0.0, 0, 0.0
    for temp, percent in zip(temps, percents, strict=True):
        poly = least if temp > 20 else max(-0.00267 * temp**3 + 0.16 * temp**2 - 3.13 * temp + 100, least)
        if 0 < temp < 50 and percent >= poly:
            dry = 0
            x = (poly - percent) / (poly - 100.0)
            top = a + b * x - c * x * x
            first = np.exp(-0.68 * np.log(temp) - 13.9 * np.log(percent) + 66.02)
            seen = np.exp(-0.74 * np.log(temp) - 12.72 * np.log(percent) + 61.50)
            for _ in range(SUBSTEPS):
                factor = early if index < 1 else (late or 2.0 / (seen / first - 1.0))
                speed = factor * max(1.0 - np.exp(2.3 * (index - top)), 0.0) / (7.0 * 24.0 * first)
                index += speed / SUBSTEPS
        else:
            fall = 0.032 if dry < 6 else 0.0 if dry < 24 else 0.016
            index = max(index - fall / 24.0, 0.0)
            dry += 1
        largest = max(largest, index)
    return largest, index


def row(quantity: str, inputs: str, value: float, unit: str, tolerance: float, note: str) -> str:
    """One line of the file of rows."""
    return f"weather.{quantity},{inputs},{value:.6g},{unit},{tolerance:.2g},pvlib-weather,{note},{HOW},,"


def dew_rows(name: str, percents: Any, dews: Any) -> list[str]:
    """A few hours: the tolerance is half a percent of humidity and a tenth of a kelvin, from rounding."""
    found = []
    for hour in (500, 2000, 3500, 4500, 6000):
        percent, dew = percents.iloc[hour], dews.iloc[hour]
        rounding = 0.5 / percent * (dew + 243.12) ** 2 / (17.62 * 243.12) + 0.1
        note = f"hour {hour} of {FILES[name]}"
        found.append(row("dew_point_c", f"place={name};hour={hour}", dew, "degC", rounding, note))
    return found


if __name__ == "__main__":
    for name in FILES:
        temps, percents, dews = year(name)
        note = FILES[name]
        at = f"place={name}"
        print(row("mean_temp_c", at, float(temps.mean()), "degC", 5e-4, note))
        print(row("wet_hours", at, float(((percents > 80) & (temps > 0)).sum()), "h", 0.5, note))
        for limit in (60, 75):
            print(
                row("hours_above", f"{at};rh={limit / 100}", float((percents > limit).sum()), "h", 0.5, note)
            )
        print(row("dew_point_gap_k", at, 0.0, "K", 0.1, note))
        print("\n".join(dew_rows(name, percents, dews)))
        for kind in CLASSES:
            largest, end = mould(temps.to_numpy(), percents.to_numpy(), kind)
            for quantity, value in (("mould_largest", largest), ("mould_at_end", end)):
                if value > 0.01:
                    tolerance = 0.002 if value > 0.5 else 0.0005
                    print(row(quantity, f"{at};surface={kind}", value, "1", tolerance, note))
