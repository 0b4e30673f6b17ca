"""Observe: a fact of an object is seen, measured or told, and takes the place of what was known."""

from __future__ import annotations

from typing import Any, get_args

from strandline.records import translate
from strandline.records.models.facts import Observation
from strandline.records.models.objects import Object
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.engines import engine_for
from strandline.services.stops import stops_stay
from strandline.things.facts import KnownBy


def observe(
    caller: Caller, thing: Object, key: str, value: Any, known_by: KnownBy, saw: Observation | None
) -> Observation:
    """Keep a fact.  ``saw`` is the observation of this key the person had before them, if any.

    If somebody else observed the same key in between and it is another value, both stay in force, marked
    ``clash``, until one more observation settles it; plans made meanwhile take the more careful of both.
    Raises Refused for a key or value that is no fact, and for one that would lift a stop nobody released.
    """

    def work(changes: Changes) -> None:
        try:
            translate.read_value(key, value)
        except translate.NotAFact as error:
            raise Refused(str(error)) from error
        with stops_stay(thing):
            keep(changes)

    def keep(changes: Changes) -> None:
        standing = Observation.objects.filter(
            object=thing, key=key, part__isnull=True, superseded_by__isnull=True
        ).order_by("at", "id")
        between = [row for row in standing if saw is None or row.pk > saw.pk]
        clash = [row for row in between if row.value != value]
        for row in standing:
            if row.clash != (row in clash):
                changes.update(row, clash=row in clash)
        replaced = saw if saw in standing else None
        changes.create(
            Observation, object=thing, key=key, value=value, known_by=known_by, by=caller.person,
            at=now(), supersedes=replaced, clash=bool(clash),
        )  # fmt: skip

    if key not in translate.KEYS:
        raise Refused(f"'{key}' is no fact of an object; facts are {', '.join(translate.KEYS)}")
    if known_by not in get_args(KnownBy):
        raise Refused(f"'{known_by}' is no way of knowing: {', '.join(get_args(KnownBy))}")
    engine_for(thing, now())  # made before the transaction begins: others would wait for it
    payload = {"object": thing, "key": key, "value": value, "known_by": known_by, "saw": saw}
    act = perform(caller, Wanted("observe", payload, thing.incident, thing), work)
    return made_by(act, Observation)
