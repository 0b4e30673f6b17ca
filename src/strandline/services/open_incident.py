"""Open an incident: one flood, tide or burst main at one site, with what holds for everything in it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.db import IntegrityError

from strandline.pipeline import cells
from strandline.records.models.sites import Incident, Practice, Site
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform, refuse
from strandline.services.changes import Changes, plain
from strandline.services.clock import now
from strandline.things.tags import TagError, check_incident

LONGEST_NAME = 200
LONGEST_ZONE = 64
AIR_C = (-40.0, 60.0)
PRACTICE = "This practice"
"""Name of the practice until somebody gives another one."""


def open_incident(
    caller: Caller,
    *,
    code: str,
    name: str,
    zone: str,
    site_name: str,
    address: str = "",
    water: Iterable[str] = (),
    wet_since: datetime | None = None,
    out_since: datetime | None = None,
    air_c: float | None = None,
    air_rh: float | None = None,
    arrangements: Mapping[str, Any] | None = None,
) -> Incident:
    """Open an incident; practice and site are made where they are missing.

    ``air_c`` in degrees C and ``air_rh`` as a fraction are those of the air outside, times are aware.  The
    address stays out of the log.  Raises Refused for a code that is malformed or in use, an unknown time zone
    or kind of water, water gone before it came, and air that cannot be.
    """
    fields: dict[str, Any] = {
        "name": name, "zone": zone, "water": _listed(water), "wet_since": wet_since, "out_since": out_since,
        "air_c": air_c, "air_rh": air_rh, "arrangements": arrangements or {},
    }  # fmt: skip
    payload = {"code": code, "site": site_name, **{key: tellable(value) for key, value in fields.items()}}
    wanted = Wanted("open_incident", payload, None)

    def work(changes: Changes) -> None:
        _free(code)
        given = checked(fields)
        in_order(given["wet_since"], given["out_since"])
        site = _site(changes, named(site_name, "a site"), address.strip())
        changes.create(Incident, site=site, code=code, opened_at=now(), **given)

    try:
        return made_by(perform(caller, wanted, work), Incident)
    except IntegrityError as error:
        # Two opened the same code at once under different keys; anything else is a fault.
        if not Incident.objects.filter(code=code).exists():
            raise
        refuse(caller, wanted, _in_use(code))
        raise Refused(_in_use(code)) from error


def _free(code: str) -> None:
    try:
        check_incident(code)
    except TagError as error:
        raise Refused(str(error)) from error
    if Incident.objects.filter(code=code).exists():
        raise Refused(_in_use(code))


def _in_use(code: str) -> str:
    return f"incident {code} is there already; a code is used once"


def _site(changes: Changes, name: str, address: str) -> Site:
    practice = Practice.objects.order_by("id").first() or changes.create(Practice, name=PRACTICE)
    site = Site.objects.filter(practice=practice, name=name).order_by("id").first()
    if site is None:
        return changes.create(Site, practice=practice, name=name, address=address)
    if address and address != site.address:
        changes.update(site, address=address)
    return site


def checked(fields: Mapping[str, Any]) -> dict[str, Any]:
    """Fields of an incident as its row holds them; Refused with a sentence for one that cannot be."""
    return {key: CHECKS[key](value) for key, value in fields.items()}


def in_order(wet_since: datetime | None, out_since: datetime | None) -> None:
    """Refuse water that had gone before it came."""
    if wet_since is not None and out_since is not None and out_since < wet_since:
        raise Refused("out of the water (out_since) cannot be before into it (wet_since)")


def named(text: str, what: str, most: int = LONGEST_NAME) -> str:
    """A name without the spaces around it; Refused for none, or one longer than ``most`` characters."""
    name = text.strip()
    if not name:
        raise Refused(f"{what} needs a name")
    if len(name) > most:
        raise Refused(f"{what} has a name of {most} characters at most; this one has {len(name)}")
    return name


def tellable(value: Any) -> Any:
    """A value as the log can hold it, also where it is refused later: what JSON has no word for, as text."""
    try:
        return plain(value)
    except (TypeError, ValueError):
        return str(value)


def moment(value: Any) -> datetime | None:
    """A moment in UTC, or None; Refused for one without its offset."""
    if value is None:
        return None
    if not isinstance(value, datetime) or value.tzinfo is None:
        raise Refused(f"a time needs its offset from UTC; got '{value}'")
    return value.astimezone(UTC)


def within(value: Any, low: float, high: float, what: str) -> float | None:
    """A number between two others, both included, or None; Refused for anything else."""
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise Refused(f"{what}: '{value}' is no number")
    if not low <= value <= high:
        raise Refused(f"{what} lies between {low:g} and {high:g}; got {value:g}")
    return float(value)


def iana(zone: str) -> str:
    """A time zone of the IANA list; else Refused."""
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise Refused(
            f"'{zone[:LONGEST_ZONE]}' is no time zone of the IANA list, such as Europe/London"
        ) from error
    return named(zone, "a time zone", LONGEST_ZONE)


def _listed(water: Iterable[str]) -> list[str]:
    return [water] if isinstance(water, str) else list(water)


def waters(given: Any) -> list[str]:
    """Kinds of water by their keys, sorted; read as the cells of a list are, Refused for unknown words."""
    try:
        return list(cells.water(";".join(str(one) for one in _listed(given))))
    except cells.CellError as error:
        raise Refused(error.reason) from error


def arranged(given: Any) -> dict[str, Any]:
    """Crew and kit as JSON holds them; else Refused."""
    if not isinstance(given, Mapping):
        raise Refused("arrangements are a table of crew by day and kit")
    try:
        found: dict[str, Any] = plain(dict(given))
    except (TypeError, ValueError) as error:
        raise Refused(f"arrangements cannot be kept: {error}") from error
    return found


CHECKS: Mapping[str, Callable[[Any], Any]] = {
    "name": lambda value: named(value, "an incident"),
    "zone": iana,
    "water": waters,
    "wet_since": moment,
    "out_since": moment,
    "air_c": lambda value: within(value, *AIR_C, "air outside, in degrees C,"),
    "air_rh": lambda value: within(value, 0.0, 1.0, "humidity of the air outside, as a fraction,"),
    "arrangements": arranged,
    "closed_at": moment,
}
"""What each field of an incident has to pass."""
