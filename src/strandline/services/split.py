"""Split: one tag turns out to be several things; some of its parts go on under a tag of their own."""

from __future__ import annotations

from collections.abc import Sequence

from strandline.records import translate
from strandline.records.models.base import Row
from strandline.records.models.facts import Observation
from strandline.records.models.objects import Object, Part
from strandline.services import copies
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes, shown, table
from strandline.services.clock import now
from strandline.services.fold import GONE
from strandline.services.make_lot import stands_for_several
from strandline.services.receive import claimable
from strandline.services.together import together

OF_THE_WHOLE: tuple[str, ...] = (
    "length_mm", "width_mm", "height_mm", "diameter_mm", "thickness_mm", "mass_g", "dry_mass_g", "pieces",
)  # fmt: skip
"""What was measured or counted of all parts together, and so is known of neither thing."""


def split(caller: Caller, thing: Object, tag: str, parts: Sequence[str], title: str, reason: str) -> Object:
    """The named parts, with what was seen of them and the joins between them, become another object.

    A join to a part that stays is no more; the log keeps it.  Other facts in force, rows of the list and what
    is overruled are copied; sizes and masses of the whole become unknown on both sides.  Plans, papers,
    fragments, photographs and released stops stay with the old tag; both need a new plan.  Raises Refused for
    no part, all parts or a part there is not, for the tag of a lot, a tag that cannot be claimed, and without
    title or reason.
    """
    payload = {"object": thing, "tag": tag, "parts": list(parts), "title": title, "reason": reason}

    def work(changes: Changes) -> None:
        fresh = Object.objects.get(pk=thing.pk)
        going = _going(fresh, parts)
        if not title.strip() or not reason.strip():
            raise Refused("say what the other thing is, and why it is another one")
        claimable(fresh.incident, tag, caller)
        made = copies.new_object(
            changes, fresh, tag, title=title.strip(), materials=", ".join(part.material for part in going)
        )
        copies.copy_facts(changes, fresh, made, {}, OF_THE_WHOLE)
        copies.copy_rulings(changes, fresh, made)
        copies.copy_claims(changes, fresh, made)
        _move_bodies(changes, fresh, made, going)
        _forget_the_whole(changes, caller, fresh)

    wanted = Wanted("split", payload, thing.incident, thing)
    return made_by(together(thing.incident, lambda: perform(caller, wanted, work)), Object)


def _going(thing: Object, keys: Sequence[str]) -> list[Part]:
    """The parts that leave."""
    if stands_for_several(thing):
        raise Refused(f"{thing.tag} is the tag of a lot; take things out of the lot instead")
    there = {part.key: part for part in thing.parts.order_by("order")}
    strange = [key for key in keys if key not in there]
    if strange:
        raise Refused(f"{thing.tag} has no part {', '.join(strange)}; it has {', '.join(there) or 'none'}")
    going = [part for key, part in there.items() if key in keys]
    if not going or len(going) == len(there):
        raise Refused(f"name the parts that leave {thing.tag}; at least one goes and at least one stays")
    return going


def _move_bodies(changes: Changes, thing: Object, made: Object, going: Sequence[Part]) -> None:
    numbers = {part.pk for part in going}
    for join in thing.joins.order_by("order"):
        ends = {join.first_id, join.second_id} & numbers
        if len(ends) == 2:
            changes.update(join, object=made)
        elif ends:
            _drop(changes, join)
    for part in going:
        for row in part.observations.order_by("id"):
            changes.update(row, object=made)
        changes.update(part, object=made)


def _forget_the_whole(changes: Changes, caller: Caller, thing: Object) -> None:
    for key, row in translate.in_force(thing).items():
        if key in OF_THE_WHOLE and row.value is not None:
            changes.create(
                Observation, object=thing, key=key, value=None, known_by="unknown", by=caller.person,
                at=now(), supersedes=row,
            )  # fmt: skip


def _drop(changes: Changes, row: Row) -> None:
    """Take a row away that this act has not touched before; the log keeps all of it."""
    name, uid = table(row), str(row.uid)
    changes.before.setdefault(name, {})[uid] = shown(row)
    changes.after.setdefault(name, {})[uid] = dict(GONE)
    row.delete()
