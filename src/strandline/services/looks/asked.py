"""What every look at the record has in common: who asks, when, for what, and what is not there.

A look is read only.  Its data are plain (text, numbers, lists, mappings; times as ISO text in UTC), so that
page, JSON and command line show the very same.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from strandline.records.models.objects import Object
from strandline.records.models.people import Person
from strandline.records.models.sites import Incident
from strandline.services.resolve import resolve

ALL: frozenset[str] = frozenset({"lead", "conservator", "helper", "viewer"})
HANDS: frozenset[str] = frozenset({"lead", "conservator", "helper"})
SENIOR: frozenset[str] = frozenset({"lead", "conservator"})
LEAD: frozenset[str] = frozenset({"lead"})


class NotThere(Exception):
    """What was asked for is not in the record; the text says so in one sentence."""


@dataclass(frozen=True, slots=True)
class Asked:
    """Who asks, at which moment (aware, UTC), and what stands after the question mark."""

    person: Person
    at: datetime
    query: Mapping[str, str] = field(default_factory=dict)

    def number(self, name: str, usual: int, most: int) -> int:
        """A whole number of the query, from 1 to ``most``; ``usual`` where it is none."""
        text = self.query.get(name, "")
        return min(max(int(text), 1), most) if text.isascii() and text.isdigit() and len(text) < 9 else usual


Data = Callable[..., dict[str, Any]]


@dataclass(frozen=True, slots=True)
class Look:
    """One thing that can be looked at: its name, its address, what gives its data, and who may.

    ``route`` is a Django path without a leading stroke and with one at its end; the JSON twin lies at the
    same address with ``.json`` for the last stroke.  ``data`` takes the Asked and what stands in the route.
    """

    name: str
    route: str
    data: Data
    roles: frozenset[str] = ALL


def incident_of(code: str) -> Incident:
    """The incident of this code; NotThere."""
    found = Incident.objects.select_related("site").filter(code=code.upper()).first()
    if found is None:
        raise NotThere(f"there is no incident '{code}' in this record")
    return found


def thing_of(incident: Incident, tag: str) -> Object:
    """The object a tag is tied to, also after a merge; NotThere."""
    found = resolve(incident, tag)
    if not isinstance(found, Object):
        raise NotThere(f"no object of {incident.code} has the tag {tag}")
    return found


def iso(at: datetime | None) -> str | None:
    """A moment as data hold it."""
    return None if at is None else at.isoformat()
