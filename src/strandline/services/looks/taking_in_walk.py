"""The walk: rooms looked through in pictures before anybody handles anything."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from strandline.records.models.acts import Act
from strandline.records.models.sites import Incident, Place
from strandline.services.looks.asked import Asked, incident_of, iso
from strandline.services.looks.now import incident_head
from strandline.services.looks.taking_in_words import hazards, tiles
from strandline.services.note_walk import KIND
from strandline.services.release_room import unreleased

MOST = 50
"""Walks that are listed."""


def walk(ask: Asked, code: str) -> dict[str, Any]:
    """Rooms with what is not released yet, the pictures, and the walks so far, the newest first."""
    incident = incident_of(code)
    rooms = list(Place.objects.filter(incident=incident, kind="room").order_by("name", "id"))
    walks = _walks(incident, {str(room.uid): room.name for room in rooms})
    looked = {one["room"]: one for one in reversed(walks)}
    missing = {place.pk: list(about) for place, about in unreleased(incident)}
    return {
        "incident": incident_head(incident),
        "rooms": [
            {
                "uid": str(room.uid),
                "name": room.name,
                "not_released": missing.get(room.pk, []),
                "looked_at": looked[room.name]["at"] if room.name in looked else None,
            }
            for room in rooms
        ],
        "pictures": tiles(hazards()),
        "walks": walks,
        "noted": next((one for one in walks if one["uid"] == ask.query.get("noted")), None),
    }


def _walks(incident: Incident, rooms: Mapping[str, str]) -> list[dict[str, Any]]:
    acts = Act.objects.filter(incident=incident, kind=KIND).select_related("person")
    words = hazards()
    return [
        {
            "uid": str(act.uid),
            "room": rooms.get(act.payload["place"], ""),
            "seen": [words.get(key, key) for key in act.payload["seen"]],
            "by": act.person.name,
            "role": act.person.role,
            "at": iso(act.server_at),
        }
        for act in acts.order_by("-server_at", "-id")[:MOST]
    ]
