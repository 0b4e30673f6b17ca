"""The engine for one object: what is shipped, overruled by practice, incident, lot and object in turn."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from django.db.models import Q

from strandline.care.engine import Engine
from strandline.knowledge.base import Knowledge, shipped
from strandline.knowledge.files import KnowledgeError
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
    """Overrides that bear on an object at a moment, the wider level first, then the earlier.  One query."""
    bears = Q(level="practice") | Q(incident=thing.incident_id) | Q(object=thing.pk)
    if thing.lot_id is not None:
        bears |= Q(lot=thing.lot_id)
    return _in_order(bears, at)


def in_force_for(things: Sequence[Object], at: datetime) -> list[list[Override]]:
    """:func:`in_force` for several objects, in their order, with one query however many there are."""
    incidents = {thing.incident_id for thing in things}
    # By incident, not by object: a list of objects may be longer than what a query takes.
    bears = (
        Q(level="practice")
        | Q(incident__in=incidents)
        | Q(lot__incident__in=incidents)
        | Q(object__incident__in=incidents)
    )
    found: dict[tuple[str, int | None], list[Override]] = {}
    for row in _in_order(bears, at) if things else ():
        found.setdefault(_where(row), []).append(row)
    return [
        [
            *found.get(("practice", None), ()),
            *found.get(("incident", thing.incident_id), ()),
            *(found.get(("lot", thing.lot_id), ()) if thing.lot_id is not None else ()),
            *found.get(("object", thing.pk), ()),
        ]
        for thing in things
    ]


def _where(row: Override) -> tuple[str, int | None]:
    where = {"incident": row.incident_id, "lot": row.lot_id, "object": row.object_id}
    return row.level, where.get(row.level)


def _in_order(bears: Q, at: datetime) -> list[Override]:
    lasts = Q(expires_at__isnull=True) | Q(expires_at__gt=at)
    rows = Override.objects.filter(bears, lasts, withdrawn_at__isnull=True).select_related("person")
    return sorted(rows, key=lambda row: (LEVELS.index(row.level), row.pk))


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
    """A JSON value as TOML; ValueError for null, which TOML does not have.

    Keys are sorted: PostgreSQL gives them back in an order of its own, and equal overrides share an engine.
    """
    if isinstance(value, dict):
        return "{" + ", ".join(f"{toml(str(key))} = {toml(value[key])}" for key in sorted(value)) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(toml(one) for one in value) + "]"
    if value is None:
        raise ValueError("an override sets a field to a value; null is none")
    return json.dumps(value, ensure_ascii=False, allow_nan=False).replace("\x7f", "\\u007f")


def knowledge_with(texts: Texts) -> Knowledge:
    """The shipped knowledge with overrides; KnowledgeError says which cannot be used.

    Rows that have expired are not among ``texts``, so the day does not matter.
    """
    own = next((n for n, (level, _) in enumerate(texts) if level == LEVELS[-1]), len(texts))
    return _with(_wider(texts[:own]), texts[own:])


@lru_cache(maxsize=32)
def _wider(texts: Texts) -> Knowledge:
    """The knowledge with what holds for more than one object; applying it again for each takes long."""
    return _with(shipped(), texts)


def _with(knowledge: Knowledge, texts: Texts) -> Knowledge:
    for level, text in texts:
        knowledge = apply_overrides(knowledge, text, f"{level} override", date.min, level)
    return knowledge


@lru_cache(maxsize=64)
def chosen(texts: Texts) -> Chosen:
    """The engine for these overrides; made once, as making one takes longer than many plans."""
    try:
        knowledge = knowledge_with(texts)
    except KnowledgeError:
        # Something of them is no longer shipped: those that still fit hold, the others are listed as orphans.
        texts = tuple(one for one in texts if fits(one))
        knowledge = knowledge_with(texts)
    digest = hashlib.sha256(json.dumps(texts).encode()).hexdigest() if texts else ""
    return Chosen(Engine(knowledge), digest)


def fits(text: tuple[str, str]) -> bool:
    """Whether what is shipped still has what an override is about."""
    try:
        _with(shipped(), (text,))
    except KnowledgeError:
        return False
    return True


def engine_for(thing: Object, at: datetime) -> Chosen:
    """The engine for an object at a moment."""
    return chosen(texts_of(in_force(thing, at)))


def engines_for(things: Sequence[Object], at: datetime) -> list[Chosen]:
    """The engines for several objects, in their order, with one query however many there are.

    Objects under overrides of the same text share one.  Under very many different texts engines are made
    again and again: group the objects by the engine's hash then.
    """
    return [chosen(texts_of(rows)) for rows in in_force_for(things, at)]
