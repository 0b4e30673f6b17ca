"""Taking bodies through the lanes of the drying engine: loading, stopping where something changes, writing
down."""

from __future__ import annotations

import numpy as np
from numba import njit, prange

from strandline.physics import lanes_table as at
from strandline.physics.lanes import OPTIONS, step, surface_law
from strandline.physics.lanes_strain import ease, read_shrinkage

LANES = at.LANES
VECTORS, SET_COLUMNS, SIZE = at.VECTORS, at.SET_COLUMNS, at.SIZE
Y, E, S = at.Y, at.E, at.S
T, DT, GDT, RDT, HR, HR_SLOPE, EVENT, HA = at.T, at.DT, at.GDT, at.RDT, at.HR, at.HR_SLOPE, at.EVENT, at.HA
HS, J, Q, UNTIL = at.HS, at.J, at.Q, at.UNTIL
ACC, FACTOR, MEAN, PEAK, TOP, TOP_T = at.ACC, at.FACTOR, at.MEAN, at.PEAK, at.TOP, at.TOP_T
OLD_T, OLD_MEAN, OLD_RATE, OLD_US = at.OLD_T, at.OLD_MEAN, at.OLD_RATE, at.OLD_US
OLD_HS, OLD_HA, OLD_PEAK, WANTED, EASED = at.OLD_HS, at.OLD_HA, at.OLD_PEAK, at.WANTED, at.EASED
DEEP, DEEP_T = at.DEEP, at.DEEP_T

FIRST_STEP_H = 0.01
LEAST_STEP_H = 1e-12
MOST_STEPS = 2_000_000
MOST_EASED = 0.1
"""Where strain is asked for, the exponent of the layer that eases most grows by about so much in a step."""
BODY, SET, KNOT, SAMPLE, COUNT, FRESH = range(6)
"""Columns of the lanes' whole numbers: body, its set, knot and next sample, steps so far, nothing stepped
yet."""


@njit(**OPTIONS)
def load_set(w, whole, v, sets):
    """Put a body's constants from its present set on to the lane."""
    row = whole[v, SET]
    for column in range(SET_COLUMNS):
        w[VECTORS + column * LANES + v] = sets[row, column]


@njit(**OPTIONS)
def slope_after(knots, knot, last):
    """Slope of a climate after one of its knots: 0 after the last, infinite where two share an hour."""
    if knot + 1 >= last:
        return 0.0
    return (knots[knot + 1, 1] - knots[knot, 1]) / (knots[knot + 1, 0] - knots[knot, 0])


@njit(**OPTIONS)
def find_event(w, whole, v, climate, knots, ends):
    """The next moment at which something of the lane changes: a knot of its climate, its set, or the end."""
    body = whole[v, BODY]
    knot = whole[v, KNOT]
    t = w[T + v]
    event = min(w[UNTIL + v], ends[body])
    if t < knots[knot, 0]:
        # Before its first knot a climate is that of the knot.
        w[HR_SLOPE + v] = 0.0
        w[HR + v] = knots[knot, 1]
        w[EVENT + v] = min(event, knots[knot, 0])
        return
    slope = slope_after(knots, knot, climate[body, 1])
    w[HR_SLOPE + v] = slope
    w[HR + v] = knots[knot, 1] + slope * (t - knots[knot, 0])
    # A room that stays as it is needs no stop at its knots.
    while knot + 1 < climate[body, 1]:
        if slope_after(knots, knot + 1, climate[body, 1]) != slope:
            event = min(event, knots[knot + 1, 0])
            break
        knot += 1
    w[EVENT + v] = event


@njit(**OPTIONS)
def load_body(w, whole, v, body, n, first_set, climate, starts, ends, hints, state, sets, knots, samples):
    """Put a body on a free lane, as its state says."""
    whole[v, BODY] = body
    whole[v, SET] = first_set[body]
    whole[v, KNOT] = climate[body, 0]
    # Samples from before its start stay empty.
    whole[v, SAMPLE] = np.searchsorted(samples, starts[body])
    whole[v, COUNT] = 0
    whole[v, FRESH] = 1
    w[T + v] = starts[body]
    w[DT + v] = hints[body]
    while sets[whole[v, SET], 0] <= starts[body] and sets[whole[v, SET], 0] < ends[body]:
        whole[v, SET] += 1
    while whole[v, KNOT] + 1 < climate[body, 1] and knots[whole[v, KNOT] + 1, 0] <= starts[body]:
        whole[v, KNOT] += 1
    load_set(w, whole, v, sets)
    strain = 0.0
    deep = 0.0
    for i in range(n + 1):
        deep = max(deep, state[body, i])
        w[Y + i * LANES + v] = state[body, i]
        w[E + i * LANES + v] = state[body, n + 2 + i]
        strain = max(strain, state[body, n + 2 + i])
    w[HA + v] = state[body, n + 1]
    w[ACC + v] = 0.0
    w[PEAK + v] = strain
    w[TOP + v] = strain
    w[TOP_T + v] = starts[body]
    w[DEEP + v] = deep
    w[DEEP_T + v] = starts[body]
    find_event(w, whole, v, climate, knots, ends)


