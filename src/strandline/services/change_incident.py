"""Change an incident: what holds for everything in it is told anew."""

from __future__ import annotations

from typing import Any

from strandline.records.models.acts import Act
from strandline.records.models.sites import Incident
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.changes import Changes
from strandline.services.open_incident import CHECKS, checked, in_order, tellable


def change_incident(caller: Caller, incident: Incident, **fields: Any) -> Act:
    """Change fields of an incident: name, zone, water, times, air outside, arrangements, ``closed_at``.

    Checked as when it was opened.  Facts and plans of objects made before stay as they are.  Raises Refused
    for a field an incident does not have or that cannot be changed, and for one closed before it was opened.
    """

    def work(changes: Changes) -> None:
        other = sorted(fields.keys() - CHECKS.keys())
        if other:
            raise Refused(f"'{other[0]}' of an incident cannot be changed; {', '.join(CHECKS)} can")
        if not fields:
            raise Refused("there is nothing to change")
        given = checked(fields)
        held = Incident.objects.select_for_update().get(pk=incident.pk)
        in_order(given.get("wet_since", held.wet_since), given.get("out_since", held.out_since))
        closed = given.get("closed_at")
        if closed is not None and closed < held.opened_at:
            raise Refused("an incident cannot be closed before it was opened")
        changes.update(held, **given)

    payload = {"incident": incident, **{key: tellable(value) for key, value in sorted(fields.items())}}
    act = perform(caller, Wanted("change_incident", payload, incident), work)
    incident.refresh_from_db()
    return act
