"""Stone, brick, plaster and pottery: how much water the pores take up, how fast, and how vapour leaves them.

Water in pores is counted in kilograms per cubic metre of the body. The quantities are those of the building
standards: the water absorption coefficient A (uptake per area over the root of time), the free saturation
(what a body standing in water takes up by itself) and the diffusion resistance factor mu (how many times
thicker than the body a layer of still air of the same resistance is).
"""

from __future__ import annotations

import math

from strandline.physics.air import KELVIN, STANDARD_PRESSURE_PA, WATER_GAS_CONSTANT_J_KG_K
from strandline.physics.ranges import within
from strandline.physics.vapour import permeability_schirmer_kg_m_s_pa

WATER_KG_M3 = 1000.0
SUCTION_EXPONENT = math.log(1000.0)
"""Exponent of Kuenzel's suction diffusivity: a thousandfold rise from dry to free saturation."""
SUCTION_FACTOR = 3.8


def uptake_kg_m2(absorption_kg_m2_s05: float, seconds: float) -> float:
    """Water drawn in through a square metre of wetted face [kg/m2], while the front has not arrived.

    Equation: m = A sqrt(t).
    Source: hall-hoff ch. 4 (recalled).
    Range: a dry body at the start, the front short of the far side, gravity negligible.
    Doubt: A of one kind of stone or brick spreads by a factor of 3 to 10; salts and dirt slow it.
    Raises: OutOfRange.

    >>> round(uptake_kg_m2(0.2, 3600.0), 1)
    12.0
    """
    within("absorption_kg_m2_s05", absorption_kg_m2_s05, 0.0, 10.0, "kg/(m2 s^0.5)")
    return absorption_kg_m2_s05 * math.sqrt(within("seconds", seconds, 0.0, 1e10, "s"))


def penetration_depth_m(absorption_kg_m2_s05: float, free_saturation_kg_m3: float, seconds: float) -> float:
    """How deep the wet front stands behind a wetted face [m], taken as a sharp front.

    Equation: x = A sqrt(t) / w_f.
    Source: hall-hoff ch. 4 (recalled).
    Range: as uptake_kg_m2.
    Doubt: the real front is spread over some millimetres and runs ahead of this depth.
    Raises: OutOfRange.

    >>> round(1000 * penetration_depth_m(0.2, 250.0, 3600.0), 1)
    48.0
    """
    held = within("free_saturation_kg_m3", free_saturation_kg_m3, 1e-3, WATER_KG_M3, "kg/m3")
    return uptake_kg_m2(absorption_kg_m2_s05, seconds) / held


def filling_time_s(absorption_kg_m2_s05: float, free_saturation_kg_m3: float, depth_m: float) -> float:
    """How long a body must stand in water until the front has crossed this depth [s].

    Equation: t = (w_f L / A)^2, the inverse of penetration_depth_m.
    Source: hall-hoff ch. 4 (recalled).
    Range: as uptake_kg_m2; above zero absorption.
    Doubt: doubly that of A, since A enters squared.
    Raises: OutOfRange.

    >>> round(filling_time_s(0.2, 250.0, 0.02))
    625
    """
    drawn = within("absorption_kg_m2_s05", absorption_kg_m2_s05, 1e-9, 10.0, "kg/(m2 s^0.5)")
    held = within("free_saturation_kg_m3", free_saturation_kg_m3, 1e-3, WATER_KG_M3, "kg/m3")
    return (held * within("depth_m", depth_m, 0.0, 10.0, "m") / drawn) ** 2


def water_drawn_in_kg_m2(
    absorption_kg_m2_s05: float, free_saturation_kg_m3: float, depth_m: float, seconds: float
) -> float:
    """Water in a body that stood in water for a time [kg/m2], at most what its depth holds.

    Rule: A sqrt(t), not more than w_f L; the slow filling of the pores that keep air comes later and is
        left out.
    Source: hall-hoff ch. 4 (recalled).
    Range: as uptake_kg_m2; the depth is the half thickness where both faces are wetted.
    Doubt: that of A and of the free saturation; under pressure or after weeks up to the full porosity fills.
    Raises: OutOfRange.

    >>> water_drawn_in_kg_m2(0.2, 250.0, 0.02, 1e6)
    5.0
    """
    held = within("free_saturation_kg_m3", free_saturation_kg_m3, 1e-3, WATER_KG_M3, "kg/m3")
    full = held * within("depth_m", depth_m, 0.0, 10.0, "m")
    return min(uptake_kg_m2(absorption_kg_m2_s05, seconds), full)


