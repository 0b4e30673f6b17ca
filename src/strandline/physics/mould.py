"""How far mould has come on a surface: the wood model of 1999, its later classes, and the rule of practice.

The model was fitted on clean sapwood standing in moist air. It says nothing of surfaces that are wet with
liquid water, of sewage, or of an inoculum left by a flood. The rule of practice lives beside it, in its own
dataclass, and the two are never blended into one number.

Within each step of constant climate the growth equation is solved in closed form, so that the length of the
step does not matter: one hour and a quarter of an hour of the same climate give the same index to 1e-9.
Explicit one-hour steps, which other codes use, lie up to 0.003 from it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from strandline.physics.ranges import within

BEND = 2.3
"""How sharply growth slows below the largest index."""
RH_LEAST_WOOD = 0.80
LATE = 1.0
"""Index from which the later growth factor holds."""
QUICK_PER_H, SLOW_PER_H = 0.032 / 24.0, 0.016 / 24.0
QUICK_UNTIL_H, STILL_UNTIL_H = 6.0, 24.0
"""A dry spell lowers the index for six hours, leaves it alone until a day is over, then lowers it again."""
DAY_H, WEEK_D = 24.0, 7.0
GROWS_ABOVE_C, GROWS_BELOW_C = 0.0, 50.0


@dataclass(frozen=True, slots=True)
class Surface:
    """Constants of one surface: growth factors, largest index a + b x - c x^2, least humidity, decline.

    ``late_factor`` is None where the later growth factor follows from the two response times (1999).
    """

    key: str
    early_factor: float
    late_factor: float | None
    a: float
    b: float
    c: float
    rh_least: float
    spruce: float
    kiln_face: float
    decline: float


def _wood(key: str, spruce: float, kiln_face: float) -> Surface:
    return Surface(key, 1.0, None, 1.0, 7.0, 2.0, RH_LEAST_WOOD, spruce, kiln_face, 1.0)


SURFACES: Mapping[str, Surface] = MappingProxyType(
    {
        surface.key: surface
        for surface in (
            _wood("pine_resawn", 0.0, 0.0),
            _wood("pine_kiln_face", 0.0, 1.0),
            _wood("spruce_resawn", 1.0, 0.0),
            _wood("spruce_kiln_face", 1.0, 1.0),
            Surface("very_sensitive", 1.0, 2.0, 1.0, 7.0, 2.0, 0.80, 0.0, 0.0, 1.0),
            Surface("sensitive", 0.578, 0.386, 0.3, 6.0, 1.0, 0.80, 0.0, 0.0, 1.0),
            Surface("medium_resistant", 0.072, 0.097, 0.0, 5.0, 1.5, 0.85, 0.0, 0.0, 1.0),
            Surface("resistant", 0.033, 0.014, 0.0, 3.0, 1.0, 0.85, 0.0, 0.0, 1.0),
        )
    }
)
"""The wood of 1999 (four surfaces) and the four classes of sensitivity that came later.

