"""Laws that drying keeps whatever the numbers, each shown to catch an engine that is deliberately wrong."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from strandline.physics import engine
from strandline.physics.diffusivity import Diffusivity, constant
from strandline.physics.engine import FOREVER_H, Body, EngineError, Piece, dry
from strandline.physics.isotherm import Isotherm, moisture_at, rh_at
from tests.physics.drying_bodies import OAK, SHAPES, STUFFS, Stuff, body_of, piece_of

Floats = npt.NDArray[np.float64]
Row = dict[str, float]

HOURS = [4.0, 24.0, 72.0, 168.0, 336.0, 720.0]
SLACK = 3e-4
"""What the engine's own error may make of an inequality [kg/kg]."""

A_STUFF = st.sampled_from(STUFFS)
A_SHAPE = st.sampled_from(SHAPES)
A_HALF_M = st.floats(1e-3, 0.03)
A_FILM_M_S = st.floats(5e-4, 5e-3)
AN_OPENING_M_S = st.floats(2e-5, 3e-3)
AN_RH = st.floats(0.2, 0.8)
few = settings(max_examples=20)


def course(*bodies: Body) -> list[Floats]:
    """Mean moisture of each at HOURS."""
    return list(dry(bodies, HOURS).mean)


@pytest.fixture
def wrongly(monkeypatch: pytest.MonkeyPatch) -> Callable[[Callable[[Row], Row]], None]:
    """Make the engine's table of numbers come out wrong."""

    def make(change: Callable[[Row], Row]) -> None:
        good, names = engine.set_row, engine.at.SET_NAMES

        def bad(body: Body, piece: Piece) -> list[float]:
            row = dict(zip(names, good(body, piece), strict=True))
            row.update(change(row))
            return [row[name] for name in names]

        monkeypatch.setattr(engine, "set_row", bad)

    return make


Wrongly = Callable[[Callable[[Row], Row]], None]


def caught(law: Callable[[], None]) -> None:
    """The law does not hold, or the engine gives up."""
    with pytest.raises((AssertionError, EngineError)):
        law()


def covered(stuff: Stuff, shape: str, half_m: float, film: float, opening: float, rh: float) -> Body:
    """A body under a cover with an opening."""
    piece = piece_of(stuff, 20.0, surface_m_s=film, outer_m_s=opening, cooling=0.3)
    return body_of(stuff, shape, half_m, pieces=(piece,), profile=stuff.start[0], room=((0.0, rh),))


# --- the room ---------------------------------------------------------------------------------------------


def moister_rooms_dry_less(body: Body, rh: float, more: float) -> None:
    """Of two rooms the moister leaves the body moister, at all times."""
    body = replace(body, cover_rh=0.5)
    here, moister = course(replace(body, room=((0.0, rh),)), replace(body, room=((0.0, rh + more),)))
    assert np.all(moister >= here - SLACK)
    assert moister[-1] > here[-1]


@few
@given(A_STUFF, A_SHAPE, A_HALF_M, A_FILM_M_S, AN_OPENING_M_S, AN_RH, st.floats(0.05, 0.2))
def test_moister_rooms(
    stuff: Stuff, shape: str, half_m: float, film: float, opening: float, rh: float, more: float
) -> None:
    """Drying is monotone in the humidity of the room."""
    moister_rooms_dry_less(covered(stuff, shape, half_m, film, opening, rh), rh, more)


def test_moister_rooms_catches(wrongly: Wrongly) -> None:
    """A cover whose opening the room is not felt through."""
    wrongly(lambda row: {"gv": 0.0})
    caught(lambda: moister_rooms_dry_less(covered(OAK, "plane", 0.005, 3e-3, 1e-3, 0.4), 0.4, 0.2))


# --- the start --------------------------------------------------------------------------------------------


def wetter_starts_stay_wetter(body: Body, start: float, more: float) -> None:
    """Of two starts the wetter stays the wetter."""
    here, wetter = course(replace(body, profile=start), replace(body, profile=start + more))
    assert np.all(wetter >= here - SLACK)
    assert wetter[0] > here[0]


@few
@given(A_STUFF, A_SHAPE, A_HALF_M, AN_OPENING_M_S, AN_RH, st.floats(0.1, 0.6), st.floats(0.05, 0.6))
def test_wetter_starts(
    stuff: Stuff, shape: str, half_m: float, opening: float, rh: float, start: float, more: float
) -> None:
    """Drying keeps the order of starts."""
    wetter_starts_stay_wetter(covered(stuff, shape, max(half_m, 3e-3), 3e-3, opening, rh), start, more)


