"""What can be tapped at intake: its words for people, and its words for the reader of lists."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from django.utils.translation import gettext as _

from strandline.knowledge.models import DONE_ALREADY, WET_STATES
from strandline.papers import wording
from strandline.papers.pictures import look_for


@cache
def said() -> Mapping[str, Mapping[str, str]]:
    """By group (hazard, material, seen) and key, what a tap says in a cell of a list."""
    file = Path(__file__).with_name("taking_in_words.toml")
    return tomllib.loads(file.read_text(encoding="utf-8"))


def hazards() -> dict[str, str]:
    """The ten pictures, by key."""
    return {one["key"]: one["say"] for one in look_for()}


def materials() -> dict[str, str]:
    """What a thing may be made of, the commonest first; the last is the easiest."""
    return {
        "wood": _("wood"),
        "iron": _("iron or steel"),
        "brass": _("brass or bronze"),
        "metal": _("other metal"),
        "glazed": _("glazed pot"),
        "bare_clay": _("bare clay pot"),
        "plaster": _("plaster"),
        "stone": _("stone"),
        "glass": _("glass"),
        "leather": _("leather"),
        "cloth": _("cloth"),
        "rope": _("rope"),
        "basketry": _("basketry"),
        "bone": _("bone or ivory"),
        "plastic": _("plastic, rubber"),
        "not_sure": _("not sure"),
    }


def states() -> dict[str, str]:
    """States on arrival; '' is not sure."""
    words = {
        "under_water": _("still wet or dripping"),
        "splashed": _("splashed"),
        "damp_now": _("damp"),
        "damp_air_only": _("only damp air reached it"),
        "dry_with_mud": _("dry, with mud on it"),
        "frozen": _("frozen"),
    }
    return {**{key: words[key] for key in sorted(WET_STATES, key=list(words).index)}, "": _("not sure")}


def done() -> dict[str, str]:
    """What may have been done to a thing before it came."""
    return {key: wording.done(key) for key in DONE_ALREADY}


def seen() -> dict[str, str]:
    """What may be seen on a thing without touching it."""
    return {
        "paint": _("paint"),
        "gilding": _("gilding"),
        "veneer": _("veneer"),
        "label": _("paper label"),
        "loose": _("loose parts"),
        "crack": _("cracks"),
        "repair": _("old repair"),
        "mould": _("mould"),
        "hollow": _("hollow inside"),
        "bare": _("looked: bare, no paint, no gilding"),
    }


def tiles(words: Mapping[str, str]) -> list[dict[str, str]]:
    """Words as data, in their order."""
    return [{"key": key, "say": say} for key, say in words.items()]
