"""Water, size and mass of sound wood: fibre saturation, shrinkage, density, how much water it can hold.

One fibre saturation point serves the whole of the physics: ``fibre_saturation``, 0.30 kg/kg at 20 degC, the
point from which the shrinkage tables count. Woods that collapse shrink above it as well; that part follows no
law known here, is flagged (``collapse_possible``) and never computed.
"""

from __future__ import annotations

from strandline.physics.ranges import OutOfRange, within

WATER_KG_M3 = 1000.0
SUBSTANCE_PER_WATER = 1.54
"""Density of the cell wall substance over that of water, as the handbook's equation has it."""

SATURATION_AT_20_C = 0.30
SATURATION_PER_K = 0.001
SATURATION_LOW, SATURATION_HIGH = 0.26, 0.32
EXTRACTIVE_LOW, EXTRACTIVE_MID, EXTRACTIVE_HIGH = 0.22, 0.235, 0.25
AIR_DRY = 0.12
"""Moisture at which Australian and European lists give air-dry size and density [kg/kg]."""

WETTEST = 10.0
LIGHTEST_KG_M3, HEAVIEST_KG_M3 = 50.0, 1400.0
MOST_SHRINKAGE = 0.35
VOLUMETRIC_PER_GRAVITY = 0.265


def fibre_saturation(temp_c: float) -> float:
    """Moisture at which cell walls are full and cavities empty, for woods without much extractive [kg/kg].

    Equation: 0.30 - 0.001 (T - 20) above 20 degC, 0.30 below.
    Source: wood-handbook-2010 ch. 4 (about 30 %); stamm-1964 (0.1 % per kelvin, recalled).
    Range: -1.2 to 100 degC; the fall was stated from about 20 degC on, below it the value is held here.
    Doubt: 0.26 to 0.32 among species; methods that also count water in the finest pores find 0.35 to 0.40.
    Raises: OutOfRange.

    >>> fibre_saturation(temp_c=20.0)
    0.3
    """
    above = max(0.0, within("temp_c", temp_c, -1.2, 100.0, "degC") - 20.0)
    return SATURATION_AT_20_C - SATURATION_PER_K * above


def fibre_saturation_band(temp_c: float, extractives: bool = False) -> tuple[float, float, float]:
    """Low, middle and high fibre saturation of ordinary woods, or of woods full of extractives [kg/kg].

    Rule: 0.26, 0.30, 0.32, or 0.22, 0.235, 0.25 with extractives; all fall by 0.001 per kelvin above 20 degC.
    Source: wood-handbook-2010 ch. 4 (25 to 30 and more); stamm-1964 (woods rich in extractives, recalled).
    Range: -1.2 to 100 degC.
    Doubt: bands are judgements of what the sources list, not confidence limits.
    Raises: OutOfRange.

    >>> fibre_saturation_band(temp_c=20.0)
    (0.26, 0.3, 0.32)
    """
    shift = fibre_saturation(temp_c) - SATURATION_AT_20_C
    if extractives:
        return EXTRACTIVE_LOW + shift, EXTRACTIVE_MID + shift, EXTRACTIVE_HIGH + shift
    return SATURATION_LOW + shift, SATURATION_AT_20_C + shift, SATURATION_HIGH + shift


def maximum_moisture(basic_density_kg_m3: float) -> float:
    """Moisture of wood whose walls and cavities are all full of water [kg/kg].

    Equation: (1.54 - G) / (1.54 G), G = basic density over that of water.
    Source: wood-handbook-2010 ch. 4, equation of the greatest moisture content.
    Range: basic density 50 to 1400 kg/m3.
    Doubt: none beyond the source; wood afloat for days holds far less, decayed wood more.
    Raises: OutOfRange.

    >>> round(maximum_moisture(basic_density_kg_m3=500.0), 3)
    1.351
    """
    gravity = _basic(basic_density_kg_m3) / WATER_KG_M3
    return (SUBSTANCE_PER_WATER - gravity) / (SUBSTANCE_PER_WATER * gravity)