def test_wetter_starts_catches(monkeypatch: pytest.MonkeyPatch) -> None:
    """Profiles written down as what is missing of 2 kg/kg."""
    good = engine.prepare

    def bad(*given_: object, **named: object) -> engine.Batch:
        batch = good(*given_, **named)
        batch.state[:, : batch.cells + 1] = 2.0 - batch.state[:, : batch.cells + 1]
        return batch

    monkeypatch.setattr(engine, "prepare", bad)
    caught(lambda: wetter_starts_stay_wetter(body_of(OAK), 0.5, 0.5))


# --- conductances and diffusivity -------------------------------------------------------------------------


def more_open_dries_no_slower(body: Body, name: str, factor: float) -> None:
    """A larger film or opening leaves no more water at any time."""
    piece = body.pieces[0]
    opened = replace(piece, **{name: factor * getattr(piece, name)})
    here, more = course(body, replace(body, pieces=(opened,)))
    assert np.all(more <= here + SLACK)
    assert more[0] < here[0] + SLACK
    assert np.any(more < here)


@few
@given(
    A_STUFF, A_SHAPE, A_HALF_M, A_FILM_M_S, AN_OPENING_M_S, AN_RH,
    st.sampled_from(["surface_m_s", "outer_m_s"]), st.floats(1.2, 10.0),
)  # fmt: skip
def test_more_open(
    stuff: Stuff, shape: str, half_m: float, film: float, opening: float, rh: float, name: str, factor: float
) -> None:
    """Drying is monotone in what lets vapour through."""
    more_open_dries_no_slower(covered(stuff, shape, half_m, film, opening, rh), name, factor)


@pytest.mark.parametrize(("name", "column"), [("surface_m_s", "q"), ("outer_m_s", "gv")])
def test_more_open_catches(wrongly: Wrongly, name: str, column: str) -> None:
    """A resistance taken for a conductance."""
    wrongly(lambda row: {column: 0.01 / row[column]})
    caught(lambda: more_open_dries_no_slower(covered(OAK, "plane", 0.005, 3e-3, 1e-3, 0.4), name, 4.0))


def quicker_inside_dries_no_slower(body: Body, factor: float) -> None:
    """A larger diffusivity leaves no more water at any time."""
    piece = body.pieces[0]
    p0, p1, p2, p3, p4 = (factor * value for value in piece.diffusivity.polynomial)
    quick = Diffusivity(piece.diffusivity.top, (p0, p1, p2, p3, p4), factor * piece.diffusivity.rise)
    here, quicker = course(body, replace(body, pieces=(replace(piece, diffusivity=quick),)))
    assert np.all(quicker <= here + SLACK)
    assert np.any(quicker < here - 1e-6)


@few
@given(A_STUFF, A_SHAPE, A_HALF_M, A_FILM_M_S, AN_OPENING_M_S, AN_RH, st.floats(1.3, 10.0))
def test_quicker_inside(
    stuff: Stuff, shape: str, half_m: float, film: float, opening: float, rh: float, factor: float
) -> None:
    """Drying is monotone in the diffusivity."""
    quicker_inside_dries_no_slower(covered(stuff, shape, half_m, film, opening, rh), factor)


def test_quicker_inside_catches(wrongly: Wrongly) -> None:
    """All of the diffusivity inverted."""

    def inverted(row: Row) -> Row:
        names = [f"{kind}{power}" for kind in "fd" for power in range(1, 6)] + ["top", "rise", "step"]
        return {name: row[name] * (0.002 / row["d1"]) ** 2 for name in names}

    wrongly(inverted)
    caught(lambda: quicker_inside_dries_no_slower(covered(OAK, "plane", 0.01, 3e-3, 1e-3, 0.4), 4.0))


# --- bounds, wetting, limits ------------------------------------------------------------------------------


def stays_between_start_and_balance(body: Body) -> None:
    """Mean and surface fall, and stop at what the room's air is in balance with."""
    dried = dry([body], HOURS)
    rh, start = body.room[0][1], float(np.max(body.profile))
    balance = moisture_at(body.pieces[0].isotherm, rh)
    for values in (dried.mean[0], dried.surface[0]):
        assert np.all(values <= start + SLACK)
        assert np.all(values >= balance - 2e-3)
        assert np.all(np.diff(values) <= SLACK)
    assert dried.mean[0, -1] < start - 1e-3
    assert np.all(dried.surface[0] <= dried.mean[0] + SLACK)


