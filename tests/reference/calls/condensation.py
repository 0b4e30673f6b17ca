"""Calls for ``condensation.csv``: dew points as margins of a surface at 0 degC, Fahrenheit."""

from __future__ import annotations

from strandline.physics import condensation


def _celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8


def dew_point_by_margin_c(air_temp_c: float, air_rh: float) -> float:
    """The dew point, as what a surface at 0 degC lacks."""
    return -condensation.dew_margin_k(0.0, air_temp_c, air_rh)


def dew_point_by_margin_f(air_temp_f: float, air_rh: float) -> float:
    """The same in degrees Fahrenheit."""
    return 32.0 + 1.8 * dew_point_by_margin_c(_celsius(air_temp_f), air_rh)


def rh_at_temperature_f(temp_f: float, rh: float, new_temp_f: float) -> float:
    """Humidity after a change of temperature."""
    return condensation.rh_at_temperature(_celsius(temp_f), rh, _celsius(new_temp_f))


def stream_kg_h(flow_m3_s: float, temp_c: float, rh: float, coil_temp_c: float) -> float:
    """Water a stream leaves."""
    return 3600.0 * condensation.stream_condensed_kg_s(flow_m3_s, temp_c, rh, coil_temp_c)
