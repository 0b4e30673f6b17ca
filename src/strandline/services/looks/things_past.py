"""What happened to one object: its acts, newest first, and what each plan changed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from strandline.records.models.acts import Act, Refusal
from strandline.records.models.objects import Object, Part
from strandline.records.models.people import Person
from strandline.records.models.plans import PlanSnapshot
from strandline.records.models.sites import Place
from strandline.services.looks import things_changed
from strandline.services.looks import things_words as words
from strandline.services.looks.asked import Asked, Look, incident_of, iso, thing_of
from strandline.services.looks.now import incident_head
from strandline.services.looks.words import CODE

PAGE = 50
SHORT: tuple[str, ...] = (
    "hazard", "role", "action", "verdict", "how", "kind", "step", "tag", "title", "is_of",
)  # fmt: skip
"""Members of a payload that say in a word or two what was done."""

REFUSALS = 20


def history(ask: Asked, code: str, tag: str) -> dict[str, Any]:
    """Acts of an object and of those merged into it; ``?plan=3`` tells what plan 3 changed."""
    incident = incident_of(code)
    found = thing_of(incident, tag)
    whole = [found.pk, *Object.objects.filter(merged_into=found).values_list("pk", flat=True)]
    acts = _acts(found, whole)
    count = acts.count()
    pages = max(1, -(-count // PAGE))
    page = min(ask.number("page", 1, 100_000), pages)
    rows = list(acts[(page - 1) * PAGE : page * PAGE])
    refusals = Refusal.objects.filter(object__in=whole).select_related("person").order_by("-at", "-id")
    return {
        "incident": incident_head(incident),
        "tag": found.tag,
        "merged_from": "" if found.tag == tag else tag,
        "title": found.title,
        "plan_no": _newest_number(found),
        "acts": _told(rows, whole, incident.zone),
        "count": count,
        "page": page,
        "pages": pages,
        "refused": [
            {"kind": row.kind, "word": kind_word(row.kind), "by": row.person.name if row.person else "",
             "at": iso(row.at), "reason": row.reason}
            for row in refusals[:REFUSALS]
        ],
        "refused_count": refusals.count(),
        "changed": _changed(ask, found, incident.zone),
    }  # fmt: skip


def _acts(found: Object, whole: Sequence[int]) -> QuerySet[Act]:
    """Its acts.  Receiving made the object, so that act names it by its tag alone."""
    taken_in = Q(kind="receive", incident=found.incident_id, payload__facts__tag=found.tag)
    rows = Act.objects.filter(Q(object__in=whole) | taken_in).select_related("person", "device", "object")
    # What a plan act made is the whole plan; a page of them would read megabytes to print numbers.
    return rows.defer("before", "after").order_by("-id")


def _newest_number(found: Object) -> int | None:
    numbers = PlanSnapshot.objects.filter(object=found).order_by("-number")
    return numbers.values_list("number", flat=True).first()


def _changed(ask: Asked, found: Object, zone: str) -> dict[str, Any] | None:
    number = ask.number("plan", 0, 1_000_000)
    return things_changed.by_plan(found, number, zone) if number > 1 else None


def _told(rows: Sequence[Act], whole: Sequence[int], zone: str) -> list[dict[str, Any]]:
    """Each act in words.  Four queries, however many acts."""
    uids = {uid for act in rows for uid in _uids(act.payload)}
    said = {str(row.uid): row.name for row in Place.objects.filter(uid__in=uids)}
    parts = {
        row.key: row.name or row.span or row.key
        for row in Part.objects.filter(object__in=whole).order_by("object_id", "order")
    }
    numbers = _plan_numbers(whole) if any(act.kind == "plan" for act in rows) else {}
    names = written_by(rows)
    told = []
    for act in rows:
        number = numbers.get(act.pk)
        told.append(
            {
                "uid": str(act.uid),
                "kind": act.kind,
                "word": kind_word(act.kind),
                "what": _what(act, said, parts, number, zone),
                "why": str(act.payload.get("reason") or act.payload.get("said") or ""),
                "plan_no": number,
                "of": act.object.tag if act.object else "",
                "by": act.person.name,
                "role": act.person.role,
                "written_by": names.get(act.pk, ""),
                "device": act.device.name if act.device else "",
                "at": iso(act.server_at),
                "device_at": iso(act.device_at),
            }
        )
    return told


def written_by(rows: Sequence[Act]) -> dict[int, str]:
    """By key of the row, who wrote down an act of somebody else.  One query, if any at all."""
    told = {act.pk: act.payload["scribe"] for act in rows if act.payload.get("scribe")}
    own = {act.pk: str(act.person.uid) for act in rows}
    scribes = {pk: uid for pk, uid in told.items() if uid != own[pk]}
    if not scribes:
        return {}
    names = {str(row.uid): row.name for row in Person.objects.filter(uid__in=set(scribes.values()))}
    return {pk: names[uid] for pk, uid in scribes.items()}


def _uids(payload: Mapping[str, Any]) -> Iterable[str]:
    return (payload[name] for name in ("to", "place") if isinstance(payload.get(name), str) and payload[name])


def _plan_numbers(whole: Sequence[int]) -> dict[int, int]:
    """Numbers of the plans that acts made: both are in order within one object."""
    acts: dict[int, list[int]] = {}
    plans: dict[int, list[int]] = {}
    made = Act.objects.filter(kind="plan", object__in=whole).order_by("id")
    for pk, thing in made.values_list("pk", "object_id"):
        acts.setdefault(thing or 0, []).append(pk)
    rows = PlanSnapshot.objects.filter(object__in=whole).order_by("number")
    for thing, number in rows.values_list("object_id", "number"):
        plans.setdefault(thing, []).append(number)
    return {
        pk: number
        for thing, pks in acts.items()
        if len(pks) == len(plans.get(thing, ()))
        for pk, number in zip(pks, plans[thing], strict=True)
    }


def kind_word(kind: str) -> str:
    """What an act is called."""
    return {
        "receive": _("Taken in"),
        "claim_row": _("Row of the list claimed"),
        "observe": _("Seen"),
        "observe_part": _("Part looked at"),
        "add_part": _("Part added"),
        "plan": _("Plan made"),
        "move": _("Put down"),
        "end_step": _("Step ended"),
        "print_paper": _("Paper printed"),
        "photograph": _("Photographed"),
        "override": _("Overruled"),
        "answer": _("Answered by the lead"),
        "withdraw_override": _("Holds again"),
        "release_hazard": _("Stop released"),
        "take_in_hand": _("Taken in hand"),
        "give_back": _("Given back"),
        "strike_out": _("Paper struck out"),
        "note_hours": _("Hours noted"),
        "note_reading": _("Reading noted"),
        "merge": _("Two tags, one thing"),
        "split": _("One tag, several things"),
        "came_off": _("Something came off"),
        "find_parent": _("A stray belongs to it"),
    }.get(kind, words.spaced(kind).capitalize())


def _what(
    act: Act, places: Mapping[str, str], parts: Mapping[str, str], number: int | None, zone: str
) -> str:
    """What an act did, out of what was asked for."""
    payload = act.payload
    if act.kind == "plan":
        return _("plan %(n)s") % {"n": number} if number else ""
    if act.kind == "observe":
        return words.seen(payload["key"], payload["value"], "", zone) + _how(payload)
    if act.kind == "observe_part":
        part = parts.get(payload["part"], payload["part"])
        return words.seen(payload["field"], payload["value"], part, zone) + _how(payload)
    if act.kind == "add_part":
        return f"{payload['name']}: {words.material(payload['material'])}" + _how(payload)
    if act.kind == "move":
        return places.get(payload["to"], "")
    if act.kind == "end_step":
        return _step(payload)
    return _plainly(act)


def _how(payload: Mapping[str, Any]) -> str:
    return f" ({words.known_by(payload['known_by'])})" if payload.get("known_by") else ""


def _step(payload: Mapping[str, Any]) -> str:
    end = [words.spaced(payload["step"]), words.spaced(payload["end"])]
    end += [words.spaced(payload[name]) for name in ("because", "note") if payload.get(name)]
    return ", ".join(end)


def _plainly(act: Act) -> str:
    """The short words of an act's payload: names of things, no keys of rows and no long texts."""
    payload = act.payload
    if act.kind == "receive":
        return str(payload["facts"]["tag"])
    if act.kind == "override":
        new = ", ".join(f"{key}: {one}" for key, one in payload["value"].items())
        return f"{payload['target']} ({payload['level']}): {new}"
    shown = [payload[name] for name in SHORT if isinstance(payload.get(name), str) and payload[name]]
    return ", ".join(words.spaced(one) if one.isascii() and " " not in one else one for one in shown)


LOOKS: tuple[Look, ...] = (Look("history", f"{CODE}/things/<str:tag>/history/", history),)
