"""What a kept plan says, put into words and order for a page."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from strandline.knowledge.models import ACTIONS
from strandline.papers import when
from strandline.papers.wording import action as action_word
from strandline.records.models.objects import Object
from strandline.records.models.plans import PlanSnapshot
from strandline.services.engines import in_force
from strandline.services.looks import things_words as words
from strandline.services.looks.asked import iso
from strandline.services.looks.things_hours import Hours
from strandline.services.names import ROLES, with_names

Result = Mapping[str, Any]
GROUPS: tuple[str, ...] = ("yes", "careful", "refer", "no")


def named(result: dict[str, Any]) -> dict[str, Any]:
    """The result with people by name and role; no query for a plan nobody overruled."""
    return with_names(result) if result["overrides"] else result


def overrides(found: Object, plan: PlanSnapshot, result: Result) -> list[dict[str, str]]:
    """What was overruled in a plan whose people are named: the mark whole, and its pieces.

    What was overruled of a material leaves no mark on the reasons it gives; it is read from the record.
    """
    rows = []
    for mark in result["overrides"]:
        rule, _colon, rest = mark.partition(": ")
        level, _colon, rest = rest.partition(": ")
        who, _colon, reason = rest.partition(": ")
        rows.append({"mark": mark, "rule": rule, "level": level, "who": who, "reason": reason})
    if not plan.knowledge.overrides_sha256:
        return rows
    marked = {row["rule"] for row in rows}
    for one in in_force(found, plan.made_at):
        if one.at <= plan.made_at and one.target.startswith("material.") and one.target not in marked:
            who = f"{one.person.name}, {ROLES[one.person.role]}"
            mark = f"{one.target}: {one.level}: {who}: {one.reason}"
            rows.append(
                {"mark": mark, "rule": one.target, "level": one.level, "who": who, "reason": one.reason}
            )
    return rows


def hazards(result: Result, lifted: Collection[str]) -> dict[str, Any]:
    """Open stops, guards, notes and those of the whole site; a stop that is lifted is said as a guard."""
    found: dict[str, list[dict[str, Any]]] = {"stops": [], "guards": [], "notes": [], "site": []}
    for one in result["hazards"]:
        row = {
            "key": one["key"],
            "word": words.spaced(one["key"]),
            "say": one["say"],
            "grade": one["grade"],
            "keep_m": one.get("keep_m"),
            "call": one.get("call", ""),
            "licensed_only": one.get("licensed_only", ""),
            "released": bool(one.get("released")) or one["key"] in lifted,
        }
        found[_place_of(row, one["scope"])].append(row)
    whom = [row["call"] for row in found["stops"] if row["call"]]
    away = [row["keep_m"] for row in found["stops"] if row["keep_m"]]
    return {**found, "waits_for": "; ".join(dict.fromkeys(whom)), "keep_away_m": max(away, default=None)}


def _place_of(row: Mapping[str, Any], scope: str) -> str:
    if row["grade"] == "stop" and not row["released"]:
        return "stops"
    if scope == "site":
        return "site"
    return "notes" if row["grade"] == "note" else "guards"


def groups(result: Result, asked: Collection[str]) -> list[dict[str, Any]]:
    """Verdicts by what they allow: may, carefully, ask first, not; of single parts beside the whole.

    ``asked``: actions that wait for the lead's answer.
    """
    rows: list[dict[str, Any]] = []
    for key in ACTIONS:
        if key in result["actions"]:
            rows.append(_row(key, "", result["actions"][key], asked))
        for part in result["parts"]:
            if key in part.get("local", {}):
                rows.append(_row(key, words.called(part), part["local"][key], ()))
    titles = {
        "yes": _("You may"),
        "careful": _("Carefully"),
        "refer": _("Ask first"),
        "no": _("Not"),
    }
    return [
        {"verdict": key, "title": titles[key], "rows": [row for row in rows if row["verdict"] == key]}
        for key in GROUPS
    ]


def _row(key: str, part: str, held: Mapping[str, Any], asked: Collection[str]) -> dict[str, Any]:
    opens = held.get("provisional")
    return {
        "action": key,
        "word": action_word(key),
        "part": part,
        "verdict": held["verdict"],
        "how": held.get("how") or "",
        "also": list(held.get("also", ())),
        "look_first": opens["ask"] if opens else "",
        "waits": key in asked,
        "overruled": any(reason.get("override") for reason in held["because"]),
    }


def steps(result: Result, facts: Mapping[str, Any], at: datetime) -> list[dict[str, Any]]:
    """The steps with the moment each is to be done by; ``now`` where it has come."""
    called = words.names(result["parts"])
    found = []
    for step in result["steps"]:
        due = when.due(step["by"], facts["facts"])
        found.append(
            {
                "key": step["key"],
                "n": step["n"],
                "text": step["text"],
                "kind": step["kind"],
                "role": step["role"],
                "people": step["people"],
                "verdict": step.get("verdict", ""),
                "mask": [called.get(one, one) for one in step.get("mask", ())],
                "due": iso(due),
                "now": due is not None and due <= at,
            }
        )
    return found


def where(result: Result) -> dict[str, Any]:
    """Route, zone, cover and limits in words."""
    cover = result["cover"]
    return {
        "route": result["route"],
        "route_word": words.route(result["route"]),
        "zone": result["zone"],
        "zone_word": words.zone(result["zone"]),
        "cover": cover["kind"] if cover else "",
        "cover_word": words.cover(cover["kind"]) if cover else "",
        "cover_why": cover["why"] if cover else "",
        "limits": limits(result["limits"]),
    }


def limits(held: Mapping[str, Sequence[float]]) -> list[dict[str, Any]]:
    """Limits with their words."""
    return [
        {"key": key, "low": pair[0], "high": pair[1], "word": words.limit(key, pair)}
        for key, pair in held.items()
    ]


def clocks(result: Result, hours: Hours, at: datetime) -> list[dict[str, Any]]:
    """Clocks with what is left, the most pressing first."""
    called = words.names(result["parts"])
    return [
        {
            "key": one["key"],
            "word": words.spaced(one["key"]),
            "part": called.get(one["part"], one["part"]),
            "at_h": one["at_h"],
            "aim_h": one["aim_h"],
            "origin": one["origin"],
            "origin_word": words.origin(one["origin"]),
            "shape": one["shape"],
            "left_h": one["left_h"],
            "state": one["state"],
            "lost_after": one["lost_after"],
        }
        for one in hours.clocks
    ]


def conflicts(result: Result) -> list[dict[str, Any]]:
    """Wants that cannot all be met: whose, who wins, and how it is done all the same."""
    called = words.names(result["parts"])
    return [
        {
            "id": one["id"],
            "about": words.wanted(one["about"].partition(":")[2] or one["about"]),
            "parts": [called.get(part, part) for part in one["parts"]],
            "state": one["state"],
            "winner": called.get(one["winner"] or "", one["winner"]),
            "how": one["how"],
            "why": one["because"][0]["why"] if one["because"] else "",
        }
        for one in result["conflicts"]
    ]


def disagreements(result: Result) -> list[dict[str, Any]]:
    """Sources that differ, both views, and what is taken."""
    return [
        {
            "about": words.wanted(one["about"]),
            "views": [view["say"] for view in one["views"]],
            "taken": one["taken"],
            "why": one["why"],
            "then": one["then"],
        }
        for one in result["disagreements"]
    ]


def assumed(result: Result) -> list[dict[str, Any]]:
    """What was taken for granted, the most telling question first, with the part it is about."""
    return [
        {
            "fact": one["fact"],
            "part_name": asked_of(one["fact"], result),
            "ask": one["ask"],
            "changes": one["changes"],
            "answers": list(one["answers"]),
        }
        for one in result["assumed"]
    ]


def asked_of(fact: str, result: Result) -> str:
    """What the part is called whose ``thickness:p2`` is asked; '' where the question names its part."""
    about, _colon, part = fact.partition(":")
    return words.names(result["parts"]).get(part, "") if about == "thickness" else ""
