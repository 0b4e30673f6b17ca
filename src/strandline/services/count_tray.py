"""Count a tray when it changes hands; fewer than expected is a search, open until somebody settles it."""

from __future__ import annotations

from collections.abc import Sequence

from django.db.models import F, QuerySet

from strandline.records.models.objects import Object, Tray, TrayCount
from strandline.records.models.sites import Incident
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.make_lot import whole
from strandline.services.together import together


def count_tray(
    caller: Caller, tray: Tray, counted: int, missing: Sequence[str] = (), note: str = ""
) -> TrayCount:
    """Keep a count beside how many tags lie on the tray; a lot counts as one, as it has one tag.

    ``missing`` are the tags not seen, as many as the shortfall, or none where nobody knows which.  Raises
    Refused for a count below nought, for missing tags that are not on the tray or not as many as are missing,
    and for more than expected without a note.
    """
    payload = {"tray": tray, "counted": counted, "missing": list(missing), "note": note}

    def work(changes: Changes) -> None:
        on_it = set(Object.objects.filter(tray=tray).values_list("tag", flat=True))
        _fits(tray, on_it, counted, missing, note)
        changes.create(
            TrayCount, tray=tray, expected=len(on_it), counted=counted, missing=sorted(missing),
            note=note.strip(), by=caller.person, at=now(),
        )  # fmt: skip

    wanted = Wanted("count_tray", payload, tray.incident)
    return made_by(together(tray.incident, lambda: perform(caller, wanted, work)), TrayCount)


def _fits(tray: Tray, on_it: set[str], counted: int, missing: Sequence[str], note: str) -> None:
    if not whole(counted, 0):
        raise Refused("a count is nought or more")
    short = len(on_it) - counted
    if short < 0 and not note.strip():
        raise Refused(
            f"tray '{tray.name}' holds {len(on_it)} by the record; say in a note what lies there besides"
        )
    strange = sorted(set(missing) - on_it)
    if strange:
        raise Refused(f"{', '.join(strange)} is not on tray '{tray.name}' and cannot be missing from it")
    if missing and (len(set(missing)) != len(missing) or len(missing) != short):
        raise Refused(
            f"{max(short, 0)} missing by the count, {len(missing)} named; name each one once or none"
        )


def settle_count(caller: Caller, count: TrayCount, note: str) -> TrayCount:
    """A search has ended; the note says how.  Raises Refused without a note, and where no search is open."""
    incident = count.tray.incident

    def work(changes: Changes) -> None:
        fresh = TrayCount.objects.select_for_update().get(pk=count.pk)
        if not note.strip():
            raise Refused("say how the search ended")
        if fresh.counted >= fresh.expected or fresh.settled_at is not None:
            raise Refused(f"no search is open for this count of tray '{fresh.tray.name}'")
        told = "\n".join(text for text in (fresh.note, note.strip()) if text)
        changes.update(fresh, note=told, settled_at=now())

    perform(caller, Wanted("settle_count", {"count": count, "note": note}, incident), work)
    count.refresh_from_db()
    return count


def open_searches(incident: Incident) -> QuerySet[TrayCount]:
    """Counts that came out short and are not settled, the oldest first."""
    rows = TrayCount.objects.filter(
        tray__incident=incident, counted__lt=F("expected"), settled_at__isnull=True
    )
    return rows.select_related("tray").order_by("at", "id")
