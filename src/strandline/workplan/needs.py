"""What a job still needs of the scarcest thing, and how soon it could be stable."""

from __future__ import annotations

from dataclasses import dataclass

from strandline.things.work import CHEAP_KINDS, Crew, Job, Op, Problem, Reason, Unplaced

LEAST_NEED_MIN = 1e-6
"""So that a job that needs nothing more has an index; minutes."""


def span_min(op: Op, pace: float) -> float:
    """Minutes of a shift that an operation fills."""
    return op.minutes / pace


def cheap_count(job: Job) -> int:
    """How many operations at the head of the chain are cheap."""
    count = 0
    while count < len(job.ops) and job.ops[count].kind in CHEAP_KINDS:
        count += 1
    return count


class Needs:
    """What is needed from an operation on until the losses stop; 0 beyond that.

    ``need_min``: minutes of the scarcest resource over how many there are of it.  ``tail_h``: hours at least.
    """

    def __init__(self, problem: Problem) -> None:
        self._people = max(1, problem.crew.conservators + problem.crew.helpers)
        self._conservators = max(1, problem.crew.conservators)
        self._pace = problem.crew.pace
        self._places = {station.key: station.places for station in problem.stations}

    def of(self, job: Job) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """``need_min`` and ``tail_h`` per operation."""
        need = [0.0] * len(job.ops)
        tail = [0.0] * len(job.ops)
        used: dict[str, float] = {}
        length_min = 0.0
        for number in range(min(job.stable_after, len(job.ops) - 1), -1, -1):
            op = job.ops[number]
            span = span_min(op, self._pace)
            stand = 0.0 if number == job.stable_after else 60.0 * op.wait_h
            length_min += span + stand
            self._add(used, op, span)
            need[number] = max(LEAST_NEED_MIN, *used.values())
            tail[number] = length_min / 60.0
        return tuple(need), tuple(tail)

    def _add(self, used: dict[str, float], op: Op, span: float) -> None:
        used["hands"] = used.get("hands", 0.0) + span * op.people / self._people
        if op.role == "conservator":
            used["conservator"] = used.get("conservator", 0.0) + span / self._conservators
        places = self._places.get(op.station)
        if places is not None:
            key = f"station {op.station}"
            used[key] = used.get(key, 0.0) + (span + 60.0 * op.wait_h) / places


@dataclass(frozen=True, slots=True)
class Barred:
    """A job that no order can hold wholly: why, and how many of its first operations can still be done."""

    why: Unplaced
    can: int


def barred(problem: Problem) -> dict[str, Barred]:
    """Jobs that no order can hold wholly, by tag.  What comes before the impossible step is still done."""
    found = {}
    longest = max((s.end_min - s.start_min for s in problem.crew.shifts), default=0.0)
    stations = {station.key for station in problem.stations}
    for job in problem.jobs:
        if job.stop:
            say = f"Under a stop ({job.stop.replace('_', ' ')}): not for hands until its release is recorded."
            found[job.tag] = Barred(Unplaced(job.tag, "stop", say), 0)
        elif not job.ops:
            found[job.tag] = Barred(Unplaced(job.tag, "no_steps", "Its plan has no step for hands."), 0)
        else:
            for number, op in enumerate(job.ops):
                why = _why_not(op, problem.crew, stations, longest)
                if why is not None:
                    found[job.tag] = Barred(Unplaced(job.tag, *why), number)
                    break
    return found


def _why_not(op: Op, crew: Crew, stations: set[str], longest_min: float) -> tuple[Reason, str] | None:
    if op.station not in stations:
        return "no_station", f"There is no place called {op.station!r} for step {op.step!r}."
    short = op.people > crew.conservators + crew.helpers
    if short or (op.role == "conservator" and crew.conservators < 1):
        return "no_people", f"Step {op.step!r} needs {op.people} with role {op.role}; the crew has not."
    if span_min(op, crew.pace) > longest_min + 1e-9:
        return "longer_than_shift", f"Step {op.step!r} does not fit into any shift."
    return None
