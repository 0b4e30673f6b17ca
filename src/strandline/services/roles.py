"""Who may do what."""

from __future__ import annotations

from collections.abc import Mapping

HANDS: frozenset[str] = frozenset({"lead", "conservator", "helper"})
LEAD: frozenset[str] = frozenset({"lead"})

MAY: Mapping[str, frozenset[str]] = {
    "receive": HANDS,
    "claim_row": HANDS,
    "observe": HANDS,
    "plan": HANDS,
    "move": HANDS,
    "end_step": HANDS,
    "print_paper": HANDS,
    "override": LEAD,
    "release_hazard": LEAD,
}
"""Roles by kind of act; a viewer does nothing, and a kind that is not here nobody may do."""


def may(role: str, kind: str) -> bool:
    """Whether somebody in this role may do this kind of act."""
    return role in MAY.get(kind, frozenset())
