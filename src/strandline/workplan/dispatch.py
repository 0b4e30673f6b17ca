"""The list scheduler: whenever hands and a place are free, the most pressing operation that fits is begun.

Event-driven; plain Python.  It never leaves hands idle that could do something, and looks at the keys anew
at the beginning of shifts and once an hour on the first two days.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from typing import Literal

from strandline.things.work import Placed, Problem
from strandline.workplan.needs import cheap_count, span_min
from strandline.workplan.priority import Priority

Phase = Literal["now", "cheap", "dear"]
QueueKey = tuple[Phase, str, int, str]
"""Phase, role, people, station."""
Item = tuple[float, float, int, str, int]
"""Key of the job or its tray, key of the job, minus significance, tag, number of the job."""

FIRST_DAYS_MIN = 48 * 60.0
EVERY_MIN = 60.0
EPS = 1e-9
NEVER = float("inf")


@dataclass(slots=True)
class Queue:
    """Ready operations that need the same hands and place, most pressing first.

    ``too_long``: no item fits into that many minutes; scanning again is of no use until one is added.
    """

    key: QueueKey
    items: list[Item]
    too_long: float = -1.0


class Dispatch:
    """One run.  ``can``: how many operations of each job may be placed at all."""

    def __init__(self, problem: Problem, priority: Priority, can: Sequence[int]) -> None:
        self.problem, self.priority = problem, priority
        crew = problem.crew
        self.end_min = 60.0 * problem.horizon_h
        self.next_op = [0] * len(problem.jobs)
        self.spans = [tuple(span_min(op, crew.pace) for op in job.ops) for job in problem.jobs]
        self.cheap = [cheap_count(job) for job in problem.jobs]
        self.free_conservators = list(range(crew.conservators))
        self.free_helpers = list(range(crew.conservators, crew.conservators + crew.helpers))
        self.places = {s.key: NEVER if s.places is None else float(s.places) for s in problem.stations}
        self.queues: dict[QueueKey, Queue] = {}
        self.placed: list[Placed] = []
        self.events: list[tuple[float, int, int, tuple[int, ...]]] = []
        self.can = can
        self.to_do = sum(1 for count in can if count)
        self.keys = priority.at(0.0, self.next_op)

    # Kinds of event, in the order in which those of one moment are taken.
    PLACE, PEOPLE, READY, SHIFT, RANK = range(5)

    def run(self) -> list[Placed]:
        """Place what can be placed before the horizon."""
        for job, count in enumerate(self.can):
            if count:
                self._ready(job)
        self._calendar()
        shift_end = 0.0
        while self.events and self.to_do:
            now = self.events[0][0]
            ranked = False
            while self.events and self.events[0][0] <= now + EPS:
                _, kind, number, people = heappop(self.events)
                if kind == self.SHIFT:
                    shift_end = min(self.end_min, self.problem.crew.shifts[number].end_min)
                ranked = ranked or kind in (self.SHIFT, self.RANK)
                self._take(kind, number, people)
            if ranked and self.priority.changes:
                self._rank(now)
            if now < shift_end - EPS:
                self._begin_all(now, shift_end - now)
        return self.placed

    def _calendar(self) -> None:
        for number, shift in enumerate(self.problem.crew.shifts):
            if shift.start_min >= self.end_min:
                break
            heappush(self.events, (shift.start_min, self.SHIFT, number, ()))
            length = shift.end_min - shift.start_min
            every = EVERY_MIN if shift.start_min < FIRST_DAYS_MIN else max(EVERY_MIN, length / 2)
            at = shift.start_min + every
            while at < shift.end_min - EPS:
                heappush(self.events, (at, self.RANK, number, ()))
                at += every

    def _take(self, kind: int, number: int, people: tuple[int, ...]) -> None:
        if kind == self.READY:
            self._ready(number)
        elif kind == self.PLACE:
            job, op = self.problem.jobs[number], people[0]
            self.places[job.ops[op].station] += 1
        elif kind == self.PEOPLE:
            for person in people:
                conservator = person < self.problem.crew.conservators
                heappush(self.free_conservators if conservator else self.free_helpers, person)

    def _phase(self, job: int) -> Phase:
        if self.problem.jobs[job].now and self.next_op[job] <= self.problem.jobs[job].stable_after:
            return "now"
        return "cheap" if self.next_op[job] < self.cheap[job] else "dear"

    def _item(self, job: int, phase: Phase) -> Item:
        own, shared = self.keys
        one = self.problem.jobs[job]
        first = own[job] if self.next_op[job] < self.cheap[job] else shared[job]
        return (first, own[job], -one.significance, one.tag, job)

    def _ready(self, job: int) -> None:
        op = self.problem.jobs[job].ops[self.next_op[job]]
        phase = self._phase(job)
        key: QueueKey = (phase, op.role, op.people, op.station)
        queue = self.queues.setdefault(key, Queue(key, []))
        heappush(queue.items, self._item(job, phase))
        queue.too_long = -1.0

    def _rank(self, now: float) -> None:
        self.keys = self.priority.at(now, self.next_op)
        for queue in self.queues.values():
            queue.items = [self._item(item[-1], queue.key[0]) for item in queue.items]
            heapify(queue.items)
            queue.too_long = -1.0

    def _begin_all(self, now: float, left_min: float) -> None:
        while self.free_conservators or self.free_helpers:
            found = self._most_pressing(now, left_min)
            if found is None:
                return
            queue, item = found
            if queue.items[0] is item:
                heappop(queue.items)
            else:
                queue.items.remove(item)
                heapify(queue.items)
            self._begin(item[-1], now)

    def _most_pressing(self, now: float, left_min: float) -> tuple[Queue, Item] | None:
        """The best operation that hands, place and shift allow, over all queues.

        A conservator takes a helper's step only where none of the same or an earlier phase wants one.
        """
        rank = {"now": 0, "cheap": 1, "dear": 2 if now < 60.0 * self.problem.cheap_first_h - EPS else 1}
        conservators, helpers = len(self.free_conservators), len(self.free_helpers)
        wanted = 9
        best: tuple[tuple[int, Item], Queue] | None = None
        lent: list[tuple[tuple[int, Item], Queue]] = []
        for queue in self.queues.values():
            phase, role, people, station = queue.key
            if not queue.items or people > conservators + helpers or self.places[station] < 1:
                continue
            if role == "conservator" and not conservators:
                continue
            item = self._fitting(queue, left_min)
            if item is None:
                continue
            candidate = ((rank[phase], item), queue)
            if role == "conservator":
                wanted = min(wanted, rank[phase])
            elif people > helpers:
                lent.append(candidate)
                continue
            if best is None or candidate[0] < best[0]:
                best = candidate
        for candidate in lent:
            if candidate[0][0] < wanted and (best is None or candidate[0] < best[0]):
                best = candidate
        return None if best is None else (best[1], best[0][1])

    def _fitting(self, queue: Queue, left_min: float) -> Item | None:
        """The most pressing item of a queue that ends within the shift."""
        if left_min <= queue.too_long:
            return None
        head = queue.items[0]
        if self.spans[head[-1]][self.next_op[head[-1]]] <= left_min + EPS:
            return head
        fits = [i for i in queue.items if self.spans[i[-1]][self.next_op[i[-1]]] <= left_min + EPS]
        if fits:
            return min(fits)
        queue.too_long = left_min
        return None

    def _begin(self, job: int, now: float) -> None:
        one = self.problem.jobs[job]
        number = self.next_op[job]
        op = one.ops[number]
        end = now + self.spans[job][number]
        people = self._hands(op.role == "conservator", op.people)
        self.placed.append(Placed(one.tag, number, now, end, people, op.station))
        self.places[op.station] -= 1
        heappush(self.events, (end, self.PEOPLE, job, people))
        freed = end + 60.0 * op.wait_h
        heappush(self.events, (freed, self.PLACE, job, (number,)))
        self.next_op[job] = number + 1
        if number + 1 < self.can[job]:
            heappush(self.events, (freed, self.READY, job, ()))
        else:
            self.to_do -= 1

    def _hands(self, conservator: bool, people: int) -> tuple[int, ...]:
        taken = [heappop(self.free_conservators)] if conservator else []
        while len(taken) < people:
            taken.append(heappop(self.free_helpers if self.free_helpers else self.free_conservators))
        return tuple(sorted(taken))
