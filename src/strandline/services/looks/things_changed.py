"""What a plan changed against the one before it, and what came to be known in between."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from strandline.records.models.facts import Observation
from strandline.records.models.objects import Object
from strandline.records.models.plans import HazardRelease, Paper, PlanSnapshot
from strandline.services.looks import things_plan
from strandline.services.looks import things_words as words
from strandline.services.looks.asked import iso
from strandline.services.looks.changes_of_plan import changes_of_plan, sentences

MOST_SEEN = 8
"""Looks named in one sentence; all of them stand in the list beside it."""


def since(found: Object, number: int, zone: str) -> dict[str, Any] | None:
    """What changed from plan ``number`` to the newest one; None where there is nothing to compare."""
    plans = list(PlanSnapshot.objects.filter(object=found, number__gte=number).order_by("number"))
    return _between(found, plans[0], plans[-1], zone) if len(plans) > 1 else None


def by_plan(found: Object, number: int, zone: str) -> dict[str, Any] | None:
    """What plan ``number`` changed against the one before it; None where there is none."""
    plans = list(
        PlanSnapshot.objects.filter(object=found, number__in=(number - 1, number)).order_by("number")
    )
    return _between(found, plans[0], plans[1], zone) if len(plans) == 2 else None


def _between(found: Object, before: PlanSnapshot, after: PlanSnapshot, zone: str) -> dict[str, Any]:
    changes = changes_of_plan(things_plan.named(before.result), things_plan.named(after.result))
    seen = _seen(found, before, after, zone)
    because = _("looked at by %(who)s") % {"who": "; ".join(seen[:MOST_SEEN])} if seen else ""
    if not because and changes["overruled"]:
        because = _("overruled: %(marks)s") % {"marks": "; ".join(changes["overruled"])}
    papers = Paper.objects.filter(
        plan__object=found, void_at__gte=after.made_at, void_at__lte=after.made_at, struck_out_at__isnull=True
    )
    return {
        **changes,
        "before_no": before.number,
        "after_no": after.number,
        "seen": seen,
        "released_by": _releases(found, before, after),
        "because": because,
        "sentences": sentences(changes, because),
        "void": [{"kind": words.spaced(row.kind), "printed_at": iso(row.printed_at)} for row in papers],
    }


def _seen(found: Object, before: PlanSnapshot, after: PlanSnapshot, zone: str) -> list[str]:
    """Who saw what, when, between the two plans."""
    rows = (
        Observation.objects.filter(object=found, at__gte=before.made_at, at__lte=after.made_at)
        .select_related("by", "part")
        .order_by("at", "id")
    )
    told = []
    for row in rows:
        if row.by is None:
            continue
        part = (row.part.name or row.part.span) if row.part else ""
        said = {
            "who": row.by.name,
            "at": words.at_hour(row.at, zone),
            "what": words.seen(row.key, row.value, part, zone),
        }
        told.append(_("%(who)s, %(at)s: %(what)s") % said)
    return told


def _releases(found: Object, before: PlanSnapshot, after: PlanSnapshot) -> list[str]:
    rows = HazardRelease.objects.filter(object=found, at__gte=before.made_at, at__lte=after.made_at)
    return [f"{words.spaced(row.hazard)}: {row.role}: {row.said}" for row in rows.order_by("at", "id")]
