"""Doubts and cautions that stand beside a forecast, and what was taken for want of knowledge."""

from __future__ import annotations

from itertools import pairwise

from strandline.drying.reading import coated, schedule_of
from strandline.drying.start import FLAT_FROM, core_moisture, lies_even, soaked_moisture
from strandline.drying.stuff import Other, Wood
from strandline.knowledge.wood_diffusivities import factor_of
from strandline.physics.mould import outside_the_data
from strandline.physics.sorption import in_stated_range
from strandline.things.drying import Assumption, Band, DryingQuestion, Flag, MouldForecast, Reached, WetBody

WARM_ROOM_C = 25.0
"""A wet thing of wood is not dried warmer: common practice."""
STATED_GAB_RH = (0.10, 0.90)
ABOVE_FULL = 1.05

SINCE_H, LONG_H, SEEN = 24.0, 2000.0, 3.0
UNTRIED = Flag("untried", "no figure here has been tried on a real object; two weighings days apart say more")


def flags_before(wet: WetBody, stuff: Wood | Other, question: DryingQuestion) -> list[Flag]:
    """Those that do not depend on the outcome."""
    found = _of_wood(wet, stuff) if isinstance(stuff, Wood) else _of_other(stuff)
    found += _of_room(wet, stuff, question)
    if wet.out_h >= SINCE_H and wet.moisture is None and wet.wet_mass_g is None:
        say = f"it came out {wet.out_h:g} h ago; what it lost since is not reckoned: say how wet it is now"
        found.append(Flag("dried_since", say))
    if (wet.under_water_h or 0.0) > LONG_H:
        say = "so long under water it may be waterlogged: keep it wet, and ask a conservator before it dries"
        found.append(Flag("long_under_water", say))
    if wet.coating in ("paint", "lacquer", "gesso", "varnish"):
        say = "the coat is reckoned on every open face; a back that is bare dries sooner than this"
        found.append(Flag("coated_all_over", say))
    if wet.thickness_band_mm is not None:
        low, _, high = wet.thickness_band_mm
        say = f"its thickness was not given: reckoned over {low:.3g} to {high:.3g} mm; "
        found.append(Flag("thickness_assumed", f"{say}measure it, nothing narrows this more"))
    if coated(wet) and isinstance(stuff, Wood):
        say = "it bears paint, gilding or lacquer: of the limits for strain the strict one counts, 0.004"
        found.append(Flag("painted", say))
    if wet.cover is not None:
        say = "openings pass between a little and tens of times that; look at the thing, not at this number"
        found.append(Flag("opening", say))
        if question.moving_air:
            say = "air that moves past a cover makes its openings pass more than is reckoned here"
            found.append(Flag("draught", say))
        if any(after.temp_c < before.temp_c for before, after in pairwise(question.room)):
            say = "when the room cools, dew forms inside the cover and may drip; it is not reckoned here"
            found.append(Flag("dew", say))
    if wet.surfaces:
        say = "such surfaces mould sooner than the model's clean wood: the rule of practice stands beside it"
        found.append(Flag("soiled", say))
    return found


def _of_wood(wet: WetBody, wood: Wood) -> list[Flag]:
    """Those of timber."""
    found = []
    if wood.fails:
        found.append(Flag("not_sound_wood", wood.fails))
    if wood.timber.collapse_prone:
        say = "this wood may collapse above fibre saturation: it then shrinks more than is reckoned here"
        found.append(Flag("collapse", say))
    found.append(Flag("fast_side", factor_of(wood.timber).boards))
    found.append(
        Flag("sapwood", "permeable sapwood dries faster than is reckoned here, and is strained less")
    )
    if not schedule_of(wood, wet)[1]:
        found.append(Flag("no_schedule", "no kiln schedule is held for this wood"))
    return found


def _of_other(other: Other) -> list[Flag]:
    """Those of other bodies."""
    found = []
    if other.body.salts:
        found.append(
            Flag("salts", "may carry salts: they crystallise where it dries and hold water above 75 % RH")
        )
    if other.body.note:
        found.append(Flag("material", other.body.note))
    return found


def _of_room(wet: WetBody, stuff: Wood | Other, question: DryingQuestion) -> list[Flag]:
    """Those of the air of the room."""
    found = []
    warmest = max(stretch.temp_c for stretch in question.room)
    cap_c = WARM_ROOM_C if isinstance(stuff, Wood) else stuff.body.cap_c
    if warmest > cap_c:
        found.append(
            Flag("too_warm", f"{warmest:g} degC is above the {cap_c:g} degC this material should see")
        )
    rhs = [*(stretch.rh for stretch in question.room), question.target_rh]
    low, high = STATED_GAB_RH
    stated = all(in_stated_range(warmest, rh) if isinstance(stuff, Wood) else low <= rh <= high for rh in rhs)
    if not stated:
        say = "the room or the target is damper or drier than the air its moisture was measured in"
        found.append(Flag("isotherm_range", say))
    # Dirt has a flag of its own, and wet every body is at first.
    reasons = dict.fromkeys(
        reason
        for stretch in question.room
        for reason in outside_the_data(stretch.temp_c, stretch.rh, wet=False, soiled=False)
    )
    if reasons and (isinstance(stuff, Wood) or stuff.body.model in {"sorbing", "capillary"}):
        found.append(Flag("mould_range", f"mould is reckoned beyond its data: {'; '.join(reasons)}"))
    return found


