"""Long German and Dutch words, read by the known word they begin or end with."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

LEAST = 4
"""Letters each of the two pieces must have, so that ordinary words do not fall apart."""


@dataclass(frozen=True, slots=True)
class Compounds:
    """The words that may stand in a longer one; see ``compounds.toml``."""

    danger_ends: frozenset[str] = frozenset()
    danger_both: frozenset[str] = frozenset()
    bodies: frozenset[str] = frozenset()
    never: frozenset[str] = frozenset()

    def main_word(self, word: str, foreign: bool) -> str:
        """The known word in a compound, or ''.

        Dangers come before bodies and, among equals, the end before the beginning, because the end
        of such a word tells the thing.  ``foreign``: the column may name bodies in another language.
        """
        if len(word) < 2 * LEAST or not word.isalpha() or word in self.never:
            return ""
        found = _at_end(word, self.danger_ends | self.danger_both) or _at_start(word, self.danger_both)
        if not found and foreign:
            found = _at_end(word, self.bodies) or _at_start(word, self.bodies)
        return found


def _fits(word: str, piece: str) -> bool:
    return len(piece) >= LEAST and len(word) - len(piece) >= LEAST


def _at_end(word: str, pieces: Iterable[str]) -> str:
    """The longest piece the word ends with; a plural -n, -e or -en may follow it."""
    stems = [word, *(word.removesuffix(end) for end in ("en", "n", "e") if word.endswith(end))]
    for stem in stems:
        fitting = [piece for piece in pieces if stem.endswith(piece) and _fits(stem, piece)]
        if fitting:
            return max(fitting, key=len)
    return ""


def _at_start(word: str, pieces: Iterable[str]) -> str:
    return max((p for p in pieces if word.startswith(p) and _fits(word, p)), key=len, default="")
