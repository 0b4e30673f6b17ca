"""Merge: two tags turn out to be one thing.  Nothing is taken away; the other tag points at the kept one."""

from __future__ import annotations

from strandline.records import translate
from strandline.records.models.acts import Act
from strandline.records.models.facts import Observation, Photo, Reading
from strandline.records.models.objects import Fragment, ListRow, Object, RowClaim, Tag
from strandline.records.models.plans import Override
from strandline.services import copies
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.make_lot import stands_for_several
from strandline.services.plan import newest
from strandline.services.release_hazard import open_stops
from strandline.services.together import held, together

STRENGTH: tuple[str, ...] = ("unknown", "family_worst", "assumed", "stated", "seen", "measured")
"""How a fact is known, the weakest first."""
FIRM = STRENGTH.index("stated")


def merge(caller: Caller, kept: Object, other: Object, reason: str) -> Act:
    """What was recorded under the other tag goes on under the kept one, and the other tag leads to it.

    Facts, fragments, photographs, readings, rows of the list and what is overruled follow; parts, plans,
    papers, hours and acts stay as the other's history.  Where both were looked at and differ, both facts are
    marked ``clash``; what was seen or measured outlasts what was taken for granted.  The kept object needs a
    new plan.  Raises Refused across incidents, for the same object twice, one merged already, the tag of a
    lot, different lots or owners, open stops that one has and the other has not, and without a reason.
    """
    wanted = Wanted("merge", {"kept": kept, "other": other, "reason": reason}, kept.incident, kept)

    def work(changes: Changes) -> None:
        if not reason.strip():
            raise Refused("say why the two are one thing")
        if kept.pk == other.pk:
            raise Refused(f"{kept.tag} and {other.tag} are the same object already")
        stays, goes = held(kept.incident, [kept, other])
        _one_thing(stays, goes)
        facts = _facts_of_both(stays, goes)
        _point(changes, stays, goes)
        for key, (first, second) in facts.items():
            _settle(changes, key, first, second)
        _point_rows(changes, stays, goes)
        copies.retire(
            changes, caller, goes, f"merged into {stays.tag}", merged_into=stays, revision=goes.revision + 1
        )
        changes.update(
            stays, lot=stays.lot or goes.lot, owner=stays.owner or goes.owner,
            sought=f"{stays.sought} {goes.sought}".strip(),
        )  # fmt: skip

    act = together(kept.incident, lambda: perform(caller, wanted, work))
    other.refresh_from_db()
    return act


def _one_thing(kept: Object, other: Object) -> None:
    """Refuse two that cannot be one."""
    for one in (kept, other):
        if stands_for_several(one):
            raise Refused(f"{one.tag} is the tag of a lot; several things are not one")
    if kept.lot_id and other.lot_id and kept.lot_id != other.lot_id:
        raise Refused(f"{kept.tag} and {other.tag} are in different lots")
    if kept.owner_id and other.owner_id and kept.owner_id != other.owner_id:
        raise Refused(f"{kept.tag} and {other.tag} have different owners; settle first whose it is")
    for here, there in ((kept, other), (other, kept)):
        only = set(open_stops(here, newest(here))) - set(open_stops(there, newest(there)))
        if only:
            raise Refused(
                f"{here.tag} is stopped ({', '.join(sorted(only))}) and {there.tag} is not;"
                " the stop must be released, or stand for both, before the two are one"
            )


def _facts_of_both(kept: Object, other: Object) -> dict[str, tuple[Observation, Observation]]:
    """Facts in force on both sides that differ."""
    here, there = translate.in_force(kept), translate.in_force(other)
    return {
        key: (here[key], there[key])
        for key in here.keys() & there.keys()
        if here[key].value != there[key].value
    }


def _point(changes: Changes, kept: Object, other: Object) -> None:
    for tag in Tag.objects.filter(object=other):
        changes.update(tag, object=kept)
    for model in (Fragment, Reading):
        for row in model.objects.filter(object=other):
            changes.update(row, object=kept)
    for seen in Observation.objects.filter(object=other, part__isnull=True):
        changes.update(seen, object=kept)
    for ruling in Override.objects.filter(object=other):
        changes.update(ruling, object=kept)
    has = set(Photo.objects.filter(object=kept).values_list("sha256", flat=True))
    for photo in Photo.objects.filter(object=other).exclude(sha256__in=has):
        changes.update(photo, object=kept)


def _settle(changes: Changes, key: str, first: Observation, second: Observation) -> None:
    """Let the stronger of two facts be the one in force, and mark both where both are more than taken for
    granted.  The newest is in force: where that is the weaker one, the stronger is set down again."""
    older, newer = sorted((first, second), key=lambda row: (row.at, row.pk))
    firm = strength(older) >= FIRM and strength(newer) >= FIRM
    standing = newer
    if strength(older) > strength(newer):
        standing = changes.create(
            Observation,
            **{**copies.fields_of(older), "at": now(), "supersedes": older, "object": first.object},
        )  # fmt: skip
    loser = newer if standing is not newer else older
    for row in (loser, standing):
        if row.clash != firm:
            changes.update(row, clash=firm)


def strength(row: Observation) -> int:
    """How well a fact is known; -1 where there is no value at all."""
    return -1 if row.value is None else STRENGTH.index(row.known_by)


def _point_rows(changes: Changes, kept: Object, other: Object) -> None:
    """The other's rows of the list are the kept object's; a row both claimed is one thing again."""
    has = set(RowClaim.objects.filter(object=kept).values_list("list_row_id", flat=True))
    touched = set(RowClaim.objects.filter(object=other).values_list("list_row_id", flat=True))
    for claim in RowClaim.objects.filter(object=other).exclude(list_row_id__in=has):
        changes.update(claim, object=kept)
    living = RowClaim.objects.filter(object__merged_into__isnull=True).exclude(object=other)
    rows = ListRow.objects.select_for_update().filter(pk__in=touched | has).order_by("pk")
    for row in rows if touched else ():
        several = living.filter(list_row=row).count() > 1
        state = "one_row_several_things" if several else _of_rows(len(touched | has))
        if row.state != state:
            changes.update(row, state=state)


def _of_rows(count: int) -> str:
    return "several_rows_one_thing" if count > 1 else "found"
