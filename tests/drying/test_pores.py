"""Brick, plaster and stone: three readings, begun as wet as is known, in the air there is."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from strandline.drying import pores
from strandline.drying.around import around
from strandline.drying.forecast import sample_hours
from strandline.drying.pores import pore_courses, pore_slabs
from strandline.drying.shape import size_of
from strandline.drying.stuff import Other
from strandline.knowledge import bodies
from strandline.physics.capillary import TwoStage
from strandline.things.drying import Reached, Stretch, WetBody
from tests.drying.cast import (
    FOREVER_H,
    all_rise,
    ask,
    assumed,
    body,
    cover,
    draws,
    dried,
    flags,
    series,
    target,
)

CAPILLARY = tuple(key for key, one in bodies.bodies().items() if one.model == "capillary")
BRICK = "brick"


def brick(**told: object) -> WetBody:
    """A brick of 50 mm, soaked."""
    return body(**{"kind": BRICK, "kind_words": "brick", "thickness_mm": 50.0, **told})


def courses(wet: WetBody) -> list[TwoStage]:
    """Its readings at 20 degC and 50 %, with every film at its middle."""
    stuff = Other(bodies.body(wet.kind))
    size = size_of(wet, 1.0)
    slabs, _ = pore_slabs(wet, stuff, size, draws())
    return pore_courses(wet, slabs, ask(), around(wet, ask(), size, draws(200)))


@pytest.mark.parametrize("kind", CAPILLARY)
def test_every_capillary_body_gives_a_band(kind: str) -> None:
    """Low, mid and high in order, from its own water down; mould too, nothing of strain."""
    found = dried(body(kind=kind, thickness_mm=15.0), ask(days=200.0))
    assert found.model == "two_stage"
    assert found.series
    assert all_rise(found.series.mean)
    assert [one[1] for one in found.series.mean] == sorted(
        (one[1] for one in found.series.mean), reverse=True
    )
    assert found.start_moisture == found.series.mean[0]
    assert found.target
    assert found.target.hours
    assert found.target.hours[0] < found.target.hours[1] < found.target.hours[2]
    assert found.strain == ()
    assert found.mould
    assert all_rise([found.mould.index_end, found.mould.index_highest])
    assert {"two_stage", "untried"} <= flags(found)
    assert {"mu", "critical_kg_m3", "free_saturation_kg_m3", "film_m_s"} <= set(found.numbers)
    assert "limestone-crds" in found.sources
    low, mid, high = found.numbers["second_stage_mm2_h"]
    assert low < mid < high


def test_the_second_stage_of_limestone_is_the_measured_one() -> None:
    """3.0 to 6.5e-9 m2/s at 25 degC (limestone-crds): its middle and high end in square mm an hour; the slow
    reading is vapour alone, below all that was measured."""
    low, mid, high = dried(body(kind="limestone_porous", thickness_mm=30.0)).numbers["second_stage_mm2_h"]
    assert (mid, high) == (pytest.approx(4.75e-9 * 3.6e9), pytest.approx(6.5e-9 * 3.6e9))
    assert low < 3.0e-9 * 3.6e9


def law_a_wet_face_is_cold() -> None:
    """The first hour of a soaked brick at 20 degC and 50 %: a face at the wet bulb has 0.38 of the drive of
    one as warm as the air (ashrae-f17-1); radiation brings some heat as well, so a third to two thirds."""
    one = courses(brick())[1]
    lost = one.water_left_kg_m2(0.0) - one.water_left_kg_m2(1.0)
    warm_face = 2 * 0.0025 * 8.643e-3 * 3600.0
    assert 0.35 < lost / warm_face < 0.65


def test_a_wet_face_is_cold() -> None:
    law_a_wet_face_is_cold()


def test_a_face_as_warm_as_the_air_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Evaporation that cools nothing."""
    monkeypatch.setattr(pores, "cooling", lambda film, outer, temp_c: 0.0)
    with pytest.raises(AssertionError):
        law_a_wet_face_is_cold()


def law_round_bodies_end_in_their_time() -> None:
    """A front crosses a rod in half, a ball in a third of the time of a slab as deep, film and all."""
    flat = brick(width_mm=None, length_mm=None)
    slab, rod, ball = (
        courses(replace(flat, shape=shape))[1].hours_until(0.0) for shape in ("plane", "cylinder", "sphere")
    )
    assert rod == pytest.approx(slab / 2.0, rel=1e-6)
    assert ball == pytest.approx(slab / 3.0, rel=1e-6)


def test_round_bodies_end_in_their_time() -> None:
    law_round_bodies_end_in_their_time()


