"""The drying engine against exact series, finer runs of itself and the balance of its water."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import pytest

from strandline.physics import crank, engine
from strandline.physics.diffusivity import constant
from strandline.physics.engine import FOREVER_H, Batch, Body, Dried, Piece, dry, prepare, run
from strandline.physics.grid import STEEP_POWER, Grid, grid
from strandline.physics.isotherm import Isotherm
from tests.physics.drying_bodies import HOURS, OAK, PINE, SHAPES, body_of, piece_of, some_bodies

Floats = npt.NDArray[np.float64]

DAYS = np.arange(24.0, HOURS + 1.0, 24.0)
FOURIER = np.geomspace(1e-3, 2.0, 40)
D_M2_S, HALF_M, DENSITY_KG_M3, FULL_KG_M3 = 1e-10, 0.01, 500.0, 0.0173
START, END = 1.0, 0.2
RH_PER_MOISTURE = 0.3
ALMOST_STRAIGHT = 1e-5
STRAIGHT = Isotherm(1.0 / (RH_PER_MOISTURE * ALMOST_STRAIGHT), ALMOST_STRAIGHT, 0.0, 0.0)
"""An isotherm that is a line to within 1e-5: humidity is RH_PER_MOISTURE times moisture."""
HELD = 1e5
"""Biot number of a surface that is as good as held."""
NO_COVER_M_S = 1e4
SHUT_M_S = 1e-18


def rounded(rh: float) -> float:
    """Humidity as the engine rounds it near 1."""
    return 0.5 * (rh + 1.0 - math.sqrt((rh - 1.0) ** 2 + 0.01**2))


def left(shape: str, cells: int, biot: float = HELD, tolerance: float = 1e-7) -> Floats:
    """Share of the excess moisture that the engine leaves in a body of constant diffusivity, at FOURIER."""
    film = biot * D_M2_S * DENSITY_KG_M3 / (HALF_M * FULL_KG_M3 * RH_PER_MOISTURE)
    piece = Piece(FOREVER_H, STRAIGHT, constant(D_M2_S), FULL_KG_M3, film, NO_COVER_M_S)
    body = Body(shape, HALF_M, DENSITY_KG_M3, (piece,), START, ((0.0, rounded(END * RH_PER_MOISTURE)),))
    hours = FOURIER * HALF_M**2 / D_M2_S / 3600.0
    dried = run(prepare([body], hours[-1], cells=cells), hours, tolerance=tolerance)
    share: Floats = (dried.mean[0] - END) / (START - END)
    return share


def series(shape: str, biot: float) -> Floats:
    """The same by the exact series."""
    return np.array([1.0 - crank.fraction_lost_biot(shape, float(one), biot) for one in FOURIER])


def off(shape: str, cells: int, biot: float = HELD) -> float:
    """Greatest gap between the two."""
    return float(np.max(np.abs(left(shape, cells, biot) - series(shape, biot))))


@pytest.mark.parametrize(
    ("shape", "biot", "at_40", "at_80"),
    [
        ("plane", HELD, 1.7e-4, 5e-5),
        ("cylinder", HELD, 2.4e-4, 6e-5),
        # A held surface takes the water of the outermost half cell at once, the largest share in a sphere.
        ("sphere", HELD, 3e-4, 8e-5),
        ("plane", 10.0, 1.3e-4, 5e-5),
        ("cylinder", 10.0, 1.7e-4, 5e-5),
        ("sphere", 10.0, 2e-4, 5e-5),
        ("plane", 1.0, 5e-5, 2e-5),
        ("cylinder", 1.0, 5e-5, 2e-5),
        ("sphere", 1.0, 5e-5, 2e-5),
        ("plane", 0.1, 2e-5, 2e-5),
        ("cylinder", 0.1, 2e-5, 2e-5),
        ("sphere", 0.1, 2e-5, 2e-5),
    ],
)
def test_exact_series(shape: str, biot: float, at_40: float, at_80: float) -> None:
    """Constant diffusivity, surface held or behind a film, Fourier numbers 0.001 to 2: share of water
    left."""
    assert off(shape, 40, biot) <= at_40
    assert off(shape, 80, biot) <= at_80


@pytest.mark.parametrize("shape", SHAPES)
def test_second_order_in_the_cells(shape: str) -> None:
    """Twice the cells, a quarter of the error, with a held surface; also behind a film down to the rounding
    of the law at the surface."""
    errors = [off(shape, cells) for cells in (20, 40, 80, 160)]
    assert all(3.3 < coarse / fine < 4.7 for coarse, fine in pairwise(errors))
    errors = [off(shape, cells, 10.0) for cells in (20, 40, 80)]
    assert all(3.3 < coarse / fine < 4.7 for coarse, fine in pairwise(errors))


@pytest.mark.parametrize("shape", SHAPES)
def test_the_finest_grid_can_be_followed(shape: str) -> None:
    """A surface suddenly held, at 320 cells and a tolerance of 1e-7, asks for first steps of a picohour."""
    assert off(shape, 320) < 1.2e-5


def wrong_grid(good: Grid, wrong: str) -> Grid:
    """A grid with a mistake in it."""
    if wrong == "volumes swapped":
        return replace(good, volume=good.volume[::-1].copy())
    if wrong == "volumes too large":
        return replace(good, volume=1.01 * good.volume)
    return replace(good, conductance=1.0 / np.diff(good.x))


@pytest.mark.parametrize("wrong", ["volumes swapped", "volumes too large", "faces without area"])
def test_the_series_catches_wrong_grids(monkeypatch: pytest.MonkeyPatch, wrong: str) -> None:
    """Each is far outside what the right grid keeps to."""
    monkeypatch.setattr(engine, "grid", lambda *which: wrong_grid(grid(*which), wrong))
    assert off("cylinder", 40) > 1e-3


@pytest.mark.parametrize(("place", "factor"), [("q", -1.0), ("q", 1.05), ("f1", 1.05), ("per_m0", 1.05)])
def test_the_series_catches_wrong_numbers(monkeypatch: pytest.MonkeyPatch, place: str, factor: float) -> None:
    """One number of the table wrong by a twentieth, or its sign."""
    changed(monkeypatch, lambda row: {place: factor * row[place]})
    try:
        assert off("cylinder", 40, 1.0) > 1e-3
    except engine.EngineError:
        assert factor < 0.0


def changed(patch: pytest.MonkeyPatch, change: Callable[[dict[str, float]], dict[str, float]]) -> None:
    """Let the engine's table of numbers come out otherwise."""
    good, names = engine.set_row, engine.at.SET_NAMES

    def bad(body: Body, piece: Piece) -> list[float]:
        row = dict(zip(names, good(body, piece), strict=True))
        row.update(change(row))
        return [row[name] for name in names]

    patch.setattr(engine, "set_row", bad)


