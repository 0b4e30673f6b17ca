"""The hours of a kept plan at a moment: a plan is kept without them, as they change while nobody acts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Any

from strandline.care import clocks as running
from strandline.knowledge.base import shipped
from strandline.papers import when
from strandline.things.plan import Clock


@dataclass(frozen=True, slots=True)
class Hours:
    """Clocks with what is left of them, the most pressing first; hours (h), None where no time is known.

    ``good_until`` is when the holding instruction ends, and ``lost_after`` what is lost then.
    """

    clocks: tuple[dict[str, Any], ...]
    hours_left: float | None
    good_until_h: float | None
    good_until: datetime | None
    lost_after: str


def hours_at(facts: Mapping[str, Any], result: Mapping[str, Any], at: datetime) -> Hours:
    """The hours of a plan (facts and result as kept) at ``at`` (aware, UTC), as the engine counts them."""
    times = {
        origin: when.read(facts["facts"].get(name))
        for origin, name in (("wetted", "wet_since"), ("emerged", "out_since"))
    }
    kept = {(one["key"], one["origin"], one["part"]): one for one in result["clocks"]}
    clocks = running.anchored((_clock(one) for one in result["clocks"]), running.elapsed(times, at))
    first = running.first(clocks)
    left, until, lost = running.holds_until(clocks, at)
    shown = tuple(
        {**kept[clock.key, clock.origin, clock.part], "left_h": clock.left_h, "state": clock.state,
         "lost_after": clock.lost_after}
        for clock in clocks
    )  # fmt: skip
    return Hours(shown, first.left_h if first else None, left, until, lost)


def _clock(kept: Mapping[str, Any]) -> Clock:
    return Clock(
        kept["key"], kept["origin"], kept["at_h"], kept["aim_h"], kept["shape"], kept["part"], (),
        lost_after(kept),
    )  # fmt: skip


def lost_after(clock: Mapping[str, Any]) -> str:
    """What is lost when a clock has run out: its rule's words, or those of its material."""
    rule = clock["because"][0]["rule"] if clock["because"] else ""
    by_rule, by_material = _lost()
    if rule in by_rule:
        return by_rule[rule]
    return by_material.get(rule.removeprefix(f"clk.{clock['key']}."), "")


@cache
def _lost() -> tuple[dict[str, str], dict[str, str]]:
    known = shipped()
    rules = {rule.id: rule.lost_after for rule in known.clocks}
    return rules, {key: material.lost_after for key, material in known.materials.items()}
