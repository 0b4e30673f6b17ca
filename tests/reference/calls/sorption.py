"""Adapters for sorption.csv: quantities that are differences or fields of what the functions give."""

from __future__ import annotations

from strandline.physics import sorption


def saturated_moisture(temp_c: float) -> float:
    """Moisture in saturated air."""
    return sorption.wood_isotherm(temp_c).saturated


def branch_gap(temp_c: float, rh: float) -> float:
    """Moisture on the drying branch less that on the wetting branch, in the middle of both."""
    dried = sorption.branch_moisture(temp_c, rh, "green_desorption")[1]
    return dried - sorption.branch_moisture(temp_c, rh, "adsorption")[1]


def green_excess(temp_c: float, rh: float) -> float:
    """Moisture at the first drying above that of the table, in the middle."""
    dried = sorption.branch_moisture(temp_c, rh, "green_desorption")[1]
    return dried - sorption.equilibrium_moisture(temp_c, rh)
