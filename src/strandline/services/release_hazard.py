"""Release a hazard: the lead records who from outside lifted a stop, in which capacity and words.

The plans made before keep their stop; the caller makes the next one, in which it guards and stops nothing.
"""

from __future__ import annotations

from strandline.records.models.objects import Object
from strandline.records.models.plans import HazardRelease, PlanSnapshot
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.plan import newest
from strandline.services.standing import restand

LEAST_ROLE, LEAST_WORDS = 2, 10


def release_hazard(caller: Caller, thing: Object, hazard: str, role: str, said: str) -> HazardRelease:
    """Record that a stop is lifted.  Nobody can lift one here without naming the outside competence.

    Raises Refused for a hazard that does not stop this object, and for a missing role or words.
    """

    def work(changes: Changes) -> None:
        last = newest(thing)
        if last is None or hazard not in open_stops(thing, last):
            raise Refused(f"'{hazard}' does not stop {thing.tag}; there is nothing to release")
        if len(role.strip()) < LEAST_ROLE or len(said.strip()) < LEAST_WORDS:
            raise Refused("a stop is released by somebody with a role, in their words; both are needed")
        changes.create(
            HazardRelease, object=thing, hazard=hazard, role=role.strip(), said=said.strip(), at=now(),
            recorded_by=caller.person,
        )  # fmt: skip
        restand(changes, thing, last)

    payload = {"object": thing, "hazard": hazard, "role": role, "said": said}
    act = perform(caller, Wanted("release_hazard", payload, thing.incident, thing), work)
    return made_by(act, HazardRelease)


def open_stops(thing: Object, plan: PlanSnapshot | None) -> list[str]:
    """Keys of the hazards that stop an object and have not been released."""
    if plan is None:
        return []
    lifted = set(HazardRelease.objects.filter(object=thing).values_list("hazard", flat=True))
    return [
        one["key"] for one in plan.result["hazards"] if one["grade"] == "stop" and one["key"] not in lifted
    ]
