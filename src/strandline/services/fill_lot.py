"""Fill a lot: objects under tags of their own join it, and what is overruled for it bears on them."""

from __future__ import annotations

from collections.abc import Sequence

from strandline.records.models.acts import Act
from strandline.records.models.objects import Lot, Object
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.changes import Changes
from strandline.services.together import held, together


def fill_lot(caller: Caller, lot: Lot, things: Sequence[Object]) -> Act:
    """Let things join.  The count of the lot stays: it is of what hangs on the lot's own tag.

    Raises Refused for a thing of another incident, merged, or in a lot already, and for a lot that was split.
    """

    def work(changes: Changes) -> None:
        fresh = Lot.objects.get(pk=lot.pk)
        if fresh.split_at is not None:
            raise Refused(f"the lot '{fresh.name}' was split; nothing joins it any more")
        for thing in held(fresh.incident, things):
            if thing.lot is not None:
                raise Refused(f"{thing.tag} is in the lot '{thing.lot.name}' already")
            changes.update(thing, lot=fresh, revision=thing.revision + 1)

    wanted = Wanted("fill_lot", {"lot": lot, "things": list(things)}, lot.incident)
    return together(lot.incident, lambda: perform(caller, wanted, work))
