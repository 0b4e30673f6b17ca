"""What a rule's condition is held against: a part taken as one material, and its surroundings."""

from __future__ import annotations

from dataclasses import dataclass

from strandline.knowledge import models as m
from strandline.knowledge.base import Knowledge


@dataclass(frozen=True, slots=True)
class Around:
    """What holds for the whole object.  Sizes are reduced to how many rule thresholds they pass.

    ``released`` are the hazards whose stop was lifted; no rule asks about them.
    """

    features: frozenset[str] = frozenset()
    waters: tuple[str, ...] = ()
    wet_state: str = ""
    done: tuple[str, ...] = ()
    mass_known: bool = False
    mass_over_g: float = 0.0
    longest_over_mm: float = 0.0
    air_over_c: float = 0.0
    released: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part taken as one material: its layers (body first, then what features add)."""

    layers: tuple[str, ...]
    family: str
    features: frozenset[str]
    joins: frozenset[str]
    organic: bool
    surface: str


def candidate(
    material: m.Material, features: frozenset[str], joins: frozenset[str], silent: bool, knowledge: Knowledge
) -> Candidate:
    """Take a part as ``material``; ``silent``: the list says nothing about its surface.

    ``features`` are the part's own and those of the whole object.
    """
    layers = [material.key]
    for key in sorted(features):
        feature = knowledge.features.get(key)
        for added in feature.adds.get(material.family, ()) if feature else ():
            if added not in layers:
                layers.append(added)
    surface = material.surface_unknown if silent and len(layers) == 1 else "none"
    return Candidate(tuple(layers), material.family, features, joins, material.organic, surface)
