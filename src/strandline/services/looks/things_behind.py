"""Objects whose newest plan was made before something that bears on it was overruled, or held again."""

from __future__ import annotations

from collections.abc import Sequence

from django.db.models import Count, Q, QuerySet, TextField
from django.db.models.functions import Cast

from strandline import __version__
from strandline.knowledge.base import shipped
from strandline.records.models.objects import Object
from strandline.records.models.plans import Override, PlanSnapshot
from strandline.records.models.sites import Incident

MOST_PLANS = 40
"""Plans made anew in one go; more are made by pressing again."""
MOST_LOOKED_AT = 10
"""Overrides of wide levels whose plans are counted, the newest; older ones have long been followed."""


def behind(row: Override, incident: Incident) -> QuerySet[Object]:
    """Objects of an incident whose plan names what was overruled and is older than that."""
    return _planned(incident).filter(_late(row)).order_by("tag")


def of_older_rules(incident: Incident) -> QuerySet[Object]:
    """Objects of an incident whose newest plan was made by other rules than those shipped now."""
    things = Object.objects.filter(incident=incident, merged_into__isnull=True, plan__isnull=False)
    now = Q(plan__knowledge__sha256=shipped().sha256, plan__knowledge__engine_version=__version__)
    return things.exclude(now).order_by("tag")


def is_of_older_rules(plan: PlanSnapshot) -> bool:
    """Whether a plan was made by other rules than those shipped now; its knowledge must be at hand."""
    made_by = plan.knowledge
    return (made_by.sha256, made_by.engine_version) != (shipped().sha256, __version__)


def behind_many(rows: Sequence[Override], incident: Incident) -> dict[int, int]:
    """By override, how many objects :func:`behind` gives; one query, those of single objects left out."""
    wide = [row for row in rows if row.level != "object"][:MOST_LOOKED_AT]
    if not wide:
        return {}
    counts = {f"n{row.pk}": Count("id", filter=_late(row)) for row in wide}
    found: dict[str, int] = _planned(incident).aggregate(**counts)
    return {row.pk: found[f"n{row.pk}"] for row in wide}


def _planned(incident: Incident) -> QuerySet[Object]:
    things = Object.objects.filter(incident=incident, merged_into__isnull=True, plan__isnull=False)
    return things.annotate(told=Cast("plan__result", TextField()))


def _late(row: Override) -> Q:
    """Plans older than the change that name its rule, or a reason that comes of its material."""
    kind, _dot, key = row.target.partition(".")
    named = f'.{key}"' if kind == "material" else f'"{row.target}"'
    late = Q(plan__made_at__lt=row.withdrawn_at or row.at, told__contains=named)
    if row.lot_id is not None:
        return late & Q(lot=row.lot_id)
    return late & Q(pk=row.object_id) if row.object_id is not None else late
