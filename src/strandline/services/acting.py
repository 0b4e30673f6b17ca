"""What every act has in common: permission, one transaction, the log, and doing once what is sent twice."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar
from uuid import UUID

from django.db import IntegrityError, transaction

from strandline.records.models.acts import Act, Refusal
from strandline.records.models.base import Row
from strandline.records.models.objects import Object
from strandline.records.models.people import Device, Person
from strandline.records.models.sites import Incident
from strandline.services.changes import Changes, made, plain
from strandline.services.clock import now
from strandline.services.roles import may

R = TypeVar("R", bound=Row)
Done = TypeVar("Done")
Work = Callable[[Changes], None]


class Refused(Exception):
    """The act is not done; the text says why, in one sentence.  ``kept`` is its row in the record."""

    kept: Refusal | None = None


class NotAllowed(Refused):
    """This person's role does not do this."""


class KeyTaken(Refused):
    """The key already stands for another act."""


@dataclass(frozen=True, slots=True)
class Caller:
    """Who acts, on which device, when by its clock, as its how-manieth act; ``key`` made by the device."""

    person: Person
    key: UUID
    device_at: datetime
    device: Device | None = None
    device_seq: int = 0


@dataclass(frozen=True, slots=True)
class Wanted:
    """An act asked for.  ``payload`` names people by uid only."""

    kind: str
    payload: Mapping[str, Any]
    incident: Incident | None
    thing: Object | None = None


def perform(caller: Caller, wanted: Wanted, work: Work) -> Act:
    """Do the work and write its act in one transaction; an act with this key is given back, done once.

    Raises NotAllowed, KeyTaken, or whatever Refused the work raises; nothing is then written but the refusal.
    """
    if not (caller.person.active and may(caller.person.role, wanted.kind)):
        reason = f"a {caller.person.role} may not do this: {wanted.kind.replace('_', ' ')}"
        refused = NotAllowed(reason)
        refused.kept = refuse(caller, wanted, reason)
        raise refused
    try:
        with transaction.atomic():
            return _once(caller, wanted, work)
    except Refused as error:
        if not isinstance(error, KeyTaken):
            error.kept = refuse(caller, wanted, str(error))
        raise
    except IntegrityError:
        # Two senders of one key at once: the other one won, and its act is ours.
        found = Act.objects.filter(key=caller.key).first()
        if found is None:
            raise
        return _same(found, caller, wanted)


def _once(caller: Caller, wanted: Wanted, work: Work) -> Act:
    found = Act.objects.filter(key=caller.key).first()
    if found is not None:
        return _same(found, caller, wanted)
    changes = Changes()
    if wanted.thing is not None:
        # Others wait here; what they then read is what this act left.
        fresh = Object.objects.select_for_update().get(pk=wanted.thing.pk)
        if fresh.merged_into_id is not None:
            raise Refused(f"{fresh.tag} was merged into another object; use the tag of that one")
        work(changes)
        changes.update(fresh, revision=fresh.revision + 1)
        wanted.thing.refresh_from_db()
    else:
        work(changes)
    return Act.objects.create(
        key=caller.key,
        kind=wanted.kind,
        incident=wanted.incident,
        object=wanted.thing,
        person=caller.person,
        device=caller.device,
        device_at=caller.device_at,
        device_seq=caller.device_seq,
        server_at=now(),
        payload=plain(wanted.payload),
        before=changes.before,
        after=changes.after,
    )


def _same(found: Act, caller: Caller, wanted: Wanted) -> Act:
    """The act of this key, if it is the one that is asked for; otherwise KeyTaken."""
    asked = (wanted.kind, plain(wanted.payload), caller.person.pk, wanted.thing and wanted.thing.pk)
    if (found.kind, found.payload, found.person_id, found.object_id) != asked:
        raise KeyTaken(f"key {caller.key} already stands for another act ({found.kind}); make a new one")
    return found


def refuse(caller: Caller, wanted: Wanted, reason: str) -> Refusal:
    """Keep a refusal."""
    return Refusal.objects.create(
        kind=wanted.kind, person=caller.person, object=wanted.thing, reason=reason, at=now()
    )


def all_or_none(acts: Callable[[], Done]) -> Done:
    """Do several acts; where one is refused none is done, and the refusal stays on record."""
    try:
        with transaction.atomic():
            return acts()
    except Refused as error:
        if error.kept is not None:
            # It went with the rest; it is set down again, the same row.
            error.kept.save(force_insert=True)
        raise


def made_by(act: Act, model: type[R]) -> R:
    """The first row of a table that an act made, as it stands now; also when the act was sent again."""
    uid = made(act.after, act.before, model)[0]
    found: R = model._default_manager.get(uid=uid)
    return found
