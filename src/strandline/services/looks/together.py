"""Things together: lots, trays, fragments, tags that are joined or parted, and the scribe's sheet."""

from __future__ import annotations

from typing import Any

from django.db.models import Count
from django.db.models.query import QuerySet

from strandline.records.models.objects import Batch, Fragment, Lot, Object, Tray
from strandline.records.models.people import Person
from strandline.records.models.plans import NOT_DONE
from strandline.records.models.sites import Incident, Place
from strandline.services.count_tray import open_searches
from strandline.services.looks.asked import HANDS, SENIOR, Asked, Look, NotThere, incident_of, iso
from strandline.services.looks.now import incident_head
from strandline.services.looks.words import CODE
from strandline.services.open_batch import KINDS
from strandline.services.plan import steps_of

MOST_LOOKED_AT = 120
"""So many things without a tray are compared for what is alike; comparing reads their plans."""
MOST_ON_ONE = 12
SCRIBE_ROWS = 6
A_PAGE = 50
REASONS: tuple[str, ...] = tuple(key for key, _ in NOT_DONE)


def next_step(thing: Object) -> dict[str, Any] | None:
    """The next step of a thing out of its plan, which must be at hand; None where there is none."""
    return steps_of(thing.plan).get(thing.next_step) if thing.plan is not None else None


def says_next(thing: Object) -> str:
    """What the next step of a thing says; '' where there is none."""
    step = next_step(thing)
    return str(step["text"]) if step else ""


def short(thing: Object) -> dict[str, Any]:
    """A thing as a line of a list."""
    return {
        "tag": thing.tag, "title": thing.title or thing.materials, "next_step": thing.next_step,
        "next_role": thing.next_role, "stops": thing.stops,
    }  # fmt: skip


def here(incident: Incident) -> QuerySet[Object]:
    """The things of an incident that stand for themselves."""
    return Object.objects.filter(incident=incident, merged_into__isnull=True)


def place_choices(incident: Incident) -> list[dict[str, str]]:
    """Places to choose from."""
    rows = Place.objects.filter(incident=incident).order_by("name", "id")
    return [{"uid": str(one.uid), "name": one.name} for one in rows]


def trays(ask: Asked, code: str) -> dict[str, Any]:
    """All trays, what is alike and lies on none, and what is being searched for."""
    incident = incident_of(code)
    rows = Tray.objects.filter(incident=incident).annotate(held=Count("things")).select_related("place")
    first = {
        one.tray_id: one
        for one in here(incident).filter(tray__isnull=False, stops=0).select_related("plan").order_by("-tag")
    }
    return {
        "incident": incident_head(incident),
        "places": place_choices(incident),
        "trays": [
            {
                "uid": str(one.uid), "name": one.name, "held": one.held,
                "place": one.place.name if one.place else "",
                "next_step": first[one.pk].next_step if one.pk in first else "",
                "says": says_next(first[one.pk]) if one.pk in first else "",
            }
            for one in rows.order_by("name", "id")
        ],
        "alike": alike(incident),
        "searches": [
            {
                "uid": str(one.uid), "tray": one.tray.name, "short": one.expected - one.counted,
                "missing": one.missing, "note": one.note, "at": iso(one.at),
            }
            for one in open_searches(incident)
        ],
    }  # fmt: skip


def alike(incident: Incident) -> list[dict[str, Any]]:
    """Things on no tray whose next step and its rules are the same, two at least, the most first."""
    waiting = here(incident).filter(tray__isnull=True, lot__isnull=True, stops=0, next_role="helper")
    groups: dict[tuple[str, frozenset[str]], list[Object]] = {}
    for thing in waiting.exclude(next_step="").select_related("plan").order_by("tag")[:MOST_LOOKED_AT]:
        left = next_step(thing)
        if left is not None:
            groups.setdefault((left["key"], frozenset(left["rules"])), []).append(thing)
    found = [things[:MOST_ON_ONE] for things in groups.values() if len(things) > 1]
    return [
        {"step": things[0].next_step, "says": says_next(things[0]), "tags": [one.tag for one in things]}
        for things in sorted(found, key=lambda one: (-len(one), one[0].tag))[:8]
    ]


