"""Bodies that hold liquid water in pores: a wet surface first, then a dry rim that grows.

While capillaries bring water to the surface faster than the air takes it, the body dries like a wet film:
at a constant rate. Below the critical moisture they no longer do; a front recedes, and what leaves it
crosses the dry rim and then the film of air. Vapour alone crosses the rim slowly; in the stones that were
measured water still creeps along the walls of the pores, and the second stage has a diffusivity of its own.
Everything here is per square metre of one drying face, at one temperature; evaporation cools the surface, so
a segment may give the temperature of the surface apart from that of the air.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from strandline.physics.air import (
    KELVIN,
    STANDARD_PRESSURE_PA,
    WATER_GAS_CONSTANT_J_KG_K,
    saturation_density_kg_m3,
    saturation_pressure_pa,
)
from strandline.physics.ranges import within
from strandline.physics.vapour import diffusivity_schirmer_m2_s

WATER_KG_M3 = 1000.0
STILL = 1e9
"""Transfer coefficient that stands for no film at all [m/s]."""
MEASURED_C = 25.0
"""Temperature at which diffusivities of the second stage were measured, in dry gas."""
GAS_J_MOL_K = 8.314


def stefan_flux_kg_m2_s(
    length_m: float,
    temp_c: float,
    surface_pa: float,
    air_pa: float,
    diffusivity_m2_s: float,
    pressure_pa: float = STANDARD_PRESSURE_PA,
) -> float:
    """Vapour that leaves a liquid at the bottom of a tube or crevice of still air [kg/(m2 s)].

    Equation: N = p D / (461.52 T L) ln[(p - p_air)/(p - p_surface)].
    Source: geankoplis-1993 eq. 6.2-26; stefan-form.
    Range: parallel walls, still air, vapour pressures below the total pressure.
    Doubt: films of water in the corners of a crevice carry up to ten times more; draughts too.
    Raises: OutOfRange.

    >>> round(1e6 * stefan_flux_kg_m2_s(0.1524, 20.0, 2338.5, 0.0, 0.25e-4), 2)
    2.87
    """
    total = within("pressure_pa", pressure_pa, 1000.0, 200000.0, "Pa")
    wet = within("surface_pa", surface_pa, 0.0, 0.999 * total, "Pa")
    dry = within("air_pa", air_pa, 0.0, 0.999 * total, "Pa")
    kelvin = within("temp_c", temp_c, -40.0, 100.0, "degC") + KELVIN
    spread = within("diffusivity_m2_s", diffusivity_m2_s, 0.0, 1e-3, "m2/s")
    per_m = total * spread / (WATER_GAS_CONSTANT_J_KG_K * kelvin) * math.log((total - dry) / (total - wet))
    return per_m / within("length_m", length_m, 1e-6, 100.0, "m")


def crevice_flux_kg_m2_s(length_m: float, temp_c: float, rh: float) -> float:
    """Vapour from water standing this deep in a crevice into a room [kg/(m2 s)].

    Equation: stefan_flux_kg_m2_s with saturated air over the water and D of air in Schirmer's form.
    Source: stefan-form; iso-12572 (recalled).
    Range: as stefan_flux_kg_m2_s.
    Doubt: as stefan_flux_kg_m2_s.
    Raises: OutOfRange.

    >>> round(1e5 * crevice_flux_kg_m2_s(0.01, 20.0, 0.5), 3)
    2.305
    """
    full = saturation_pressure_pa(temp_c)
    air = within("rh", rh, 0.0, 1.0) * full
    return stefan_flux_kg_m2_s(length_m, temp_c, full, air, _air_diffusivity(temp_c))


def crevice_time_s(depth_m: float, temp_c: float, rh: float) -> float:
    """Time until a crevice filled to its mouth with water is dry to the bottom [s], by diffusion alone.

    Equation: t = rho_w L^2 / (2 N L), N L from crevice_flux_kg_m2_s (independent of L).
    Source: stefan-form, integrated.
    Range: rh below 1; as stefan_flux_kg_m2_s.
    Doubt: an upper bound: corner films and open ends make it up to ten times shorter.
    Raises: OutOfRange.

    >>> round(crevice_time_s(0.01, 20.0, 0.5) / 86400, 2)
    2.51
    """
    within("rh", rh, 0.0, 0.999)
    return WATER_KG_M3 * depth_m * depth_m / (2.0 * depth_m * crevice_flux_kg_m2_s(depth_m, temp_c, rh))


def drive_kg_m3(temp_c: float, rh: float, surface_c: float | None = None) -> float:
    """Difference of vapour between a wet face and the room air [kg/m3]; negative where the room wets it.

    Equation: rho_sat(surface) - rh rho_sat(air).
    Source: ashrae-f17-1 (saturation).
    Range: -20 to 80 degC, rh 0 to 1.
    Doubt: the surface is colder than the air unless the body or a lamp supplies the heat; at 20 degC and rh
        0.5 the wet-bulb surface gives 0.38 of the drive of one at air temperature.
    Raises: OutOfRange.

    >>> round(1000 * drive_kg_m3(20.0, 0.5), 3)
    8.643
    """
    within("temp_c", temp_c, -20.0, 80.0, "degC")
    wet_c = temp_c if surface_c is None else within("surface_c", surface_c, -20.0, 80.0, "degC")
    return saturation_density_kg_m3(wet_c) - within("rh", rh, 0.0, 1.0) * saturation_density_kg_m3(temp_c)


def first_stage_rate_kg_m2_s(
    temp_c: float, rh: float, transfer_m_s: float, surface_c: float | None = None
) -> float:
    """Evaporation from a face that capillaries keep wet [kg/(m2 s)].

    Equation: g = h_m [rho_sat(surface) - rh rho_sat(air)].
    Source: film-form; ashrae-f17-1 (saturation).
    Range: as drive_kg_m3; transfer coefficient above 0.
    Doubt: that of the transfer coefficient, a factor 1.5 in still air; and of the surface's temperature.
    Raises: OutOfRange.

    >>> round(3.6e6 * first_stage_rate_kg_m2_s(20.0, 0.5, 0.005), 1)
    155.6
    """
    return within("transfer_m_s", transfer_m_s, 0.0, STILL, "m/s") * drive_kg_m3(temp_c, rh, surface_c)


def front_rate_kg_m2_s(
    dry_depth_m: float,
    mu: float,
    temp_c: float,
    rh: float,
    transfer_m_s: float = STILL,
    surface_c: float | None = None,
) -> float:
    """Evaporation from a front behind a dry rim [kg/(m2 s)].

    Equation: g = drive / (1/h_m + mu x / D_air), D_air in Schirmer's form.
    Source: film-form; iso-12572 (resistance factor, recalled); kuenzel-1995 (recalled); slavik-2024 (beside
        measured depths of the front).
    Range: as drive_kg_m3; mu 1 and above.
    Doubt: that of mu and of the depth: in sandstone cores it held where the depth was measured, but the
        depth is seldom known; the form without bulk flow is 1 to 2 % low at room temperature.
    Raises: OutOfRange.

    >>> round(3.6e6 * front_rate_kg_m2_s(0.01, 10.0, 20.0, 0.5), 1)
    8.2
    """
    rim = within("dry_depth_m", dry_depth_m, 0.0, 10.0, "m") * within("mu", mu, 1.0, 1e7)
    film = 1.0 / within("transfer_m_s", transfer_m_s, 1e-9, STILL, "m/s")
    return drive_kg_m3(temp_c, rh, surface_c) / (film + rim / _air_diffusivity(temp_c))


def second_stage_m2_s(measured_m2_s: float, activation_kj_mol: float, temp_c: float) -> float:
    """Diffusivity of the second stage in dry air at a temperature, from that at 25 degC [m2/s].

    Equation: D = D_25 exp[-E/R (1/T - 1/298.15)].
    Source: limestone-crds (abstract: D_25 of six stones, E of three).
    Range: -20 to 80 degC, E 0 to 100 kJ/mol.
    Doubt: measured on slips of stone in a stream of dry gas; the temperatures are not in the abstract.
    Raises: OutOfRange.

    >>> round(1e9 * second_stage_m2_s(4.75e-9, 30.7, 15.0), 2)
    3.09
    """
    energy = 1000.0 * within("activation_kj_mol", activation_kj_mol, 0.0, 100.0, "kJ/mol")
    kelvin = within("temp_c", temp_c, -20.0, 80.0, "degC") + KELVIN
    rise = math.exp(-energy / GAS_J_MOL_K * (1.0 / kelvin - 1.0 / (MEASURED_C + KELVIN)))
    return within("measured_m2_s", measured_m2_s, 0.0, 1e-6, "m2/s") * rise


def vapour_front_m2_s(mu: float, water_kg_m3: float, temp_c: float) -> float:
    """Diffusivity of a second stage that vapour alone carries, in dry air [m2/s].

    Equation: D = 2 D_air rho_sat / (mu w); a front by x^2 = D t through water w keeps pace with vapour.
    Source: kuenzel-1995 (recalled), the front of front_time_s written as a diffusivity.
    Range: -20 to 80 degC; mu 1 and above; water above 0.
    Doubt: that of mu and of the water at the front.
    Raises: OutOfRange.

    >>> round(1e9 * vapour_front_m2_s(25.0, 80.0, 25.0), 2)
    0.62
    """
    held = within("water_kg_m3", water_kg_m3, 1e-9, WATER_KG_M3, "kg/m3")
    per_rim = within("mu", mu, 1.0, 1e7) / _air_diffusivity(temp_c)
    return 2.0 * drive_kg_m3(temp_c, 0.0) / (per_rim * held)


def rim_s_m2(mu: float, water_kg_m3: float, second_m2_s: float, temp_c: float) -> float:
    """Resistance of the dry rim for each metre of its depth [s/m2], the lesser of vapour's and the measured.

    Equation: min(mu / D_air, 2 rho_sat / (w D)), D in dry air at this temperature; without a film of air a
        front then goes by x^2 = D t in dry air, and slower in proportion to the drive in a damp room. A slab
        dries through it in the mean time L^2/(3 D) in which one of constant diffusivity D does.
    Source: crank-1975 eq. 4.18 (mean time, recalled); limestone-crds (D); film-form.
    Range: -20 to 80 degC; mu 1 and above; diffusivity 0 where none is known, which leaves vapour alone.
    Doubt: beside the solution of constant diffusivity the water left differs by up to 0.07 of that at the
        start; which solution the measurements were fitted with is not in the abstract. That a damp room slows
        creeping water as it slows vapour is taken, not measured. Measured fronts set off at a constant speed
        (landman-2001).
    Raises: OutOfRange.

    >>> round(rim_s_m2(25.0, 80.0, 4.75e-9, 25.0) / rim_s_m2(25.0, 80.0, 0.0, 25.0), 2)
    0.13
    """
    held = within("water_kg_m3", water_kg_m3, 0.0, WATER_KG_M3, "kg/m3")
    moved = held * within("second_m2_s", second_m2_s, 0.0, 1e-6, "m2/s")
    vapour = within("mu", mu, 1.0, 1e7) / _air_diffusivity(temp_c)
    return min(vapour, 2.0 * drive_kg_m3(temp_c, 0.0) / moved) if moved > 0.0 else vapour


def front_time_s(
    water_kg_m3: float,
    depth_m: float,
    mu: float,
    temp_c: float,
    rh: float,
    transfer_m_s: float = STILL,
) -> float:
    """Time in which a front recedes from the face through a depth with this much water [s].

    Equation: t = w [mu L^2 / (2 D_air) + L / h_m] / drive.
    Source: kuenzel-1995 (recalled); film-form, integrated.
    Range: as front_rate_kg_m2_s; rh below 1.
    Doubt: a factor 2 either way, from mu and the water; water that creeps along the pores shortens it, in
        measured stones by about eight.
    Raises: OutOfRange.

    >>> round(front_time_s(250.0, 0.01, 10.0, 20.0, 0.5) / 86400, 2)
    6.39
    >>> round(front_time_s(250.0, 0.01, 10.0, 20.0, 0.5, 0.003) / 86400, 2)
    7.5
    """
    within("rh", rh, 0.0, 0.999)
    water = within("water_kg_m3", water_kg_m3, 0.0, WATER_KG_M3, "kg/m3")
    rim = within("mu", mu, 1.0, 1e7) / _air_diffusivity(temp_c)
    return water * _resistance_s(depth_m, rim, transfer_m_s) / drive_kg_m3(temp_c, rh)


def drying_time_linear_s(
    start: float, critical: float, balance: float, end: float, dry_kg_m2: float, rate_kg_m2_s: float
) -> float:
    """Time from one moisture to another if the rate falls in proportion below the critical moisture [s].

    Equation: t = (M/g) [(u_0 - u_c) + (u_c - u_e) ln((u_c - u_e)/(u - u_e))], M dry mass per face, u in
        kg/kg.
    Source: coulson-richardson-2 ch. 16 eq. 16.9.
    Range: start and critical above the end, the end above the balance with the air.
    Doubt: a sibling of the receding front: it fits thin and fibrous goods, and never quite ends.
    Raises: OutOfRange.
    Units: start, critical, balance and end in kg water per kg dry.

    >>> round(drying_time_linear_s(0.30, 0.15, 0.05, 0.08, 1.0, 0.1 * 0.113e-3) / 1000, 1)
    23.9
    """
    within("balance", balance, 0.0, within("end", end, 0.0, 10.0, "kg/kg"), "kg/kg")
    within("start", start, end, 10.0, "kg/kg")
    within("critical", critical, balance, 10.0, "kg/kg")
    per_rate = within("dry_kg_m2", dry_kg_m2, 0.0, 1e5, "kg/m2") / within(
        "rate_kg_m2_s", rate_kg_m2_s, 1e-12, 1.0
    )
    constant = max(start - max(critical, end), 0.0)
    begin, free = min(start, critical), critical - balance
    falling = free * math.log((begin - balance) / (end - balance)) if end < begin else 0.0
    return per_rate * (constant + falling)


@dataclass(frozen=True, slots=True)
class PorousSlab:
    """A slab with its pores: what the two stages need. Water in kg per m3 of the slab."""

    thickness_m: float
    faces: int
    """1 if one face dries, 2 if both do."""
    start_kg_m3: float
    critical_kg_m3: float
    mu: float
    measured_m2_s: float = 0.0
    """Diffusivity of its second stage at 25 degC in dry air; 0 leaves vapour alone."""
    activation_kj_mol: float = 0.0
    """Energy by which that diffusivity rises with temperature."""

    def __post_init__(self) -> None:
        """Refuse what is no slab."""
        within("thickness_m", self.thickness_m, 1e-5, 10.0, "m")
        within("faces", self.faces, 1, 2)
        within("start_kg_m3", self.start_kg_m3, 0.0, WATER_KG_M3, "kg/m3")
        within("critical_kg_m3", self.critical_kg_m3, 0.0, WATER_KG_M3, "kg/m3")
        within("mu", self.mu, 1.0, 1e7)
        second_stage_m2_s(self.measured_m2_s, self.activation_kj_mol, MEASURED_C)

    @property
    def depth_m(self) -> float:
        """How far the front has to go from one face."""
        return self.thickness_m / self.faces

    @property
    def front_kg_m3(self) -> float:
        """Water that the front meets: the critical one, or all there is where the slab starts below it."""
        return min(self.start_kg_m3, self.critical_kg_m3)

    @property
    def water_kg_m2(self) -> float:
        """Water at the start, per square metre of the slab (both faces together)."""
        return self.start_kg_m3 * self.thickness_m

    def second_stage_m2_s(self, temp_c: float) -> float:
        """Diffusivity of its second stage in dry air, the greater of vapour's and the measured."""
        measured = second_stage_m2_s(self.measured_m2_s, self.activation_kj_mol, temp_c)
        if self.front_kg_m3 <= 0.0:
            return measured
        return max(measured, vapour_front_m2_s(self.mu, self.front_kg_m3, temp_c))

    def rim_s_m2(self, temp_c: float) -> float:
        """Resistance of its dry rim for each metre of depth."""
        measured = second_stage_m2_s(self.measured_m2_s, self.activation_kj_mol, temp_c)
        return rim_s_m2(self.mu, self.front_kg_m3, measured, temp_c)


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of time with one climate. Without a temperature of the surface, that of the air is taken."""

    hours: float
    temp_c: float
    rh: float
    transfer_m_s: float
    surface_c: float | None = None

    def __post_init__(self) -> None:
        """Refuse what is no climate."""
        within("hours", self.hours, 1e-6, 1e6, "h")
        within("transfer_m_s", self.transfer_m_s, 1e-9, STILL, "m/s")
        drive_kg_m3(self.temp_c, self.rh, self.surface_c)

    @property
    def drive(self) -> float:
        """What drives the drying [kg/m3]; nothing where the room would wet the body instead."""
        return max(0.0, drive_kg_m3(self.temp_c, self.rh, self.surface_c))


@dataclass(frozen=True, slots=True)
class State:
    """Where one face stands: water above the critical one [kg/m2], and how far the front has receded [m]."""

    surplus_kg_m2: float
    front_m: float


@dataclass(frozen=True, slots=True)
class TwoStage:
    """Course of a slab through a climate of segments: exact within each, no time step."""

    slab: PorousSlab
    segments: tuple[Segment, ...]
    starts_h: tuple[float, ...] = field(repr=False)
    states: tuple[State, ...] = field(repr=False)

    def water_left_kg_m2(self, hours: float) -> float:
        """Water left at a time, per square metre of the slab; after the last segment its climate goes on."""
        here = self._state_at(within("hours", hours, 0.0, 1e7, "h"))
        per_face = here.surplus_kg_m2 + self.slab.front_kg_m3 * (self.slab.depth_m - here.front_m)
        return per_face * self.slab.faces

    def dry_depth_m(self, hours: float) -> float:
        """How thick the dry rim is at a time; 0 while the surface is still wet."""
        return self._state_at(within("hours", hours, 0.0, 1e7, "h")).front_m

    def hourly_kg_m2(self, hours: int) -> tuple[float, ...]:
        """Water left at each full hour from 0 to this one."""
        return tuple(self.water_left_kg_m2(float(hour)) for hour in range(hours + 1))

    def hours_until(self, share_left: float) -> float:
        """Hours until only this share of the water is left; infinite if the last climate does not dry it."""
        wanted = within("share_left", share_left, 0.0, 1.0) * self.slab.water_kg_m2
        for number, (start, state) in enumerate(zip(self.starts_h, self.states, strict=True)):
            last = number == len(self.segments) - 1
            end = math.inf if last else self.starts_h[number + 1]
            needed = start + _seconds_to(self.slab, self.segments[number], state, wanted) / 3600.0
            if needed <= end:
                return needed
        return math.inf

    def surface_wet_hours(self) -> float:
        """Hours of the first stage, while the surface is wet."""
        at_critical = self.slab.front_kg_m3 * self.slab.thickness_m
        return self.hours_until(at_critical / self.slab.water_kg_m2) if self.slab.water_kg_m2 else 0.0

    def _state_at(self, hours: float) -> State:
        number = max(0, bisect.bisect_right(self.starts_h, hours) - 1)
        seconds = 3600.0 * (hours - self.starts_h[number])
        return _after(self.slab, self.segments[number], self.states[number], seconds)


def two_stage(slab: PorousSlab, segments: Iterable[Segment]) -> TwoStage:
    """Forecast of the water left in a slab through a varying climate, by the two stages.

    Equation: first stage dW/dt = -h_m drive; below the critical moisture w_c the front x obeys
        w_c dx/dt = drive / (1/h_m + r x), r by rim_s_m2, solved exactly in each segment.
    Source: film-form; kuenzel-1995 (recalled); limestone-crds (diffusivity of the second stage).
    Range: at least one segment; water does not come back where the room would wet the body.
    Doubt: in the second stage a factor of about eight between vapour alone and the stones measured, which
        were slips a few millimetres thick; forecast_band carries it.
    Raises: OutOfRange; ValueError without a segment.

    >>> brick = PorousSlab(0.01, 1, 250.0, 250.0, 10.0)
    >>> round(two_stage(brick, [Segment(24.0, 20.0, 0.5, 0.003)]).hours_until(0.0) / 24.0, 2)
    7.5
    """
    course = tuple(segments)
    if not course:
        raise ValueError("a forecast needs at least one segment of climate")
    surplus = (slab.start_kg_m3 - slab.front_kg_m3) * slab.depth_m
    starts, states = [0.0], [State(surplus, 0.0)]
    for segment in course[:-1]:
        starts.append(starts[-1] + segment.hours)
        states.append(_after(slab, segment, states[-1], 3600.0 * segment.hours))
    return TwoStage(slab, course, tuple(starts), tuple(states))


def forecast_band(
    slabs: Sequence[PorousSlab], segments: Iterable[Segment], shy_segments: Iterable[Segment] | None = None
) -> tuple[TwoStage, TwoStage, TwoStage]:
    """The forecast for the fastest, the likely and the slowest reading of a body, in this order.

    Rule: three slabs (least, middle and most resistance and water; the slowest with vapour alone in its
        second stage); the slowest in its own climate where one is given, as with the surface at the wet bulb.
    Source: none; a rule of this code.
    Range: three slabs.
    Doubt: the ends are ends of the readings, not of all that can happen.
    Raises: ValueError without three slabs; OutOfRange.

    >>> thin = [PorousSlab(0.01, 1, w, w, mu) for w, mu in ((200.0, 8.0), (250.0, 10.0), (300.0, 20.0))]
    >>> [round(one.hours_until(0.1) / 24.0) for one in forecast_band(thin, [Segment(24.0, 20.0, 0.5, 0.003)])]
    [4, 6, 14]
    """
    if len(slabs) != 3:
        raise ValueError("a band needs three slabs: fast, likely, slow")
    course = tuple(segments)
    shy = course if shy_segments is None else tuple(shy_segments)
    fast, likely, slow = slabs
    return two_stage(fast, course), two_stage(likely, course), two_stage(slow, shy)


def _air_diffusivity(temp_c: float) -> float:
    """Diffusivity of vapour in air at sea level."""
    return diffusivity_schirmer_m2_s(temp_c, STANDARD_PRESSURE_PA)


def _resistance_s(depth_m: float, rim: float, transfer_m_s: float) -> float:
    """Integral of the resistance over the depth the front has receded [m s/m = s]."""
    depth = within("depth_m", depth_m, 0.0, 10.0, "m")
    return 0.5 * rim * depth * depth + depth / within("transfer_m_s", transfer_m_s, 1e-9, STILL, "m/s")


def _after(slab: PorousSlab, segment: Segment, state: State, seconds: float) -> State:
    """The state after some seconds in one climate."""
    drive = segment.drive
    rate = segment.transfer_m_s * drive
    if rate <= 0.0 or seconds <= 0.0:
        return state
    first = state.surplus_kg_m2 / rate
    if seconds < first:
        return State(state.surplus_kg_m2 - rate * seconds, state.front_m)
    if slab.front_kg_m3 <= 0.0:
        return State(0.0, slab.depth_m)
    reached = _resistance_s(state.front_m, slab.rim_s_m2(segment.temp_c), segment.transfer_m_s)
    reached += drive * (seconds - first) / slab.front_kg_m3
    return State(0.0, min(slab.depth_m, _front_at(slab, segment, reached)))


def _front_at(slab: PorousSlab, segment: Segment, reached: float) -> float:
    """The depth at which the integral of the resistance has this value: the root of a quadratic."""
    half, film = 0.5 * slab.rim_s_m2(segment.temp_c), 1.0 / segment.transfer_m_s
    return 2.0 * reached / (film + math.sqrt(film * film + 4.0 * half * reached))


def _seconds_to(slab: PorousSlab, segment: Segment, state: State, wanted_kg_m2: float) -> float:
    """Seconds in one climate until the water left, per square metre of the slab, has fallen to this."""
    per_face = wanted_kg_m2 / slab.faces
    at_front = slab.front_kg_m3 * (slab.depth_m - state.front_m)
    if per_face >= state.surplus_kg_m2 + at_front:
        return 0.0
    drive = segment.drive
    if drive <= 0.0:
        return math.inf
    rate = segment.transfer_m_s * drive
    if per_face >= at_front:
        return (state.surplus_kg_m2 + at_front - per_face) / rate
    deep = slab.depth_m - per_face / slab.front_kg_m3
    rim, transfer = slab.rim_s_m2(segment.temp_c), segment.transfer_m_s
    way = _resistance_s(deep, rim, transfer) - _resistance_s(state.front_m, rim, transfer)
    return state.surplus_kg_m2 / rate + slab.front_kg_m3 * way / drive
