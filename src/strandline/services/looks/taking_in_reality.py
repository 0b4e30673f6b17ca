"""List against reality: which rows of a list and which objects are each other, and the sums per owner.

A row is one thing on the list, an object one thing on the tables.  Rows and objects that claims tie together
are one group; for each owner counted = on the list - missing + beyond the list, to the thing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from django.db.models.fields.json import KT

from strandline.pipeline.cell_words import says_unknown
from strandline.records.models.objects import ListRow, Object, RowClaim
from strandline.records.models.sites import Incident
from strandline.services.add_party import folded_name

GROUPS: tuple[str, ...] = ("not_seen", "found", "unlisted", "one_row", "several_rows")
Id = int


@dataclass(frozen=True, slots=True)
class Match:
    """Rows and objects, by id, that are each other; one of both sides may be empty."""

    rows: tuple[Id, ...]
    things: tuple[Id, ...]

    @property
    def group(self) -> str:
        """Where it stands when the list is held against the tables."""
        if not self.things:
            return "not_seen"
        if not self.rows:
            return "unlisted"
        if len(self.rows) == len(self.things) == 1:
            return "found"
        return "one_row" if len(self.things) > len(self.rows) else "several_rows"


@dataclass(slots=True)
class Sum:
    """Things of one owner."""

    owner: str
    listed: int = 0
    counted: int = 0
    missing: int = 0
    beyond: int = 0


@dataclass(slots=True)
class Reality:
    """An incident's list against its tables; owners by id of row and of object."""

    matches: list[Match]
    row_owner: dict[Id, str]
    thing_owner: dict[Id, str]
    names: dict[str, str] = field(default_factory=dict)

    def of(self, group: str, owner: str) -> list[Match]:
        """The matches of a group, of one owner or ('') of all."""
        wanted = folded_name(owner)
        return [
            one for one in self.matches if one.group == group and (not wanted or wanted in self._owners(one))
        ]

    def counts(self) -> dict[str, int]:
        """How many matches each group has."""
        counts = dict.fromkeys(GROUPS, 0)
        for one in self.matches:
            counts[one.group] += 1
        return counts

    def sums(self) -> list[Sum]:
        """Sums per owner by name, and last of all owners; the owner nobody named is ''."""
        found: dict[str, Sum] = {}

        def of(owner: str) -> Sum:
            return found.setdefault(owner, Sum(self.names.get(owner, "")))

        for one in self.matches:
            rows = [self.row_owner[row] for row in one.rows]
            things = rows[: len(one.things)] or [self.thing_owner[thing] for thing in one.things]
            beyond = len(one.things) - len(one.rows)
            extra = [rows[0]] * beyond if rows and beyond > 0 else []
            for owner in rows:
                of(owner).listed += 1
            for owner in (*things, *extra):
                of(owner).counted += 1
            for owner in rows[len(one.things) :]:
                of(owner).missing += 1
            for owner in extra or (things if not rows else ()):
                of(owner).beyond += 1
        lines = sorted(found.values(), key=lambda line: (line.owner == "", line.owner.casefold()))
        return [*lines, _all(lines)]

    def _owners(self, one: Match) -> set[str]:
        if one.rows:
            return {self.row_owner[row] for row in one.rows}
        return {self.thing_owner[thing] for thing in one.things}


def _all(lines: Iterable[Sum]) -> Sum:
    total = Sum("")
    for line in lines:
        total.listed += line.listed
        total.counted += line.counted
        total.missing += line.missing
        total.beyond += line.beyond
    return total


def reality(incident: Incident) -> Reality:
    """The whole list against all objects, in three queries however long either is."""
    listed = ListRow.objects.filter(incident=incident).order_by("list_sha256", "row")
    rows = list(listed.values_list("id", KT("cells__owner")))
    things = list(
        Object.objects.filter(incident=incident, merged_into=None)
        .order_by("tag")
        .values_list("id", "owner__name")
    )
    claims = RowClaim.objects.filter(list_row__incident=incident, object__merged_into=None)
    names: dict[str, str] = {}
    row_owner = {row: _named(names, owner) for row, owner in rows}
    thing_owner = {thing: _named(names, owner) for thing, owner in things}
    pairs = list(claims.order_by("id").values_list("list_row_id", "object_id"))
    return Reality(matched([*row_owner], [*thing_owner], pairs), row_owner, thing_owner, names)


def _named(names: dict[str, str], owner: str | None) -> str:
    """The folded name of an owner; ``names`` keeps how it was first written."""
    name = " ".join((owner or "").split())
    name = "" if says_unknown(name) else name
    names.setdefault(folded_name(name), name)
    return folded_name(name)


def matched(rows: list[Id], things: list[Id], claims: list[tuple[Id, Id]]) -> list[Match]:
    """Rows and objects put together by claims, in the order of the rows, then of objects without one."""
    of_row: dict[Id, list[Id]] = {row: [] for row in rows}
    of_thing: dict[Id, list[Id]] = {thing: [] for thing in things}
    for row, thing in claims:
        if row in of_row and thing in of_thing:
            of_row[row].append(thing)
            of_thing[thing].append(row)
    found: list[Match] = []
    done: set[Id] = set()
    for row in rows:
        if row not in done:
            one = _reached(row, of_row, of_thing)
            done.update(one.rows)
            found.append(one)
    return [*found, *(Match((), (thing,)) for thing in things if not of_thing[thing])]


def _reached(row: Id, of_row: dict[Id, list[Id]], of_thing: dict[Id, list[Id]]) -> Match:
    """Everything that claims lead to from one row."""
    rows, things, left = {row: None}, dict[Id, None](), [row]
    while left:
        for thing in of_row[left.pop()]:
            if thing not in things:
                things[thing] = None
                more = [other for other in dict.fromkeys(of_thing[thing]) if other not in rows]
                rows.update(dict.fromkeys(more))
                left += more
    return Match(tuple(rows), tuple(things))
