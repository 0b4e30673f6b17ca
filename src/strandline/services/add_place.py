"""Add a place: a building, a room in it, a table, a shelf; places lie in places."""

from __future__ import annotations

from strandline.records.models.sites import PLACE_KINDS, Incident, Place
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.open_incident import named

KINDS: tuple[str, ...] = tuple(key for key, _ in PLACE_KINDS)
LONGEST_ZONE = 32


def add_place(
    caller: Caller,
    incident: Incident,
    kind: str,
    name: str,
    inside: Place | None = None,
    zone: str = "",
    room_for: int | None = None,
) -> Place:
    """Add a place to an incident.  ``room_for`` counts the things it holds, None for no limit.

    Raises Refused for an unknown kind, a name that stands there already, an outer place of another incident,
    and room for less than one thing.
    """
    payload = {"incident": incident, "kind": kind, "name": name, "inside": inside, "zone": zone,
               "room_for": room_for}  # fmt: skip

    def work(changes: Changes) -> None:
        # Held, so that two who add the same name at once are told apart.
        Incident.objects.select_for_update().get(pk=incident.pk)
        if kind not in KINDS:
            raise Refused(f"'{kind}' is no kind of place; kinds are {', '.join(KINDS)}")
        if inside is not None and inside.incident_id != incident.pk:
            raise Refused(f"{inside.name} is a place of another incident")
        called = named(name, "a place")
        if Place.objects.filter(incident=incident, inside=inside, name=called).exists():
            raise Refused(f"{called} is there already{f', in {inside.name}' if inside else ''}")
        if len(zone) > LONGEST_ZONE:
            raise Refused(f"a zone is a word of {LONGEST_ZONE} characters at most")
        if room_for is not None and room_for < 1:
            raise Refused(f"a place has room for one thing at least, or no limit; got {room_for}")
        changes.create(
            Place, incident=incident, inside=inside, kind=kind, name=called, zone=zone.strip(),
            room_for=room_for,
        )  # fmt: skip

    return made_by(perform(caller, Wanted("add_place", payload, incident), work), Place)
