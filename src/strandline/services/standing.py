"""How an object stands: what its row says in short of its newest plan, so that long lists read no plans."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from strandline.records.models.objects import Object
from strandline.records.models.plans import HazardRelease, PlanSnapshot, StepEnd
from strandline.services.changes import Changes
from strandline.services.referrals import referrals

DONE: tuple[str, ...] = ("done", "done_differently")
ORIGINS: Mapping[str, str] = {"wetted": "wet_since", "emerged": "out_since"}


def sought(*texts: str) -> str:
    """Texts folded for search: small letters, accents off."""
    parted = unicodedata.normalize("NFKD", " ".join(texts).casefold())
    return "".join(one for one in parted if not unicodedata.combining(one))


def ended_steps(plan: PlanSnapshot) -> dict[str, StepEnd]:
    """By key, the steps of this plan that need nobody any more.

    What was done under an earlier plan stays done; what was not done there is asked for again.
    """
    rows = StepEnd.objects.filter(object_id=plan.object_id).order_by("at", "id")
    return {row.step: row for row in rows if row.plan_id == plan.pk or row.end in DONE}


def open_steps(plan: PlanSnapshot) -> list[dict[str, Any]]:
    """The steps of a plan that have not ended, in order."""
    ended = ended_steps(plan)
    return [step for step in plan.result["steps"] if step["key"] not in ended]


def restand(changes: Changes, thing: Object, plan: PlanSnapshot) -> None:
    """Bring the short form in an object's row up to date with its newest plan."""
    left = open_steps(plan)
    lifted = set(HazardRelease.objects.filter(object=thing).values_list("hazard", flat=True))
    stops = [one for one in plan.result["hazards"] if one["grade"] == "stop" and one["key"] not in lifted]
    first = left[0] if left else {"key": "", "role": ""}
    changes.update(
        thing, plan=plan, next_step=first["key"], next_role=first["role"], stops=len(stops),
        refers=0 if stops else len(referrals(plan.result, {step["key"] for step in left})),
        runs=_runs(plan), significance=_significance(plan.facts),
    )  # fmt: skip


def _runs(plan: PlanSnapshot) -> list[list[Any]]:
    facts = plan.facts["facts"]
    return [
        [clock["key"], _origin(facts, clock["origin"]), clock["at_h"], clock["shape"]]
        for clock in plan.result["clocks"]
    ]


def _origin(facts: Mapping[str, Any], origin: str) -> str | None:
    """The moment a clock runs from; from wetting on where nobody knows when a thing came out of it."""
    found = facts.get(ORIGINS.get(origin, "")) or (facts.get("wet_since") if origin in ORIGINS else None)
    return found if isinstance(found, str) else None


def _significance(facts: Mapping[str, Any]) -> int:
    found = facts["facts"].get("significance")
    return found if isinstance(found, int) else 3


def hours_since(text: str | None, at: datetime) -> float | None:
    """Hours from a stored moment to ``at``; None where nobody knows the moment."""
    return None if text is None else (at - datetime.fromisoformat(text)).total_seconds() / 3600
