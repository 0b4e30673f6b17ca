"""What of the porous bodies a row of porous.csv asks for."""

from __future__ import annotations

from strandline.physics import porous


def retained_example(rh: float, temp_c: float) -> float:
    """Water of the example body of en-15026 at a humidity [kg/m3]."""
    return porous.retained_water_kg_m3(porous.suction_pa(rh, temp_c), 146.0, 8e-8, 1.6)


def suction_full(absorption_kg_m2_s05: float, free_saturation_kg_m3: float) -> float:
    """Suction diffusivity at free saturation [m2/s]."""
    return porous.suction_diffusivity_m2_s(free_saturation_kg_m3, absorption_kg_m2_s05, free_saturation_kg_m3)