Sources: hukka-viitanen-1999 and ojanen-2010. Very sensitive: sapwood of pine. Sensitive: planed or glued
wood, boards faced with paper. Medium resistant: concrete, mineral and polyester wool. Resistant: glass,
metal, plastic foam. The constants of the classes were read in two public research codes.
"""

DECLINES: Mapping[str, float] = MappingProxyType(
    {"strong": 1.0, "significant": 0.5, "relatively_low": 0.25, "almost_none": 0.1}
)
"""Share of the decline of 1999 that a surface shows (ojanen-2010)."""


@dataclass(frozen=True, slots=True)
class MouldState:
    """Index from 0 (none) to 6 (dense), and the hours since growth last stopped (0 while it grows)."""

    index: float = 0.0
    hours_dry: float = 0.0


def critical_rh(temp_c: float, rh_least: float = RH_LEAST_WOOD) -> float:
    """Relative humidity from which mould can grow on a surface at this temperature.

    Equation: max(rh_least, (-0.00267 T^3 + 0.160 T^2 - 3.13 T + 100) / 100) up to 20 degC, above it rh_least.
    Source: hukka-viitanen-1999, critical humidity (recalled; the same numbers stand in mould-code-trh);
    ojanen-2010 for rh_least.
    Range: 0 to 50 degC in the source; the data reach from 5 to 40 degC.
    Doubt: soiled surfaces grow mould below it; the floor of rh_least up to 20 degC is a convention.
    Raises: OutOfRange.

    >>> round(critical_rh(temp_c=5.0), 4)
    0.8802
    """
    t = within("temp_c", temp_c, GROWS_ABOVE_C, GROWS_BELOW_C, "degC")
    if t > 20.0:
        return rh_least
    return max(rh_least, (((-0.00267 * t + 0.160) * t - 3.13) * t + 100.0) / 100.0)


def weeks_to_first(temp_c: float, rh: float, spruce: float = 0.0, kiln_face: float = 0.0) -> float:
    """Weeks of constant climate until growth is first seen under the microscope (index 1).

    Equation: exp(-0.68 ln T - 13.9 ln RH + 0.14 W - 0.33 SQ + 66.02), T in degC, RH in percent.
    Source: hukka-viitanen-1999, response time to index 1 (recalled; the same numbers in mould-code-trh).
    Range: 5 to 40 degC, 75 to 100 % relative humidity; accepted here from 0.1 to 50 degC.
    Doubt: a regression on sapwood in moist air; single boards differ by a factor of two.
    Units: weeks; ``spruce`` W is 0 for pine and 1 for spruce, ``kiln_face`` SQ is 1 for a kiln-dried face.
    Raises: OutOfRange.

    >>> round(weeks_to_first(temp_c=20.0, rh=0.97), 2)
    1.48
    """
    within("temp_c", temp_c, 0.1, GROWS_BELOW_C, "degC")
    within("rh", rh, 0.5, 1.0)
    exponent = -0.68 * math.log(temp_c) - 13.9 * math.log(100.0 * rh) + 66.02
    return math.exp(exponent + 0.14 * spruce - 0.33 * kiln_face)


def weeks_to_visible(temp_c: float, rh: float, spruce: float = 0.0) -> float:
    """Weeks of constant climate until growth is seen with the naked eye (index 3), no ceiling counted.

    Equation: exp(-0.74 ln T - 12.72 ln RH + 0.06 W + 61.50), T in degC, RH in percent.
    Source: hukka-viitanen-1999, response time for index 3 (recalled).
    Range: 5 to 40 degC, 75 to 100 % relative humidity; accepted here from 0.1 to 50 degC.
    Doubt: as for the first growth; in climates whose largest index is below 3 it is never reached.
    Units: weeks.
    Raises: OutOfRange.

    >>> round(weeks_to_visible(temp_c=20.0, rh=0.97), 2)
    2.98
    """
    within("temp_c", temp_c, 0.1, GROWS_BELOW_C, "degC")
    within("rh", rh, 0.5, 1.0)
    return math.exp(-0.74 * math.log(temp_c) - 12.72 * math.log(100.0 * rh) + 0.06 * spruce + 61.50)


def largest_index(temp_c: float, rh: float, surface: str = "pine_resawn") -> float:
    """Index that a constant climate does not let mould pass; 0 where it cannot grow.

    Equation: a + b x - c x^2 with x = (RHcrit - RH)/(RHcrit - 100); 1 + 7x - 2x^2 for wood.
    Source: hukka-viitanen-1999 (recalled); ojanen-2010 for the classes (read in mould-code-trh).
    Range: that of the critical humidity.
    Doubt: an upper bound fitted by eye to plots of growth.
    Raises: OutOfRange; ValueError for a surface that is not known.

    >>> largest_index(temp_c=25.0, rh=1.0)
    6.0
    """
    held = _surface(surface)
    within("rh", rh, 0.0, 1.0)
    if not GROWS_ABOVE_C < temp_c < GROWS_BELOW_C:
        return 0.0
    return _ceiling(temp_c, rh, held)


def late_factor(temp_c: float, rh: float, surface: str = "pine_resawn") -> float:
    """Factor of growth from index 1 on.

    Equation: 2 / (t_visible/t_first - 1) for the wood of 1999; a constant for the later classes.
    Source: hukka-viitanen-1999 (recalled); ojanen-2010 (read in mould-code-trh).
    Range: that of the response times.
    Doubt: for wood in humid air it is about 1.8 to 3.3, for the class of the same wood 2.
    Raises: OutOfRange; ValueError for a surface that is not known.

    >>> late_factor(temp_c=20.0, rh=0.97, surface="sensitive")
    0.386
    """
    held = _surface(surface)
    if held.late_factor is not None:
        return held.late_factor
    visible = weeks_to_visible(temp_c, rh, held.spruce)
    return 2.0 / (visible / weeks_to_first(temp_c, rh, held.spruce, held.kiln_face) - 1.0)


def growth_per_day(index: float, temp_c: float, rh: float, surface: str = "pine_resawn") -> float:
    """How fast the index grows at this moment; 0 where the climate lets nothing grow.

    Equation: k1 k2 / (7 t_first) with k2 = max(1 - exp(2.3 (index - largest)), 0).
    Source: hukka-viitanen-1999, growth rate (recalled; the same form stands in mould-code-trh).
    Range: 0 to 50 degC in the source; the data reach from 5 to 40 degC and from 75 to 100 %.
    Doubt: that of the response times.
    Units: index per day.
    Raises: OutOfRange; ValueError for a surface that is not known.

    >>> round(growth_per_day(index=0.0, temp_c=20.0, rh=0.97), 4)
    0.0963
    """
    held = _surface(surface)
    within("index", index, 0.0, 6.0)
    within("rh", rh, 0.0, 1.0)
    if not _grows(temp_c, rh, held):
        return 0.0
    early, late = _rates_per_h(temp_c, rh, held)
    slowed = max(1.0 - math.exp(BEND * (index - _ceiling(temp_c, rh, held))), 0.0)
    return DAY_H * slowed * (early if index < LATE else late)


def decline(hours_dry: float, hours: float, multiplier: float = 1.0) -> float:
    """How much the index falls in some hours of a dry spell that has lasted for hours_dry already.

    Rule: 0.00133 per hour in the first 6 h, nothing up to 24 h, then 0.000667 per hour; times the multiplier.
    Source: hukka-viitanen-1999, decline (recalled; the same numbers stand in mould-code-trh);
    ojanen-2010 for multipliers below 1.
    Range: none given by the source; seen in cycles of hours to weeks.
    Doubt: growth that looks less is not dead; spores and stain remain. Never a reason to call mould gone.
    Raises: OutOfRange.

    >>> round(decline(hours_dry=0.0, hours=24.0), 6)
    0.008
    """
    within("hours_dry", hours_dry, 0.0, 1e9, "h")
    within("hours", hours, 0.0, 1e9, "h")
    within("multiplier", multiplier, 0.0, 1.0)
    return multiplier * (_fallen(hours_dry + hours) - _fallen(hours_dry))


def advance(
    state: MouldState, temp_c: float, rh: float, hours: float, surface: str = "pine_resawn"
) -> MouldState:
    """The state after some hours of one climate.

    Equation: the growth rate integrated in closed form over constant climate, with u = exp(2.3 (largest -
    index)) - 1 falling as exp(-2.3 k1 t / (168 t_first)); below the critical humidity the decline.
    Source: hukka-viitanen-1999 (recalled); ojanen-2010; the integral is ours.
    Range: -60 to 80 degC; below 0 and above 50 degC nothing grows, and the spell counts as dry.
    Doubt: outside 5 to 40 degC and on anything but clean wood in moist air it is an extrapolation.
    Raises: OutOfRange; ValueError for a surface that is not known.

    >>> round(advance(MouldState(), 20.0, 0.97, 7 * 24.0).index, 2)
    0.67
    """
    held = _surface(surface)
    within("temp_c", temp_c, -60.0, 80.0, "degC")
    within("rh", rh, 0.0, 1.0)
    within("hours", hours, 0.0, 1e7, "h")
    if hours == 0.0:
        return state
    if _grows(temp_c, rh, held):
        early, late = _rates_per_h(temp_c, rh, held)
        return MouldState(_grown(state.index, early, late, _ceiling(temp_c, rh, held), hours), 0.0)
    lost = decline(state.hours_dry, hours, held.decline)
    return MouldState(max(state.index - lost, 0.0), state.hours_dry + hours)


def index_after(
    climates: Iterable[tuple[float, float]],
    step_h: float = 1.0,
    surface: str = "pine_resawn",
    start: MouldState | None = None,
) -> MouldState:
    """The state after a series of climates, each (temp_c, rh) lasting one step.

    Equation: advance, step by step.
    Source: hukka-viitanen-1999; ojanen-2010.
    Range: that of advance.
    Doubt: that of advance; what changes within a step is not seen.
    Raises: OutOfRange; ValueError for a surface that is not known.

    >>> round(index_after([(20.0, 0.97)] * 24 * 28).index, 1)
    4.3
    """
    state = start or MouldState()
    for temp_c, rh in climates:
        state = advance(state, temp_c, rh, step_h, surface)
    return state


def days_to(index: float, temp_c: float, rh: float, surface: str = "pine_resawn") -> float | None:
    """Days of constant climate from nothing to this index, or None where it is never reached.

    Equation: the growth rate integrated in closed form.
    Source: hukka-viitanen-1999 (recalled); ojanen-2010; the integral is ours.
    Range: that of the growth rate; index above 0 to 6.
    Doubt: that of the response times; near the largest index the time grows without bound.
    Units: days.
    Raises: OutOfRange; ValueError for a surface that is not known.

    >>> round(days_to(index=1.0, temp_c=20.0, rh=1.0) or 0.0, 1)
    6.8
    """
    held = _surface(surface)
    within("index", index, 0.0, 6.0)
    within("temp_c", temp_c, -60.0, 80.0, "degC")
    within("rh", rh, 0.0, 1.0)
    if not _grows(temp_c, rh, held) or index >= _ceiling(temp_c, rh, held):
        return None
    early, late = _rates_per_h(temp_c, rh, held)
    ceiling = _ceiling(temp_c, rh, held)
    hours = _hours_between(0.0, min(index, LATE), early, ceiling)
    if index > LATE:
        hours += _hours_between(LATE, index, late, ceiling)
    return hours / DAY_H


def outside_the_data(temp_c: float, rh: float, wet: bool, soiled: bool) -> tuple[str, ...]:
    """Why the model does not hold for this surface; empty where it does.

    Rule: clean wood in moist air, 5 to 40 degC; not for liquid water, dirt or sewage.
    Source: hukka-viitanen-1999, data (the opening was read).
    Range: any.
    Doubt: none known beyond the source.

    >>> outside_the_data(temp_c=3.0, rh=0.9, wet=False, soiled=False)
    ('below 5 degC the data end',)
    """
    told = (
        (temp_c < 5.0, "below 5 degC the data end"),
        (temp_c > 40.0, "above 40 degC the data end"),
        (not 0.0 <= rh <= 1.0, "the humidity is none"),
        (wet, "wet with liquid water: the model knows moist air only"),
        (soiled, "soiled: the model knows clean wood only"),
    )
    return tuple(reason for true, reason in told if true)


SOON_MOULDY = frozenset("soiled sewage_wet unrinsed glued painted leather skin textile basketry".split())
"""Surfaces for which the rule of practice holds."""
PRACTICE_RH, PRACTICE_AFTER_H = 0.75, 48.0
PRACTICE_COOL_C, PRACTICE_LOOK_EVERY_H = 10.0, 24.0


@dataclass(frozen=True, slots=True)
class PracticeVerdict:
    """What the rule of practice says of a course; it knows no index."""

    applies: bool
    kept: bool
    hours_above: float
    hours_against: float
    limit_h: float
    why: str


def practice_rule(
    climates: Sequence[tuple[float, float]],
    step_h: float,
    surfaces: Iterable[str],
    looked_at_every_h: float | None = None,
) -> PracticeVerdict:
    """Whether a surface that moulds soon was dry enough two days after it came out of the water.

    Rule: not above 75 % relative humidity at the surface beyond 48 h from emergence, unless it lies at
    10 degC or cooler and is looked at every 24 h.
    Source: none; common practice, no published source.
    Range: surfaces that are soiled, sewage-wet, unrinsed, glued or painted, or of leather, skin, textile or
    basketry; the first climate begins at emergence.
    Doubt: a rule, not a measured time of growth; it may not be divided by a time of the model.
    Raises: OutOfRange; ValueError for a surface that is not known.

    >>> practice_rule([(20.0, 0.9)] * 60, 1.0, ["leather"]).hours_against
    12.0
    """
    named = frozenset(surfaces)
    if unknown := sorted(named - SOON_MOULDY):
        raise ValueError(f"surfaces: '{unknown[0]}' is not one of {', '.join(sorted(SOON_MOULDY))}")
    within("step_h", step_h, 1e-6, 24.0, "h")
    looked = looked_at_every_h is not None and looked_at_every_h <= PRACTICE_LOOK_EVERY_H
    above = against = 0.0
    for number, (temp_c, rh) in enumerate(climates):
        within("temp_c", temp_c, -60.0, 80.0, "degC")
        if within("rh", rh, 0.0, 1.0) <= PRACTICE_RH:
            continue
        above += step_h
        late = min(max((number + 1) * step_h - PRACTICE_AFTER_H, 0.0), step_h)
        against += 0.0 if looked and temp_c <= PRACTICE_COOL_C else late
    if not named:
        return PracticeVerdict(False, True, above, 0.0, PRACTICE_AFTER_H, "the rule is not for this surface")
    return PracticeVerdict(
        True, against == 0.0, above, against, PRACTICE_AFTER_H, _practice_why(against, above, looked)
    )


def _practice_why(against: float, above: float, looked: bool) -> str:
    """The verdict in words."""
    if against > 0.0:
        cool = "" if looked else ", or cool and looked at every 24 h"
        return f"above 75 % for {against:g} h beyond 48 h from emergence; should be drier{cool}"
    return "never above 75 %" if above == 0.0 else "not above 75 % beyond 48 h, or cool and looked at"


def _surface(key: str) -> Surface:
    if key not in SURFACES:
        raise ValueError(f"surface: '{key}' is not one of {', '.join(SURFACES)}")
    return SURFACES[key]


def _grows(temp_c: float, rh: float, held: Surface) -> bool:
    """Whether this climate lets mould grow on this surface."""
    return GROWS_ABOVE_C < temp_c < GROWS_BELOW_C and rh >= critical_rh(temp_c, held.rh_least)


def _ceiling(temp_c: float, rh: float, held: Surface) -> float:
    critical = critical_rh(temp_c, held.rh_least)
    if rh < critical:
        return 0.0
    x = (rh - critical) / (1.0 - critical) if critical < 1.0 else 1.0
    return held.a + held.b * x - held.c * x * x


def _rates_per_h(temp_c: float, rh: float, held: Surface) -> tuple[float, float]:
    """Growth per hour far below the ceiling, before and from index 1."""
    warm_c = max(temp_c, 0.1)
    base = 1.0 / (WEEK_D * DAY_H * weeks_to_first(warm_c, rh, held.spruce, held.kiln_face))
    return base * held.early_factor, base * late_factor(warm_c, rh, held.key)


def _hours_between(low: float, high: float, rate_per_h: float, ceiling: float) -> float:
    """Hours from one index to a higher one below the ceiling, with one growth factor."""
    below, above = math.expm1(BEND * (ceiling - low)), math.expm1(BEND * (ceiling - high))
    return math.log(below / above) / (BEND * rate_per_h)


def _grown(index: float, early: float, late: float, ceiling: float, hours: float) -> float:
    """The index after some hours of growth; at or above the ceiling it stays."""
    if index >= ceiling:
        return index
    if index < LATE:
        if ceiling <= LATE:
            return _one_factor(index, early, ceiling, hours)
        needed = _hours_between(index, LATE, early, ceiling)
        if hours <= needed:
            return _one_factor(index, early, ceiling, hours)
        index, hours = LATE, hours - needed
    return _one_factor(index, late, ceiling, hours)


def _one_factor(index: float, rate_per_h: float, ceiling: float, hours: float) -> float:
    left = math.expm1(BEND * (ceiling - index)) * math.exp(-BEND * rate_per_h * hours)
    return ceiling - math.log1p(left) / BEND


def _fallen(hours_dry: float) -> float:
    """What the index has lost after so many dry hours."""
    return QUICK_PER_H * min(hours_dry, QUICK_UNTIL_H) + SLOW_PER_H * max(hours_dry - STILL_UNTIL_H, 0.0)
