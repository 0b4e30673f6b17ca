"""Objects with their plans become bodies for the drying forecast; what is left out says why.

A part is forecast where a body stands for its material. Its thickness is that of the list, or the size of the
object where that surely is its thickness, or the band that such things usually have. An object with a stop,
or whose plan is not to dry it, is not forecast at all.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from strandline.pipeline.drying_kinds import NOT_SOUND, Kind, NoKind, kind_of_part, not_sound
from strandline.pipeline.drying_sizes import of_another_part, smallest, spread, usual_thickness
from strandline.things.drying import Assumption, CoverState, WetBody
from strandline.things.facts import Facts, Part
from strandline.things.listing import Problem
from strandline.things.plan import Plan

ROUTES = {
    "hold_wet": "its plan keeps it wet",
    "freeze": "its plan keeps it frozen",
    "wait_for_conservator": "its plan waits for a conservator",
}
PAINTED = frozenset(
    "painted flaking_paint gilded gesso_gilding lacquered lacquer_asian japanned printed_decoration".split()
)
PAINTED_MATERIALS = frozenset(
    "timber_painted plaster_painted water_gilding oil_gilding lacquer_east_asian japanning_on_wood".split()
)
CAN_BE_PAINTED = ("wood", "ceramic", "stone", "bone", "skin")
COATINGS: tuple[tuple[str, frozenset[str]], ...] = (
    ("gesso", frozenset(("gesso_gilding", "gilded", "water_gilding", "oil_gilding"))),
    ("paint", frozenset(("painted", "flaking_paint", "timber_painted", "plaster_painted"))),
    (
        "lacquer",
        frozenset(("lacquered", "lacquer_asian", "japanned", "lacquer_east_asian", "japanning_on_wood")),
    ),
    (
        "varnish",
        frozenset(("varnished", "shellac", "polished_finish", "shellac_finish", "timber_varnished")),
    ),
    ("wax", frozenset(("waxed", "oiled"))),
)
"""Coating -> features and materials that say so; the first that fits counts."""

ORGANIC = ("wood", "skin", "bone", "textile", "plant", "paper")
GLUED_JOINS = ("glued", "veneered", "cemented", "inlaid")
GLUED = frozenset(("glued_joints", "veneer_lifting", "veneer", "inlay_metal_in_wood", "board_composite"))
ROUND = ("rope", "cord")


@dataclass(frozen=True, slots=True)
class Asked:
    """A body to be forecast, with what was taken for granted to make it."""

    body: WetBody
    assumed: tuple[Assumption, ...] = ()


@dataclass(frozen=True, slots=True)
class LeftOut:
    """An object, or a part of one, that is not forecast: ``why`` is a key, ``say`` a sentence."""

    tag: str
    title: str
    part: str
    why: str
    say: str


def bodies_of(
    facts: Facts,
    plan: Plan,
    as_of: datetime,
    cover: CoverState | None = None,
    *,
    measured_only: bool = False,
) -> Iterator[Asked | LeftOut | Problem]:
    """What of an object dries, and how wet it was; what is left out; weights that contradict each other.

    ``measured_only`` leaves out the parts whose thickness nobody gave, instead of taking the usual one.
    """
    held = _held_up(facts, plan)
    if held is not None:
        yield held
        return
    fault = _weights_fault(facts)
    if fault is not None:
        yield fault
    for part in facts.parts:
        try:
            yield _asked(facts, part, as_of, cover, weights=fault is None, measured_only=measured_only)
        except NoKind as none:
            yield LeftOut(
                facts.tag, _title(facts), part.id, none.why, f"{str(none)[:1].upper()}{str(none)[1:]}."
            )


def _title(facts: Facts) -> str:
    return facts.title or facts.materials or facts.klass


def _held_up(facts: Facts, plan: Plan) -> LeftOut | None:
    """Why nothing of the object is forecast: a stop, a route that is not to dry it, or an open conflict."""
    stop = next((hazard for hazard in plan.hazards if hazard.grade == "stop"), None)
    if stop is not None:
        return LeftOut(
            facts.tag, _title(facts), "", "stop", f"Stop, {stop.key.replace('_', ' ')}: {stop.say}"
        )
    if plan.route != "dry":
        because = plan.route_because[0].why if plan.route_because else ""
        say = f"{ROUTES[plan.route].capitalize()}{': ' + because if because else '.'}"
        return LeftOut(facts.tag, _title(facts), "", plan.route, say)
    if any(conflict.state == "open" for conflict in plan.conflicts):
        say = "Its plan has an open conflict, which a conservator settles first."
        return LeftOut(facts.tag, _title(facts), "", "conflict", say)
    return None


def _weights_fault(facts: Facts) -> Problem | None:
    """Weights of which the dry one is the greater."""
    wet, dry = facts.mass_g, facts.dry_mass_g
    if wet is None or dry is None or dry <= wet:
        return None
    reason = f"dry_mass_g is more than mass_g ({dry:g} and {wet:g}); the forecast uses neither"
    return Problem(facts.row, "dry_mass_g", f"{dry:g}", reason)


def _asked(
    facts: Facts,
    part: Part,
    as_of: datetime,
    cover: CoverState | None,
    *,
    weights: bool,
    measured_only: bool,
) -> Asked:
    """One part as a body.  Raises NoKind."""
    kind = kind_of_part(part)
    if part.family in ORGANIC and _is_not_sound(facts, part):
        raise NoKind("not_dried", f"{part.span or part.material.replace('_', ' ')}: {NOT_SOUND}")
    assumed: list[Assumption] = []
    band = None
    try:
        thickness, shape = _thickness(facts, part, kind, assumed)
    except NoKind:
        found = None if measured_only else usual_thickness(facts, part, assumed)
        if found is None:
            raise
        band, shape = found
        thickness = band[1]
    under, out = _hours(facts, as_of, assumed)
    names = _names(facts, part, assumed)
    alone = weights and len(facts.parts) == 1
    length, width = spread(facts, part, thickness if band is None else band[2])
    body = WetBody(
        tag=facts.tag,
        title=_title(facts),
        part=part.id,
        kind=kind.key,
        kind_words=kind.words,
        known_by=kind.known_by,
        shape=shape,
        thickness_mm=thickness,
        width_mm=width if shape == "plane" else None,
        length_mm=length,
        faces=_faces(part, assumed),
        wet_mass_g=facts.mass_g if alone else None,
        dry_mass_g=facts.dry_mass_g if alone else None,
        under_water_h=under,
        out_h=out,
        coating=coating_of(names),
        painted=bool(names & (PAINTED | PAINTED_MATERIALS)),
        surfaces=surfaces_of(facts, part, names),
        cover=cover,
        thickness_band_mm=band,
    )
    _more_assumed(facts, part, kind, names, assumed)
    assumed += weight_unused(body)
    return Asked(body, tuple(assumed))


def _is_not_sound(facts: Facts, part: Part) -> bool:
    """Whether the list says of the object or the part that it is waterlogged, dug up or burnt."""
    features = {*part.features, *facts.features}
    told = " ".join((facts.title, facts.materials, part.name, part.span))
    return "archaeological" in features or not_sound(told)


def weight_unused(body: WetBody) -> list[Assumption]:
    """A weight alone tells nothing of the water in a thing: the dry weight or the size has to go with it."""
    known = body.thickness_mm is not None and body.thickness_band_mm is None
    sized = known and (body.shape == "sphere" or body.length_mm is not None)
    sized = sized and (body.shape != "plane" or body.width_mm is not None)
    if body.wet_mass_g is None or body.dry_mass_g is not None or body.moisture is not None or sized:
        return []
    why = "how wet it is cannot be told from its weight now alone; its dry weight, or all its sizes, would"
    return [_taken("weight", f"{body.wet_mass_g:g} g not used for how wet it is", why)]


def _taken(what: str, value: str, why: str) -> Assumption:
    """Something taken for granted here: common practice, no published source."""
    return Assumption(what, value, why, (), "c")


def _names(facts: Facts, part: Part, assumed: list[Assumption]) -> frozenset[str]:
    """Material and features of a part, with paint that the list ties to no part."""
    own = {part.material, *part.features}
    loose = {key for key in facts.features if key in PAINTED}
    if loose and len(facts.parts) > 1 and part.family in CAN_BE_PAINTED and not own & PAINTED:
        told = ", ".join(sorted(key.replace("_", " ") for key in loose))
        assumed.append(
            _taken("paint", told, "the list does not say which part is painted, so it counts for this")
        )
    return frozenset(own | (loose if part.family in CAN_BE_PAINTED else set()))


def coating_of(names: frozenset[str]) -> str:
    """The key of the coat that features and materials tell of, or none."""
    return next((coat for coat, told in COATINGS if names & told), "none")


def surfaces_of(facts: Facts, part: Part, names: frozenset[str]) -> tuple[str, ...]:
    """What makes a part mould sooner, sorted."""
    found = set()
    touched = facts.wet_state != "damp_air_only"
    if touched and set(facts.water) - {"clean"}:
        found.add("soiled")
        if "rinsed" not in facts.done_already:
            found.add("unrinsed")
    if touched and "sewage" in facts.water:
        found.add("sewage_wet")
    if names & (PAINTED | PAINTED_MATERIALS):
        found.add("painted")
    glued = any(join.kind in GLUED_JOINS and part.id in join.parts for join in facts.joins)
    if names & GLUED or glued:
        found.add("glued")
    return tuple(sorted(found | kind_surfaces(part.family, part.material)))


def kind_surfaces(family: str, key: str) -> set[str]:
    """Surfaces that mould soon by what they are."""
    if family == "skin":
        return {"leather" if key.startswith("leather") else "skin"}
    if family == "textile":
        return {"textile"}
    return {"basketry"} if key in {"basketry", "cane", "straw_work", "bark"} else set()


def _thickness(facts: Facts, part: Part, kind: Kind, assumed: list[Assumption]) -> tuple[float | None, str]:
    """Thickness in mm and shape: the part's, the object's, or its smallest size.  Raises NoKind."""
    shape = "cylinder" if part.material in ROUND else "plane"
    if part.thickness_mm is not None:
        return part.thickness_mm, shape
    if facts.thickness_mm is not None:
        if why := of_another_part(facts, part):
            raise NoKind("thickness", f"the thickness of {part.span or part.material} is not known: {why}")
        if len(facts.parts) > 1:
            why = f"it is the object's, which has {len(facts.parts)} parts; this part's own was not given"
            assumed.append(_taken("thickness", f"{facts.thickness_mm:g} mm", why))
        return facts.thickness_mm, shape
    if kind.film:
        return None, shape
    return smallest(facts, part, assumed)


def _hours(facts: Facts, as_of: datetime, assumed: list[Assumption]) -> tuple[float | None, float]:
    """Hours under water, and hours out of it."""
    under = facts.under_water_h
    if facts.wet_state == "damp_air_only":
        assumed.append(_taken("hours under water", "0 h", "it stood in damp air only"))
        under = 0.0
    elif under == 0.0:
        why = "0 h under water are given, but not that damp air alone reached it"
        assumed.append(_taken("hours under water", "not known", why))
        under = None
    elif facts.known_by.get("under_water_h") == "assumed" and under is not None:
        why = "nobody noted when it came out, so it is counted as under water until now"
        assumed.append(_taken("hours under water", f"{under:g} h", why))
    if facts.out_since is None:
        return under, 0.0
    return under, round(max(0.0, (as_of - facts.out_since).total_seconds() / 3600), 2)


def _faces(part: Part, assumed: list[Assumption]) -> int:
    """Broad faces that are open to the air."""
    if part.material == "veneer" or not part.exposed:
        why = "it lies on another part" if part.exposed else "it is said not to be exposed"
        assumed.append(_taken("open faces", "1", why))
        return 1
    return 2


def _more_assumed(
    facts: Facts, part: Part, kind: Kind, names: frozenset[str], assumed: list[Assumption]
) -> None:
    """What else was taken for granted: the kind, a bare surface, the water, weights that are not used."""
    if part.could_be:
        told = ", ".join(key.replace("_", " ") for key in part.could_be)
        assumed.append(_taken("material", part.material.replace("_", " "), f"it could also be {told}"))
    if part.family == "wood" and part.surface == "silent" and coating_of(names) == "none":
        why = "the list does not say; a coat slows wetting and drying"
        assumed.append(_taken("surface", "bare", why))
    if facts.known_by.get("water") == "assumed":
        assumed.append(_taken("water", " + ".join(facts.water), "nobody said what water it was"))
    if kind.family == "wood" and facts.wet_state == "splashed":
        why = "it was splashed; the hours are counted as if it had lain under water"
        assumed.append(_taken("wetting", "under water", why))
    if len(facts.parts) > 1 and facts.mass_g is not None:
        why = f"it weighs {len(facts.parts)} parts together"
        assumed.append(_taken("weight", f"{facts.mass_g:g} g not used", why))
