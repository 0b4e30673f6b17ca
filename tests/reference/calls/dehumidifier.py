"""Calls for ``dehumidifier.csv``: kinds and curves by key, and where published removals lie in our band."""

from __future__ import annotations

from strandline.knowledge.driers import driers
from strandline.physics import dehumidifier
from tests.reference.calls.openings import place_in_band


def curve_value(curve: str, temp_c: float, rh: float) -> float:
    """The published form."""
    return dehumidifier.curve_value(driers().curves[curve], temp_c, rh)


def capacity_factor(curve: str, temp_c: float, rh: float, rated_temp_c: float, rated_rh: float) -> float:
    """Removal over rated removal."""
    return dehumidifier.capacity_factor(driers().curves[curve], temp_c, rh, rated_temp_c, rated_rh)


def band_place(
    kind: str, removed: float, rated: float, temp_c: float, rh: float, rated_temp_c: float, rated_rh: float
) -> float:
    """0 at the low end of the band for a machine so rated, 1 at the high end."""
    band = dehumidifier.drier_band(driers().kinds[kind], rated, temp_c, rh, rated_temp_c, rated_rh)
    return place_in_band(removed, band.low, band.high)


def band_mid_l_day(
    kind: str, rated: float, temp_c: float, rh: float, rated_temp_c: float, rated_rh: float
) -> float:
    """Litres a day, the likely value of the band."""
    return dehumidifier.drier_band(driers().kinds[kind], rated, temp_c, rh, rated_temp_c, rated_rh).mid


def removed_kg_s(curve: str, litres_day: float, temp_c: float, rh: float, share: float) -> float:
    """Water a machine takes out that works a share of the time; a litre being a kilogram."""
    return curve_value(curve, temp_c, rh) * dehumidifier.removal_m3_s(litres_day) * 1000.0 * share
