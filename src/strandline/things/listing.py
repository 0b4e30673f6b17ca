"""What comes out of a list before anybody has interpreted it: cells by known column, kept as text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from strandline.things.facts import Join, Part

COLUMNS: tuple[str, ...] = (
    "tag",
    "owner_number",
    "title",
    "class",
    "materials",
    "features",
    "condition",
    "pieces",
    "wet_state",
    "done_already",
    "length_mm",
    "width_mm",
    "height_mm",
    "diameter_mm",
    "thickness_mm",
    "mass_g",
    "dry_mass_g",
    "significance",
    "owner",
    "place",
    "wet_since",
    "out_since",
    "hours_wet",
    "under_water_h",
    "water",
)
"""The columns the tool understands; any subset may be there."""

TEXT_COLUMNS: tuple[str, ...] = ("materials", "title", "class", "features", "condition")
"""Columns whose every word is understood, harmless or reported, in the order they are read."""


@dataclass(frozen=True, slots=True)
class Problem:
    """Something in the list that could not be used as it stood.  ``row`` counts from 1 with the
    header as row 1; 0 means the file as a whole.  A ``note`` tells what was done (a tag was allotted)
    and is no fault of the list."""

    row: int
    column: str
    value: str
    reason: str
    kept: bool = True
    note: bool = False


@dataclass(frozen=True, slots=True)
class RawRow:
    """One row: ``cells`` by known column (text as typed, stripped), ``kept`` by unknown header.

    ``units`` gives the unit a column's header names (``mm``, ``cm``, ``in``, ``g``, ``kg``) where it
    differs from the column's own.  ``parts`` and ``joins`` are only stated by JSON lists.
    """

    row: int
    cells: Mapping[str, str]
    kept: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    parts: tuple[Part, ...] | None = None
    joins: tuple[Join, ...] | None = None


@dataclass(frozen=True, slots=True)
class ListHead:
    """What is known of a list as a whole: name, hash, which header was read as which column."""

    name: str
    sha256: str
    columns: Mapping[str, str]
    kept_columns: tuple[str, ...]
