"""What a new tag takes along when one object turns out to be several, and what an old tag leaves behind."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db.models import Q

from strandline.records.models.acts import WorkClaim
from strandline.records.models.base import Row
from strandline.records.models.facts import Observation
from strandline.records.models.objects import ListRow, Object, Part, RowClaim, Tag
from strandline.records.models.plans import Override, Paper, StepEnd
from strandline.services.acting import Caller
from strandline.services.changes import Changes
from strandline.services.claim_row import state_of
from strandline.services.clock import now
from strandline.services.plan import newest
from strandline.services.standing import open_steps, sought

ORIGIN = "split from"
"""Under this word ``Object.kept`` says from which tag a thing was taken."""
NOTHING_LEFT: Mapping[str, Any] = {
    "tray": None, "next_step": "", "next_role": "", "stops": 0, "refers": 0, "runs": [],
}  # fmt: skip


def fields_of(row: Row) -> dict[str, Any]:
    """The fields of a row, for another one like it."""
    names = [field.name for field in row._meta.concrete_fields]
    return {name: getattr(row, name) for name in names if name not in {"id", "uid"}}


def new_object(changes: Changes, thing: Object, tag: str, **fields: Any) -> Object:
    """An object like this one under a new tag: same place, owner and lot, on no tray, without a plan."""
    at = now()
    wanted = {
        **fields_of(thing), **NOTHING_LEFT, "plan": None, "tag": tag, "revision": 1, "received_at": at,
        "kept": {**thing.kept, ORIGIN: thing.tag}, **fields,
    }  # fmt: skip
    texts = (wanted[name] for name in ("title", "materials", "owner_number", "klass", "listed_place"))
    wanted["sought"] = sought(tag, *texts)
    made = changes.create(Object, **wanted)
    changes.create(Tag, incident=thing.incident, text=tag, object=made, claimed_at=at)
    return made


def copy_bodies(changes: Changes, thing: Object, made: Object) -> dict[int, Part]:
    """Parts and joins again; the new parts by the number of the old ones' rows."""
    parts = {
        part.pk: changes.create(Part, **{**fields_of(part), "object": made})
        for part in thing.parts.order_by("order")
    }
    for join in thing.joins.order_by("order"):
        pair = {"first": parts[join.first_id], "second": parts[join.second_id]}
        changes.create(type(join), **{**fields_of(join), "object": made, **pair})
    return parts


def copy_facts(
    changes: Changes, thing: Object, made: Object, parts: Mapping[int, Part], left_out: tuple[str, ...] = ()
) -> None:
    """Observations in force again, with how they are known, by whom and when.

    Those of a part follow if the part has a copy; values that clash go on clashing.
    """
    rows = thing.observations.filter(superseded_by__isnull=True).order_by("at", "id")
    last = {(row.part_id, row.key): row.pk for row in rows}
    for row in rows:
        if row.key in left_out or (row.part_id is not None and row.part_id not in parts):
            continue
        if row.clash or last[row.part_id, row.key] == row.pk:
            part = None if row.part_id is None else parts[row.part_id]
            changes.create(
                Observation, **{**fields_of(row), "object": made, "part": part, "supersedes": None}
            )  # fmt: skip


def copy_rulings(changes: Changes, thing: Object, made: Object) -> None:
    """What is overruled for the old tag bears on the new one; a stop released there is not released here."""
    lasting = Q(expires_at__isnull=True) | Q(expires_at__gt=now())
    for row in Override.objects.filter(lasting, object=thing, withdrawn_at__isnull=True).order_by("id"):
        changes.create(Override, **{**fields_of(row), "object": made})


def copy_claims(changes: Changes, thing: Object, made: Object) -> None:
    """The rows of the list that are the old object are the new one too: one row, several things."""
    for claim in thing.row_claims.order_by("id"):
        changes.create(RowClaim, list_row=claim.list_row, object=made, claimed_at=now())
        row = ListRow.objects.select_for_update().get(pk=claim.list_row_id)
        changes.update(row, state=state_of(row, made))


def retire(changes: Changes, caller: Caller, thing: Object, why: str, **fields: Any) -> None:
    """Nothing is left to do under this tag: open steps are withdrawn, papers void, nobody has it in hand."""
    at = now()
    last = newest(thing)
    for step in open_steps(last) if last else ():
        changes.create(
            StepEnd, object=thing, plan=last, step=step["key"], end="withdrawn", note=f"withdrawn: {why}",
            by=caller.person, at=at,
        )  # fmt: skip
    for paper in Paper.objects.filter(plan__object=thing, void_at__isnull=True):
        changes.update(paper, void_at=at)
    for claim in WorkClaim.objects.filter(object=thing, given_back_at__isnull=True):
        changes.update(claim, given_back_at=at)
    changes.update(thing, **{**NOTHING_LEFT, **fields})
