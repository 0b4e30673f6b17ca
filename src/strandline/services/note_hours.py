"""Note hours: minutes of one person's work, for an object or for the incident."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

from strandline.records.models.objects import Object
from strandline.records.models.people import Hours, Person
from strandline.records.models.sites import Incident
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.open_incident import moment, tellable

MOST_MINUTES = 24 * 60.0
MOST_AHEAD = timedelta(minutes=10)
"""How far a device's clock may be ahead of this one."""
LONGEST_STEP = 64


def note_hours(
    caller: Caller,
    incident: Incident,
    person: Person,
    minutes: float,
    started_at: datetime,
    step: str = "",
    thing: Object | None = None,
) -> Hours:
    """Note work of a person, who need not be the one who writes it down.

    Raises Refused for no time or more than a day at once, a start that is to come or without its offset,
    and a thing of another incident.
    """

    def work(changes: Changes) -> None:
        if not math.isfinite(minutes) or not 0 < minutes <= MOST_MINUTES:
            raise Refused(f"minutes of work are more than 0 and {MOST_MINUTES:g} at most; got {minutes}")
        start = moment(started_at)
        if start is None or start > now() + MOST_AHEAD:
            raise Refused("work is noted once it has begun; the start is still to come")
        if thing is not None and thing.incident_id != incident.pk:
            raise Refused(f"{thing.tag} is a thing of another incident")
        if len(step) > LONGEST_STEP:
            raise Refused(f"a step has a key of {LONGEST_STEP} characters at most")
        changes.create(
            Hours,
            person=person,
            incident=incident,
            object=thing,
            step=step,
            started_at=start,
            minutes=minutes,
        )

    payload = {"incident": incident, "person": person, "minutes": tellable(minutes),
               "started_at": tellable(started_at), "step": step, "object": thing}  # fmt: skip
    return made_by(perform(caller, Wanted("note_hours", payload, incident, thing), work), Hours)
