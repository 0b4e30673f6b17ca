"""Find the parent: a stray came off this object.  It keeps the tag it has."""

from __future__ import annotations

from strandline.records.models.objects import Fragment, Object
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.changes import Changes


def find_parent(caller: Caller, fragment: Fragment, thing: Object) -> Fragment:
    """Give a stray its object.  Raises Refused for one of another incident or one that has an object."""

    def work(changes: Changes) -> None:
        fresh = Fragment.objects.select_for_update(of=("self",)).get(pk=fragment.pk)
        if fresh.incident_id != thing.incident_id:
            raise Refused(f"{fresh.tag} and {thing.tag} are of different incidents")
        if fresh.object is not None:
            raise Refused(f"{fresh.tag} is no stray; it came off {fresh.object.tag}")
        changes.update(fresh, object=thing)

    payload = {"fragment": fragment, "object": thing}
    perform(caller, Wanted("find_parent", payload, thing.incident, thing), work)
    fragment.refresh_from_db()
    return fragment
