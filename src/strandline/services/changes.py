"""What one act changes: each row made or changed, with its fields before and after.

``before`` and ``after`` are ``{table: {uid: {field: value}}}``; rows are named by uid, and fields that name
people are left out.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any, TypeVar
from uuid import UUID

from django.db import models

from strandline.records.models.base import Row

R = TypeVar("R", bound=Row)
Log = dict[str, dict[str, dict[str, Any] | None]]


def plain(value: Any) -> Any:
    """A value as JSON gives it back; NaN is refused."""
    return json.loads(json.dumps(value, default=_plain, allow_nan=False))


def _plain(value: Any) -> str:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, UUID):
        return str(value)
    if isinstance(value, Row):
        return str(value.uid)
    raise TypeError(f"{type(value).__name__} has no place in the log")


def shown(row: Row, names: Iterable[str] | None = None) -> dict[str, Any]:
    """The fields of a row as the log has them; all of them, or those named."""
    wanted = None if names is None else set(names)
    found: dict[str, Any] = {}
    for field in row._meta.concrete_fields:
        if field.name in {"id", "uid"} or field.name in row.private:
            continue
        if wanted is None or field.name in wanted:
            found[field.name] = plain(getattr(row, field.name))
    return found


def table(row: Row | type[Row]) -> str:
    """Name of the table of a row."""
    return row._meta.db_table


class Changes:
    """Makes and changes rows, and keeps what they were and became."""

    def __init__(self) -> None:
        self.before: Log = {}
        self.after: Log = {}

    def create(self, model: type[R], **fields: Any) -> R:
        """Make a row."""
        row = model(**fields)
        row.save(force_insert=True)
        self.before.setdefault(table(row), {})[str(row.uid)] = None
        self.after.setdefault(table(row), {})[str(row.uid)] = shown(row)
        return row

    def update(self, row: Row, **fields: Any) -> None:
        """Change fields of a row."""
        uid = str(row.uid)
        was = shown(row, fields)
        for name, value in fields.items():
            setattr(row, name, value)
        row.save(update_fields=list(fields))
        earlier = self.before.setdefault(table(row), {}).setdefault(uid, {})
        if earlier is not None:
            self.before[table(row)][uid] = {**was, **earlier}
        later = self.after.setdefault(table(row), {}).get(uid) or {}
        self.after[table(row)][uid] = {**later, **shown(row, fields)}


def made(log: Log, before: Log, model: type[models.Model]) -> list[str]:
    """Uids of the rows of one table that an act made, in the order they were made."""
    name = model._meta.db_table
    return [uid for uid in log.get(name, {}) if before[name][uid] is None]
