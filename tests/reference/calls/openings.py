"""Calls for ``openings.csv``: units of the sources, and where a published figure lies in our band."""

from __future__ import annotations

import math

from strandline.physics import openings

FOOT_M = 0.3048


def place_in_band(value: float, low: float, high: float) -> float:
    """0 at the low end of a band, 1 at its high end, in logarithms; outside below 0 or above 1."""
    return math.log(value / low) / math.log(high / low)


def pores_mol_m2_s(
    area_m2: float, per_m2: float, depth_m: float, diffusivity_m2_s: float, molar_volume_m3: float
) -> float:
    """Conductance of many round pores side by side, in moles."""
    diameter_m = math.sqrt(4.0 * area_m2 / math.pi)
    one = openings.hole_conductance_m3_s(diameter_m, depth_m, diffusivity_m2_s)
    return one * per_m2 / molar_volume_m3


def hole_by_radius(depth_over_radius: float) -> float:
    """Conductance over diffusivity times radius."""
    return openings.hole_conductance_m3_s(2.0, depth_over_radius, 1.0)


def plate_capacity(side: float) -> float:
    """Capacity of a flat square plate over 4 pi epsilon, from the conductance of a square aperture."""
    return openings.slit_conductance_m3_s(side, side, 0.0, 1.0) / math.pi


def stack_ft3_min(area_ft2: float, height_ft: float, room_f: float, outside_f: float) -> float:
    """Flow through equal openings, one above the other, in feet and degrees Fahrenheit."""
    room_k, outside_k = ((f + 459.67) / 1.8 for f in (room_f, outside_f))
    light = 2.0 * (room_k - outside_k) / (room_k + outside_k)
    area_m2 = area_ft2 * FOOT_M**2
    flow = openings.two_opening_flow_m3_s(area_m2, area_m2, height_ft * FOOT_M, light, 0.65)
    return flow / FOOT_M**3 * 60.0


def window_place(flow_m3_s: float, area_m2: float, height_m: float, room_c: float, outside_c: float) -> float:
    """Where a published flow through one window lies between discharge coefficients 0.35 and 0.63."""
    light = 2.0 * (room_c - outside_c) / (room_c + outside_c + 546.3)
    low, high = (
        openings.single_opening_exchange_m3_s(area_m2, height_m, light, cd)
        for cd in (openings.DISCHARGE_LOW, openings.DISCHARGE_HIGH)
    )
    return place_in_band(flow_m3_s, low, high)


def coefficient_place(discharge: float) -> float:
    """Where a published discharge coefficient lies in our range."""
    return place_in_band(discharge, openings.DISCHARGE_LOW, openings.DISCHARGE_HIGH)


def horizontal_m3_s(area_m2: float, difference_k: float, inside_k: float) -> float:
    """Exchange through a round horizontal opening by temperature alone."""
    return openings.horizontal_exchange_m3_s(math.sqrt(4.0 * area_m2 / math.pi), difference_k / inside_k)


def single_opening(
    area_m2: float, height_m: float, inside_rh: float, outside_rh: float, temp_c: float
) -> float:
    """Exchange by moisture alone with the round discharge coefficient 0.6."""
    light = openings.lightness(temp_c, inside_rh, temp_c, outside_rh)
    return openings.single_opening_exchange_m3_s(area_m2, height_m, light, 0.6)


def two_openings(
    area_m2: float, height_m: float, inside_rh: float, outside_rh: float, temp_c: float
) -> float:
    """Through-flow by moisture alone with the round discharge coefficient 0.6."""
    light = openings.lightness(temp_c, inside_rh, temp_c, outside_rh)
    return openings.two_opening_flow_m3_s(area_m2, area_m2, height_m, light, 0.6)
