"""What of an object's facts decides its plan: a small hashable signature, so equal things share work."""

from __future__ import annotations

from dataclasses import dataclass, replace

from strandline.care.book import Book
from strandline.care.match import Around
from strandline.care.parts import PartSig
from strandline.things.facts import Facts, Join, Part

WET_MASS_FACTOR: dict[str, float] = {"wood": 1.8, "plant": 2.5, "textile": 4.0, "skin": 2.0}
"""Upper wet mass over dry mass by family (common practice, no published source): plan by the upper end."""


@dataclass(frozen=True, slots=True)
class Signature:
    """Parts in order with their ids, joins, and the object's surroundings."""

    parts: tuple[tuple[str, PartSig], ...]
    joins: tuple[Join, ...]
    around: Around
    unknowns: tuple[str, ...]
    species: tuple[str, ...] = ()


def signature(facts: Facts, book: Book) -> Signature:
    """The signature of one object's facts."""
    return Signature(
        tuple((part.id, _part(part, facts)) for part in facts.parts),
        tuple(replace(join, span="", column="") for join in facts.joins),
        _around(facts, book),
        _unknowns(facts),
    )


def _part(part: Part, facts: Facts) -> PartSig:
    joins = sorted({join.kind for join in facts.joins if part.id in join.parts})
    return PartSig(
        part.material,
        part.family,
        tuple(sorted(part.could_be)),
        tuple(sorted(part.features)),
        tuple(joins),
        part.surface == "silent",
    )


def _around(facts: Facts, book: Book) -> Around:
    lengths = (facts.length_mm, facts.width_mm, facts.height_mm, facts.diameter_mm)
    longest = max((value for value in lengths if value), default=0.0)
    mass = likely_mass_g(facts)
    return Around(
        features=frozenset(facts.features),
        # What met damp air only was not reached by the flood's water, whatever that held.
        waters=() if facts.wet_state == "damp_air_only" else tuple(sorted(facts.water)),
        wet_state=book.state(facts.wet_state),
        done=tuple(sorted(facts.done_already)),
        mass_known=mass is not None,
        mass_over_g=_floor(mass or 0.0, book.mass_steps_g),
        longest_over_mm=_floor(longest, book.length_steps_mm),
        air_over_c=_floor(facts.air_c or 0.0, book.air_steps_c),
        released=tuple(key for key in sorted(facts.released) if key in book.stops),
    )


def likely_mass_g(facts: Facts) -> float | None:
    """The mass to lift, in g: as weighed wet, or the dry mass times its family's upper wet factor."""
    if facts.mass_g is not None:
        return facts.mass_g
    if facts.dry_mass_g is None:
        return None
    return facts.dry_mass_g * max(
        (WET_MASS_FACTOR.get(part.family, 1.0) for part in facts.parts), default=1.0
    )


def _floor(value: float, steps: tuple[float, ...]) -> float:
    """The highest threshold the value reaches; 0 if none."""
    return max((step for step in steps if value >= step), default=0.0)


LOOKED_AT: tuple[str, ...] = ("features", "done_already", "pieces")
"""Facts that are asked about only where they are an assumption: two people saw different things."""

ASKED: tuple[str, ...] = (
    "mass_g",
    "water",
    "wet_since",
    "out_since",
    "under_water_h",
    "wet_state",
    "significance",
)


def _unknowns(facts: Facts) -> tuple[str, ...]:
    found = [name for name in ASKED if facts.known_by.get(name, "unknown") in {"unknown", "assumed"}]
    found += [name for name in LOOKED_AT if facts.known_by.get(name) == "assumed"]
    found += [f"thickness:{part.id}" for part in facts.parts if part.thickness_by in {"unknown", "assumed"}]
    return tuple(found)
