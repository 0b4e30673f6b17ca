"""Times as papers print them: the lead's view to the minute, the helpers' in half-days."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from strandline.papers.wording import _


def days() -> tuple[str, ...]:
    """Days of the week, Monday first."""
    return (_("Mon"), _("Tue"), _("Wed"), _("Thu"), _("Fri"), _("Sat"), _("Sun"))


def months() -> tuple[str, ...]:
    """Months, January first."""
    return (
        _("January"), _("February"), _("March"), _("April"), _("May"), _("June"), _("July"),
        _("August"), _("September"), _("October"), _("November"), _("December"),
    )  # fmt: skip


def day(local: datetime) -> str:
    """Sun 15 March."""
    return f"{days()[local.weekday()]} {local.day} {months()[local.month - 1]}"


def minute(at: datetime, zone: str) -> str:
    """Sun 15 March 2026, 15:40 GMT: a time to the minute in the incident's zone."""
    local = at.astimezone(ZoneInfo(zone))
    return f"{day(local)} {local.year}, {local:%H:%M} {local.tzname()}"


def hour(at: datetime, zone: str) -> str:
    """Sun 15 March, 15:40: the same without the year, for what lies within days."""
    local = at.astimezone(ZoneInfo(zone))
    return f"{day(local)}, {local:%H:%M}"


def half_day(at: datetime, zone: str) -> str:
    """Sun 15 March, morning: half-days for helpers, whose boundaries are noon and six."""
    local = at.astimezone(ZoneInfo(zone))
    part = _("morning") if local.hour < 12 else _("afternoon") if local.hour < 18 else _("evening")
    return f"{day(local)}, {part}"


def read(text: object) -> datetime | None:
    """An ISO time with its zone; None for null and for what is none."""
    if not isinstance(text, str):
        return None
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        return None
    return at if at.tzinfo else None


ORIGINS = {"wetted": "wet_since", "emerged": "out_since"}
"""Which fact a clock's origin names."""


def due(by: object, facts: Mapping[str, Any]) -> datetime | None:
    """The hour a step's ``by`` {at_h, origin} falls on; None where the origin is not known."""
    if not isinstance(by, Mapping) or by.get("at_h") is None:
        return None
    start = read(facts.get(ORIGINS.get(str(by.get("origin")), "")))
    return start + timedelta(hours=float(by["at_h"])) if start else None


def by_half_day(at: datetime | None, as_of: datetime, zone: str) -> str:
    """What a helper reads: now, or a half-day.  Nobody is told that an hour has gone by."""
    if at is None or at <= as_of:
        return _("now")
    return half_day(at, zone)
