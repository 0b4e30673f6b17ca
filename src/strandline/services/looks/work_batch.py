"""Papers out of the record: the newest plans with their hours, the order of work, trays and the list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Q

from strandline import __version__
from strandline.care.engine import Engine
from strandline.exchange.care_json import made_by
from strandline.exchange.order_json import order_document
from strandline.papers.head import Head
from strandline.pipeline.objects import Site
from strandline.pipeline.ordering import default_crew, work_order
from strandline.records.models.objects import ListRow, Object, Tray
from strandline.records.models.plans import Override, PlanSnapshot, StepEnd
from strandline.records.models.sites import Incident, Place, RoomRelease
from strandline.services.engines import LEVELS, chosen, texts_of
from strandline.services.given import Batch, hands_of
from strandline.services.looks.taking_in_reality import reality
from strandline.services.looks.things_words import spaced
from strandline.services.looks.work_kept import KeptPlan
from strandline.services.receive import next_tag
from strandline.services.release_room import unreleased
from strandline.services.standing import DONE

SHIFT_H = 8.0
RELEASER = "somebody competent, by record"


@dataclass(frozen=True, slots=True)
class FromRecord:
    """What plans of an incident are made with, in the form papers take it."""

    engine: Engine
    site: Site
    incident: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A batch drawn from the record, and the plan each object's data came from, by tag."""

    batch: Batch
    plans: dict[str, PlanSnapshot]


def draw(incident: Incident, things: Sequence[Object], at: datetime) -> Drawn:
    """Everything papers may need of some things at ``at`` (aware, UTC).  Things without a plan are left out.

    The number of queries does not depend on that of things.
    """
    kept = kept_plans(things, at)
    around = _around(incident, at)
    objects = [one.care(at) for one in kept]
    work = [one.to_order() for one in kept]
    conservators, helpers = hands_of(around.incident.get("crew"))
    crew = default_crew(conservators, helpers, SHIFT_H, SHIFT_H)
    made = work_order([(facts, plan) for facts, plan in work if plan.steps], at, crew)
    known = around.engine.book.knowledge
    order = order_document(made.problem, made.schedule, made.why, made_by(known, __version__))
    head = Head(incident.code, incident.name, at, incident.zone, known.version, known.reviewed)
    batch = Batch(
        head, objects, order, around,
        done={one.thing.tag: list(one.ended) for one in kept},
        trays=_trays(incident, {one.thing.tag for one in kept}),
        groups=_groups(incident),
        next_tag=int(next_tag(incident)),
    )  # fmt: skip
    return Drawn(batch, {one.thing.tag: one.plan for one in kept})


def kept_plans(things: Sequence[Object], at: datetime) -> list[KeptPlan]:
    """The newest plans of some things, with the steps that have ended."""
    ends: dict[int, list[tuple[int, str, str]]] = {}
    rows = StepEnd.objects.filter(object__in=[one.pk for one in things])
    for thing, plan, step, end in rows.values_list("object", "plan", "step", "end"):
        ends.setdefault(thing, []).append((plan, step, end))
    return [
        KeptPlan.at(
            one,
            one.plan,
            {step for plan, step, end in ends.get(one.pk, ()) if plan == one.plan_id or end in DONE},
            at,
        )
        for one in things
        if one.plan is not None
    ]


def _around(incident: Incident, at: datetime) -> FromRecord:
    bears = Q(level="practice") | Q(incident=incident)
    lasts = Q(expires_at__isnull=True) | Q(expires_at__gt=at)
    rows = Override.objects.filter(bears, lasts, withdrawn_at__isnull=True).select_related("person")
    ranked = sorted(rows, key=lambda row: (LEVELS.index(row.level), row.pk))
    site = Site(
        at, incident.zone, incident.wet_since, incident.out_since, tuple(incident.water), incident.air_c
    )
    rooms = list(
        Place.objects.filter(incident=incident, kind="room").order_by("name").values_list("name", flat=True)
    )
    told = {**incident.arrangements, "rooms": rooms, "releases": _releases(incident)}
    return FromRecord(chosen(texts_of(ranked)).engine, site, told)


def _releases(incident: Incident) -> list[dict[str, Any]]:
    """Releases of rooms that were recorded, and those that are still wanted."""
    given = RoomRelease.objects.filter(place__incident=incident).select_related("place").order_by("at", "id")
    found: list[dict[str, Any]] = [
        {
            "room": row.place.name,
            "what": spaced(row.about),
            "released": True,
            "role": row.role,
            "at": row.at,
            "said": row.said,
        }
        for row in given
    ]
    found += [
        {"room": place.name, "what": spaced(about), "released": False, "needs": RELEASER}
        for place, missing in unreleased(incident)
        for about in missing
    ]
    return found


def _trays(incident: Incident, tags: set[str]) -> list[dict[str, Any]]:
    """The record's trays with those of the tags that lie on them; empty ones are left out."""
    rows = Object.objects.filter(tray__incident=incident, merged_into__isnull=True).order_by("tag")
    on: dict[int, list[str]] = {}
    for tray, tag in rows.values_list("tray", "tag"):
        if tag in tags:
            on.setdefault(tray, []).append(tag)
    trays = Tray.objects.filter(pk__in=on).select_related("place").order_by("name")
    return [
        {"tray": row.name, "place": row.place.name if row.place else "where it lies", "tags": on[row.pk]}
        for row in trays
    ]


def _groups(incident: Incident) -> dict[str, list[dict[str, Any]]]:
    """List against reality in the four groups of its paper; claims tie rows and objects together."""
    found: dict[str, list[dict[str, Any]]] = {
        "found": [],
        "not_seen": [],
        "unlisted": [],
        "counts_differ": [],
    }
    listed = dict(ListRow.objects.filter(incident=incident).values_list("pk", "cells"))
    known = Object.objects.filter(incident=incident, merged_into__isnull=True).select_related(
        "owner", "place"
    )
    things = {row.pk: row for row in known.defer("words", "kept", "runs", "sought")}
    for one in reality(incident).matches:
        cells = listed[one.rows[0]] if one.rows else {}
        thing = things[one.things[0]] if one.things else None
        rows, counted = len(one.rows), len(one.things)
        found[_group(rows, counted)].append({**_told(cells, thing), "listed": rows, "counted": counted})
    return found


def _group(listed: int, counted: int) -> str:
    if not counted:
        return "not_seen"
    if not listed:
        return "unlisted"
    return "found" if listed == counted else "counts_differ"


def _told(cells: Mapping[str, str], thing: Object | None) -> dict[str, str]:
    """What is said of a match: the list's own words first, then those of the table."""
    told = {
        "tag": thing.tag if thing else "",
        "owner_number": thing.owner_number if thing else "",
        "title": (thing.title or thing.materials) if thing else "",
        "owner": thing.owner.name if thing and thing.owner else "",
        "place": thing.place.name if thing and thing.place else "",
    }
    listed = {key: str(cells.get(key) or "") for key in told if key != "tag"}
    listed["title"] = listed["title"] or str(cells.get("materials") or "")
    return {**told, **{key: value for key, value in listed.items() if value}, "water_line": "", "note": ""}
