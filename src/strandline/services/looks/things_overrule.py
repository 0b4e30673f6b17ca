"""Overruling: which rules give a verdict, limit or clock, what was overruled, and what no longer fits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.db.models import Q
from django.utils.translation import gettext as _

from strandline.knowledge import models as m
from strandline.knowledge.base import Knowledge, shipped
from strandline.knowledge.overrides import ABSENT
from strandline.papers.wording import action as action_word
from strandline.records.models.plans import HazardRelease, Override
from strandline.services.engines import engine_for
from strandline.services.looks import things_changed, things_plan
from strandline.services.looks import things_words as words
from strandline.services.looks.asked import LEAD, Asked, Look, incident_of, iso
from strandline.services.looks.now import incident_head
from strandline.services.looks.things_behind import MOST_PLANS, behind_many, of_older_rules
from strandline.services.looks.things_why import planned
from strandline.services.looks.words import CODE
from strandline.services.names import ROLES
from strandline.services.override import LEAST_REASON
from strandline.services.withdraw_override import orphans

PAGE = 50
MATERIAL_LIMITS: Mapping[str, str] = {"rh": "rh_percent", "air": "air_c", "step": "rh_step_percent_per_day"}


def overrule(ask: Asked, code: str, tag: str) -> dict[str, Any]:
    """What may be overruled on one object; ``?about=`` chooses an action, ``limit:`` or ``clock:`` of it.

    ``?since=2`` tells what changed since plan 2.
    """
    head, found, plan, result = planned(code, tag)
    known = engine_for(found, ask.at).knowledge
    lifted = set(HazardRelease.objects.filter(object=found).values_list("hazard", flat=True))
    rows = [*_actions(result, known), *_limits(result, known), *_clocks(result, known)]
    about = ask.query.get("about", "")
    number = ask.number("since", 0, 1_000_000)
    levels = [("object", _("this object only"))]
    if found.lot_id is not None:
        levels.append(("lot", _("everything in its lot")))
    levels += [("incident", _("this incident")), ("practice", _("the whole practice"))]
    return {
        **head,
        "rows": rows,
        "chosen": next((row for row in rows if row["about"] == about), None),
        "levels": [{"key": key, "word": word} for key, word in levels],
        "verdict_keys": [{"key": key, "word": words.verdict(key)} for key in things_plan.GROUPS],
        "least_reason": LEAST_REASON,
        "overrides": things_plan.overrides(found, plan, result),
        "stops": things_plan.hazards(result, lifted)["stops"],
        "changed": things_changed.since(found, number, head["incident"]["zone"]) if number else None,
    }


def _actions(result: Mapping[str, Any], known: Knowledge) -> Iterable[dict[str, Any]]:
    """Every action with the rules that give its verdict; only rules that can be overruled."""
    rules = {rule.id: rule for rule in known.verdicts}
    for key in m.ACTIONS:
        held = result["actions"].get(key)
        reasons = list(held["because"]) if held else []
        for part in result["parts"]:
            reasons += part.get("local", {}).get(key, {}).get("because", [])
        seen: dict[str, dict[str, Any]] = {}
        for one in reasons:
            rule = rules.get(one["rule"])
            if rule is not None:
                seen.setdefault(rule.id, _rule(rule.id, one, verdict=rule.verdict, how=rule.how or ""))
        if held is None:
            absent = {"why": _("No rule speaks of it."), "override": ""}
            seen[f"{ABSENT}{key}"] = _rule(f"{ABSENT}{key}", absent, verdict="refer", how="")
        yield {
            "kind": "action",
            "about": key,
            "word": action_word(key),
            "verdict": held["verdict"] if held else "refer",
            "how": " ".join([held["how"] or "", *held.get("also", ())]) if held else "",
            "rules": list(seen.values()),
        }


def _rule(target: str, reason: Mapping[str, Any], **fields: Any) -> dict[str, Any]:
    return {"target": target, "why": reason["why"], "overruled": reason.get("override", ""), **fields}


def _limits(result: Mapping[str, Any], known: Knowledge) -> Iterable[dict[str, Any]]:
    """Every limit with the rules and materials that narrow it."""
    ids = {rule.id: rule for rule in known.limits}
    for key, because in result["limits_because"].items():
        rows = []
        for one in because:
            rule = ids.get(one["rule"])
            material = (
                known.materials.get(one["rule"].split(".")[-1]) if one["rule"].startswith("lim.") else None
            )
            if rule is not None:
                rows.append(
                    _rule(rule.id, one, low=rule.interval[0], high=rule.interval[1], field="interval")
                )
            elif material is not None:
                low, high = _interval(material, key)
                rows.append(_rule(f"material.{material.key}", one, low=low, high=high, field=key))
        if rows and key in result["limits"]:
            yield {
                "kind": "limit",
                "about": f"limit:{key}",
                "word": words.limit(key, result["limits"][key]),
                "verdict": "",
                "how": "",
                "rules": rows,
            }


def _interval(material: m.Material, limit: str) -> tuple[float, float]:
    """What a material asks for; a step of humidity begins at nought."""
    if limit == "rh_step_percent_per_day":
        return 0.0, float(material.rh_step_percent_per_day or 0.0)
    return tuple(getattr(material, limit) or (0.0, 0.0))


def _clocks(result: Mapping[str, Any], known: Knowledge) -> Iterable[dict[str, Any]]:
    """Every clock with the rule or material that starts it."""
    ids = {rule.id: rule for rule in known.clocks}
    for clock in result["clocks"]:
        rows = []
        for one in clock["because"]:
            rule = ids.get(one["rule"])
            material = (
                known.materials.get(one["rule"].split(".")[-1]) if one["rule"].startswith("clk.") else None
            )
            if rule is not None:
                rows.append(_rule(rule.id, one, hours=rule.at_h, aim_h=rule.aim_h, field="at_h"))
            elif material is not None and material.start_by_h is not None:
                target = f"material.{material.key}"
                rows.append(
                    _rule(target, one, hours=material.start_by_h, aim_h=material.aim_h, field="start_by_h")
                )
        if rows:
            yield {
                "kind": "clock",
                "about": f"clock:{clock['key']}:{clock['origin']}",
                "word": words.clock(clock),
                "verdict": "",
                "how": "",
                "rules": rows,
            }  # fmt: skip


def overrides(ask: Asked, code: str) -> dict[str, Any]:
    """Every override that bears on an incident, in force or not, and those that fit nothing any more."""
    incident = incident_of(code)
    bears = (
        Q(level="practice") | Q(incident=incident) | Q(lot__incident=incident) | Q(object__incident=incident)
    )
    rows = Override.objects.filter(bears).select_related("person", "object", "lot").order_by("-id")
    count = rows.count()
    pages = max(1, -(-count // PAGE))
    page = min(ask.number("page", 1, 100_000), pages)
    loose = {row.pk: why for row, why in orphans(ask.at)}
    here = list(rows[(page - 1) * PAGE : page * PAGE])
    late = behind_many(here, incident)
    shown = [{**_override(row, ask, loose), "behind": late.get(row.pk, 0)} for row in here]
    return {
        "incident": incident_head(incident),
        "role": ask.person.role,
        "overrides": shown,
        "count": count,
        "page": page,
        "pages": pages,
        "orphans": sum(1 for row in shown if row["orphan"]),
        "most_plans": MOST_PLANS,
        "older_rules": of_older_rules(incident).count(),
        "least_reason": LEAST_REASON,
    }


def _override(row: Override, ask: Asked, loose: Mapping[int, str]) -> dict[str, Any]:
    known = shipped().with_ids()
    entry = known.get(row.target)
    return {
        "uid": str(row.uid),
        "level": row.level,
        "level_word": _level(row),
        "tag": row.object.tag if row.object else "",
        "target": row.target,
        "about": _about(row.target, entry),
        "value": [{"field": words.spaced(key), "is": _value(key, one)} for key, one in row.value.items()],
        "reason": row.reason,
        "by": row.person.name,
        "role": ROLES[row.person.role],
        "at": iso(row.at),
        "expires_at": iso(row.expires_at),
        "withdrawn_at": iso(row.withdrawn_at),
        "state": _state(row, ask),
        "orphan": loose.get(row.pk, ""),
    }


def _level(row: Override) -> str:
    if row.object is not None:
        return _("object %(tag)s") % {"tag": row.object.tag}
    if row.lot is not None:
        return _("lot %(name)s") % {"name": row.lot.name}
    return _("this incident") if row.level == "incident" else _("the whole practice")


def _state(row: Override, ask: Asked) -> str:
    if row.withdrawn_at is not None:
        return "withdrawn"
    if row.expires_at is not None and row.expires_at <= ask.at:
        return "expired"
    return "in_force"


def _about(target: str, entry: m.Entry | None) -> str:
    if isinstance(entry, m.VerdictRule):
        return action_word(entry.action)
    if target.startswith(ABSENT):
        return action_word(target.removeprefix(ABSENT))
    if isinstance(entry, m.Material):
        return entry.say
    return words.spaced(target.split(".")[0])


def _value(key: str, value: Any) -> str:
    if key == "verdict":
        return words.verdict(str(value))
    if isinstance(value, list):
        return " - ".join(f"{one:g}" if isinstance(one, int | float) else str(one) for one in value)
    return str(value)


LOOKS: tuple[Look, ...] = (
    Look("overrule", f"{CODE}/things/<str:tag>/overrule/", overrule, LEAD),
    Look("overrides", f"{CODE}/overrides/", overrides),
)
