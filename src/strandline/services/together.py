"""Acts that take several rows in hand: the incident is held first, so that no two wait for each other."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

from django.db import transaction

from strandline.records.models.objects import Object
from strandline.records.models.sites import Incident
from strandline.services.acting import Refused

R = TypeVar("R")


def hold(incident: Incident) -> None:
    """Wait until nobody else claims tags or groups things here; within a transaction.

    Rows that merely name the incident are not kept waiting.
    """
    Incident.objects.select_for_update(no_key=True).get(pk=incident.pk)


def together(incident: Incident, act: Callable[[], R]) -> R:
    """Do an act while the incident is held; what it refused stays on record."""
    with transaction.atomic():
        hold(incident)
        try:
            return act()
        except Refused as error:
            refused = error
    raise refused


def held(incident: Incident, things: Sequence[Object]) -> list[Object]:
    """The things as they stand now, each once and in the order given, their rows held.

    Raises Refused for no thing at all, one of another incident, and one that was merged.
    """
    if not things:
        raise Refused("name one thing at least")
    keys = list(dict.fromkeys(thing.pk for thing in things))
    rows = {row.pk: row for row in Object.objects.select_for_update().filter(pk__in=keys).order_by("pk")}
    for row in (rows[key] for key in keys):
        if row.incident_id != incident.pk:
            raise Refused(f"{row.tag} is a thing of another incident")
        if row.merged_into_id is not None:
            raise Refused(f"{row.tag} was merged into another object; use the tag of that one")
    return [rows[key] for key in keys]
