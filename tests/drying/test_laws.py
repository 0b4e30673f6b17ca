"""What anyone who dries things expects of a forecast: thinner, warmer, drier, more open is sooner, and
weights add up; each law is seen to break when the reckoning is broken."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from strandline.drying import around as surrounding
from strandline.drying import forecast as forecasting
from strandline.drying import members as membering
from strandline.drying import start as starting
from strandline.drying.around import around
from strandline.drying.draws import Draws
from strandline.drying.members import Members, members_of
from strandline.drying.shape import size_of
from strandline.drying.start import start_band
from strandline.drying.stuff import Wood, stuff_of
from strandline.physics.air import saturation_density_kg_m3
from strandline.physics.engine import FOREVER_H as ENGINE_FOREVER_H
from strandline.physics.engine import STRAIN_CELLS, prepare, run
from strandline.physics.grid import STEEP_POWER
from strandline.things.drying import DryingQuestion, Stretch, WetBody
from tests.drying.cast import (
    FOREVER_H,
    PINE,
    WIDE_OPEN,
    all_rise,
    ask,
    body,
    cover,
    dried,
    hours,
    series,
    strain_of,
    target,
)

LONG = ask(days=240.0)


def law_thinner_is_sooner() -> None:
    """Low, mid and high; twice the thickness takes two to four times as long."""
    thin, thick = hours(body(thickness_mm=10.0), LONG), hours(body(thickness_mm=20.0), LONG)
    for one, two in zip(thin, thick, strict=True):
        assert 2.0 < two / one < 4.1


def law_warmer_is_sooner() -> None:
    """At 10, 20 and 30 degC."""
    cold, mild, warm = (hours(body(), ask(temp_c, days=240.0)) for temp_c in (10.0, 20.0, 30.0))
    for place in range(3):
        assert warm[place] < mild[place] < cold[place]
    assert cold[1] > 1.3 * warm[1]


def law_drier_is_sooner() -> None:
    """A room of 35, 45 and 55 %, all to the same target."""
    dry, mild, damp = (hours(body(), ask(rh=rh, days=240.0)) for rh in (0.35, 0.45, 0.55))
    for place in range(3):
        assert dry[place] < mild[place] < damp[place]


def law_more_open_is_sooner() -> None:
    """No cover, a gaping one, a shut one; the shut one holds it back for months."""
    bare, gaping = hours(body(), LONG), hours(body(cover=cover(WIDE_OPEN)), LONG)
    assert bare[1] < gaping[1]
    assert target(body(cover=cover()), LONG).hours is None


def law_a_shut_cover_is_damp_mouldy_and_mild() -> None:
    """Damper air under it, more mould, less strain than in the open."""
    bare, shut = dried(body()), dried(body(cover=cover()))
    assert bare.series
    assert shut.series
    assert bare.mould
    assert shut.mould
    middle = len(shut.series.hours) // 2
    assert shut.series.cover_rh[middle][0] > 0.9 > bare.series.cover_rh[middle][2]
    assert shut.mould.index_end[1] > 1.0 > bare.mould.index_highest[1]
    assert shut.mould.share_growing > bare.mould.share_growing
    assert strain_of(shut, "yield_0.004")[2] < strain_of(bare, "yield_0.004")[0]


def law_weights_add_up() -> None:
    """Weighed 600 g now and 400 g before the flood: it begins at 600 g, never gains, and ends near 400 g in
    the air that it came from. First drying holds up to a tenth more of its water than before: a few grams."""
    wet = body(thickness_mm=8.0, wet_mass_g=600.0, dry_mass_g=400.0)
    found = series(wet, ask(18.0, 0.55, days=60.0))
    assert found.mass_g is not None
    assert found.mass_g[0] == pytest.approx((600.0, 600.0, 600.0))
    assert found.mass_g[-1][1] == pytest.approx(400.0, rel=0.015)
    assert found.mass_g[-1][0] < 404.0
    for place in range(3):
        assert all(np.diff([one[place] for one in found.mass_g]) <= 1e-3)


def by_hand(wet: WetBody, question: DryingQuestion) -> list[float]:
    """The mean moisture of the middle member after each stretch: one run of the engine for each, which begins
    where the last one ended."""
    stuff = stuff_of(wet.kind)
    assert isinstance(stuff, Wood)
    size, draws = size_of(wet, 4.0), Draws(question.members, question.seed, f"{wet.tag}|{wet.part}")
    start, _ = start_band(wet, stuff, stuff.timber.basic_density_kg_m3, size.half_m, None)
    begin, means, state = 0.0, [], None
    for stretch in question.room:
        lasting = replace(question, room=(replace(stretch, until_h=FOREVER_H),))
        near = around(wet, lasting, size, draws)
        members = members_of(stuff, size, wet.shape, lasting, near, start, draws)
        batch = prepare(members.bodies, stretch.until_h - begin, cells=STRAIN_CELLS, power=STEEP_POWER)
        if state is not None:
            batch.state[:] = state
        run(batch, [stretch.until_h - begin], strained=True)
        state, begin = batch.state, stretch.until_h
        means.append(float(np.median(batch.mean)))
    return means


def law_a_cold_week_then_a_warm_one() -> None:
    """Two stretches in one forecast, against two runs of the engine, the second going on from the first."""
    wet = body(width_mm=None, length_mm=None, moisture=0.9)
    room = (Stretch(168.0, 6.0, 0.75), Stretch(336.0, 24.0, 0.45))
    question = ask(room=room, days=14.0)
    found = series(wet, question)
    means = by_hand(wet, question)
    for hour, mean in zip((168.0, 336.0), means, strict=True):
        assert found.mean[found.hours.index(hour)][1] == pytest.approx(mean, rel=0.01)


def warm_as_cold(monkeypatch: pytest.MonkeyPatch) -> None:
    """A diffusivity and vapour that do not feel the temperature."""
    form, full = membering._timber_form, saturation_density_kg_m3
    monkeypatch.setattr(membering, "_timber_form", lambda temp_c, density: form(20.0, density))
    monkeypatch.setattr(membering, "saturation_density_kg_m3", lambda temp_c: full(20.0))


def all_of_one_thickness(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every body run as thick as the next."""
    monkeypatch.setattr(forecasting, "size_of", lambda wet, along: replace(size_of(wet, along), half_m=0.01))


