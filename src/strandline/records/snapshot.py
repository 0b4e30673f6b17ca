"""A plan as it is kept: facts and result without anything that depends on the hour, and its hash."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import Any

from strandline.exchange.care_json import PlanWriter
from strandline.things.facts import Facts
from strandline.things.plan import Plan

FACTS: tuple[str, ...] = ("tag", "title", "owner_number", "materials", "class", "facts", "joins")
LEFT_OUT: tuple[str, ...] = ("row", "owner", "place", "kept", "hours_left", "plan_no")
"""``owner`` names a person, ``kept`` may; ``row`` and ``place`` are the list's; the rest goes by the hour."""

SHORT = 8


@dataclass(frozen=True, slots=True)
class Snapshot:
    """What a plan was made from and what came of it; ``sha256`` is of both together."""

    facts: dict[str, Any]
    result: dict[str, Any]
    sha256: str

    def short_id(self, thing_uid: str, number: int) -> str:
        """Eight capital hex digits for paper: of this object, this number, this content."""
        text = f"{thing_uid}:{number}:{self.sha256}"
        return hashlib.sha256(text.encode()).hexdigest()[:SHORT].upper()


def snapshot(facts: Facts, plan: Plan) -> Snapshot:
    """The plan as it is kept, the same at every hour."""
    whole = {
        key: value for key, value in PlanWriter(8).object_dict(facts, plan).items() if key not in LEFT_OUT
    }
    _without_hours(whole, facts)
    about = {key: whole.pop(key) for key in FACTS}
    text = json.dumps([about, whole], sort_keys=True, ensure_ascii=False, allow_nan=False)
    return Snapshot(about, whole, hashlib.sha256(text.encode()).hexdigest())


def _without_hours(whole: dict[str, Any], facts: Facts) -> None:
    """Take out what would be another number an hour later."""
    for key in ("good_until_h", "good_until", "lost_after"):
        del whole["holding"][key]
    for clock in whole["clocks"]:
        for key in ("left_h", "state"):
            clock.pop(key, None)
    if facts.wet_since is not None:
        del whole["facts"]["hours_wet"]
        if facts.known_by.get("under_water_h") == "assumed":
            del whole["facts"]["under_water_h"]
