"""Which actions of a plan wait for the lead's answer."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

WATER_AND_DRYING: tuple[str, ...] = (
    "rinse", "immerse", "brush_wet", "blot", "wipe", "drip_dry", "moving_air", "vented_bag", "freeze",
    "hold_wet",
)  # fmt: skip
"""What somebody could do next with a thing that waits for a conservator."""


ON_ROUTE: Mapping[str, tuple[str, ...]] = {
    "dry": ("rinse", "brush_wet", "blot", "drip_dry", "moving_air"),
    "hold_wet": ("rinse", "hold_wet"),
    "freeze": ("freeze",),
    "wait_for_conservator": WATER_AND_DRYING,
}
"""By route, the actions of its water and drying.  While one is referred it is no step at all, so that
the steps do not show it."""


def referrals(result: Mapping[str, Any], left: Collection[str] | None = None) -> list[str]:
    """Actions with the verdict refer that stand in the way: of a step still to come (``left``, by key; None:
    all of them), or of the water and drying of the route.

    Every plan refers some action that nobody wants to do (work it, take it apart); those are not asked about.
    """
    refer = {key for key, one in result["actions"].items() if one["verdict"] == "refer"}
    steps = [step for step in result["steps"] if left is None or step["key"] in left]
    asked = [step["action"] for step in steps if step["action"] in refer]
    asked += [key for key in ON_ROUTE.get(result["route"], ()) if key in refer]
    return list(dict.fromkeys(asked))