def test_finer_steps_close_in() -> None:
    """The error falls with the tolerance: a hundredth of it leaves less than a twentieth of the error."""
    bodies = some_bodies(30, seed=5)
    found = [dry(bodies, DAYS, tolerance=tolerance).mean for tolerance in (1e-3, 1e-5, 1e-7)]
    rough, fine = (float(np.sqrt(np.mean((one - found[2]) ** 2))) for one in found[:2])
    assert 0.0 < fine < 0.05 * rough


def held_kg_m2(batch: Batch, bodies: Sequence[Body], piece: int) -> Floats:
    """Water in bodies and in the air under their covers, per area of their surface, at the batch's state."""
    half = np.array([body.half_m for body in bodies])
    density = np.array([body.dry_density_kg_m3 for body in bodies])
    air = np.array([body.pieces[piece].air_depth_m * body.pieces[piece].saturation_kg_m3 for body in bodies])
    volume = grid(batch.grid.shape, batch.cells).volume
    inside = half * density / batch.grid.surface_per_volume * (batch.state[:, : batch.cells + 1] @ volume)
    total: Floats = inside + air * batch.state[:, batch.cells + 1]
    return total


def unbalanced(shape: str) -> float:
    """Greatest relative change of all water in bodies shut in with dry air, in pieces of other
    temperatures."""
    bodies = []
    for body in some_bodies(25, seed=3, shape=shape):
        stuff = PINE if body.dry_density_kg_m3 < 500.0 else OAK
        shut = [
            piece_of(stuff, temp_c, until_h, outer_m_s=SHUT_M_S, air_depth_m=body.pieces[0].air_depth_m)
            for temp_c, until_h in ((12.0, 100.0), (28.0, 400.0), (15.0, FOREVER_H))
        ]
        bodies.append(replace(body, pieces=tuple(shut), cover_rh=0.1))
    batch = prepare(bodies, HOURS)
    before = held_kg_m2(batch, bodies, 0)
    surface = batch.state[:, batch.cells].copy()
    run(batch, [HOURS])
    assert np.all(batch.state[:, batch.cells] < surface)
    return float(np.max(np.abs(held_kg_m2(batch, bodies, -1) / before - 1.0)))


