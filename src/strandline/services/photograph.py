"""Photograph: an original that lies on the disk gets its row, for an object, a place or the incident."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings

from strandline.records.models.facts import Photo
from strandline.records.models.objects import Object
from strandline.records.models.sites import Incident, Place
from strandline.records.photos import SHA256, Kept, Sweep, sweep
from strandline.records.pictures import ENDINGS
from strandline.services.acting import Caller, Refused, Wanted, perform, refuse
from strandline.services.changes import Changes
from strandline.services.clock import now

FOLDER = "photos"
SETTING = "PRACTICE_FOLDER"
"""Name of the setting, which is made in code and so not known to the type checker."""

LONGEST = 200
"""Characters of what a photograph is of."""


def photos_folder() -> Path:
    """The folder of photographs of the open practice; ``records.photos.keep`` is called with it first."""
    return Path(getattr(settings, SETTING)) / FOLDER


def photograph(
    caller: Caller,
    incident: Incident,
    kept: Kept,
    thing: Object | None = None,
    place: Place | None = None,
    is_of: str = "",
) -> Photo:
    """Record a photograph.  The file is there before the row; no file is touched in the transaction.

    The same bytes for the same object again give the row there is; the act is written all the same, as its
    words ``is_of`` (at most 200 characters, kept in the log) may be others.  Raises Refused for an object or
    place of another incident, for a file that is not there, and for bytes kept of another place already.
    """
    payload = {
        "incident": incident, "object": thing, "place": place, "sha256": kept.sha256,
        "size_bytes": kept.size_bytes, "media_type": kept.media_type, "taken_at": kept.taken_at,
        "is_of": is_of.strip(),
    }  # fmt: skip
    wanted = Wanted("photograph", payload, incident, thing)
    if not (photos_folder().parent / kept.path).is_file():
        reason = f"the file of photograph {kept.sha256[:12]} is not there; send it again"
        refuse(caller, wanted, reason)
        raise Refused(reason)

    def work(changes: Changes) -> None:
        _fits(incident, kept, thing, place, is_of)
        # One photograph of an incident at a time: two senders of the same bytes make one row.
        Incident.objects.select_for_update().get(pk=incident.pk)
        found = row_of(incident, kept.sha256, thing)
        if found is None:
            changes.create(
                Photo, incident=incident, object=thing, place=place, sha256=kept.sha256,
                size_bytes=kept.size_bytes, path=kept.path, media_type=kept.media_type, by=caller.person,
                taken_at=kept.taken_at, added_at=now(),
            )  # fmt: skip
        else:
            _placed(changes, found, place)

    perform(caller, wanted, work)
    return Photo.objects.get(incident=incident, object=thing, sha256=kept.sha256)


def _placed(changes: Changes, found: Photo, place: Place | None) -> None:
    """A row without a place takes this one; a row of another place refuses."""
    if place is None or found.place == place:
        return
    if found.place is not None:
        raise Refused(f"this photograph is kept already, as one of {found.place.name}")
    changes.update(found, place=place)


def row_of(incident: Incident, sha256: str, thing: Object | None) -> Photo | None:
    """The row of these bytes for this object, or for none."""
    return Photo.objects.filter(incident=incident, object=thing, sha256=sha256).first()


def photographs(thing: Object) -> list[Photo]:
    """The photographs of an object, the newest first: by the camera's clock, else when it was added."""
    rows = Photo.objects.filter(object=thing).select_related("place", "by")
    return sorted(rows, key=lambda row: (row.taken_at or row.added_at, row.pk), reverse=True)


def orphans(rehash: bool = False) -> Sweep:
    """Files of the open practice without a row, rows without a file; with ``rehash`` also changed files."""
    return sweep(photos_folder(), Photo.objects.values_list("sha256", flat=True).distinct(), rehash)


def _fits(incident: Incident, kept: Kept, thing: Object | None, place: Place | None, is_of: str) -> None:
    if thing is not None and thing.incident_id != incident.pk:
        raise Refused(f"{thing.tag} is an object of another incident")
    if place is not None and place.incident_id != incident.pk:
        raise Refused(f"{place.name} is a place of another incident")
    if not SHA256.fullmatch(kept.sha256) or kept.media_type not in ENDINGS:
        raise Refused("this is not a photograph that was kept")
    if len(is_of.strip()) > LONGEST:
        raise Refused(f"say in at most {LONGEST} characters what the photograph is of")
