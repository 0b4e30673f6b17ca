"""What is lost by when, and what waiting costs from a moment on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import exp

from strandline.things.work import Job, Loss, Placed, Points, Problem, share_at


def lost_by(losses: Sequence[Loss], at_h: float) -> float:
    """Share of an object's worth lost between the start and ``at_h``; clocks are taken as independent."""
    kept = 1.0
    for loss in losses:
        kept *= 1.0 - share_at(loss.points, at_h)
    return 1.0 - kept


def cost_of_waiting(points: Points, from_h: float, ahead_h: float) -> float:
    """Integral of exp(-u / ahead_h) dL(from_h + u) over u >= 0: the loss to come, near loss counting most.

    A share of worth, 0 to 1.  For one ramp that begins at ``d`` it falls with exp(-(d - from_h) / ahead_h),
    the factor of the apparent tardiness cost rule.
    """
    cost, x0, y0, near0 = 0.0, 0.0, 0.0, 0.0
    for x1, y1 in points:
        if x1 > from_h:
            if near0 == 0.0:
                near0 = exp(-max(0.0, x0 - from_h) / ahead_h)
            near1 = exp((from_h - x1) / ahead_h)
            if y1 > y0:
                # A jump (x1 == x0) has no slope; all of it comes at once.
                cost += (y1 - y0) * (ahead_h * (near0 - near1) / (x1 - x0) if x1 > x0 else near1)
            near0 = near1
        x0, y0 = x1, y1
    return cost


def expected_loss(problem: Problem, placed: Iterable[Placed]) -> float:
    """Weighted loss of a schedule: each object up to its stabilising operation, or to the horizon."""
    stable_h = {
        one.tag: one.end_min / 60.0 for one, job in _with_jobs(problem, placed) if one.op == job.stable_after
    }
    return sum(
        job.weight * lost_by(job.losses, min(problem.horizon_h, stable_h.get(job.tag, problem.horizon_h)))
        for job in problem.jobs
    )


def _with_jobs(problem: Problem, placed: Iterable[Placed]) -> Iterable[tuple[Placed, Job]]:
    jobs = {job.tag: job for job in problem.jobs}
    return ((one, jobs[one.tag]) for one in placed)
