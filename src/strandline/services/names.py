"""Names: who stands behind an override, for screens and papers.  Plans keep people by uid alone."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any
from uuid import UUID

from strandline.records.models.people import Person

NOBODY = "somebody no longer named"
ROLES: Mapping[str, str] = {
    "lead": "lead conservator", "conservator": "conservator", "helper": "helper", "viewer": "viewer",
}  # fmt: skip

MARK = re.compile(
    r"(?P<before>(?:[a-z][a-zA-Z0-9_.]*: )?(?:practice|incident|lot|object): )"
    r"(?P<uid>[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})(?P<after>: .*)",
    re.DOTALL,
)
"""A mark of an override: in a plan's list with its rule, beside a reason without; then comes free text."""


def with_names(result: dict[str, Any]) -> dict[str, Any]:
    """A plan's result with the people of its overrides by name and role; the one given is left as it is.

    One query, none for a plan nobody overruled.  Who was erased or is not known here is nobody.
    """
    uids = {match["uid"] for match in _marks(result)}
    if not uids:
        return result
    rows = Person.objects.filter(uid__in=[UUID(uid) for uid in uids])
    names = {str(row.uid): _called(row) for row in rows}
    named: dict[str, Any] = _named(result, names)
    return named


def _called(person: Person) -> str:
    name = person.name.strip()
    return f"{name}, {ROLES[person.role]}" if name else NOBODY


def _marks(value: Any, where: str = "") -> Iterator[re.Match[str]]:
    """Every mark of an override in a result; other texts are not looked at."""
    if isinstance(value, dict):
        for key, one in value.items():
            yield from _marks(one, key)
    elif isinstance(value, list):
        for one in value:
            yield from _marks(one, where)
    elif isinstance(value, str) and where in PLACES:
        match = MARK.fullmatch(value)
        if match is not None:
            yield match


PLACES: tuple[str, ...] = ("override", "overrides")
"""Members of a result that hold marks: of one reason, and of the whole plan."""


def _named(value: Any, names: Mapping[str, str], where: str = "") -> Any:
    if isinstance(value, dict):
        return {key: _named(one, names, key) for key, one in value.items()}
    if isinstance(value, list):
        return [_named(one, names, where) for one in value]
    if isinstance(value, str) and where in PLACES:
        match = MARK.fullmatch(value)
        if match is not None:
            return f"{match['before']}{names.get(match['uid'], NOBODY)}{match['after']}"
    return value
