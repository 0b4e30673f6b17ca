"""Plans in words for a terminal."""

from __future__ import annotations

import shutil
from collections.abc import Iterable
from datetime import datetime

from strandline.pipeline.lists import Tally
from strandline.things.facts import Facts
from strandline.things.listing import Problem
from strandline.things.plan import ActionVerdict, Because, Plan

WORDS: dict[str, str] = {"yes": "yes", "careful": "careful", "refer": "conservator", "no": "NO"}
ROUTES: dict[str, str] = {
    "dry": "dry",
    "hold_wet": "keep wet",
    "freeze": "keep frozen",
    "wait_for_conservator": "wait",
}
NARROW, WIDE = 72, 160
SHOWN_PROBLEMS = 20


def table_widths() -> tuple[int, int]:
    """Width of the title and of the last column for this terminal."""
    columns = min(max(shutil.get_terminal_size((110, 24)).columns, NARROW), WIDE)
    title = max(18, columns // 4)
    return title, max(16, columns - title - 52)


def table_line(facts: Facts | None, plan: Plan | None, widths: tuple[int, int]) -> str:
    """One line of the table; without facts, its header."""
    title, rest = widths
    if facts is None or plan is None:
        heads = f"{'tag':<6} {'what it is':<{title}} {'rinse':<11} {'go':<9}"
        return f"{heads} {'zone':<11} {'left':>7}  hold it now"
    stop = next((hazard for hazard in plan.hazards if hazard.grade == "stop"), None)
    rinse = "STOP" if stop else _verdict(plan.actions.get("rinse"))
    say = stop.say if stop else " ".join(plan.holding.do[:1])
    name = facts.title or facts.materials or facts.klass
    return (
        f"{facts.tag:<6} {_cut(name, title):<{title}} {rinse:<11} {ROUTES[plan.route]:<9} "
        f"{plan.zone or '-':<11} {_left(plan.hours_left):>7}  {_cut(say, rest)}"
    )


def _verdict(action: ActionVerdict | None) -> str:
    if action is None:
        return WORDS["refer"]
    look = "?" if action.provisional else ""
    return WORDS[action.verdict] + look


def _left(hours: float | None) -> str:
    if hours is None:
        return "?"
    return f"{hours:.1f} h" if hours > 0 else "now"


def _cut(text: str, width: int) -> str:
    one_line = " ".join(text.split())
    return one_line if len(one_line) <= width else one_line[: width - 1] + "…"


def object_text(facts: Facts, plan: Plan, as_of: datetime) -> str:
    """One plan in full, the most urgent first, every reason after it."""
    lines = [f"{facts.tag}  {facts.title or facts.materials}   plan 1, {as_of:%Y-%m-%d %H:%M} UTC"]
    for hazard in plan.hazards:
        if hazard.grade == "stop":
            lines.append(f"  STOP: {hazard.say} Keep {hazard.keep_m:g} m away. Call: {hazard.call}.")
    until = plan.holding.good_until
    stopped = any(hazard.grade == "stop" for hazard in plan.hazards)
    good = f"good until {until:%a %H:%M} UTC" if until else "no hour known"
    good = "until release is recorded" if stopped else good
    lines.append(f"  Hold it now ({good}): " + " ".join(plan.holding.do))
    if plan.holding.lost_after and not stopped:
        lines.append(f"    after that: {plan.holding.lost_after}")
    cover = f", {plan.cover[0].replace('_', ' ')}" if plan.cover else ""
    lines.append(f"  Goes: {ROUTES[plan.route]}, zone {plan.zone or '-'}{cover}")
    for key, (low, high) in plan.limits.items():
        lines.append(f"  {key}: {low:g} to {high:g}")
    for hazard in plan.hazards:
        if hazard.grade != "stop":
            lines.append(f"  {hazard.grade}: {hazard.say}")
    lines.append("  Parts:")
    for part in facts.parts:
        seen = ", ".join(
            (*part.features, *([f"could be {', '.join(part.could_be)}"] if part.could_be else []))
        )
        lines.append(
            f"    {part.id} {part.span or part.material}: {part.material}{' (' + seen + ')' if seen else ''}"
        )
    lines.append("  May it be done?")
    for key, action in plan.actions.items():
        lines += _action_lines(key, action)
    lines.append("  Steps:")
    for step in plan.steps:
        who = "conservator" if step.role == "conservator" else "helper"
        lines.append(f"    {step.n}. [{who}] {step.text}")
    for conflict in plan.conflicts:
        lines.append(f"  Conflict {conflict.id} ({conflict.state}), {conflict.about}: {conflict.how}")
    for one in plan.disagreements:
        lines.append(
            f"  Sources differ on {one.about.replace('_', ' ')}: " + " / ".join(v.say for v in one.views)
        )
        lines.append(f"    taken: {one.taken}. {one.then}")
    telling = [one for one in plan.assumed if one.changes]
    if telling:
        lines.append("  Taken for granted (what would change it most, first):")
        lines += [f"    {one.ask} [{one.changes}]" for one in telling]
    return "\n".join(lines)


def _action_lines(key: str, action: ActionVerdict) -> Iterable[str]:
    how = f": {action.how}" if action.how else ""
    yield f"    {key.replace('_', ' ')} - {WORDS[action.verdict]}{how}"
    if action.provisional:
        one = action.provisional
        yield f"      ask: {one.ask} If {one.answer}: {WORDS[one.then]}."
    for because in action.because[:3]:
        yield f"      because {because.why} {whence(because)}"


def whence(because: Because) -> str:
    """Source and confidence of a reason in brackets."""
    sure = {"v": "read", "m": "from memory", "c": "common practice, no published source"}[because.confidence]
    keys = ", ".join(dict.fromkeys(key for key, _ in because.source))
    mark = f"; overruled by {because.override}" if because.override else ""
    return f"[{keys + ', ' if keys else ''}{sure}{mark}]"


def summary_lines(tally: Tally) -> list[str]:
    """What happened to the list, in a few lines."""
    made = tally.rows - len(tally.rejected)
    lines = [f"{tally.rows} rows, {made} plans, {len(tally.rejected)} rows not taken."]
    if tally.stops:
        lines.append(f"Stop, touch nothing, until released: {', '.join(tally.stops)}")
    if tally.open_conflicts:
        lines.append(f"Open conflicts for the conservator: {', '.join(tally.open_conflicts)}")
    faults = [*tally.problems, *tally.rejected]
    lines += [problem_line(problem) for problem in faults[:SHOWN_PROBLEMS]]
    if len(faults) > SHOWN_PROBLEMS:
        lines.append(f"... and {len(faults) - SHOWN_PROBLEMS} more; --json lists them all.")
    return lines


def unread_line(words: int, objects: int) -> str:
    """How many words of the list nobody understood, and in how many objects."""
    one_or_more = "word" if words == 1 else "words"
    things = "object" if objects == 1 else "objects"
    return f"{words} {one_or_more} unread in {objects} {things}; --json lists them"


def problem_line(problem: Problem) -> str:
    """One problem with its row and column."""
    where = f"row {problem.row}" if problem.row else "list"
    column = f", {problem.column}" if problem.column else ""
    kind = "note" if problem.note else "problem"
    return f"  {kind}: {where}{column}: {problem.reason}"
