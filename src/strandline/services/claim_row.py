"""Claim a row: a person says that this row of the list is this object."""

from __future__ import annotations

from strandline.records.models.objects import ListRow, Object, RowClaim
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now


def claim_row(caller: Caller, thing: Object, row: ListRow) -> RowClaim:
    """Tie a row to an object; its state then tells one to one, one to several, or several to one.

    Raises Refused for a row of another incident, or one that is claimed for this object already.
    """

    def work(changes: Changes) -> None:
        if row.incident_id != thing.incident_id:
            raise Refused(f"row {row.row} is of the list of another incident")
        if RowClaim.objects.filter(list_row=row, object=thing).exists():
            raise Refused(f"row {row.row} is already claimed for {thing.tag}")
        changes.create(RowClaim, list_row=row, object=thing, claimed_at=now())
        fresh = ListRow.objects.select_for_update().get(pk=row.pk)
        changes.update(fresh, state=state_of(fresh, thing))
        row.refresh_from_db()

    payload = {"object": thing, "list_row": row}
    return made_by(perform(caller, Wanted("claim_row", payload, thing.incident, thing), work), RowClaim)


def state_of(row: ListRow, thing: Object) -> str:
    """What the claims of a row and of an object say of the row."""
    here = RowClaim.objects.filter(object__merged_into__isnull=True)
    if here.filter(list_row=row).count() > 1:
        return "one_row_several_things"
    if here.filter(object=thing).count() > 1:
        return "several_rows_one_thing"
    return "found"
