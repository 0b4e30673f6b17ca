"""The dry scribe: one person records what several people with wet hands did, for several tags, in one go."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import uuid5

from strandline.records.models.objects import Object
from strandline.records.models.people import Person
from strandline.records.models.sites import Incident
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.changes import Changes
from strandline.services.end_tray_step import Ended, Ending, end_each
from strandline.services.resolve import resolve

Told = tuple[Person, str, str, str, str, str]
"""Who did it, tag, step, end, because, note."""


def record_for(caller: Caller, acts: Sequence[Told], incident: Incident | None = None) -> Ended:
    """Record ends of steps; each act is that of the person who did it and names the scribe in its payload.

    The role of the scribe and that of the doer must both allow it; whose step it is, is asked of the doer.
    Without ``incident`` a tag is looked for in all incidents that are open.  One that is refused keeps no
    other from being recorded; sent again, each is done once.  Raises Refused for no acts at all.
    """
    payload = {"incident": incident, "acts": [list(one) for one in acts]}

    def work(changes: Changes) -> None:
        if not acts:
            raise Refused("there is nothing to record")

    perform(caller, Wanted("record_for", payload, incident), work)
    done = Ended()
    for number, (person, tag, step, end, because, note) in enumerate(acts):
        try:
            thing = _thing(tag, incident)
        except Refused as error:
            done.refused.append((tag, str(error)))
            continue
        key = uuid5(caller.key, f"{number}:{tag}")
        one = end_each(
            caller, [Ending(person, key, tag, thing, step, end, because, note)], scribe=caller.person
        )
        done.ended.extend(one.ended)
        done.refused.extend(one.refused)
    return done


def _thing(tag: str, incident: Incident | None) -> Object:
    """The object of a tag; Refused where there is none, or one in several incidents."""
    where = [incident] if incident else list(Incident.objects.filter(closed_at__isnull=True))
    found = [one for one in (resolve(place, tag) for place in where) if one is not None]
    things = [one for one in found if isinstance(one, Object)]
    if len(things) == 1:
        return things[0]
    if things:
        raise Refused(f"there is a {tag} in several incidents; say which")
    if found:
        raise Refused(f"{tag} is a fragment; steps are those of the object it came off")
    raise Refused(f"there is no object under the tag {tag}")
