"""Strike out: a paper that tells something else than the plan was found and crossed through."""

from __future__ import annotations

from django.db.models import QuerySet

from strandline.records.models.plans import Paper
from strandline.records.models.sites import Incident
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.changes import Changes
from strandline.services.clock import now


def strike_out(caller: Caller, paper: Paper) -> Paper:
    """Record that a void paper was struck out.  Raises Refused for one that holds or was struck out."""
    thing = paper.plan.object

    def work(changes: Changes) -> None:
        held = Paper.objects.select_for_update().get(pk=paper.pk)
        if held.void_at is None:
            raise Refused(
                f"this {held.kind.replace('_', ' ')} of {thing.tag} holds; only a void one is struck out"
            )
        if held.struck_out_at is not None:
            raise Refused(f"this {held.kind.replace('_', ' ')} of {thing.tag} is struck out already")
        changes.update(held, struck_out_at=now())

    perform(caller, Wanted("strike_out", {"paper": paper}, thing.incident, thing), work)
    return Paper.objects.get(pk=paper.pk)


def void_papers(incident: Incident) -> QuerySet[Paper]:
    """Papers of an incident that are void and still about, the oldest first."""
    return (
        Paper.objects.filter(
            plan__object__incident=incident, void_at__isnull=False, struck_out_at__isnull=True
        )
        .select_related("plan__object")
        .order_by("void_at", "id")
    )