@few
@given(A_STUFF, A_SHAPE, A_HALF_M, A_FILM_M_S, AN_OPENING_M_S, AN_RH)
def test_between_start_and_balance(
    stuff: Stuff, shape: str, half_m: float, film: float, opening: float, rh: float
) -> None:
    """Nothing wets itself, nothing dries beyond its balance."""
    stays_between_start_and_balance(covered(stuff, shape, half_m, film, opening, rh))


@pytest.mark.parametrize("change", [lambda row: {"q": -row["q"]}, lambda row: {"per_k": 2.0 * row["per_k"]}])
def test_between_start_and_balance_catches(wrongly: Wrongly, change: Callable[[Row], Row]) -> None:
    """Evaporation that wets; an isotherm whose humidity is twice what it should be."""
    wrongly(change)
    caught(lambda: stays_between_start_and_balance(covered(OAK, "plane", 0.002, 3e-3, 1e-3, 0.4)))


LINE = Isotherm(2e5, 1e-5, 0.0, 0.0)
"""As good as a line: moisture is twice the humidity."""


def wetting_mirrors_drying(shape: str, half_m: float, low: float, high: float) -> None:
    """With one diffusivity and a straight isotherm, wetting is drying upside down."""
    piece = Piece(FOREVER_H, LINE, constant(1e-10), 0.0173, 1e-3)
    one = Body(shape, half_m, 500.0, (piece,), high, ((0.0, 0.5 * low),))
    down, up = course(one, replace(one, profile=low, room=((0.0, 0.5 * high),)))
    np.testing.assert_allclose(down + up, low + high, rtol=0.0, atol=SLACK)
    assert down[-1] < high - 0.1 * (high - low)


@few
@given(A_SHAPE, A_HALF_M, st.floats(0.1, 0.5), st.floats(0.2, 0.8))
def test_wetting_mirrors_drying(shape: str, half_m: float, low: float, more: float) -> None:
    """Whatever the shape, size and moistures."""
    wetting_mirrors_drying(shape, half_m, low, low + more)


def test_wetting_catches(wrongly: Wrongly) -> None:
    """A diffusivity that rises with moisture where it should stay."""
    wrongly(lambda row: {"f2": 0.5 * row["d1"], "d2": row["d1"]})
    caught(lambda: wetting_mirrors_drying("plane", 0.01, 0.2, 0.8))


def lumped(body: Body) -> Floats:
    """Mean moisture of a body without any resistance inside, by scipy: itself and its cover's air."""
    piece = body.pieces[0]
    surface_m2_m3 = (SHAPES.index(body.shape) + 1) / body.half_m

    def rate(_: float, both: Floats) -> list[float]:
        moisture, air = both
        wet = rh_at(piece.isotherm, max(0.0, moisture))
        leaving = 3600.0 * piece.surface_m_s * (wet - air) / (1.0 + piece.cooling * wet)
        through = 3600.0 * piece.outer_m_s * (air - body.room[0][1])
        loss = leaving * piece.saturation_kg_m3 * surface_m2_m3 / body.dry_density_kg_m3
        return [-loss, (leaving - through) / piece.air_depth_m]

    begin = [float(np.max(body.profile)), body.room[0][1]]
    found = solve_ivp(rate, (0.0, HOURS[-1]), begin, "LSODA", HOURS, rtol=1e-8, atol=1e-10)
    mean: Floats = found.y[0]
    return mean


def no_resistance_is_lumped(shape: str, half_m: float, film: float, opening: float, rh: float) -> None:
    """With a huge diffusivity the engine gives what one number for the whole body gives.

    Starts below saturation, where the engine's rounding of the humidity at 1 does nothing.
    """
    piece = replace(
        piece_of(OAK, 20.0, surface_m_s=film, outer_m_s=opening, cooling=0.3), diffusivity=constant(1e-5)
    )
    body = body_of(OAK, shape, half_m, pieces=(piece,), profile=0.22, room=((0.0, rh),))
    np.testing.assert_allclose(course(body)[0], lumped(body), rtol=0.0, atol=2e-4)


@few
@given(A_SHAPE, A_HALF_M, A_FILM_M_S, AN_OPENING_M_S, st.floats(0.2, 0.7))
def test_no_resistance(shape: str, half_m: float, film: float, opening: float, rh: float) -> None:
    """Whatever the film, the opening and the room."""
    no_resistance_is_lumped(shape, half_m, film, opening, rh)


