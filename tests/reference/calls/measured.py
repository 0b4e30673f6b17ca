"""What answers for the rows of ``measured.csv``: our diffusivity of wood beside measured ones.

Diffusivities and their ratios stand as logarithms to base 10, so that a factor of two up and a factor of two
down weigh the same: 0.301.
"""

import math

from strandline.physics import diffusion


def log_across(temp_c: float, moisture: float, basic_density_kg_m3: float) -> float:
    """Logarithm of the diffusivity across the grain [m2/s]."""
    return math.log10(diffusion.transverse_diffusivity_m2_s(temp_c, moisture, basic_density_kg_m3))


def log_along(temp_c: float, moisture: float, basic_density_kg_m3: float) -> float:
    """Logarithm of the diffusivity along the grain [m2/s]."""
    return log_across(temp_c, moisture, basic_density_kg_m3) + math.log10(along_over_across())


def along_over_across() -> float:
    """Ratio along to across the grain, middle value."""
    return diffusion.direction_factor("longitudinal")[1]


def along_over_across_greatest() -> float:
    """Ratio along to across the grain, upper end."""
    return diffusion.direction_factor("longitudinal")[2]


def log_rise(temp_c: float, moisture_low: float, moisture_high: float, basic_density_kg_m3: float) -> float:
    """Logarithm of how much the diffusivity rises with moisture; below 5 % the law is carried on."""
    lowest = max(moisture_low, 0.05)
    rise = log_across(temp_c, moisture_high, basic_density_kg_m3) - log_across(
        temp_c, lowest, basic_density_kg_m3
    )
    return rise * (moisture_high - moisture_low) / (moisture_high - lowest)


def density_ratio(temp_c: float, moisture: float, light_kg_m3: float, dense_kg_m3: float) -> float:
    """Diffusivity of a light wood over that of a dense one."""
    return math.pow(
        10.0, log_across(temp_c, moisture, light_kg_m3) - log_across(temp_c, moisture, dense_kg_m3)
    )


def log_board_constant(
    temp_c: float, thickness_m: float, moisture: float, basic_density_kg_m3: float
) -> float:
    """Logarithm of the time constant [d] of a board whose faces stand at equilibrium: L^2 / (pi^2 D)."""
    across_m2_s = 10.0 ** log_across(temp_c, moisture, basic_density_kg_m3)
    return math.log10(thickness_m**2 / (math.pi**2 * across_m2_s) / 86_400.0)
