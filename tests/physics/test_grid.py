"""The grid of a drying body: volumes and faces of the three shapes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.physics.grid import MOST_CELLS, SHAPES, Grid, grid

SHAPE = st.sampled_from(SHAPES)
CELLS = st.integers(2, MOST_CELLS)
POWER = st.floats(1.0, 4.0)


def volumes_fill_the_body(one: Grid) -> None:
    """The volumes of the shells between the faces: x^(m+1) at their outer less that at their inner face."""
    exponent = SHAPES.index(one.shape)
    faces = np.concatenate(([0.0], 0.5 * (one.x[1:] + one.x[:-1]), [1.0]))
    assert one.volume.sum() == pytest.approx(1.0, abs=1e-13)
    np.testing.assert_allclose(np.cumsum(one.volume), faces[1:] ** (exponent + 1), atol=1e-13)


def a_steady_flux_is_exact(one: Grid) -> None:
    """In a plane a straight profile carries the same flux through each face; in all shapes a profile x^2
    carries
    what its shells hold: conductance times difference is (m + 1) times 2 x^(m+1) at the faces."""
    exponent = SHAPES.index(one.shape)
    faces = 0.5 * (one.x[1:] + one.x[:-1])
    flux = one.conductance * np.diff(one.x**2)
    np.testing.assert_allclose(flux, 2.0 * (exponent + 1) * faces ** (exponent + 1), rtol=1e-5)


@given(SHAPE, CELLS, POWER)
def test_laws(shape: str, cells: int, power: float) -> None:
    """Volumes fill the body, fluxes of a parabola are exact, vertices run from the middle to the surface."""
    one = grid(shape, cells, power)
    volumes_fill_the_body(one)
    a_steady_flux_is_exact(one)
    assert (one.x[0], one.x[-1], len(one.x)) == (0.0, 1.0, cells + 1)
    assert np.all(np.diff(one.x) > 0.0)
    assert np.all(one.volume > 0.0)
    assert one.surface_per_volume == SHAPES.index(shape) + 1


@given(SHAPE, st.integers(4, 60), st.floats(1.2, 4.0))
def test_cells_narrow_towards_the_surface(shape: str, cells: int, power: float) -> None:
    """Each is narrower than the one before; the outermost is (1/cells)^power."""
    gaps = np.diff(grid(shape, cells, power).x)
    assert np.all(np.diff(gaps) < 0.0)
    assert gaps[-1] == pytest.approx((1.0 / cells) ** power)


@pytest.mark.parametrize("shape", SHAPES)
def test_mutants_are_caught(shape: str) -> None:
    """Volumes the other way round, and faces without their area (which a plane does not have)."""
    good = grid(shape, 12)
    with pytest.raises(AssertionError):
        volumes_fill_the_body(Grid(shape, good.x, good.volume[::-1], good.conductance))
    flat = Grid(shape, good.x, good.volume, 1.0 / np.diff(good.x))
    if shape != "plane":
        with pytest.raises(AssertionError):
            a_steady_flux_is_exact(flat)


@pytest.mark.parametrize(
    ("shape", "cells", "power"),
    [
        ("cube", 40, 2.0),
        ("plane", 1, 2.0),
        ("plane", MOST_CELLS + 1, 2.0),
        ("plane", 40, 0.5),
        ("plane", 40, 5.0),
    ],
)
def test_no_grid(shape: str, cells: int, power: float) -> None:
    """Another shape, too few or too many cells, a power beyond the range."""
    with pytest.raises(ValueError, match="no grid for shape"):
        grid(shape, cells, power)
