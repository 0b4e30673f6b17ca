"""Weather years that pvlib carries, read here by hand and run through air, mould and time of wetness."""

from __future__ import annotations

import csv
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from strandline.physics import air, corrosion, mould

FILES = {"greensboro": "723170TYA.CSV", "sand_point": "703165TY.csv", "miami": "12839.tm2"}

Hour = tuple[float, float, float]
"""Temperature [degC], relative humidity, dew point [degC]."""


@cache
def hours(place: str) -> tuple[Hour, ...]:
    """The 8760 hours of a place."""
    spec = find_spec("pvlib")
    if spec is None or spec.origin is None:
        raise FileNotFoundError("pvlib, which carries the weather years, is not installed")
    path = Path(spec.origin).parent / "data" / FILES[place]
    text = path.read_text(encoding="latin-1")
    return _fixed_width(text) if path.suffix == ".tm2" else _with_commas(text)


def _with_commas(text: str) -> tuple[Hour, ...]:
    """TMY3: a line on the station, then a table with a head."""
    rows = csv.DictReader(text.splitlines()[1:])
    return tuple(
        (float(row["Dry-bulb (C)"]), float(row["RHum (%)"]) / 100.0, float(row["Dew-point (C)"]))
        for row in rows
    )


def _fixed_width(text: str) -> tuple[Hour, ...]:
    """TMY2: tenths of a degree in columns 68 to 71 and 74 to 77, percent in 80 to 82."""
    return tuple(
        (int(line[67:71]) / 10.0, int(line[79:82]) / 100.0, int(line[73:77]) / 10.0)
        for line in text.splitlines()[1:]
    )


def climates(place: str) -> list[tuple[float, float]]:
    """Temperature and humidity of each hour."""
    return [(temp_c, rh) for temp_c, rh, _ in hours(place)]


def mean_temp_c(place: str) -> float:
    """Mean temperature: shows that the file was read aright."""
    return sum(temp_c for temp_c, _, _ in hours(place)) / len(hours(place))


def wet_hours(place: str) -> float:
    """Time of wetness."""
    return corrosion.wet_hours(climates(place))


def hours_above(place: str, rh: float) -> float:
    """Hours above a humidity."""
    return corrosion.hours_above([one for _, one, _ in hours(place)], rh)


def dew_point_c(place: str, hour: int) -> float:
    """Our dew point of one hour from its temperature and humidity."""
    temp_c, rh, _ = hours(place)[hour]
    return air.dew_point_c(temp_c, rh)


def dew_point_gap_k(place: str) -> float:
    """Mean gap between our dew points and those of the file, where both lie above 0 degC."""
    gaps = [air.dew_point_c(temp_c, rh) - dew for temp_c, rh, dew in hours(place) if dew > 0.0 < temp_c]
    return sum(gaps) / len(gaps)


@cache
def _mould_course(place: str, surface: str) -> tuple[float, ...]:
    """The index after each hour."""
    state, found = mould.MouldState(), []
    for temp_c, rh in climates(place):
        state = mould.advance(state, temp_c, rh, 1.0, surface)
        found.append(state.index)
    return tuple(found)


def mould_largest(place: str, surface: str) -> float:
    """Largest index of the year."""
    return max(_mould_course(place, surface))


def mould_at_end(place: str, surface: str) -> float:
    """Index when the year is over."""
    return _mould_course(place, surface)[-1]
