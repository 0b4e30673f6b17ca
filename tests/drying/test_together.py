"""A room whose air the things in it wet: its balance, its limits, and the bodies forecast in it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from strandline.drying import together
from strandline.drying.forecast import Case, forecast, prepared
from strandline.drying.together import InOneRoom, in_one_room, thinned
from strandline.knowledge.driers import driers
from strandline.physics.air import vapour_density_kg_m3
from strandline.physics.coupled import SharedRoom, dry_together
from strandline.physics.dehumidifier import drier_band
from strandline.physics.engine import STRAIN_CELLS, Body
from strandline.physics.grid import SHAPES, STEEP_POWER, grid
from strandline.things.drying import DryingQuestion, Stretch, WetBody
from strandline.things.shared_room import Dehumidifier, SharedAir, SharedRoomForecast
from tests.drying.cast import body

OUTSIDE = (Stretch(240.0, 11.0, 0.92),)
MACHINE = Dehumidifier("refrigerant", 20.0, 30.0, 0.8)


def question(**told: Any) -> DryingQuestion:
    """Ten days at 18 degC from 60 % on, by eight members."""
    given: dict[str, Any] = {
        "room": (Stretch(240.0, 18.0, 0.6),), "days": 10.0, "target_rh": 0.62, "members": 8,
    }  # fmt: skip
    return DryingQuestion(**{**given, **told})


def air(**told: Any) -> SharedAir:
    """A room of 40 cubic metres without a machine."""
    given: dict[str, Any] = {"volume_m3": 40.0, "air_changes_per_h": 0.3, "outside": OUTSIDE}
    return SharedAir(**{**given, **told})


def boards(count: int = 12) -> list[WetBody]:
    """Wet boards of pine, 20 by 100 by 900 mm."""
    return [body(tag=f"{number:04}", length_mm=900.0) for number in range(count)]


@pytest.fixture(scope="module")
def shared() -> InOneRoom:
    """Twelve boards in a room."""
    return in_one_room(boards(), question(), air())


def member_areas(wet: WetBody, asked: DryingQuestion) -> tuple[Case, list[Body]]:
    case = prepared(wet, asked)
    assert isinstance(case, Case)
    assert case.members is not None
    return case, list(case.members.bodies)


def test_the_water_adds_up(shared: InOneRoom) -> None:
    told = shared.room.balance
    out = told.rise_kg + told.air_change_kg + told.machine_kg + told.dew_kg
    assert told.given_kg == pytest.approx(out + told.miss_kg)
    assert abs(told.miss_kg) < 0.002 * told.given_kg
    assert told.given_kg > 1.0


def test_what_the_room_was_given_is_what_the_boards_lost(shared: InOneRoom) -> None:
    """The boards are weighed by their own forecasts, which know nothing of the room's balance."""
    lost = 0.0
    for one in shared.forecast(boards()):
        assert one.series is not None
        assert one.series.mass_g is not None
        lost += (one.series.mass_g[0][1] - one.series.mass_g[-1][1]) / 1000.0
    # Middles of members are no means: they lie a few per cent apart.
    assert shared.room.balance.given_kg == pytest.approx(lost, rel=0.1)


@pytest.mark.parametrize("shape", SHAPES)
def test_area_and_half_thickness_make_the_dry_weight(shape: str) -> None:
    wet = body(shape=shape, width_mm=None if shape != "plane" else 100.0,
               length_mm=None if shape == "sphere" else 500.0)  # fmt: skip
    case, bodies = member_areas(wet, question())
    assert case.members is not None
    areas = together._areas_m2(case, case.members, np.ones(8))  # the rule itself
    for one, area, density in zip(bodies, areas, case.members.density, strict=True):
        of_grid = grid(shape, STRAIN_CELLS, STEEP_POWER).surface_per_volume
        kg = area * one.half_m * one.dry_density_kg_m3 / of_grid
        assert kg == pytest.approx(case.size.volume_m3 * density)


def test_a_body_on_the_coarser_grid_holds_as_much_water() -> None:
    _, bodies = member_areas(body(under_water_h=5.0), question())
    coarse = together._coarse(bodies[0])  # the rule itself
    fine = float(np.asarray(bodies[0].profile) @ grid("plane", STRAIN_CELLS, STEEP_POWER).volume)
    assert float(np.asarray(coarse.profile) @ grid("plane", 40).volume) == pytest.approx(fine)


