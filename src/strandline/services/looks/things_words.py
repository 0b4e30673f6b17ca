"""Words for what a plan holds: the same on page, in JSON and in the sentence that says what changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from strandline.knowledge.base import shipped
from strandline.papers import when, wording


def verdict(key: str) -> str:
    """What a verdict says, as pages say it."""
    return {"yes": _("yes"), "careful": _("carefully"), "refer": _("ask first"), "no": _("no")}.get(key, key)


def called(part: Mapping[str, Any]) -> str:
    """What a person calls a part: its name, else the words it was read from, else its number."""
    return str(part.get("name") or part.get("span") or part["id"])


def names(parts: Sequence[Mapping[str, Any]]) -> dict[str, str]:
    """What the parts are called, by id."""
    return {part["id"]: called(part) for part in parts}


def material(key: str) -> str:
    """What a material is called; a family stands for what is not known within it."""
    known = shipped()
    if key in known.materials:
        return known.materials[key].say
    family = key.removesuffix("_unknown")
    if family in known.families and family != "unknown":
        return _("%(family)s, not known which") % {"family": known.families[family].say}
    return _("not known") if family == "unknown" else spaced(key)


def feature(key: str) -> str:
    """What a feature is called."""
    known = shipped().features
    return known[key].say if key in known else spaced(key)


def spaced(key: object) -> str:
    """A key as words."""
    return str(key).replace("_", " ")


def route(key: str | None) -> str:
    """What happens to the whole object."""
    return {
        "dry": _("It is dried."),
        "hold_wet": _("It is kept wet."),
        "freeze": _("It is kept frozen."),
        "wait_for_conservator": _("It waits for the conservator."),
    }.get(key or "", "")


def zone(key: str | None) -> str:
    """Where it stands meanwhile."""
    return {
        "slow_dry": _("slow room, 50 to 60 % RH"),
        "mid_dry": _("middle room, 45 to 55 % RH"),
        "fast_dry": _("dry room, below 40 % RH, without heat"),
        "still": _("box with conditioned gel, about 42 % RH"),
        "wet_hold": _("kept wet"),
        "cold_hold": _("kept cold"),
        "hazard_hold": _("apart, stopped"),
        "mould_apart": _("apart, growth"),
        "awaiting_release": _("waiting for release"),
    }.get(key or "", _("not settled") if key is None else spaced(key))


def cover(key: str | None) -> str:
    """What is over it."""
    return {
        "loose_vented_cover": _("under a loose vented cover"),
        "conditioned_box": _("in a conditioned box"),
    }.get(key or "", "")


def limit(key: str, pair: Sequence[float]) -> str:
    """A limit as people read it."""
    low, high = (f"{value:g}" for value in pair)
    if key == "rh_percent":
        return _("air of %(low)s to %(high)s %% RH") % {"low": low, "high": high}
    if key == "air_c":
        return _("air of %(low)s to %(high)s °C") % {"low": low, "high": high}
    if key == "rh_step_percent_per_day":
        return _("the air's RH changed by %(high)s %% a day at most") % {"high": high}
    return f"{spaced(key)}: {low} - {high}"


def wanted(key: str) -> str:
    """What two parts want differently."""
    return {
        "rh_percent": _("how damp the air is"),
        "air_c": _("how warm the air is"),
        "rh_step_percent_per_day": _("how fast the air may change"),
        "route": _("what happens to the whole of it"),
        "rh_percent_of_metal": _("how dry the air for metal is"),
        "rh_percent_of_wood": _("how damp the air for wood is"),
    }.get(key, spaced(key))


def step(key: str) -> str:
    """A step in two or three words, where there is no room for its text."""
    return {
        "look_surface": _("look at its surface"),
        "look_dye": _("look whether colour runs"),
        "look_inside": _("look inside"),
        "look_after_rinse": _("look at it after rinsing"),
        "note_done": _("note what was done to it"),
        "ask_lead_first": _("ask the lead first"),
        "ask_water": _("ask about the water"),
        "drip_dry": _("let it drip"),
        "freeze_ask": _("ask about freezing"),
        "local_air": _("air on one part"),
        "part_colours": _("keep colours apart"),
        "refer_to_conservator": _("ask the conservator"),
        "rinse_salt": _("rinse salt out"),
        "tag": _("tie its tag on"),
        "water_log": _("note the water"),
        "weigh_first": _("weigh it first"),
    }.get(key, spaced(key))


def once_living(told: str) -> str:
    """What a rule about everything that once lived, or never did, rests on."""
    return _("it is of plants or animals") if told == "true" else _("it is of neither plants nor animals")


def unseen(_told: str) -> str:
    """What a rule about a surface nobody has spoken of rests on."""
    return _("nobody has said what is on its surface")


def weight(told: str) -> str:
    """What a rule about weight rests on: ``unknown``, or ``over 20000`` in g."""
    _over, _space, grams = told.partition(" ")
    if not grams:
        return _("its weight is not known")
    return _("it weighs over %(kg)g kg") % {"kg": float(grams) / 1000}


def longest(told: str) -> str:
    """What a rule about size rests on: ``over 1500`` in mm."""
    return _("it is %(told)s mm long") % {"told": told}


def origin(key: str) -> str:
    """What a clock counts from."""
    return {
        "wetted": _("it got wet"),
        "emerged": _("it came out of the water"),
        "dried": _("it dried"),
        "found": _("it was found"),
    }.get(key, spaced(key))


def clock(one: Mapping[str, Any]) -> str:
    """A clock: what happens, how long after what."""
    said = {"key": spaced(one["key"]), "hours": one["at_h"], "origin": origin(one["origin"])}
    return _("%(key)s, %(hours)g h after %(origin)s") % said


def known_by(key: str) -> str:
    """How a fact is known."""
    return {
        "stated": _("said"),
        "seen": _("seen"),
        "measured": _("measured"),
        "assumed": _("taken for granted"),
        "family_worst": _("the worst of its family"),
        "unknown": _("not known"),
    }.get(key, spaced(key))


def confidence(letter: str) -> str:
    """How sure a reason is."""
    return {
        "v": _("read in the source"),
        "m": _("from memory of the source"),
        "c": _("common practice, no published source"),
    }.get(letter, letter)


WATERS: tuple[str, ...] = ("clean", "river", "sea", "brackish", "sewage", "fuel", "chemical", "unknown")


def label(key: str) -> str:
    """What a fact is called."""
    return {
        "wet_since": _("wet since"),
        "out_since": _("out of the water since"),
        "water": _("water"),
        "wet_state": _("how it came"),
        "done_already": _("done to it before"),
        "features": _("seen on it"),
        "under_water_h": _("hours under water"),
        "length_mm": _("length, mm"),
        "width_mm": _("width, mm"),
        "height_mm": _("height, mm"),
        "diameter_mm": _("diameter, mm"),
        "thickness_mm": _("thickness, mm"),
        "mass_g": _("weight as it is now, g"),
        "dry_mass_g": _("weight when dry, g"),
        "significance": _("how much it matters, 1 to 5"),
        "pieces": _("how many pieces"),
        "material": _("material"),
        "surface": _("surface"),
        "site.air_c": _("air there, °C"),
    }.get(key, spaced(key))


SAID: Mapping[str, Any] = {
    "water": wording.water, "wet_state": wording.state, "done_already": wording.done,
    "features": feature, "surface": feature, "material": material,
}  # fmt: skip


def value(key: str, held: Any, time_zone: str) -> str:
    """A fact's value as people read it."""
    say = SAID.get(key, str)
    if held is None or held == []:
        return _("nothing") if held == [] else _("not known")
    if isinstance(held, list):
        return ", ".join(say(one) for one in held)
    if key in {"wet_since", "out_since"}:
        at = when.read(held)
        return when.hour(at, time_zone) if at else str(held)
    if isinstance(held, bool | int | float):
        return f"{held:g}"
    return str(say(held))


def seen(key: str, held: Any, part: str, time_zone: str) -> str:
    """What somebody saw, in a few words."""
    if key == "surface":
        what = _("no paint seen, bare") if held == "bare" else feature(str(held))
    else:
        what = _("%(label)s: %(value)s") % {"label": label(key), "value": value(key, held, time_zone)}
    return f"{part}: {what}" if part else what


def at_hour(at: datetime, time_zone: str) -> str:
    """A moment to the minute in the incident's zone."""
    return when.hour(at, time_zone)
