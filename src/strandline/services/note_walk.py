"""Note a walk: somebody looked through a room in pictures and touched nothing; the act is the record."""

from __future__ import annotations

from strandline.papers.pictures import DRAWN
from strandline.records.models.acts import Act
from strandline.records.models.sites import Incident, Place
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.changes import Changes

KIND = "note_walk"


def note_walk(caller: Caller, incident: Incident, place: Place, seen: list[str]) -> Act:
    """Keep what of the pictures was seen in a room, by key; an empty list says none of these.

    Raises Refused for a place of another incident or one that is no room, and for a picture there is not.
    """
    payload = {"incident": incident, "place": place, "seen": sorted(set(seen))}

    def work(changes: Changes) -> None:
        if place.incident_id != incident.pk:
            raise Refused(f"{place.name} is a place of another incident")
        if place.kind != "room":
            raise Refused(f"{place.name} is a {place.kind}; a walk goes through a room")
        if unknown := sorted(set(seen) - DRAWN.keys()):
            raise Refused(f"'{unknown[0]}' is none of the pictures; they are {', '.join(DRAWN)}")

    return perform(caller, Wanted(KIND, payload, incident), work)