def test_a_body_in_its_own_room_is_that_of_the_coupled_engine() -> None:
    """Without doubt of the air change, one member is one run of the coupled engine, set up here by hand."""
    wet, asked = body(length_mm=900.0), question(days=5.0)
    found = in_one_room([wet], asked, air(volume_m3=2.0))
    case, bodies = member_areas(wet, asked)
    from_draws = found.room.numbers["air_change_factor"]
    assert from_draws == (0.5, 1.0, 2.0)
    changes = together._Room(asked, air(volume_m3=2.0), [case]).changes  # what was drawn
    saturated = vapour_density_kg_m3(18.0, 1.0)
    comes = vapour_density_kg_m3(11.0, 0.92) * (11.0 + 273.15) / (18.0 + 273.15)
    room = SharedRoom(2.0, saturated, float(changes[3]), lambda _: comes, lambda rh, hour: 0.0, 0.6)
    alone = dry_together(
        [together._coarse(bodies[3])], [case.size.open_m2], room, 120.0
    )  # fmt: skip
    hours, rh = zip(*found.knots[3], strict=True)
    assert np.interp(alone.hours, hours, rh) == pytest.approx(alone.room_rh, abs=1e-3)


def test_a_huge_room_with_open_windows_is_the_room_taken_as_given() -> None:
    wet = boards(2)
    outside = vapour_density_kg_m3(18.0, 0.6) / vapour_density_kg_m3(18.0, 1.0)
    huge = air(volume_m3=1e5, air_changes_per_h=5.0, outside=(Stretch(240.0, 18.0, outside),))
    inside = list(in_one_room(wet, question(), huge).forecast(wet))
    for one, other in zip(inside, forecast(wet, question()), strict=True):
        assert one.series is not None
        assert other.series is not None
        assert np.array(one.series.mean) == pytest.approx(np.array(other.series.mean), abs=2e-3)
        assert np.array(one.series.surface_rh) == pytest.approx(np.array(other.series.surface_rh), abs=5e-3)


def test_many_boards_dry_later_than_in_a_room_taken_as_given(shared: InOneRoom) -> None:
    inside = next(shared.forecast(boards(1)))
    fixed = next(forecast(boards(1), question()))
    assert inside.series is not None
    assert fixed.series is not None
    assert inside.series.mean[-1][1] > fixed.series.mean[-1][1] + 0.01
    assert shared.room.highest_rh[1] > 0.65


def test_more_machine_is_never_damper() -> None:
    rooms = [
        in_one_room(
            boards(),
            question(),
            air(dehumidifier=None if not litres else replace(MACHINE, rated_l_day=litres)),
        ).room
        for litres in (0.0, 5.0, 20.0, 60.0)
    ]
    for less, more in pairwise(rooms):
        assert np.all(np.array(more.rh) <= np.array(less.rh) + 1e-3)
        assert more.balance.machine_kg > less.balance.machine_kg
    assert rooms[-1].rh[-1][1] < rooms[0].rh[-1][1] - 0.05


def test_what_the_machine_takes_is_far_from_its_rating_and_in_its_band() -> None:
    """The machine's own band at the room's highest and lowest humidity bounds what it took."""
    room = in_one_room(boards(), question(), air(dehumidifier=MACHINE)).room
    kind = driers().kinds["refrigerant"]
    most = drier_band(kind, 20.0, 18.0, room.highest_rh[2]).high
    least = drier_band(kind, 20.0, 18.0, min(low for low, _, _ in room.rh)).low
    assert least * 10.0 <= room.balance.machine_kg <= most * 10.0
    assert room.balance.machine_kg < 0.6 * 20.0 * 10.0


def test_a_humidistat_keeps_the_machine_from_drying_on() -> None:
    resting = air(dehumidifier=replace(MACHINE, rated_l_day=60.0, humidistat_rh=0.55))
    room = in_one_room(boards(2), question(), resting).room
    assert min(low for low, _, _ in room.rh) > 0.54
    assert room.rh[-1][1] < 0.6


