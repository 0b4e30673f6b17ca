"""Make a tray: a name, and a place where it stands."""

from __future__ import annotations

from strandline.records.models.objects import Tray
from strandline.records.models.sites import Incident, Place
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.together import together

LONGEST_NAME = 50


def make_tray(caller: Caller, incident: Incident, name: str, place: Place | None = None) -> Tray:
    """A tray under a name nobody else's has.  Raises Refused for a name that is empty, too long or taken,
    and for a place of another incident."""

    def work(changes: Changes) -> None:
        called = name.strip()
        if not 0 < len(called) <= LONGEST_NAME:
            raise Refused(f"a tray has a name of {LONGEST_NAME} characters at most")
        if Tray.objects.filter(incident=incident, name=called).exists():
            raise Refused(f"there is a tray '{called}' already")
        if place is not None and place.incident_id != incident.pk:
            raise Refused(f"{place.name} is a place of another incident")
        changes.create(Tray, incident=incident, name=called, place=place)

    wanted = Wanted("make_tray", {"incident": incident, "name": name, "place": place}, incident)
    return made_by(together(incident, lambda: perform(caller, wanted, work)), Tray)
