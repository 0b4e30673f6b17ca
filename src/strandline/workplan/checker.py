"""Verifies a schedule against its problem.  Shares no code with any solver: it reads the definitions only."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from strandline.things.work import TRAY_STEPS, Job, Op, Placed, Problem, Schedule

EPS_MIN = 1e-6
LOSS_REL = 1e-9


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing wrong: ``code`` of the rule, the tag ('' for the whole), and what is wrong."""

    code: str
    tag: str
    text: str


def check(problem: Problem, schedule: Schedule) -> tuple[Finding, ...]:
    """Everything wrong with a schedule; empty if all holds."""
    return tuple(_Check(problem, schedule).findings())


class _Check:
    def __init__(self, problem: Problem, schedule: Schedule) -> None:
        self.problem, self.schedule = problem, schedule
        self.jobs = {job.tag: job for job in problem.jobs}
        self.cheap = {job.tag: _leading_cheap(job) for job in problem.jobs}
        self.known: list[tuple[Placed, Job, Op]] = []
        self.strange: list[Placed] = []
        for one in schedule.placed:
            job = self.jobs.get(one.tag)
            if job is None or not 0 <= one.op < len(job.ops):
                self.strange.append(one)
            else:
                self.known.append((one, job, job.ops[one.op]))
        self.at = {(one.tag, one.op): one for one, _, _ in self.known}
        self.out = {one.tag: one for one in schedule.unplaced}

    def findings(self) -> Iterator[Finding]:
        for one in self.strange:
            yield Finding("unknown", one.tag, f"operation {one.op} is not in the problem")
        yield from self._each()
        yield from self._whole()
        yield from self._chains()
        yield from self._stops()
        yield from self._people()
        yield from self._stations()
        yield from self._reasons()
        yield from self._order()
        yield from self._trays()
        # With broken placements these two would only repeat what is already said.
        if not self.strange:
            yield from self._cheap_first()
            yield from self._losses()

    def _each(self) -> Iterator[Finding]:
        crew = self.problem.crew
        starts = [shift.start_min for shift in crew.shifts]
        for one, _, op in self.known:
            if abs((one.end_min - one.start_min) - op.minutes / crew.pace) > EPS_MIN:
                yield Finding("length", one.tag, f"{op.step} must take {op.minutes / crew.pace:g} min")
            if one.station != op.station:
                yield Finding("station", one.tag, f"{op.step} belongs to {op.station}, not {one.station}")
            number = bisect_right(starts, one.start_min + EPS_MIN) - 1
            if number < 0 or one.end_min > crew.shifts[number].end_min + EPS_MIN:
                yield Finding("shift", one.tag, f"{op.step} is not inside one shift")
            if one.end_min > 60.0 * self.problem.horizon_h + EPS_MIN:
                yield Finding("horizon", one.tag, f"{op.step} ends beyond the horizon")
            if len(set(one.people)) != op.people or len(one.people) != op.people:
                yield Finding("people", one.tag, f"{op.step} needs {op.people} different people")
            if any(not 0 <= person < crew.conservators + crew.helpers for person in one.people):
                yield Finding("people", one.tag, f"{op.step} is given to somebody who is not there")
            if op.role == "conservator" and not any(0 <= p < crew.conservators for p in one.people):
                yield Finding("role", one.tag, f"{op.step} needs a conservator")

    def _whole(self) -> Iterator[Finding]:
        times = Counter((one.tag, one.op) for one, _, _ in self.known)
        for (tag, number), count in times.items():
            if count > 1:
                yield Finding("twice", tag, f"operation {number} is placed {count} times")
        for job in self.problem.jobs:
            have = sorted(number for tag, number in times if tag == job.tag)
            if have != list(range(len(have))):
                yield Finding("missing", job.tag, "an operation is placed before one that is not")
            elif job.tag not in self.out and len(have) < len(job.ops):
                yield Finding("missing", job.tag, "not wholly placed and no reason given")

    def _chains(self) -> Iterator[Finding]:
        for one, job, _ in self.known:
            before = self.at.get((one.tag, one.op - 1))
            if before is None:
                continue
            if one.start_min < before.end_min - EPS_MIN:
                yield Finding("precedence", one.tag, f"operation {one.op} begins before {one.op - 1} ends")
            elif one.start_min < before.end_min + 60.0 * job.ops[one.op - 1].wait_h - EPS_MIN:
                yield Finding("wait", one.tag, f"operation {one.op} does not wait for {one.op - 1}")

    def _stops(self) -> Iterator[Finding]:
        stopped = [job.tag for job in self.problem.jobs if job.stop]
        for one, job, op in self.known:
            if job.stop:
                yield Finding("stop", one.tag, f"{op.step} is given to hands under a stop")
        if sorted(self.schedule.announced) != sorted(stopped):
            yield Finding("stop", "", "the stops announced are not those of the problem")

    def _people(self) -> Iterator[Finding]:
        busy: dict[int, list[Placed]] = defaultdict(list)
        for one, _, _ in self.known:
            for person in one.people:
                busy[person].append(one)
        for person, work in busy.items():
            work.sort(key=lambda one: (one.start_min, one.end_min))
            for first, second in pairwise(work):
                if second.start_min < first.end_min - EPS_MIN:
                    yield Finding("person", second.tag, f"person {person} is still with {first.tag}")

    def _stations(self) -> Iterator[Finding]:
        for station in self.problem.stations:
            if station.places is None:
                continue
            changes: list[tuple[float, int, str]] = []
            for one, _, op in self.known:
                if one.station == station.key:
                    changes.append((one.start_min + EPS_MIN, 1, one.tag))
                    changes.append((one.end_min + 60.0 * op.wait_h, -1, one.tag))
            held = 0
            for _, change, tag in sorted(changes):
                held += change
                if change > 0 and held > station.places:
                    yield Finding("places", tag, f"{station.key} holds {held}, has {station.places}")

    def _reasons(self) -> Iterator[Finding]:
        if len(self.out) != len(self.schedule.unplaced):
            yield Finding("unplaced", "", "an object is listed as unplaced twice")
        for tag, one in self.out.items():
            job = self.jobs.get(tag)
            if job is None:
                yield Finding("unplaced", tag, "is not in the problem")
            elif not one.say or not self._true(job, one.reason):
                yield Finding("unplaced", tag, f"the reason {one.reason!r} does not hold")
        for job in self.problem.jobs:
            if (job.stop or not job.ops) and job.tag not in self.out:
                yield Finding("unplaced", job.tag, "has nothing for hands, and is not listed with a reason")

    def _true(self, job: Job, reason: str) -> bool:
        crew = self.problem.crew
        if reason == "stop":
            return bool(job.stop)
        if reason == "no_steps":
            return not job.ops
        if reason == "no_station":
            return any(op.station not in {s.key for s in self.problem.stations} for op in job.ops)
        if reason == "no_people":
            return any(
                op.people > crew.conservators + crew.helpers
                or (op.role == "conservator" and crew.conservators == 0)
                for op in job.ops
            )
        if reason == "longer_than_shift":
            longest = max((shift.end_min - shift.start_min for shift in crew.shifts), default=0.0)
            return any(op.minutes / crew.pace > longest for op in job.ops)
        done = sum(1 for number in range(len(job.ops)) if (job.tag, number) in self.at)
        return reason == "horizon" and not job.stop and done < len(job.ops)

    def _order(self) -> Iterator[Finding]:
        first: dict[str, float] = {}
        for job in self.problem.jobs:
            cheap = self.cheap[job.tag]
            one = self.at.get((job.tag, cheap if cheap < len(job.ops) else 0))
            if one is not None and job.tag not in self.out:
                first[job.tag] = one.start_min
        order = self.schedule.order
        if sorted(order) != sorted(first):
            yield Finding("order", "", "the order does not hold each wholly placed tag once")
            return
        for before, after in pairwise(order):
            if first[after] < first[before] - EPS_MIN:
                yield Finding("order", after, f"begins before {before} but stands behind it")

    def _trays(self) -> Iterator[Finding]:
        seen: set[str] = set()
        for tray in self.schedule.trays:
            jobs = [self.jobs[tag] for tag in tray.tags if tag in self.jobs and tag not in self.out]
            if len(jobs) != len(tray.tags) or seen & set(tray.tags) or len(set(tray.tags)) < len(tray.tags):
                yield Finding("tray", "", f"tray {tray.n} holds what is not placed, or placed on another")
            seen |= set(tray.tags)
            if len(tray.tags) > self.problem.tray_size:
                yield Finding("tray", "", f"tray {tray.n} holds more than {self.problem.tray_size}")
            likeness = {(self._next_dear(job), job.zone, job.now) for job in jobs}
            if len(likeness) > 1:
                yield Finding("tray", "", f"tray {tray.n} mixes things of unlike steps, zone or phase")

    def _next_dear(self, job: Job) -> tuple[tuple[str, str, str], ...]:
        start = self.cheap[job.tag]
        return tuple((op.step, op.station, op.role) for op in job.ops[start : start + TRAY_STEPS])

    def _cheap_first(self) -> Iterator[Finding]:
        until = 60.0 * self.problem.cheap_first_h
        moments: dict[float, list[Placed]] = defaultdict(list)
        for one, job, _ in self.known:
            exempt = job.now and one.op <= job.stable_after
            if one.op >= self.cheap[one.tag] and not exempt and one.start_min < until - EPS_MIN:
                moments[one.start_min].append(one)
        if moments:
            waiting = self._cheap_waiting()
            for moment in sorted(moments):
                yield from self._passed_over(moment, moments[moment], waiting)

    def _cheap_waiting(self) -> list[tuple[float, float, Job, Op]]:
        """Each cheap operation that hands could do: from when it stands ready, and when it begins."""
        found = []
        for job in self.problem.jobs:
            if job.stop:
                continue
            for number in range(self.cheap[job.tag]):
                ready = 0.0
                if number:
                    before = self.at.get((job.tag, number - 1))
                    if before is None:
                        break
                    ready = before.end_min + 60.0 * job.ops[number - 1].wait_h
                one = self.at.get((job.tag, number))
                begins = float("inf") if one is None else one.start_min
                found.append((ready, begins, job, job.ops[number]))
        return found

    def _passed_over(
        self, moment: float, dear: list[Placed], waiting: list[tuple[float, float, Job, Op]]
    ) -> Iterator[Finding]:
        """Cheap steps that the hands of ``dear``, and idle ones, could have begun at ``moment``."""
        ready = [
            (job, op)
            for since, begins, job, op in waiting
            if since <= moment - EPS_MIN and begins > moment + EPS_MIN
        ]
        if not ready:
            return
        crew = self.problem.crew
        others = [o for o, _, _ in self.known if o.start_min <= moment + EPS_MIN and o not in dear]
        busy = {p for o in others if o.end_min > moment + EPS_MIN for p in o.people}
        hands = [p for p in range(crew.conservators + crew.helpers) if p not in busy]
        held = Counter(
            o.station
            for o in others
            if o.end_min + 60.0 * self.jobs[o.tag].ops[o.op].wait_h > moment + EPS_MIN
        )
        ends = [s.end_min for s in crew.shifts if s.start_min <= moment + EPS_MIN]
        left = min(ends[-1] if ends else moment, 60.0 * self.problem.horizon_h) - moment
        places = {s.key: s.places for s in self.problem.stations}
        for job, op in ready:
            if op.station not in places or op.people > len(hands) or op.minutes / crew.pace > left + EPS_MIN:
                continue
            number = places[op.station]
            if number is not None and held[op.station] >= number:
                continue
            if op.role == "conservator" and not any(p < crew.conservators for p in hands):
                continue
            yield Finding("cheap_first", dear[0].tag, f"begun while {op.step} of {job.tag} stood ready")
            return

    def _losses(self) -> Iterator[Finding]:
        horizon, total, nothing = self.problem.horizon_h, 0.0, 0.0
        for job in self.problem.jobs:
            stable = self.at.get((job.tag, job.stable_after))
            until = horizon if stable is None else min(horizon, stable.end_min / 60.0)
            total += job.weight * _lost(job, until)
            nothing += job.weight * _lost(job, horizon)
        for said, found, what in (
            (self.schedule.loss, total, "expected loss"),
            (self.schedule.loss_if_nothing, nothing, "loss if nothing is done"),
        ):
            if abs(said - found) > LOSS_REL * max(1.0, abs(found)):
                yield Finding("loss", "", f"{what} is {found:.9g}, not {said:.9g}")
        bound = self.schedule.bound
        if bound is not None and bound > total + LOSS_REL * max(1.0, total):
            yield Finding("loss", "", "the bound lies above the loss")


def _leading_cheap(job: Job) -> int:
    kinds = [op.kind in ("cheap", "look") for op in job.ops]
    return kinds.index(False) if False in kinds else len(kinds)


def _lost(job: Job, at_h: float) -> float:
    kept = 1.0
    for loss in job.losses:
        share = 0.0
        points = [(0.0, 0.0), *loss.points]
        for (x0, y0), (x1, y1) in pairwise(points):
            reached = 1.0 if at_h >= x1 else max(0.0, (at_h - x0) / (x1 - x0))
            share += (y1 - y0) * reached
        kept *= 1.0 - share
    return 1.0 - kept