def test_outside_air_that_changes_changes_the_room() -> None:
    drier = air(outside=(Stretch(120.0, 11.0, 0.92), Stretch(240.0, 0.0, 0.7)), air_changes_per_h=2.0)
    same = in_one_room(boards(2), question(), air(air_changes_per_h=2.0)).room
    less = in_one_room(boards(2), question(), drier).room
    early = [at for at, hour in enumerate(same.hours) if hour <= 117.0]
    assert np.array(less.rh)[early] == pytest.approx(np.array(same.rh)[early], abs=2e-3)
    assert less.rh[-1][1] < same.rh[-1][1] - 0.2


def test_damp_air_let_into_a_cool_room_ends_as_dew() -> None:
    """Air of 11 degC and 92 % holds more than air of 9 degC can."""
    cool = question(room=(Stretch(240.0, 9.0, 0.85),))
    room = in_one_room(boards(2), cool, air(air_changes_per_h=2.0)).room
    told = room.balance
    assert told.dew_kg > 0.1
    assert room.rh[-1] == (1.0, 1.0, 1.0)
    assert room.limit == "incoming_air"
    assert abs(told.miss_kg) < 0.02 * told.dew_kg
    assert -told.air_change_kg == pytest.approx(told.rise_kg + told.dew_kg - told.given_kg, rel=0.02)


def limit_of(room: SharedRoomForecast) -> str:
    return room.limit


def test_what_limits_is_named() -> None:
    damp = air(outside=(Stretch(240.0, 18.0, 0.9),))
    few = air(outside=(Stretch(240.0, 0.0, 0.6),), volume_m3=5000.0)
    assert limit_of(in_one_room(boards(1), question(), damp).room) == "incoming_air"
    assert limit_of(in_one_room(boards(1), question(), few).room) == "bodies"
    assert limit_of(in_one_room(boards(40), question(), air()).room) == "given_off"


def test_a_body_with_pores_gives_its_water_to_the_room_and_dries_in_it() -> None:
    brick = body(tag="0099", kind="brick", kind_words="brick", thickness_mm=60.0, length_mm=250.0)
    bricks = [replace(brick, tag=f"1{number:03}") for number in range(10)]
    found = in_one_room(bricks, question(), air(volume_m3=10.0))
    assert (found.room.bodies, found.room.by_formula) == (10, 10)
    told = found.room.balance
    assert told.given_kg > 1.0
    assert abs(told.miss_kg) < 0.002 * told.given_kg
    one = next(found.forecast(bricks))
    fixed = next(forecast(bricks[:1], question()))
    assert one.series is not None
    assert fixed.series is not None
    assert one.series.mean[-1][1] >= fixed.series.mean[-1][1]
    # 60 x 100 x 250 mm each; what the likely reading lost in that room is what the room was given.
    lost = 10 * 0.0015 * one.numbers["dry_kg_m3"][1] * (one.series.mean[0][1] - one.series.mean[-1][1])
    assert told.given_kg == pytest.approx(lost, rel=0.05)


def test_what_cannot_be_reckoned_is_counted_and_wets_nothing() -> None:
    found = in_one_room([*boards(1), body(tag="0200", thickness_mm=1e9)], question(days=1.0), air())
    assert (found.room.bodies, found.room.not_counted) == (1, 1)


def test_sizes_that_nobody_gave_widen_the_band() -> None:
    open_ = [replace(one, width_mm=None, length_mm=None) for one in boards()]
    room = in_one_room(open_, question(), air()).room
    assert room.sizes_not_given == 12
    assert room.numbers["size_factor"] == (0.5, 1.0, 2.0)


def test_a_room_that_changes_by_itself_is_refused() -> None:
    two = question(room=(Stretch(24.0, 18.0, 0.6), Stretch(240.0, 9.0, 0.6)))
    with pytest.raises(ValueError, match="one temperature"):
        in_one_room(boards(1), two, air())


def test_a_thinned_line_is_nowhere_far_off() -> None:
    hours = np.arange(0.0, 500.0, 3.0)
    values = 0.6 + 0.2 * np.exp(-hours / 40.0)
    few = thinned(hours, values, 2e-4)
    assert len(few) < len(hours) / 2
    kept, held = (np.array(column) for column in zip(*few, strict=True))
    assert np.interp(hours, kept, held) == pytest.approx(values, abs=2.1e-4)
