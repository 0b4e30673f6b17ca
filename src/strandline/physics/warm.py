"""The drying engine's first call, paid before anybody waits for it."""

from __future__ import annotations

from strandline.physics.diffusivity import constant
from strandline.physics.engine import FOREVER_H, Body, Piece, dry
from strandline.physics.isotherm import Isotherm


def warm() -> float:
    """Compile the engine, or load it, by drying one small body; its mean moisture after an hour [kg/kg].

    Rule: one body, one hour, with and without strain.
    Source: none; a rule of this code.
    Range: any.
    Doubt: none.

    >>> 0.0 < warm() < 0.6
    True
    """
    piece = Piece(FOREVER_H, Isotherm(0.05, 0.8, 6.0, 2.0), constant(1e-10), 0.0173, 0.003)
    body = Body("plane", 0.01, 500.0, (piece,), 0.6, ((0.0, 0.5),))
    return float(dry([body], [1.0]).mean[0, 0])
