"""Who may do what."""

from __future__ import annotations

from collections.abc import Mapping

HANDS: frozenset[str] = frozenset({"lead", "conservator", "helper"})
LEAD: frozenset[str] = frozenset({"lead"})
SKILLED: frozenset[str] = frozenset({"lead", "conservator"})

ALL: frozenset[str] = HANDS | {"viewer"}

MAY: Mapping[str, frozenset[str]] = {
    "own_password": ALL,
    "receive": HANDS,
    "claim_row": HANDS,
    "observe": HANDS,
    "observe_part": HANDS,
    "add_part": HANDS,
    "plan": HANDS,
    "move": HANDS,
    "end_step": HANDS,
    "print_paper": HANDS,
    "reserve_tags": HANDS,
    "photograph": HANDS,
    "make_lot": HANDS,
    "fill_lot": HANDS,
    "split_lot": HANDS,
    "make_tray": HANDS,
    "put_on_tray": HANDS,
    "take_off_tray": HANDS,
    "count_tray": HANDS,
    "settle_count": HANDS,
    "end_tray_step": HANDS,
    "record_for": HANDS,
    "came_off": HANDS,
    "find_parent": HANDS,
    "open_batch": HANDS,
    "close_batch": HANDS,
    "merge": SKILLED,
    "split": SKILLED,
    "override": LEAD,
    "answer": LEAD,
    "release_hazard": LEAD,
    "add_place": HANDS,
    "add_party": HANDS,
    "note_hours": HANDS,
    "note_reading": HANDS,
    "strike_out": HANDS,
    "take_in_hand": HANDS,
    "give_back": HANDS,
    "import_list": HANDS,
    "note_walk": HANDS,
    "give_authority": frozenset({"lead", "conservator"}),
    "open_incident": LEAD,
    "change_incident": LEAD,
    "set_crew": LEAD,
    "release_room": LEAD,
    "add_person": LEAD,
    "change_person": LEAD,
    "withdraw_override": LEAD,
}
"""Roles by kind of act; a viewer changes only their own password; a kind that is not here nobody may do."""


def may(role: str, kind: str) -> bool:
    """Whether somebody in this role may do this kind of act."""
    return role in MAY.get(kind, frozenset())
