"""Which object is the most pressing: the apparent tardiness cost index, and plain orders to compare with.

Vepsäläinen and Morton 1987 (m) weigh weight over processing time by the exponential of the slack.  Here the
tardiness is any loss curve, and processing time is the need of the scarcest resource.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from typing import Protocol

from strandline.things.work import TRAY_STEPS, Job, Problem
from strandline.workplan.loss import cost_of_waiting
from strandline.workplan.needs import Barred, Needs, cheap_count

DIGITS = 10
"""Significant digits that count; beyond them equals would be told apart by how sums are rounded."""
TRAY_AHEAD_H = 12.0
"""Look-ahead, in hours, for putting objects on trays."""
ALIKE = 0.5
"""Objects share a tray while their index is at least this part of the tray's first one."""


class Priority(Protocol):
    """Ranks objects.  Sort keys are per job, smallest first, to be compared between jobs only."""

    trays: list[list[int]]
    changes: bool

    def at(self, now_min: float, next_op: Sequence[int]) -> tuple[list[float], list[float]]:
        """Key for cheap steps and key for dear steps of each job, given its next operation."""
        ...


class Apparent:
    """Apparent tardiness cost looking ``ahead_h`` hours ahead."""

    changes = True

    def __init__(self, problem: Problem, ahead_h: float, left_out: Mapping[str, Barred]) -> None:
        self._jobs = problem.jobs
        self._ahead_h = ahead_h
        needs = Needs(problem)
        self._needs = [needs.of(job) for job in problem.jobs]
        # No hands can end the losses of these, so waiting costs them nothing more.
        self._lost = [
            job.tag in left_out and job.stable_after >= left_out[job.tag].can for job in problem.jobs
        ]
        self._tray_of = [-1] * len(problem.jobs)
        # By one look-ahead for all, so that trays do not change with the one that is tried.
        own = self._own(0.0, [0] * len(problem.jobs), TRAY_AHEAD_H)[2]
        self.trays = make_trays(problem, own, left_out)
        for number, members in enumerate(self.trays):
            for member in members:
                self._tray_of[member] = number

    def at(self, now_min: float, next_op: Sequence[int]) -> tuple[list[float], list[float]]:
        """Negative index of each job, and of its tray."""
        saved, need, own = self._own(now_min, next_op, self._ahead_h)
        tray_saved = [0.0] * len(self.trays)
        tray_need = [0.0] * len(self.trays)
        for job, tray in enumerate(self._tray_of):
            if tray >= 0 and need[job] > 0:
                tray_saved[tray] += saved[job]
                tray_need[tray] += need[job]
        trays = [_rounded(-a / b) if b > 0 else 0.0 for a, b in zip(tray_saved, tray_need, strict=True)]
        alone = [_rounded(-one) for one in own]
        shared = [
            trays[tray] if tray >= 0 and need[job] > 0 else alone[job]
            for job, tray in enumerate(self._tray_of)
        ]
        return alone, shared

    def _own(
        self, now_min: float, next_op: Sequence[int], ahead_h: float
    ) -> tuple[list[float], list[float], list[float]]:
        """Weighted cost of waiting, need, and their quotient per job; all 0 once it is stable."""
        saved, need, own = [], [], []
        now_h = now_min / 60.0
        for job, following, (needs, tails), lost in zip(
            self._jobs, next_op, self._needs, self._lost, strict=True
        ):
            if lost or not job.ops or following > job.stable_after:
                cost, least = 0.0, 0.0
            else:
                from_h = now_h + tails[following]
                cost = job.weight * sum(cost_of_waiting(loss.points, from_h, ahead_h) for loss in job.losses)
                least = needs[following]
            saved.append(cost)
            need.append(least)
            own.append(cost / least if least > 0 else 0.0)
        return saved, need, own


def _rounded(index: float) -> float:
    return float(f"{index:.{DIGITS}g}")


class Listed:
    """A fixed order: as listed, or shuffled with a seed.  Only for comparison."""

    changes = False

    def __init__(self, problem: Problem, seed: int | None) -> None:
        places = list(range(len(problem.jobs)))
        if seed is not None:
            random.Random(seed).shuffle(places)
        self._keys = [float(place) for place in places]
        self.trays: list[list[int]] = []

    def at(self, now_min: float, next_op: Sequence[int]) -> tuple[list[float], list[float]]:
        """The same place at any time."""
        return self._keys, self._keys


def make_trays(problem: Problem, own: Sequence[float], left_out: Mapping[str, Barred]) -> list[list[int]]:
    """Objects that are alike, cut where the index halves or the tray is full."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for number, job in enumerate(problem.jobs):
        if job.tag not in left_out:
            groups.setdefault(likeness(job), []).append(number)
    trays: list[list[int]] = []
    for members in groups.values():
        members.sort(key=lambda n: (-own[n], -problem.jobs[n].significance, problem.jobs[n].tag))
        tray: list[int] = []
        for member in members:
            if tray and (len(tray) == problem.tray_size or own[member] < ALIKE * own[tray[0]]):
                trays.append(tray)
                tray = []
            tray.append(member)
        trays.append(tray)
    return trays


def likeness(job: Job) -> tuple[object, ...]:
    """What objects of one tray have in common: next dear steps, where, by whom, zone, and their phase."""
    first = cheap_count(job)
    following = tuple((op.step, op.station, op.role) for op in job.ops[first : first + TRAY_STEPS])
    return (following, job.zone, job.now)
