"""Which sides of the conflict rules something fills, as sets of rules (bit n: the n-th conflict rule)."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from functools import lru_cache

from strandline.knowledge import models as m

FIELDS: tuple[str, ...] = ("materials", "families", "features", "waters")

Fills = tuple[int, int]
"""The rules whose side a is filled, and those whose side b is."""


class SideIndex:
    """Conflict rules by number, and for each of their sides what its fields allow.

    A side that names nothing is filled by nothing.
    """

    def __init__(self, rules: Sequence[m.ConflictRule]) -> None:
        self.rules = tuple(rules)
        self.a = [self._field([rule.a for rule in rules], name) for name in FIELDS]
        self.b = [self._field([rule.b for rule in rules], name) for name in FIELDS]
        self.asks_a = self.mask(lambda rule: _asks(rule.a))
        self.asks_b = self.mask(lambda rule: _asks(rule.b))
        self.only_water = self.mask(lambda rule: _only_water(rule.a) or _only_water(rule.b))
        self.filled = lru_cache(maxsize=4096)(self._filled)

    def mask(self, wanted: Callable[[m.ConflictRule], bool]) -> int:
        """The rules for which ``wanted`` holds."""
        return sum(1 << n for n, rule in enumerate(self.rules) if wanted(rule))

    def _field(self, sides: list[m.Side], name: str) -> tuple[int, dict[str, int]]:
        """The sides that ask nothing in a field, and those that name each key there."""
        free, named = 0, dict[str, int]()
        for n, side in enumerate(sides):
            keys = getattr(side, name)
            free |= 0 if keys else 1 << n
            for key in keys:
                named[key] = named.get(key, 0) | 1 << n
        return free, named

    def _filled(
        self,
        materials: tuple[str, ...],
        families: frozenset[str],
        features: frozenset[str],
        waters: tuple[str, ...],
    ) -> Fills:
        """The sides that something of these materials, families, features and waters fills."""
        answers = (materials, families, features, waters)
        return self.asks_a & _allowed(self.a, answers), self.asks_b & _allowed(self.b, answers)

    def each(self, held: int) -> Iterator[tuple[int, m.ConflictRule]]:
        """The rules of a set with their bits, in the order of the knowledge."""
        while held:
            lowest = held & -held
            yield lowest, self.rules[lowest.bit_length() - 1]
            held ^= lowest


def _asks(side: m.Side) -> bool:
    return any(getattr(side, name) for name in FIELDS)


def _only_water(side: m.Side) -> bool:
    return bool(side.waters) and not (side.materials or side.families or side.features)


def _allowed(fields: list[tuple[int, dict[str, int]]], answers: tuple[Collection[str], ...]) -> int:
    held = -1
    for (free, named), keys in zip(fields, answers, strict=True):
        allowed = free
        for key in keys:
            allowed |= named.get(key, 0)
        held &= allowed
    return held
