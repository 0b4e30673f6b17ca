"""How wet a body is when the forecast begins, and how that water lies in it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from scipy.optimize import brentq

from strandline.drying.draws import Band, Floats
from strandline.drying.stuff import Other, Wood
from strandline.knowledge.wetting import coating_row, wetting
from strandline.physics.grid import SHAPES, Grid
from strandline.physics.porous import uptake_kg_m2
from strandline.physics.sorption import equilibrium_moisture
from strandline.physics.wood import maximum_moisture
from strandline.things.drying import Assumption, WetBody

BEFORE_C, BEFORE_RH = 18.0, 0.55
"""The air the body lay in before the flood, unless told."""
DAMP_RHS = (0.45, 0.55, 0.95)
"""Air that a thing has answered to which no water touched: few have yet followed that of a flooded room."""
BEFORE_RHS = (0.45, BEFORE_RH, 0.65)
"""How well that air is known."""
WEIGHED_DOUBT, STATED_DOUBT = 0.02, 0.05
MOST_TIMES_DRY = 10.0
"""Nothing that is dried here takes up nine times its own weight of water."""
RAMP_SHARE = 1.0
FLAT_FROM = 0.95
LATE_H = 48.0
"""What is known of a body's water this long after it came out is known of a body that has begun to dry."""
SECONDS_PER_HOUR = 3600.0


def core_moisture(stuff: Wood | Other, rh: float = BEFORE_RH) -> float:
    """Moisture of the body before it was wetted [kg/kg]."""
    if isinstance(stuff, Wood):
        return equilibrium_moisture(BEFORE_C, rh)
    return stuff.body.moisture(rh).mid


def soaked_moisture(stuff: Wood | Other, density: Band) -> Band:
    """Moisture of the body after long soaking: low, middle, high [kg/kg].

    Timber rarely fills more than two thirds of its room in a flood; the high end is full.
    """
    if isinstance(stuff, Wood):
        most = maximum_moisture(density[1])
        return 0.45 * most, 0.65 * most, most
    band = stuff.body.soaked
    return band.low, band.mid, band.high


def start_band(
    wet: WetBody, stuff: Wood | Other, density: Band, half_m: float, volume_m3: float | None
) -> tuple[Band, list[Assumption]]:
    """Mean moisture at the start and what was assumed for it.

    From the moisture stated; else from the weights; else from the weight and the size; else from the hours
    under water; else soaked through. Raises ValueError for a body that weighs less than dry, or a moisture
    below 0.
    """
    core, soaked = core_moisture(stuff), soaked_moisture(stuff, density)
    if wet.moisture is not None:
        if not 0.0 <= wet.moisture < math.inf:
            raise ValueError(f"{wet.tag}: a moisture of {wet.moisture:g} kg/kg is none")
        return _around(wet.moisture, STATED_DOUBT, soaked[2]), []
    if wet.wet_mass_g is not None and wet.dry_mass_g is not None:
        return _from_weights(wet, wet.wet_mass_g, wet.dry_mass_g, stuff)
    if wet.wet_mass_g is not None and volume_m3 is not None:
        light, likely, heavy = (wet.wet_mass_g / 1000.0 / (volume_m3 * one) - 1.0 for one in density)
        band = _rising(*(min(max(one, core), soaked[2]) for one in (heavy, likely, light)))
        why = "from its weight now and its size; a dry weight would narrow it"
        return band, [Assumption("start_moisture", _said(band), why, (), "c")]
    if wet.under_water_h == 0.0:
        return _from_damp_air(stuff)
    if wet.under_water_h is not None and isinstance(stuff, Wood):
        return _from_hours(wet, density, half_m, core, soaked)
    why = "nothing said how wet it is; taken as soaked through"
    if wet.under_water_h is not None:
        why = "how fast this takes up water is not known; taken as soaked through"
    return soaked, [Assumption("start_moisture", _said(soaked), why, ("wetting-practice",), "c")]


def start_over(
    wet: WetBody, stuff: Wood | Other, density: Band, halves_m: Band, volume_m3: float | None
) -> tuple[Band, list[Assumption]]:
    """The same for a body of which only a band of half thickness is known: the widest of its ends and middle.

    The hours that soak a thin body wet only the skin of a thick one.
    Raises ValueError as ``start_band`` does.
    """
    bands = [start_band(wet, stuff, density, half_m, volume_m3) for half_m in halves_m]
    middle, told = bands[1]
    band = min(low for (low, _, _), _ in bands), middle[1], max(high for (_, _, high), _ in bands)
    return band, [replace(one, value=_said(band)) if one.what == "start_moisture" else one for one in told]


