"""Open and close a batch: rinse water or floor mud of one square, looked through for fragments."""

from __future__ import annotations

from strandline.records.models.objects import BATCH_KINDS, Batch
from strandline.records.models.sites import Incident, Place
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.together import together

KINDS = tuple(key for key, _ in BATCH_KINDS)
LONGEST_NAME = 100


def open_batch(caller: Caller, incident: Incident, kind: str, name: str, place: Place | None = None) -> Batch:
    """A batch that is being collected.  Raises Refused for an unknown kind, a name that is empty, too long or
    that of an open batch of this kind, and for a place of another incident."""

    def work(changes: Changes) -> None:
        called = name.strip()
        if kind not in KINDS:
            raise Refused(f"a batch is {', '.join(KINDS)}; not '{kind}'")
        if not 0 < len(called) <= LONGEST_NAME:
            raise Refused(f"a batch has a name of {LONGEST_NAME} characters at most")
        if place is not None and place.incident_id != incident.pk:
            raise Refused(f"{place.name} is a place of another incident")
        same = Batch.objects.filter(incident=incident, kind=kind, name=called, closed_at__isnull=True)
        if same.exists():
            raise Refused(f"the batch '{called}' is open already; close it first")
        changes.create(Batch, incident=incident, kind=kind, name=called, place=place, opened_at=now())

    payload = {"incident": incident, "kind": kind, "name": name, "place": place}
    wanted = Wanted("open_batch", payload, incident)
    return made_by(together(incident, lambda: perform(caller, wanted, work)), Batch)


def close_batch(caller: Caller, batch: Batch) -> Batch:
    """It was looked through; nothing more comes out of it.  Raises Refused for one that is closed."""

    def work(changes: Changes) -> None:
        fresh = Batch.objects.get(pk=batch.pk)
        if fresh.closed_at is not None:
            raise Refused(f"the batch '{fresh.name}' is closed already")
        changes.update(fresh, closed_at=now())

    wanted = Wanted("close_batch", {"batch": batch}, batch.incident)
    together(batch.incident, lambda: perform(caller, wanted, work))
    batch.refresh_from_db()
    return batch
