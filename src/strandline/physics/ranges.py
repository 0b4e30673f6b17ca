"""Ranges of validity: a number outside the range its source states is refused, with name and reason."""

from __future__ import annotations

import math


class OutOfRange(ValueError):
    """A quantity lies outside the range within which its equation holds."""

    def __init__(self, name: str, value: float, low: float, high: float, unit: str) -> None:
        self.name, self.value, self.low, self.high, self.unit = name, value, low, high, unit
        said = f"{name} is {value:g} {unit}".rstrip()
        super().__init__(f"{said}; the equation holds from {low:g} to {high:g} {unit}".rstrip())


def within(name: str, value: float, low: float, high: float, unit: str = "") -> float:
    """The value itself if it is a number from low to high (both included).

    Rule: low <= value <= high; NaN and infinities never pass.
    Source: none; a rule of this code.
    Range: any.
    Doubt: none.
    Raises: OutOfRange, which names the quantity, the value and the range.

    >>> within("rh", 0.5, 0.0, 1.0)
    0.5
    """
    if not math.isfinite(value) or not low <= value <= high:
        raise OutOfRange(name, value, low, high, unit)
    return value