def _from_weights(
    wet: WetBody, now_g: float, dry_g: float, stuff: Wood | Other
) -> tuple[Band, list[Assumption]]:
    """From the weight now and an old one.

    Nobody dries an object in an oven: the old weight was that of a thing in the air of a room, with the water
    that it held there.
    """
    if not 0.0 < dry_g <= now_g < MOST_TIMES_DRY * dry_g:
        raise ValueError(f"{wet.tag}: weighs {now_g:g} g now and {dry_g:g} g dry, which cannot be")
    low, mid, high = (now_g / dry_g * (1.0 + core_moisture(stuff, rh)) - 1.0 for rh in BEFORE_RHS)
    doubt = WEIGHED_DOUBT
    band = _rising(low * (1.0 - doubt), mid, high * (1.0 + doubt))
    air = f"in air of {100 * BEFORE_RHS[0]:.0f} to {100 * BEFORE_RHS[2]:.0f} %"
    why = "an old weight is that of a thing in the air of a room, not oven-dry"
    return band, [Assumption("dry_mass_g", air, why, (), "c")]


def dry_share(stuff: Wood | Other) -> float:
    """What is left of an old weight without the water that the thing held in the air of its room."""
    return 1.0 / (1.0 + core_moisture(stuff))


def _from_hours(
    wet: WetBody, density: Band, half_m: float, core: float, soaked: Band
) -> tuple[Band, list[Assumption]]:
    """Uptake by the square root of time through the open faces, slowed by the coating."""
    seconds = max(1.0, (wet.under_water_h or 0.0) * SECONDS_PER_HOUR)
    across = wetting()["uptake"]["across"].bands["absorption_kg_m2_s05"]
    share = coating_row(wet.coating).bands["uptake_share"]
    # Of a cylinder twice, of a sphere three times as much surface lies around the same volume.
    per_m = (SHAPES.index(wet.shape) + 1) / half_m
    taken = [
        uptake_kg_m2(a * s, seconds) * per_m / d for a, s, d in zip(across, share, density[::-1], strict=True)
    ]
    low, mid, high = (min(max(core + one, core), most) for one, most in zip(taken, soaked, strict=True))
    band = _rising(low, mid, high)
    why = f"from {wet.under_water_h:g} h under water, by the square root of time, {wet.coating}"
    return band, [Assumption("start_moisture", _said(band), why, ("wetting-practice",), "m")]


def _from_damp_air(stuff: Wood | Other) -> tuple[Band, list[Assumption]]:
    """Of a body that no water has touched: from what it held before to what it holds in damp air."""
    low, mid, high = (core_moisture(stuff, rh) for rh in DAMP_RHS)
    band = _rising(low, mid, high)
    why = f"no water touched it: as air of {100 * DAMP_RHS[0]:.0f} to {100 * DAMP_RHS[2]:.0f} % leaves it"
    return band, [Assumption("start_moisture", _said(band), why, (), "c")]


def lies_even(wet: WetBody) -> bool:
    """Whether the water is taken as even through the body: weighed or stated days after it came out, or come
    from damp air alone."""
    known = wet.moisture is not None or wet.wet_mass_g is not None
    return (wet.out_h >= LATE_H and known) or (wet.under_water_h == 0.0 and not known)


def profile(grid: Grid, mean: float, core: float, skin: float) -> Floats:
    """Moisture of the vertices: a wet skin, a ramp as deep as the skin, a dry core, with the mean asked for.

    From 0.95 of the skin's moisture on, and below the core's, the body is taken as even.
    """
    if mean >= FLAT_FROM * skin or mean <= core:
        return np.full(len(grid.x), mean)

    def shaped(depth: float) -> Floats:
        inner = 1.0 - depth * (1.0 + RAMP_SHARE)
        # Called a dozen times for every member: these two are thrice as quick as np.clip.
        rise: Floats = np.minimum(np.maximum((grid.x - inner) / (depth * RAMP_SHARE), 0.0), 1.0)
        return core + (skin - core) * rise

    def over(depth: float) -> float:
        return float(grid.volume @ shaped(depth)) - mean

    low, high = 1e-6, 4.0
    found = shaped(low if over(low) >= 0.0 else float(brentq(over, low, high, xtol=1e-12)))
    # The grid's own mean is met exactly, so that no water is made or lost at the start.
    return core + (found - core) * (mean - core) / float(grid.volume @ (found - core))


def _around(value: float, doubt: float, most: float) -> Band:
    """A stated or weighed value with its doubt."""
    return _rising(value * (1.0 - doubt), value, min(value * (1.0 + doubt), max(most, value)))


def _rising(low: float, mid: float, high: float) -> Band:
    """The three in order, none below a thousandth."""
    low, mid, high = sorted(max(0.001, one) for one in (low, mid, high))
    return low, mid, high


def _said(band: Band) -> str:
    """A band of moistures in words."""
    return f"{100 * band[0]:.0f} to {100 * band[2]:.0f} % (likely {100 * band[1]:.0f} %)"
