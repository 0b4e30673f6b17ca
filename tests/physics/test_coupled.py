"""Bodies that share a room: against one another, against the room's balance, and against bodies alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
import numpy.typing as npt
import pytest

from strandline.physics import coupled
from strandline.physics.coupled import NotSettled, SharedRoom, Together, dry_together
from strandline.physics.engine import Body, dry
from strandline.physics.isotherm import moisture_at
from tests.physics.drying_bodies import LEATHER, OAK, PINE, body_of, piece_of, saturation_kg_m3

Floats = npt.NDArray[np.float64]

FULL_KG_M3 = saturation_kg_m3(20.0)
HOURS = 192.0


def nothing(rh: float, hour: float) -> float:
    """No machine."""
    return 0.0


def outside(hour: float) -> float:
    """Air of half saturation comes in."""
    return 0.5 * FULL_KG_M3


def some_room(**numbers: object) -> SharedRoom:
    """60 m3, a third of its air changed in an hour, no machine, unless said otherwise."""
    given = {"volume_m3": 60.0, "air_change_per_h": 0.3, "removed_kg_h": nothing, "start_rh": 0.6, **numbers}
    return SharedRoom(saturation_kg_m3=FULL_KG_M3, outside_kg_m3=outside, **given)


def covered(body: Body) -> Body:
    """Under a cover with an opening, its air at 60 %."""
    piece = replace(body.pieces[0], outer_m_s=1e-3, air_depth_m=0.05, cooling=0.3)
    return replace(body, pieces=(piece,), cover_rh=0.6)


BODIES = [
    covered(body_of(PINE, "plane", 0.012, profile=1.1)),
    covered(body_of(OAK, "cylinder", 0.02, profile=0.7)),
    covered(body_of(LEATHER, "plane", 0.002, profile=1.2)),
    covered(body_of(OAK, "sphere", 0.015, profile=0.6)),
]
AREAS_M2 = [3.0, 2.0, 4.0, 1.0]


def held_kg(result: Together) -> Floats:
    """Water in all bodies and in the air under their covers, at the knots."""
    total = np.zeros(len(result.hours))
    for number, (body, area) in enumerate(zip(BODIES, AREAS_M2, strict=True)):
        parts = {"plane": 1, "cylinder": 2, "sphere": 3}[body.shape]
        total += area * body.half_m * body.dry_density_kg_m3 / parts * result.mean[number]
        total += area * body.pieces[0].air_depth_m * FULL_KG_M3 * result.cover_rh[number]
    return total


@cache
def together(knot_h: float = 3.0, tolerance: float = 1e-4, removed: float = 0.0) -> Together:
    """The bodies in one room."""
    room = some_room(removed_kg_h=lambda rh, hour: removed * rh)
    return dry_together(BODIES, AREAS_M2, room, HOURS, knot_h=knot_h, tolerance=tolerance)


def compared(found: Together, fine: Together) -> tuple[Floats, Floats, Floats]:
    """Hours that both have, and there the gaps of the room's humidity and of the bodies' moisture."""
    both = np.intersect1d(found.hours, fine.hours)
    mine, other = np.searchsorted(found.hours, both), np.searchsorted(fine.hours, both)
    gap = np.max(np.abs(found.mean[:, mine] - fine.mean[:, other]), axis=0)
    return both, np.abs(found.room_rh[mine] - fine.room_rh[other]), gap


def water_is_balanced(result: Together, removed: float) -> None:
    """What bodies lose is what they are said to have given; what they gave the room holds or has passed
    on, to
    within its own account of what is missing, which is little."""
    np.testing.assert_allclose(np.diff(held_kg(result)), -result.given_kg[1:], rtol=0.0, atol=1e-9)
    rh = result.room_rh
    passed = 0.3 * 60.0 * FULL_KG_M3 * (rh - 0.5) + removed * rh
    kept = 60.0 * FULL_KG_M3 * np.diff(rh) + 0.5 * np.diff(result.hours) * (passed[1:] + passed[:-1])
    missing = np.abs(result.given_kg[1:] - kept)
    assert np.max(missing) <= result.unbalanced_kg + 1e-12
    assert result.unbalanced_kg < 2e-3
    assert abs(np.sum(result.given_kg[1:] - kept)) < 2e-3 * np.sum(result.given_kg)


@pytest.mark.parametrize("removed", [0.0, 0.3])
def test_balance(removed: float) -> None:
    """All water, with and without a machine: the sum over the run closes within 0.2 %."""
    water_is_balanced(together(removed=removed), removed)


@pytest.mark.parametrize("wrong", ["bodies", "room"])
def test_the_balance_catches(monkeypatch: pytest.MonkeyPatch, wrong: str) -> None:
    """Bodies whose water counts 1 % too much; a room that loses what is blown through it twice."""
    if wrong == "bodies":
        good = coupled._given_kg

        def too_much(*given: object) -> Floats:
            return 1.01 * good(*given)

        monkeypatch.setattr(coupled, "_given_kg", too_much)
        result = dry_together(BODIES, AREAS_M2, some_room(), HOURS)
    else:
        result = dry_together(BODIES, AREAS_M2, some_room(air_change_per_h=0.6), HOURS)
    with pytest.raises(AssertionError):
        water_is_balanced(result, 0.0)


def test_finer_knots_close_in(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half the distance of knots, about half the error or less."""
    monkeypatch.setattr(coupled, "CLOSE_RH", 1e-6)
    fine, *others = (
        dry_together(BODIES, AREAS_M2, some_room(), HOURS, knot_h=knot_h, tolerance=1e-7)
        for knot_h in (0.125, 2.0, 1.0, 0.5)
    )
    errors = [float(np.max(compared(one, fine)[1])) for one in others]
    assert errors[0] > 1.8 * errors[1]
    assert errors[1] > 1.8 * errors[2]
    assert errors[2] < 1e-3


