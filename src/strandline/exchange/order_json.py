"""``strandline.order/1``: an order of work as JSON.  docs/order.md is the contract."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from importlib.resources import files
from typing import Any

from strandline.things.work import Job, Placed, Problem, Schedule, Unplaced, Why

SCHEMA = "strandline.order/1"
UNIT = "weight units: an object of significance 1 wholly lost is 1, each step of significance doubles it"


def order_document(
    problem: Problem, schedule: Schedule, why: Mapping[str, Why], made_by: Mapping[str, Any]
) -> dict[str, Any]:
    """The whole document, ready for ``json.dumps``.

    ``why`` holds a sentence for each tag in the schedule's order; KeyError where one is missing.
    """
    jobs = {job.tag: job for job in problem.jobs}
    steps = _steps(jobs, schedule.placed)
    tray_of = {tag: tray.n for tray in schedule.trays for tag in tray.tags}
    return {
        "schema": SCHEMA,
        "made_by": dict(made_by),
        "as_of": _iso(problem.start),
        "status": schedule.status,
        "rule": schedule.rule,
        "seed": schedule.seed,
        "seconds": None if schedule.seconds is None else round(schedule.seconds, 3),
        "loss": _loss(problem, schedule),
        "bound": None if schedule.bound is None else round(schedule.bound, 4),
        "bound_note": schedule.bound_note,
        "crew": _crew(problem),
        "stations": {station.key: station.places for station in problem.stations},
        "rows": [
            _row(place, jobs[tag], why[tag], tray_of.get(tag), steps.get(tag, []))
            for place, tag in enumerate(schedule.order, start=1)
        ],
        "stops": [_stop(jobs[tag]) for tag in schedule.announced],
        "unplaced": [_unplaced(one, jobs[one.tag], steps.get(one.tag, [])) for one in schedule.unplaced],
        "trays": [_tray(tray.n, tray.tags, jobs, why) for tray in schedule.trays],
    }


def order_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) that ships with the package."""
    text = files("strandline.exchange").joinpath("schemas", "order.1.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def _loss(problem: Problem, schedule: Schedule) -> dict[str, Any]:
    return {
        "expected": round(schedule.loss, 4),
        "if_nothing_done": round(schedule.loss_if_nothing, 4),
        "total_weight": round(sum(job.weight for job in problem.jobs), 4),
        "unit": UNIT,
    }


def _crew(problem: Problem) -> dict[str, Any]:
    crew = problem.crew
    first = crew.shifts[0] if crew.shifts else None
    return {
        "conservators": crew.conservators,
        "helpers": crew.helpers,
        "pace": round(crew.pace, 4),
        "shifts": len(crew.shifts),
        "first_shift_h": _hours(first.end_min - first.start_min) if first else None,
    }


def _steps(jobs: Mapping[str, Job], placed: Sequence[Placed]) -> dict[str, list[dict[str, Any]]]:
    """Placed steps of each tag, in chain order."""
    found: dict[str, list[dict[str, Any]]] = {}
    for one in sorted(placed, key=lambda p: (p.tag, p.op)):
        op = jobs[one.tag].ops[one.op]
        found.setdefault(one.tag, []).append(
            {
                "key": op.step,
                "station": one.station,
                "start_h": _hours(one.start_min),
                "minutes": round(op.minutes, 1),
                "role": op.role,
                "people": list(one.people),
            }
        )
    return found


def _row(place: int, job: Job, why: Why, tray: int | None, steps: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "place": place,
        "tag": job.tag,
        "title": job.title,
        "phase": "now" if job.now else "in_turn",
        "why": why.why,
        "say": why.say,
        "half_day": why.half_day,
        "tray": tray,
        "steps": steps,
        "hours_left": None if job.hours_left is None else round(job.hours_left, 2),
        "good_until": None if job.good_until is None else _iso(job.good_until),
    }


def _stop(job: Job) -> dict[str, Any]:
    return {
        "tag": job.tag,
        "title": job.title,
        "hazard": job.stop,
        "say": job.stop_say,
        "release": job.release,
    }


def _unplaced(one: Unplaced, job: Job, steps: list[dict[str, Any]]) -> dict[str, Any]:
    return {"tag": one.tag, "title": job.title, "reason": one.reason, "say": one.say, "steps": steps}


def _tray(n: int, tags: tuple[str, ...], jobs: Mapping[str, Job], why: Mapping[str, Why]) -> dict[str, Any]:
    """A tray, with the steps that all its members have, in the first one's order."""
    first = jobs[tags[0]]
    common = [op.step for op in first.ops if all(op.step in {o.step for o in jobs[t].ops} for t in tags)]
    return {
        "n": n,
        "tags": list(tags),
        "steps": common,
        "zone": first.zone or None,
        "half_day": min(why[tag].half_day for tag in tags),
    }


def _iso(moment: datetime) -> str:
    return moment.isoformat()


def _hours(minutes: float) -> float:
    return round(minutes / 60.0, 2)
