"""The skin of air on a wet surface: how fast vapour and heat pass it, and how far the surface cools.

Rates are written as a conductance in m/s on vapour density: evaporation = conductance x difference of vapour
density. Heat and vapour pass the same layer of air, so each is got from the other (Lewis). The diffusivity is
Schirmer's throughout; see `strandline.physics.vapour` for the doubt in it.
"""

from __future__ import annotations

import math

from strandline.physics.air import (
    DRY_AIR_GAS_CONSTANT_J_KG_K,
    KELVIN,
    STANDARD_PRESSURE_PA,
    density_kg_m3,
    latent_heat_j_kg,
    root_between,
    saturation_density_kg_m3,
    saturation_slope_kg_m3_k,
    vapour_density_kg_m3,
)
from strandline.physics.ranges import within
from strandline.physics.vapour import diffusivity_schirmer_m2_s

AIR_HEAT_J_KG_K = 1006.0
GRAVITY_M_S2 = 9.80665
STEFAN_BOLTZMANN_W_M2_K4 = 5.670374e-8
STILL_AIR_M_S = (0.002, 0.003)
"""Usual conductance of the skin of air in a room without draught; common practice, no published source.
It agrees with the buoyant equations below for wet surfaces of 0.1 to 0.3 m in air of 50 %."""


def _kelvin(temp_c: float) -> float:
    return within("temp_c", temp_c, -40.0, 100.0, "degC") + KELVIN


def _dry_density_kg_m3(temp_c: float, pressure_pa: float) -> float:
    within("pressure_pa", pressure_pa, 20000.0, 120000.0, "Pa")
    return pressure_pa / (DRY_AIR_GAS_CONSTANT_J_KG_K * _kelvin(temp_c))


def air_viscosity_pa_s(temp_c: float) -> float:
    """Dynamic viscosity of dry air [Pa s].

    Equation: 1.458e-6 T^1.5 / (T + 110.4).
    Source: ussa-1976 eq. 51 (recalled).
    Range: -40 to 100 degC.
    Doubt: 0.5 % below newer measurements, up to 1.5 % apart from older tables; vapour is left out.
    Raises: OutOfRange.

    >>> round(1e5 * air_viscosity_pa_s(20.0), 2)
    1.81
    """
    kelvin = _kelvin(temp_c)
    return float(1.458e-6 * kelvin**1.5 / (kelvin + 110.4))


def air_conductivity_w_m_k(temp_c: float) -> float:
    """Thermal conductivity of dry air [W/(m K)].

    Equation: 2.64638e-3 T^1.5 / (T + 245.4 x 10^(-12/T)).
    Source: ussa-1976 eq. 53 (recalled).
    Range: -40 to 100 degC.
    Doubt: 0.6 % below newer measurements, up to 1.6 % apart from older tables.
    Raises: OutOfRange.

    >>> round(air_conductivity_w_m_k(20.0), 4)
    0.0257
    """
    kelvin = _kelvin(temp_c)
    return float(2.64638e-3 * kelvin**1.5 / (kelvin + 245.4 * 10.0 ** (-12.0 / kelvin)))


