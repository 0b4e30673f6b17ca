"""Sizes: what is known, what is assumed, and the plane that dries as fast."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.drying import shape as sizing
from strandline.drying.shape import size_of
from tests.drying.cast import body

ALONG = 4.0


def law_cube_dries_as_a_third_of_its_square() -> None:
    """Alike in all directions a cube ends as a plane of 1/sqrt(3) of its half thickness."""
    cube = size_of(body(thickness_mm=60.0, width_mm=60.0, length_mm=60.0), 1.0)
    assert cube.half_m == pytest.approx(0.030 / math.sqrt(3.0))
    assert [one.key for one in cube.flags] == ["product_rule"]


def test_cube_dries_as_a_third_of_its_square() -> None:
    law_cube_dries_as_a_third_of_its_square()


def test_edges_left_out_are_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """A size that looks at the thickness alone."""
    monkeypatch.setattr(sizing, "combined_half_m", lambda half_m, *others: half_m)
    with pytest.raises(AssertionError):
        law_cube_dries_as_a_third_of_its_square()


def test_a_board_is_a_board() -> None:
    """Volume, area and half thickness by hand; edges do not count, and nothing is assumed."""
    found = size_of(body(), ALONG)
    assert found.volume_m3 == pytest.approx(1e-3)
    assert found.area_m2 == pytest.approx(2 * 0.05 + 2 * 0.02 * 0.6)
    assert 0.009 < found.half_m < 0.010
    assert found.known
    assert (found.flags, found.assumed) == ((), ())


def test_one_face_counts_the_whole_thickness() -> None:
    """Half as much air to give its water to, twice as far to go."""
    both, one = (size_of(body(width_mm=None, length_mm=None, faces=faces), ALONG) for faces in (2, 1))
    assert one.half_m == pytest.approx(2.0 * both.half_m)
    assert one.open_m2 == pytest.approx(0.5 * both.open_m2)


def test_round_things() -> None:
    """A long rod runs with its radius, a ball with its own; areas and volumes by hand."""
    rod = size_of(body(shape="cylinder", thickness_mm=20.0, width_mm=None, length_mm=1000.0), ALONG)
    assert rod.half_m == pytest.approx(0.010, rel=0.02)
    assert rod.volume_m3 == pytest.approx(math.pi * 1e-4)
    ball = size_of(body(shape="sphere", thickness_mm=20.0, width_mm=None, length_mm=None), ALONG)
    assert ball.half_m == 0.010
    assert ball.volume_m3 == pytest.approx(4.18879e-6)
    assert ball.area_m2 == ball.open_m2 == pytest.approx(1.256637e-3)
    assert ball.known
    assert ball.assumed == ()


def test_a_short_block_ends_sooner_along_the_grain() -> None:
    """The shorter, and the more open along the grain, the thinner the plane."""
    long, short = (size_of(body(length_mm=length), ALONG).half_m for length in (500.0, 60.0))
    assert short < long
    assert size_of(body(length_mm=60.0), 2 * ALONG).half_m < short


def test_what_is_not_given_is_said() -> None:
    """Thickness, and width or length; a size that is assumed is not known."""
    found = size_of(body(thickness_mm=None), ALONG)
    assert [one.what for one in found.assumed] == ["thickness_mm", "size"]
    assert not found.known
    assert "square" in found.assumed[0].why
    assert [one.what for one in size_of(body(width_mm=None), ALONG).assumed] == ["size"]
    rod = body(shape="cylinder", width_mm=None)
    assert size_of(rod, ALONG).known


@given(
    shape=st.sampled_from(["plane", "cylinder", "sphere"]),
    thickness=st.floats(0.5, 300.0),
    wider=st.floats(1.0, 30.0),
    longer=st.floats(1.0, 30.0),
    faces=st.sampled_from([1, 2]),
)
def test_open_area_and_half_thickness_make_the_volume(
    shape: str, thickness: float, wider: float, longer: float, faces: int
) -> None:
    """So that water leaves the body that is run and the body that lies there alike; no plane is thicker than
    the body."""
    wet = body(
        shape=shape,
        thickness_mm=thickness,
        width_mm=wider * thickness,
        length_mm=longer * thickness,
        faces=faces,
    )
    found = size_of(wet, ALONG)
    exponent = {"plane": 1, "cylinder": 2, "sphere": 3}[shape]
    assert found.open_m2 * found.half_m == pytest.approx(exponent * found.volume_m3)
    assert (
        0.0 < found.half_m <= thickness / 1000.0 * (0.5 if faces == 2 or shape != "plane" else 1.0) * 1.0001
    )


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"shape": "cone"}, "0001: a body is a plane"),
        ({"faces": 3}, "1 or 2 open faces"),
        ({"thickness_mm": 0.0}, "thickness_mm is 0 mm"),
        ({"thickness_mm": -3.0}, "thickness_mm is -3 mm"),
        ({"width_mm": math.nan}, "width_mm is nan mm"),
        ({"length_mm": 1e9}, "length_mm"),
    ],
)
def test_what_is_no_body_is_refused(told: dict[str, Any], said: str) -> None:
    """With its name and number."""
    with pytest.raises(ValueError, match=said):
        size_of(body(**told), ALONG)
