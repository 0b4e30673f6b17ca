"""Sentences: one per object, with hours for the lead and half-days for helpers."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from strandline.things.work import Crew, Job, Loss, Op, Problem, Shift, Station, loss_of_clock
from strandline.workplan.explain import explain, half_day
from strandline.workplan.rules import apparent_tardiness
from tests.workplan.instances import START, flood


def iron(tag: str = "0017", **other: object) -> Job:
    """Ten minutes' work on bare iron, rated 4."""
    job = Job(
        tag,
        (Op("photograph", "floor", "helper", 3, "cheap"), Op("blot", "bench", "helper", 10)),
        8.0,
        (loss_of_clock("rust", 4.0, 3.0, "rate"),),
        1,
        significance=4,
        about="bare iron",
        now=True,
    )
    return replace(job, **other)  # type: ignore[arg-type]  # any field


def said(*jobs: Job, tag: str = "0017") -> tuple[str, str]:
    """What is said of one of these."""
    crew = Crew(1, 1, (Shift(0, 480), Shift(1440, 1920)), 1.0)
    problem = Problem(jobs, crew, (Station("floor", None), Station("bench", 1)), START, 48.0)
    one = explain(problem, apparent_tardiness(problem))[tag]
    return one.why, one.say


def test_the_sentence_says_what_presses() -> None:
    """Others behind it, what it is, the clock, the rating, the work; helpers get half-days."""
    others = [replace(iron(f"{n:04d}"), now=False, weight=1.0) for n in range(14)]
    why, say = said(iron(), *others)
    assert why == "Before 14 others: bare iron, rust has 3 h left, rated 4 of 5, ten minutes' work."
    assert say == "Before 14 others: bare iron, rust within this half-day, rated 4 of 5, ten minutes' work."


@pytest.mark.parametrize(
    ("loss", "part"),
    [
        (loss_of_clock("rust", 4.0, -1.0, "rate"), "rust is going on"),
        (loss_of_clock("mould", 48.0, 47.5, "step"), "mould has 48 h left"),
        (loss_of_clock("mould", 48.0, -1.0, "step"), "mould may begin at any time"),
        (
            loss_of_clock("mould", 48.0, None, "step"),
            "mould may begin at any time, as nobody knows since when",
        ),
        (loss_of_clock("paint", 4.0, -90.0, "step"), "no hour presses it now"),
        (loss_of_clock("soil_sets", 900.0, 800.0, "step"), "waiting costs it little"),
        (loss_of_clock("salts", 48.0, 40.0, "rate"), "salt bloom has 40 h left"),
    ],
)
def test_each_state_of_a_clock_has_its_words(loss: Loss, part: str) -> None:
    """Running, ahead, past, unknown, gone."""
    assert f", {part}, rated" in said(iron(losses=(loss,)))[0]


def test_hands_that_come_too_late_are_said() -> None:
    """Nobody is told that all is well with an object whose loss comes before the hands."""
    lost = loss_of_clock("gesso", 2.0, 0.1, "step")
    slow = iron(losses=(lost,), ops=(Op("support", "bench", "conservator", 200),), stable_after=0)
    assert "gesso softening has 0.1 h left and hands may not reach it in time" in said(slow)[0]


def test_work_is_said_in_words() -> None:
    """Minutes below an hour and a half, hours above, and how many hands."""
    two = iron(ops=(Op("lift", "bench", "helper", 100, people=2),), stable_after=0)
    assert "about two hours' work for two" in said(two)[0]
    assert "first steps only" in said(iron(stable_after=0))[0]


def test_half_days_count_half_shifts() -> None:
    """The second half of the second shift is the fourth half-day."""
    crew = Crew(1, 1, (Shift(0, 480), Shift(1440, 1920)))
    assert [half_day(crew, at) for at in (0, 239, 240, 1440, 1680, 9999)] == [1, 1, 2, 3, 4, 4]


def test_helpers_see_no_hours_and_nobody_is_overdue() -> None:
    """Over a whole list: one line each, no hours in what helpers read, never the word."""
    problem = flood(140, 4)
    schedule = apparent_tardiness(problem)
    found = explain(problem, schedule)
    assert list(found) == list(schedule.order)
    for one in found.values():
        assert not re.search(r"\d h\b", one.say)
        assert "overdue" not in one.why + one.say
        assert one.why.count(".") - len(re.findall(r"\d\.\d", one.why)) == 1
