"""What another plan changes: verdicts loosened or tightened, steps, hazards, limits, clocks.  Pure functions.

Both plans are results as they are kept (without hours).  An action that a plan does not speak of is the
conservator's.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from django.utils.translation import gettext as _

from strandline.knowledge.models import ACTIONS, VERDICT_RANK
from strandline.papers.wording import action as action_word
from strandline.services.looks import things_words as words

Result = Mapping[str, Any]
ABSENT: dict[str, Any] = {"verdict": "refer", "how": None, "because": []}


def changes_of_plan(before: Result, after: Result) -> dict[str, Any]:
    """What differs between two plans of one object, as plain data; ``same`` tells that nothing does."""
    found: dict[str, Any] = {
        "verdicts": list(_verdicts(before, after)),
        "hows": list(_hows(before, after)),
        "steps_new": _only(after["steps"], before["steps"], "text"),
        "steps_gone": _only(before["steps"], after["steps"], "text"),
        "steps_reworded": _reworded(before["steps"], after["steps"]),
        "hazards_new": _hazards(after, before),
        "hazards_gone": _hazards(before, after),
        "released": _released(before, after),
        "route": _two(before["route"], after["route"], words.route),
        "zone": _two(before["zone"], after["zone"], words.zone),
        "cover": _two(_kind(before), _kind(after), words.cover),
        "limits": list(_limits(before, after)),
        "clocks": list(_clocks(before, after)),
        "overruled": sorted(set(after["overrides"]) - set(before["overrides"])),
        "holds_again": sorted(set(before["overrides"]) - set(after["overrides"])),
        "questions_gone": _questions(before, after),
    }
    found["same"] = not any(found.values())
    return found


def _verdicts(before: Result, after: Result) -> Iterator[dict[str, Any]]:
    """Actions of the whole and of single parts whose verdict is another one, in the order papers have."""
    yield from _differing(before["actions"], after["actions"], "")
    was, now = ({part["id"]: part for part in one["parts"]} for one in (before, after))
    for key, part in now.items():
        if key in was:
            yield from _differing(was[key].get("local", {}), part.get("local", {}), words.called(part))


def _differing(was: Mapping[str, Any], now: Mapping[str, Any], part: str) -> Iterator[dict[str, Any]]:
    keys = [key for key in ACTIONS if key in was or key in now]
    for key in keys:
        if part and not (key in was and key in now):
            continue  # a part has its own verdict only where it is milder than that of the whole
        first, second = was.get(key, ABSENT), now.get(key, ABSENT)
        if first["verdict"] == second["verdict"]:
            continue
        milder = VERDICT_RANK[second["verdict"]] < VERDICT_RANK[first["verdict"]]
        yield {
            "action": key,
            "word": action_word(key),
            "part": part,
            "was": first["verdict"],
            "is": second["verdict"],
            "way": "loosened" if milder else "tightened",
            "how": second.get("how") or "",
            "rules_gone": _rules(first, second),
            "rules_new": _rules(second, first),
        }


def _rules(one: Mapping[str, Any], other: Mapping[str, Any]) -> list[dict[str, str]]:
    """Reasons of one verdict that the other does not have."""
    have = {(reason["rule"], reason.get("verdict")) for reason in other.get("because", ())}
    return [
        {"rule": reason["rule"], "why": reason["why"]}
        for reason in one.get("because", ())
        if (reason["rule"], reason.get("verdict")) not in have
    ]


def _hows(before: Result, after: Result) -> Iterator[dict[str, str]]:
    """Actions with the same verdict that are done in another manner."""
    for key in ACTIONS:
        was, now = before["actions"].get(key), after["actions"].get(key)
        if was and now and was["verdict"] == now["verdict"] and was["how"] != now["how"]:
            yield {"action": key, "word": action_word(key), "was": was["how"] or "", "is": now["how"] or ""}


def _only(rows: list[Any], others: list[Any], text: str) -> list[dict[str, Any]]:
    have = {row["key"] for row in others}
    return [{"key": row["key"], "text": row[text]} for row in rows if row["key"] not in have]


def _reworded(before: list[Any], after: list[Any]) -> list[dict[str, str]]:
    was = {row["key"]: (row["text"], row["role"]) for row in before}
    return [
        {"key": row["key"], "text": row["text"]}
        for row in after
        if row["key"] in was and was[row["key"]] != (row["text"], row["role"])
    ]


def _hazards(one: Result, other: Result) -> list[dict[str, str]]:
    have = {hazard["key"] for hazard in other["hazards"]}
    return [
        {"key": hazard["key"], "grade": hazard["grade"], "say": hazard["say"]}
        for hazard in one["hazards"]
        if hazard["key"] not in have
    ]


def _released(before: Result, after: Result) -> list[str]:
    """Stops that are none any more."""
    now = {hazard["key"] for hazard in after["hazards"] if hazard.get("released")}
    return [one["key"] for one in before["hazards"] if one["grade"] == "stop" and one["key"] in now]


def _two(was: str | None, now: str | None, say: Any) -> dict[str, Any] | None:
    if was == now:
        return None
    return {"was": was, "is": now, "was_word": say(was), "is_word": say(now)}


def _kind(result: Result) -> str | None:
    return result["cover"]["kind"] if result["cover"] else None


def _limits(before: Result, after: Result) -> Iterator[dict[str, Any]]:
    for key in sorted({*before["limits"], *after["limits"]}):
        was, now = before["limits"].get(key), after["limits"].get(key)
        if was != now:
            yield {
                "limit": key,
                "was": was,
                "is": now,
                "was_word": words.limit(key, was) if was else "",
                "is_word": words.limit(key, now) if now else "",
            }


def _clocks(before: Result, after: Result) -> Iterator[dict[str, Any]]:
    was, now = (
        {(one["key"], one["origin"]): one["at_h"] for one in held["clocks"]} for held in (before, after)
    )
    for key in sorted({*was, *now}):
        if was.get(key) != now.get(key):
            yield {"key": key[0], "origin": key[1], "was_h": was.get(key), "is_h": now.get(key)}


def _questions(before: Result, after: Result) -> list[str]:
    """Questions that nobody needs to ask any more."""
    open_now = {one["fact"] for one in after["assumed"]}
    return [one["ask"] for one in before["assumed"] if one["fact"] not in open_now]


def sentences(found: Mapping[str, Any], because: str = "") -> list[str]:
    """The changes as sentences; ``because`` says what came to be known in between, '' for nothing."""
    told = [_verdict_sentence(one, because) for one in found["verdicts"]]
    told += [
        _("%(action)s is done another way: %(how)s") % {"action": one["word"], "how": one["is"]}
        for one in found["hows"]
    ]
    told += [_("New hazard: %(say)s") % {"say": one["say"]} for one in found["hazards_new"]]
    told += [_("No hazard any more: %(say)s") % {"say": one["say"]} for one in found["hazards_gone"]]
    told += [_("The stop %(stop)s was released.") % {"stop": words.spaced(one)} for one in found["released"]]
    told += [_("New step: %(text)s") % {"text": one["text"]} for one in found["steps_new"]]
    told += [_("Withdrawn step: %(text)s") % {"text": one["text"]} for one in found["steps_gone"]]
    told += [_("This step changed: %(text)s") % {"text": one["text"]} for one in found["steps_reworded"]]
    return [*told, *_elsewhere(found)]


def _verdict_sentence(one: Mapping[str, Any], because: str) -> str:
    said = {
        "action": f"{one['word']} ({one['part']})" if one["part"] else one["word"],
        "was": words.verdict(one["was"]),
        "now": words.verdict(one["is"]),
        "because": because.rstrip("."),
    }
    if because:
        return _("%(action)s was %(was)s, is %(now)s, because %(because)s.") % said
    return _("%(action)s was %(was)s, is %(now)s.") % said


def _elsewhere(found: Mapping[str, Any]) -> list[str]:
    """Sentences about where it goes and what it needs there."""
    told = [found["route"]["is_word"]] if found["route"] else []
    if found["zone"]:
        told.append(_("It goes to: %(zone)s.") % {"zone": found["zone"]["is_word"]})
    if found["cover"]:
        told.append(_("Cover: %(cover)s.") % {"cover": found["cover"]["is_word"] or _("none")})
    for one in found["limits"]:
        told.append(_limit_sentence(one))
    for one in found["clocks"]:
        told.append(_clock_sentence(one))
    return told


def _limit_sentence(one: Mapping[str, Any]) -> str:
    if not one["is_word"]:
        return _("No limit any more: %(was)s.") % {"was": one["was_word"]}
    if not one["was_word"]:
        return _("New limit: %(now)s.") % {"now": one["is_word"]}
    return _("It needs %(now)s; it was %(was)s.") % {"now": one["is_word"], "was": one["was_word"]}


def _clock_sentence(one: Mapping[str, Any]) -> str:
    said = {"key": words.spaced(one["key"]), "origin": words.origin(one["origin"]), "was": one["was_h"],
            "now": one["is_h"]}  # fmt: skip
    if one["is_h"] is None:
        return _("No clock for %(key)s any more.") % said
    if one["was_h"] is None:
        return _("New clock: %(key)s, %(now)g h after %(origin)s.") % said
    return _("Clock for %(key)s: %(now)g h after %(origin)s, was %(was)g h.") % said
