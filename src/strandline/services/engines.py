"""The engine for one object: what is shipped, overruled by practice, incident, lot and object in turn."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from django.db.models import Q

from strandline.care.engine import Engine
from strandline.knowledge.base import Knowledge, shipped
from strandline.knowledge.overrides import apply_overrides
from strandline.records.models.objects import Object
from strandline.records.models.plans import Override

LEVELS: tuple[str, ...] = ("practice", "incident", "lot", "object")
Texts = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Chosen:
    """An engine and the hash of all overrides in it, '' for none."""

    engine: Engine
    overrides_sha256: str

    @property
    def knowledge(self) -> Knowledge:
        """What it knows."""
        return self.engine.book.knowledge


def in_force(thing: Object, at: datetime) -> list[Override]:
    """Overrides that bear on an object at a moment, the wider level first."""
    bears = Q(level="practice") | Q(incident=thing.incident) | Q(object=thing)
    if thing.lot is not None:
        bears |= Q(lot=thing.lot)
    rows = Override.objects.filter(bears, withdrawn_at__isnull=True).select_related("person")
    lasting = [row for row in rows if row.expires_at is None or row.expires_at > at]
    return sorted(lasting, key=lambda row: (LEVELS.index(row.level), row.pk))


def texts_of(rows: Iterable[Override]) -> Texts:
    """Level and text, as in a file of overrides, of each row."""
    return tuple((row.level, override_text(row)) for row in rows)


def override_text(row: Override) -> str:
    """One override as it would stand in a file; its person by uid, as plans outlast names."""
    fields = {
        "target": row.target,
        "set": row.value,
        "reason": row.reason,
        "person": str(row.person.uid),
        "at": row.at.date().isoformat(),
    }
    return "[[override]]\n" + "".join(f"{key} = {toml(value)}\n" for key, value in fields.items())


def toml(value: Any) -> str:
    """A JSON value as TOML; ValueError for null, which TOML does not have."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{toml(str(key))} = {toml(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(toml(one) for one in value) + "]"
    if value is None:
        raise ValueError("an override sets a field to a value; null is none")
    return json.dumps(value, ensure_ascii=False, allow_nan=False).replace("\x7f", "\\u007f")


def knowledge_with(texts: Texts) -> Knowledge:
    """The shipped knowledge with overrides; KnowledgeError says which cannot be used.

    Rows that have expired are not among ``texts``, so the day does not matter.
    """
    knowledge = shipped()
    for level, text in texts:
        knowledge = apply_overrides(knowledge, text, f"{level} override", date.min, level)
    return knowledge


@lru_cache(maxsize=16)
def chosen(texts: Texts) -> Chosen:
    """The engine for these overrides; made once, as making one takes longer than many plans."""
    digest = hashlib.sha256(json.dumps(texts).encode()).hexdigest() if texts else ""
    return Chosen(Engine(knowledge_with(texts)), digest)


def engine_for(thing: Object, at: datetime) -> Chosen:
    """The engine for an object at a moment."""
    return chosen(texts_of(in_force(thing, at)))
