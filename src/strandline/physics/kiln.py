"""Kiln schedules: how dry an air sound green boards of a species have been shown to bear, step by step.

A schedule is read here as an envelope: at each mean moisture content it names a temperature and a humidity,
hence a moisture content that the surface comes to. Air that leaves the surface moister than that is not
harsher than the schedule. The numbers of the schedules are arguments; they live in the knowledge files.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from strandline.physics.air import STANDARD_PRESSURE_PA, rh_from_wet_bulb, saturation_pressure_pa
from strandline.physics.ranges import within
from strandline.physics.sorption import equilibrium_moisture, equilibrium_rh

PA_PER_MMHG = 133.322
INCH_M = 0.0254
FERREL = 0.000367
RED_OAK_A, RED_OAK_B, RED_OAK_EXPONENT = 0.0575, 0.00142, 1.52


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a schedule: from ``moisture_start`` down to the start of the next step.

    The first step holds for any board wetter than the second step's start; its own start is infinite.
    ``moisture_start`` and ``emc`` (the moisture content in equilibrium with the air) in kg/kg.
    """

    moisture_start: float
    temp_c: float
    rh: float
    emc: float


def celsius(temp_f: float) -> float:
    """A temperature in degrees Celsius from degrees Fahrenheit.

    Equation: (F - 32) * 5 / 9.
    Source: none; the definition of the scale.
    Range: -459.67 to 4000 degF.
    Doubt: none.
    Raises: OutOfRange.

    >>> celsius(temp_f=212.0)
    100.0
    """
    return (within("temp_f", temp_f, -459.67, 4000.0, "degF") - 32.0) * 5.0 / 9.0


def fahrenheit(temp_c: float) -> float:
    """A temperature in degrees Fahrenheit from degrees Celsius.

    Equation: 9 C / 5 + 32.
    Source: none; the definition of the scale.
    Range: -273.15 to 2200 degC.
    Doubt: none.
    Raises: OutOfRange.

    >>> fahrenheit(temp_c=100.0)
    212.0
    """
    return within("temp_c", temp_c, -273.15, 2200.0, "degC") * 9.0 / 5.0 + 32.0