def test_usual_knots_are_close_enough() -> None:
    """Three hours between knots: humidity within 0.005 from the start on, moisture within 0.0005 kg/kg."""
    hours, humidity, moisture = compared(together(), together(0.25, 1e-6))
    assert len(hours) == HOURS / 3.0 + 1
    assert np.max(humidity) < 5e-3
    assert np.max(moisture) < 5e-4


@pytest.mark.parametrize(
    ("volume_m3", "start_rh", "area_m2", "off_early"),
    [(10.0, 0.3, 20.0, 0.02), (10.0, 0.9, 20.0, 0.02), (180.0, 0.4, 300.0, 0.02), (5.0, 0.3, 100.0, 0.05)],
)
def test_a_room_far_from_balance_is_right_at_once(
    volume_m3: float, start_rh: float, area_m2: float, off_early: float
) -> None:
    """Its air turns within minutes. Between knots the course is a line, which is off by so much in the first
    hours; from the third on humidity is right within 0.005, and moisture always."""
    bodies, room = (
        [body_of(PINE, "plane", 0.01, profile=0.9)],
        some_room(volume_m3=volume_m3, start_rh=start_rh),
    )
    usual, fine = (
        dry_together(bodies, [area_m2], room, 48.0, knot_h=knot_h, tolerance=1e-6) for knot_h in (3.0, 0.05)
    )
    early = usual.hours < 3.0
    gap = np.abs(usual.room_rh - np.interp(usual.hours, fine.hours, fine.room_rh))
    assert np.max(gap[early]) < off_early
    assert np.max(gap[~early]) < 5e-3
    assert np.max(np.abs(usual.mean[0] - np.interp(usual.hours, fine.hours, fine.mean[0]))) < 5e-4


