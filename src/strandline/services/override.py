"""Override: the lead overrules a rule, hour or limit, for the practice, an incident, a lot or an object."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from strandline.knowledge.files import KnowledgeError
from strandline.records.models.objects import Lot, Object
from strandline.records.models.plans import Override
from strandline.records.models.sites import Incident
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.engines import knowledge_with, override_text

LEAST_REASON = 10
Level = Incident | Lot | Object | None


def override(
    caller: Caller,
    target: str,
    value: dict[str, Any],
    reason: str,
    level: Level = None,
    expires_at: datetime | None = None,
) -> Override:
    """Overrule fields of the rule ``target``; ``level`` None is the practice.

    Raises Refused for a stop, a hazard, an unknown rule or field, a value that does not fit, and a reason of
    fewer than ten characters.  Plans made before stay as they are.
    """
    names = {"incident": Incident, "lot": Lot, "object": Object}
    where = {name: level if isinstance(level, kind) else None for name, kind in names.items()}
    word = next((name for name, row in where.items() if row is not None), "practice")
    payload = {"target": target, "value": value, "reason": reason, "level": word, **where,
               "expires_at": expires_at}  # fmt: skip

    def work(changes: Changes) -> None:
        if len(reason.strip()) < LEAST_REASON:
            raise Refused(f"an override needs a reason of {LEAST_REASON} characters at least")
        at = now()
        if expires_at is not None and expires_at <= at:
            raise Refused("an override cannot have expired before it is made")
        fields: dict[str, Any] = {
            "level": word, "target": target, "value": value, "reason": reason.strip(),
            "person": caller.person, "at": at, "expires_at": expires_at, **where,
        }  # fmt: skip
        try:
            knowledge_with(((word, override_text(Override(**fields))),))
        except KnowledgeError as error:
            raise Refused("; ".join(error.problems)) from error
        except ValueError as error:
            raise Refused(str(error)) from error
        changes.create(Override, **fields)

    thing = level if isinstance(level, Object) else None
    incident = level if isinstance(level, Incident) else getattr(level, "incident", None)
    return made_by(perform(caller, Wanted("override", payload, incident, thing), work), Override)
