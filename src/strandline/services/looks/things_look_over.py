"""The looking-over: the question that would open a plan up most, and what can be seen on a thing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from strandline.care.assumed import STATE_ANSWERS, SURFACE_ANSWERS, WATER_ANSWERS
from strandline.knowledge import models as m
from strandline.knowledge.base import shipped
from strandline.papers import wording
from strandline.records import translate
from strandline.records.models.facts import Observation
from strandline.records.models.objects import Part
from strandline.records.models.plans import PlanSnapshot
from strandline.services.looks import things_changed
from strandline.services.looks import things_words as words
from strandline.services.looks.asked import HANDS, Asked, Look, incident_of, thing_of
from strandline.services.looks.now import incident_head
from strandline.services.looks.words import CODE

ON_ANY: tuple[str, ...] = ("cracked", "old_repair", "loose_joint", "hollow")
COMMON: Mapping[str, tuple[str, ...]] = {
    "wood": ("bare", "painted", "gilded", "varnished", "flaking_paint", "veneer_lifting", "iron_pins"),
    "metal": ("bare", "painted", "gilded", "plated", "flaking_paint", "corroded_core", "hinged_lid"),
    "ceramic": ("bare", "glazed", "gilded", "painted", "crazed", "salts", "unfired_body"),
    "stone": ("bare", "painted", "gilded", "salts", "iron_pins"),
    "glass": ("gilded", "silvered", "painted", "weeping", "framed_glass"),
    "plant": ("bare", "painted", "tarred", "dyed_unstable", "iron_pins"),
    "skin": ("bare", "painted", "gilded", "red_rot", "hair", "feathered", "dyed_unstable"),
    "bone": ("bare", "painted", "gilded", "inlay_loose"),
    "textile": ("painted", "gilded", "tarred", "dyed_unstable", "composite_textile"),
    "plastic": ("painted", "printed_decoration", "two_metals"),
}
"""Features ticked per family, the surface first; every other one is typed.  Our choice: confidence c."""

SIZES: tuple[tuple[str, float, str], ...] = (
    ("length_mm", 1.0, "mm"), ("width_mm", 1.0, "mm"), ("height_mm", 1.0, "mm"), ("diameter_mm", 1.0, "mm"),
    ("mass_g", 1000.0, "kg"), ("dry_mass_g", 1000.0, "kg"), ("pieces", 1.0, ""),
)  # fmt: skip
"""What is measured or counted: key, how many of its unit go into one that is typed, and that unit."""


def look_over(ask: Asked, code: str, tag: str) -> dict[str, Any]:
    """Questions and ticks about one thing; ``?since=2`` tells what changed since plan 2.

    ``?skip=`` holds questions somebody was not sure of: they come last.
    """
    incident = incident_of(code)
    found = thing_of(incident, tag)
    plan = PlanSnapshot.objects.filter(object=found).order_by("-number").first()
    parts = list(Part.objects.filter(object=found).order_by("order"))
    held = translate.in_force(found)
    skip = [one for one in ask.query.get("skip", "").split(",") if one]
    open_ones = questions(plan, parts, held, skip)
    number = ask.number("since", 0, 1_000_000)
    return {
        "incident": incident_head(incident),
        "tag": found.tag,
        "merged_from": "" if found.tag == tag else tag,
        "title": found.title,
        "plan_no": plan.number if plan else None,
        "stopped": found.stops > 0,
        "question": open_ones[0] if open_ones else None,
        "questions": open_ones[1:],
        "skip": ",".join(skip),
        "parts": [_part(row) for row in parts],
        **_whole(held),
        "materials": [
            {"key": key, "word": one.say, "family": one.family} for key, one in shipped().materials.items()
        ],
        "families": [
            {"key": f"{key}_unknown" if key != "unknown" else key, "word": words.material(f"{key}_unknown")}
            for key in shipped().families
        ],
        "part_features": [
            {"key": key, "word": one.say} for key, one in shipped().features.items() if one.scope == "part"
        ],
        "joins": [{"key": key, "word": words.spaced(key)} for key in m.JOIN_KINDS],
        "changed": things_changed.since(found, number, incident.zone) if number else None,
    }


def questions(
    plan: PlanSnapshot | None, parts: list[Part], held: Mapping[str, Observation], skip: list[str]
) -> list[dict[str, Any]]:
    """The open questions, the most telling first; those somebody was not sure of last."""
    if plan is None:
        return []
    names = {row.key: row.name or row.span or row.key for row in parts}
    rows = [question(one, names, held) for one in plan.result["assumed"]]
    return sorted(rows, key=lambda row: row["fact"] in skip)


def question(
    one: Mapping[str, Any], names: Mapping[str, str], held: Mapping[str, Observation]
) -> dict[str, Any]:
    """A question with what may be answered: buttons, or something typed in a unit."""
    about, _colon, part = one["fact"].partition(":")
    buttons, typed = answers(about, one["answers"])
    row = held.get(about)
    return {
        "fact": one["fact"],
        "about": about,
        "part": part,
        "part_name": names.get(part, ""),
        "ask": one["ask"],
        "changes": one["changes"],
        "buttons": [{"value": value, "word": word} for value, word in buttons],
        "typed": typed,
        "saw": str(row.uid) if row else "",
    }


def answers(about: str, told: list[str]) -> tuple[list[tuple[str, str]], str]:
    """Answers that are buttons (value, word), and what can be typed besides: a kind, '' for nothing."""
    if about == "surface":
        said = {"bare": _("bare"), "paint": _("paint"), "gilding": _("gilding")}
        return [(key, said[word]) for word, key in SURFACE_ANSWERS.items()], "surface"
    if about == "material":
        says = {one.say: key for key, one in shipped().materials.items()}
        return [(says[word], word) for word in told if word in says], "material"
    if about == "water":
        said = {"tap": _("tap"), "river": _("river"), "salt, drains up": _("salt, drains up")}
        return [(",".join(keys), said[word]) for word, keys in WATER_ANSWERS.items()], ""
    if about == "wet_state":
        return [(key, wording.state(key)) for key in STATE_ANSWERS], ""
    if about == "significance":
        return [(str(n), str(n)) for n in range(1, 6)], ""
    return [], TYPED.get(about, "")


TYPED: Mapping[str, str] = {
    "mass_g": "kg", "wet_since": "time", "out_since": "time", "under_water_h": "h", "thickness": "mm",
    "pieces": "count",
}  # fmt: skip


def _part(row: Part) -> dict[str, Any]:
    """A part with what may be ticked on it."""
    known = shipped().features
    common = [*COMMON.get(row.family, ("bare", "painted", "gilded")), *ON_ANY]
    keys = dict.fromkeys([*common, *row.features])
    return {
        "key": row.key,
        "name": row.name or row.span or row.key,
        "material": row.material,
        "material_word": words.material(row.material),
        "known_word": words.known_by(row.known_by),
        "surface_looked_at": row.surface == "stated",
        "thickness_mm": row.thickness_mm,
        "thickness_word": words.known_by(row.thickness_by),
        "ticks": [
            {"key": key, "word": words.feature(key), "on": key in row.features}
            for key in keys
            if key in known and known[key].scope == "part"
        ],
    }


def _whole(held: Mapping[str, Observation]) -> dict[str, Any]:
    """What can be said of the whole thing, and what is known of it."""

    def value(key: str) -> Any:
        return held[key].value if key in held else None

    on_it = value("features") or []
    done = value("done_already") or []
    state = value("wet_state") or "unknown"
    return {
        "sizes": [
            {"key": key, "word": _size_word(key), "unit": unit, "value": _shown(value(key), factor),
             "known_word": words.known_by(held[key].known_by) if key in held else ""}
            for key, factor, unit in SIZES
        ],
        "states": [
            {"key": key, "word": wording.state(key), "on": key == state} for key in (*m.WET_STATES, "unknown")
        ],
        "done": [{"key": key, "word": wording.done(key), "on": key in done} for key in m.DONE_ALREADY],
        "object_features": [
            {"key": key, "word": one.say, "on": key in on_it}
            for key, one in shipped().features.items() if one.scope == "object"
        ],
        "saw": {key: str(row.uid) for key, row in sorted(held.items())},
        "clashes": [words.label(key) for key, row in sorted(held.items()) if row.clash],
    }  # fmt: skip


def _size_word(key: str) -> str:
    return {
        "mass_g": _("weight as it is now"),
        "dry_mass_g": _("weight when dry"),
        "pieces": _("how many pieces"),
    }.get(key, words.spaced(key.removesuffix("_mm")))


def _shown(value: Any, factor: float) -> str:
    return "" if value is None else f"{value / factor:.10g}"


LOOKS: tuple[Look, ...] = (Look("look_over", f"{CODE}/things/<str:tag>/look/", look_over, HANDS),)
