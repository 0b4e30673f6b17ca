"""What the conductivity of rinsing water tells: salt from conductivity, 25 degC from any, the end of a wash.

Conductivity counts all ions alike. Chloride from it is chloride only if the salt is known to be sodium
chloride; otherwise it is an upper bound, and a test for chloride decides.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from strandline.physics.ranges import within

ELECTROPHORETIC, RELAXATION = 60.20, 0.229
"""Constants of the limiting law for one-one salts in water at 25 degC."""
ION_SIZE_PER_A = 0.3286
"""Reach of an ion's cloud: 0.3286 a sqrt(c), with the ion size a in angstrom."""
CHLORIDE_G_MOL = 35.453
REFERENCE_C = 25.0


@dataclass(frozen=True, slots=True)
class Salt:
    """Constants of one salt: limiting conductivity, ion size, molar mass, and the fit over temperature."""

    limiting_s_cm2_mol: float
    ion_size_a: float
    g_mol: float
    fit_limiting: tuple[float, float, float]
    fit_slope: tuple[float, float, float]
    fit_reach: float


SALTS: Mapping[str, Salt] = MappingProxyType(
    {
        "sodium_chloride": Salt(126.39, 4.0, 58.443, (0.008967, 2.196, 67.03), (0.00726, 1.762, 44.55), 1.3),
        "potassium_chloride": Salt(
            149.79, 3.5, 74.551, (0.009385, 2.533, 81.17), (0.0139, 1.886, 44.11), 1.7
        ),
    }
)
"""Limits: crc-2014 (read); ion sizes: robinson-stokes-1959 (recalled); fit: mccleskey-2011 (read)."""


@dataclass(frozen=True, slots=True)
class EndPoint:
    """How fast a bath still rises above the blank, and whether that counts as the end."""

    rise_us_cm_per_day: float
    limit_us_cm_per_day: float
    reached: bool
    why: str


def limiting_law(salt: str, mol_l: float) -> float:
    """Molar conductivity by the limiting law of Kohlrausch and Onsager at 25 degC.

    Equation: L0 - (60.20 + 0.229 L0) sqrt(c).
    Source: onsager-1927, constants for water at 25 degC (recalled); crc-2014 for L0.
    Range: up to 0.01 mol/l.
    Doubt: 0.05 % too low at 0.001 mol/l, 1 % at 0.01 mol/l.
    Units: S cm2/mol.
    Raises: OutOfRange; ValueError for a salt that is not known.

    >>> round(limiting_law("sodium_chloride", 0.001), 1)
    123.6
    """
    held = _salt(salt)
    within("mol_l", mol_l, 0.0, 0.01, "mol/l")
    return held.limiting_s_cm2_mol - _slope(held) * math.sqrt(mol_l)


def molar_conductivity(salt: str, mol_l: float) -> float:
    """Molar conductivity at 25 degC, with the size of the ions.

    Equation: L0 - (60.20 + 0.229 L0) sqrt(c)/(1 + 0.3286 a sqrt(c)).
    Source: robinson-stokes-1959, equation for one-one salts with ion size (recalled); crc-2014 for L0.
    Range: up to 0.1 mol/l.
    Doubt: 0.3 % for sodium chloride, 1 % for potassium chloride at 0.1 mol/l.
    Units: S cm2/mol.
    Raises: OutOfRange; ValueError for a salt that is not known.

    >>> round(molar_conductivity("sodium_chloride", 0.01), 1)
    118.5
    """
    held = _salt(salt)
    root = math.sqrt(within("mol_l", mol_l, 0.0, 0.1, "mol/l"))
    return held.limiting_s_cm2_mol - _slope(held) * root / (1.0 + ION_SIZE_PER_A * held.ion_size_a * root)


def conductivity_us_cm(salt: str, mol_l: float) -> float:
    """Conductivity of a solution of one salt at 25 degC, without that of the water.

    Equation: 1000 c L(c).
    Source: robinson-stokes-1959 (recalled); crc-2014.
    Range: up to 0.1 mol/l.
    Doubt: that of the molar conductivity; air adds about 1 uS/cm of carbonic acid to pure water.
    Units: microsiemens per centimetre.
    Raises: OutOfRange; ValueError for a salt that is not known.

    >>> round(conductivity_us_cm("potassium_chloride", 0.01))
    1413
    """
    return 1000.0 * mol_l * molar_conductivity(salt, mol_l)


def conductivity_at_us_cm(salt: str, mol_l: float, temp_c: float) -> float:
    """Conductivity of a solution of one salt at any temperature, by a fit to measurements.

    Equation: 1000 c [L0(t) - A(t) sqrt(c)/(1 + B sqrt(c))], L0 and A quadratic in t.
    Source: mccleskey-2011 (constants read in the tables of a public library).
    Range: 5 to 90 degC; up to 0.1 mol/l here, where molarity and molality hardly differ.
    Doubt: 0.1 to 1 % above the primary standards for potassium chloride up to 40 degC.
    Units: microsiemens per centimetre.
    Raises: OutOfRange; ValueError for a salt that is not known.

    >>> round(conductivity_at_us_cm("potassium_chloride", 0.09943, 25.0) / 1000, 1)
    12.9
    """
    held = _salt(salt)
    root = math.sqrt(within("mol_l", mol_l, 0.0, 0.1, "mol/l"))
    t = within("temp_c", temp_c, 5.0, 90.0, "degC")
    limiting, slope = ((a * t + b) * t + c for a, b, c in (held.fit_limiting, held.fit_slope))
    return 1000.0 * mol_l * (limiting - slope * root / (1.0 + held.fit_reach * root))


