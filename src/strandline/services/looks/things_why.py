"""Why a plan says what it says, and the numbers behind it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.translation import gettext as _

from strandline.knowledge.base import shipped
from strandline.knowledge.models import ACTIONS
from strandline.papers import wording
from strandline.papers.wording import action as action_word
from strandline.pipeline.ordering import SHARES
from strandline.records.models.objects import Object
from strandline.records.models.plans import PlanSnapshot
from strandline.services.looks import things_plan
from strandline.services.looks import things_words as words
from strandline.services.looks.asked import Asked, Look, NotThere, incident_of, iso, thing_of
from strandline.services.looks.now import incident_head
from strandline.services.looks.things_hours import hours_at
from strandline.services.looks.words import CODE

Result = Mapping[str, Any]


def planned(code: str, tag: str) -> tuple[dict[str, Any], Object, PlanSnapshot, dict[str, Any]]:
    """The head of a page about a plan, the object, its newest plan and that plan's result with names."""
    incident = incident_of(code)
    found = thing_of(incident, tag)
    plan = PlanSnapshot.objects.select_related("knowledge").filter(object=found).order_by("-number").first()
    if plan is None:
        raise NotThere(_("%(tag)s has no plan yet") % {"tag": found.tag})
    head = {
        "incident": incident_head(incident),
        "tag": found.tag,
        "merged_from": "" if found.tag == tag else tag,
        "title": found.title,
        "plan_no": plan.number,
        "short_id": plan.short_id,
        "made_at": iso(plan.made_at),
    }
    return head, found, plan, things_plan.named(plan.result)


def why(ask: Asked, code: str, tag: str) -> dict[str, Any]:
    """Every reason of the newest plan: rule, why, sources, how sure, and who overruled it."""
    head, found, plan, result = planned(code, tag)
    called = words.names(result["parts"])
    return {
        **head,
        "actions": list(_actions(result, called)),
        "route": {
            "word": words.route(result["route"]),
            "reasons": reasons(result["route_because"], called),
        },
        "limits": [
            {
                "key": key,
                "word": words.limit(key, result["limits"][key])
                if key in result["limits"]
                else words.spaced(key),
                "reasons": reasons(because, called),
            }
            for key, because in result["limits_because"].items()
        ],
        "clocks": [
            {
                "key": one["key"],
                "word": words.clock(one),
                "part": called.get(one["part"], one["part"]),
                "reasons": reasons(one["because"], called),
            }
            for one in result["clocks"]
        ],
        "hazards": [
            {
                "key": one["key"],
                "grade": one["grade"],
                "say": one["say"],
                "reasons": reasons(one["because"], called),
            }
            for one in result["hazards"]
        ],
        "conflicts": [
            {"id": one["id"], "how": one["how"], "reasons": reasons(one["because"], called)}
            for one in result["conflicts"]
        ],
        "disagreements": [_views(one) for one in result["disagreements"]],
        "holding": {"do": list(result["holding"]["do"]), "rules": list(result["holding"]["rules"])},
        "overrides": things_plan.overrides(found, plan, result),
        "reviewed": shipped().reviewed,
    }


def _actions(result: Result, called: Mapping[str, str]) -> Iterable[dict[str, Any]]:
    """Every verdict with its reasons, of the whole and of single parts."""
    for key in ACTIONS:
        held = [("", result["actions"][key])] if key in result["actions"] else []
        held += [
            (words.called(part), part["local"][key])
            for part in result["parts"]
            if key in part.get("local", {})
        ]
        for part, one in held:
            yield {
                "action": key,
                "word": action_word(key),
                "part": part,
                "verdict": one["verdict"],
                "how": one.get("how") or "",
                "reasons": reasons(one["because"], called),
            }


def reasons(because: Iterable[Mapping[str, Any]], called: Mapping[str, str]) -> list[dict[str, Any]]:
    """Reasons as people read them."""
    return [
        {
            "rule": one["rule"],
            "why": one["why"],
            "verdict": one.get("verdict", ""),
            "confidence": one["confidence"],
            "sure": words.confidence(one["confidence"]),
            "sources": sources(one["source"]),
            "rests_on": [_fact(fact) for fact in one["facts"]],
            "parts": [called.get(part, part) for part in one["parts"]],
            "override": one.get("override", ""),
        }
        for one in because
    ]


def sources(cites: Iterable[Mapping[str, str]]) -> list[dict[str, str]]:
    """Sources with their titles and the place that says so."""
    known = shipped().sources
    found = []
    for cite in cites:
        source = known.get(cite["key"])
        found.append(
            {
                "key": cite["key"],
                "title": source.title if source else "",
                "publisher": source.publisher if source else "",
                "at": cite["at"],
            }
        )
    return found


FACTS: Mapping[str, Any] = {
    "material": words.material, "feature": words.feature, "water": wording.water, "wet_state": wording.state,
    "done": wording.done, "done_already": wording.done, "surface": words.unseen, "organic": words.once_living,
    "mass_g": words.weight, "longest_mm": words.longest,
}  # fmt: skip


