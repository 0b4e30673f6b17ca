"""Print: a paper of a plan was given out, and can be called back when the plan changes."""

from __future__ import annotations

from strandline.records.models.plans import Paper, PlanSnapshot
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.plan import newest


def print_paper(caller: Caller, plan: PlanSnapshot, kind: str) -> Paper:
    """Record a paper of the newest plan.  The PDF itself is made outside the transaction, by the caller.

    Raises Refused for an older plan or a kind without a name.
    """
    thing = plan.object

    def work(changes: Changes) -> None:
        last = newest(thing)
        if last is not None and last.pk != plan.pk:
            raise Refused(f"plan {plan.number} of {thing.tag} is not the newest; print plan {last.number}")
        if not kind.strip():
            raise Refused("a paper has a kind, such as care_card")
        changes.create(Paper, plan=plan, kind=kind, printed_at=now(), by=caller.person)

    payload = {"plan": plan, "kind": kind}
    return made_by(perform(caller, Wanted("print_paper", payload, thing.incident, thing), work), Paper)
