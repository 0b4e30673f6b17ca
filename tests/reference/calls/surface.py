"""A wet thing behind a bag, gap or box in series with the skin of air; heat passes the skin alone."""

from strandline.physics import surface

CONVECTIVE_W_M2_K, RADIATIVE_W_M2_K = 3.0, 5.0


def _behind(gap_m_s: float, temp_c: float) -> tuple[float, float]:
    skin = surface.conductance_from_heat_m_s(CONVECTIVE_W_M2_K, temp_c)
    return surface.conductance_in_series_m_s(gap_m_s, skin), CONVECTIVE_W_M2_K + RADIATIVE_W_M2_K


def drop_behind_k(gap_m_s: float, temp_c: float, rh: float) -> float:
    """How far the wet thing cools."""
    return temp_c - surface.surface_temp_c(*_behind(gap_m_s, temp_c), temp_c, rh)


def factor_behind(gap_m_s: float, temp_c: float, rh: float) -> float:
    """True rate over the rate at air temperature."""
    conductance, heat = _behind(gap_m_s, temp_c)
    true = surface.cooled_evaporation_kg_m2_s(conductance, heat, temp_c, rh)
    return true / surface.evaporation_kg_m2_s(conductance, temp_c, temp_c, rh)