def all_rooms_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    """A room whose humidity is forgotten."""
    monkeypatch.setattr(membering, "_knots", lambda question: ((0.0, 0.45),))


def no_cover_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    """A cover that passes as much as none."""
    plain = surrounding.around
    monkeypatch.setattr(
        forecasting,
        "around",
        lambda wet, q, size, draws, others=(): plain(replace(wet, cover=None), q, size, draws, others),
    )


def vapour_in_grams(monkeypatch: pytest.MonkeyPatch) -> None:
    """Vapour in g/m3 where kg/m3 are wanted: a cover then passes a thousand times as much."""
    full = saturation_density_kg_m3
    monkeypatch.setattr(membering, "saturation_density_kg_m3", lambda temp_c: 1000.0 * full(temp_c))


def old_weights_oven_dry(monkeypatch: pytest.MonkeyPatch) -> None:
    """An old weight taken as that of wood without any water."""
    monkeypatch.setattr(starting, "core_moisture", lambda stuff, rh=0.55: 0.0)


def first_stretch_for_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    """A forecast that forgets that the room changes."""
    plain = membering.members_of

    def forgetful(*given: object) -> Members:
        found = plain(*given)  # type: ignore[arg-type]  # handed on as they came
        bodies = [
            replace(one, pieces=(replace(one.pieces[0], until_h=ENGINE_FOREVER_H),)) for one in found.bodies
        ]
        return replace(found, bodies=tuple(bodies))

    monkeypatch.setattr(forecasting, "members_of", forgetful)


LAWS = (
    (law_thinner_is_sooner, all_of_one_thickness),
    (law_warmer_is_sooner, warm_as_cold),
    (law_drier_is_sooner, all_rooms_alike),
    (law_more_open_is_sooner, no_cover_counts),
    (law_a_shut_cover_is_damp_mouldy_and_mild, vapour_in_grams),
    (law_weights_add_up, old_weights_oven_dry),
    (law_a_cold_week_then_a_warm_one, first_stretch_for_ever),
)


@pytest.mark.parametrize("law", [law for law, _ in LAWS])
def test_law(law: Callable[[], None]) -> None:
    """It holds."""
    law()


@pytest.mark.parametrize(("law", "mutant"), LAWS)
def test_law_can_break(
    law: Callable[[], None], mutant: Callable[[pytest.MonkeyPatch], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A reckoning that is wrong is seen."""
    mutant(monkeypatch)
    with pytest.raises(AssertionError):
        law()


def test_faces_shapes_and_moving_air() -> None:
    """One face is slower than two, a rod faster than a board, a ball faster than a rod; moved air helps."""
    flat = {"width_mm": None, "length_mm": None, "thickness_mm": 14.0}
    board = hours(body(**flat), LONG)
    assert hours(body(**flat, faces=1), LONG)[1] > 2.0 * board[1]
    rod = hours(body(**flat, shape="cylinder"), LONG)
    ball = hours(body(**flat, shape="sphere"), LONG)
    assert ball[1] < rod[1] < board[1]
    moved = hours(body(thickness_mm=4.0), ask(moving_air=True))
    assert moved[1] < hours(body(thickness_mm=4.0))[1]


def test_a_short_wetting_dries_sooner_and_begins_with_a_dry_core() -> None:
    """Two hours under water are not a month: less water, and that near the skin."""
    short, long = body(under_water_h=2.0), body(under_water_h=720.0)
    assert hours(short, LONG)[1] < 0.75 * hours(long, LONG)[1]
    first, other = series(short), series(long)
    assert first.mean[0][1] < 0.5 * other.mean[0][1]
    assert first.surface[0][1] > 2.0 * first.mean[0][1]


def test_water_lost_is_water_that_was_there() -> None:
    """Weight is that of the dry wood and of its moisture, at every hour."""
    found = dried(body(moisture=0.9), ask(members=64))
    assert found.series
    assert found.series.mass_g
    density = found.numbers["basic_density_kg_m3"][1]
    for mean, mass in zip(found.series.mean, found.series.mass_g, strict=True):
        assert mass[1] == pytest.approx(density * (1.0 + mean[1]), rel=0.03)
    assert found.series.mean[0][1] == pytest.approx(0.9, rel=0.01)


def test_no_weight_without_weight_or_size() -> None:
    """A board of which only the thickness is known has no course of weight."""
    assert series(body(width_mm=None)).mass_g is None
    assert series(body(width_mm=None, dry_mass_g=400.0)).mass_g is not None


@pytest.mark.parametrize("shape", ["plane", "cylinder", "sphere"])
@pytest.mark.parametrize("kind", [PINE, "bone", "leather_vegetable", "horn", "wool"])
def test_every_course_falls_and_is_a_band(kind: str, shape: str) -> None:
    """In a dry room nothing takes up water again."""
    found = series(body(kind=kind, shape=shape, thickness_mm=6.0))
    for course in (found.mean, found.surface, found.surface_rh, found.cover_rh, found.strain):
        assert all_rise(course)
    assert all(np.diff([one[1] for one in found.mean]) <= 1e-6)
    assert found.mean[-1][1] < found.mean[0][1]