def flags_of_mould(mould: MouldForecast) -> list[Flag]:
    """Whether the model expects mould that is seen; to be read before the strain."""
    if mould.index_highest[1] < SEEN:
        return []
    say = (
        "mould is to be expected: it lies damp too long; strain that stays low under such a cover is no gain"
    )
    return [Flag("mould", say)]


def flags_start(stuff: Wood | Other, start: Band, density: Band) -> list[Flag]:
    """Whether it is said to hold more water than it can."""
    full = soaked_moisture(stuff, density)[2]
    if start[1] <= full * ABOVE_FULL:
        return []
    told = f"{100 * start[1]:.0f} % water is more than it can hold ({100 * full:.0f} %)"
    return [Flag("more_than_full", f"{told}: is there mud, packing or a cavity, or a slip of the pen?")]


def flags_after(target: Reached, question: DryingQuestion) -> list[Flag]:
    """Why the target is not reached by half of the members, where it is not."""
    if target.hours is not None:
        return []
    there, wanted = 100 * question.room[-1].rh, 100 * question.target_rh
    if question.room[-1].rh >= question.target_rh:
        return [Flag("room_too_damp", f"the room at {there:.0f} % cannot dry it to {wanted:.0f} %")]
    say = f"fewer than half of the reckonings are there within the {question.days:g} days looked at"
    return [Flag("not_in_time", say)]


def assumed_of(wet: WetBody, stuff: Wood | Other, question: DryingQuestion) -> list[Assumption]:
    """What is taken of the kind, the time before now and the room."""
    found = []
    if wet.known_by != "stated":
        why = "nothing names the kind"
        if wet.known_by == "family":
            why = f"'{wet.kind_words}' leaves the kind open"
        found.append(Assumption("kind", stuff.name, why, (), "c"))
    if isinstance(stuff, Wood):
        found.append(_diffusivity(stuff))
    if isinstance(stuff, Wood) and (name := schedule_of(stuff, wet)[0]) and name not in _called(stuff):
        found.append(Assumption("schedule", name, "the nearest schedule held for this wood", (), "c"))
    if isinstance(stuff, Other) and stuff.body.second_m2_s is not None:
        found.append(_second_stage(stuff))
    if wet.out_h > 0.0:
        why = "mould counts from the hour it came out; nothing said how it stood since"
        found.append(Assumption("before", f"wet for {wet.out_h:g} h in air as warm as now", why, (), "c"))
    last = question.room[-1]
    if last.until_h < 24.0 * question.days:
        value = f"{last.temp_c:g} degC, {100 * last.rh:.0f} %"
        why = f"nothing said how the room is after {last.until_h:g} h"
        found.append(Assumption("room", value, why, (), "c"))
    return found


def _diffusivity(wood: Wood) -> Assumption:
    """How fast water moves in the wood, and whether anybody measured it."""
    factor = factor_of(wood.timber)
    low, likely, high = factor.band
    value = f"{low:.2g} to {high:.2g} times the general law (likely {likely:.2g})"
    return Assumption("diffusivity", value, factor.told, factor.source, factor.confidence)


def _second_stage(other: Other) -> Assumption:
    """How fast a porous body dries once its face is dry, and whether anybody measured it."""
    held = other.body.evidence["second"]
    if held.confidence == "c":
        value = "likely and slow: vapour alone; fast: as limestones and a sandstone"
        why = "nobody measured it for this body; how fast water creeps in its pores is not known"
    else:
        value = "likely and fast: as measured on limestones and a sandstone; slow: vapour alone"
        why = "measured on slips of stone some millimetres thick"
    return Assumption("second stage", value, why, held.source, held.confidence)


def _called(wood: Wood) -> set[str]:
    """What a timber is called."""
    return {name.lower() for name in (*wood.timber.names, wood.timber.key.replace("_", " "))}


def assumed_profile(wet: WetBody, stuff: Wood | Other, start: Band, density: Band) -> list[Assumption]:
    """How the water is taken to lie in the body, where that is not plain."""
    if lies_even(wet):
        why = (
            f"it has been out for {wet.out_h:g} h, so its water has spread; truly its skin is the driest part"
        )
        return [Assumption("profile", "even through the body", why, (), "c")]
    core, skin = core_moisture(stuff), max(soaked_moisture(stuff, density)[1], start[1])
    if not core < start[1] < FLAT_FROM * skin:
        return []
    why = "as after a short wetting; one that has dried for days is driest at its skin, and dries slower"
    return [Assumption("profile", "a wet skin on a dry core", why, (), "c")]
