"""When an object was wetted and when it came out, from whatever a list or the incident says."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta

from strandline.things.facts import KnownBy

AGREE_H = 0.25
"""Two statements about the wetting closer than this are the same statement."""


@dataclass(slots=True)
class Times:
    """Resolved times with how each is known, and what did not fit together."""

    wet_since: datetime | None
    out_since: datetime | None
    hours_wet: float | None
    under_water_h: float | None
    known_by: dict[str, KnownBy] = field(default_factory=dict)
    problems: list[tuple[str, str, str]] = field(default_factory=list)


def resolve_times(
    wet_since: datetime | None,
    out_since: datetime | None,
    hours_wet: float | None,
    under_water_h: float | None,
    as_of: datetime,
) -> Times:
    """Settle times at ``as_of``.  Where two statements differ the earlier wetting wins."""
    known: dict[str, KnownBy] = {
        "wet_since": "stated" if wet_since or hours_wet is not None else "unknown",
        "out_since": "stated" if out_since else "unknown",
        "hours_wet": "stated" if hours_wet is not None or wet_since else "unknown",
        "under_water_h": "stated" if under_water_h is not None else "unknown",
    }
    found = Times(wet_since, out_since, hours_wet, under_water_h, known)
    _wetting(found, as_of)
    _emergence(found, as_of)
    if found.wet_since is not None:
        found.hours_wet = round((as_of - found.wet_since).total_seconds() / 3600, 2)
    return found


def _wetting(found: Times, as_of: datetime) -> None:
    if found.wet_since and found.wet_since > as_of:
        found.problems.append(
            ("wet_since", found.wet_since.isoformat(), "wet_since lies after as_of; taken as unknown")
        )
        found.wet_since, found.known_by["wet_since"] = None, "unknown"
    if found.hours_wet is None:
        return
    counted = as_of - timedelta(hours=found.hours_wet)
    if found.wet_since and abs((counted - found.wet_since).total_seconds()) > AGREE_H * 3600:
        found.problems.append(
            (
                "hours_wet",
                f"{found.hours_wet:g}",
                "hours_wet and wet_since disagree; the earlier wetting is taken",
            )
        )
    found.wet_since = min(found.wet_since or counted, counted)


def _emergence(found: Times, as_of: datetime) -> None:
    wet, out, under = found.wet_since, found.out_since, found.under_water_h
    if out and out > as_of:
        found.problems.append(("out_since", out.isoformat(), "out_since lies after as_of; taken as unknown"))
        out = None
    if out and wet and out < wet:
        found.problems.append(
            ("out_since", out.isoformat(), "out_since lies before wet_since; taken as unknown")
        )
        out = None
    if out is None and wet and under is not None and under >= 0:
        out, found.known_by["out_since"] = wet + timedelta(hours=under), "stated"
    elif out is None:
        found.known_by["out_since"] = "unknown"
    if wet and out and under is None:
        found.under_water_h = round((out - wet).total_seconds() / 3600, 2)
        found.known_by["under_water_h"] = "stated"
    elif wet and under is None:
        # Nobody noted when it came out: uptake is counted over all of the wetting.
        found.under_water_h = round((as_of - wet).total_seconds() / 3600, 2)
        found.known_by["under_water_h"] = "assumed"
    found.out_since = out if out is None or out <= as_of else None