def _fact(text: str) -> str:
    """What a reason rests on, as words."""
    kind, _colon, key = text.partition(":")
    return str(FACTS.get(kind, words.spaced)(key)) if key else words.spaced(text)


def _views(one: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "about": words.wanted(one["about"]),
        "views": [
            {
                "say": view["say"],
                "sure": words.confidence(view["confidence"]),
                "sources": sources(view["source"]),
            }
            for view in one["views"]
        ],
        "taken": one["taken"],
        "why": one["why"],
        "then": one["then"],
    }


def working(ask: Asked, code: str, tag: str) -> dict[str, Any]:
    """The numbers behind the newest plan: what made it, clocks, limits, thicknesses, what was assumed."""
    head, found, plan, result = planned(code, tag)
    hours = hours_at(plan.facts, result, ask.at)
    facts = plan.facts["facts"]
    return {
        **head,
        "plan_sha256": plan.sha256,
        "knowledge": {
            "version": plan.knowledge.version,
            "sha256": plan.knowledge.sha256,
            "overrides_sha256": plan.knowledge.overrides_sha256,
            "engine_version": plan.knowledge.engine_version,
        },
        "as_of": iso(ask.at),
        "hours_left": hours.hours_left,
        "good_until": iso(hours.good_until),
        "good_until_h": hours.good_until_h,
        "clocks": things_plan.clocks(result, hours, ask.at),
        "limits": things_plan.limits(result["limits"]),
        "parts": [_part(one) for one in result["parts"]],
        "joins": [
            {**one, "parts": [words.names(result["parts"]).get(part, part) for part in one["parts"]]}
            for one in plan.facts["joins"]
        ],
        "facts": [
            _known(key, value, facts["known_by"].get(key, ""), head["incident"]["zone"])
            for key, value in facts.items() if key not in {"known_by", "site", "released"}
        ],
        "assumed": [
            {**one, "value": _shown(one["value"]), "part_name": things_plan.asked_of(one["fact"], result)}
            for one in result["assumed"]
        ],
        "steps": [
            {"key": one["key"], "minutes": one["minutes"], "people": one["people"], "station": one["station"],
             "rules": list(one["rules"])}
            for one in result["steps"]
        ],
        "read": list(result["read"]),
        "harmless": list(result["harmless"]),
        "unread": list(result["unread"]),
        "overrides": things_plan.overrides(found, plan, result),
        "counts": _counts(result),
        "loss": {
            "significance": facts["significance"],
            "weight": 2.0 ** ((facts["significance"] or 3) - 1),
            "shares": {one["key"]: SHARES.get(one["key"], 1.0) for one in result["clocks"]},
        },
    }  # fmt: skip


def _known(key: str, value: Any, known_by: str, zone: str) -> dict[str, str]:
    """A fact and how it is known; what nobody has spoken of is neither said nor seen."""
    silent = not known_by and (value in (None, [], "") or (key == "pieces" and value == 1))
    how = "" if silent else known_by or "stated"
    return {
        "key": key,
        "word": words.label(key),
        "value": _("nothing noted") if silent else words.value(key, value, zone),
        "known_by": how,
        "known_word": words.known_by(how) if how else "",
    }


def _shown(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(words.spaced(one) for one in value)
    return words.spaced(value) if value is not None else ""


def _part(one: Mapping[str, Any]) -> dict[str, Any]:
    """A part with how it is known and what it asks for by itself."""
    return {
        "key": one["id"],
        "name": words.called(one),
        "material": one["material"],
        "material_word": words.material(one["material"]),
        "family": one["family"],
        "known_by": words.known_by(one["known_by"]),
        "could_be": [words.material(key) for key in one.get("could_be", ())],
        "taken_as": [words.material(key) for key in one["layers"]],
        "features": [words.feature(key) for key in one["features"]],
        "surface": one["surface"],
        "thickness_mm": one["thickness_mm"],
        "thickness_by": words.known_by(one["thickness_by"]),
        "limits": things_plan.limits(one["limits"]),
        "start_by_h": one["start_by_h"],
        "start_by_origin": one["start_by_origin"],
        "start_by_word": words.origin(one["start_by_origin"]) if one["start_by_origin"] else "",
    }


def _counts(result: Result) -> dict[str, int]:
    """How often each verdict is given, and how sure the reasons are."""
    every = [reason for one in result["actions"].values() for reason in one["because"]]
    found = {
        key: sum(one["verdict"] == key for one in result["actions"].values()) for key in things_plan.GROUPS
    }
    return {**found, **{f"reasons_{mark}": sum(one["confidence"] == mark for one in every) for mark in "vmc"}}


LOOKS: tuple[Look, ...] = (
    Look("why", f"{CODE}/things/<str:tag>/why/", why),
    Look("working", f"{CODE}/things/<str:tag>/working/", working),
)
