"""Clocks: hours after an origin, and what is left of them at a given moment."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from strandline.things.plan import Clock

FAR = 1e9


def elapsed(facts_times: Mapping[str, datetime | None], as_of: datetime) -> dict[str, float | None]:
    """Hours since each origin at ``as_of``; None where the origin's time is not known.

    Emergence falls back to wetting when nobody noted it: the earlier start is the stricter one.
    """
    wet, out = facts_times.get("wetted"), facts_times.get("emerged")
    emerged = out or wet
    return {
        "wetted": _hours(wet or out, as_of),
        "emerged": _hours(emerged, as_of),
        "dried": None,
        "found": 0.0,
    }


def _hours(since: datetime | None, as_of: datetime) -> float | None:
    return None if since is None else (as_of - since).total_seconds() / 3600.0


def anchored(clocks: Iterable[Clock], since_h: Mapping[str, float | None]) -> tuple[Clock, ...]:
    """Clocks with hours left and state, the most pressing first."""
    found = []
    for clock in clocks:
        passed = since_h.get(clock.origin)
        if passed is None:
            found.append(clock)
            continue
        left = round(clock.at_h - passed, 2)
        state = "running" if left > 0 or clock.shape == "rate" else "may have happened"
        found.append(replace(clock, left_h=left, state=state))
    return tuple(sorted(found, key=lambda clock: (_press(clock), clock.at_h, clock.key, clock.part)))


def _press(clock: Clock) -> float:
    return FAR if clock.left_h is None else clock.left_h


def first(clocks: tuple[Clock, ...]) -> Clock | None:
    """The clock that starts the object's work: the least hours left, or the fewest hours if no time
    is known."""
    known = [clock for clock in clocks if clock.left_h is not None]
    if known:
        return known[0]
    return min(clocks, key=lambda clock: (clock.at_h, clock.key, clock.part), default=None)


def holds_until(clocks: tuple[Clock, ...], as_of: datetime) -> tuple[float | None, datetime | None, str]:
    """How long the holding instruction is good for: the next thing still ahead, and what is lost then."""
    ahead = [clock for clock in clocks if clock.left_h is not None and clock.left_h > 0]
    past = [clock for clock in clocks if clock.left_h is not None and clock.left_h <= 0]
    if not ahead:
        lost = next((clock.lost_after for clock in past if clock.lost_after), "")
        return (0.0 if past else None), (as_of if past else None), lost
    left = ahead[0].left_h or 0.0
    return left, as_of + timedelta(hours=left), ahead[0].lost_after
