"""The log folded: what the tables should hold if the acts are all that happened."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from strandline.records.models.acts import Act, WorkClaim
from strandline.records.models.base import Row
from strandline.records.models.facts import Observation, Photo, Reading
from strandline.records.models.objects import (
    Batch,
    Fragment,
    Join,
    ListRow,
    Lot,
    Object,
    Part,
    RowClaim,
    Tag,
    TagRange,
    Tray,
    TrayCount,
)
from strandline.records.models.people import Authority, Hours, Party, PartyRole, Person
from strandline.records.models.plans import (
    HazardRelease,
    KnowledgeVersion,
    Override,
    Paper,
    PlanSnapshot,
    StepEnd,
)
from strandline.records.models.sites import Incident, Place, Practice, RoomRelease, Site
from strandline.services.changes import shown, table

State = dict[str, dict[str, dict[str, Any]]]

ONLY_BY_ACTS: tuple[type[Row], ...] = (
    Object, Tag, Part, Join, Observation, RowClaim, KnowledgeVersion, PlanSnapshot, Override, HazardRelease,
    StepEnd, Paper, RoomRelease, PartyRole, Authority, Hours, Reading, WorkClaim, Lot, Tray, TrayCount, Batch,
    Fragment, Photo,
)  # fmt: skip
"""Tables whose rows come from services alone."""

CHANGED_BY_ACTS: tuple[type[Row], ...] = (
    ListRow, TagRange, Practice, Site, Incident, Place, Party, Person,
)  # fmt: skip
"""Tables that are filled in other ways, and changed by services."""


GONE: dict[str, Any] = {"gone": True}
"""What the log says after a row that was taken away; what it was stands before."""


def fold(acts: Iterable[Act]) -> State:
    """The last that the log says of each field of each row, acts in the order they were written."""
    state: State = {}
    for act in acts:
        for name, rows in act.after.items():
            for uid, fields in rows.items():
                if fields == GONE:
                    state.get(name, {}).pop(uid, None)
                    continue
                state.setdefault(name, {}).setdefault(uid, {}).update(fields)
    return state


def differences() -> list[str]:
    """Where log and tables differ, one sentence each; empty when they agree."""
    state = fold(Act.objects.order_by("id").iterator())
    found: list[str] = []
    for model in (*ONLY_BY_ACTS, *CHANGED_BY_ACTS):
        logged = state.get(table(model), {})
        rows = {str(row.uid): row for row in model._default_manager.all()}
        found += [
            f"{table(model)} {uid}: in the log, not in the table"
            for uid in sorted(logged.keys() - rows.keys())
        ]
        if model in ONLY_BY_ACTS:
            found += [
                f"{table(model)} {uid}: in the table, not in the log"
                for uid in sorted(rows.keys() - logged.keys())
            ]
        for uid in sorted(logged.keys() & rows.keys()):
            holds = shown(rows[uid], logged[uid])
            found += [
                f"{table(model)} {uid}: {name} is {holds.get(name)!r}, the log says {value!r}"
                for name, value in logged[uid].items()
                # What is private now may stand in a log that is older than that.
                if name not in model.private and holds.get(name) != value
            ]
    return found
