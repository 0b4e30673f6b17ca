"""Came off: a fragment of an object, or a stray that nobody can place yet, gets its tag."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from string import ascii_lowercase

from strandline.records.models.objects import Batch, Fragment, Object, Tag
from strandline.records.models.sites import Incident, Place
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.receive import claimable, free, next_tag
from strandline.services.together import together

MOST_LETTERS = 3


def came_off(
    caller: Caller,
    incident: Incident,
    title: str,
    thing: Object | None = None,
    batch: Batch | None = None,
    place: Place | None = None,
    tag: str = "",
) -> Fragment:
    """Keep a fragment.  Without ``tag``: the next of 0042-a, 0042-b for one of 0042, a whole one for a stray.

    A fragment's row holds its tag for good.  Raises Refused for a batch that is closed, for a batch, place or
    object of another incident, and for a tag that is tied to something or speaks of another object.
    """
    payload = {
        "incident": incident, "title": title, "object": thing, "batch": batch, "place": place, "tag": tag,
    }  # fmt: skip

    def work(changes: Changes) -> None:
        _here(incident, thing, batch, place)
        changes.create(
            Fragment, incident=incident, object=thing, tag=_claimed(caller, incident, thing, tag.strip()),
            batch=batch, place=place, says=title.strip(), found_at=now(),
        )  # fmt: skip

    wanted = Wanted("came_off", payload, incident, thing)
    return made_by(together(incident, lambda: perform(caller, wanted, work)), Fragment)


def _here(incident: Incident, thing: Object | None, batch: Batch | None, place: Place | None) -> None:
    for row, what in ((thing, "object"), (batch, "batch"), (place, "place")):
        if row is not None and row.incident_id != incident.pk:
            raise Refused(f"that {what} is of another incident")
    if batch is not None and Batch.objects.get(pk=batch.pk).closed_at is not None:
        raise Refused(f"the batch '{batch.name}' is closed; open another one")


def _claimed(caller: Caller, incident: Incident, thing: Object | None, tag: str) -> str:
    """The tag asked for, or the next one; free, and saying nothing wrong about where it came off."""
    whole = None if thing is None else thing.tag.partition("-")[0]
    wanted = tag or (next_tag(incident) if whole is None else next_letters(incident, whole))
    said, dash, _ = wanted.partition("-")
    if not dash:
        # A range set aside is of whole tags: one with letters follows from its object's.
        claimable(incident, wanted, caller)
        return wanted
    free(incident, wanted)
    if said != whole:
        raise Refused(f"tag {wanted} says that it came off {said}; this one did not, as far as is known")
    return wanted


def next_letters(incident: Incident, whole: str) -> str:
    """The first of 0042-a, 0042-b, ... that nothing is tied to; Refused after the last of three letters."""
    start = f"{whole}-"
    objects = Tag.objects.filter(incident=incident, text__startswith=start).values_list("text", flat=True)
    others = Fragment.objects.filter(incident=incident, tag__startswith=start).values_list("tag", flat=True)
    used = {*objects, *others}
    for letters in _letters():
        if start + letters not in used:
            return start + letters
    raise Refused(f"no tag is left for what came off {whole}")


def _letters() -> Iterator[str]:
    """a to z, aa to zz, aaa to zzz."""
    for count in range(1, MOST_LETTERS + 1):
        for letters in product(ascii_lowercase, repeat=count):
            yield "".join(letters)