@pytest.mark.parametrize("shape", SHAPES)
def test_no_water_is_lost(shape: str) -> None:
    """Under a cover that is shut, what the bodies lose the air has, also when it gets warmer and colder."""
    assert unbalanced(shape) < 1e-10


@pytest.mark.parametrize("wrong", ["volumes swapped", "volumes too large", "too little given off", "a leak"])
def test_the_balance_catches(monkeypatch: pytest.MonkeyPatch, wrong: str) -> None:
    """Grids that lose water, a surface that gives off less than it loses, a cover that leaks a little."""
    if wrong.startswith("volumes"):
        monkeypatch.setattr(engine, "grid", lambda *which: wrong_grid(grid(*which), wrong))
    elif wrong == "a leak":
        changed(monkeypatch, lambda row: {"gv": row["gv"] + 1e-6})
    else:
        changed(monkeypatch, lambda row: {"q": 0.999 * row["q"]})
    assert unbalanced("cylinder") > 1e-9


@cache
def finest(lively: bool) -> Dried:
    """Fifty bodies on 320 cells."""
    return dry(some_bodies(50, seed=2, lively=lively), DAYS, cells=320, tolerance=1e-7)


@pytest.mark.parametrize("lively", [False, True])
def test_mean_against_a_fine_run(lively: bool) -> None:
    """Mean moisture of every day within 2e-4 kg/kg."""
    found = dry(some_bodies(50, seed=2, lively=lively), DAYS)
    assert np.max(np.abs(found.mean - finest(lively).mean)) < 2e-4


def test_too_few_cells_are_seen() -> None:
    """Ten cells are not enough: the comparison tells."""
    found = dry(some_bodies(50, seed=2, lively=False), DAYS, cells=10)
    assert np.max(np.abs(found.mean - finest(False).mean)) > 5e-4


def strained(bodies: Sequence[Body], cells: int, tolerance: float) -> tuple[Floats, Floats]:
    """Greatest strain of each body and its hour."""
    found = np.zeros((2, len(bodies)))
    for shape in SHAPES:
        places = [number for number, body in enumerate(bodies) if body.shape == shape]
        batch = prepare([bodies[place] for place in places], HOURS, cells=cells, power=STEEP_POWER)
        part = run(batch, [HOURS], tolerance=tolerance, strained=True)
        found[:, places] = part.peak_strain, part.peak_at_h
    return found[0], found[1]


def test_strain_against_a_fine_run() -> None:
    """The greatest strain of a run within 3 % (19 bodies of 20 at the usual tolerance, all within 5 %;
    all within 1.5 % at 1e-5), of bodies in which it reaches 3e-4."""
    bodies = some_bodies(60, seed=4)
    fine, _ = strained(bodies, 192, 1e-6)
    counts = fine > 3e-4
    assert np.count_nonzero(counts) > 30

    def gaps(found: Floats) -> Floats:
        off: Floats = np.abs(found / fine - 1.0)[counts]
        return off

    usual = gaps(dry(bodies, [HOURS], strained=True).peak_strain)
    assert np.quantile(usual, 0.95) < 0.03
    assert np.max(usual) < 0.05
    assert np.max(gaps(strained(bodies, 48, 1e-5)[0])) < 0.015
    assert np.max(gaps(strained(bodies, 8, 1e-5)[0])) > 0.06


def test_strain_stands_in_balance() -> None:
    """The section pulls as much as it is pulled: the mean of the strain is nought; the surface is the
    first in tension."""
    batch = prepare([replace(body_of(OAK), shrinkage=0.3, mechano=40.0)], 48.0, cells=48, power=STEEP_POWER)
    run(batch, [48.0], strained=True)
    strain = batch.state[0, 50:]
    assert abs(strain @ batch.grid.volume) < 1e-12
    assert strain[-1] > 1e-3
    assert strain[0] < 0.0


def counted(moisture: Floats, fibre: float) -> Floats:
    """Moisture that counts for shrinkage: what is below fibre saturation, rounded where it ends."""
    below: Floats = 0.5 * (moisture + fibre - np.sqrt((moisture - fibre) ** 2 + 0.01**2))
    return below


