"""Adapters for diffusion.csv: ratios, and fields of what the functions give."""

from __future__ import annotations

from strandline.physics import diffusion


def direction_middle(direction: str) -> float:
    """Diffusivity in a direction over the one across the grain, middle."""
    return diffusion.direction_factor(direction)[1]


def direction_high(direction: str) -> float:
    """The same, high end."""
    return diffusion.direction_factor(direction)[2]


def direction_low(direction: str) -> float:
    """The same, low end."""
    return diffusion.direction_factor(direction)[0]


def moisture_ratio(temp_c: float, moisture: float, reference_moisture: float) -> float:
    """Wall diffusivity at one moisture over that at another, below the stated range too."""
    return diffusion._bound_water(temp_c, moisture) / diffusion._bound_water(temp_c, reference_moisture)


def density_ratio(
    temp_c: float, moisture: float, basic_density_kg_m3: float, other_basic_density_kg_m3: float
) -> float:
    """Diffusivity across the grain of one wood over that of another."""
    one = diffusion.transverse_diffusivity_m2_s(temp_c, moisture, basic_density_kg_m3)
    return one / diffusion.transverse_diffusivity_m2_s(temp_c, moisture, other_basic_density_kg_m3)
