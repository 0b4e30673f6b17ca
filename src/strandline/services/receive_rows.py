"""Receive rows: what a list names is taken in without anybody having seen it, row by row."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from uuid import uuid5

from strandline.pipeline.tags import tidy
from strandline.records.models.acts import Act
from strandline.records.models.objects import ListRow, Object, RowClaim, Tag
from strandline.records.models.people import Party
from strandline.records.models.sites import Incident
from strandline.services.acting import Caller, KeyTaken, NotAllowed, Refused, made_by
from strandline.services.add_party import add_party, folded_name, parties_by_name
from strandline.services.claim_row import claim_row
from strandline.services.clock import now
from strandline.services.import_list import facts_of_row
from strandline.services.open_incident import LONGEST_NAME
from strandline.services.receive import claimable, next_tag, receive
from strandline.things.facts import Facts
from strandline.things.tags import LEAST_DIGITS, is_tag

OWNERS: tuple[str, ...] = ("owner", "lender")
"""Roles in which a party may be whom a row names as owner."""
NOBODY = frozenset({"", "n/k", "nk", "n/a", "not known", "unknown", "none"})
"""What lists write where nobody knows the owner."""
TRIES = 5
"""How often another tag is tried where somebody was quicker."""


def receive_rows(
    caller: Caller,
    incident: Incident,
    rows: Iterable[ListRow],
    allot: bool,
    then: Callable[[Object], object] | None = None,
) -> list[Object]:
    """Receive an object for each row, in order, and claim the row for it.

    Each row has acts of its own under keys made of ``caller.key``, so that what broke off half way is sent
    again whole.  An object gets the tag of its row where that can be claimed; else, with ``allot``, the next
    one.  A row that names nothing is left out.  ``then`` is called with each object as soon as its row is
    claimed, also with one that was received when this was sent before.  Raises Refused for a row of another
    incident or one that is claimed already, before anything is received; and on the way for a tag that cannot
    be claimed, without ``allot``.
    """
    held = list(rows)
    for row in held:
        _unclaimed(caller, incident, row)
    taking = _Taking(caller, incident, allot, _above(incident, held), parties_by_name(incident, OWNERS))
    things: list[Object] = []
    for row in held:
        thing = taking.take(row)
        if thing is None:
            continue
        if then is not None:
            then(thing)
        things.append(thing)
    return things


def received_by(caller: Caller, rows: Iterable[ListRow]) -> list[ListRow]:
    """Those of the rows that were received under the caller's key when this was sent before."""
    keys = {_key(caller, row, "receive").key: row for row in rows}
    sent = Act.objects.only("key").in_bulk(list(keys), field_name="key")
    return [row for key, row in keys.items() if key in sent]


def _key(caller: Caller, row: ListRow, kind: str) -> Caller:
    return replace(caller, key=uuid5(caller.key, f"{row.uid}{kind}"))


def _unclaimed(caller: Caller, incident: Incident, row: ListRow) -> None:
    if row.incident_id != incident.pk:
        raise Refused(f"row {row.row} is of the list of another incident")
    own = Act.objects.filter(key=_key(caller, row, "receive").key).exists()
    if not own and RowClaim.objects.filter(list_row=row).exists():
        raise Refused(f"row {row.row} is claimed for an object already")


def stated_tag(row: ListRow) -> str:
    """The tag of a row, four digits or more; '' where it has none that could be one of ours."""
    tag = tidy(str(row.cells.get("tag", "")))
    return tag if is_tag(tag) else ""


def _above(incident: Incident, rows: list[ListRow]) -> int:
    """The first number above all tags in use and all that these rows state."""
    stated = [int(tag.partition("-")[0]) + 1 for row in rows if (tag := stated_tag(row))]
    return max([int(next_tag(incident)), *stated])


@dataclass(slots=True)
class _Taking:
    """Takes rows in, one after another; ``number`` is the next tag to allot."""

    caller: Caller
    incident: Incident
    allot: bool
    number: int
    owners: dict[str, Party]

    def take(self, row: ListRow) -> Object | None:
        """The object of a row, received now or when this was sent before; None if the row names nothing."""
        thing = self._received(row) or self._receive(row)
        if thing is not None:
            claim_row(_key(self.caller, row, "claim_row"), thing, row)
        return thing

    def _received(self, row: ListRow) -> Object | None:
        key = _key(self.caller, row, "receive").key
        act = Act.objects.filter(key=key).first()
        if act is None:
            return None
        if act.kind != "receive" or act.person_id != self.caller.person.pk:
            raise KeyTaken(f"key {key} already stands for another act ({act.kind}); make a new one")
        return made_by(act, Object)

    def _receive(self, row: ListRow) -> Object | None:
        facts, _ = facts_of_row(row, "0000", self.incident, now())
        if facts is None:
            return None
        owner = self._owner(row, facts.owner)
        for _ in range(TRIES):
            tag = self._tag(row)
            try:
                return receive(
                    _key(self.caller, row, "receive"), self.incident, _tagged(facts, tag, row), owner
                )
            except (NotAllowed, KeyTaken):
                raise
            except Refused:
                if not (self.allot and Tag.objects.filter(incident=self.incident, text=tag).exists()):
                    raise
                # Somebody claimed it between our look and our act.
                self.number = max(self.number, int(next_tag(self.incident)))
        raise Refused(f"row {row.row}: {TRIES} tags in turn were claimed by others; send it again")

    def _tag(self, row: ListRow) -> str:
        stated = stated_tag(row)
        try:
            claimable(self.incident, stated, self.caller)
        except Refused as error:
            if not self.allot:
                raise Refused(f"row {row.row}: {error}") from error
            tag = f"{self.number:0{LEAST_DIGITS}d}"
            self.number += 1
            return tag
        return stated

    def _owner(self, row: ListRow, text: str) -> Party | None:
        """The party of this name, found or made; None for a row that names no owner."""
        name = text.strip()[:LONGEST_NAME].strip()
        if folded_name(name).strip(".?- ") in NOBODY:
            return None
        known = self.owners.get(folded_name(name))
        if known is None:
            known = add_party(_key(self.caller, row, "add_party"), self.incident, name, "owner")
            self.owners[folded_name(name)] = known
        return known


def _tagged(facts: Facts, tag: str, row: ListRow) -> Facts:
    """The facts under their tag; a tag of the list that became another one is kept as typed."""
    typed = str(row.cells.get("tag", "")).strip()
    kept = {**facts.kept, "tag": typed} if typed and tidy(typed) != tag else facts.kept
    return replace(facts, tag=tag, kept=kept)