def at_25_us_cm(measured_us_cm: float, temp_c: float, per_k: float = 0.0192) -> float:
    """Conductivity at 25 degC from a reading at another temperature.

    Equation: measured / (1 + per_k (T - 25)).
    Source: pratt-2001, table of 0.01 molal potassium chloride (read): 1.92 % per kelvin from 20 to 25.
    Range: 5 to 40 degC; coefficients from 0 to 0.06 per kelvin.
    Doubt: 0.6 % within 10 K, 3 % at 5 degC, for chlorides; other salts need their own coefficient.
    Raises: OutOfRange.

    >>> round(at_25_us_cm(1273.03, 20.0))
    1408
    """
    within("measured_us_cm", measured_us_cm, 0.0, 1e6, "uS/cm")
    within("temp_c", temp_c, 5.0, 40.0, "degC")
    within("per_k", per_k, 0.0, 0.06, "1/K")
    return measured_us_cm / (1.0 + per_k * (temp_c - REFERENCE_C))


def salt_mol_l(salt: str, us_cm: float) -> float:
    """Concentration of one salt that gives this conductivity at 25 degC above that of the water.

    Equation: the inverse of conductivity_us_cm, by bisection.
    Source: robinson-stokes-1959 (recalled); crc-2014.
    Range: 0 uS/cm to that of 0.1 mol/l.
    Doubt: that of the molar conductivity; other ions count as this salt.
    Raises: OutOfRange; ValueError for a salt that is not known.

    >>> round(salt_mol_l("potassium_chloride", 1413.0), 4)
    0.01
    """
    within("us_cm", us_cm, 0.0, conductivity_us_cm(salt, 0.1), "uS/cm")
    low, high = 0.0, 0.1
    for _ in range(100):
        middle = 0.5 * (low + high)
        if conductivity_us_cm(salt, middle) < us_cm:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def salt_mg_l(salt: str, us_cm: float) -> float:
    """The same as a mass of salt in a litre.

    Equation: 1000 M c.
    Source: robinson-stokes-1959 (recalled); crc-2014.
    Range: that of salt_mol_l.
    Doubt: that of salt_mol_l.
    Raises: OutOfRange; ValueError for a salt that is not known.

    >>> round(salt_mg_l("sodium_chloride", 1413.0))
    701
    """
    return 1000.0 * _salt(salt).g_mol * salt_mol_l(salt, us_cm)


def chloride_mg_l(us_cm: float) -> float:
    """Chloride in a litre if all that conducts, above the water itself, is sodium chloride.

    Equation: 1000 M(Cl) c.
    Source: robinson-stokes-1959 (recalled); crc-2014.
    Range: that of salt_mol_l.
    Doubt: an upper bound in water that holds anything else; a test for chloride decides.
    Raises: OutOfRange.

    >>> round(chloride_mg_l(17.7), 1)
    5.0
    """
    return 1000.0 * CHLORIDE_G_MOL * salt_mol_l("sodium_chloride", us_cm)


def end_point(
    bath: Sequence[tuple[float, float]],
    blank: Sequence[tuple[float, float]],
    limit_us_cm_per_day: float = 2.0,
) -> EndPoint:
    """Whether a bath has stopped rising, by readings (day, uS/cm at 25 degC) beside those of a blank.

    Rule: slope of the straight line through the readings, less that of the blank, at most the limit.
    Source: none; common practice, no published source: 1 to 2 uS/cm a day above the blank.
    Range: two readings at least of each, over a day or more.
    Doubt: a slow leak from deep pores can stay below it for months; the water level must be held.
    Raises: OutOfRange; ValueError for too few readings.

    >>> end_point([(0, 20.0), (1, 21.0)], [(0, 2.0), (1, 2.5)]).rise_us_cm_per_day
    0.5
    """
    within("limit_us_cm_per_day", limit_us_cm_per_day, 0.0, 100.0, "uS/cm/d")
    rise = _line_slope(bath, "bath") - _line_slope(blank, "blank")
    reached = rise <= limit_us_cm_per_day
    why = "no longer rises beyond the blank" if reached else "still rises: change the water and go on"
    return EndPoint(rise, limit_us_cm_per_day, reached, why)


def _line_slope(readings: Sequence[tuple[float, float]], name: str) -> float:
    """Slope of the least-squares line."""
    days = [within(f"{name} day", day, 0.0, 1e5, "d") for day, _ in readings]
    values = [within(f"{name} reading", value, 0.0, 1e6, "uS/cm") for _, value in readings]
    if len(days) < 2 or max(days) - min(days) < 1.0:
        raise ValueError(f"{name}: needs two readings a day or more apart")
    middle = math.fsum(days) / len(days)
    spread = math.fsum((day - middle) ** 2 for day in days)
    return math.fsum((day - middle) * value for day, value in zip(days, values, strict=True)) / spread


def _slope(held: Salt) -> float:
    return ELECTROPHORETIC + RELAXATION * held.limiting_s_cm2_mol


def _salt(salt: str) -> Salt:
    if salt not in SALTS:
        raise ValueError(f"salt: '{salt}' is not one of {', '.join(SALTS)}")
    return SALTS[salt]
