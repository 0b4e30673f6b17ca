"""The site: water, times, rooms, people, parties, hours, the log, and the keeping of the record."""

from __future__ import annotations

from typing import Any

from django.conf import settings

from strandline.records.models.acts import Act, Refusal
from strandline.records.models.objects import Object
from strandline.records.models.people import Hours, PartyRole, Person
from strandline.records.models.sites import Incident, Place, RoomRelease
from strandline.services.give_authority import newest_authority
from strandline.services.looks.asked import ALL, HANDS, LEAD, SENIOR, Asked, Look, incident_of, iso
from strandline.services.looks.now import incident_head
from strandline.services.looks.words import CODE
from strandline.services.photograph import photos_folder
from strandline.services.release_room import NEEDED, unreleased
from strandline.services.withdraw_override import orphans

A_PAGE = 50


def start(ask: Asked) -> dict[str, Any]:
    """What is asked to start an incident."""
    return {"codes_in_use": sorted(Incident.objects.values_list("code", flat=True))}


def site(ask: Asked, code: str) -> dict[str, Any]:
    """What holds for everything in an incident."""
    incident = incident_of(code)
    senior = ask.person.role in SENIOR
    return {
        "incident": incident_head(incident),
        "role": ask.person.role,
        "site": {"name": incident.site.name, "address": incident.site.address if senior else None},
        "water": incident.water,
        "wet_since": iso(incident.wet_since),
        "out_since": iso(incident.out_since),
        "opened_at": iso(incident.opened_at),
        "closed_at": iso(incident.closed_at),
        "air_c": incident.air_c,
        "air_rh_percent": None if incident.air_rh is None else round(100 * incident.air_rh, 1),
        "crew": incident.arrangements.get("crew", []),
        "kit": incident.arrangements.get("kit", {}),
        "places": places(incident),
        "not_released": [
            {"uid": str(place.uid), "name": place.name, "missing": list(missing)}
            for place, missing in unreleased(incident)
        ],
        "needed": list(NEEDED),
        "parties": parties(incident, senior),
    }


def places(incident: Incident) -> list[dict[str, Any]]:
    """Places as a list in the order of the tree, each with how deep it lies and what was released."""
    rows = list(Place.objects.filter(incident=incident).order_by("name", "id"))
    given: dict[int, list[dict[str, Any]]] = {}
    for row in (
        RoomRelease.objects.filter(place__incident=incident).select_related("recorded_by").order_by("at")
    ):
        given.setdefault(row.place_id, []).append(
            {
                "about": row.about,
                "role": row.role,
                "said": row.said,
                "at": iso(row.at),
                "recorded_by": row.recorded_by.name,
            }
        )
    inside: dict[int | None, list[Place]] = {}
    for place in rows:
        inside.setdefault(place.inside_id, []).append(place)
    return [_place(place, deep, given) for place, deep in _down(inside, None, 0)]


def _down(inside: dict[int | None, list[Place]], outer: int | None, deep: int) -> list[tuple[Place, int]]:
    found: list[tuple[Place, int]] = []
    for place in inside.get(outer, ()):
        found += [(place, deep), *_down(inside, place.pk, deep + 1)]
    return found


def _place(place: Place, deep: int, given: dict[int, list[dict[str, Any]]]) -> dict[str, Any]:
    return {
        "uid": str(place.uid), "name": place.name, "kind": place.kind, "deep": deep, "zone": place.zone,
        "room_for": place.room_for, "releases": given.get(place.pk, []),
    }  # fmt: skip


def parties(incident: Incident, senior: bool) -> list[dict[str, Any]]:
    """Parties with their roles and what they allow; how to reach them only for those who need to."""
    roles: dict[int, list[str]] = {}
    for row in PartyRole.objects.filter(incident=incident, object=None).order_by("id"):
        roles.setdefault(row.party_id, []).append(row.role)
    return [
        {
            "uid": str(one.party.uid), "name": one.party.name, "roles": roles.get(one.party_id, ["owner"]),
            "contact": one.party.contact if senior else None, "given": one.given, "scope": one.scope,
            "said": one.said if senior else None, "at": iso(one.at) if one.pk else None,
        }
        for one in sorted(newest_authority(incident).values(), key=lambda one: one.party.name)
    ]  # fmt: skip


def people(ask: Asked) -> dict[str, Any]:
    """Everybody who works here."""
    rows = Person.objects.select_related("user").order_by("-active", "name", "id")
    return {
        "people": [
            {
                "uid": str(one.uid), "name": one.name, "role": one.role, "contact": one.contact,
                "active": one.active, "signs_in_as": one.user.username if one.user else None,
            }
            for one in rows
        ]
    }  # fmt: skip


