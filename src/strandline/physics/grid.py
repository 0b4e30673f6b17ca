"""The grid of a drying body: vertices from the middle to the surface, close together where it dries first."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

SHAPES = ("plane", "cylinder", "sphere")
"""The index of a shape here is its exponent m: areas grow as x^m from the middle."""
MOST_CELLS = 320
"""The drying engine keeps room for so many cells."""
USUAL = {"plane": (2.0, 0.0), "cylinder": (2.8, 0.2), "sphere": (2.8, 0.2)}
"""Power and even part of a shape's grid where nothing else is asked for: round bodies hold most in their
skin, so that a grid that crowds only there is too coarse a little deeper."""
STEEP_POWER = 2.6
"""The power used where strain is asked for, whose peak sits in the outermost skin."""


@dataclass(frozen=True, slots=True)
class Grid:
    """Vertices and control volumes of one shape, the distance from the middle scaled to 1.

    ``x`` and ``volume`` have cells + 1 entries, the volumes add up to 1; ``conductance`` has cells entries:
    (area of the face between two vertices) / (their distance) / (volume of the body).
    """

    shape: str
    x: Floats
    volume: Floats
    conductance: Floats

    @property
    def surface_per_volume(self) -> float:
        """Surface over volume of a body whose half thickness or radius is 1: 1, 2 or 3."""
        return SHAPES.index(self.shape) + 1.0


@lru_cache(maxsize=32)
def grid(shape: str, cells: int, power: float | None = None) -> Grid:
    """A grid refined to the surface; without a power, that of the shape.

    Equation: x_i = 1 - (s^power + even s) / (1 + even), s = 1 - i/cells, even = 0 where a power is given;
    faces midway between vertices; a vertex owns what lies between its faces, so the outermost one is the
    surface.
    Source: finite-volumes (conservative vertex-centred finite volumes).
    Range: 2 to 320 cells, power 1 (even) to 4.
    Doubt: error falls with the square of the number of cells.
    Raises: ValueError for another shape, number or power.

    >>> grid("plane", 4, 1.0).volume.tolist()
    [0.125, 0.25, 0.25, 0.25, 0.125]
    """
    if shape not in SHAPES or not 2 <= cells <= MOST_CELLS or not 1.0 <= (power or 1.0) <= 4.0:
        raise ValueError(f"no grid for shape {shape!r}, {cells} cells, power {power}")
    exponent = SHAPES.index(shape)
    bent, even = USUAL[shape] if power is None else (power, 0.0)
    s = 1.0 - np.arange(cells + 1) / cells
    x = 1.0 - (s**bent + even * s) / (1.0 + even)
    faces = 0.5 * (x[1:] + x[:-1])
    enclosed = np.concatenate(([0.0], faces, [1.0])) ** (exponent + 1)
    conductance = (exponent + 1) * faces**exponent / np.diff(x)
    return Grid(shape, x, np.diff(enclosed), conductance)