def shrinkage(total_shrinkage: float, moisture: float, fibre_saturation: float = SATURATION_AT_20_C) -> float:
    """Loss of size from green to this moisture, as a share of the green size; none above fibre saturation.

    Equation: S = S0 (1 - M / M_fs) for M below M_fs, else 0.
    Source: wood-handbook-2010 equation 4-7 (with M_fs = 0.30).
    Range: total shrinkage 0 to 0.35, moisture 0 to 10 kg/kg, fibre saturation 0.15 to 0.45.
    Doubt: the curve is flat near fibre saturation and steeper below: between 6 and 20 % moisture a German
        list (din-68100-list) has changes per percent a third larger for spruce and pine, 20 % larger in the
        middle of 18 woods. Collapse above fibre saturation is not in here.
    Raises: OutOfRange.

    >>> round(shrinkage(total_shrinkage=0.06031, moisture=0.15, fibre_saturation=0.28), 4)
    0.028
    """
    total = within("total_shrinkage", total_shrinkage, 0.0, MOST_SHRINKAGE)
    wet = within("moisture", moisture, 0.0, WETTEST, "kg/kg")
    return total * max(0.0, 1.0 - wet / _saturation(fibre_saturation))


def swelling(total_shrinkage: float, moisture: float, fibre_saturation: float = SATURATION_AT_20_C) -> float:
    """Growth from oven-dry to this moisture, as a share of the oven-dry size.

    Equation: (1 - S(M)) / (1 - S0) - 1, the inverse of the shrinkage law.
    Source: wood-handbook-2010 equation 4-7, algebra.
    Range: as for shrinkage.
    Doubt: as for shrinkage; a joint or a coating that holds the wood back is not in here.
    Raises: OutOfRange.

    >>> round(swelling(total_shrinkage=0.10, moisture=0.30), 4)
    0.1111
    """
    now = 1.0 - shrinkage(total_shrinkage, moisture, fibre_saturation)
    return now / (1.0 - total_shrinkage) - 1.0


def dimensional_change(
    total_shrinkage: float,
    moisture_from: float,
    moisture_to: float,
    fibre_saturation: float = SATURATION_AT_20_C,
) -> float:
    """Change of size from one moisture to another, as a share of the size at the first; negative = shrinks.

    Equation: (S(M1) - S(M2)) / (1 - S(M1)).
    Source: wood-handbook-2010 ch. 13, change of dimension from total shrinkage; algebra.
    Range: as for shrinkage.
    Doubt: as for shrinkage.
    Raises: OutOfRange.

    >>> round(dimensional_change(total_shrinkage=0.086, moisture_from=0.30, moisture_to=0.06), 4)
    -0.0688
    """
    first = shrinkage(total_shrinkage, moisture_from, fibre_saturation)
    return (first - shrinkage(total_shrinkage, moisture_to, fibre_saturation)) / (1.0 - first)


def dimensional_change_coefficient(
    total_shrinkage: float,
    reference_moisture: float = 0.10,
    fibre_saturation: float = SATURATION_AT_20_C,
) -> float:
    """Change of size per unit of moisture (kg/kg), as a share of the size at the reference moisture.

    Equation: (S0 / M_fs) / (1 - S(M_ref)); a hundredth of it is the coefficient per percent that tables give.
    Source: wood-handbook-2010 table 13-5 and its text.
    Range: moistures 0.06 to 0.14 for the tables; the algebra holds to fibre saturation.
    Doubt: as for shrinkage.
    Raises: OutOfRange.

    >>> round(dimensional_change_coefficient(total_shrinkage=0.099) / 100.0, 5)
    0.00353
    """
    limit = _saturation(fibre_saturation)
    within("reference_moisture", reference_moisture, 0.0, limit, "kg/kg")
    return total_shrinkage / limit / (1.0 - shrinkage(total_shrinkage, reference_moisture, limit))


def volumetric_shrinkage(radial: float, tangential: float, longitudinal: float = 0.0) -> float:
    """Loss of volume that goes with losses of size in the three directions.

    Equation: 1 - (1 - R)(1 - T)(1 - L).
    Source: algebra.
    Range: each 0 to 0.35.
    Doubt: printed volumetric shrinkages come from other specimens and are mostly 0 to 1.5 points larger.
    Raises: OutOfRange.

    >>> round(volumetric_shrinkage(radial=0.0548, tangential=0.0862, longitudinal=0.0038), 4)
    0.1396
    """
    kept = 1.0
    for name, share in (("radial", radial), ("tangential", tangential), ("longitudinal", longitudinal)):
        kept *= 1.0 - within(name, share, 0.0, MOST_SHRINKAGE)
    return 1.0 - kept


