"""The first pages: incidents, and how one stands."""

from __future__ import annotations

from datetime import datetime
from heapq import nsmallest
from typing import Any

from django.conf import settings
from django.db.models import Count, F, Q, QuerySet
from django.utils.translation import gettext as _

from strandline.records.models.objects import ListRow, Object, TrayCount
from strandline.records.models.sites import Incident, Place
from strandline.services.looks.asked import Asked, Look, incident_of, iso
from strandline.services.looks.words import CODE
from strandline.services.looks.work_rows import by_due, hours_left, in_hand, mine, rows
from strandline.services.ranking import Standing, ranking
from strandline.services.release_room import unreleased
from strandline.services.strike_out import void_papers

NEXT = 5
"""So many things are named on the first page of an incident."""


def home(ask: Asked) -> dict[str, Any]:
    """Every incident, the open ones first."""
    rows = Incident.objects.select_related("site").annotate(
        things_in=Count("things", filter=Q(things__merged_into__isnull=True))
    )
    return {
        "incidents": [
            {
                "code": one.code,
                "name": one.name,
                "site": one.site.name,
                "opened_at": iso(one.opened_at),
                "closed_at": iso(one.closed_at),
                "objects": one.things_in,
            }
            for one in sorted(rows, key=lambda one: (one.closed_at is not None, one.code))
        ],
        "may_start": ask.person.role == "lead",
    }


def incident_head(incident: Incident) -> dict[str, Any]:
    """What every page of an incident says at its top."""
    return {"code": incident.code, "name": incident.name, "zone": incident.zone}


def counts(incident: Incident) -> dict[str, int]:
    """The headline numbers of an incident, each counted once here for every face."""
    things = Object.objects.filter(incident=incident, merged_into__isnull=True)
    found: dict[str, int] = things.aggregate(
        objects=Count("id"),
        stopped=Count("id", filter=Q(stops__gt=0)),
        for_the_lead=Count("id", filter=Q(refers__gt=0)),
        no_step_left=Count("id", filter=Q(plan__isnull=False, next_step="")),
    )
    rows = ListRow.objects.filter(incident=incident).aggregate(
        listed=Count("id"), not_seen=Count("id", filter=Q(state="not_seen"))
    )
    return {
        **found,
        "listed": rows["listed"],
        "listed_not_seen": rows["not_seen"],
        "void_papers": void_papers(incident).count(),
        "searches": open_searches(incident).count(),
    }


def open_searches(incident: Incident) -> QuerySet[TrayCount]:
    """Trays counted with fewer things than expected, not settled yet, the oldest first."""
    short = TrayCount.objects.filter(
        tray__incident=incident, settled_at__isnull=True, counted__lt=F("expected")
    )
    return short.select_related("tray").order_by("at", "id")


def now(ask: Asked, code: str) -> dict[str, Any]:
    """How an incident stands, and what this person may turn to."""
    incident = incident_of(code)
    standing = ranking.of(incident, ask.at)
    lead = ask.person.role == "lead"
    return {
        "incident": incident_head(incident),
        "counts": counts(incident),
        "role": ask.person.role,
        "rooms": _rooms(incident),
        "no_rooms": not Place.objects.filter(incident=incident, kind="room").exists(),
        "next": _next(ask, incident, standing),
        "backup": _backup() if lead else None,
        "waiting": _waiting(standing, ask.at) if lead else [],
        "void": _void(incident) if lead else [],
        "searches": _searches(incident) if lead else [],
    }


def _rooms(incident: Incident) -> list[dict[str, Any]]:
    """Rooms nobody may work in yet, and in what they are not released."""
    said = {
        "structure": _("structure"),
        "electricity": _("electricity"),
        "gas": _("gas"),
        "contamination": _("contamination"),
    }
    return [
        {"room": place.name, "missing": [said.get(one, one) for one in missing]}
        for place, missing in unreleased(incident)
    ]


def _next(ask: Asked, incident: Incident, standing: Standing) -> list[dict[str, Any]]:
    """The next things for whoever asks that nobody has in hand."""
    found = mine(standing, ask)[: 4 * NEXT]
    held = in_hand([one.pk for one in found], ask.at)
    free = [one for one in found if one.pk not in held]
    return rows(ask, incident, standing, free[:NEXT])


def _waiting(standing: Standing, at: datetime) -> list[dict[str, Any]]:
    """Things that wait for the lead, those with the fewest hours left."""
    asked = (one for one in (*standing.ordered, *standing.at_rest) if one.refers > 0)
    found = nsmallest(NEXT, asked, key=by_due)
    titles = dict(Object.objects.filter(pk__in=[one.pk for one in found]).values_list("pk", "title"))
    return [
        {"tag": one.tag, "title": titles.get(one.pk, ""), "hours_left": hours_left(one, at)} for one in found
    ]


def _void(incident: Incident) -> list[dict[str, Any]]:
    """Papers that tell something else than the plan and are still about."""
    return [
        {"tag": row.plan.object.tag, "kind": row.kind, "plan": row.plan.number, "void_at": iso(row.void_at)}
        for row in void_papers(incident)[:NEXT]
    ]


def _searches(incident: Incident) -> list[dict[str, Any]]:
    """Trays that came back with too little on them."""
    return [
        {
            "tray": row.tray.name,
            "expected": row.expected,
            "counted": row.counted,
            "missing": list(row.missing),
            "at": iso(row.at),
        }
        for row in open_searches(incident)[:NEXT]
    ]


def _backup() -> dict[str, Any] | None:
    """When the server last made a backup, and what went wrong since; None where no server makes any."""
    status = getattr(getattr(settings, "ROUNDS", None), "status", None)
    if status is None:
        return None
    error = getattr(status, "last_error", None)
    return {"last_ok_at": iso(getattr(status, "last_ok_at", None)), "last_error": str(error) if error else ""}


LOOKS: tuple[Look, ...] = (Look("home", "", home), Look("now", f"{CODE}/", now))
