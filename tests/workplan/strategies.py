"""Random problems, small but with everything in them that can go wrong."""

from __future__ import annotations

from datetime import UTC, datetime

from hypothesis import strategies as st

from strandline.things.work import (
    Crew,
    Job,
    Loss,
    Op,
    Problem,
    Shape,
    Shift,
    Station,
    loss_of_clock,
)

START = datetime(2026, 3, 15, 15, 40, tzinfo=UTC)
STATION_KEYS = ("floor", "rinse", "drain", "bench", "gone")


@st.composite
def losses(draw: st.DrawFn) -> Loss:
    """A clock's loss, known or not, running or over."""
    at_h = draw(st.sampled_from([0.5, 3.0, 4.0, 24.0, 48.0]))
    left_h = draw(st.none() | st.floats(-30, 1).map(lambda part: round(at_h + part, 2)))
    shapes: tuple[Shape, ...] = ("step", "rate", "has_happened")
    shape = draw(st.sampled_from(shapes))
    return loss_of_clock(draw(st.sampled_from(["rust", "mould"])), at_h, left_h, shape, draw(st.floats(0, 1)))


@st.composite
def operations(draw: st.DrawFn) -> Op:
    """An operation, sometimes too long, too many-handed, or at a station that is not there."""
    return Op(
        draw(st.sampled_from(["photograph", "look", "rinse", "blot", "note"])),
        draw(st.sampled_from(STATION_KEYS[:4] * 4 + STATION_KEYS[4:])),
        draw(st.sampled_from(["helper", "helper", "conservator"])),
        draw(st.sampled_from([0.5, 3.0, 5.0, 10.0, 37.3, 90.0, 170.0])),
        draw(st.sampled_from(["cheap", "cheap", "look", "act", "local_air", "record"])),
        draw(st.sampled_from([0.0, 0.0, 0.0, 0.4, 1.0, 13.0])),
        draw(st.sampled_from([1, 1, 1, 2, 3])),
    )


@st.composite
def jobs(draw: st.DrawFn, tag: str) -> Job:
    """An object; some are under a stop, some have nothing to do."""
    ops = tuple(draw(st.lists(operations(), max_size=5)))
    significance = draw(st.integers(1, 5))
    return Job(
        tag,
        ops,
        2.0 ** (significance - 1),
        tuple(draw(st.lists(losses(), max_size=3))),
        draw(st.integers(0, len(ops) - 1)) if ops else 0,
        significance=significance,
        zone=draw(st.sampled_from(["slow_dry", "fast_dry"])),
        stop="mercury" if draw(st.integers(0, 7)) == 0 else "",
        now=draw(st.booleans()),
    )


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    """A problem of up to 12 objects with up to 6 people and a few shifts, uneven on purpose."""
    count = draw(st.integers(0, 12))
    shifts, at = [], 0.0
    for _ in range(draw(st.integers(0, 4))):
        at += draw(st.sampled_from([0.0, 30.0, 960.0]))
        length = draw(st.sampled_from([45.0, 240.0, 480.0]))
        shifts.append(Shift(at, at + length))
        at += length
    return Problem(
        tuple(draw(jobs(f"{number:04d}")) for number in range(count)),
        Crew(
            draw(st.integers(0, 2)),
            draw(st.integers(0, 4)),
            tuple(shifts),
            draw(st.sampled_from([0.625, 1.0])),
        ),
        (Station("floor", None), Station("rinse", 1), Station("drain", 2), Station("bench", 3)),
        START,
        draw(st.sampled_from([2.0, 24.0, 72.0])),
        draw(st.sampled_from([0.0, 2.0, 48.0])),
        draw(st.integers(1, 4)),
    )
