"""After the last damp hour the mould index is reckoned in one step: as by many steps, for any course."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from strandline.drying import reading
from strandline.physics.mould import MouldState, advance

RH = st.floats(0.0, 1.0)
STEPS = st.tuples(st.floats(0.5, 48.0), st.sampled_from((0.0, 5.0, 20.0, 40.0)), RH)
COURSES = st.lists(STEPS, min_size=1, max_size=40)
SURFACES = ("pine_resawn", "medium_resistant", "resistant", "sensitive")


def hour_by_hour(
    hours: list[float], temps: list[float], course: list[float], surface: str, pace: float
) -> tuple[float, float]:
    """Index at the end and at its highest, every sample a step of its own."""
    state, top = MouldState(), 0.0
    for k in range(1, len(hours)):
        middle = 0.5 * (course[k] + course[k - 1])
        state = advance(state, temps[k], middle, pace * (hours[k] - hours[k - 1]), surface)
        top = max(top, state.index)
    return state.index, top


def law_the_tail_is_one_step(steps: list[tuple[float, float, float]], surface: str, pace: float) -> None:
    """To the twelfth digit: only the order of the sums differs."""
    hours = np.concatenate(([0.0], np.cumsum([hour for hour, _, _ in steps])))
    temps = np.array([steps[0][1], *(temp for _, temp, _ in steps)])
    course = np.array([1.0, *(rh for _, _, rh in steps)])
    index, top, first = reading.grown(hours, temps, course, surface, MouldState(), pace)
    plain = hour_by_hour(hours.tolist(), temps.tolist(), course.tolist(), surface, pace)
    assert (index, top) == pytest.approx(plain, abs=1e-12)
    assert math.isfinite(first) == (plain[1] >= reading.FIRST_GROWTH)


DAMP_THEN_DRY = [(24.0, 20.0, 1.0)] * 12 + [(24.0, 20.0, 0.5)] * 10
WET_AT_THE_END = [(24.0, 20.0, 0.5)] * 4 + [(24.0, 20.0, 1.0)] * 12
COLD = [(24.0, 0.0, 1.0)] * 5 + [(24.0, 40.0, 0.2)] * 2


@given(COURSES, st.sampled_from(SURFACES), st.floats(0.5, 2.0))
@example(DAMP_THEN_DRY, "sensitive", 1.0)
@example(WET_AT_THE_END, "sensitive", 1.3)
@example(COLD, "pine_resawn", 1.0)
def test_the_tail_is_one_step(steps: list[tuple[float, float, float]], surface: str, pace: float) -> None:
    law_the_tail_is_one_step(steps, surface, pace)


@pytest.mark.parametrize("edge_rh", [-0.3, -2.0])
def test_a_tail_that_begins_too_soon_is_seen(monkeypatch: pytest.MonkeyPatch, edge_rh: float) -> None:
    """Damp hours taken for dry ones: of a step at the edge, and of every one."""
    monkeypatch.setattr(reading, "EDGE_RH", edge_rh)
    with pytest.raises(AssertionError):
        law_the_tail_is_one_step(WET_AT_THE_END, "sensitive", 1.0)