@pytest.mark.parametrize(
    "change",
    [
        lambda row: {"q": row["q"] / 2.0},
        lambda row: {"p": 0.0},
        lambda row: {"k12": 0.0},
        lambda row: {"kv": 2.0 * row["kv"]},
    ],
    ids=["no shape", "no cooling", "another isotherm", "half the air"],
)
def test_no_resistance_catches(wrongly: Wrongly, change: Callable[[Row], Row]) -> None:
    """A cylinder taken for a plane, no cooling, another isotherm, an air that fills twice as fast."""
    wrongly(change)
    caught(lambda: no_resistance_is_lumped("cylinder", 0.01, 1e-3, 5e-4, 0.3))


def shut_in_keeps_its_water(stuff: Stuff, shape: str, half_m: float) -> None:
    """Under a shut cover a body gives off what its cover's air takes, and no more."""
    piece = piece_of(stuff, 20.0, outer_m_s=1e-18, air_depth_m=0.05)
    body = body_of(stuff, shape, half_m, pieces=(piece,), profile=stuff.start[0], cover_rh=0.3)
    air_can_take = (
        0.05 * piece.saturation_kg_m3 * (SHAPES.index(shape) + 1) / (half_m * stuff.dry_density_kg_m3)
    )
    lost = stuff.start[0] - dry([body], HOURS).mean[0]
    assert np.all(lost <= 0.7 * air_can_take + 1e-9)
    assert np.all(lost > 0.0)


@few
@given(A_STUFF, A_SHAPE, A_HALF_M)
def test_shut_in(stuff: Stuff, shape: str, half_m: float) -> None:
    """Whatever the body."""
    shut_in_keeps_its_water(stuff, shape, half_m)


def test_shut_in_catches(wrongly: Wrongly) -> None:
    """A leak of a thousandth of the air in an hour."""
    wrongly(lambda row: {"gv": 1e-3})
    caught(lambda: shut_in_keeps_its_water(OAK, "plane", 0.01))


# --- siblings ---------------------------------------------------------------------------------------------


@few
@given(A_STUFF, A_HALF_M, A_FILM_M_S, AN_OPENING_M_S, AN_RH)
def test_spheres_before_cylinders_before_planes(
    stuff: Stuff, half_m: float, film: float, opening: float, rh: float
) -> None:
    """The more surface for its volume, the sooner a body of the same half thickness is dry."""
    plane, cylinder, sphere = course(*(covered(stuff, shape, half_m, film, opening, rh) for shape in SHAPES))
    assert np.all(plane >= cylinder - SLACK)
    assert np.all(cylinder >= sphere - SLACK)
    assert plane[0] > sphere[0]


def first_stage_is_steady(cooling: float, shape: str) -> None:
    """While the surface is wet the mean falls along a line, by film, opening and cooling alone."""
    film, opening, rh = 2e-3, 1e-3, 0.5
    piece = piece_of(OAK, 20.0, surface_m_s=film, outer_m_s=opening, cooling=cooling)
    piece = replace(piece, diffusivity=constant(1e-7))
    body = body_of(OAK, shape, 0.02, pieces=(piece,), profile=1.5, room=((0.0, rh),))
    hours = np.array([24.0, 48.0, 72.0])
    conductance = 1.0 / (1.0 / (film / (1.0 + cooling)) + 1.0 / opening)
    loss = 3600.0 * conductance * piece.saturation_kg_m3 * (1.0 - rh) * (SHAPES.index(shape) + 1)
    lost = 1.5 - dry([body], hours.tolist()).mean[0]
    assert lost[-1] < 1.0
    np.testing.assert_allclose(lost, loss / (0.02 * OAK.dry_density_kg_m3) * hours, rtol=2e-3)


@pytest.mark.parametrize("cooling", [0.0, 0.6])
@pytest.mark.parametrize("shape", SHAPES)
def test_first_stage(cooling: float, shape: str) -> None:
    """Against the rate of a wet surface; what the cover's air takes first is within the tolerance."""
    first_stage_is_steady(cooling, shape)


@pytest.mark.parametrize("change", [lambda row: {"p": 0.0}, lambda row: {"q": 1.05 * row["q"]}])
def test_first_stage_catches(wrongly: Wrongly, change: Callable[[Row], Row]) -> None:
    """No cooling; a surface that gives off a twentieth too much."""
    wrongly(change)
    caught(lambda: first_stage_is_steady(0.6, "plane"))
