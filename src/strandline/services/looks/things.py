"""One object: what to do now, the plan, why, how sure, and what happened."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from strandline.records.models.acts import Act, WorkClaim
from strandline.records.models.facts import Photo
from strandline.records.models.objects import Fragment, Object
from strandline.records.models.people import Authority
from strandline.records.models.plans import NOT_DONE, HazardRelease, Paper, PlanSnapshot, StepEnd
from strandline.records.models.sites import Incident, Place
from strandline.services.changes import made
from strandline.services.looks import things_look_over, things_overrule, things_past, things_plan, things_why
from strandline.services.looks import things_words as words
from strandline.services.looks.asked import Asked, Look, incident_of, iso, thing_of
from strandline.services.looks.now import incident_head
from strandline.services.looks.things_behind import is_of_older_rules
from strandline.services.looks.things_hours import hours_at
from strandline.services.looks.words import CODE
from strandline.services.referrals import referrals
from strandline.services.standing import DONE

SENIOR_ROLES = frozenset({"lead", "conservator"})


def thing(ask: Asked, code: str, tag: str) -> dict[str, Any]:
    """One object: what to do with it now, and everything its newest plan says."""
    incident = incident_of(code)
    found = with_rows(thing_of(incident, tag))
    ends = list(StepEnd.objects.filter(object=found).select_related("by").order_by("at", "id"))
    lifted = list(HazardRelease.objects.filter(object=found).order_by("at", "id"))
    data = {
        "incident": incident_head(incident),
        "role": ask.person.role,
        **about(found, tag),
        **_around(ask, incident, found),
        "released": [
            {"word": words.spaced(row.hazard), "role": row.role, "said": row.said, "at": iso(row.at)}
            for row in lifted
        ],
        "ended": _all_ended(found, ends),
        "not_done": [{"key": key, "word": not_done_word(key)} for key, _label in NOT_DONE],
        "plan_no": None,
    }
    if found.plan is not None:
        data |= _planned(ask, found, found.plan, ends, {row.hazard for row in lifted})
    return data


def with_rows(found: Object) -> Object:
    """The object with all that one page of it shows, in one query."""
    rows = Object.objects.select_related("plan__knowledge", "place__inside", "tray", "lot", "owner")
    return rows.get(pk=found.pk)


def about(found: Object, tag: str) -> dict[str, Any]:
    """What an object is called; ``merged_from`` is the tag that was asked for where another one stands."""
    return {
        "tag": found.tag,
        "merged_from": "" if found.tag == tag else tag,
        "title": found.title,
        "made_of": found.materials,
        "owner_number": found.owner_number,
        "owner": found.owner.name if found.owner else "",
    }


def not_done_word(key: str) -> str:
    """Why a step was not done."""
    return {
        "no_time": _("no time"),
        "no_water": _("no water"),
        "not_safe": _("too dangerous"),
        "refused_by_owner": _("the owner said no"),
        "lead_said_no": _("the lead said no"),
        "would_not_bear_it": _("it would not bear it"),
        "not_found": _("not found"),
    }.get(key, words.spaced(key))


def end_word(end: str) -> str:
    """How a step ended."""
    return {
        "done": _("done"),
        "done_differently": _("done differently"),
        "not_done": _("not done"),
        "withdrawn": _("withdrawn"),
    }.get(end, words.spaced(end))


def _all_ended(found: Object, ends: list[StepEnd]) -> list[dict[str, Any]]:
    """Steps that have ended, with who wrote it down where that was somebody else."""
    acts = Act.objects.filter(object=found, kind="end_step", payload__has_key="scribe")
    told = list(acts.select_related("person")) if ends else []
    names = things_past.written_by(told)
    who = {made(act.after, act.before, StepEnd)[0]: names.get(act.pk, "") for act in told}
    return [{**_ended(row, found.plan), "written_by": who.get(str(row.uid), "")} for row in ends]


def _ended(row: StepEnd, plan: PlanSnapshot | None) -> dict[str, Any]:
    texts = {step["key"]: step["text"] for step in plan.result["steps"]} if plan else {}
    return {
        "step": row.step,
        "text": texts.get(row.step) or words.spaced(row.step),
        "end": row.end,
        "end_word": end_word(row.end),
        "because": not_done_word(row.because) if row.because else "",
        "note": row.note,
        "by": row.by.name,
        "at": iso(row.at),
    }


def _planned(
    ask: Asked, found: Object, plan: PlanSnapshot, ends: list[StepEnd], lifted: set[str]
) -> dict[str, Any]:
    """The plan and its hours at the moment asked."""
    result = things_plan.named(plan.result)
    hours = hours_at(plan.facts, result, ask.at)
    hazards = things_plan.hazards(result, lifted)
    over = {row.step for row in ends if row.plan_id == plan.pk or row.end in DONE}
    steps = things_plan.steps(result, plan.facts, ask.at)
    left = [step for step in steps if step["key"] not in over]
    stopped = bool(hazards["stops"])
    asked = [] if stopped else referrals(result, {step["key"] for step in left})
    holding = _holding(result, hours.good_until, hours.lost_after, ask.at, stopped)
    return {
        "plan_no": plan.number,
        "plan": str(plan.uid),
        "short_id": plan.short_id,
        "made_at": iso(plan.made_at),
        "knowledge": plan.knowledge.version,
        "newer_rules": is_of_older_rules(plan),
        **hazards,
        "stopped": stopped,
        "holding": holding,
        "good_until": holding["good_until"],
        "hours_left": hours.hours_left,
        "next": left[0] if left else None,
        "may_do_next": bool(left) and may_do(ask.person.role, left[0]),
        "later": left[1:],
        "verdicts": {key: one["verdict"] for key, one in result["actions"].items()},
        "groups": [] if stopped else things_plan.groups(result, asked),
        "asked_of_the_lead": asked,
        **things_plan.where(result),
        "clocks": things_plan.clocks(result, hours, ask.at),
        "conflicts": things_plan.conflicts(result),
        "disagreements": things_plan.disagreements(result),
        "assumed": things_plan.assumed(result),
        "unread": [one["word"] for one in result["unread"]],
        "overrides": things_plan.overrides(found, plan, result),
    }


def may_do(role: str, step: Mapping[str, Any]) -> bool:
    """Whether somebody in this role does this step; ending it as not done is open to all hands."""
    return role in SENIOR_ROLES or (role == "helper" and step["role"] != "conservator")


def _holding(
    result: Mapping[str, Any], until: datetime | None, lost: str, at: datetime, stopped: bool
) -> dict[str, Any]:
    """What anybody may do; under a stop without an hour and a loss, so that nobody is hurried towards it."""
    ahead = until is not None and until > at and not stopped
    return {
        "do": list(result["holding"]["do"]),
        "good_until": iso(until) if ahead else None,
        "tell_the_lead": until is not None and not ahead and not stopped,
        "lost_after": "" if stopped else lost,
    }


def _around(ask: Asked, incident: Incident, found: Object) -> dict[str, Any]:
    """Where it is, what belongs to it, its pictures, its owner's word, and who is at work on it."""
    papers = Paper.objects.filter(plan__object=found, void_at__isnull=False, struck_out_at__isnull=True)
    return {
        "place": place_name(found.place) if found.place else found.listed_place,
        "place_seen": found.place is not None,
        "places": _places(incident, found),
        "tray": found.tray.name if found.tray else "",
        "lot": {"name": found.lot.name, "counted": found.lot.counted} if found.lot else None,
        "fragments": [
            {"tag": row.tag, "says": row.says}
            for row in Fragment.objects.filter(object=found).order_by("tag")
        ],
        "photos": [
            {"uid": str(row.uid), "at": iso(row.taken_at or row.added_at)}
            for row in Photo.objects.filter(object=found).order_by("-added_at", "-id")[:24]
        ],
        "authority": _authority(ask, incident, found),
        "in_hand": _in_hand(found, ask.at),
        "void_papers": papers.count(),
    }


