"""Withdraw an override: what is shipped holds again.  Also: overrides that fit nothing any more."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Q

from strandline.knowledge.files import KnowledgeError
from strandline.records.models.plans import Override
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.engines import knowledge_with, override_text
from strandline.services.override import LEAST_REASON


def withdraw_override(caller: Caller, override: Override, reason: str) -> Override:
    """Withdraw an override, which stays in the record.  Plans made before stay as they are.

    Raises Refused for one that is withdrawn already, and a reason of fewer than ten characters.
    """
    thing = override.object
    level = thing or override.lot
    incident = override.incident if level is None else level.incident

    def work(changes: Changes) -> None:
        if len(reason.strip()) < LEAST_REASON:
            raise Refused(f"withdrawing an override needs a reason of {LEAST_REASON} characters at least")
        held = Override.objects.select_for_update().get(pk=override.pk)
        if held.withdrawn_at is not None:
            raise Refused(f"the override of {held.target} is withdrawn already")
        changes.update(held, withdrawn_at=now())

    payload = {"override": override, "reason": reason.strip()}
    perform(caller, Wanted("withdraw_override", payload, incident, thing), work)
    return Override.objects.get(pk=override.pk)


def orphans(at: datetime) -> list[tuple[Override, str]]:
    """Overrides in force at a moment that no longer fit what is shipped, each with a sentence that says why.

    Their rule, material or field has gone, or no longer takes the value.
    """
    lasting = Q(expires_at__isnull=True) | Q(expires_at__gt=at)
    rows = Override.objects.filter(lasting, withdrawn_at__isnull=True).select_related("person")
    found: list[tuple[Override, str]] = []
    for row in rows.order_by("id"):
        try:
            knowledge_with(((row.level, override_text(row)),))
        except KnowledgeError as error:
            found.append((row, f"this override no longer fits: {'; '.join(error.problems)}"))
    return found
