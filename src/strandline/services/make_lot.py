"""Make a lot: one tag stands for several things of a kind, with one photograph and one plan."""

from __future__ import annotations

from strandline.records.models.acts import Act
from strandline.records.models.objects import Lot, Object
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes

FEWEST = 2
LONGEST_NAME = 200


def make_lot(caller: Caller, thing: Object, counted: int, name: str = "") -> Lot:
    """From now on this object's tag stands for ``counted`` things; without a name the lot has its title.

    Raises Refused for fewer than two, for a thing that is in a lot already, and for a name that is too long.
    """

    def work(changes: Changes) -> None:
        fresh = Object.objects.get(pk=thing.pk)
        if not whole(counted, FEWEST):
            raise Refused(f"a lot is {FEWEST} things or more; count them again")
        if len(name.strip()) > LONGEST_NAME:
            raise Refused(f"a name has {LONGEST_NAME} characters at most")
        if fresh.lot is not None:
            raise Refused(f"{fresh.tag} is in the lot '{fresh.lot.name}' already")
        called = name.strip() or fresh.title[:LONGEST_NAME]
        lot = changes.create(Lot, incident=fresh.incident, name=called, counted=counted)
        changes.update(fresh, lot=lot)

    payload = {"object": thing, "counted": counted, "name": name}
    return made_by(perform(caller, Wanted("make_lot", payload, thing.incident, thing), work), Lot)


def whole(number: object, least: int) -> bool:
    """Whether it is a whole number, ``least`` or more: counts come as they were typed."""
    return isinstance(number, int) and not isinstance(number, bool) and number >= least


def thing_of(lot: Lot) -> Object:
    """The object whose tag stands for what is left in the lot; others joined it or were taken out of it."""
    made = Act.objects.filter(kind="make_lot", object__lot=lot).order_by("id").first()
    if made is None or made.object is None:
        raise LookupError(f"lot {lot.uid} was made by no act")
    return made.object


def stands_for_several(thing: Object) -> bool:
    """Whether this object's tag is that of a lot, also of one from which everything was taken out."""
    return thing.lot_id is not None and Act.objects.filter(kind="make_lot", object=thing).exists()