def strain_beside(shrinkage: float, mechano: float, relax_h: float, ticks: int) -> tuple[Floats, Floats]:
    """A body's strain at the end as the engine has it, and from its moisture every quarter of an hour."""
    piece = piece_of(OAK, 20.0, relax_h=relax_h)
    body = body_of(OAK, pieces=(piece,), shrinkage=shrinkage, mechano=mechano, fibre_saturation=0.28)
    batch = prepare([body], 0.25, cells=48, power=STEEP_POWER)
    volume, vertices = batch.grid.volume, 49
    strain = np.zeros(vertices)
    before = counted(batch.state[0, :vertices], 0.28)
    for tick in range(ticks):
        batch.starts[:], batch.ends[:] = 0.25 * tick, 0.25 * (tick + 1)
        run(batch, [], tolerance=1e-7, strained=True)
        now = counted(batch.state[0, :vertices], 0.28)
        # In small parts, first change and then easing: another way than the engine's.
        change = (now - before) / 200.0
        for _ in range(200):
            strain = strain - shrinkage * (change - volume @ change)
            strain = strain * (1.0 - mechano * np.abs(change) - 0.25 / 200.0 / relax_h)
            strain = strain - volume @ strain
        before = now
    return batch.state[0, vertices + 1 :], strain


@pytest.mark.parametrize(
    ("mechano", "relax_h"), [(0.0, FOREVER_H), (40.0, FOREVER_H), (0.0, 50.0), (40.0, 50.0)]
)
def test_strain_by_another_way(mechano: float, relax_h: float) -> None:
    """Elastic, easing with moisture, easing with time, and both, worked out from the moisture alone."""
    ours, theirs = strain_beside(0.3, mechano, relax_h, 96)
    assert np.max(np.abs(ours)) > 2e-3
    np.testing.assert_allclose(ours, theirs, rtol=0.0, atol=0.01 * np.max(np.abs(theirs)))


def test_strain_by_another_way_catches(monkeypatch: pytest.MonkeyPatch) -> None:
    """Easing a tenth too strong."""
    changed(monkeypatch, lambda row: {"ms": 1.1 * row["ms"]})
    ours, theirs = strain_beside(0.3, 40.0, 50.0, 96)
    assert np.max(np.abs(ours - theirs)) > 0.01 * np.max(np.abs(theirs))


def test_neighbours_change_nothing() -> None:
    """A body alone, among 200 others, in another order, with one, two or five threads: the same numbers."""
    bodies = some_bodies(201, seed=6, shape="plane", hours=240.0)
    samples = [24.0, 100.0, 240.0]

    def means(those: Sequence[Body], threads: int = 1) -> Floats:
        return run(prepare(those, 240.0), samples, threads=threads).mean

    together = means(bodies)
    for number in (0, 77, 200):
        np.testing.assert_allclose(means([bodies[number]])[0], together[number], rtol=0.0, atol=1e-12)
    np.testing.assert_allclose(means(bodies[::-1])[::-1], together, rtol=0.0, atol=1e-12)
    for threads in (2, 5):
        np.testing.assert_allclose(means(bodies, threads), together, rtol=0.0, atol=1e-12)
    batch = prepare(bodies, 240.0)
    batch.order = np.argsort([-body.half_m for body in bodies])
    np.testing.assert_allclose(run(batch, samples).mean, together, rtol=0.0, atol=1e-12)


def test_cut_and_resumed() -> None:
    """0 to 100 h and on to 300 h is what 0 to 300 h is, also strain, also across a change of climate."""
    bodies = some_bodies(60, seed=7, shape="cylinder", hours=300.0)
    samples = np.arange(25.0, 301.0, 25.0)
    whole = run(prepare(bodies, 300.0, cells=48), samples, tolerance=1e-5, strained=True)
    batch = prepare(bodies, 100.0, cells=48)
    first = run(batch, samples[:4], tolerance=1e-5, strained=True)
    batch.starts[:], batch.ends[:] = 100.0, 300.0
    second = run(batch, samples[4:], tolerance=1e-5, strained=True)
    for name, close in (("mean", 5e-5), ("surface", 5e-3), ("cover_rh", 5e-3), ("strain", 2e-4)):
        parts = np.hstack((getattr(first, name), getattr(second, name)))
        np.testing.assert_allclose(parts, getattr(whole, name), rtol=0.0, atol=close, err_msg=name)


def test_dry_keeps_the_order_of_mixed_shapes() -> None:
    """Each body's course stands where the body stood."""
    bodies = some_bodies(12, seed=8, hours=100.0)
    assert len({body.shape for body in bodies}) == 3
    together = dry(bodies, [50.0, 100.0])
    for number, body in enumerate(bodies):
        alone = dry([body], [50.0, 100.0])
        for name in ("mean", "surface", "surface_rh", "cover_rh"):
            np.testing.assert_allclose(getattr(alone, name)[0], getattr(together, name)[number], atol=1e-12)
        assert alone.steps[0] == together.steps[number]


