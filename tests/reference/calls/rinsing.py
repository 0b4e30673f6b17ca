"""How the values in rinsing.csv are asked of our own functions, where a name alone does not do."""

from __future__ import annotations

from strandline.physics import conductivity, rinsing

POTASSIUM_CHLORIDE_KG_MOL = 0.074551
DENSER_G_L_PER_MOL = 47.0
"""What a mole of potassium chloride in a litre adds to the density of water."""


def baths_needed(ratio: float, left: float) -> float:
    """The number of baths, as a number."""
    return float(rinsing.baths_needed(ratio, left))


def desalting_days(left: float, half_thickness_m: float, diffusivity_m2_s: float) -> float:
    """Days of desalting."""
    return rinsing.desalting_s(left, half_thickness_m, diffusivity_m2_s) / rinsing.DAY_S


def standard_us_cm(mol_kg: float, temp_c: float, water_g_l: float) -> float:
    """Conductivity of a standard given by molality, through its concentration."""
    density_kg_l = (water_g_l + DENSER_G_L_PER_MOL * mol_kg) / 1000.0
    mol_l = mol_kg * density_kg_l / (1.0 + mol_kg * POTASSIUM_CHLORIDE_KG_MOL)
    return conductivity.conductivity_at_us_cm("potassium_chloride", mol_l, temp_c)
