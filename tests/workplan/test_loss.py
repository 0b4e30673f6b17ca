"""Losses: only what can still be saved counts, and waiting costs what the curve says."""

from __future__ import annotations

from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.things.work import Loss, loss_of_clock, share_at
from strandline.workplan.loss import cost_of_waiting, lost_by
from tests.workplan.strategies import losses

HOURS = st.floats(0, 500)


def test_a_step_counts_from_its_hour() -> None:
    """Nothing is lost while hours are left, half of it half-way to one and a half times the hour."""
    loss = loss_of_clock("mould", 24.0, 10.0, "step")
    assert [share_at(loss.points, h) for h in (0, 10, 16, 22, 90)] == pytest.approx([0, 0, 0.5, 1, 1])


def test_a_rate_is_losing_now() -> None:
    """Rust that has just begun takes 0.3 by its hour, 0.7 by four times, all by sixteen times."""
    loss = loss_of_clock("rust", 4.0, 4.0, "rate")
    assert [share_at(loss.points, h) for h in (0, 2, 4, 16, 64)] == pytest.approx([0, 0.15, 0.3, 0.7, 1])


def test_what_is_lost_counts_nothing() -> None:
    """A step long past has nothing left to save; a rate past its hour has the rest."""
    assert lost_by([loss_of_clock("paint", 4.0, -9.0, "step")], 1e6) == 0
    assert lost_by([loss_of_clock("rust", 4.0, 0.0, "rate")], 1e6) == pytest.approx(0.7)
    assert lost_by([loss_of_clock("bent", 4.0, 2.0, "has_happened")], 1e6) == 0


def test_an_unknown_hour_is_put_where_it_presses_most() -> None:
    """No known hour is more pressing over a short look-ahead than not knowing it."""
    for shape in ("step", "rate"):
        unknown = loss_of_clock("any", 24.0, None, shape)
        for left in range(-60, 25):
            known = loss_of_clock("any", 24.0, float(left), shape)
            assert cost_of_waiting(unknown.points, 0, 2.0) >= cost_of_waiting(known.points, 0, 2.0) - 1e-12


@given(st.lists(losses(), max_size=3), losses(), HOURS, HOURS)
def test_lost_share_rises_and_grows_with_each_clock(
    some: list[Loss], one_more: Loss, early: float, later: float
) -> None:
    """A share between 0 and 1 that never falls, and never falls by adding a clock."""
    early, later = sorted((early, later))
    assert -1e-12 <= lost_by(some, early) <= lost_by(some, later) + 1e-12 <= 1 + 1e-9
    assert lost_by([*some, one_more], later) >= lost_by(some, later) - 1e-12


@given(losses(), st.floats(0, 100), st.sampled_from([1.0, 6.0, 48.0]))
def test_cost_of_waiting_is_the_integral(loss: Loss, from_h: float, ahead_h: float) -> None:
    """It equals a sum over small steps of what is lost, each counted by its nearness."""
    step = ahead_h / 60
    total, at = 0.0, share_at(loss.points, from_h)
    for number in range(1, 900):
        reached = share_at(loss.points, from_h + number * step)
        total += exp(-(number - 0.5) * step / ahead_h) * (reached - at)
        at = reached
    assert cost_of_waiting(loss.points, from_h, ahead_h) == pytest.approx(total, abs=5e-3)


def test_an_even_loss_after_a_due_hour_gives_the_published_factor() -> None:
    """exp(-slack / K) between two slacks: the factor of Vepsäläinen and Morton 1987 (m)."""
    ramp = ((30.0, 0.0), (1e6, 1.0))
    near, far = cost_of_waiting(ramp, 20.0, 8.0), cost_of_waiting(ramp, 4.0, 8.0)
    assert far / near == pytest.approx(exp(-16.0 / 8.0))


@pytest.mark.parametrize("points", [((1.0, 0.5), (0.5, 0.6)), ((1.0, 0.5), (2.0, 0.4)), ((1.0, 1.5),)])
def test_a_curve_that_is_none_is_refused(points: tuple[tuple[float, float], ...]) -> None:
    """Back in time, falling, or more than all."""
    with pytest.raises(ValueError, match="points must rise"):
        Loss("rust", None, "rate", points)


def test_a_clock_of_no_hours_is_refused() -> None:
    """It has no curve."""
    with pytest.raises(ValueError, match="at_h"):
        loss_of_clock("rust", 0.0, None, "rate")
