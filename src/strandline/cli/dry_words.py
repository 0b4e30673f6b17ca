"""What the words of a kind say beyond the kind: paint, gilding, wax, sewage, dirt."""

from __future__ import annotations

import re
from dataclasses import dataclass

COATS: tuple[tuple[str, frozenset[str]], ...] = (
    ("gesso", frozenset(("gilded", "gilt", "gesso", "gessoed"))),
    ("paint", frozenset(("painted", "polychrome", "polychromed"))),
    ("lacquer", frozenset(("lacquered", "japanned"))),
    ("varnish", frozenset(("varnished", "shellacked"))),
    ("wax", frozenset(("waxed",))),
)
"""Coating -> words that say so; the first that fits counts, as in a list."""

PAINTED = ("gesso", "paint", "lacquer")
SEWAGE = frozenset(("sewage", "sewerage"))
SOILED = frozenset(("soiled", "dirty", "muddy", "silty")) | SEWAGE
NOT = frozenset(("not", "no", "never", "without", "un"))


@dataclass(frozen=True, slots=True)
class Told:
    """A coat or none, whether it is painted or gilded, and what makes it mould sooner."""

    coating: str
    painted: bool
    surfaces: tuple[str, ...]


def told_by(words: str) -> Told:
    """What some words say; a word behind 'not' or 'no' says nothing."""
    held = re.findall(r"[a-z]+", words.lower())
    said = {word for before, word in zip(["", *held], held, strict=False) if before not in NOT}
    coat = next((key for key, told in COATS if said & told), "")
    surfaces = [key for key, told in (("sewage_wet", SEWAGE), ("soiled", SOILED)) if said & told]
    return Told(coat, any(key in PAINTED and said & told for key, told in COATS), tuple(surfaces))