def volumetric_shrinkage_from_density(basic_density_kg_m3: float) -> float:
    """Volumetric shrinkage from green to oven-dry of a wood of which only the basic density is known.

    Equation: 0.265 G, G = basic density over that of water.
    Source: wood-handbook-2010 equation 4-10 (recalled).
    Range: basic density 50 to 1000 kg/m3.
    Doubt: single species lie up to a third off; woods rich in extractives shrink less, ash-type gums more.
    Raises: OutOfRange.

    >>> round(volumetric_shrinkage_from_density(basic_density_kg_m3=550.0), 3)
    0.146
    """
    within("basic_density_kg_m3", basic_density_kg_m3, LIGHTEST_KG_M3, 1000.0, "kg/m3")
    return VOLUMETRIC_PER_GRAVITY * basic_density_kg_m3 / WATER_KG_M3


def oven_dry_density_kg_m3(basic_density_kg_m3: float, volumetric_shrinkage: float) -> float:
    """Oven-dry mass over oven-dry volume.

    Equation: basic density / (1 - S_v0).
    Source: algebra; wood-handbook-2010 ch. 4.
    Range: basic density 50 to 1400 kg/m3, shrinkage 0 to 0.35.
    Doubt: that of the inputs.
    Raises: OutOfRange.

    >>> round(oven_dry_density_kg_m3(basic_density_kg_m3=614.0, volumetric_shrinkage=0.1394), 0)
    713.0
    """
    lost = within("volumetric_shrinkage", volumetric_shrinkage, 0.0, MOST_SHRINKAGE)
    return _basic(basic_density_kg_m3) / (1.0 - lost)


def density_at_moisture_kg_m3(
    basic_density_kg_m3: float,
    volumetric_shrinkage: float,
    moisture: float,
    fibre_saturation: float = SATURATION_AT_20_C,
) -> float:
    """Mass over volume of wood with its water.

    Equation: basic density (1 + M) / (1 - S_v(M)), S_v(M) by the linear law.
    Source: wood-handbook-2010 equations 4-9 to 4-13.
    Range: as for shrinkage; moisture not above the greatest the wood can hold.
    Doubt: that of the inputs.
    Raises: OutOfRange.

    >>> round(density_at_moisture_kg_m3(550.0, 0.133, 0.12) / 1.12, 0)
    598.0
    """
    within("moisture", moisture, 0.0, maximum_moisture(basic_density_kg_m3), "kg/kg")
    lost = shrinkage(volumetric_shrinkage, moisture, fibre_saturation)
    return basic_density_kg_m3 * (1.0 + moisture) / (1.0 - lost)


def basic_density_from_air_dry_kg_m3(air_dry_density_kg_m3: float, volumetric_to_12: float) -> float:
    """Basic density of a wood whose list gives density at 12 % and shrinkage from green to 12 %.

    Equation: air-dry density (1 - S_v12) / 1.12.
    Source: algebra.
    Range: air-dry density 50 to 1600 kg/m3, shrinkage to 12 % 0 to 0.35.
    Doubt: lists round both; check against lists that print basic density too: within 4 %, one at 6 %.
    Raises: OutOfRange.

    >>> round(basic_density_from_air_dry_kg_m3(965.0, volumetric_shrinkage(0.020, 0.033)), 0)
    817.0
    """
    within("air_dry_density_kg_m3", air_dry_density_kg_m3, LIGHTEST_KG_M3, 1600.0, "kg/m3")
    lost = within("volumetric_to_12", volumetric_to_12, 0.0, MOST_SHRINKAGE)
    return air_dry_density_kg_m3 * (1.0 - lost) / (1.0 + AIR_DRY)


def green_to_oven_dry(
    shrinkage_to_12: float, collapse_prone: bool, fibre_saturation: float = SATURATION_AT_20_C
) -> float:
    """Total shrinkage of a wood whose list gives shrinkage from green to 12 % moisture.

    Equation: S0 = S12 M_fs / (M_fs - 0.12), the linear law turned round.
    Source: wood-handbook-2010 equation 4-7, algebra.
    Range: shrinkage to 12 % 0 to 0.2, fibre saturation 0.15 to 0.45; only for wood that does not collapse.
    Doubt: lists taken before reconditioning hold some collapse even for woods not known for it.
    Raises: OutOfRange; ValueError for a wood that collapses, whose shrinkage to 12 % holds more than the law.

    >>> round(green_to_oven_dry(shrinkage_to_12=0.067, collapse_prone=False), 3)
    0.112
    """
    if collapse_prone:
        raise ValueError("shrinkage to 12 % of a wood that collapses holds more than the linear law covers")
    limit = _saturation(fibre_saturation)
    return within("shrinkage_to_12", shrinkage_to_12, 0.0, 0.2) * limit / (limit - AIR_DRY)


