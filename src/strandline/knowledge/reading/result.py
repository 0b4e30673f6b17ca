"""What is read out of an object's text columns: parts, features, joins, and what became of each word.

Every ``span`` stands word for word in its column, from ``start`` (characters from 0).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

COLUMNS: tuple[str, ...] = ("materials", "title", "class", "features", "condition")
"""The text columns in the order they are read."""

SET_ASIDE: frozenset[str] = frozenset({"absent", "colour_word", "ingredient", "repeats", "join", "part_name"})
"""Kinds of words that name something and were set aside knowingly: denied or lost (absent), a colour made of
a material's name, what a body is mixed of, said before, a join without a second body, a part not told of."""


@dataclass(frozen=True, slots=True)
class PartReading:
    """One body.  ``material`` is a key, ``<family>_unknown`` or ``unknown``; see ``could_be`` for these."""

    material: str
    family: str
    name: str
    species: str
    span: str
    column: str
    start: int
    features: tuple[str, ...] = ()
    could_be: tuple[str, ...] = ()
    surface: Literal["stated", "silent"] = "silent"
    known_by: Literal["stated", "assumed"] = "stated"


@dataclass(frozen=True, slots=True)
class FeatureReading:
    """Something said of the whole object."""

    key: str
    column: str
    span: str
    start: int


@dataclass(frozen=True, slots=True)
class JoinReading:
    """How two parts hold: ``a`` is the body, ``b`` what sits on or in it (indices into the parts)."""

    kind: str
    a: int
    b: int
    column: str
    span: str
    start: int


@dataclass(frozen=True, slots=True)
class WordReading:
    """A word that is in no part, feature or join: ``kind`` is its harmless class, one of
    :data:`SET_ASIDE`, or '' when nothing is known of it (unread)."""

    word: str
    column: str
    kind: str
    start: int


@dataclass(frozen=True, slots=True)
class TextReading:
    """All that was read of one object."""

    parts: tuple[PartReading, ...] = ()
    features: tuple[FeatureReading, ...] = ()
    joins: tuple[JoinReading, ...] = ()
    words: tuple[WordReading, ...] = ()

    def unread(self) -> tuple[WordReading, ...]:
        """The words nothing is known of."""
        return tuple(word for word in self.words if not word.kind)
