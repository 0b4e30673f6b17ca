"""What papers need of one object of ``strandline.care/1``: stops, guards, next steps, verdicts that bear."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any

from strandline.knowledge.models import ACTIONS
from strandline.papers import when
from strandline.papers.wording import _, action, bearing_on, verdict

Object = Mapping[str, Any]
WEAKER = "vmc"
"""Marks from the strongest to the weakest."""

COMING = 2
"""How many steps with an action count as the next ones: their verdicts stand on the card."""


def hazards(o: Object, grade: str, scope: str) -> list[Mapping[str, Any]]:
    """The hazards of one grade and scope, in the order of the plan."""
    return [h for h in o.get("hazards", ()) if h["grade"] == grade and h.get("scope", "object") == scope]


def stops(o: Object) -> list[dict[str, Any]]:
    """Every stop of the object: what to say, how far off, whom to call."""
    found = []
    for hazard in hazards(o, "stop", "object"):
        keep = hazard.get("keep_m")
        found.append(
            {
                "say": hazard["say"],
                "keep": _("Keep {n}\u00a0m away.").format(n=f"{keep:g}") if keep else "",
                "call": _("Call: {whom}").format(whom=hazard["call"]) if hazard.get("call") else "",
                "whom": str(hazard.get("call") or ""),
                "mark": mark(hazard.get("because", ())),
            }
        )
    return found


def waits_for(o: Object) -> str:
    """The one line that stands for every verdict while a stop holds; '' where none does."""
    held = stops(o)
    if not held:
        return ""
    whom = list(dict.fromkeys(stop["whom"] for stop in held if stop["whom"])) or [_("whom the lead names")]
    return _("Nothing is done to it until release is recorded by: {whom}.").format(whom="; ".join(whom))


def guards(o: Object) -> list[dict[str, str]]:
    """Guards and notes of the object itself, in full."""
    found = []
    for grade in ("guard", "note"):
        for hazard in hazards(o, grade, "object"):
            found.append({"say": hazard["say"], "mark": mark(hazard.get("because", ()))})
    return found


def site_line(o: Object) -> str:
    """One line that names the hazards of the whole site; they are said in full at the briefing."""
    found = [f"{_('STOP')} {h['key'].replace('_', ' ')}" for h in hazards(o, "stop", "site")]
    found += [h["key"].replace("_", " ") for grade in ("guard", "note") for h in hazards(o, grade, "site")]
    return _("Whole site, as briefed: {what}.").format(what=", ".join(found)) if found else ""


def mark(because: Iterable[Mapping[str, Any]]) -> str:
    """The weakest mark among reasons: v, m or c; '' where none is given."""
    letters = [str(reason.get("confidence", "")) for reason in because]
    known = [letter for letter in letters if letter and letter in WEAKER]
    return max(known, key=WEAKER.index) if known else ""


def steps_left(o: Object, done: Collection[str]) -> list[Mapping[str, Any]]:
    """Steps not yet done, in order; ``done`` holds step keys."""
    return [step for step in o.get("steps", ()) if step["key"] not in done]


def more_line(left: Sequence[Mapping[str, Any]], shown: int) -> str:
    """How many steps are not printed, '' if none."""
    more = len(left) - shown
    return _("and {n} more steps in the plan").format(n=more) if more > 0 else ""


def step_line(step: Mapping[str, Any]) -> dict[str, Any]:
    """A step for printing: number, text, and who may do it if not everybody."""
    alone = step.get("role") != "conservator"
    people = int(step.get("people") or 1)
    hands = _("{n} people").format(n=people) if people > 1 else ""
    return {
        "n": step["n"],
        "text": step["text"],
        "role": "" if alone else _("Conservator"),
        "hands": hands,
    }


def next_by(o: Object, step: Mapping[str, Any], as_of: datetime, zone: str) -> str:
    """By which half-day a step is due, as a helper reads it: now under a stop; '' where no hour is known."""
    if stops(o):
        return _("now")
    if not step.get("by"):
        return ""
    at = when.due(step["by"], o.get("facts", {}))
    return when.by_half_day(at, as_of, zone) if at else ""


def verdict_rows(o: Object, left: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Verdicts of the next actions among the steps left, local ones of parts before that of the whole.

    Where the steps name fewer than two actions, those that are allowed fill up.
    """
    coming = [step["action"] for step in left if step.get("action")]
    allowed = [key for key in ACTIONS if said(o, key) in {"yes", "careful"}]
    rows = []
    for key in ordered(list(dict.fromkeys([*coming, *allowed]))[:COMING]):
        rows += local_rows(o, key)
        rows.append(_row(key, "", o.get("actions", {}).get(key)))
    return rows


