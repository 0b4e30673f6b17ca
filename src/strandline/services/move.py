"""Move: an object is put down somewhere else."""

from __future__ import annotations

from strandline.records.models.acts import Act
from strandline.records.models.objects import Object
from strandline.records.models.sites import Place
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.changes import Changes
from strandline.services.plan import newest
from strandline.services.release_hazard import open_stops


def move(caller: Caller, thing: Object, to: Place) -> Act:
    """Put an object at a place.  Raises Refused under a stop, for a place of another incident, and for one
    that is full."""

    def work(changes: Changes) -> None:
        stops = open_stops(thing, newest(thing))
        if stops:
            named = ", ".join(stops).replace("_", " ")
            raise Refused(f"{thing.tag} is stopped ({named}): nobody moves it before release is recorded.")
        if to.incident_id != thing.incident_id:
            raise Refused(f"{to.name} is a place of another incident")
        place = Place.objects.select_for_update().get(pk=to.pk)
        there = Object.objects.filter(place=place).exclude(pk=thing.pk).count()
        if place.room_for is not None and there >= place.room_for:
            raise Refused(f"{place.name} has room for {place.room_for} and holds {there}")
        changes.update(thing, place=place)

    return perform(caller, Wanted("move", {"object": thing, "to": to}, thing.incident, thing), work)