def test_samples_between_steps() -> None:
    """What is written between two steps lies on the course that short steps take."""
    bodies = some_bodies(20, seed=9, hours=200.0, lively=False)
    ticks = np.arange(3.0, 201.0, 3.0)
    found, fine = dry(bodies, ticks), dry(bodies, ticks, tolerance=1e-7)
    np.testing.assert_allclose(found.mean, fine.mean, rtol=0.0, atol=3e-4)
    np.testing.assert_allclose(found.cover_rh, fine.cover_rh, rtol=0.0, atol=2e-2)


def test_refusals() -> None:
    """Bodies of several shapes in one batch, a profile that does not fit, a body whose numbers are none."""
    with pytest.raises(ValueError, match="one shape"):
        prepare([body_of(PINE, "plane"), body_of(PINE, "sphere")], 24.0)
    with pytest.raises(ValueError, match="41 vertices"):
        prepare([body_of(PINE, profile=(0.5, 0.6))], 24.0)
    lost = body_of(PINE, profile=math.nan)
    with pytest.raises(engine.EngineError, match=r"bodies \[1\]"):
        dry([body_of(PINE), lost], [24.0])


def test_a_run_cut_where_its_constants_change_goes_on_as_if_it_had_not_been() -> None:
    """Also the air under its cover, which holds its vapour while the room grows colder, and the strain."""
    body = body_of(OAK)
    warm = replace(body.pieces[0], until_h=100.0, outer_m_s=1e-4, air_depth_m=0.05)
    cold = replace(warm, until_h=FOREVER_H, saturation_kg_m3=0.6 * warm.saturation_kg_m3)
    body = replace(body, pieces=(warm, cold), shrinkage=0.3, mechano=40.0)
    whole = prepare([body], 101.0)
    through = run(whole, [100.5, 101.0], strained=True)
    cut = prepare([body], 100.0)
    run(cut, [100.0], strained=True)
    cut.starts[:], cut.ends[:] = 100.0, 101.0
    resumed = run(cut, [50.0, 100.0, 100.5, 101.0], strained=True)
    assert np.isnan(resumed.mean[0, 0])
    np.testing.assert_allclose(resumed.mean[0, 2:], through.mean[0], atol=2e-5)
    np.testing.assert_allclose(resumed.cover_rh[0, 2:], through.cover_rh[0], atol=5e-3)
    assert resumed.peak_strain[0] == pytest.approx(through.peak_strain[0], rel=0.02)
    assert resumed.strain[0, 1] > 0.0


def test_a_room_may_jump_and_stays_as_it_is_before_its_first_knot() -> None:
    """Two knots at one hour are a jump; before the first the humidity is the first one's."""
    body = replace(body_of(OAK), room=((40.0, 0.5), (60.0, 0.5), (60.0, 0.8)))
    ramp = replace(body, room=((0.0, 0.5), (60.0, 0.5), (60.0 + 1e-6, 0.8)))
    jumped, ramped = (dry([one], [20.0, 50.0, 100.0]) for one in (body, ramp))
    np.testing.assert_allclose(jumped.mean, ramped.mean, atol=2e-5)
    with pytest.raises(ValueError, match="do not rise"):
        prepare([replace(body, room=((10.0, 0.5), (5.0, 0.6)))], 24.0)


def test_hours_that_do_not_rise_are_refused() -> None:
    """Samples, and a body that would end before it starts."""
    batch = prepare([body_of(OAK)], 24.0)
    with pytest.raises(ValueError, match="sample hours"):
        run(batch, [12.0, 6.0])
    batch.ends[:] = 0.0
    with pytest.raises(ValueError, match="end later"):
        run(batch, [12.0])


def test_the_wettest_place_is_that_of_a_run_stopped_to_look() -> None:
    """Where strain is asked for; else it is not looked for."""
    body = body_of(OAK, "plane", 0.02, profile=0.1)
    wet = np.where(grid("plane", engine.STRAIN_CELLS, STEEP_POWER).x > 0.8, 0.6, 0.1)
    body = replace(body, profile=tuple(wet.tolist()))
    hours = [12.0, 48.0, 120.0, 400.0]
    ticks = list(range(1, 401))
    found = dry([body], ticks, strained=True).wettest[0]
    for hour in hours:
        deepest = found[ticks.index(round(hour))]
        batch = prepare([body], hour, cells=engine.STRAIN_CELLS, power=STEEP_POWER)
        run(batch, [hour])
        there = batch.state[0, : engine.STRAIN_CELLS + 1].max()
        assert deepest == pytest.approx(there, abs=3e-3)
        assert deepest > batch.mean[0]
    assert np.all(np.isnan(dry([body_of(OAK)], hours).wettest))