def test_a_ball_taken_as_a_slab_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every shape run as a plane."""
    monkeypatch.setattr(pores, "SHAPES", type("Flat", (), {"index": lambda self, shape: 0})())
    with pytest.raises(AssertionError):
        law_round_bodies_end_in_their_time()


def test_faces_thickness_air_and_cover() -> None:
    """One face is slower than two, thick than thin, cold than warm, damp than dry, covered than open."""
    plain = _hours(brick())
    for slower in (
        _hours(brick(faces=1)),
        _hours(brick(thickness_mm=80.0)),
        _hours(brick(cover=cover(sheet="board_box"))),
    ):
        assert all(one > two for one, two in zip(slower, plain, strict=True))
    assert all(one > two for one, two in zip(_hours(brick(), temp_c=10.0), plain, strict=True))
    assert all(one < two for one, two in zip(_hours(brick(), rh=0.3), plain, strict=True))


def _hours(wet: WetBody, **told: float) -> tuple[float, float, float]:
    found = target(wet, ask(days=2000.0, **told)).hours
    assert found
    return found


def test_what_is_known_of_its_water_is_used() -> None:
    """Minutes under water, a moisture, two weights; each is drier than soaked, and what was taken is said."""
    soaked = dried(brick())
    assert "start_moisture" in assumed(soaked)
    assert soaked.start_moisture
    dip, stated, weighed = (
        dried(one) for one in (
            brick(under_water_h=0.02), brick(moisture=0.04), brick(wet_mass_g=1040.0, dry_mass_g=1000.0)
        )
    )  # fmt: skip
    for less in (dip, stated, weighed):
        assert less.start_moisture
        assert less.start_moisture[1] < soaked.start_moisture[1]
        assert less.target
        assert soaked.target
        assert less.target.hours
        assert soaked.target.hours
        assert less.target.hours[1] < soaked.target.hours[1]
    assert stated.start_moisture
    assert stated.start_moisture[1] == pytest.approx(0.04, rel=0.01)
    assert weighed.start_moisture
    assert weighed.start_moisture[1] == pytest.approx(0.043, rel=0.05)
    assert "dry_mass_g" in assumed(weighed)
    assert "start_moisture" not in assumed(stated)
    with pytest.raises(ValueError, match="weighs 900 g now"):
        dried(brick(wet_mass_g=900.0, dry_mass_g=1000.0))


def test_more_water_than_pores_is_not_believed() -> None:
    """A moisture of ten times its weight fills the pores and no more."""
    found = dried(brick(moisture=10.0))
    full = bodies.body(BRICK)
    assert full.porosity
    assert found.start_moisture
    assert found.start_moisture[2] <= 1000.0 * full.porosity.high / full.dry_kg_m3.low * 1.001


def law_a_damp_room_dries_no_brick() -> None:
    """At 80 % it cannot come to what it holds at 60 %; in a room that turns dry it can, from then on."""
    never = dried(brick(thickness_mm=10.0), ask(rh=0.8, target_rh=0.6))
    assert never.target == replace(never.target, hours=None, share=0.0)  # type: ignore[type-var]  # it has one
    assert "room_too_damp" in flags(never)
    room = (Stretch(240.0, 20.0, 0.8), Stretch(FOREVER_H, 20.0, 0.5))
    later = target(brick(thickness_mm=10.0), ask(room=room))
    assert later.hours
    assert later.hours[0] >= 240.0


def test_a_damp_room_dries_no_brick() -> None:
    law_a_damp_room_dries_no_brick()


def test_a_room_that_is_not_asked_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """All water gone, whatever the air."""
    monkeypatch.setattr(pores, "_room_allows", lambda hour, question: hour)
    with pytest.raises(AssertionError):
        law_a_damp_room_dries_no_brick()


def test_never_is_none_and_already_is_nought() -> None:
    """In saturated air nothing leaves; drier than the target it is there."""
    never: Reached = target(brick(), ask(rh=1.0))
    assert never.hours is None
    assert never.share == 0.0
    there = target(brick(moisture=0.0005), ask())
    assert there.hours == (0.0, 0.0, 0.0)
    assert "not_in_time" in flags(dried(brick(thickness_mm=200.0, faces=1), ask(days=2.0)))


def test_a_tight_cover_is_no_refusal() -> None:
    """Nothing to speak of leaves a welded box."""
    found = series(brick(cover=cover(sheet="tight")))
    assert found.mean[-1][0] == pytest.approx(found.mean[0][0], rel=0.02)


@pytest.mark.parametrize("days", [0.02, 0.1, 1.0, 30.0, 300.0, 3000.0, 30000.0])
def test_sample_hours_rise_to_the_end(days: float) -> None:
    """From 0 to the last hour, at most 260 of them."""
    found = sample_hours(days)
    assert found[0] == 0.0
    assert found[-1] == pytest.approx(24.0 * days)
    assert all(before < after for before, after in pairwise(found.tolist()))
    assert 2 <= len(found) <= 260
    assert math.isfinite(found[-1])
