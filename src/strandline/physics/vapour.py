"""Vapour moving through still air: diffusivity and permeability, in the forms the literature uses.

The forms disagree by about 8 %: the one building physics uses (Schirmer, in the standards on vapour
transmission) lies above those of chemical engineering and meteorology (Marrero and Mason, Massman), which sit
nearer the tables of measured values. No function here is called just "diffusivity": the form is in each name,
and `diffusivity_band_m2_s` gives both ends.
"""

from __future__ import annotations

from strandline.physics.air import KELVIN, STANDARD_PRESSURE_PA, WATER_GAS_CONSTANT_J_KG_K
from strandline.physics.ranges import within


def _checked(temp_c: float, pressure_pa: float, low_c: float, high_c: float) -> float:
    """Temperature in kelvin, both inputs checked."""
    within("pressure_pa", pressure_pa, 20000.0, 120000.0, "Pa")
    return within("temp_c", temp_c, low_c, high_c, "degC") + KELVIN


def diffusivity_schirmer_m2_s(temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Diffusivity of water vapour in air [m2/s], Schirmer form: the one used throughout this code.

    Equation: D = 0.083/3600 (101325/p) (T/273.15)^1.81.
    Source: schirmer-1938; the form as given in energie-wiki-schirmer and iso-12572.
    Range: none given by the source; held here to -40 to 100 degC, 20 to 120 kPa.
    Doubt: about 8 % above the other forms and above most tables of measured values.
    Raises: OutOfRange.

    >>> round(1e5 * diffusivity_schirmer_m2_s(20.0), 2)
    2.62
    """
    kelvin = _checked(temp_c, pressure_pa, -40.0, 100.0)
    return float(0.083 / 3600.0 * STANDARD_PRESSURE_PA / pressure_pa * (kelvin / KELVIN) ** 1.81)


def diffusivity_marrero_mason_m2_s(temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Diffusivity of water vapour in air [m2/s], Marrero and Mason's form.

    Equation: D = 1.87e-10 T^2.072 (101325/p).
    Source: marrero-mason-1972 (recalled; the equation as used in cengel-14).
    Range: 282 to 450 K, that is 8.85 to 176.85 degC; 20 to 120 kPa.
    Doubt: about 8 % below the Schirmer form at room temperature.
    Raises: OutOfRange.

    >>> round(1e5 * diffusivity_marrero_mason_m2_s(20.0), 2)
    2.42
    """
    kelvin = _checked(temp_c, pressure_pa, 8.85, 176.85)
    return float(1.87e-10 * kelvin**2.072 * STANDARD_PRESSURE_PA / pressure_pa)


def diffusivity_massman_m2_s(temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Diffusivity of water vapour in air [m2/s], Massman's form, a review of the measurements near 0 degC.

    Equation: D = 2.178e-5 (101325/p) (T/273.15)^1.81.
    Source: massman-1998 (recalled; abstract seen).
    Range: none given by the source; held here to -40 to 100 degC, 20 to 120 kPa.
    Doubt: the author gives 7 % about the measurements (recalled).
    Raises: OutOfRange.

    >>> round(1e5 * diffusivity_massman_m2_s(0.0), 2)
    2.18
    """
    kelvin = _checked(temp_c, pressure_pa, -40.0, 100.0)
    return float(2.178e-5 * STANDARD_PRESSURE_PA / pressure_pa * (kelvin / KELVIN) ** 1.81)


def diffusivity_band_m2_s(temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> tuple[float, float]:
    """Least and greatest diffusivity [m2/s] among the forms here that hold at this temperature.

    Rule: least and greatest of Massman, Schirmer and, from 8.85 degC up, Marrero and Mason.
    Source: massman-1998, schirmer-1938, marrero-mason-1972.
    Range: -40 to 100 degC, 20 to 120 kPa.
    Doubt: the disagreement of the literature, no more; a measurement can lie outside.
    Raises: OutOfRange.

    >>> low, high = diffusivity_band_m2_s(20.0)
    >>> round(high / low, 2)
    1.08
    """
    forms = [diffusivity_massman_m2_s(temp_c, pressure_pa), diffusivity_schirmer_m2_s(temp_c, pressure_pa)]
    if temp_c >= 8.85:
        forms.append(diffusivity_marrero_mason_m2_s(temp_c, pressure_pa))
    return min(forms), max(forms)


def permeability_from_diffusivity_kg_m_s_pa(diffusivity_m2_s: float, temp_c: float) -> float:
    """Vapour permeability [kg/(m s Pa)] that belongs to a diffusivity: driven by pressure, not by density.

    Equation: delta = D / (461.52 T).
    Source: ideal gas; sbi-224 table 22 for the conversion at room temperature.
    Range: diffusivity above 0 to 1 m2/s, -40 to 100 degC.
    Doubt: exact where temperature is the same everywhere.
    Raises: OutOfRange.

    >>> round(1e6 * permeability_from_diffusivity_kg_m_s_pa(1.0, 20.0), 2)
    7.39
    """
    within("diffusivity_m2_s", diffusivity_m2_s, 0.0, 1.0, "m2/s")
    kelvin = within("temp_c", temp_c, -40.0, 100.0, "degC") + KELVIN
    return diffusivity_m2_s / (WATER_GAS_CONSTANT_J_KG_K * kelvin)


def permeability_schirmer_kg_m_s_pa(temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Vapour permeability of still air [kg/(m s Pa)], Schirmer form.

    Equation: delta = D_Schirmer / (461.52 T).
    Source: schirmer-1938; the form as given in energie-wiki-schirmer and iso-12572.
    Range: none given by the source; held here to -40 to 100 degC, 20 to 120 kPa.
    Doubt: 1.5 % below Kuenzel's short form, 6 to 8 % above what other tables give.
    Raises: OutOfRange.

    >>> round(1e10 * permeability_schirmer_kg_m_s_pa(20.0), 2)
    1.94
    """
    diffusivity = diffusivity_schirmer_m2_s(temp_c, pressure_pa)
    return permeability_from_diffusivity_kg_m_s_pa(diffusivity, temp_c)


def permeability_kuenzel_kg_m_s_pa(temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Vapour permeability of still air [kg/(m s Pa)], Kuenzel's short form.

    Equation: delta = 2.0e-7 T^0.81 / p.
    Source: kuenzel-1995 (recalled).
    Range: none given by the source; held here to -40 to 100 degC, 20 to 120 kPa.
    Doubt: the leading 2.0 has two digits: 2.5 %.
    Raises: OutOfRange.

    >>> round(1e10 * permeability_kuenzel_kg_m_s_pa(20.0), 2)
    1.97
    """
    kelvin = _checked(temp_c, pressure_pa, -40.0, 100.0)
    return float(2.0e-7 * kelvin**0.81 / pressure_pa)


def permeability_marrero_mason_kg_m_s_pa(temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Vapour permeability of still air [kg/(m s Pa)], from Marrero and Mason's diffusivity.

    Equation: delta = D / (461.52 T).
    Source: marrero-mason-1972 (recalled), ideal gas.
    Range: 8.85 to 100 degC, 20 to 120 kPa.
    Doubt: about 8 % below the Schirmer form at room temperature.
    Raises: OutOfRange.

    >>> round(1e10 * permeability_marrero_mason_kg_m_s_pa(20.0), 2)
    1.79
    """
    diffusivity = diffusivity_marrero_mason_m2_s(temp_c, pressure_pa)
    return permeability_from_diffusivity_kg_m_s_pa(diffusivity, temp_c)
