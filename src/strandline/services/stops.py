"""Stops outlast every look: nothing that somebody saw lifts one, only a release that was recorded."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from strandline.records import translate
from strandline.records.models.objects import Object
from strandline.services.acting import Refused
from strandline.services.clock import now
from strandline.services.engines import engine_for
from strandline.services.plan import newest
from strandline.services.release_hazard import open_stops


@contextmanager
def stops_stay(thing: Object) -> Iterator[None]:
    """Write facts of an object within this, inside the transaction of an act.

    Refused, before anything is kept, where a stop that nobody released would not be in the next plan: one of
    the newest plan, or one that follows from the facts as they were.  Facts that add stops are let through.
    """
    at = now()
    held = Object.objects.get(pk=thing.pk)
    stood = {*open_stops(held, newest(held)), *_stops(held, at)}
    yield
    if stood:
        lost = sorted(stood - _stops(held, at))
        if lost:
            named = ", ".join(f"'{key}'" for key in lost)
            raise Refused(
                f"{held.tag} is stopped because of {named}; a stop is lifted only by recording who released"
                " it, not by looking again"
            )


def _stops(thing: Object, at: datetime) -> set[str]:
    """Keys of the hazards that the facts of the record stop an object for; those released are none."""
    engine = engine_for(thing, at).engine
    made = engine.core(engine.signature(translate.facts_at(thing, at)))
    return {hazard.key for hazard in made.hazards if hazard.grade == "stop"}