@njit(**OPTIONS)
def write_samples(w, whole, v, n, strained, samples, out):
    """Write what the sample moments within the last step ask for.

    The mean by a cubic through both ends and their slopes, the rest linearly. The wettest place is looked for
    only where strain is asked for, and only here: it lies on a line from where it was last looked for.
    """
    body = whole[v, BODY]
    begin = w[OLD_T + v]
    end = w[T + v]
    deep = np.nan
    if strained:
        deep = 0.0
        for i in range(n + 1):
            deep = max(deep, w[Y + i * LANES + v])
    since = end - w[DEEP_T + v]
    rate = -w[Q + v] * w[J + v]
    surface = w[Y + n * LANES + v]
    while whole[v, SAMPLE] < len(samples) and samples[whole[v, SAMPLE]] <= end * (1.0 + 1e-12):
        k = whole[v, SAMPLE]
        span = end - begin
        f = (samples[k] - begin) / span if span > 0.0 else 1.0
        g = 1.0 - f
        out[body, k, 0] = (
            g * g * (1.0 + 2.0 * f) * w[OLD_MEAN + v]
            + f * f * (3.0 - 2.0 * f) * w[MEAN + v]
            + span * f * g * (g * w[OLD_RATE + v] - f * rate)
        )
        out[body, k, 1] = g * w[OLD_US + v] + f * surface
        out[body, k, 2] = g * w[OLD_HS + v] + f * w[HS + v]
        out[body, k, 3] = g * w[OLD_HA + v] + f * w[HA + v]
        out[body, k, 4] = g * w[OLD_PEAK + v] + f * w[PEAK + v]
        late = (samples[k] - w[DEEP_T + v]) / since if since > 0.0 else 1.0
        out[body, k, 5] = (1.0 - late) * w[DEEP + v] + late * deep
        whole[v, SAMPLE] += 1
    w[DEEP + v] = deep
    w[DEEP_T + v] = end


@njit(**OPTIONS)
def change(w, whole, v, climate, knots, sets, ends):
    """A lane has come to an event that is not its end: take the next knot, the next set, or both."""
    body = whole[v, BODY]
    while whole[v, KNOT] + 1 < climate[body, 1] and knots[whole[v, KNOT] + 1, 0] <= w[T + v]:
        whole[v, KNOT] += 1
    if w[UNTIL + v] <= w[T + v]:
        whole[v, SET] += 1
        full_before = w[Q + v] / w[at.KV + v]
        load_set(w, whole, v, sets)
        # What vapour the cover's air held it still holds, though warmer air could hold more.
        w[HA + v] *= full_before / (w[Q + v] / w[at.KV + v])
        w[DT + v] = min(w[DT + v], 1.0)
    find_event(w, whole, v, climate, knots, ends)


@njit(**OPTIONS)
def store(w, whole, v, n, state, peaks, hints):
    """Write a body's last state, its greatest strain with its moment, its steps and its last step's
    length."""
    body = whole[v, BODY]
    for i in range(n + 1):
        state[body, i] = w[Y + i * LANES + v]
        state[body, n + 2 + i] = w[E + i * LANES + v]
    state[body, n + 1] = w[HA + v]
    peaks[body, 0] = w[TOP + v]
    peaks[body, 1] = w[TOP_T + v]
    peaks[body, 2] = whole[v, COUNT]
    hints[body] = w[DT + v]


@njit(**OPTIONS)
def settle(w, whole, n, m, strained, queue, after, first_set, climate, knots, sets, starts, ends, samples,
           state, peaks, hints, out):  # fmt: skip
    """What follows a step, lane by lane: samples, events, bodies that have arrived and bodies that come.

    Returns the place in the queue, whether any lane has new constants, and how many lanes are busy.
    """
    changed = False
    busy = 0
    for v in range(LANES):
        body = whole[v, BODY]
        if body >= 0 and w[ACC + v] > 0.5:
            if whole[v, SAMPLE] < len(samples) and samples[whole[v, SAMPLE]] <= w[T + v] * (1.0 + 1e-12):
                write_samples(w, whole, v, n, strained, samples, out)
            if w[T + v] >= ends[body]:
                if w[UNTIL + v] <= w[T + v]:
                    # Who goes on from here finds the next set in force, and its air as it then is.
                    change(w, whole, v, climate, knots, sets, ends)
                store(w, whole, v, n, state, peaks, hints)
                whole[v, BODY] = -1
            elif w[T + v] >= w[EVENT + v]:
                change(w, whole, v, climate, knots, sets, ends)
                changed = True
        if whole[v, BODY] < 0 and after < len(queue):
            load_body(
                w, whole, v, queue[after], n, first_set, climate, starts, ends, hints, state, sets, knots,
                samples,
            )  # fmt: skip
            w[MEAN + v] = 0.0
            for i in range(n + 1):
                w[MEAN + v] += m[i] * w[Y + i * LANES + v]
            read_shrinkage(w, v, n)
            after += 1
            changed = True
        busy += whole[v, BODY] >= 0
    return after, changed, busy