def me(ask: Asked) -> dict[str, Any]:
    """The person who is signed in."""
    return {"name": ask.person.name, "role": ask.person.role}


MORE: tuple[tuple[str, frozenset[str]], ...] = (
    ("list_found", ALL), ("list_in", HANDS), ("papers", HANDS), ("walk", ALL), ("scribe", HANDS),
    ("fragments", ALL), ("lots", ALL), ("merge", SENIOR), ("overrides", ALL), ("site", ALL), ("hours", HANDS),
    ("log", SENIOR), ("people", LEAD), ("keeping", SENIOR), ("start", LEAD), ("me", ALL),
)  # fmt: skip
"""Pages that are not among the main ways, in the order of the job, and who sees them."""


def more(ask: Asked, code: str) -> dict[str, Any]:
    """The pages this person may turn to besides the main ways."""
    names = [name for name, roles in MORE if ask.person.role in roles]
    return {"incident": incident_head(incident_of(code)), "pages": names}


def hours(ask: Asked, code: str) -> dict[str, Any]:
    """Who worked how long, the newest first, and the sum by person."""
    incident = incident_of(code)
    rows = list(
        Hours.objects.filter(incident=incident).select_related("person", "object").order_by("-started_at")
    )
    sums: dict[str, float] = {}
    for row in rows:
        sums[row.person.name] = sums.get(row.person.name, 0.0) + row.minutes
    everybody = Person.objects.filter(active=True).order_by("name")
    return {
        "incident": incident_head(incident),
        "people": [{"uid": str(one.uid), "name": one.name} for one in everybody],
        "sums": [{"name": name, "minutes": minutes} for name, minutes in sorted(sums.items())],
        "rows": [
            {
                "name": row.person.name, "minutes": row.minutes, "started_at": iso(row.started_at),
                "step": row.step, "tag": row.object.tag if row.object else None,
            }
            for row in rows[:A_PAGE]
        ],
    }  # fmt: skip


def log(ask: Asked, code: str) -> dict[str, Any]:
    """What was done in an incident, and what was refused, the newest first."""
    incident = incident_of(code)
    page = ask.number("page", 1, 100_000)
    acts = Act.objects.filter(incident=incident).select_related("person", "object", "device").order_by("-id")
    rows = list(acts[(page - 1) * A_PAGE : page * A_PAGE + 1])
    tags = Object.objects.filter(incident=incident)
    refusals = (
        Refusal.objects.filter(object__in=tags).select_related("person", "object").order_by("-id")[:A_PAGE]
    )
    return {
        "incident": incident_head(incident),
        "page": page,
        "more": len(rows) > A_PAGE,
        "acts": [
            {
                "kind": row.kind,
                "tag": row.object.tag if row.object else row.payload.get("facts", {}).get("tag"),
                "name": row.person.name,
                "device": row.device.name if row.device else None, "at": iso(row.server_at),
                "device_at": iso(row.device_at),
            }
            for row in rows[:A_PAGE]
        ],
        "refusals": [
            {
                "kind": row.kind, "tag": row.object.tag if row.object else None, "reason": row.reason,
                "name": row.person.name if row.person else None, "at": iso(row.at),
            }
            for row in refusals
        ],
    }  # fmt: skip


def keeping(ask: Asked) -> dict[str, Any]:
    """How the record is kept: backups, and overrides whose rule is gone."""
    rounds = getattr(settings, "ROUNDS", None)
    status = None if rounds is None else rounds.status
    return {
        "folder": str(photos_folder().parent),
        "last_backup_at": iso(status.last_ok_at) if status else None,
        "backup_trouble": status.last_error if status else "",
        "hourly": status is not None,
        "orphans": [
            {"target": one.target, "level": one.level, "reason": one.reason, "why": why}
            for one, why in orphans(ask.at)
        ],
    }


LOOKS: tuple[Look, ...] = (
    Look("start", "start/", start, LEAD),
    Look("people", "people/", people, LEAD),
    Look("me", "me/", me),
    Look("keeping", "keeping/", keeping, SENIOR),
    Look("site", f"{CODE}/site/", site),
    Look("more", f"{CODE}/more/", more),
    Look("hours", f"{CODE}/hours/", hours, HANDS),
    Look("log", f"{CODE}/log/", log, SENIOR),
)
