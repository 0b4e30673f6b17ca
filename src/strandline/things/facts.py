"""Facts about one object: parts, joins, sizes, water and times, each with how it is known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

KnownBy = Literal["stated", "assumed", "seen", "measured", "family_worst", "unknown"]


@dataclass(frozen=True, slots=True)
class Part:
    """One body of one material.

    ``material`` is a material key, or ``<family>_unknown``: then the plan takes the strictest over
    ``could_be`` (empty: every plausible member of the family).  ``span`` is the text it was read
    from, as it stands in ``column``.  ``features`` are seen on this part.  Thickness in mm.
    """

    id: str
    name: str
    material: str
    family: str
    span: str = ""
    column: str = ""
    known_by: KnownBy = "stated"
    species: str = ""
    could_be: tuple[str, ...] = ()
    lookalike: str = ""
    thickness_mm: float | None = None
    thickness_by: KnownBy = "unknown"
    exposed: bool = True
    features: tuple[str, ...] = ()
    surface: Literal["stated", "silent"] = "silent"


@dataclass(frozen=True, slots=True)
class Join:
    """How two parts hold together."""

    id: str
    kind: str
    parts: tuple[str, str]
    known_by: KnownBy = "stated"
    span: str = ""
    column: str = ""


@dataclass(frozen=True, slots=True)
class Word:
    """A word of the list with what became of it: its class (harmless), what it was read as, or ''
    (unread)."""

    word: str
    column: str
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Facts:
    """Everything known about one object at intake.  Lengths mm, masses g, times UTC, hours h.

    ``known_by`` tells for each scalar how it is known; ``water``, ``done_already`` and
    ``features`` are sorted.  ``features`` are those of the whole object;
    ``read`` holds the words that became features and joins, their kind saying which.
    ``released`` are the hazards whose stop was lifted for this object by somebody who may, sorted.
    """

    tag: str
    row: int
    title: str = ""
    owner_number: str = ""
    materials: str = ""
    klass: str = ""
    parts: tuple[Part, ...] = ()
    joins: tuple[Join, ...] = ()
    features: tuple[str, ...] = ()
    water: tuple[str, ...] = ("river", "sewage")
    wet_state: str = "unknown"
    done_already: tuple[str, ...] = ()
    wet_since: datetime | None = None
    out_since: datetime | None = None
    under_water_h: float | None = None
    hours_wet: float | None = None
    length_mm: float | None = None
    width_mm: float | None = None
    height_mm: float | None = None
    diameter_mm: float | None = None
    thickness_mm: float | None = None
    mass_g: float | None = None
    dry_mass_g: float | None = None
    significance: int = 3
    pieces: int | None = None
    owner: str = ""
    place: str = ""
    air_c: float | None = None
    known_by: Mapping[str, KnownBy] = field(default_factory=dict)
    harmless: tuple[Word, ...] = ()
    unread: tuple[Word, ...] = ()
    read: tuple[Word, ...] = ()
    kept: Mapping[str, str] = field(default_factory=dict)
    released: tuple[str, ...] = ()
