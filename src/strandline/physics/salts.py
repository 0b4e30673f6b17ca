"""Salts in pores: when they are wet and when they crystallise, how much water they hold, what that misleads.

A salt whose deliquescence humidity is passed takes water from the air until it has dissolved itself; below it
crystallises. Each passing, up or down, works on the pores. Above it the salt keeps a body heavy and a meter
wet although the body itself is dry.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from strandline.physics.air import KELVIN, root_between
from strandline.physics.ranges import OutOfRange, within

WATER_MOLAR_KG = 0.018015


@dataclass(frozen=True, slots=True)
class Salt:
    """One salt; its humidity over the saturated solution as a polynomial in degC or as a exp(b/T), in
    percent."""

    key: str
    formula: str
    name: str
    molar_kg: float
    """Molar mass of the salt without its crystal water [kg/mol]."""
    soluble_kg_kg: float
    """What a kilogram of water dissolves at 20 degC [kg], without crystal water (recalled)."""
    low_c: float
    high_c: float
    polynomial: tuple[float, ...] = ()
    exponential: tuple[float, float] = (0.0, 0.0)
    common: bool = False
    """Whether flood water, ground, walls or earlier treatment bring it in quantity."""


def _polynomial(key: str, formula: str, name: str, molar: float, soluble: float, *terms: float) -> Salt:
    common = key in {"halite", "nitre", "arcanite", "sylvite"}
    return Salt(key, formula, name, molar, soluble, 0.0, 50.0, polynomial=terms, common=common)


def _exponential(key: str, formula: str, name: str, *rest: float) -> Salt:
    molar, soluble, low_c, high_c, a, b = rest
    common = key in {"nitratine", "nitrocalcite", "nitromagnesite"}
    return Salt(key, formula, name, molar, soluble, low_c, high_c, exponential=(a, b), common=common)


SALTS: dict[str, Salt] = {
    salt.key: salt
    for salt in (
        _polynomial(
            "bischofite", "MgCl2.6H2O", "magnesium chloride", 0.0952, 0.546, 33.6686, -7.97397e-3, -1.08988e-3
        ),
        _polynomial(
            "halite", "NaCl", "sodium chloride", 0.05844, 0.359, 75.5164, 3.98321e-2, -2.65459e-3, 2.848e-5
        ),
        _polynomial("sylvite", "KCl", "potassium chloride", 0.07455, 0.342, 88.6190, -0.193340, 8.99706e-4),
        _polynomial("potash", "K2CO3.1.5H2O", "potassium carbonate", 0.1382, 1.110, 43.1315, 1.47523e-3),
        _polynomial("nitre", "KNO3", "potassium nitrate", 0.1011, 0.316, 96.3361, 1.12371e-2, -4.84514e-3),
        _polynomial("arcanite", "K2SO4", "potassium sulphate", 0.1743, 0.111, 98.7792, -5.90502e-2),
        _exponential(
            "antarcticite", "CaCl2.6H2O", "calcium chloride", 0.1110, 0.745, 15.0, 25.0, 0.11, 1653.0
        ),
        _exponential(
            "nitrocalcite", "Ca(NO3)2.4H2O", "calcium nitrate", 0.1641, 1.290, 10.0, 30.0, 1.89, 981.0
        ),
        _exponential(
            "nitromagnesite", "Mg(NO3)2.6H2O", "magnesium nitrate", 0.1483, 0.695, 5.0, 35.0, 25.28, 220.0
        ),
        _exponential("sodium_bromide", "NaBr.2H2O", "sodium bromide", 0.1029, 0.905, 0.0, 35.0, 20.49, 308.0),
        _exponential(
            "ammonium_nitrate", "NH4NO3", "ammonium nitrate", 0.08004, 1.920, 10.0, 40.0, 3.54, 853.0
        ),
        _exponential("nitratine", "NaNO3", "sodium nitrate", 0.08499, 0.876, 10.0, 40.0, 26.94, 302.0),
        _exponential("salammoniac", "NH4Cl", "ammonium chloride", 0.05349, 0.372, 10.0, 40.0, 35.67, 235.0),
        _exponential("mascagnite", "(NH4)2SO4", "ammonium sulphate", 0.1321, 0.754, 10.0, 40.0, 62.06, 79.0),
    )
}
"""Salts by mineral name. Polynomials as in greenspan-1977, exponentials as in wexler-crc."""

SODIUM_SULPHATE_MOLAR_KG = 0.14204
MIRABILITE_MOLAR_KG = 0.32219
MIRABILITE_TOP_C = 32.4
_THENARDITE_20_C, _THENARDITE_PER_K = 0.866, -0.0009
_HYDRATION_20_C, _HYDRATION_PER_K = 0.764, 0.0088
_DEBYE = {
    "halite": (0.5108, 1.37, 2.796e-2, 4.803e-3, -2.736e-4, 0.0, 13.0),
    "sylvite": (0.5108, 1.35, -9.842e-3, 7.625e-3, -7.892e-4, 2.492e-5, 13.0),
}
"""Constants A, B, beta, C, D, E of the water activity of a brine and the highest molality they hold for."""


def salt(key: str) -> Salt:
    """One salt by its mineral name.

    Rule: look up SALTS.
    Source: none; a rule of this code.
    Range: the keys of SALTS.
    Doubt: none.
    Raises: KeyError with the names known.

    >>> salt("halite").formula
    'NaCl'
    """
    if key not in SALTS:
        raise KeyError(f"salt '{key}' is not known; known are {', '.join(sorted(SALTS))}")
    return SALTS[key]


def deliquescence_rh(key: str, temp_c: float) -> float:
    """Humidity above which a salt dissolves itself with water from the air, and below which it crystallises.

    Equation: RH % = c0 + c1 T + c2 T^2 + c3 T^3 (T in degC), or a exp(b/T) (T in kelvin), by salt.
    Source: greenspan-1977 table 1 (magnesium, sodium and potassium chlorides, potassium carbonate, nitrate
        and sulphate); wexler-crc (the others).
    Range: 0 to 50 degC for the first, the range of each salt (SALTS) for the others.
    Doubt: first kind 0.1 to 0.6 % RH; second kind 2 % RH. A mixture of salts is wet over a range of
        humidities that begins below that of each of them.
    Raises: OutOfRange, KeyError.

    >>> round(100 * deliquescence_rh("halite", 25.0), 1)
    75.3
    """
    held = salt(key)
    within("temp_c", temp_c, held.low_c, held.high_c, "degC")
    if held.polynomial:
        return sum(term * temp_c**power for power, term in enumerate(held.polynomial)) / 100.0
    a, b = held.exponential
    return a * math.exp(b / (temp_c + KELVIN)) / 100.0


def thenardite_rh(temp_c: float) -> float:
    """Humidity above which dry sodium sulphate (thenardite) dissolves, if it stayed without crystal water.

    Equation: 0.866 - 0.0009 (T - 20), linear.
    Source: steiger-asmussen-2008 (recalled, linear form ours).
    Range: 0 to 40 degC.
    Doubt: 2 % RH; others give 0.842 at 25 degC (seinfeld-pandis-2006).
    Raises: OutOfRange.

    >>> round(thenardite_rh(20.0), 3)
    0.866
    """
    return _THENARDITE_20_C + _THENARDITE_PER_K * (within("temp_c", temp_c, 0.0, 40.0, "degC") - 20.0)


def mirabilite_rh(temp_c: float) -> float:
    """Humidity above which sodium sulphate stands as mirabilite (with ten waters), below which as thenardite.

    Equation: 0.764 + 0.0088 (T - 20), linear.
    Source: steiger-asmussen-2008 (recalled, linear form ours).
    Range: 0 to 32.4 degC, above which there is no mirabilite.
    Doubt: 2 % RH; the change is slow and often passes through a solution, which is what bursts pores.
    Raises: OutOfRange.

    >>> round(mirabilite_rh(20.0), 3)
    0.764
    """
    within("temp_c", temp_c, 0.0, MIRABILITE_TOP_C, "degC")
    return _HYDRATION_20_C + _HYDRATION_PER_K * (temp_c - 20.0)


def mirabilite_growth() -> float:
    """How many times its volume sodium sulphate takes as mirabilite instead of thenardite.

    Equation: (M_mirabilite / 1466) / (M_thenardite / 2664), densities in kg/m3.
    Source: steiger-asmussen-2008 (recalled densities).
    Range: none given by the source.
    Doubt: 1 %.

    >>> round(mirabilite_growth(), 1)
    4.1
    """
    return (MIRABILITE_MOLAR_KG / 1466.0) / (SODIUM_SULPHATE_MOLAR_KG / 2664.0)


def blooming(keys: Iterable[str], rh_low: float, rh_high: float, temp_c: float) -> tuple[str, ...]:
    """Which of these salts a humidity that goes up and down between two values dissolves and crystallises.

    Rule: those whose deliquescence humidity lies above the lowest and not above the highest humidity.
    Source: greenspan-1977; wexler-crc.
    Range: that of each salt; a salt out of its range of temperature is taken at the nearest end of it.
    Doubt: single salts only; a mixture begins lower. Stay 5 % RH away from each.
    Raises: OutOfRange, KeyError.

    >>> blooming(["halite", "nitre", "nitromagnesite"], 0.60, 0.85, 20.0)
    ('halite',)
    """
    within("rh_low", rh_low, 0.0, within("rh_high", rh_high, 0.0, 1.0))
    return tuple(key for key in keys if rh_low < _nearest_rh(key, temp_c) <= rh_high)


def sodium_sulphate_caution(rh_low: float, rh_high: float, temp_c: float) -> bool:
    """Whether sodium sulphate would change its form in this course of humidity, which bursts pores.

    Rule: yes if the humidity passes the hydration or the dissolution of sodium sulphate at this
        temperature; yes too whenever a wet body passes through 32.4 degC (judged by the caller).
    Source: steiger-asmussen-2008 (recalled).
    Range: 0 to 40 degC.
    Doubt: taken 2 % RH wider on both sides than the humidities stand.
    Raises: OutOfRange.

    >>> sodium_sulphate_caution(0.55, 0.85, 20.0)
    True
    """
    within("rh_low", rh_low, 0.0, within("rh_high", rh_high, 0.0, 1.0))
    marks = [thenardite_rh(temp_c)]
    if temp_c <= MIRABILITE_TOP_C:
        marks.append(mirabilite_rh(temp_c))
    return any(rh_low - 0.02 < mark <= rh_high + 0.02 for mark in marks)


def safe_band(keys: Iterable[str], rh: float, temp_c: float, margin: float = 0.05) -> tuple[float, float]:
    """Lowest and highest humidity between which none of these salts changes, around a humidity held.

    Rule: the nearest deliquescence humidities below and above, each kept away from by the margin.
    Source: greenspan-1977; wexler-crc.
    Range: that of each salt, at the nearest end outside it; 0 to 1 where no salt bounds.
    Doubt: single salts only. If the two ends cross there is no safe humidity here and both are the one held.
    Raises: OutOfRange, KeyError.

    >>> low, high = safe_band(["halite", "nitromagnesite"], 0.65, 20.0)
    >>> round(low, 2), round(high, 2)
    (0.59, 0.7)
    """
    within("rh", rh, 0.0, 1.0)
    keep = within("margin", margin, 0.0, 0.5)
    marks = [_nearest_rh(key, temp_c) for key in keys]
    low = max((mark + keep for mark in marks if mark < rh), default=0.0)
    high = min((mark - keep for mark in marks if mark >= rh), default=1.0)
    return (low, high) if low <= rh <= high else (rh, rh)


def brine_rh(key: str, molality: float) -> float:
    """Humidity of air in equilibrium with a brine of sodium or potassium chloride at 25 degC.

    Equation: rh = exp(-2 phi M_w m), phi = 1 - ln10 {A/(B^3 m) [b - 2 ln b - 1/b] - beta m/2 - 2/3 C m^2
        - 3/4 D m^3 - 4/5 E m^4}, b = 1 + B sqrt(m).
    Source: tang-1986.
    Range: halite and sylvite, molality up to 13 mol/kg (beyond saturation too, as brine that has not
        crystallised).
    Doubt: 0.3 % RH; between 0 and 50 degC the same within 1 %.
    Raises: OutOfRange, KeyError.
    Units: molality in mol of salt per kg of water.

    >>> round(brine_rh("halite", 6.0), 2)
    0.76
    """
    if key not in _DEBYE:
        raise KeyError(f"no brine of '{key}'; known are {', '.join(_DEBYE)}")
    a, b0, beta, c, d, e, most = _DEBYE[key]
    m = within("molality", molality, 1e-6, most, "mol/kg")
    b = 1.0 + b0 * math.sqrt(m)
    far = a / (b0**3 * m) * (b - 2.0 * math.log(b) - 1.0 / b)
    near = beta * m / 2.0 + 2.0 / 3.0 * c * m**2 + 0.75 * d * m**3 + 0.8 * e * m**4
    osmotic = 1.0 - math.log(10.0) * (far - near)
    return math.exp(-2.0 * osmotic * WATER_MOLAR_KG * m)


def water_held_kg_kg(key: str, rh: float, temp_c: float) -> float:
    """Water that a kilogram of salt in the pores holds against the air [kg/kg]; none below its deliquescence.

    Equation: 1 / (m M) with the molality m at which brine_rh is the humidity, for sodium and potassium
        chloride; water_held_roughly_kg_kg for the others.
    Source: tang-1986; raoult-form.
    Range: rh up to 0.99; temperatures of deliquescence_rh.
    Doubt: 2 % for the two chlorides, else as water_held_roughly_kg_kg. A brine that has not crystallised
        yet holds water below the deliquescence too.
    Raises: OutOfRange, KeyError.

    >>> water_held_kg_kg("halite", 0.60, 20.0)
    0.0
    >>> round(water_held_kg_kg("halite", 0.90, 20.0), 1)
    6.1
    """
    within("rh", rh, 0.0, 0.99)
    if key not in _DEBYE or rh < deliquescence_rh(key, temp_c):
        return water_held_roughly_kg_kg(key, rh, temp_c)
    molality = root_between(lambda m: rh - brine_rh(key, m), 1e-3, _DEBYE[key][-1])
    return 1.0 / (molality * salt(key).molar_kg)


def water_held_roughly_kg_kg(key: str, rh: float, temp_c: float) -> float:
    """Water that a kilogram of any salt holds against the air [kg/kg], from its solubility alone.

    Equation: (1/solubility) ln(rh_del) / ln(rh) above the deliquescence humidity rh_del, else 0; that is one
        osmotic coefficient for all strengths, fixed at saturation.
    Source: raoult-form; solubilities recalled.
    Range: rh up to 0.99; temperatures of deliquescence_rh.
    Doubt: high by 14 % at rh 0.85, 23 % at 0.90 and 33 % at 0.95 beside sodium chloride, by 4, 9 and 14 %
        beside potassium chloride (a brine grows more ideal as it thins); solubility taken at 20 degC.
    Raises: OutOfRange, KeyError.

    >>> round(water_held_roughly_kg_kg("halite", 0.90, 20.0), 1)
    7.4
    """
    within("rh", rh, 0.0, 0.99)
    own = deliquescence_rh(key, temp_c)
    if rh < own:
        return 0.0
    return math.log(own) / math.log(rh) / salt(key).soluble_kg_kg


def moisture_misread(salt_kg_kg: float, key: str, rh: float, temp_c: float) -> float:
    """By how much the salt in a body overstates its moisture, by weighing [kg water per kg dry body].

    Rule: salt per dry body times the water that salt holds at this humidity.
    Source: raoult-form; lubelli-2006 (that salt water is read as damp, recalled).
    Range: salt up to 0.2 kg/kg; as water_held_kg_kg.
    Doubt: that of water_held_kg_kg; electric meters overstate far more, since brine conducts.
    Raises: OutOfRange, KeyError.

    >>> round(moisture_misread(0.01, "halite", 0.90, 20.0), 3)
    0.061
    """
    return within("salt_kg_kg", salt_kg_kg, 0.0, 0.2, "kg/kg") * water_held_kg_kg(key, rh, temp_c)


def salt_left_kg_m2(strength_kg_kg: float, water_kg_m2: float) -> float:
    """Salt that evaporating water leaves where it evaporates [kg/m2].

    Rule: strength of the pore water times water evaporated there. While the surface is wet (first stage)
        that place is the surface: a bloom, ugly and mostly harmless. Once the front recedes it is inside:
        it breaks the skin.
    Source: hall-hoff ch. 9 (recalled).
    Range: strength up to 0.4 kg/kg.
    Doubt: diffusion back into the body takes some away, the more the slower the drying.
    Raises: OutOfRange.

    >>> salt_left_kg_m2(0.035, 2.0)
    0.07
    """
    within("strength_kg_kg", strength_kg_kg, 0.0, 0.4, "kg/kg")
    return strength_kg_kg * within("water_kg_m2", water_kg_m2, 0.0, 1e4, "kg/m2")


def crystal_depth(supply_kg_m2_s: float, evaporation_kg_m2_s: float) -> str:
    """Where salt comes out: on the surface while the pores supply more water than the air takes, else
    beneath.

    Rule: "surface" if the capillary supply is at least the evaporation, else "beneath".
    Source: hall-hoff ch. 9 (recalled).
    Range: rates of 0 and above.
    Doubt: magnesium and sodium sulphates come out beneath the surface more often than this says, halite less.
    Raises: OutOfRange.

    >>> crystal_depth(2e-4, 4e-5)
    'surface'
    """
    within("evaporation_kg_m2_s", evaporation_kg_m2_s, 0.0, 1.0, "kg/(m2 s)")
    enough = within("supply_kg_m2_s", supply_kg_m2_s, 0.0, 1e3, "kg/(m2 s)") >= evaporation_kg_m2_s
    return "surface" if enough else "beneath"


def _nearest_rh(key: str, temp_c: float) -> float:
    """The deliquescence humidity, at the nearest end where the temperature lies outside the salt's range."""
    held = salt(key)
    if not -20.0 <= temp_c <= 80.0:
        raise OutOfRange("temp_c", temp_c, -20.0, 80.0, "degC")
    return deliquescence_rh(key, min(max(temp_c, held.low_c), held.high_c))