def place_name(place: Place) -> str:
    """A place with the one it lies in."""
    return f"{place.inside.name}, {place.name}" if place.inside else place.name


def _places(incident: Incident, found: Object) -> list[dict[str, str]]:
    rows = Place.objects.filter(incident=incident).select_related("inside").exclude(pk=found.place_id or 0)
    named = sorted((place_name(row), str(row.uid)) for row in rows)
    return [{"uid": uid, "name": name} for name, uid in named]


def _authority(ask: Asked, incident: Incident, found: Object) -> dict[str, str]:
    """What the owner allows, in words; in the owner's own words for those who decide."""
    row = None
    if found.owner is not None:
        rows = Authority.objects.filter(party=found.owner, incident=incident)
        row = rows.order_by("-at", "-id").first()
    given, scope = (row.given, row.scope) if row else ("none", "first_aid_only")
    said = row.said if row and ask.person.role in SENIOR_ROLES else ""
    return {"given": given, "scope": scope, "said": said, "word": _allowed(found, given, scope)}


def _allowed(found: Object, given: str, scope: str) -> str:
    if found.owner is None:
        return _("No owner is noted: first aid only.")
    if given == "none":
        return _("The owner has not said anything yet: first aid only.")
    how = _("in writing") if given == "written" else _("by word of mouth")
    what = {
        "first_aid_only": _("first aid only"),
        "plan": _("what this plan says"),
        "named_treatment": _("the treatment that was named"),
    }[scope]
    return _("The owner allows, %(how)s: %(what)s.") % {"how": how, "what": what}


def _in_hand(found: Object, at: datetime) -> dict[str, Any] | None:
    row = WorkClaim.objects.filter(object=found, given_back_at__isnull=True, until__gt=at)
    held = row.select_related("device").first()
    if held is None:
        return None
    return {"device": held.device.name, "step": words.step(held.step), "until": iso(held.until)}


LOOKS: tuple[Look, ...] = (
    Look("thing", f"{CODE}/things/<str:tag>/", thing),
    *things_why.LOOKS,
    *things_past.LOOKS,
    *things_look_over.LOOKS,
    *things_overrule.LOOKS,
)
