"""Adapters for wood.csv: tables give percent, and specific gravity instead of density."""

from __future__ import annotations

from strandline.physics import wood


def coefficient_per_percent(total_shrinkage: float) -> float:
    """Change of size per percent of moisture, as table 13-5 prints it."""
    return wood.dimensional_change_coefficient(total_shrinkage) / 100.0


def saturation_low(temp_c: float) -> float:
    """Lowest fibre saturation of ordinary woods."""
    return wood.fibre_saturation_band(temp_c)[0]


def saturation_high(temp_c: float) -> float:
    """Highest fibre saturation of ordinary woods."""
    return wood.fibre_saturation_band(temp_c)[2]


def total_from_12(shrinkage_to_12: float) -> float:
    """Total shrinkage of a wood that does not collapse."""
    return wood.green_to_oven_dry(shrinkage_to_12, collapse_prone=False)


def air_dry_density_kg_m3(basic_density_kg_m3: float, radial_to_12: float, tangential_to_12: float) -> float:
    """Density at 12 % from basic density and the shrinkages to 12 %, by the linear law turned round."""
    to_12 = wood.volumetric_shrinkage(radial_to_12, tangential_to_12)
    total = to_12 * 0.30 / 0.18
    return wood.density_at_moisture_kg_m3(basic_density_kg_m3, total, 0.12)


def gravity_at_12(basic_density_kg_m3: float, volumetric_shrinkage: float) -> float:
    """Oven-dry mass over volume at 12 %, over the density of water."""
    return wood.density_at_moisture_kg_m3(basic_density_kg_m3, volumetric_shrinkage, 0.12) / 1120.0


def basic_density_from_air_dry(
    air_dry_density_kg_m3: float, radial_to_12: float, tangential_to_12: float
) -> float:
    """Basic density from the air-dry one."""
    lost = wood.volumetric_shrinkage(radial_to_12, tangential_to_12)
    return wood.basic_density_from_air_dry_kg_m3(air_dry_density_kg_m3, lost)
