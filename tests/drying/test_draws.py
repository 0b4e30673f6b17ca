"""Draws: what is drawn has the band asked for, is spread evenly, and depends on nothing but its names."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.drying import draws as drawing
from strandline.drying.draws import NORMAL, Draws, Floats, band_of
from tests.drying.cast import draws

MANY = 2000


def law_band_comes_back(members: int = MANY) -> None:
    """The 5th, 50th and 95th of a hundred of what is drawn are the band, lopsided or not."""
    for band in ((0.5, 1.0, 2.0), (1.0, 1.1, 9.0), (1e-13, 2e-13, 3e-13)):
        assert band_of(draws(members).of("x", band)) == pytest.approx(band, rel=0.02)


def law_every_twentieth_is_served(members: int = 60) -> None:
    """Each twentieth of the distribution gets its share of members, not more or less."""
    scores = np.log(draws(members).of("x", (math.exp(-drawing.EDGE), 1.0, math.exp(drawing.EDGE))))
    places = [int(20.0 * NORMAL.cdf(float(one))) for one in scores]
    assert np.bincount(places, minlength=20).tolist() == [members // 20] * 20


def law_one_thing_does_not_follow_another() -> None:
    """Two quantities of a body, and one quantity of two bodies, are drawn apart."""
    one = draws(200)
    two = draws(200, name="0002|whole")
    band = (0.5, 1.0, 2.0)
    first, second, other = one.of("x", band), one.of("y", band), two.of("x", band)
    assert abs(np.corrcoef(first, second)[0, 1]) < 0.3
    assert abs(np.corrcoef(first, other)[0, 1]) < 0.3


def test_band_comes_back() -> None:
    law_band_comes_back()


def test_band_taken_as_another_share_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """A band read as one standard deviation either way, or as it is on a plain scale."""
    monkeypatch.setattr(drawing, "EDGE", 1.0)
    with pytest.raises(AssertionError):
        law_band_comes_back()


def test_every_twentieth_is_served() -> None:
    law_every_twentieth_is_served()


def test_plain_random_draws_are_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Members drawn without regard to one another cluster."""
    monkeypatch.setattr(
        Draws, "_scores", lambda self, what: np.random.default_rng(7).normal(size=self.members)
    )
    with pytest.raises(AssertionError):
        law_every_twentieth_is_served()


def test_one_thing_does_not_follow_another() -> None:
    law_one_thing_does_not_follow_another()


def test_one_order_for_all_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Scores that forget what they are for make the worst of everything meet in one member."""
    plain = Draws._scores

    def forgetful(self: Draws, what: str) -> Floats:
        return plain(Draws(self.members, 1, ""), "")

    monkeypatch.setattr(Draws, "_scores", forgetful)
    with pytest.raises(AssertionError):
        law_one_thing_does_not_follow_another()


def test_same_names_same_draws() -> None:
    """Seed, body and quantity fix what is drawn; each of them changes it."""
    band = (0.5, 1.0, 2.0)
    plain = draws().of("x", band)
    assert np.array_equal(plain, draws().of("x", band))
    assert not np.array_equal(plain, draws(seed=2).of("x", band))
    assert not np.array_equal(plain, draws(name="0002|whole").of("x", band))
    assert not np.array_equal(plain, draws().of("y", band))


def test_small_units_are_drawn_as_large_ones_are() -> None:
    """A band of 1e-12 m2/s is as wide as one of 1 m2/s."""
    band = (0.5, 1.0, 2.0)
    small = draws().of("x", (0.5e-12, 1e-12, 2e-12))
    assert small == pytest.approx(1e-12 * draws().of("x", band))


def test_what_is_sure_is_not_drawn() -> None:
    """A band without width gives its value, also 0."""
    assert set(draws().of("x", (0.0, 0.0, 0.0))) == {0.0}
    assert set(draws().of("x", (3.0, 3.0, 3.0))) == {3.0}


def test_tails_end_where_nature_does() -> None:
    """Nothing is drawn above the most or below the least there can be; between them all is as before."""
    band = (0.5, 1.0, 2.0)
    free, held = draws(200).of("x", band), draws(200).of("x", band, 0.45, 2.1)
    assert (float(held.min()), float(held.max())) == (0.45, 2.1)
    inside = (free > 0.45) & (free < 2.1)
    assert 180 < inside.sum() < 200
    assert np.array_equal(free[inside], held[inside])


@pytest.mark.parametrize("band", [(2.0, 1.0, 3.0), (1.0, 3.0, 2.0), (0.0, 1.0, 2.0), (-1.0, 1.0, 2.0)])
def test_no_band_is_refused_with_its_name(band: drawing.Band) -> None:
    """One that does not rise, or whose logarithm is none."""
    with pytest.raises(ValueError, match="band of thickness"):
        draws().of("thickness", band)


@given(
    low=st.floats(1e-12, 1e6),
    up=st.floats(1.0, 100.0),
    more=st.floats(1.0, 100.0),
    members=st.integers(4, 80),
)
def test_draws_are_numbers_above_zero(low: float, up: float, more: float, members: int) -> None:
    """Whatever the band, and it is kept under its name."""
    one, band = draws(members), (low, low * up, low * up * more)
    found = one.of("x", band)
    assert found.shape == (members,)
    assert np.all(np.isfinite(found))
    assert np.all(found > 0.0)
    assert one.bands == {"x": band}
