"""Two who looked at once saw different things: the value that a plan takes until somebody settles it.

Of several values the one whose plan asks for more care, so that whoever was right nothing is harmed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

WET_STATES: tuple[str, ...] = (
    "frozen", "dry_with_mud", "under_water", "splashed", "damp_now", "unknown", "damp_air_only",
)  # fmt: skip
"""States of wetness, the more careful plan first.

Frozen things wait for the conservator.  Dried mud adds its own bans to those for wetted things; the next
three and a state that is not known give the same verdicts.  Damp air only comes last: it takes the water off
the list, and with it all that water brings (gloves, the sewage side)."""


def union(values: Sequence[Any]) -> Any:
    """Everything anybody named: a further water, feature or thing done makes no plan milder."""
    return tuple(sorted({one for value in values for one in value}))


def earliest(values: Sequence[Any]) -> Any:
    """The earliest moment anybody named: the hours run out sooner."""
    return min((value for value in values if value is not None), default=None)


def largest(values: Sequence[Any]) -> Any:
    """The largest number anybody named."""
    return max((value for value in values if value is not None), default=None)


def wettest(values: Sequence[Any]) -> Any:
    """The state that comes first in the order above; a word that is not in it is unknown."""
    return min((value if value in WET_STATES else "unknown" for value in values), key=WET_STATES.index)


TAKE: Mapping[str, Callable[[Sequence[Any]], Any]] = {
    "wet_since": earliest,
    "out_since": earliest,
    "water": union,
    "done_already": union,
    "features": union,
    "wet_state": wettest,
    "under_water_h": largest,  # longer under water, soaked deeper
    "hours_wet": largest,  # less time left
    "length_mm": largest,  # more hands to carry it, more room
    "width_mm": largest,
    "height_mm": largest,
    "diameter_mm": largest,
    "thickness_mm": largest,  # dries longer
    "mass_g": largest,  # more hands; a light thing lifted by two comes to no harm
    "dry_mass_g": largest,  # the wet mass to lift is counted from it
    "significance": largest,  # rather too early in the order than too late
    "pieces": largest,  # one piece too many is searched for, one too few is lost
    "site.air_c": largest,  # warm air brings growth
}
"""By key, the more careful of several values."""


def of(key: str, values: Sequence[Any], known: Mapping[str, Any]) -> Any:
    """The value to plan with.  ``known`` are the facts before it: of two who disagree about the hour out of
    the water, one of whom does not know it, the hour of wetting is the earlier start and is taken instead."""
    if key == "out_since" and None in values and known.get("wet_since") is not None:
        return None
    return TAKE[key](values)