def collapse_possible(moisture: float, fibre_saturation: float, collapse_prone: bool) -> bool:
    """Whether drying from here may flatten cells, which no shrinkage law known here covers.

    Rule: a wood known to collapse, wetter than fibre saturation.
    Source: aust-forestry-2004 (collapse of four gums); bootle-2005 (recalled: ash-type gums shrink while
        free water leaves).
    Range: moisture 0 to 10 kg/kg.
    Doubt: the lists of woods that collapse are not complete; thick pieces dried fast collapse more.
    Raises: OutOfRange.

    >>> collapse_possible(moisture=0.8, fibre_saturation=0.30, collapse_prone=True)
    True
    """
    wet = within("moisture", moisture, 0.0, WETTEST, "kg/kg")
    return collapse_prone and wet > _saturation(fibre_saturation)


def porosity(density_kg_m3: float, moisture: float) -> float:
    """Share of the volume that is not cell wall with its bound water.

    Equation: 1 - G (0.667 + M), G = oven-dry mass over the volume at M, over the density of water.
    Source: siau-1984 (recalled).
    Range: moisture 0 to 0.35; G such that the share is not negative.
    Doubt: none beyond the source; the cell wall is taken as 1.5 times as dense as water.
    Raises: OutOfRange.

    >>> round(porosity(density_kg_m3=500.0, moisture=0.15), 4)
    0.5915
    """
    within("density_kg_m3", density_kg_m3, LIGHTEST_KG_M3, HEAVIEST_KG_M3, "kg/m3")
    share = 1.0 - density_kg_m3 / WATER_KG_M3 * (0.667 + within("moisture", moisture, 0.0, 0.35, "kg/kg"))
    if share < 0.0:
        most = WATER_KG_M3 / (0.667 + moisture)
        raise OutOfRange("density_kg_m3", density_kg_m3, LIGHTEST_KG_M3, most, "kg/m3")
    return share


def wet_mass_kg(dry_mass_kg: float, moisture: float) -> float:
    """Mass of wood with its water.

    Equation: dry mass (1 + M).
    Source: none; the definition of moisture content on the dry basis.
    Range: dry mass 0 to 1e6 kg, moisture 0 to 10 kg/kg.
    Doubt: none.
    Raises: OutOfRange.

    >>> round(wet_mass_kg(dry_mass_kg=0.183, moisture=0.3497), 3)
    0.247
    """
    within("dry_mass_kg", dry_mass_kg, 0.0, 1e6, "kg")
    return dry_mass_kg * (1.0 + within("moisture", moisture, 0.0, WETTEST, "kg/kg"))


def moisture_from_mass(wet_mass_kg: float, dry_mass_kg: float) -> float:
    """Moisture of wood weighed wet and oven-dry [kg/kg].

    Equation: (wet - dry) / dry.
    Source: none; the definition of moisture content on the dry basis.
    Range: dry mass above 0, wet mass not below the dry.
    Doubt: none.
    Raises: OutOfRange.

    >>> round(moisture_from_mass(wet_mass_kg=0.247, dry_mass_kg=0.183), 4)
    0.3497
    """
    within("dry_mass_kg", dry_mass_kg, 1e-9, 1e6, "kg")
    # A dry piece weighed twice may differ by a rounding.
    least = dry_mass_kg * (1.0 - 1e-9)
    return max(0.0, within("wet_mass_kg", wet_mass_kg, least, 1e7, "kg") / dry_mass_kg - 1.0)


def _basic(basic_density_kg_m3: float) -> float:
    """The basic density itself, refused outside what woods have."""
    return within("basic_density_kg_m3", basic_density_kg_m3, LIGHTEST_KG_M3, HEAVIEST_KG_M3, "kg/m3")


def _saturation(value: float) -> float:
    """The fibre saturation itself, refused outside what woods have."""
    return within("fibre_saturation", value, 0.15, 0.45, "kg/kg")