@njit(**OPTIONS)
def prepare(w, whole, n):
    """Keep what the samples of the coming step will need, and cut the step at the next event."""
    for v in range(LANES):
        w[OLD_T + v] = w[T + v]
        w[OLD_MEAN + v] = w[MEAN + v]
        w[OLD_RATE + v] = -w[Q + v] * w[J + v]
        w[OLD_US + v] = w[Y + n * LANES + v]
        w[OLD_HS + v] = w[HS + v]
        w[OLD_HA + v] = w[HA + v]
        w[OLD_PEAK + v] = w[PEAK + v]
        w[WANTED + v] = w[DT + v]
        left = w[EVENT + v] - w[T + v]
        dt = w[DT + v]
        if whole[v, BODY] < 0:
            dt = LEAST_STEP_H
        elif dt > 0.8 * left:
            dt = left
        elif dt > 0.5 * left:
            dt = 0.5 * left
        w[DT + v] = dt
        w[GDT + v] = 2.0 / dt
        w[RDT + v] = 1.0 / dt


@njit(**OPTIONS)
def advance(w, whole, ends, longest, strained):
    """Move the clocks of the lanes whose step stands, and set each lane's next step.

    A body whose steps shrink to nothing is ended where it is, with a count of -1.
    """
    for v in range(LANES):
        body = whole[v, BODY]
        if body < 0:
            continue
        dt = w[DT + v]
        following = dt * w[FACTOR + v]
        whole[v, COUNT] += 1
        if w[ACC + v] > 0.5:
            left = w[EVENT + v] - w[T + v]
            w[T + v] = w[EVENT + v] if dt == left else w[T + v] + dt
            w[HR + v] += dt * w[HR_SLOPE + v]
            # A step cut short by an event says nothing against the length that was wanted.
            following = max(following, w[WANTED + v]) if dt < w[WANTED + v] else following
        elif dt < LEAST_STEP_H or whole[v, COUNT] > MOST_STEPS:
            w[T + v] = ends[body]
            w[ACC + v] = 1.0
            whole[v, COUNT] = -1
        else:
            following = min(following, 0.7 * dt)
        if strained and w[EASED + v] * following > MOST_EASED * dt:
            following = MOST_EASED * dt / w[EASED + v]
        w[DT + v] = min(following, longest)


@njit(**OPTIONS)
def run_part(queue, n, a, m, tolerance, longest, strained, first_set, climate, knots, sets, starts, ends,
             samples, state, peaks, hints, out):  # fmt: skip
    """Take the bodies of a queue through one table of lanes, from their starts to their ends."""
    w = np.zeros(SIZE)
    whole = np.zeros((LANES, 6), dtype=np.int64)
    for v in range(LANES):
        # A lane without a body works on a copy of the first one and counts for nothing.
        load_body(
            w, whole, v, queue[0], n, first_set, climate, starts, ends, hints, state, sets, knots, samples
        )
        whole[v, BODY] = -1
    after = 0
    while True:
        surface_law(w, np.uint64(Y + n * LANES), np.uint64(HA))
        after, changed, busy = settle(
            w, whole, n, m, strained, queue, after, first_set, climate, knots, sets, starts, ends, samples,
            state, peaks, hints, out,
        )  # fmt: skip
        if busy == 0:
            return
        if changed:
            surface_law(w, np.uint64(Y + n * LANES), np.uint64(HA))
        prepare(w, whole, n)
        step(w, n, a, m, tolerance)
        if strained:
            ease(w, n, m)
        advance(w, whole, ends, longest, strained)


@njit(parallel=True, **OPTIONS)
def run_all(queues, sizes, n, a, m, tolerance, longest, strained, first_set, climate, knots, sets, starts,
            ends, samples, state, peaks, hints, out):  # fmt: skip
    """Several queues at once, one for each thread."""
    for part in prange(len(sizes)):
        if sizes[part] > 0:
            run_part(queues[part, : sizes[part]], n, a, m, tolerance, longest, strained, first_set, climate,
                     knots, sets, starts, ends, samples, state, peaks, hints, out)  # fmt: skip
