"""Mould on brick, plaster and stone: the air at the face follows from the water that leaves."""

from __future__ import annotations

import numpy as np
import pytest

from strandline.drying import pore_mould
from strandline.drying.pore_mould import face_rh, surface_of
from strandline.drying.stuff import Other
from strandline.knowledge import bodies
from strandline.physics.air import saturation_density_kg_m3
from strandline.physics.capillary import PorousSlab, Segment, TwoStage, two_stage
from strandline.things.drying import MouldForecast, Stretch, WetBody
from tests.drying.cast import all_rise, ask, body, cover, dried

ROOM = Segment(24.0, 20.0, 0.5, 0.002)
DAMPER = Segment(1e4, 20.0, 0.7, 0.002)


def course(*segments: Segment) -> TwoStage:
    """A slab of stone of 40 mm, wet through."""
    return two_stage(PorousSlab(0.04, 2, 180.0, 90.0, 20.0, 4.75e-9, 30.7), segments or (ROOM,))


def mould(wet: WetBody, **asked: object) -> MouldForecast:
    """Its mould."""
    found = dried(wet, ask(**asked)).mould
    assert found is not None
    return found


def law_of_the_face() -> None:
    """What leaves the slab is what the film carries from the air at its face, wet or dry, in each climate."""
    drying = course(ROOM, DAMPER)
    saturated = saturation_density_kg_m3(20.0)
    for hour in (1.0, 12.0, 23.0, 60.0, 200.0):
        segment = ROOM if hour < ROOM.hours else DAMPER
        step_h = 1e-3
        left = drying.water_left_kg_m2(hour) - drying.water_left_kg_m2(hour + step_h)
        (rh,) = face_rh(drying, np.array([hour + step_h / 2]))
        carried = 2.0 * segment.transfer_m_s * saturated * (rh - segment.rh)
        assert left / (3600.0 * step_h) == pytest.approx(carried, rel=2e-4)


def test_the_film_carries_what_leaves() -> None:
    law_of_the_face()


def test_a_face_as_dry_as_the_room_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    """The air at the face taken for that of the room as soon as the front leaves it."""
    right = pore_mould._at_depth
    monkeypatch.setattr(
        pore_mould,
        "_at_depth",
        lambda course, segment, dry_m: segment.rh if dry_m > 0.0 else right(course, segment, dry_m),
    )
    with pytest.raises(AssertionError):
        law_of_the_face()


def test_the_face_is_saturated_while_it_is_wet_and_the_rooms_when_empty() -> None:
    """From 1 down to the room's, and never up in one climate."""
    drying = course()
    wet_h, dry_h = drying.surface_wet_hours(), drying.hours_until(0.0)
    found = face_rh(drying, np.linspace(0.0, dry_h * 1.01, 400))
    assert np.all(np.diff(found) <= 1e-12)
    assert face_rh(drying, np.array([0.0, 0.99 * wet_h])).tolist() == [1.0, 1.0]
    assert found[-1] == ROOM.rh
    assert np.all((found >= ROOM.rh) & (found <= 1.0))


def test_a_room_that_does_not_dry() -> None:
    """In saturated air the face stays saturated."""
    assert face_rh(course(Segment(24.0, 15.0, 1.0, 0.002)), np.array([0.0, 500.0])).tolist() == [1.0, 1.0]


@pytest.mark.parametrize(
    ("told", "surface"),
    [
        ({"kind": "brick"}, "medium_resistant"),
        ({"kind": "gypsum_plaster"}, "medium_resistant"),
        ({"kind": "gypsum_plaster", "painted": True}, "sensitive"),
        ({"kind": "brick", "surfaces": ("glued",)}, "sensitive"),
        ({"kind": "brick", "surfaces": ("soiled",)}, "medium_resistant"),
    ],
)
def test_paint_counts_as_what_it_is(told: dict[str, object], surface: str) -> None:
    """Soil does not move the class: the rule of practice answers for it."""
    wet = body(**told)
    assert surface_of(wet, Other(bodies.body(wet.kind))) == surface


def test_what_dries_late_moulds_more() -> None:
    """Painted plaster under a shut cover against the same in the open; warm against cool; both rise to the
    slow reading."""
    wet = body(kind="gypsum_plaster", thickness_mm=40.0, painted=True, surfaces=("painted",))
    shut = body(kind="gypsum_plaster", thickness_mm=40.0, painted=True, surfaces=("painted",), cover=cover())
    there, covered = mould(wet, days=90.0), mould(shut, days=90.0)
    assert all_rise([there.index_highest, covered.index_highest])
    assert covered.index_highest[1] > there.index_highest[1] + 0.5
    assert covered.practice_kept_share == 0.0
    cool = mould(shut, days=90.0, room=(Stretch(90.0 * 24.0, 6.0, 0.5),))
    assert cool.index_highest[1] < covered.index_highest[1]