def tray(ask: Asked, code: str, uid: str) -> dict[str, Any]:
    """One tray: what lies on it, its next step, how it was counted."""
    incident = incident_of(code)
    found = Tray.objects.filter(incident=incident, uid=uid).select_related("place").first()
    if found is None:
        raise NotThere("there is no such tray in this incident")
    things = list(here(incident).filter(tray=found).select_related("plan").order_by("tag"))
    lead = next((one for one in things if one.next_step and not one.stops), None)
    step = next_step(lead) if lead else None
    now = lead.next_step if lead else None
    return {
        "incident": incident_head(incident),
        "uid": str(found.uid),
        "name": found.name,
        "place": found.place.name if found.place else "",
        "step": None if step is None else {"key": step["key"], "says": step["text"], "role": step["role"]},
        "things": [{**short(one), "same": one.next_step == now} for one in things],
        "reasons": list(REASONS),
        "counts": [
            {
                "expected": one.expected, "counted": one.counted, "missing": one.missing, "note": one.note,
                "at": iso(one.at), "by": one.by.name, "settled_at": iso(one.settled_at),
            }
            for one in found.counts.select_related("by").order_by("-id")[:10]
        ],
    }  # fmt: skip


def scribe(ask: Asked, code: str) -> dict[str, Any]:
    """The sheet of the dry scribe: who is here to have done something."""
    incident = incident_of(code)
    people = Person.objects.filter(active=True).exclude(role="viewer").order_by("name", "id")
    return {
        "incident": incident_head(incident),
        "people": [{"uid": str(one.uid), "name": one.name, "role": one.role} for one in people],
        "reasons": list(REASONS),
        "lines": list(range(SCRIBE_ROWS)),
    }


def fragments(ask: Asked, code: str) -> dict[str, Any]:
    """Strays first, then fragments with their objects, and the batches they come out of."""
    incident = incident_of(code)
    rows = Fragment.objects.filter(incident=incident).select_related("object", "batch").order_by("-id")
    page = ask.number("page", 1, 10_000)
    told = [
        _fragment(one) for one in rows.filter(object__isnull=False)[(page - 1) * A_PAGE : page * A_PAGE + 1]
    ]
    batches = Batch.objects.filter(incident=incident).annotate(held=Count("fragments"))
    return {
        "incident": incident_head(incident),
        "strays": [_fragment(one) for one in rows.filter(object__isnull=True)[:A_PAGE]],
        "fragments": told[:A_PAGE],
        "page": page,
        "more": len(told) > A_PAGE,
        "batches": [
            {
                "uid": str(one.uid), "kind": one.kind, "name": one.name, "held": one.held,
                "open": one.closed_at is None,
            }
            for one in batches.order_by("closed_at", "id")
        ],
        "batch_kinds": list(KINDS),
        "places": place_choices(incident),
    }  # fmt: skip


def _fragment(one: Fragment) -> dict[str, Any]:
    return {
        "uid": str(one.uid), "tag": one.tag, "title": one.says,
        "object": one.object.tag if one.object else None, "of": one.object.title if one.object else "",
        "batch": one.batch.name if one.batch else "",
    }  # fmt: skip


def lots(ask: Asked, code: str) -> dict[str, Any]:
    """Lots: one tag for several things."""
    incident = incident_of(code)
    rows = Lot.objects.filter(incident=incident).order_by("id")
    things: dict[int | None, list[str]] = {}
    for one in here(incident).filter(lot__isnull=False).order_by("id"):
        things.setdefault(one.lot_id, []).append(one.tag)
    return {
        "incident": incident_head(incident),
        "lots": [
            {
                "uid": str(one.uid), "name": one.name, "counted": one.counted, "tags": things.get(one.pk, []),
                "split_at": iso(one.split_at),
            }
            for one in rows
        ],
    }  # fmt: skip


def merge(ask: Asked, code: str) -> dict[str, Any]:
    """Joining two tags and parting one; ``tag`` in the query shows the parts of an object."""
    incident = incident_of(code)
    asked_for = ask.query.get("tag", "").strip()
    thing = here(incident).filter(tag=asked_for).first() if asked_for else None
    joined = Object.objects.filter(incident=incident, merged_into__isnull=False).select_related("merged_into")
    return {
        "incident": incident_head(incident),
        "tag": asked_for,
        "title": thing.title if thing else "",
        "parts": [
            {"key": one.key, "name": one.name or one.span or one.material.replace("_", " ")}
            for one in (thing.parts.order_by("order") if thing else ())
        ],
        "joined": [
            {"tag": one.tag, "title": one.title, "into": one.merged_into.tag if one.merged_into else ""}
            for one in joined.order_by("-id")[:A_PAGE]
        ],
    }


LOOKS: tuple[Look, ...] = (
    Look("trays", f"{CODE}/trays/", trays),
    Look("tray", f"{CODE}/trays/<uuid:uid>/", tray),
    Look("scribe", f"{CODE}/scribe/", scribe, HANDS),
    Look("fragments", f"{CODE}/fragments/", fragments),
    Look("lots", f"{CODE}/lots/", lots),
    Look("merge", f"{CODE}/tags/", merge, SENIOR),
)
