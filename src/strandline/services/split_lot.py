"""Split a lot: things are taken out of it under tags of their own, and the count agrees to the unit."""

from __future__ import annotations

from collections.abc import Sequence

from strandline.records.models.objects import Lot, Object
from strandline.services import copies
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.changes import Changes, made
from strandline.services.clock import now
from strandline.services.make_lot import stands_for_several, whole
from strandline.services.receive import claimable
from strandline.services.together import together


def split_lot(caller: Caller, thing: Object, tags: Sequence[str], counted_left: int) -> list[Object]:
    """Take one thing out of the lot for each tag, and say how many hang on the lot's own tag after that.

    Each gets copies of parts, joins, facts in force, rows of the list and what is overruled for the tag, and
    stays in the lot, so that what is overruled for the lot bears on it.  A stop that was released for the lot
    is not released for it, and it needs a plan of its own.  When nothing is left, the lot's own tag has no
    open step.  Raises Refused when the counts do not agree, for a tag that cannot be claimed, and for a
    thing whose tag is not that of a lot.
    """
    wanted = Wanted(
        "split_lot",
        {"object": thing, "tags": list(tags), "counted_left": counted_left},
        thing.incident,
        thing,
    )

    def work(changes: Changes) -> None:
        fresh = Object.objects.get(pk=thing.pk)
        lot = _agrees(fresh, tags, counted_left)
        for tag in tags:
            claimable(fresh.incident, tag, caller)
            single = copies.new_object(changes, fresh, tag)
            parts = copies.copy_bodies(changes, fresh, single)
            copies.copy_facts(changes, fresh, single, parts)
            copies.copy_rulings(changes, fresh, single)
            copies.copy_claims(changes, fresh, single)
        changes.update(lot, counted=counted_left, split_at=None if counted_left else now())
        if not counted_left:
            copies.retire(changes, caller, fresh, f"all taken out as {', '.join(tags)}")

    act = together(thing.incident, lambda: perform(caller, wanted, work))
    taken = Object.objects.filter(uid__in=made(act.after, act.before, Object))
    return sorted(taken, key=lambda one: list(tags).index(one.tag))


def _agrees(thing: Object, tags: Sequence[str], counted_left: int) -> Lot:
    """The lot, if the counts agree."""
    lot = thing.lot
    if lot is None or not stands_for_several(thing):
        raise Refused(f"{thing.tag} is one thing; only the tag of a lot can have things taken out")
    if lot.split_at is not None:
        raise Refused(f"everything was taken out of {thing.tag} already")
    if not tags or len(set(tags)) != len(tags):
        raise Refused("each thing that is taken out needs a tag of its own, one at least")
    if not whole(counted_left, 0):
        raise Refused("what is left is counted: nought or more")
    if lot.counted != len(tags) + counted_left:
        raise Refused(
            f"{thing.tag} stands for {lot.counted}; {len(tags)} taken out and {counted_left} left"
            f" make {len(tags) + counted_left}. Count again"
        )
    return lot