def suction_diffusivity_m2_s(
    water_kg_m3: float, absorption_kg_m2_s05: float, free_saturation_kg_m3: float
) -> float:
    """Liquid diffusivity while a body sucks from a wetted face [m2/s], in Kuenzel's form.

    Equation: D = 3.8 (A/w_f)^2 1000^(w/w_f - 1).
    Source: kuenzel-1995 eq. 23 (recalled).
    Range: water from 0 to the free saturation.
    Doubt: meant for suction; redistribution after the wetting is 3 to 100 times slower. Against measured
        curves of plaster and brick the value at free saturation is low by a factor of 2 to 16.
    Raises: OutOfRange.

    >>> round(1e8 * suction_diffusivity_m2_s(294.0, 0.04666, 294.0), 2)
    9.57
    """
    held = within("free_saturation_kg_m3", free_saturation_kg_m3, 1e-3, WATER_KG_M3, "kg/m3")
    within("absorption_kg_m2_s05", absorption_kg_m2_s05, 0.0, 10.0, "kg/(m2 s^0.5)")
    filled = within("water_kg_m3", water_kg_m3, 0.0, held, "kg/m3") / held
    return SUCTION_FACTOR * (absorption_kg_m2_s05 / held) ** 2 * math.exp(SUCTION_EXPONENT * (filled - 1.0))


def sorptivity_m_s05(diffusivity_full_m2_s: float, exponent: float) -> float:
    """Sorptivity of a dry body whose liquid diffusivity rises exponentially with filling [m/s^0.5].

    Equation: S^2 = D_1 [(2 n - 1) - (n - 1) exp(-n)] / n^2 with D = D_1 exp(n (filling - 1)), filling from
        0 to 1; it is the integral of (1 + filling) D over the filling.
    Source: parlange-1975 (recalled); hall-hoff ch. 4 (recalled).
    Range: exponent 3 to 20.
    Doubt: high by 1.4 % at exponent 3, 0.7 % at 4, 0.15 % at 7 and less above (beside fronts-1).
    Raises: OutOfRange.

    >>> round(sorptivity_m_s05(1e-6, 6.907755) / 1e-3, 3)
    0.518
    """
    n = within("exponent", exponent, 3.0, 20.0)
    top = within("diffusivity_full_m2_s", diffusivity_full_m2_s, 0.0, 1.0, "m2/s")
    return math.sqrt(top * ((2.0 * n - 1.0) - (n - 1.0) * math.exp(-n))) / n


def absorption_from_diffusivity_kg_m2_s05(
    diffusivity_full_m2_s: float, free_saturation_kg_m3: float
) -> float:
    """Water absorption coefficient that belongs to a suction diffusivity of Kuenzel's form [kg/(m2 s^0.5)].

    Equation: A = w_f S with the sorptivity S for exponent ln 1000; a sibling of suction_diffusivity_m2_s,
        from which it comes back 1.0 % above the A put in.
    Source: parlange-1975 (recalled); kuenzel-1995 (recalled).
    Range: as sorptivity_m_s05.
    Doubt: the factor 3.8 is rounded, hence the 1 %.
    Raises: OutOfRange.

    >>> round(absorption_from_diffusivity_kg_m2_s05(suction_diffusivity_m2_s(250.0, 0.2, 250.0), 250.0), 3)
    0.202
    """
    held = within("free_saturation_kg_m3", free_saturation_kg_m3, 1e-3, WATER_KG_M3, "kg/m3")
    return held * sorptivity_m_s05(diffusivity_full_m2_s, SUCTION_EXPONENT)


def vapour_permeability_kg_m_s_pa(
    mu: float, temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA
) -> float:
    """Vapour permeability of a body from its resistance factor [kg/(m s Pa)].

    Equation: delta = D_air / (461.52 T mu), D_air in Schirmer's form.
    Source: iso-12572 (recalled).
    Range: mu 1 and above; -20 to 60 degC.
    Doubt: mu falls with moisture; other forms of D_air lie 8 % higher.
    Raises: OutOfRange.

    >>> round(1e10 * vapour_permeability_kg_m_s_pa(1.0, 20.0), 3)
    1.937
    """
    within("mu", mu, 1.0, 1e7)
    within("temp_c", temp_c, -20.0, 60.0, "degC")
    return permeability_schirmer_kg_m_s_pa(temp_c, pressure_pa) / mu


def still_air_thickness_m(mu: float, thickness_m: float) -> float:
    """Thickness of still air that resists vapour as this layer does [m].

    Equation: s_d = mu L.
    Source: iso-12572 (recalled).
    Range: mu 1 and above.
    Doubt: that of mu.
    Raises: OutOfRange.

    >>> still_air_thickness_m(10.0, 0.01)
    0.1
    """
    return within("mu", mu, 1.0, 1e7) * within("thickness_m", thickness_m, 0.0, 100.0, "m")


def suction_pa(rh: float, temp_c: float) -> float:
    """Suction of the pore water in equilibrium with air of this humidity [Pa].

    Equation: s = -rho_w 461.52 T ln(rh).
    Source: kelvin-form, thermodynamics (recalled).
    Range: rh above 0 to 1, -20 to 100 degC; water of 1000 kg/m3.
    Doubt: below rh 0.5 the water is a film and the pressure only formal.
    Raises: OutOfRange.

    >>> round(suction_pa(0.5, 20.0) / 1e6, 1)
    93.8
    """
    within("temp_c", temp_c, -20.0, 100.0, "degC")
    drawn = math.log(within("rh", rh, 1e-6, 1.0))
    return -WATER_KG_M3 * WATER_GAS_CONSTANT_J_KG_K * (temp_c + KELVIN) * drawn


