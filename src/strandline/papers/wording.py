"""Words that papers print of themselves: verdicts, actions, marks.  Sentences about care come in the plan."""

from __future__ import annotations

from functools import lru_cache
from gettext import NullTranslations, translation
from pathlib import Path

LOCALE = Path(__file__).resolve().parent.parent / "locale"


@lru_cache(maxsize=1)
def _words() -> NullTranslations:
    """The installed translation, looked for once: looking takes longer than printing a card."""
    return translation("strandline", str(LOCALE), fallback=True)


def _(text: str) -> str:
    """A text in the language of the practice (English where no translation is installed)."""
    return _words().gettext(text)


def verdict(key: str) -> str:
    """The word for a verdict: never a colour, never a sign alone."""
    return {"yes": _("Yes"), "careful": _("Careful"), "refer": _("Conservator"), "no": _("No")}[key]


def action(key: str) -> str:
    """The word for an action; an unknown key is printed as it stands."""
    words = {
        "lift": _("Lift"),
        "rinse": _("Rinse"),
        "immerse": _("Soak"),
        "brush_wet": _("Brush wet"),
        "blot": _("Blot"),
        "wipe": _("Wipe"),
        "open_up": _("Open"),
        "operate": _("Work it"),
        "drip_dry": _("Let drip"),
        "moving_air": _("Moving air"),
        "warm_air": _("Warm air"),
        "sun": _("Sun"),
        "vented_bag": _("Vented bag"),
        "freeze": _("Freeze"),
        "hold_wet": _("Keep wet"),
        "take_apart": _("Take apart"),
        "support": _("Support"),
        "cover": _("Cover"),
        "dry_brush": _("Brush dry"),
        "turn": _("Turn"),
        "weigh": _("Weigh"),
        "set_apart": _("Set apart"),
    }
    return words.get(key, key.replace("_", " "))


def not_reviewed() -> str:
    """Said on every paper with advice until the rules have been reviewed."""
    return _("These rules are not yet reviewed by a practising conservator.")


def marks() -> str:
    """What the letters behind advice mean."""
    return _("v read in a source · m from memory of one · c common practice")


HANDLING = frozenset({"lift", "turn", "open_up", "operate", "take_apart", "wipe", "dry_brush"})
WATER_ON = frozenset({"rinse", "immerse", "brush_wet", "hold_wet", "wipe", "blot"})
WATER_OFF = frozenset({"blot", "wipe", "drip_dry", "moving_air", "warm_air", "sun", "vented_bag", "freeze"})
PLACE = frozenset({"cover", "vented_bag", "support", "set_apart", "sun", "lift", "turn", "warm_air"})
NEIGHBOURS = (HANDLING, WATER_ON, WATER_OFF, PLACE)


def bearing_on(key: str | None) -> frozenset[str]:
    """Actions a hand may slip into while doing ``key``: their ``no`` bears on that step.

    A step without an action (photograph, look, tag) is one of handling.
    """
    if key is None:
        return HANDLING
    near = frozenset().union(*(group for group in NEIGHBOURS if key in group))
    return near | {key} if near else HANDLING | {key}


def water(key: str) -> str:
    """What the water was; the same word on paper and screen."""
    words = {
        "clean": _("tap or rain"),
        "river": _("river"),
        "sea": _("sea"),
        "brackish": _("brackish"),
        "sewage": _("drains, sewage"),
        "fuel": _("oil, fuel"),
        "chemical": _("chemicals"),
        "unknown": _("not known"),
    }
    return words.get(key) or key.replace("_", " ")


def state(key: str) -> str:
    """How wet it came; the same word on paper and screen."""
    words = {
        "under_water": _("under water"),
        "splashed": _("splashed"),
        "damp_air_only": _("only damp air"),
        "damp_now": _("damp"),
        "dry_with_mud": _("dry, with mud"),
        "frozen": _("frozen"),
        "unknown": _("not known"),
    }
    return words.get(key) or key.replace("_", " ")


def done(key: str) -> str:
    """What was done to it before it came; the same word on paper and screen."""
    words = {
        "wiped": _("wiped"),
        "rinsed": _("rinsed"),
        "heated": _("heated"),
        "bleached": _("bleached"),
        "oiled": _("oiled"),
        "sealed_in_plastic": _("closed in plastic"),
        "frozen": _("frozen"),
        "operated": _("worked or wound"),
        "glued": _("glued"),
        "unknown": _("not known what"),
    }
    return words.get(key) or key.replace("_", " ")