def test_a_gale_is_a_room_of_its_own() -> None:
    """A room whose air is changed a thousand times an hour is the outside: each body dries as it does
    alone."""
    result = dry_together(
        BODIES, AREAS_M2, some_room(air_change_per_h=1000.0, start_rh=0.5), HOURS, tolerance=1e-5
    )
    alone = dry(
        [replace(body, room=((0.0, 0.5),)) for body in BODIES], result.hours[1:].tolist(), tolerance=1e-5
    )
    np.testing.assert_allclose(result.room_rh, 0.5, atol=1e-3)
    np.testing.assert_allclose(result.mean[:, 1:], alone.mean, rtol=0.0, atol=5e-4)


def test_a_shut_room_comes_to_one_balance() -> None:
    """Nothing leaves: thin bodies, wet and dry, end at one humidity, and the wet have wetted the dry."""
    piece = piece_of(PINE, 20.0, outer_m_s=3e-3)
    wet = body_of(PINE, "plane", 5e-4, pieces=(piece,), profile=0.25)
    room = some_room(volume_m3=5.0, air_change_per_h=0.0, start_rh=0.5)
    bodies, areas = [wet, replace(wet, profile=0.05)], [2.0, 2.0]
    result = dry_together(bodies, areas, room, 480.0, tolerance=1e-5)
    end = float(result.room_rh[-1])
    np.testing.assert_allclose(result.mean[:, -1], moisture_at(PINE.isotherm, end), atol=2e-3)
    assert result.mean[1, -1] > 0.08
    dry_kg = 2.0 * 5e-4 * PINE.dry_density_kg_m3
    water = dry_kg * result.mean.sum(axis=0) + 5.0 * FULL_KG_M3 * result.room_rh
    water += 2.0 * 0.01 * FULL_KG_M3 * result.cover_rh.sum(axis=0)
    np.testing.assert_allclose(water, water[0], rtol=5e-3)


@pytest.mark.parametrize(
    ("change", "moister"),
    [
        (lambda: dry_together(BODIES * 2, AREAS_M2 * 2, some_room(), HOURS), True),
        (lambda: dry_together(BODIES, AREAS_M2, some_room(air_change_per_h=1.0), HOURS), False),
        (lambda: together(removed=0.3), False),
    ],
    ids=["more bodies", "more air", "a machine"],
)
def test_what_makes_a_room_moister(change: Callable[[], Together], moister: bool) -> None:
    """More bodies make it moister and all dry later; more air or a machine make it drier and all dry
    sooner."""
    usual, other = together(), change()
    side = 1.0 if moister else -1.0
    assert np.all(side * (other.room_rh - usual.room_rh)[1:] > 0.0)
    assert np.all(side * (other.mean[:4] - usual.mean) > -3e-4)


def test_courses_stand_in_the_order_of_the_bodies() -> None:
    """Another order of the same bodies, the same courses."""
    usual = together()
    turned = dry_together(BODIES[::-1], AREAS_M2[::-1], some_room(), HOURS, tolerance=1e-4)
    np.testing.assert_allclose(turned.mean[::-1], usual.mean, rtol=0.0, atol=1e-6)
    np.testing.assert_allclose(turned.room_rh, usual.room_rh, rtol=0.0, atol=1e-6)


def test_refusals(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hours that knots do not fill; a room that does not settle is said, not passed over."""
    with pytest.raises(ValueError, match="no multiple"):
        dry_together(BODIES, AREAS_M2, some_room(), 100.0)
    monkeypatch.setattr(coupled, "CLOSE_RH", 0.0)
    with pytest.raises(NotSettled, match="between hours 0"):
        dry_together(BODIES, AREAS_M2, some_room(), 24.0)


def test_a_last_window_may_be_short() -> None:
    """Thirty hours are the first interval, one window and one knot: the longer run agrees up to there."""
    bodies = [covered(body_of(OAK)), covered(body_of(PINE))]
    short, long = (dry_together(bodies, [0.5, 0.4], some_room(), hours) for hours in (30.0, 48.0))
    np.testing.assert_allclose(short.room_rh[:-1], long.room_rh[: len(short.hours) - 1], atol=1e-9)
    assert short.hours[-1] == 30.0
    assert np.all(np.isfinite(short.mean))
