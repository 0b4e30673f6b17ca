"""Openings: how much vapour passes a hole, a slit, a neck or a window, by diffusion and by its own lightness.

Moist air is lighter than dry air, so the air of a wet cover may stream out of an opening by itself. Whether
it
does depends on size, place and on a temperature difference of half a kelvin, which nobody knows; so what is
handed out for use is a `Band` (low, mid, high, which regime, why) and never one number. All conductances are
volumes per second [m3/s]: the flow of vapour is the conductance times the difference of vapour density.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from strandline.physics.air import STANDARD_PRESSURE_PA, density_kg_m3, saturation_density_kg_m3
from strandline.physics.ranges import within
from strandline.physics.vapour import diffusivity_schirmer_m2_s

GRAVITY_M_S2 = 9.80665
DISCHARGE_LOW, DISCHARGE_MID, DISCHARGE_HIGH = 0.35, 0.43, 0.63
"""Discharge coefficients of two-way flow: the spread of measurements and their usual value (annex20-1992)."""

HORIZONTAL_FROUDE = 0.055
"""Exchange through a thin horizontal opening, Q / sqrt(g' D^5) (epstein-1988)."""

CRITICAL_TUBE_NUMBER = 67.94
"""g drho a^4 / (mu D L) above which heavy fluid over light in a tube turns over (taylor-1954)."""

DIFFUSIVE_RAYLEIGH, BUOYANT_RAYLEIGH = 100.0, 1000.0
"""Below the first, buoyant exchange through an upright opening is less than diffusion (creeping flow through
a
thin hole over diffusion through it is Ra/192); above the second it is several times as much."""

KINDS = ("hole", "slit")
PLACES = ("top", "side", "bottom")
_AIR_VISCOSITY_PA_S = 1.82e-5
_DIFFUSIVITY_SPREAD = 0.92
"""Marrero and Mason's diffusivity over Schirmer's; the literature disagrees by this much."""


@dataclass(frozen=True, slots=True)
class Band:
    """A quantity that is known only roughly: low, mid and high, which regime holds, and why the band is so
    wide."""

    low: float
    mid: float
    high: float
    regime: str
    why: str

    def times(self, factor: float) -> Band:
        """The same band in another unit or for several of the same."""
        return Band(self.low * factor, self.mid * factor, self.high * factor, self.regime, self.why)


@dataclass(frozen=True, slots=True)
class Opening:
    """One kind of opening in a cover: a hole (length = width = diameter) or a slit, its depth, its place."""

    kind: str
    length_m: float
    width_m: float
    depth_m: float
    place: str
    count: int = 1

    def __post_init__(self) -> None:
        if self.kind not in KINDS or self.place not in PLACES:
            raise ValueError(f"an opening is a {' or '.join(KINDS)}, at the {', '.join(PLACES)}")
        within("width_m", self.width_m, 1e-5, 3.0, "m")
        within("length_m", self.length_m, self.width_m, 10.0, "m")
        within("depth_m", self.depth_m, 0.0, 1.0, "m")
        within("count", self.count, 1, 10000)

    @property
    def area_m2(self) -> float:
        """Free area of one."""
        area = self.length_m * self.width_m
        return area * math.pi / 4.0 if self.kind == "hole" else area


def hole(diameter_m: float, depth_m: float, place: str, count: int = 1) -> Opening:
    """A round hole.

    Rule: length and width are the diameter.
    Source: none; a rule of this code.
    Range: 0.01 mm to 3 m.
    Doubt: none.

    >>> round(hole(0.006, 0.0002, "side").area_m2 * 1e6, 1)
    28.3
    """
    return Opening("hole", diameter_m, diameter_m, depth_m, place, count)


def slit(length_m: float, width_m: float, depth_m: float, place: str, count: int = 1) -> Opening:
    """A long gap, such as the seam between two clips; the length is its height when it stands upright.

    Rule: length is not less than width.
    Source: none; a rule of this code.
    Range: 0.01 mm to 10 m.
    Doubt: none.

    >>> round(slit(0.1, 0.005, 0.01, "side").area_m2 * 1e4, 1)
    5.0
    """
    return Opening("slit", length_m, width_m, depth_m, place, count)


def _agm(one: float, two: float) -> float:
    """Arithmetic-geometric mean, which gives the elliptic integral of an elliptical aperture."""
    for _ in range(60):
        if abs(one - two) <= 1e-15 * one:
            break
        one, two = 0.5 * (one + two), math.sqrt(one * two)
    return one


def aperture_conductance_m3_s(length_m: float, width_m: float, diffusivity_m2_s: float) -> float:
    """Diffusion through an elliptical hole in a sheet without thickness, between two still rooms [m3/s].

    Equation: G = 2 D agm(a, b), a and b the half axes; for a circle 2 D a = D d.
    Source: brown-escombe-1900 (circle); hwang-mascagni-2004 (flat plates as conductors, the same problem).
    Range: still air on both sides, no other opening within about ten lengths.
    Doubt: none for the ellipse; an oblong of the same area and proportions passes about 2 % more.
    Raises: OutOfRange.

    >>> round(aperture_conductance_m3_s(0.02, 0.02, 2.5e-5) * 1e7, 3)
    5.0
    """
    within("width_m", width_m, 0.0, length_m, "m")
    within("diffusivity_m2_s", diffusivity_m2_s, 0.0, 10.0, "m2/s")
    return 2.0 * diffusivity_m2_s * _agm(0.5 * length_m, 0.5 * width_m)


def hole_conductance_m3_s(
    diameter_m: float, depth_m: float, diffusivity_m2_s: float, stirred_sides: int = 0
) -> float:
    """Diffusion through a round hole of some depth, with the still air in front of each end [m3/s].

    Equation: G = D A / (L + n pi d/8), n = 2 ends without stirring, 1 with one side stirred, 0 with both.
    Source: brown-escombe-1900; franks-beerling-2009 (two ends); monteith-unsworth-2008 (one end).
    Range: diameter and depth above 0; a hole well away from others.
    Doubt: up to 3.2 % too high against a numerical solution, most at half a radius of depth.
    Raises: OutOfRange.

    >>> round(hole_conductance_m3_s(0.1, 0.0001, 2.619e-5) * 1e6, 2)
    2.62
    """
    within("diameter_m", diameter_m, 1e-9, 10.0, "m")
    within("depth_m", depth_m, 0.0, 10.0, "m")
    within("stirred_sides", stirred_sides, 0, 2)
    ends_m = (2 - stirred_sides) * math.pi * diameter_m / 8.0
    path_m = within("path", depth_m + ends_m, 1e-12, 100.0, "m")
    return diffusivity_m2_s * math.pi * diameter_m**2 / 4.0 / path_m


def slit_conductance_m3_s(
    length_m: float, width_m: float, depth_m: float, diffusivity_m2_s: float, stirred_sides: int = 0
) -> float:
    """Diffusion through an oblong gap of some depth, with the still air in front of each end [m3/s].

    Equation: 1/G = L/(D l w) + (n/2)/(2 D agm(a, b)), the ellipse having the area and proportions of the gap.
    Source: brown-escombe-1900, algebra; hwang-mascagni-2004 (the square, as check).
    Range: length not less than width; depth above 0 if both sides are stirred.
    Doubt: 2 % low for a square, about 5 % low for a long gap.
    Raises: OutOfRange.

    >>> round(slit_conductance_m3_s(1.0, 1.0, 0.0, 1.0), 3)
    1.128
    """
    within("width_m", width_m, 1e-9, length_m, "m")
    within("depth_m", depth_m, 0.0, 10.0, "m")
    within("stirred_sides", stirred_sides, 0, 2)
    scale = 2.0 / math.sqrt(math.pi)
    ends = aperture_conductance_m3_s(scale * length_m, scale * width_m, diffusivity_m2_s)
    resistance = depth_m / (diffusivity_m2_s * length_m * width_m) + (2 - stirred_sides) / 2.0 / ends
    return 1.0 / within("resistance", resistance, 1e-12, 1e18, "s/m3")


def neck_conductance_m3_s(area_m2: float, length_m: float, diffusivity_m2_s: float) -> float:
    """Diffusion along a neck of any compact section, such as the gathered mouth of a bag [m3/s].

    Equation: G = D A / (L + sqrt(pi A)/2), the two ends taken as those of a round hole of the same area.
    Source: brown-escombe-1900, algebra.
    Range: area and length above 0; a section not much longer than wide.
    Doubt: as for the hole; folds inside a gathered neck can halve it.
    Raises: OutOfRange.

    >>> round(neck_conductance_m3_s(0.01, 0.05, 2.619e-5) * 1e6, 2)
    1.89
    """
    within("area_m2", area_m2, 1e-12, 10.0, "m2")
    within("length_m", length_m, 0.0, 10.0, "m")
    return diffusivity_m2_s * area_m2 / (length_m + math.sqrt(math.pi * area_m2) / 2.0)


def lightness(
    inside_temp_c: float,
    inside_rh: float,
    outside_temp_c: float,
    outside_rh: float,
    pressure_pa: float = STANDARD_PRESSURE_PA,
) -> float:
    """How much lighter the inside air is than the outside air, as a share; negative where it is heavier.

    Equation: (rho_out - rho_in) / (half the sum of both).
    Source: ashrae-f17-1 eq. 10 and 26 (density of moist air).
    Range: that of the density.
    Doubt: 0.3 K of temperature is as much as 0.25 of relative humidity at 20 degC.
    Raises: OutOfRange.

    >>> round(lightness(20.0, 0.95, 20.0, 0.5), 3)
    0.004
    """
    inside = density_kg_m3(inside_temp_c, inside_rh, pressure_pa)
    outside = density_kg_m3(outside_temp_c, outside_rh, pressure_pa)
    return 2.0 * (outside - inside) / (outside + inside)


def single_opening_exchange_m3_s(
    area_m2: float, height_m: float, light: float, discharge: float = DISCHARGE_MID
) -> float:
    """Two-way flow by weight alone through one upright opening, in and out at once [m3/s].

    Equation: Q = (Cd/3) A sqrt(g H |drho/rho|).
    Source: brown-solvason-1962 eq. 6 (form read in modelica-buildings-door); annex20-1992 for Cd.
    Range: large openings with sharp edges; Cd 0.35 to 0.63 as measured; no wind.
    Doubt: 30 % by the discharge coefficient; far too high for holes of millimetres (friction).
    Raises: OutOfRange.

    >>> round(single_opening_exchange_m3_s(0.01, 0.1, 0.003926, 0.6) * 1e4, 2)
    1.24
    """
    within("area_m2", area_m2, 0.0, 100.0, "m2")
    within("height_m", height_m, 0.0, 100.0, "m")
    within("discharge", discharge, 0.1, 1.0)
    return discharge / 3.0 * area_m2 * math.sqrt(GRAVITY_M_S2 * height_m * abs(within("light", light, -1, 1)))


def two_opening_flow_m3_s(
    low_area_m2: float, high_area_m2: float, height_m: float, light: float, discharge: float = DISCHARGE_HIGH
) -> float:
    """Through-flow by weight alone, in at one opening and out at another some height above it [m3/s].

    Equation: Q = Cd A* sqrt(2 g h |drho/rho|), 1/A*^2 = 1/A_low^2 + 1/A_high^2.
    Source: ashrae-f09-16 eq. 38 (read in energyplus-eng-ref), algebra for two openings.
    Range: openings with sharp edges, much smaller than their distance; no wind.
    Doubt: 10 % by the discharge coefficient (0.60 to 0.65 for one-way flow); too high for narrow gaps.
    Raises: OutOfRange.

    >>> round(two_opening_flow_m3_s(0.005, 0.005, 0.5, 0.003926, 0.6) * 1e4, 2)
    4.16
    """
    for name, area_m2 in (("low_area_m2", low_area_m2), ("high_area_m2", high_area_m2)):
        within(name, area_m2, 1e-12, 100.0, "m2")
    within("height_m", height_m, 0.0, 100.0, "m")
    within("discharge", discharge, 0.1, 1.0)
    area_m2 = 1.0 / math.hypot(1.0 / low_area_m2, 1.0 / high_area_m2)
    speed = math.sqrt(2.0 * GRAVITY_M_S2 * height_m * abs(within("light", light, -1, 1)))
    return discharge * area_m2 * speed


def horizontal_exchange_m3_s(diameter_m: float, light: float) -> float:
    """Exchange through a thin horizontal opening with the heavier air above [m3/s].

    Equation: Q = 0.055 sqrt(g |drho/rho| D^5).
    Source: epstein-1988 (abstract read; the coefficient as others quote it).
    Range: opening no deeper than about 0.15 diameters, flow not ruled by friction.
    Doubt: 30 %; deeper openings pass up to four times as much near L/D = 0.5.
    Raises: OutOfRange.

    >>> round(horizontal_exchange_m3_s(0.1, 0.003926) * 1e5, 2)
    3.41
    """
    within("diameter_m", diameter_m, 0.0, 10.0, "m")
    return HORIZONTAL_FROUDE * math.sqrt(GRAVITY_M_S2 * abs(within("light", light, -1, 1)) * diameter_m**5)


def opening_rayleigh(opening: Opening, light: float, temp_c: float) -> float:
    """Rayleigh number of an opening: the drive by weight over friction and diffusion.

    Equation: Ra = g |drho/rho| l w^2 / (nu D), for a hole g |drho/rho| d^3 / (nu D).
    Source: brown-escombe-1900 and sampson-1891 (their ratio for a thin round hole is Ra/192), algebra.
    Range: upright openings; for horizontal ones `tube_number` decides.
    Doubt: a factor of two in where the change lies.
    Raises: OutOfRange.

    >>> round(opening_rayleigh(hole(0.01, 0.0, "side"), 0.003926, 20.0), -1)
    100.0
    """
    drive = GRAVITY_M_S2 * abs(light) * opening.length_m * opening.width_m**2
    return drive / (_kinematic_viscosity_m2_s(temp_c) * diffusivity_schirmer_m2_s(temp_c))


def tube_number(opening: Opening, light: float, temp_c: float) -> float:
    """Number of a horizontal opening that must pass 67.9 before heavy air above light air starts to sink
    through.

    Equation: g |drho/rho| a^4 / (nu D (L + pi a/2)), a the half width.
    Source: taylor-1954 (recalled), with the length lengthened by both ends.
    Range: tubes; for thin holes an extrapolation.
    Doubt: a factor of two for thin holes.
    Raises: OutOfRange.

    >>> tube_number(hole(0.01, 0.0, "top"), 0.0039, 20.0) < 67.9
    True
    >>> tube_number(hole(0.05, 0.0, "top"), 0.0039, 20.0) > 67.9
    True
    """
    half_m = 0.5 * opening.width_m
    path_m = opening.depth_m + math.pi * half_m / 2.0
    drive = GRAVITY_M_S2 * abs(light) * half_m**4 / path_m
    return drive / (_kinematic_viscosity_m2_s(temp_c) * diffusivity_schirmer_m2_s(temp_c))


def side_exchange_m3_s(opening: Opening, light: float, temp_c: float, discharge: float) -> float:
    """Two-way flow by weight through one upright opening, friction included [m3/s].

    Equation: Q/Qv + (Q/Qi)^2 = 1; Qi that of the single opening; Qv = (A/2) rho g |drho/rho| H / (4 mu f),
        with
        f = 12 L/w^2 + 32/(pi w) for a slit and 32 L/d^2 + 6 pi/d for a hole.
    Source: brown-solvason-1962 (inertia); sampson-1891 and roscoe-1949 (thin hole and slit), Poiseuille;
        joined by
        the form of resistances that add.
    Range: any size; no wind.
    Doubt: a factor of 1.5 where friction and inertia are alike.
    Raises: OutOfRange.

    >>> round(side_exchange_m3_s(slit(1.0, 0.5, 0.0, "side"), 0.01, 20.0, 0.6), 4)
    0.0313
    """
    inertial = single_opening_exchange_m3_s(opening.area_m2, opening.length_m, light, discharge)
    if inertial == 0.0:
        return 0.0
    drive_m_s2 = GRAVITY_M_S2 * abs(light) * opening.length_m / 4.0
    viscous = (
        0.5 * opening.area_m2 * drive_m_s2 / (_kinematic_viscosity_m2_s(temp_c) * _friction_per_m(opening))
    )
    return _joined(inertial, viscous)


def _kinematic_viscosity_m2_s(temp_c: float) -> float:
    """Of air: viscosity by temperature to the power 0.7, over the density of dry air."""
    kelvin = temp_c + 273.15
    return float(_AIR_VISCOSITY_PA_S * (kelvin / 293.15) ** 0.7) / density_kg_m3(temp_c, 0.0)


def _friction_per_m(opening: Opening) -> float:
    """Pressure per viscosity and speed [1/m]: the walls of the opening and its two ends."""
    if opening.kind == "hole":
        return 32.0 * opening.depth_m / opening.width_m**2 + 6.0 * math.pi / opening.width_m
    return 12.0 * opening.depth_m / opening.width_m**2 + 32.0 / (math.pi * opening.width_m)


def _joined(inertial_m3_s: float, viscous_m3_s: float) -> float:
    """Q of Q/Qv + (Q/Qi)^2 = 1, written so that it stays exact when friction rules."""
    ratio = inertial_m3_s / viscous_m3_s
    return 2.0 * inertial_m3_s / (ratio + math.sqrt(ratio * ratio + 4.0))


def through_flow_m3_s(
    low: Opening,
    high: Opening,
    height_m: float,
    light: float,
    temp_c: float,
    discharge: float = DISCHARGE_HIGH,
) -> float:
    """Flow by weight, in at one kind of opening and out at another above it, friction included [m3/s].

    Equation: Q/Qv + (Q/Qi)^2 = 1; Qi that of two openings; Qv = g |drho/rho| h / sum(nu f / A).
    Source: ashrae-f09-16 eq. 38 (inertia); sampson-1891 and roscoe-1949, Poiseuille (friction).
    Range: any size; all openings of a kind at one height; no wind.
    Doubt: a factor of 1.5.
    Raises: OutOfRange.

    >>> many = hole(0.08, 0.0, "side")
    >>> round(through_flow_m3_s(many, many, 0.5, 0.003926, 20.0, 0.6) * 1e4, 1)
    4.1
    """
    low_m2, high_m2 = low.area_m2 * low.count, high.area_m2 * high.count
    inertial = two_opening_flow_m3_s(low_m2, high_m2, height_m, light, discharge)
    if inertial == 0.0:
        return 0.0
    friction = _friction_per_m(low) / low_m2 + _friction_per_m(high) / high_m2
    drive_m2_s2 = GRAVITY_M_S2 * abs(light) * height_m
    return _joined(inertial, drive_m2_s2 / (_kinematic_viscosity_m2_s(temp_c) * friction))


def diffusive_band_m3_s(opening: Opening, temp_c: float) -> Band:
    """Diffusion through all openings of a kind, as a band [m3/s].

    Equation: hole or slit with both ends still (mid), times 0.92 (low), with the outer end stirred (high).
    Source: schirmer-1938 and marrero-mason-1972 (their diffusivities differ by 8 %); monteith-unsworth-2008
        (one end).
    Range: openings further apart than ten widths.
    Doubt: the band itself; neighbours closer than that share their still air and pass less.
    Raises: OutOfRange.

    >>> round(diffusive_band_m3_s(hole(0.006, 0.0002, "side", 10), 20.0).mid * 1e6, 2)
    1.51
    """
    diffusivity = diffusivity_schirmer_m2_s(temp_c)
    size = (opening.depth_m, diffusivity)
    if opening.kind == "hole":
        still = hole_conductance_m3_s(opening.width_m, *size)
        stirred = hole_conductance_m3_s(opening.width_m, *size, stirred_sides=1)
    else:
        still = slit_conductance_m3_s(opening.length_m, opening.width_m, *size)
        stirred = slit_conductance_m3_s(opening.length_m, opening.width_m, *size, stirred_sides=1)
    why = "still air at both ends; the high value has the room side stirred"
    return Band(_DIFFUSIVITY_SPREAD * still, still, stirred, "diffusive", why).times(opening.count)


def buoyant_exchange_m3_s(opening: Opening, light: float, temp_c: float, discharge: float) -> float:
    """Exchange by weight through one opening where it is: upright, in the top or in the bottom [m3/s].

    Rule: side, the upright formula; top, only if the inside air is lighter; bottom, only if it is heavier;
        both
        only above the tube number 67.9, and a horizontal slit as a row of round holes as wide as it is.
    Source: brown-solvason-1962; epstein-1988; taylor-1954 (recalled).
    Range: no wind, no fan.
    Doubt: a factor of two.
    Raises: OutOfRange.

    >>> buoyant_exchange_m3_s(hole(0.1, 0.0, "bottom"), 0.004, 20.0, 0.43)
    0.0
    """
    if opening.place == "side":
        return side_exchange_m3_s(opening, light, temp_c, discharge)
    sinks = light > 0.0 if opening.place == "top" else light < 0.0
    if not sinks or tube_number(opening, light, temp_c) <= CRITICAL_TUBE_NUMBER:
        return 0.0
    in_a_row = opening.length_m / opening.width_m
    turning = horizontal_exchange_m3_s(opening.width_m, light) * in_a_row
    drive_m_s2 = GRAVITY_M_S2 * abs(light) * (opening.depth_m + 0.5 * opening.width_m)
    friction = _kinematic_viscosity_m2_s(temp_c) * _friction_per_m(opening)
    return _joined(turning, 0.5 * opening.area_m2 * drive_m_s2 / friction)


def opening_band_m3_s(
    opening: Opening,
    inside_temp_c: float,
    inside_rh: float,
    outside_temp_c: float,
    outside_rh: float,
    temp_doubt_k: float = 0.5,
) -> Band:
    """Conductance of all openings of a kind between a cover and the room: low, mid, high and the regime
    [m3/s].

    Rule: diffusion plus exchange by weight; the weight from the temperatures given, give or take the doubt,
        so that
        an evaporating body which cools its air may undo the lightness of its moisture; discharge 0.35, 0.43,
        0.63.
    Source: brown-escombe-1900; brown-solvason-1962; annex20-1992; epstein-1988; taylor-1954.
    Range: 0 to 40 degC, no fan blowing at the cover, openings of one height (else `pair_band_m3_s`).
    Doubt: the band; it does not hold in a draught.
    Raises: OutOfRange.

    >>> band = opening_band_m3_s(hole(0.006, 0.0002, "side"), 20.0, 0.95, 20.0, 0.5)
    >>> band.regime, band.low < band.mid < band.high
    ('diffusive', True)
    """
    within("inside_temp_c", inside_temp_c, 0.0, 40.0, "degC")
    within("temp_doubt_k", temp_doubt_k, 0.0, 5.0, "K")
    still = diffusive_band_m3_s(opening, inside_temp_c)
    lights = _light_range(inside_temp_c, inside_rh, outside_temp_c, outside_rh, temp_doubt_k)
    low, mid, high = (
        opening.count * pick
        for pick in _buoyant_range(opening, lights, inside_temp_c)
    )  # fmt: skip
    regime, why = _regime(opening, lights[1], inside_temp_c, mid, still.mid)
    return Band(still.low + low, still.mid + mid, still.high + high, regime, why)


def _light_range(
    inside_temp_c: float, inside_rh: float, outside_temp_c: float, outside_rh: float, doubt_k: float
) -> tuple[float, float, float]:
    """Lightness with the inside cooler than said, as said, and warmer than said."""
    cool, told, warm = (
        lightness(inside_temp_c + shift, inside_rh, outside_temp_c, outside_rh)
        for shift in (-doubt_k, 0.0, doubt_k)
    )
    return cool, told, warm


def _buoyant_range(
    opening: Opening, lights: tuple[float, float, float], temp_c: float
) -> tuple[float, float, float]:
    """Least, likely and most exchange by weight over the range of lightness."""
    cool, told, warm = lights
    low = 0.0
    if cool * warm > 0.0:
        low = min(buoyant_exchange_m3_s(opening, light, temp_c, DISCHARGE_LOW) for light in (cool, warm))
    high = max(buoyant_exchange_m3_s(opening, light, temp_c, DISCHARGE_HIGH) for light in (cool, warm))
    return low, buoyant_exchange_m3_s(opening, told, temp_c, DISCHARGE_MID), high


def _regime(
    opening: Opening, light: float, temp_c: float, buoyant_m3_s: float, diffusive_m3_s: float
) -> tuple[str, str]:
    """Name of the regime and the reason for it."""
    weight = "lighter" if light > 0.0 else "heavier"
    if opening.place != "side":
        number = tube_number(opening, light, temp_c)
        if buoyant_m3_s == 0.0:
            return "diffusive", (
                f"{opening.place} opening, inside air {weight}, tube number {number:.0f} against"
                f" {CRITICAL_TUBE_NUMBER:.0f}: the air stays layered and only diffuses"
            )
        regime = "buoyant" if buoyant_m3_s > 3.0 * diffusive_m3_s else "mixed"
        return (
            regime,
            f"{opening.place} opening, inside air {weight}, tube number {number:.0f}: the air turns over",
        )
    rayleigh = opening_rayleigh(opening, light, temp_c)
    regime = "mixed"
    if rayleigh < DIFFUSIVE_RAYLEIGH:
        regime = "diffusive"
    elif rayleigh > BUOYANT_RAYLEIGH:
        regime = "buoyant"
    return regime, f"side opening, inside air {weight}, Rayleigh number {rayleigh:.0f}"


def pair_band_m3_s(
    low: Opening,
    high: Opening,
    height_m: float,
    inside_temp_c: float,
    inside_rh: float,
    outside_temp_c: float,
    outside_rh: float,
    temp_doubt_k: float = 0.5,
) -> Band:
    """Conductance of a low and a high kind of opening, through which air may stream one way [m3/s].

    Rule: diffusion of both plus through-flow; discharge 0.43, 0.60, 0.65; the weight as for one opening.
    Source: ashrae-f09-16 eq. 38; brown-escombe-1900; annex20-1992.
    Range: 0 to 40 degC, no fan, no draught.
    Doubt: the band.
    Raises: OutOfRange.

    >>> part = hole(0.08, 0.0002, "side")
    >>> pair_band_m3_s(part, part, 0.5, 20.0, 0.95, 20.0, 0.5).regime
    'buoyant'
    """
    one, other = diffusive_band_m3_s(low, inside_temp_c), diffusive_band_m3_s(high, inside_temp_c)
    cool, told, warm = _light_range(inside_temp_c, inside_rh, outside_temp_c, outside_rh, temp_doubt_k)

    def flow(light: float, discharge: float) -> float:
        return through_flow_m3_s(low, high, height_m, light, inside_temp_c, discharge)

    least = min(flow(cool, DISCHARGE_MID), flow(warm, DISCHARGE_MID)) if cool * warm > 0.0 else 0.0
    likely, most = flow(told, 0.60), max(flow(cool, 0.65), flow(warm, 0.65))
    diffusive = one.mid + other.mid
    regime = "buoyant" if likely > 3.0 * diffusive else "mixed" if 3.0 * likely > diffusive else "diffusive"
    times = likely / diffusive
    why = f"openings {height_m:g} m apart, air may stream through: {times:.1f} times what diffuses"
    return Band(
        one.low + other.low + least, diffusive + likely, one.high + other.high + most, regime, why
    )  # fmt: skip


def per_rh_kg_s(conductance_m3_s: float, temp_c: float) -> float:
    """A conductance as vapour flow per whole unit of relative humidity at one temperature [kg/s].

    Equation: g = G rho_sat(T).
    Source: ashrae-f17-1 (saturation), algebra.
    Range: that of the saturation density; both sides at the same temperature.
    Doubt: that of the conductance.
    Raises: OutOfRange.

    >>> round(per_rh_kg_s(1.0, 20.0), 4)
    0.0173
    """
    return conductance_m3_s * saturation_density_kg_m3(temp_c)
