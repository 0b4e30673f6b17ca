"""End a step: done, done differently, or not done because."""

from __future__ import annotations

from typing import Any

from strandline.records.models.people import Person
from strandline.records.models.plans import ENDS, NOT_DONE, PlanSnapshot, StepEnd
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.plan import newest, steps_of
from strandline.services.roles import may
from strandline.services.standing import restand

BY_HAND = tuple(key for key, _ in ENDS if key != "withdrawn")
REASONS = tuple(key for key, _ in NOT_DONE)


def end_step(
    caller: Caller,
    plan: PlanSnapshot,
    step: str,
    end: str,
    because: str = "",
    note: str = "",
    *,
    scribe: Person | None = None,
) -> StepEnd:
    """Record how a step of the newest plan ended.

    Under a stop the plan has only the steps of the stop (keep away, call), so that these can be ended and
    nothing else can.  ``scribe`` is who records it for the caller, whose role must allow it too.
    Raises Refused for an older plan, a step it does not have or that has ended, a
    conservator's step done by a helper, and a missing reason or account.
    """
    thing = plan.object

    def work(changes: Changes) -> None:
        if scribe is not None and not (scribe.active and may(scribe.role, "end_step")):
            raise Refused(f"a {scribe.role} may not record for others")
        _words(end, because, note)
        last = newest(thing)
        if last is not None and last.pk != plan.pk:
            raise Refused(f"plan {plan.number} of {thing.tag} is not the newest; plan {last.number} is")
        found = steps_of(plan).get(step)
        if found is None:
            raise Refused(f"plan {plan.number} of {thing.tag} has no step '{step}'")
        if StepEnd.objects.filter(plan=plan, step=step).exists():
            raise Refused(f"step '{step}' of plan {plan.number} of {thing.tag} has ended already")
        if end != "not_done" and found["role"] == "conservator" and caller.person.role == "helper":
            raise Refused(f"step '{step}' is a conservator's")
        changes.create(
            StepEnd, object=thing, plan=plan, step=step, end=end, because=because, note=note,
            by=caller.person, at=now(),
        )  # fmt: skip
        restand(changes, thing, plan)

    payload: dict[str, Any] = {"plan": plan, "step": step, "end": end, "because": because, "note": note}
    if scribe is not None:
        payload["scribe"] = scribe
    return made_by(perform(caller, Wanted("end_step", payload, thing.incident, thing), work), StepEnd)


def _words(end: str, because: str, note: str) -> None:
    if end not in BY_HAND:
        raise Refused(f"a step ends {', '.join(BY_HAND)}; not '{end}'")
    if end == "not_done" and because not in REASONS:
        raise Refused(f"not done because of what: {', '.join(REASONS)}")
    if end != "not_done" and because:
        raise Refused("only a step that was not done has a reason of this kind")
    if end == "done_differently" and not note.strip():
        raise Refused("done differently: say how")