def kinematic_viscosity_m2_s(temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Kinematic viscosity of dry air [m2/s].

    Equation: viscosity / density.
    Source: ussa-1976 eq. 52, ideal gas.
    Range: -40 to 100 degC, 20 to 120 kPa.
    Doubt: 0.5 %.
    Raises: OutOfRange.

    >>> round(1e5 * kinematic_viscosity_m2_s(20.0), 2)
    1.51
    """
    return air_viscosity_pa_s(temp_c) / _dry_density_kg_m3(temp_c, pressure_pa)


def thermal_diffusivity_m2_s(temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Thermal diffusivity of dry air [m2/s].

    Equation: conductivity / (density x 1006 J/(kg K)).
    Source: ussa-1976 eq. 53, ideal gas.
    Range: -40 to 100 degC, 20 to 120 kPa.
    Doubt: 2 %.
    Raises: OutOfRange.

    >>> round(1e5 * thermal_diffusivity_m2_s(20.0), 2)
    2.12
    """
    heat_j_m3_k = _dry_density_kg_m3(temp_c, pressure_pa) * AIR_HEAT_J_KG_K
    return air_conductivity_w_m_k(temp_c) / heat_j_m3_k


def lewis_number(temp_c: float, diffusivity_m2_s: float = 0.0) -> float:
    """Thermal diffusivity of air over the diffusivity of vapour in it, both at standard pressure.

    Equation: Le = alpha / D; D is Schirmer's unless a value is given.
    Source: lewis-1922; definition.
    Range: -40 to 100 degC.
    Doubt: 8 %, from the diffusivity: 0.81 with Schirmer's, 0.87 with Marrero and Mason's at 20 degC.
    Raises: OutOfRange.

    >>> round(lewis_number(20.0), 2)
    0.81
    """
    within("diffusivity_m2_s", diffusivity_m2_s, 0.0, 1e-3, "m2/s")
    return thermal_diffusivity_m2_s(temp_c) / (diffusivity_m2_s or diffusivity_schirmer_m2_s(temp_c))


def _heat_per_conductance_j_m3_k(temp_c: float, pressure_pa: float) -> float:
    share = lewis_number(temp_c) ** (2.0 / 3.0)
    return float(_dry_density_kg_m3(temp_c, pressure_pa) * AIR_HEAT_J_KG_K * share)


def conductance_from_heat_m_s(
    heat_transfer_w_m2_k: float, temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA
) -> float:
    """Conductance for vapour [m/s] of the layer of air that passes this much heat by convection.

    Equation: k = h / (rho c_p Le^(2/3)), c_p = 1006 J/(kg K).
    Source: lewis-1922; chilton-colburn-1934; incropera-6 eq. 6.60 with n = 1/3.
    Range: 0 to 200 W/(m2 K), -40 to 100 degC, 20 to 120 kPa. Convection only: radiant heat carries no vapour.
    Doubt: 5 % from the diffusivity, 10 % from the analogy itself.
    Raises: OutOfRange.

    >>> round(conductance_from_heat_m_s(5.0, 20.0), 5)
    0.00475
    """
    within("heat_transfer_w_m2_k", heat_transfer_w_m2_k, 0.0, 200.0, "W/(m2 K)")
    return heat_transfer_w_m2_k / _heat_per_conductance_j_m3_k(temp_c, pressure_pa)


def heat_from_conductance_w_m2_k(
    conductance_m_s: float, temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA
) -> float:
    """Heat transfer by convection [W/(m2 K)] of the layer of air that has this conductance for vapour.

    Equation: h = k rho c_p Le^(2/3).
    Source: lewis-1922; chilton-colburn-1934.
    Range: 0 to 0.2 m/s, -40 to 100 degC, 20 to 120 kPa.
    Doubt: that of its inverse.
    Raises: OutOfRange.

    >>> round(heat_from_conductance_w_m2_k(0.00475, 20.0), 2)
    5.0
    """
    within("conductance_m_s", conductance_m_s, 0.0, 0.2, "m/s")
    return conductance_m_s * _heat_per_conductance_j_m3_k(temp_c, pressure_pa)


def plate_sherwood(reynolds: float, schmidt: float) -> float:
    """Mean Sherwood number (or Nusselt number, with Prandtl's for Schmidt's) of a flat plate along the flow.

    Equation: 0.664 Re^0.5 Sc^(1/3) to Re = 5e5, above (0.037 Re^0.8 - 871) Sc^(1/3).
    Source: incropera-7 eq. 7.30 and 7.38 (recalled; the second as used in som-7); pohlhausen-1921.
    Range: Re 100 to 1e8, Sc 0.5 to 60.
    Doubt: 5 % laminar, 15 % with a turbulent part; a blunt edge trips the flow early and raises it.
    Raises: OutOfRange.

    >>> round(plate_sherwood(10000.0, 0.7), 1)
    59.0
    """
    within("reynolds", reynolds, 100.0, 1e8)
    within("schmidt", schmidt, 0.5, 60.0)
    if reynolds <= 5e5:
        return float(0.664 * math.sqrt(reynolds) * schmidt ** (1.0 / 3.0))
    return float((0.037 * reynolds**0.8 - 871.0) * schmidt ** (1.0 / 3.0))


def plate_conductance_m_s(
    air_speed_m_s: float, length_m: float, temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA
) -> float:
    """Conductance for vapour [m/s] of a flat wet surface of this length along a stream of air.

    Equation: k = Sh D / L with the plate's Sherwood number.
    Source: incropera-7 eq. 7.30 and 7.38 (recalled).
    Range: Re 100 to 1e8, -40 to 100 degC, 20 to 120 kPa.
    Doubt: 10 % on a clean plate; a factor 1.5 for real objects in a fan's stream.
    Raises: OutOfRange.

    >>> round(plate_conductance_m_s(1.0, 0.1, 20.0), 4)
    0.0118
    """
    within("length_m", length_m, 1e-4, 10.0, "m")
    viscosity = kinematic_viscosity_m2_s(temp_c, pressure_pa)
    diffusivity = diffusivity_schirmer_m2_s(temp_c, pressure_pa)
    reynolds = within("air_speed_m_s", air_speed_m_s, 0.0, 50.0, "m/s") * length_m / viscosity
    return plate_sherwood(reynolds, viscosity / diffusivity) * diffusivity / length_m


def still_vertical_sherwood(rayleigh: float) -> float:
    """Mean Sherwood (Nusselt) number of a vertical surface in still air, the short form.

    Equation: 0.59 Ra^(1/4).
    Source: mcadams-1954; as given in vivek-free-convection.
    Range: Ra 1e4 to 1e9.
    Doubt: 20 %; 13 % above the Churchill and Chu form at Ra = 1e6.
    Raises: OutOfRange.

    >>> round(still_vertical_sherwood(1e6), 1)
    18.7
    """
    return float(0.59 * within("rayleigh", rayleigh, 1e4, 1e9) ** 0.25)


def still_vertical_churchill_sherwood(rayleigh: float, schmidt: float) -> float:
    """Mean Sherwood (Nusselt) number of a vertical surface in still air, the form for all ranges.

    Equation: [0.825 + 0.387 Ra^(1/6) / (1 + (0.492/Sc)^(9/16))^(8/27)]^2.
    Source: churchill-chu-1975 eq. 9 (recalled).
    Range: Ra 0.1 to 1e12, Sc 0.1 to 1000.
    Doubt: 15 %.
    Raises: OutOfRange.

    >>> round(still_vertical_churchill_sherwood(1e6, 0.7), 1)
    16.5
    """
    within("rayleigh", rayleigh, 0.1, 1e12)
    within("schmidt", schmidt, 0.1, 1000.0)
    bracket = (1.0 + (0.492 / schmidt) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    return float((0.825 + 0.387 * rayleigh ** (1.0 / 6.0) / bracket) ** 2)


def still_horizontal_sherwood(rayleigh: float, rising: bool) -> float:
    """Mean Sherwood (Nusselt) number of a horizontal surface in still air; length = area / perimeter.

    Equation: air can leave freely (rising): 0.54 Ra^(1/4) to 1e7, above 0.15 Ra^(1/3);
        air is held under or on the surface: 0.27 Ra^(1/4).
    Source: mcadams-1954; as given in vivek-free-convection.
    Range: Ra 1e4 to 1e11 rising, 1e5 to 1e10 held.
    Doubt: 25 %; the two pieces of the rising form differ by 18 % where they meet.
    Raises: OutOfRange.

    >>> round(still_horizontal_sherwood(1e6, True), 1)
    17.1
    """
    if not rising:
        return float(0.27 * within("rayleigh", rayleigh, 1e5, 1e10) ** 0.25)
    within("rayleigh", rayleigh, 1e4, 1e11)
    return float(0.54 * rayleigh**0.25 if rayleigh <= 1e7 else 0.15 * rayleigh ** (1.0 / 3.0))


def buoyancy(
    surface_temp_c: float, temp_c: float, rh: float, pressure_pa: float = STANDARD_PRESSURE_PA
) -> float:
    """How much lighter, relative to the mean, the air on a wet surface is than the air of the room.

    Equation: (rho_room - rho_surface) / mean, rho of moist air, saturated at the surface.
    Source: ashrae-f17-1 (density of moist air), definition.
    Range: -40 to 90 degC, rh 0 to 1, 20 to 120 kPa.
    Doubt: 1 % of the difference; a wet surface that has cooled by evaporation can be heavier: negative.
    Raises: OutOfRange.

    >>> round(buoyancy(20.0, 20.0, 0.5), 5)
    0.00439
    """
    room = density_kg_m3(temp_c, rh, pressure_pa)
    surface = density_kg_m3(surface_temp_c, 1.0, pressure_pa)
    return 2.0 * (room - surface) / (room + surface)


def still_air_rayleigh(
    length_m: float,
    surface_temp_c: float,
    temp_c: float,
    rh: float,
    pressure_pa: float = STANDARD_PRESSURE_PA,
) -> float:
    """Rayleigh number for vapour on a wet surface in still air, driven by humidity and temperature together.

    Equation: Ra = g |buoyancy| L^3 / (nu D), properties at the mean temperature.
    Source: incropera-9 (definition); both causes of buoyancy added through the density.
    Range: -40 to 90 degC, 0.001 to 3 m, rh 0 to 1, 20 to 120 kPa.
    Doubt: 5 % from the diffusivity. Where the two causes nearly cancel the true flow is slower and unsteady.
    Raises: OutOfRange.

    >>> round(still_air_rayleigh(0.2, 20.0, 20.0, 0.5) / 1e5, 1)
    8.7
    """
    within("length_m", length_m, 0.001, 3.0, "m")
    middle_c = 0.5 * (surface_temp_c + temp_c)
    product = kinematic_viscosity_m2_s(middle_c, pressure_pa) * diffusivity_schirmer_m2_s(
        middle_c, pressure_pa
    )
    drive = abs(buoyancy(surface_temp_c, temp_c, rh, pressure_pa))
    return GRAVITY_M_S2 * drive * length_m**3 / product


def still_vertical_conductance_m_s(
    height_m: float,
    surface_temp_c: float,
    temp_c: float,
    rh: float,
    pressure_pa: float = STANDARD_PRESSURE_PA,
) -> float:
    """Conductance for vapour [m/s] of a wet vertical surface in still air.

    Equation: k = Sh D / L, Sh = 0.59 Ra^(1/4).
    Source: mcadams-1954; vivek-free-convection.
    Range: Ra 1e4 to 1e9, that is about 0.05 to 2 m.
    Doubt: 25 %; the least draught (0.1 m/s) doubles it.
    Raises: OutOfRange.

    >>> round(still_vertical_conductance_m_s(0.2, 20.0, 20.0, 0.5), 5)
    0.00236
    """
    rayleigh = still_air_rayleigh(height_m, surface_temp_c, temp_c, rh, pressure_pa)
    diffusivity = diffusivity_schirmer_m2_s(0.5 * (surface_temp_c + temp_c), pressure_pa)
    return still_vertical_sherwood(rayleigh) * diffusivity / height_m


def still_horizontal_conductance_m_s(
    length_m: float,
    surface_temp_c: float,
    temp_c: float,
    rh: float,
    facing_up: bool = True,
    pressure_pa: float = STANDARD_PRESSURE_PA,
) -> float:
    """Conductance for vapour [m/s] of a wet horizontal surface in still air; length = area / perimeter.

    Equation: k = Sh D / L; rising where light air lies on top of, or heavy air below, the surface.
    Source: mcadams-1954; vivek-free-convection.
    Range: Ra 1e4 to 1e11 rising, 1e5 to 1e10 held.
    Doubt: 25 %; a factor 2 where humidity and cooling nearly cancel.
    Raises: OutOfRange.

    >>> round(still_horizontal_conductance_m_s(0.1, 20.0, 20.0, 0.5), 4)
    0.0026
    """
    rayleigh = still_air_rayleigh(length_m, surface_temp_c, temp_c, rh, pressure_pa)
    rising = (buoyancy(surface_temp_c, temp_c, rh, pressure_pa) > 0.0) == facing_up
    diffusivity = diffusivity_schirmer_m2_s(0.5 * (surface_temp_c + temp_c), pressure_pa)
    return still_horizontal_sherwood(rayleigh, rising) * diffusivity / length_m


def conductance_in_series_m_s(first_m_s: float, second_m_s: float) -> float:
    """Conductance [m/s] of two layers that vapour has to pass one after the other.

    Equation: 1/k = 1/k1 + 1/k2.
    Source: none; resistances in series, a rule of every textbook.
    Range: above 0 to 1000 m/s each; a layer that is not there has a large one.
    Doubt: exact at one temperature.
    Raises: OutOfRange.

    >>> round(conductance_in_series_m_s(0.003, 0.006), 6)
    0.002
    """
    within("first_m_s", first_m_s, 1e-12, 1e3, "m/s")
    within("second_m_s", second_m_s, 1e-12, 1e3, "m/s")
    return first_m_s * second_m_s / (first_m_s + second_m_s)


def radiative_w_m2_k(temp_c: float, surroundings_temp_c: float, emissivity: float = 1.0) -> float:
    """Heat passed by radiation per kelvin of difference [W/(m2 K)] between a surface and a large room.

    Equation: e sigma (T1^2 + T2^2)(T1 + T2).
    Source: stefan-boltzmann; iso-6946 annex A (recalled).
    Range: -40 to 100 degC, emissivity 0 to 1 (water, wood, paint 0.9 to 0.95; bare bright metal below 0.2).
    Doubt: that of the emissivity.
    Raises: OutOfRange.

    >>> round(radiative_w_m2_k(20.0, 20.0), 1)
    5.7
    """
    first, second = _kelvin(temp_c), _kelvin(surroundings_temp_c)
    within("emissivity", emissivity, 0.0, 1.0)
    return emissivity * STEFAN_BOLTZMANN_W_M2_K4 * (first**2 + second**2) * (first + second)


def evaporation_kg_m2_s(
    conductance_m_s: float, surface_temp_c: float, temp_c: float, rh: float, surface_rh: float = 1.0
) -> float:
    """Water given off by a surface [kg/(m2 s)]; negative where it condenses.

    Equation: m = k [a rho_sat(t_s) - rh rho_sat(t)], a the humidity the surface keeps (1 where wet).
    Source: incropera-6 eq. 6.53 (definition of the conductance).
    Range: 0 to 0.2 m/s, -40 to 100 degC, both humidities 0 to 1.
    Doubt: that of the conductance; bulk flow adds 2 % at 20 degC, 7 % at 45 degC and is left out.
    Raises: OutOfRange.

    >>> round(3.6e6 * evaporation_kg_m2_s(0.005, 20.0, 20.0, 0.5), 0)
    156.0
    """
    within("conductance_m_s", conductance_m_s, 0.0, 0.2, "m/s")
    _kelvin(temp_c), _kelvin(surface_temp_c)
    there = vapour_density_kg_m3(surface_temp_c, surface_rh)
    return conductance_m_s * (there - vapour_density_kg_m3(temp_c, rh))


def cooling_number(conductance_m_s: float, heat_transfer_w_m2_k: float, temp_c: float) -> float:
    """How hard evaporation cools a wet surface that gets its heat from the air and the room alone.

    Equation: k L (d rho_sat/dt) / h; at humidity a the surface gives off 1/(1 + a number) of the uncooled.
    Source: penman-1948 (linearised energy balance), rearranged.
    Range: 0 to 0.2 m/s, 0.1 to 500 W/(m2 K), -40 to 100 degC.
    Doubt: takes the slope at air temperature; see cooling_factor.
    Raises: OutOfRange.

    >>> round(cooling_number(0.001, 8.0, 20.0), 2)
    0.31
    """
    within("conductance_m_s", conductance_m_s, 0.0, 0.2, "m/s")
    within("heat_transfer_w_m2_k", heat_transfer_w_m2_k, 0.1, 500.0, "W/(m2 K)")
    _kelvin(temp_c)
    return (
        conductance_m_s * latent_heat_j_kg(temp_c) * saturation_slope_kg_m3_k(temp_c) / heat_transfer_w_m2_k
    )


def cooling_factor(
    conductance_m_s: float, heat_transfer_w_m2_k: float, temp_c: float, surface_rh: float = 1.0
) -> float:
    """True rate of evaporation over the rate without cooling, surface fed with heat by the air alone.

    Equation: k_eff / k = 1 / (1 + k L (d rho_sat/dt) a / h); h is all heat transfer, radiant heat too.
    Source: penman-1948 (linearised energy balance), rearranged.
    Range: 0 to 0.2 m/s, 0.1 to 500 W/(m2 K), -40 to 100 degC, a 0 to 1.
    Doubt: takes the slope at air temperature, so it is 0 to 20 % too low for cooling up to 10 K.
    Raises: OutOfRange.

    >>> round(cooling_factor(0.001, 8.0, 20.0), 2)
    0.76
    """
    within("surface_rh", surface_rh, 0.0, 1.0)
    return 1.0 / (1.0 + cooling_number(conductance_m_s, heat_transfer_w_m2_k, temp_c) * surface_rh)


def surface_temp_c(
    conductance_m_s: float,
    heat_transfer_w_m2_k: float,
    temp_c: float,
    rh: float,
    surface_rh: float = 1.0,
) -> float:
    """Temperature of an evaporating surface that gets heat from the air and the room alone [degC].

    Equation: h (t - t_s) = k L(t_s) [a rho_sat(t_s) - rh rho_sat(t)], solved for t_s.
    Source: energy balance, textbook form (incropera-6, evaporative cooling).
    Range: 0 to 0.2 m/s, 0.1 to 500 W/(m2 K), -40 to 95 degC, both humidities 0 to 1.
    Doubt: that of the two coefficients; heat led through the object brings it nearer to the air. Density
        instead of pressure as the drive puts it up to 0.4 K low, near saturation just below the dew point.
    Raises: OutOfRange.

    >>> round(surface_temp_c(0.005, 5.3, 20.0, 0.5), 1)
    13.3
    """
    within("temp_c", temp_c, -40.0, 95.0, "degC")
    within("heat_transfer_w_m2_k", heat_transfer_w_m2_k, 0.1, 500.0, "W/(m2 K)")
    room = vapour_density_kg_m3(temp_c, rh)
    within("surface_rh", surface_rh, 0.0, 1.0)
    within("conductance_m_s", conductance_m_s, 0.0, 0.2, "m/s")

    def surplus(trial_c: float) -> float:
        taken = conductance_m_s * (surface_rh * saturation_density_kg_m3(trial_c) - room)
        return latent_heat_j_kg(trial_c) * taken - heat_transfer_w_m2_k * (temp_c - trial_c)

    return root_between(surplus, max(-60.0, temp_c - 80.0), min(100.0, temp_c + 60.0))


def cooled_evaporation_kg_m2_s(
    conductance_m_s: float,
    heat_transfer_w_m2_k: float,
    temp_c: float,
    rh: float,
    surface_rh: float = 1.0,
) -> float:
    """Water given off by a surface that cools as it evaporates [kg/(m2 s)].

    Equation: m = k [a rho_sat(t_s) - rh rho_sat(t)] at the temperature of the energy balance.
    Source: energy balance, textbook form (incropera-6, evaporative cooling).
    Range: that of the surface temperature.
    Doubt: that of the two coefficients.
    Raises: OutOfRange.

    >>> round(3.6e6 * cooled_evaporation_kg_m2_s(0.005, 5.3, 20.0, 0.5), 0)
    52.0
    """
    surface = surface_temp_c(conductance_m_s, heat_transfer_w_m2_k, temp_c, rh, surface_rh)
    return evaporation_kg_m2_s(conductance_m_s, surface, temp_c, rh, surface_rh)
