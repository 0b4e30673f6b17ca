"""One sentence per object on why it stands where it stands."""

from __future__ import annotations

from strandline.things.work import Crew, Job, Loss, Problem, Schedule, Why
from strandline.workplan.loss import cost_of_waiting, lost_by
from strandline.workplan.needs import cheap_count

AHEAD_H = 12.0
"""Look-ahead for choosing which clock to name."""
LITTLE, LITTLE_WITHIN_H = 0.01, 168.0
"""Below this share of worth lost within a week, waiting is said to cost little."""
TOO_LATE = 0.5
"""From this share of worth lost before the work ends, the sentence says that hands may come too late."""
WORDS = {
    "clay": "clay slumping",
    "crack": "cracking",
    "dye": "dye running",
    "gesso": "gesso softening",
    "glue": "glue letting go",
    "paint": "paint lifting",
    "plaster": "plaster softening",
    "salts": "salt bloom",
    "skin": "skin shrinking",
    "soil_sets": "mud setting",
    "stain": "staining",
}
"""What a clock is called in a sentence, where its key would not read well."""
NUMBERS = (
    "no one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen "
    "sixteen seventeen eighteen nineteen twenty"
).split()


def explain(problem: Problem, schedule: Schedule) -> dict[str, Why]:
    """A sentence for each object that has a place in the order, by tag."""
    jobs = {job.tag: job for job in problem.jobs}
    at = {(one.tag, one.op): one for one in schedule.placed}
    found = {}
    for place, tag in enumerate(schedule.order):
        job, behind = jobs[tag], len(schedule.order) - place - 1
        late = lost_by(job.losses, at[tag, job.stable_after].end_min / 60.0) >= TOO_LATE
        cheap = cheap_count(job)
        begun = at[tag, cheap if cheap < len(job.ops) else 0].start_min
        found[tag] = Why(
            _sentence(job, behind, _pressing(job, in_hours=True), late),
            _sentence(job, behind, _pressing(job, in_hours=False), late),
            half_day(problem.crew, begun),
        )
    return found


def half_day(crew: Crew, at_min: float) -> int:
    """Number of the half shift, from 1, in which a minute lies."""
    for number, shift in enumerate(crew.shifts):
        if at_min < shift.end_min:
            return 2 * number + (1 if at_min < (shift.start_min + shift.end_min) / 2 else 2)
    return 2 * len(crew.shifts)


def _sentence(job: Job, behind: int, pressing: str, late: bool) -> str:
    before = {0: "After all others", 1: "Before 1 other"}.get(behind, f"Before {behind} others")
    about = job.about or job.title or f"tag {job.tag}"
    pressing += " and hands may not reach it in time" if late else ""
    return f"{before}: {about}, {pressing}, rated {job.significance} of 5, {_work(job)}."


def _pressing(job: Job, *, in_hours: bool) -> str:
    costs = [(cost_of_waiting(loss.points, 0.0, AHEAD_H), -n) for n, loss in enumerate(job.losses)]
    if lost_by(job.losses, LITTLE_WITHIN_H) < LITTLE:
        past = any(loss.left_h is not None and loss.left_h <= 0 for loss in job.losses)
        return "no hour presses it now" if past else "waiting costs it little"
    loss = job.losses[-max(costs)[1]]
    what = WORDS.get(loss.key, loss.key.replace("_", " "))
    if loss.left_h is None:
        return f"{what} may begin at any time, as nobody knows since when"
    if loss.left_h <= 0:
        return f"{what} is going on" if loss.shape == "rate" else f"{what} may begin at any time"
    return f"{what} has {_hours(loss.left_h)} left" if in_hours else f"{what} {_half_days(loss)}"


def _hours(hours: float) -> str:
    return f"{round(hours, 1):g} h" if hours < 10 else f"{hours:.0f} h"


def _half_days(loss: Loss) -> str:
    left = loss.left_h or 0.0
    if left <= 6:
        return "within this half-day"
    if left <= 12:
        return "by the next half-day"
    if left <= 36:
        return "within a day"
    return f"in {round(left / 24)} days"


def _work(job: Job) -> str:
    dear = job.ops[cheap_count(job) : job.stable_after + 1]
    minutes = round(sum(op.minutes for op in dear))
    if not dear:
        return "first steps only"
    hands = max(op.people for op in dear)
    for_whom = f" for {_number(hands)}" if hands > 1 else ""
    if minutes < 90:
        unit = "minute's" if minutes <= 1 else "minutes'"
        return f"{_number(max(1, minutes))} {unit} work{for_whom}"
    return f"about {_number(round(minutes / 60))} hours' work{for_whom}"


def _number(count: int) -> str:
    return NUMBERS[count] if count < len(NUMBERS) else str(count)
