"""Adapters for timbers.csv: what the shipped rows of a wood give."""

from __future__ import annotations

from strandline.knowledge.timbers import timber
from strandline.physics import wood


def gravity_at_12(key: str) -> float:
    """Oven-dry mass over volume at 12 %, over the density of water."""
    one = timber(key)
    total = one.volumetric_to_oven_dry[1]
    return wood.density_at_moisture_kg_m3(one.basic_density_kg_m3[1], total, 0.12) / 1120.0


def radial_per_percent(key: str) -> float:
    """Radial shrinkage per percent of moisture below fibre saturation, in percent of the green size."""
    one = timber(key)
    return one.radial_to_oven_dry[1] / one.fibre_saturation(20.0)[1]


def tangential_per_percent(key: str) -> float:
    """Tangential shrinkage per percent of moisture below fibre saturation, in percent of the green size."""
    one = timber(key)
    return one.tangential_to_oven_dry[1] / one.fibre_saturation(20.0)[1]


def tangential_to_12(key: str) -> float:
    """Tangential shrinkage from green to 12 % moisture, share of the green size."""
    one = timber(key)
    return wood.shrinkage(one.tangential_to_oven_dry[1], 0.12, one.fibre_saturation(20.0)[1])


def tangential_coefficient(key: str) -> float:
    """Tangential change of size per percent of moisture, share of the size at 10 %."""
    return wood.dimensional_change_coefficient(timber(key).tangential_to_oven_dry[1]) / 100.0