def rh_at_suction(suction: float, temp_c: float) -> float:
    """Humidity of air in equilibrium with pore water under this suction, the inverse of suction_pa.

    Equation: rh = exp(-s / (rho_w 461.52 T)).
    Source: kelvin-form, thermodynamics (recalled).
    Range: suction 0 and above, -20 to 100 degC.
    Doubt: that of suction_pa.
    Raises: OutOfRange.
    Units: suction in Pa.

    >>> round(rh_at_suction(1e6, 20.0), 4)
    0.9926
    """
    within("temp_c", temp_c, -20.0, 100.0, "degC")
    drawn = within("suction", suction, 0.0, 1e10, "Pa")
    return math.exp(-drawn / (WATER_KG_M3 * WATER_GAS_CONSTANT_J_KG_K * (temp_c + KELVIN)))


def retained_water_kg_m3(suction: float, free_saturation_kg_m3: float, per_pa: float, n: float) -> float:
    """Water that pores hold against a suction [kg/m3], in van Genuchten's form.

    Equation: w = w_f [1 + (a s)^n]^(1/n - 1).
    Source: van-genuchten-1980 (recalled); en-15026 (its example has this form with a = 8e-8 /Pa, n = 1.6).
    Range: n above 1, suction 0 and above.
    Doubt: one pore family; bricks and stones with two need a sum of such terms.
    Raises: OutOfRange.
    Units: suction in Pa, per_pa in 1/Pa.

    >>> round(retained_water_kg_m3(suction_pa(0.5, 20.0), 146.0, 8e-8, 1.6), 2)
    42.94
    """
    power = within("n", n, 1.000001, 50.0)
    held = within("free_saturation_kg_m3", free_saturation_kg_m3, 0.0, WATER_KG_M3, "kg/m3")
    drawn = within("suction", suction, 0.0, 1e10, "Pa") * within("per_pa", per_pa, 0.0, 1e3, "1/Pa")
    return held * math.pow(1.0 + math.pow(drawn, power), 1.0 / power - 1.0)


def bulk_density_kg_m3(porosity: float, solid_density_kg_m3: float) -> float:
    """Dry density of a porous body from that of its solid [kg/m3].

    Equation: rho = (1 - porosity) rho_solid.
    Source: hall-hoff ch. 1 (recalled).
    Range: porosity 0 to below 1; solid 1000 to 8000 kg/m3 (quartz 2650, calcite 2710, gypsum 2310, fired
        clay 2650).
    Doubt: closed pores count as solid here.
    Raises: OutOfRange.

    >>> round(bulk_density_kg_m3(0.24, 2650.0))
    2014
    """
    solid = within("solid_density_kg_m3", solid_density_kg_m3, 1000.0, 8000.0, "kg/m3")
    return (1.0 - within("porosity", porosity, 0.0, 0.999)) * solid


def open_porosity(bulk_density: float, solid_density_kg_m3: float) -> float:
    """Share of a body's volume that is pore, the inverse of bulk_density_kg_m3.

    Equation: porosity = 1 - rho / rho_solid.
    Source: hall-hoff ch. 1 (recalled).
    Range: bulk density up to that of the solid.
    Doubt: an error of 1 % in either density is one of 0.01 in porosity, much for a dense stone.
    Raises: OutOfRange.
    Units: bulk_density in kg/m3.

    >>> round(open_porosity(2005.0, 2650.0), 3)
    0.243
    """
    solid = within("solid_density_kg_m3", solid_density_kg_m3, 1000.0, 8000.0, "kg/m3")
    return 1.0 - within("bulk_density", bulk_density, 1.0, solid, "kg/m3") / solid


def saturated_water_kg_m3(porosity: float) -> float:
    """Water in a body all of whose open pores are full [kg/m3].

    Equation: w_sat = 1000 porosity.
    Source: hall-hoff ch. 1 (recalled).
    Range: porosity 0 to below 1; water of 1000 kg/m3.
    Doubt: reached only under vacuum or after months; see saturation_coefficient.
    Raises: OutOfRange.

    >>> saturated_water_kg_m3(0.24)
    240.0
    """
    return WATER_KG_M3 * within("porosity", porosity, 0.0, 0.999)


def saturation_coefficient(free_saturation_kg_m3: float, porosity: float) -> float:
    """Share of the open pores that fill when a body stands in water; the rest keeps air.

    Equation: w_f / w_sat.
    Source: hall-hoff ch. 4 (recalled).
    Range: free saturation up to the open porosity.
    Doubt: mostly 0.6 to 0.9; near 1 a body is in danger of frost.
    Raises: OutOfRange.

    >>> round(saturation_coefficient(160.0, 0.24), 3)
    0.667
    """
    full = WATER_KG_M3 * within("porosity", porosity, 1e-6, 0.999)
    return within("free_saturation_kg_m3", free_saturation_kg_m3, 0.0, full, "kg/m3") / full
