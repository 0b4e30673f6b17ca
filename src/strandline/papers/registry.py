"""Every paper there is, by name: what it is, and the function that makes it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from strandline.papers.care_card import care_cards
from strandline.papers.class_cards import class_cards
from strandline.papers.compile import CompiledPaper
from strandline.papers.day_sheet import day_sheets
from strandline.papers.hazard_walk import hazard_walk
from strandline.papers.head import Head
from strandline.papers.intake_form import intake_forms
from strandline.papers.list_against_reality import list_against_reality
from strandline.papers.order_sheet import order_sheet
from strandline.papers.owner_advice import owner_advice
from strandline.papers.site_briefing import sign_in, site_briefing
from strandline.papers.tag_sheets import tag_sheets
from strandline.papers.tray_card import tray_cards

Maker = Callable[[Head, Mapping[str, Any]], CompiledPaper]
"""Makes a paper from its head and plain data; the function's docstring lists the keys of the data."""

PAPERS: dict[str, tuple[str, Maker]] = {
    "care_card": ("A6 card of one object: the next thing, what guards you, what may be done", care_cards),
    "tags": ("A4 sheets of blank numbered tags with codes", tag_sheets),
    "class_cards": ("A6 cards of classes of things, printed before the flood", class_cards),
    "tray_card": ("A5 card of a tray: a box per step and tag", tray_cards),
    "day_sheet": ("A4 sheet of one station and half-shift, with the count at hand-over", day_sheets),
    "intake_form": ("A4 form to take one thing in by hand", intake_forms),
    "hazard_walk": ("A4 walk-through in pictures, look only, one a room", hazard_walk),
    "site_briefing": ("A4 briefing for the door", site_briefing),
    "sign_in": ("A4 list of who is in, with head counts", sign_in),
    "owner_advice": ("A4 advice for owners, what not to do first", owner_advice),
    "list_against_reality": ("A4 across: what the list says and what was found", list_against_reality),
    "order_sheet": ("A4 list of the first things in order, each with its reason", order_sheet),
}
