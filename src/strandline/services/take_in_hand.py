"""Take in hand: a device says that its people are at work on a thing, so that nobody else begins."""

from __future__ import annotations

import math
from datetime import timedelta

from strandline.records.models.acts import WorkClaim
from strandline.records.models.objects import Object
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.open_incident import tellable
from strandline.services.plan import newest, steps_of

MOST_HOURS = 24.0
LONGEST_STEP = 64


def take_in_hand(caller: Caller, thing: Object, step: str, hours: float = 2.0) -> WorkClaim:
    """Take a thing in hand for so many hours; the same device may take it anew for longer.

    A claim whose time has passed is given back first.  Raises Refused without a device, while another device
    has the thing, for a step its newest plan does not have, and for no time or more than a day.
    """

    def work(changes: Changes) -> None:
        if caller.device is None:
            raise Refused("only a device can take a thing in hand")
        if not math.isfinite(hours) or not 0 < hours <= MOST_HOURS:
            raise Refused(f"a thing is in hand for more than 0 and {MOST_HOURS:g} hours at most; got {hours}")
        _step(thing, step)
        at = now()
        held = WorkClaim.objects.filter(object=thing, given_back_at__isnull=True).first()
        if held is not None:
            if held.device_id != caller.device.pk and held.until > at:
                raise Refused(f"{thing.tag} is in hand at {held.device.name} until {held.until:%H:%M} UTC")
            changes.update(held, given_back_at=at)
        changes.create(
            WorkClaim, object=thing, device=caller.device, step=step, taken_at=at,
            until=at + timedelta(hours=hours),
        )  # fmt: skip

    payload = {"object": thing, "step": step, "hours": tellable(hours), "device": caller.device}
    act = perform(caller, Wanted("take_in_hand", payload, thing.incident, thing), work)
    return made_by(act, WorkClaim)


def _step(thing: Object, step: str) -> None:
    if not step.strip() or len(step) > LONGEST_STEP:
        raise Refused("say which step is done")
    plan = newest(thing)
    if plan is not None and step not in steps_of(plan):
        raise Refused(f"plan {plan.number} of {thing.tag} has no step '{step}'")


def give_back(caller: Caller, claim: WorkClaim) -> WorkClaim:
    """Give a thing back: the device that has it, or a lead for it.

    Raises Refused for another device, and where it was given back already.
    """
    thing = claim.object

    def work(changes: Changes) -> None:
        held = WorkClaim.objects.select_for_update().get(pk=claim.pk)
        if held.given_back_at is not None:
            raise Refused(f"{thing.tag} was given back already")
        own = caller.device is not None and held.device_id == caller.device.pk
        if not own and caller.person.role != "lead":
            raise Refused(f"{thing.tag} is in hand at another device; that one or a lead gives it back")
        changes.update(held, given_back_at=now())

    perform(caller, Wanted("give_back", {"claim": claim}, thing.incident, thing), work)
    return WorkClaim.objects.get(pk=claim.pk)