def no_words(o: Object, step: Mapping[str, Any] | None) -> list[str]:
    """Words of every ``no`` that bears on a step; what one part alone allows is said beside it."""
    key = step.get("action") if step else None
    found = []
    for one in ordered(bearing_on(key)):
        if said(o, one) == "no":
            names = [called(part) for part in o.get("parts", ()) if one in part.get("local", {})]
            but = _("{action} (but see {part})").format(action=action(one), part=", ".join(names))
            found.append(but if names else action(one))
    return found


def called(part: Mapping[str, Any]) -> str:
    """What a person calls a part: its name, else the words it was read from, else its number."""
    return str(part.get("name") or part.get("span") or part["id"])


def local_rows(o: Object, key: str) -> list[dict[str, Any]]:
    """The verdicts of single parts on one action, where they differ from the whole's."""
    rows = []
    for part in o.get("parts", ()):
        held = part.get("local", {}).get(key)
        if held:
            rows.append(_row(key, called(part), held))
    return rows


def whole_rows(o: Object, keys: Iterable[str]) -> list[dict[str, Any]]:
    """The whole object's verdicts on these actions, with how."""
    return [_row(key, "", o.get("actions", {}).get(key)) for key in keys]


def _row(key: str, part: str, held: Mapping[str, Any] | None) -> dict[str, Any]:
    if held is None:
        held = {"verdict": "refer", "how": _("Not in the plan: ask."), "because": ()}
    hows = [held.get("how") or "", *held.get("also", ())]
    asked = held.get("provisional")
    if asked:
        hows.append(_("Look first: {ask}").format(ask=asked["ask"]))
    return {
        "action": action(key),
        "part": _("{part} only").format(part=part) if part else "",
        "key": held["verdict"],
        "verdict": verdict(held["verdict"]),
        "no": held["verdict"] == "no",
        "how": " ".join(how for how in hows if how),
        "mark": mark(held.get("because", ())),
    }


def said(o: Object, key: str) -> str:
    """The verdict on an action; one that is not in the plan is the conservator's."""
    held = o.get("actions", {}).get(key)
    return str(held["verdict"]) if held else "refer"


def ordered(keys: Collection[str]) -> list[str]:
    """Actions in the order papers print them, unknown ones behind."""
    known = [key for key in ACTIONS if key in keys]
    return known + sorted(set(keys) - set(known))


def words_with(o: Object, wanted: str, but: Collection[str] = ()) -> str:
    """All actions with one verdict, as one line of words, without those printed elsewhere."""
    return ", ".join(action(key) for key in ACTIONS if said(o, key) == wanted and action(key) not in but)


def holding(o: Object, as_of: datetime, zone: str) -> dict[str, Any]:
    """The holding instruction: what anybody may do now, until when that is good, what is lost after.

    Under a stop no hour and no loss is told: nobody is hurried towards it.
    """
    held = o.get("holding") or {}
    if stops(o):
        return {"do": list(held.get("do", ())), "good": "", "lost": ""}
    until = when.read(held.get("good_until"))
    good = ""
    if until and until > as_of:
        good = _("Good until {time}.").format(time=when.hour(until, zone))
    elif until:
        good = _("Then tell the lead at once.")
    lost = held.get("lost_after") or ""
    return {
        "do": list(held.get("do", ())),
        "good": good,
        "lost": _("After that: {what}").format(what=lost) if lost and until and until > as_of else lost,
    }


def overrides(o: Object) -> list[str]:
    """What the practice changed, with its reason, for printing; from the object and from its reasons."""
    noted = _noted(o)
    found = []
    for change in o.get("overrides", ()):
        if isinstance(change, str):
            # A mark: level, person and reason.  Those of actions are told below with their rule.
            if change not in {note for _, note in noted}:
                found.append(change)
            continue
        value = change.get("value", change.get("set"))
        if isinstance(value, Mapping):
            value = ", ".join(f"{key}: {word}" for key, word in value.items())
        person = change.get("person", "")
        found.append(f"{change.get('target', '')}: {value}. {change.get('reason', '')} ({person})")
    for rule, note in noted:
        if not any(rule in line for line in found):
            found.append(f"{rule}: {note}")
    return found


def _noted(o: Object) -> list[tuple[str, str]]:
    held = [*o.get("actions", {}).values()]
    held += [verdict for part in o.get("parts", ()) for verdict in part.get("local", {}).values()]
    reasons = [reason for one in held for reason in one.get("because", ()) if reason.get("override")]
    return sorted({(str(reason["rule"]), str(reason["override"])) for reason in reasons})


def question(o: Object) -> str:
    """The one question whose answer would change most, '' if none would change anything."""
    asked = [one for one in o.get("assumed", ()) if one.get("changes")]
    return str(max(asked, key=lambda one: int(one["changes"]))["ask"]) if asked else ""
