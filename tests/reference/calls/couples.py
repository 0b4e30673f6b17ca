"""How the values in couples.csv are asked of our own functions, where a name alone does not do."""

from __future__ import annotations

from strandline.knowledge import metals
from strandline.physics import couples


def index_v(metal: str) -> float:
    """Anodic index of a metal."""
    return metals.anodic_index_v(metal)


def difference_of(first: str, second: str) -> float:
    """Difference of the indices of two metals."""
    return couples.difference_v(metals.anodic_index_v(first), metals.anodic_index_v(second))


def which(first: str, second: str) -> float:
    """1 where the first of two metals suffers, 2 where the second does."""
    return float(couples.suffering(metals.anodic_index_v(first), metals.anodic_index_v(second)))


def part(first: str, second: str, environment: str) -> float:
    """1 where two metals should be parted."""
    one, two = metals.anodic_index_v(first), metals.anodic_index_v(second)
    return float(couples.couple(first, one, second, two, environment).part)
