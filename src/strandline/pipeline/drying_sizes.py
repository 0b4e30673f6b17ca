"""Whether the outer size of an object says how thick the body is that dries, for the drying forecast."""

from __future__ import annotations

import math
import re

from strandline.knowledge.thicknesses import LEAST_FACTOR, usual
from strandline.pipeline.drying_kinds import NoKind
from strandline.things.drying import Assumption, Band
from strandline.things.facts import Facts, Part

SOLID = ("wood", "bone", "stone")
"""Families whose smallest size may stand for their thickness; of cloth, skin and vessels it never does."""

SOLID_MATERIALS = frozenset(("plaster", "plaster_painted"))
THIN = ("veneer", "inlay_metal_in_wood", "shell", "eggshell")
MADE_HOLLOW = frozenset(
    "hollow seamed_hollow hinged_lid stopper framed_glass sealed_contents upholstered taxidermy_form "
    "under_tension strung clockwork mercury_inside".split()
)
"""Features of things that are not solid through."""

HOLLOW_WORDS = frozenset(
    """
    accordion barometer barrel basin basket bath beaker bellows binnacle boat boot bottle bowl box bucket
    cabinet caddy can canoe carafe case cask casket chest clock coffer coffin concertina cradle crate creel
    cup cupboard decanter desk dinghy dory drawer dresser drum fiddle flask flute globe goblet guitar hamper
    hat helmet horn hull jar jug keg kettle lamp lantern locker mask mug organ pail pan piano pipe pot
    puncheon purse quiver rattle recorder safe scoop shell ship shoe shuttle skiff slope socket
    stoup tank tankard teapot till tin tray trough trumpet trunk tub tube tureen urn vase vat vessel
    viola violin whistle
    """.split()
)
MADE_OF_PIECES = frozenset(
    """
    bench book cart chair chessboard door easel fence frame gate ladder loom model net panelling pulley rack
    rudder screen seat set settle shelf shutter sledge stand stool table wheel window
    """.split()
)
"""Things made of boards or rods: their outer size is not the thickness of one of them."""

LONG_ENOUGH = 4
"""Letters a word has at least to be looked for at the end of another, as in toolchest; box and jar too."""


def hollow_words(text: str, known: frozenset[str] = HOLLOW_WORDS | MADE_OF_PIECES) -> list[str]:
    """Words of a text that name a hollow thing, or one made of thinner pieces."""
    endings = tuple(one for one in known if len(one) >= LONG_ENOUGH or one in {"box", "jar"})
    found = []
    for word in re.findall(r"[^\W\d_]+", text.lower()):
        ways = {word, word.removesuffix("s"), word.removesuffix("es")}
        if ways & known or any(one.endswith(endings) for one in ways):
            found.append(word)
    return found


def says_its_thickness(facts: Facts, part: Part) -> bool:
    """Whether outer sizes are those of the body: one part, of a solid kind, and nothing hollow is named."""
    solid = part.material not in THIN and (part.family in SOLID or part.material in SOLID_MATERIALS)
    hollow = {*part.features, *facts.features} & MADE_HOLLOW or hollow_words(f"{facts.title} {facts.klass}")
    return len(facts.parts) == 1 and solid and not hollow


def usual_thickness(facts: Facts, part: Part, assumed: list[Assumption]) -> tuple[Band, str] | None:
    """The usual thickness of such a thing within its outer sizes, and its shape; None where none is known.

    What is said of the part goes before what is said of the object.
    """
    found = usual(part.material, part.family, f"{part.name} {part.span}", facts.title)
    if found is None:
        return None
    most, why_most = _most(facts, part)
    band = capped(found.band_mm, most)
    whys = [f"it was not given; usual for {found.name}", *([why_most] if band != found.band_mm else [])]
    value = f"{band[0]:.3g} to {band[2]:.3g} mm (likely {band[1]:.3g} mm)"
    why = "; ".join([*whys, *found.notes])
    assumed.append(Assumption("thickness", value, why, found.source, found.confidence))
    return band, found.shape


def of_another_part(facts: Facts, part: Part) -> str:
    """Why the thickness of an object of several parts is not that of this one; nothing where it may be."""
    found = usual(part.material, part.family, f"{part.name} {part.span}", facts.title)
    given = facts.thickness_mm
    if len(facts.parts) < 2 or given is None or found is None:
        return ""
    low, _, high = found.band_mm
    if low <= given <= high:
        return ""
    than = "more" if given > high else "less"
    return f"the object's {given:g} mm are {than} than is usual for {found.name}; another part has them"


def capped(band: Band, most_mm: float) -> Band:
    """The band below what the outer sizes leave room for; still no narrower than any band is."""
    low, mid, high = band
    if high <= most_mm:
        return band
    low = min(low, most_mm / LEAST_FACTOR)
    return low, float(f"{min(mid, math.sqrt(low * most_mm)):.3g}"), most_mm


def _most(facts: Facts, part: Part) -> tuple[float, str]:
    """How thick the part can be at most, and why: the smallest outer size, of what is hollow half of it."""
    given = (facts.length_mm, facts.width_mm, facts.height_mm, facts.diameter_mm)
    sizes = [one for one in given if one is not None]
    if not sizes:
        return math.inf, ""
    named = f"{facts.title} {facts.klass}" if len(facts.parts) == 1 else part.name
    features = {*part.features, *(facts.features if len(facts.parts) == 1 else ())}
    if features & MADE_HOLLOW or hollow_words(named, HOLLOW_WORDS):
        return min(sizes) / 2.0, f"no wall of a hollow thing is thicker than half of {min(sizes):g} mm"
    return min(sizes), f"nothing of it is thicker than {min(sizes):g} mm, the smallest size given"


def spread(facts: Facts, part: Part, thickness: float | None) -> tuple[float | None, float | None]:
    """Length and width of a solid thing of one part, where both are surely its own; else neither."""
    sizes = sorted(one for one in (facts.length_mm, facts.width_mm, facts.height_mm) if one is not None)
    if thickness is None or not says_its_thickness(facts, part) or len(sizes) < 2:
        return None, None
    if facts.diameter_mm is not None or sizes[-2] < thickness:
        return None, None
    return sizes[-1], sizes[-2]


def smallest(facts: Facts, part: Part, assumed: list[Assumption]) -> tuple[float, str]:
    """The smallest size of a solid thing, with its shape.  Raises NoKind where it says nothing."""
    flat = [size for size in (facts.length_mm, facts.width_mm, facts.height_mm) if size is not None]
    told = len(flat) == 3 or (facts.diameter_mm is not None and flat)
    if not told or not says_its_thickness(facts, part):
        because = (
            "its outer sizes are not the thickness of its walls or pieces" if told else "it was not given"
        )
        what = part.span or part.material.replace("_", " ")
        of = f" ({facts.title})" if facts.title else ""
        raise NoKind("thickness", f"the thickness of {what}{of} is not known, {because}; give thickness_mm")
    least = min([*flat, *([facts.diameter_mm] if facts.diameter_mm is not None else [])])
    why = (
        "the smallest size given; if it is hollow, or made of thinner pieces, it dries sooner than this says"
    )
    assumed.append(Assumption("thickness", f"{least:g} mm", why, (), "c"))
    return least, "cylinder" if least == facts.diameter_mm else "plane"
