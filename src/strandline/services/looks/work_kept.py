"""A kept plan read back: as an object of ``strandline.care/1`` with its hours, and as a plan to order."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from strandline.exchange.care_json import number, stamp
from strandline.papers import when
from strandline.records.models.objects import Object
from strandline.records.models.plans import PlanSnapshot
from strandline.services.looks.things_hours import Hours, hours_at
from strandline.services.looks.things_plan import named, overrides
from strandline.things.facts import Facts, Part
from strandline.things.plan import Clock, Hazard, Holding, Plan, Step


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """The newest plan of a thing, its hours at a moment, and the keys of steps that need nobody any more."""

    thing: Object
    plan: PlanSnapshot
    hours: Hours
    ended: tuple[str, ...]

    @classmethod
    def at(cls, thing: Object, plan: PlanSnapshot, ended: Collection[str], at: datetime) -> KeptPlan:
        """The plan with what is left of its hours at ``at`` (aware)."""
        return cls(thing, plan, hours_at(plan.facts, plan.result, at), tuple(sorted(ended)))

    def care(self, at: datetime) -> dict[str, Any]:
        """The object of ``strandline.care/1``, people by name; its overrides as papers print them."""
        thing, hours = self.thing, self.hours
        result = named(self.plan.result)
        holding = {
            **result["holding"],
            "good_until_h": number(hours.good_until_h),
            "good_until": stamp(hours.good_until),
            "lost_after": hours.lost_after,
        }
        about = self.plan.facts
        return {
            **about,
            **result,
            "facts": {**about["facts"], "hours_wet": _hours_wet(about, at)},
            "row": thing.list_row,
            "owner": thing.owner.name if thing.owner else "",
            "place": thing.place.name if thing.place else thing.listed_place,
            "clocks": list(hours.clocks),
            "hours_left": number(hours.hours_left),
            "holding": holding,
            "overrides": [
                {"target": one["rule"], "value": one["level"], "reason": one["reason"], "person": one["who"]}
                for one in overrides(thing, self.plan, result)
            ],
            "plan_no": self.plan.number,
        }

    def to_order(self) -> tuple[Facts, Plan]:
        """Facts and plan as far as the order of work asks for them, without the steps that have ended."""
        result, hours = self.plan.result, self.hours
        clocks = tuple(_clock(one) for one in hours.clocks)
        steps = tuple(_step(one) for one in result["steps"] if one["key"] not in self.ended)
        holding = Holding(
            tuple(result["holding"]["do"]), hours.good_until_h, hours.good_until, hours.lost_after
        )
        plan = Plan(
            parts={}, hazards=tuple(_hazard(one) for one in result["hazards"]), actions={},
            route=result["route"], route_because=(), zone=result["zone"], cover=None, limits={},
            limits_because={}, clocks=clocks, start_by=clocks[0] if clocks else None, holding=holding,
            steps=steps, conflicts=(), disagreements=(), assumed=(), hours_left=hours.hours_left,
        )  # fmt: skip
        return self._facts(), plan

    def _facts(self) -> Facts:
        parts = tuple(
            Part(part["id"], part["name"], part["material"], part["family"], span=part["span"])
            for part in self.plan.result["parts"]
        )
        thing = self.thing
        return Facts(thing.tag, thing.list_row, thing.title, parts=parts, significance=thing.significance)


def _hours_wet(about: Mapping[str, Any], at: datetime) -> float | None:
    since = when.read(about["facts"].get("wet_since"))
    if since is None:
        known: float | None = about["facts"].get("hours_wet")
        return known
    return round((at - since).total_seconds() / 3600, 2)


def _clock(one: Mapping[str, Any]) -> Clock:
    return Clock(
        one["key"], one["origin"], one["at_h"], one["aim_h"], one["shape"], one["part"], (),
        one["lost_after"], one["left_h"], one["state"],
    )  # fmt: skip


def _hazard(one: Mapping[str, Any]) -> Hazard:
    return Hazard(
        one["key"], one["grade"], one["scope"], one["say"], (), one.get("keep_m"), one.get("call", "")
    )


def _step(one: Mapping[str, Any]) -> Step:
    return Step(
        n=one["n"], key=one["key"], action=one["action"], kind=one["kind"], parts=tuple(one["parts"]),
        text=one["text"], role=one["role"], people=one["people"], minutes=one["minutes"],
        station=one["station"], rules=tuple(one["rules"]),
    )  # fmt: skip