def rh_of_depression(temp_c: float, depression_k: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Relative humidity of air whose wet bulb stands this far below its dry bulb.

    Equation: the relative humidity of air at ``temp_c`` with a wet bulb of ``temp_c - depression_k``.
    Source: ashrae-f17-1, equations 33 to 35 (through the wet-bulb equation of moist air).
    Range: dry bulb 0 to 100 degC, depression 0 to 50 K, wet bulb above 0 degC, air not drier than dry.
    Doubt: the kiln handbook's table rests on an older psychrometric formula and rounds to whole percents.
    Raises: OutOfRange.

    >>> round(rh_of_depression(temp_c=celsius(110.0), depression_k=4.0 * 5 / 9), 2)
    0.87
    """
    within("temp_c", temp_c, 0.0, 100.0, "degC")
    within("depression_k", depression_k, 0.0, min(50.0, temp_c), "K")
    return rh_from_wet_bulb(temp_c, temp_c - depression_k, pressure_pa)


def rh_of_ventilated_depression(
    temp_c: float, depression_k: float, pressure_pa: float = STANDARD_PRESSURE_PA
) -> float:
    """Relative humidity by the formula of the ventilated psychrometer, as kiln and weather tables have it.

    Equation: [p_sat(wet bulb) - 0.000367 p d (1 + (t_w - 32) / 1571)] / p_sat(dry bulb), d and the wet bulb
        t_w in degrees Fahrenheit.
    Source: ferrel-1886 (recalled; reproduces the whole percents of nwcg-pms437 in 9 cells of 10).
    Range: dry bulb 0 to 100 degC, depression 0 to 50 K, wet bulb above 0 degC, air not drier than dry.
    Doubt: up to 0.013 of relative humidity below the thermodynamic wet bulb at depressions of 15 K and more.
    Raises: OutOfRange.

    >>> round(rh_of_ventilated_depression(temp_c=celsius(80.0), depression_k=25.0 * 5 / 9), 2)
    0.15
    """
    within("temp_c", temp_c, 0.0, 100.0, "degC")
    within("depression_k", depression_k, 0.0, min(50.0, temp_c), "K")
    depression_f, wet_bulb_f = depression_k * 9.0 / 5.0, fahrenheit(temp_c - depression_k)
    lost_pa = FERREL * pressure_pa * depression_f * (1.0 + (wet_bulb_f - 32.0) / 1571.0)
    vapour_pa = saturation_pressure_pa(temp_c - depression_k) - lost_pa
    return within("rh", vapour_pa / saturation_pressure_pa(temp_c), 0.0, 1.0)


def moisture_of_depression(
    temp_c: float, depression_k: float, pressure_pa: float = STANDARD_PRESSURE_PA
) -> float:
    """Moisture of wood in equilibrium with air of this dry bulb and wet-bulb depression [kg/kg].

    Equation: the sorption equation of wood at the humidity that the depression stands for.
    Source: ashrae-f17-1; simpson-1973.
    Range: that of ``rh_of_depression``; the sorption equation was fitted from 5 to 95 % and up to 99 degC.
    Doubt: 0.1 % moisture against the printed table it was fitted to; species differ by 1 to 2 %.
    Raises: OutOfRange.

    >>> round(moisture_of_depression(temp_c=celsius(110.0), depression_k=4.0 * 5 / 9), 3)
    0.177
    """
    return equilibrium_moisture(temp_c, rh_of_depression(temp_c, depression_k, pressure_pa))


def schedule_steps(
    depression_starts: Sequence[float],
    depressions_k: Sequence[float],
    temp_starts: Sequence[float],
    temps_c: Sequence[float],
    pressure_pa: float = STANDARD_PRESSURE_PA,
) -> tuple[Step, ...]:
    """The steps of a schedule put together from its temperature and its depression table.

    Rule: a step begins wherever either table changes; temperature and depression are those that each table
    gives at the start of the step. The starts are moisture contents in kg/kg, falling, and name where the
    second, third ... entry of their table begins; the first entry holds for everything wetter.
    Source: simpson-1991, chapter 7 (assembly of a schedule, recalled).
    Range: starts falling, one fewer than the entries they belong to.
    Doubt: none in the rule; the tables carry their own.
    Raises: ValueError where starts do not fall or counts do not match; OutOfRange from the air.

    >>> steps = schedule_steps([0.50, 0.40], [2.2, 2.8, 4.4], [0.30], [43.3, 48.9])
    >>> [(s.moisture_start, s.temp_c) for s in steps]
    [(inf, 43.3), (0.5, 43.3), (0.4, 43.3), (0.3, 48.9)]
    """
    _check_table("depression", depression_starts, depressions_k)
    _check_table("temperature", temp_starts, temps_c)
    starts = [math.inf, *sorted({*depression_starts, *temp_starts}, reverse=True)]
    steps = []
    for start in starts:
        temp_c = _entry_at(temp_starts, temps_c, start)
        depression_k = _entry_at(depression_starts, depressions_k, start)
        rh = rh_of_depression(temp_c, depression_k, pressure_pa)
        steps.append(Step(start, temp_c, rh, equilibrium_moisture(temp_c, rh)))
    return tuple(steps)


def _check_table(name: str, starts: Sequence[float], entries: Sequence[float]) -> None:
    if len(starts) != len(entries) - 1:
        raise ValueError(f"{name} table: {len(entries)} entries need {len(entries) - 1} starts")
    if any(after >= before for before, after in pairwise(starts)):
        raise ValueError(f"{name} table: the starts {list(starts)} do not fall")


def _entry_at(starts: Sequence[float], entries: Sequence[float], moisture: float) -> float:
    """The entry in force at this moisture; a step that starts exactly here is in force."""
    passed = sum(1 for start in starts if moisture <= start)
    return entries[passed]


def step_at(steps: Sequence[Step], mean_moisture: float) -> Step:
    """The step of a schedule in force at this mean moisture content.

    Rule: the last step whose start has been reached (mean moisture at or below it).
    Source: simpson-1991, chapter 7 (recalled).
    Range: mean moisture 0 to 10 kg/kg.
    Doubt: practice controls by the wettest half of the sample boards, not by the mean of all.
    Raises: OutOfRange.

    >>> steps = schedule_steps([0.50, 0.40], [2.2, 2.8, 4.4], [0.30], [43.3, 48.9])
    >>> step_at(steps, mean_moisture=0.45).moisture_start
    0.5
    """
    within("mean_moisture", mean_moisture, 0.0, 10.0, "kg/kg")
    return [step for step in steps if mean_moisture <= step.moisture_start][-1]


def equilibrium_allowed(steps: Sequence[Step], mean_moisture: float) -> float:
    """The driest moisture a surface may come to at this mean moisture content, by the schedule [kg/kg].

    Rule: the equilibrium moisture of the step in force.
    Source: boone-1988 and simpson-1991, chapter 7, for the schedules (recalled); the reading is ours.
    Range: mean moisture 0 to 10 kg/kg.
    Doubt: schedules are for sound, uncoated, unrestrained boards of the stated thickness, not for objects.
    Raises: OutOfRange.

    >>> steps = schedule_steps([0.50, 0.40], [2.2222, 2.7778, 4.4444], [0.30], [43.3333, 48.8889])
    >>> round(equilibrium_allowed(steps, mean_moisture=0.8), 3)
    0.177
    """
    return step_at(steps, mean_moisture).emc


def envelope_ratio(
    mean_moisture: float, surface_moisture: float, steps: Sequence[Step], fibre_saturation: float
) -> float:
    """How far a surface has been dried below fibre saturation, against what the schedule allows.

    Equation: (fibre saturation - surface) / (fibre saturation - allowed), 0 where the surface is wetter
    than fibre saturation. One or less: not harsher than the schedule.
    Source: none; our reading of a schedule as an envelope.
    Range: fibre saturation above the allowed moisture.
    Doubt: free shrinkage of the surface is taken as the measure of harm; creep and speed are left out.
    Raises: OutOfRange.

    >>> steps = (Step(math.inf, 43.3, 0.87, 0.18),)
    >>> round(envelope_ratio(mean_moisture=0.6, surface_moisture=0.24, steps=steps, fibre_saturation=0.30), 3)
    0.5
    """
    allowed = equilibrium_allowed(steps, mean_moisture)
    within("surface_moisture", surface_moisture, 0.0, 10.0, "kg/kg")
    within("fibre_saturation", fibre_saturation, allowed + 1e-6, 0.5, "kg/kg")
    return max(0.0, fibre_saturation - surface_moisture) / (fibre_saturation - allowed)


def rh_for_same_equilibrium(temp_c: float, rh: float, other_temp_c: float) -> float:
    """The relative humidity at another temperature that holds wood at the same moisture content.

    Equation: the two equilibrium moistures are equal.
    Source: simpson-1973 for the sorption equation and its inverse.
    Range: temperatures 0 to 99 degC, rh 0 to 1, where the other temperature has an answer below saturation.
    Doubt: twice that of the sorption equation, about 1 % relative humidity.
    Raises: OutOfRange, also where the wood would need more than saturated air.

    >>> round(rh_for_same_equilibrium(temp_c=43.3, rh=0.87, other_temp_c=20.0), 2)
    0.84
    """
    wanted = equilibrium_moisture(temp_c, rh)
    within("moisture", wanted, 0.0, equilibrium_moisture(other_temp_c, 1.0) + 1e-12, "kg/kg")
    return equilibrium_rh(other_temp_c, wanted)


def thickness_time_factor(thickness_ratio: float, exponent: float = RED_OAK_EXPONENT) -> float:
    """How many times longer a board takes that is this many times as thick.

    Equation: ratio ** exponent.
    Source: simpson-tschernitz-1979, exponent 1.52 for red oak.
    Range: ratio 0.25 to 4; exponent 1 (surface decides) to 2 (diffusion decides).
    Doubt: growers' rules of thumb lie 10 to 15 % below for 1.5 and 2 times the thickness.
    Raises: OutOfRange.

    >>> round(thickness_time_factor(thickness_ratio=2.0), 2)
    2.87
    """
    within("exponent", exponent, 1.0, 2.0)
    return float(within("thickness_ratio", thickness_ratio, 0.25, 4.0) ** exponent)


def milder_numbers(temperature_number: int, depression_number: int, thickness_m: float) -> tuple[int, int]:
    """The table numbers to use for a board thicker than the 4/4 to 6/4 that a code was made for.

    Rule: up to 6/4 (41 mm rough) as they are; up to 8/4 (54 mm) one temperature and one depression number
    lower; two lower beyond. Never below 1.
    Source: simpson-1991, chapter 7: the 8/4 codes lie mostly one number below the 4/4 codes (recalled).
    Range: thickness 5 to 110 mm, temperature numbers 1 to 14, depression numbers 1 to 8.
    Doubt: a species' own 8/4 code, where known, goes before this rule.
    Raises: OutOfRange.

    >>> milder_numbers(temperature_number=4, depression_number=2, thickness_m=0.052)
    (3, 1)
    """
    within("thickness_m", thickness_m, 0.005, 0.110, "m")
    within("temperature_number", temperature_number, 1, 14)
    within("depression_number", depression_number, 1, 8)
    lower = 0 if thickness_m <= 0.041 else 1 if thickness_m <= 0.054 else 2
    return max(1, temperature_number - lower), max(1, depression_number - lower)


def red_oak_time_constant_d(thickness_m: float, temp_c: float) -> float:
    """Time constant of drying of red oak boards in fast kiln air [days].

    Equation: L^1.52 / (0.0575 + 0.00142 p), L thickness in inches, p saturation pressure in mmHg.
    Source: simpson-tschernitz-1979 (constants read in a public notebook and an encyclopaedia article).
    Range: 35 to 85 degC; thickness 12 to 70 mm.
    Doubt: red oak only; 20 % and more between charges.
    Raises: OutOfRange.

    >>> round(red_oak_time_constant_d(thickness_m=0.0254, temp_c=celsius(150.0)), 1)
    3.0
    """
    within("temp_c", temp_c, 35.0, 85.0, "degC")
    return red_oak_time_constant_extended_d(thickness_m, temp_c)


def red_oak_time_constant_extended_d(thickness_m: float, temp_c: float) -> float:
    """The same time constant carried on below kiln temperatures, for comparison only [days].

    Equation: L^1.52 / (0.0575 + 0.00142 p), L thickness in inches, p saturation pressure in mmHg.
    Source: simpson-tschernitz-1979.
    Range: 0 to 100 degC is let through; the source stands for about 40 to 80 degC only.
    Doubt: outside the source's range by up to 40 K; the constant term has then no support.
    Raises: OutOfRange.

    >>> round(red_oak_time_constant_extended_d(thickness_m=0.0254, temp_c=celsius(70.0)), 1)
    11.9
    """
    within("temp_c", temp_c, 0.0, 100.0, "degC")
    inches = within("thickness_m", thickness_m, 0.012, 0.070, "m") / INCH_M
    pressure_mmhg = saturation_pressure_pa(temp_c) / PA_PER_MMHG
    return float(inches**RED_OAK_EXPONENT / (RED_OAK_A + RED_OAK_B * pressure_mmhg))


def drying_time_d(time_constant_d: float, moisture_start: float, moisture_end: float, emc: float) -> float:
    """Time to dry from one mean moisture content to another in unchanging air [days].

    Equation: time constant * ln[(start - emc) / (end - emc)].
    Source: simpson-tschernitz-1979.
    Range: start >= end > emc, all in kg/kg.
    Doubt: that of the time constant; early drying of boards with free water is not exponential.
    Raises: OutOfRange.

    >>> round(drying_time_d(time_constant_d=6.626, moisture_start=0.80, moisture_end=0.30, emc=0.175), 2)
    10.66
    """
    within("emc", emc, 0.0, 0.5, "kg/kg")
    within("moisture_end", moisture_end, emc + 1e-9, 10.0, "kg/kg")
    within("moisture_start", moisture_start, moisture_end, 10.0, "kg/kg")
    within("time_constant_d", time_constant_d, 0.0, 1e6, "d")
    return time_constant_d * math.log((moisture_start - emc) / (moisture_end - emc))


def red_oak_schedule_time_d(
    steps: Sequence[Step], thickness_m: float, moisture_start: float, moisture_end: float
) -> float:
    """Time that red oak boards take through a schedule in fast kiln air [days].

    Equation: sum over the steps of time constant * ln[(from - emc) / (to - emc)].
    Source: simpson-tschernitz-1979 for each step; the sum is ours.
    Range: steps of 35 to 85 degC; thickness 12 to 70 mm; the end wetter than the last step's equilibrium.
    Doubt: red oak only; equalising, conditioning, warming up and waiting for the wettest board are left out.
    Raises: OutOfRange.

    >>> steps = (Step(math.inf, 43.33, 0.87, 0.175),)
    >>> round(red_oak_schedule_time_d(steps, thickness_m=0.0254, moisture_start=0.80, moisture_end=0.30))
    11
    """
    within("moisture_end", moisture_end, 0.0, moisture_start, "kg/kg")
    ends = [step.moisture_start for step in steps[1:]] + [0.0]
    total = 0.0
    for step, end in zip(steps, ends, strict=True):
        wet, dry = min(step.moisture_start, moisture_start), max(end, moisture_end)
        if wet > dry:
            constant_d = red_oak_time_constant_d(thickness_m, step.temp_c)
            total += drying_time_d(constant_d, wet, dry, step.emc)
    return total


def steps_of_air(starts: Sequence[float], temps_c: Sequence[float], rhs: Sequence[float]) -> tuple[Step, ...]:
    """The steps of a schedule that is given by temperature and relative humidity.

    Rule: step n + 1 begins at start n; the first holds for everything wetter.
    Source: simpson-1973 for the equilibrium moisture.
    Range: starts falling, one fewer than the steps.
    Doubt: that of the sorption equation.
    Raises: ValueError where starts do not fall or counts do not match; OutOfRange from the sorption equation.

    >>> [round(step.emc, 2) for step in steps_of_air([0.5], [48.0, 50.0], [0.82, 0.77])]
    [0.15, 0.13]
    """
    _check_table("temperature", starts, temps_c)
    _check_table("humidity", starts, rhs)
    return tuple(
        Step(start, temp_c, rh, equilibrium_moisture(temp_c, rh))
        for start, temp_c, rh in zip([math.inf, *starts], temps_c, rhs, strict=True)
    )
