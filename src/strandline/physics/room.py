"""The air of one room: where its moisture comes from and goes to, hour by hour and in the long run."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from strandline.physics.air import (
    dew_point_c,
    latent_heat_j_kg,
    saturation_density_kg_m3,
    vapour_density_kg_m3,
)
from strandline.physics.condensation import rh_at_temperature
from strandline.physics.openings import (
    DISCHARGE_HIGH,
    DISCHARGE_LOW,
    DISCHARGE_MID,
    Band,
    lightness,
    single_opening_exchange_m3_s,
)
from strandline.physics.ranges import within

HOUR_S = 3600.0
DAY_H = 24.0
_STEPS_PER_HOUR = 30


@dataclass(frozen=True, slots=True)
class Room:
    """A room: volume of air, air changes per hour, and what walls and things give or take per whole unit of
    RH."""

    volume_m3: float
    air_changes_per_h: float
    buffer_kg_per_rh: float = 0.0

    def __post_init__(self) -> None:
        within("volume_m3", self.volume_m3, 0.1, 1e6, "m3")
        within("air_changes_per_h", self.air_changes_per_h, 0.0, 100.0, "1/h")
        within("buffer_kg_per_rh", self.buffer_kg_per_rh, 0.0, 1e5, "kg")


@dataclass(frozen=True, slots=True)
class Hour:
    """What one hour brings: temperatures, outside humidity, water evaporating in the room."""

    temp_c: float
    outside_temp_c: float
    outside_rh: float
    evaporation_kg_h: float


@dataclass(frozen=True, slots=True)
class HourEnd:
    """How one hour leaves the room, and the water that condensed and was taken out in it."""

    rh: float
    vapour_density_kg_m3: float
    condensed_kg: float
    removed_kg: float


@dataclass(frozen=True, slots=True)
class OutsideAir:
    """What letting outside air in would do."""

    dries: bool
    condenses: bool
    rh_in_room: float
    why: str


def steady_vapour_density_kg_m3(
    outside_vapour_kg_m3: float,
    evaporation_kg_h: float,
    removal_kg_h: float,
    volume_m3: float,
    changes_per_h: float,
) -> float:
    """Vapour a room settles at when everything stays as it is [kg/m3]; it may lie above saturation or below
    zero.

    Equation: rho_in = rho_out + (evaporation - removal) / (n V).
    Source: iso-13788 (moisture excess, recalled); bs-5925 appendix B (contaminant balance, recalled).
    Range: n V above 0.
    Doubt: 3 to 5 % for the swelling of outside air as it warms; one well-mixed room.
    Raises: OutOfRange.

    >>> round(1000 * steady_vapour_density_kg_m3(0.007516, 0.5, 0.0, 81.0, 0.5), 2)
    19.86
    """
    exchange_m3_h = within("n V", volume_m3 * changes_per_h, 1e-6, 1e8, "m3/h")
    return outside_vapour_kg_m3 + (evaporation_kg_h - removal_kg_h) / exchange_m3_h


def steady_rh(
    room: Room,
    temp_c: float,
    outside_temp_c: float,
    outside_rh: float,
    evaporation_kg_h: float,
    removal_kg_h: float = 0.0,
) -> float:
    """Relative humidity a room settles at; above 1 means that water condenses, never below 0.

    Equation: rho_in / rho_sat(t), rho_in the steady vapour density.
    Source: iso-13788 (moisture excess, recalled).
    Range: air changes above 0; removal that does not depend on the humidity.
    Doubt: that of the steady vapour density; a removal drawn from very dry air would not hold.
    Raises: OutOfRange.

    >>> round(steady_rh(Room(81.0, 0.5), 20.0, 10.0, 0.8, 0.5, 0.4), 3)
    0.578
    """
    outside = vapour_density_kg_m3(outside_temp_c, outside_rh)
    held = steady_vapour_density_kg_m3(
        outside, evaporation_kg_h, removal_kg_h, room.volume_m3, room.air_changes_per_h
    )
    return max(0.0, held) / saturation_density_kg_m3(temp_c)


def _effective_volume_m3(room: Room, temp_c: float) -> float:
    """Air volume plus that of air which would hold as much as the buffer."""
    return room.volume_m3 + room.buffer_kg_per_rh / saturation_density_kg_m3(temp_c)


def rh_after(
    room: Room,
    rh: float,
    temp_c: float,
    outside_temp_c: float,
    outside_rh: float,
    source_kg_h: float,
    hours: float,
) -> float:
    """Relative humidity after some time with steady sources; above 1 means that water condensed on the way.

    Equation: rho = rho_end + (rho_0 - rho_end) exp(-n V t / V_eff), V_eff = V + buffer / rho_sat.
    Source: bs-5925 appendix B (contaminant balance, recalled); algebra for the buffer.
    Range: hours 0 to 10000, one temperature; without air change the growth is straight.
    Doubt: walls give and take over hours to days, not at once as this buffer does.
    Raises: OutOfRange.

    >>> round(rh_after(Room(81.0, 0.5), 0.9, 20.0, 10.0, 0.8, 0.1, 2.0), 3)
    0.696
    """
    within("hours", hours, 0.0, 10000.0, "h")
    full = saturation_density_kg_m3(temp_c)
    outside = vapour_density_kg_m3(outside_temp_c, outside_rh)
    held = within("rh", rh, 0.0, 1.0) * full
    return max(0.0, _relaxed(room, held, outside, source_kg_h, temp_c, hours)) / full


def _relaxed(
    room: Room, held_kg_m3: float, outside_kg_m3: float, source_kg_h: float, temp_c: float, hours: float
) -> float:
    """Vapour density after some hours with steady sources."""
    volume_m3 = _effective_volume_m3(room, temp_c)
    rate_per_h = room.volume_m3 * room.air_changes_per_h / volume_m3
    gain = source_kg_h / volume_m3
    # -expm1(-x)/x tends to 1 where there is no air change.
    growth_h = hours if rate_per_h == 0.0 else -math.expm1(-rate_per_h * hours) / rate_per_h
    return held_kg_m3 + (rate_per_h * (outside_kg_m3 - held_kg_m3) + gain) * growth_h


def hourly(
    room: Room, rh: float, hours: Iterable[Hour], removal: Callable[[float, float], float] | None = None
) -> list[HourEnd]:
    """The room hour by hour, with a drier whose removal [kg/h] depends on temperature and humidity.

    Rule: thirty steps an hour, exact within each for the sources of its start; what passes saturation
        condenses;
        a change of temperature keeps vapour and buffer water together.
    Source: bs-5925 appendix B (contaminant balance, recalled).
    Range: as for `rh_after`.
    Doubt: 0.002 of RH by the steps; one well-mixed room; condensed water does not come back here.
    Raises: OutOfRange.

    >>> ends = hourly(Room(81.0, 0.5), 0.9, [Hour(20.0, 10.0, 0.8, 0.5)] * 24, lambda t, h: 0.4)
    >>> round(ends[-1].rh, 2), round(ends[-1].removed_kg, 2)
    (0.58, 0.4)
    """
    within("rh", rh, 0.0, 1.0)
    found: list[HourEnd] = []
    water_kg: float | None = None
    for hour in hours:
        volume_m3 = _effective_volume_m3(room, hour.temp_c)
        start = rh * saturation_density_kg_m3(hour.temp_c) if water_kg is None else water_kg / volume_m3
        end = _one_hour(room, start, hour, removal)
        water_kg = end.vapour_density_kg_m3 * volume_m3
        found.append(end)
    return found


def _one_hour(
    room: Room, held: float, hour: Hour, removal: Callable[[float, float], float] | None
) -> HourEnd:
    """One hour in small steps."""
    step_h = 1.0 / _STEPS_PER_HOUR
    full = saturation_density_kg_m3(hour.temp_c)
    outside = vapour_density_kg_m3(hour.outside_temp_c, hour.outside_rh)
    volume_m3 = _effective_volume_m3(room, hour.temp_c)
    condensed_kg, removed_kg = 0.0, 0.0
    for _ in range(_STEPS_PER_HOUR):
        if held > full:
            condensed_kg += (held - full) * volume_m3
            held = full
        wish_kg_h = removal(hour.temp_c, held / full) if removal else 0.0
        taken_kg_h = min(max(0.0, wish_kg_h), held * volume_m3 / step_h)
        removed_kg += taken_kg_h * step_h
        source_kg_h = hour.evaporation_kg_h - taken_kg_h
        surplus_kg_h = room.volume_m3 * room.air_changes_per_h * (outside - full) + source_kg_h
        if held == full and surplus_kg_h > 0.0:
            # The air stays full, and all that comes in over what goes out turns to water.
            condensed_kg += surplus_kg_h * step_h
            continue
        held = max(0.0, _relaxed(room, held, outside, source_kg_h, hour.temp_c, step_h))
    if held > full:
        condensed_kg += (held - full) * volume_m3
        held = full
    return HourEnd(held / full, held, condensed_kg, removed_kg)


def pull_down_kg(room: Room, temp_c: float, rh_from: float, rh_to: float) -> float:
    """Water to take out of air and buffer to bring a closed room from one humidity to a lower one [kg].

    Equation: m = (V rho_sat + buffer) (rh_from - rh_to).
    Source: ashrae-f17-1 (saturation), algebra.
    Range: rh 0 to 1.
    Doubt: wet walls and floors give back many times that; it is the least.
    Raises: OutOfRange.

    >>> round(pull_down_kg(Room(81.0, 0.0), 20.0, 0.9, 0.5), 2)
    0.56
    """
    drop = within("rh_from", rh_from, 0.0, 1.0) - within("rh_to", rh_to, 0.0, 1.0)
    return (room.volume_m3 * saturation_density_kg_m3(temp_c) + room.buffer_kg_per_rh) * drop


def pull_down_h(
    room: Room,
    temp_c: float,
    rh_from: float,
    rh_to: float,
    outside_temp_c: float,
    outside_rh: float,
    source_kg_h: float,
) -> float:
    """Hours until a room has come to a humidity, with a steady source (below zero a removal); inf if it never
    does.

    Equation: t = (V_eff / n V) ln[(rho_from - rho_end) / (rho_to - rho_end)].
    Source: astm-e741 (the decay form, recalled).
    Range: air changes above 0.
    Doubt: that of `rh_after`.
    Raises: OutOfRange.

    >>> round(pull_down_h(Room(81.0, 0.5), 20.0, 0.9, 0.696, 10.0, 0.8, 0.1), 1)
    2.0
    """
    full = saturation_density_kg_m3(temp_c)
    outside = vapour_density_kg_m3(outside_temp_c, outside_rh)
    end = steady_vapour_density_kg_m3(outside, source_kg_h, 0.0, room.volume_m3, room.air_changes_per_h)
    start = within("rh_from", rh_from, 0.0, 1.0) * full - end
    goal = within("rh_to", rh_to, 0.0, 1.0) * full - end
    if rh_from == rh_to:
        return 0.0
    if start * goal <= 0.0 or abs(goal) > abs(start):
        return math.inf
    volume_m3 = _effective_volume_m3(room, temp_c)
    return volume_m3 / (room.volume_m3 * room.air_changes_per_h) * math.log(start / goal)


def outside_air_dries(
    room_temp_c: float,
    room_rh: float,
    outside_temp_c: float,
    outside_rh: float,
    coldest_surface_c: float | None = None,
) -> OutsideAir:
    """Whether outside air would dry a room, and whether it would condense there.

    Rule: it dries if its dew point is lower than that of the room; it condenses if its dew point is not below
        the
        room, or the coldest surface in it.
    Source: ashrae-f17-1 eq. 36 (dew point).
    Range: -50 to 60 degC; humidities above 0.
    Doubt: within 1 K of dew point either way the answer is a toss-up.
    Raises: OutOfRange.

    >>> outside_air_dries(9.0, 0.8, 11.0, 0.92).condenses, outside_air_dries(9.0, 0.8, 4.0, 0.7).dries
    (True, True)
    """
    for name, temp_c in (("room_temp_c", room_temp_c), ("outside_temp_c", outside_temp_c)):
        within(name, temp_c, -50.0, 60.0, "degC")
    inside_dew_c = dew_point_c(room_temp_c, room_rh)
    outside_dew_c = dew_point_c(outside_temp_c, outside_rh)
    coldest_c = room_temp_c if coldest_surface_c is None else min(room_temp_c, coldest_surface_c)
    dries, wets = outside_dew_c < inside_dew_c, outside_dew_c >= coldest_c
    effect = "dries" if dries and not wets else "condenses" if wets else "wets"
    why = (
        f"outside air {effect}: its dew point is {outside_dew_c:.1f} degC,"
        f" that of the room {inside_dew_c:.1f}, the coldest surface {coldest_c:.1f}"
    )
    return OutsideAir(dries, wets, rh_at_temperature(outside_temp_c, outside_rh, room_temp_c), why)


def de_gids_phaff_m3_s(
    area_m2: float, height_m: float, temp_difference_k: float, wind_m_s: float = 0.0
) -> float:
    """Air exchanged through one open window, by measurements in houses [m3/s].

    Equation: Q = (A/2) sqrt(0.001 U^2 + 0.0035 H dT + 0.01), U the wind 10 m above ground.
    Source: de-gids-phaff-1982 (form and coefficients read in aixlib-window).
    Range: windows of 0.1 to a few m2 on one side of a room; none given by the source.
    Doubt: 30 %, more in gusts; the constant stands for turbulence and gives a flow even in calm.
    Raises: OutOfRange.

    >>> round(de_gids_phaff_m3_s(1.0, 1.0, 10.0), 3)
    0.106
    """
    within("area_m2", area_m2, 0.0, 100.0, "m2")
    within("height_m", height_m, 0.0, 20.0, "m")
    within("wind_m_s", wind_m_s, 0.0, 40.0, "m/s")
    return 0.5 * area_m2 * math.sqrt(0.001 * wind_m_s**2 + 0.0035 * height_m * abs(temp_difference_k) + 0.01)


def window_changes_per_h(
    volume_m3: float,
    area_m2: float,
    height_m: float,
    room_temp_c: float,
    room_rh: float,
    outside_temp_c: float,
    outside_rh: float,
    wind_m_s: float = 0.0,
) -> Band:
    """Air changes per hour that one open window gives: by weight alone (low, mid), and as measured (high).

    Rule: low and mid the buoyant exchange with Cd 0.35 and 0.43; high the greater of Cd 0.63 and the measured
        form.
    Source: brown-solvason-1962; annex20-1992; de-gids-phaff-1982.
    Range: one window on one side; -30 to 40 degC.
    Doubt: the band; a second opening elsewhere gives many times more.
    Raises: OutOfRange.

    >>> round(window_changes_per_h(81.0, 0.3, 0.6, 18.0, 0.6, 4.0, 0.7).mid, 1)
    1.1
    """
    within("volume_m3", volume_m3, 0.1, 1e6, "m3")
    light = lightness(room_temp_c, room_rh, outside_temp_c, outside_rh)
    low, mid, high = (
        single_opening_exchange_m3_s(area_m2, height_m, light, cd)
        for cd in (DISCHARGE_LOW, DISCHARGE_MID, DISCHARGE_HIGH)
    )
    measured = de_gids_phaff_m3_s(area_m2, height_m, room_temp_c - outside_temp_c, wind_m_s)
    why = "low and mid by weight alone in calm air; high with turbulence and wind as measured in houses"
    return Band(low, mid, max(high, measured), "buoyant", why).times(HOUR_S / volume_m3)


def changes_from_decay_per_h(start: float, end: float, outside: float, hours: float) -> float:
    """Air changes per hour from the decay of a tracer, such as the carbon dioxide left when people leave
    [1/h].

    Equation: n = ln[(C_start - C_out) / (C_end - C_out)] / t.
    Source: astm-e741 (recalled).
    Range: start above end above outside, nobody breathing in the room, air mixed.
    Doubt: 10 % with start ten times as far above outside as the meter is sure; a fan for mixing is no
        ventilation.
    Raises: OutOfRange.

    >>> round(changes_from_decay_per_h(1400.0, 767.88, 400.0, 2.0), 2)
    0.5
    """
    within("hours", hours, 1e-3, 1000.0, "h")
    within("end", end, outside, start)
    return math.log((start - outside) / within("end above outside", end - outside, 1e-9, 1e9)) / hours


def carried_kg_h(
    flow_m3_h: float, temp_c: float, rh: float, outside_temp_c: float, outside_rh: float
) -> float:
    """Water that a flow of outside air carries out of a room; below zero it brings some in [kg/h].

    Equation: m = Q (rho_in - rho_out).
    Source: solar-housing-10 eq. 10.2.
    Range: humidities 0 to 1.
    Doubt: 3 to 5 % for the swelling of the air as it warms.
    Raises: OutOfRange.

    >>> round(1000 * carried_kg_h(1.0, 20.0, 0.6, 10.0, 0.7), 1)
    3.8
    """
    within("flow_m3_h", flow_m3_h, 0.0, 1e8, "m3/h")
    return flow_m3_h * (vapour_density_kg_m3(temp_c, rh) - vapour_density_kg_m3(outside_temp_c, outside_rh))


def evaporation_capacity_kg_day(
    room: Room,
    temp_c: float,
    target_rh: float,
    outside_temp_c: float,
    outside_rh: float,
    removal_kg_h: float = 0.0,
) -> float:
    """Water a day that may evaporate in a room which stays at a humidity [kg/day]; below zero: not reachable.

    Equation: m = 24 [n V (rho_in - rho_out) + removal].
    Source: iso-13788 (moisture excess, recalled); solar-housing-10 eq. 10.2.
    Range: target 0 to 1.
    Doubt: mostly that of the air change, a factor of two unless measured.
    Raises: OutOfRange.

    >>> round(evaporation_capacity_kg_day(Room(81.0, 0.5), 20.0, 0.578, 10.0, 0.8, 0.4), 1)
    12.0
    """
    flow_m3_h = room.volume_m3 * room.air_changes_per_h
    carried = carried_kg_h(flow_m3_h, temp_c, target_rh, outside_temp_c, outside_rh)
    return DAY_H * (carried + within("removal_kg_h", removal_kg_h, 0.0, 1e4, "kg/h"))


def required_removal_kg_h(
    room: Room,
    temp_c: float,
    target_rh: float,
    outside_temp_c: float,
    outside_rh: float,
    evaporation_kg_h: float,
) -> float:
    """What a drier must take out for a room to stay at a humidity [kg/h]; 0 where the air change does it.

    Equation: max(0, evaporation - n V (rho_in - rho_out)).
    Source: iso-13788 (moisture excess, recalled).
    Range: target 0 to 1.
    Doubt: that of the evaporation capacity.
    Raises: OutOfRange.

    >>> round(required_removal_kg_h(Room(81.0, 0.5), 20.0, 0.578, 10.0, 0.8, 0.5), 2)
    0.4
    """
    flow_m3_h = room.volume_m3 * room.air_changes_per_h
    return max(0.0, evaporation_kg_h - carried_kg_h(flow_m3_h, temp_c, target_rh, outside_temp_c, outside_rh))


def summed_kg_h(losses_kg_h: Sequence[float]) -> float:
    """Water that all things in a room give off together [kg/h].

    Rule: a sum; none may be negative.
    Source: none; a rule of this code.
    Range: any number of things.
    Doubt: that of each; as the room grows damp each gives less, so a sum of free losses is a most.
    Raises: OutOfRange.

    >>> summed_kg_h([0.25, 0.125, 0.125])
    0.5
    """
    return math.fsum(within("loss_kg_h", loss, 0.0, 1e4, "kg/h") for loss in losses_kg_h)


def evaporative_cooling_w(evaporation_kg_h: float, temp_c: float = 20.0) -> float:
    """Heat that evaporating water takes from things and room [W].

    Equation: P = m L(t).
    Source: iapws-sr1-86 (latent heat).
    Range: that of the latent heat.
    Doubt: none known beyond the source.
    Raises: OutOfRange.

    >>> round(evaporative_cooling_w(0.5))
    341
    """
    within("evaporation_kg_h", evaporation_kg_h, 0.0, 1e4, "kg/h")
    return evaporation_kg_h / HOUR_S * latent_heat_j_kg(temp_c)


def drier_heat_w(removal_kg_h: float, power_w: float, temp_c: float = 20.0) -> float:
    """Heat that a drier standing in a room gives to it: its current and the heat of the water it catches [W].

    Equation: P = P_electric + m L(t).
    Source: energyplus-eng-ref (zone dehumidifier, recalled); energy balance.
    Range: a machine whose outlets all end in the room; a wheel that blows its damp air outside gives less.
    Doubt: 10 %.
    Raises: OutOfRange.

    >>> round(drier_heat_w(0.5, 400.0))
    741
    """
    return within("power_w", power_w, 0.0, 1e5, "W") + evaporative_cooling_w(removal_kg_h, temp_c)


def room_shift_k(heat_w: float, loss_w_k: float) -> float:
    """Change of room temperature in the long run by a heat source or, below zero, by evaporation [K].

    Equation: dT = P / H, H the heat lost per kelvin by walls and air change.
    Source: iso-13789 (heat transfer coefficient of a room, recalled).
    Range: H 1 to 100000 W/K.
    Doubt: a factor of two; heavy walls take days.
    Raises: OutOfRange.

    >>> round(room_shift_k(-341.0, 150.0), 1)
    -2.3
    """
    return heat_w / within("loss_w_k", loss_w_k, 1.0, 1e5, "W/K")
