"""A thickness nobody gave: its band reaches the answer whole, it is said, and no forecast within it is left
outside; each law is seen to break when the reckoning is broken."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from strandline.drying import forecast as forecasting
from strandline.drying import pores
from strandline.drying.draws import Draws
from strandline.drying.forecast import _sized
from strandline.drying.shape import half_of, size_of
from strandline.drying.start import start_band, start_over
from strandline.drying.stuff import Other, Wood, stuff_of
from strandline.physics.ranges import OutOfRange
from strandline.things.drying import Band, Gap, WetBody
from tests.drying.cast import PINE, all_sure, ask, assumed, body, cover, draws, dried, flags, hours, series

BAND: Band = (6.0, 15.0, 40.0)
LONG = ask(days=400.0, members=32)


def unmeasured(band: Band = BAND, **told: Any) -> WetBody:
    """A board of which only the usual thickness is known."""
    given = {"width_mm": None, "length_mm": None, **told}
    return body(thickness_mm=band[1], thickness_band_mm=band, **given)


def measured(thickness_mm: float, **told: Any) -> WetBody:
    """The same of a known thickness."""
    return body(thickness_mm=thickness_mm, **{"width_mm": None, "length_mm": None, **told})


def pine() -> Wood:
    """What the board is of unless told."""
    stuff = stuff_of(PINE)
    assert isinstance(stuff, Wood)
    return stuff


def law_the_band_holds_all_that_is_in_it(monkeypatch: pytest.MonkeyPatch, kind: str = "red_oak") -> None:
    """With every other number at its middle: the ends are near those of the thinnest and the thickest, what
    lies between is within, and thicker is later."""
    all_sure(monkeypatch, "thickness_mm")
    low, mid, high = hours(unmeasured(kind=kind), LONG)
    inside = [hours(measured(mm, kind=kind), LONG)[1] for mm in (8.0, 12.0, 20.0, 30.0)]
    assert all(one < two for one, two in pairwise(inside))
    assert low < inside[0]
    assert inside[-1] < high
    thinnest, likely, thickest = (hours(measured(mm, kind=kind), LONG)[1] for mm in BAND)
    assert low == pytest.approx(thinnest, rel=0.3)
    assert mid == pytest.approx(likely, rel=0.15)
    assert high == pytest.approx(thickest, rel=0.3)


def law_not_to_know_is_wider(kind: str = "red_oak") -> None:
    """High over low is more than for any thickness within the band."""
    low, _, high = hours(unmeasured(kind=kind), LONG)
    for mm in (7.0, 15.0, 30.0):
        one = hours(measured(mm, kind=kind), LONG)
        assert high / low > one[2] / one[0]


@pytest.mark.parametrize("kind", ["red_oak", "leather_vegetable"])
def test_the_band_holds_all_that_is_in_it(monkeypatch: pytest.MonkeyPatch, kind: str) -> None:
    law_the_band_holds_all_that_is_in_it(monkeypatch, kind)


@pytest.mark.parametrize("kind", ["red_oak", "brick", "sandstone"])
def test_not_to_know_is_wider(kind: str) -> None:
    law_not_to_know_is_wider(kind)


def test_a_reckoning_over_the_middle_alone_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Members that are all as thick as the middle."""
    whole = forecasting._sized

    def middle(wet: WetBody, *rest: Any) -> Any:
        return whole(replace(wet, thickness_band_mm=None), *rest)

    monkeypatch.setattr(forecasting, "_sized", middle)
    with pytest.raises(AssertionError):
        law_not_to_know_is_wider()
    with pytest.raises(AssertionError):
        law_the_band_holds_all_that_is_in_it(monkeypatch)


def test_pores_of_the_middle_alone_are_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pores, "half_of", lambda wet, mm: half_of(wet, BAND[1]))
    with pytest.raises(AssertionError):
        law_not_to_know_is_wider("brick")


def test_a_thicker_band_is_later() -> None:
    """Twice as thick throughout: two to four times as long, low, likely and high."""
    thin, thick = (
        hours(unmeasured(), LONG),
        hours(unmeasured((12.0, 30.0, 80.0)), ask(days=1600.0, members=32)),
    )
    for one, two in zip(thin, thick, strict=True):
        assert 2.0 < two / one < 4.2


@pytest.mark.parametrize("shape", ["plane", "cylinder"])
def test_no_member_lies_beyond_the_band(shape: str) -> None:
    """They reach its ends: 5 and 95 of a hundred are the ends, and the middle is in the middle."""
    wet = unmeasured(shape=shape)
    drawn = draws(members=256)
    size, halves = _sized(wet, pine(), drawn)
    ends = [half_of(wet, mm) for mm in BAND]
    assert halves.min() == pytest.approx(ends[0])
    assert halves.max() == pytest.approx(ends[2])
    assert np.percentile(halves, 50) == pytest.approx(ends[1], rel=0.05)
    assert size.half_m == pytest.approx(ends[1])
    assert drawn.bands["thickness_mm"] == BAND


def test_ends_of_a_sized_body_count_for_each_member() -> None:
    """A short stub: the thicker the member, the more its ends help."""
    wet = unmeasured(width_mm=60.0, length_mm=60.0)
    _, halves = _sized(wet, pine(), draws(members=64))
    assert halves.max() < BAND[2] / 2000.0
    assert halves.max() > halves.min()


def test_a_measured_body_draws_as_before() -> None:
    """No thickness among its numbers, and the draws of the others are the same as with one."""
    plain, wide = dried(measured(15.0), ask()), dried(unmeasured(), ask())
    assert "thickness_mm" not in plain.numbers
    assert wide.numbers["thickness_mm"] == BAND
    assert {key: band for key, band in wide.numbers.items() if key != "thickness_mm"} == plain.numbers


def test_it_is_said() -> None:
    """A caution of its own, with the band; none beside a measured thickness."""
    found = dried(unmeasured(), ask())
    assert "thickness_assumed" in flags(found)
    say = next(one.say for one in found.flags if one.key == "thickness_assumed")
    assert (
        say == "its thickness was not given: reckoned over 6 to 40 mm; measure it, nothing narrows this more"
    )
    assert "thickness_assumed" not in flags(dried(measured(15.0), ask()))
    assert "thickness_assumed" in flags(dried(unmeasured(kind="brick"), ask()))
    assert "thickness_mm" not in assumed(found), "the pipeline says where the band comes from"


def test_sizes_give_no_weight_without_a_thickness() -> None:
    """Width and length are known, the volume is not; a weight now says nothing of how wet it is."""
    sized = unmeasured(width_mm=100.0, length_mm=500.0)
    assert not size_of(sized, 1.0).known
    assert size_of(replace(sized, thickness_band_mm=None), 1.0).known
    assert series(sized, ask()).mass_g is None
    heavy = dried(replace(sized, wet_mass_g=900.0), ask())
    assert heavy.start_moisture == dried(sized, ask()).start_moisture
    assert "size" not in assumed(dried(sized, ask()))


def test_hours_wet_a_thin_body_more_than_a_thick_one() -> None:
    """The start is the widest of the thin and the thick body's; soaked through it does not depend on them."""
    wet = unmeasured(under_water_h=12.0)
    stuff = stuff_of(wet.kind)
    assert isinstance(stuff, Wood)
    density = stuff.timber.basic_density_kg_m3
    low, mid, high = (half_of(wet, mm) for mm in BAND)
    bands = [
        start_band(measured(mm, under_water_h=12.0), stuff, density, half, None)[0]
        for mm, half in zip(BAND, (low, mid, high), strict=True)
    ]
    found, told = start_over(wet, stuff, density, (low, mid, high), None)
    assert found == (bands[2][0], bands[1][1], bands[0][2])
    assert found[0] < bands[1][0]
    assert found[2] > bands[1][2]
    assert f"{100 * found[0]:.0f} to {100 * found[2]:.0f} %" in told[0].value
    assert dried(wet, ask()).start_moisture == found
    assert dried(unmeasured(), ask()).start_moisture == dried(measured(15.0), ask()).start_moisture


def test_readings_of_pores_run_from_thin_to_thick() -> None:
    """The fast one is as thin as the band goes, the slow one as thick."""
    stuff = stuff_of("brick")
    assert isinstance(stuff, Other)
    wet = unmeasured(kind="brick")
    slabs, _ = pores.pore_slabs(wet, stuff, size_of(wet, 1.0), draws())
    assert [1000.0 * one.thickness_m for one in slabs] == pytest.approx(list(BAND))
    round_one = unmeasured(kind="brick", shape="cylinder")
    slabs, _ = pores.pore_slabs(round_one, stuff, size_of(round_one, 1.0), draws())
    ratios = [one.thickness_m / slabs[1].thickness_m for one in slabs]
    assert ratios == pytest.approx([mm / BAND[1] for mm in BAND])


@pytest.mark.parametrize("band", [(15.0, 6.0, 40.0), (6.0, 15.0, 15.0), (6.0, 14.0, 40.0)])
def test_a_band_that_is_none_is_refused(band: Band) -> None:
    with pytest.raises(ValueError, match="a band of thickness rises"):
        size_of(body(thickness_mm=15.0, thickness_band_mm=band), 1.0)


def test_a_band_of_no_size_is_out_of_range() -> None:
    with pytest.raises(OutOfRange, match="thickness_band_mm"):
        size_of(body(thickness_mm=15.0, thickness_band_mm=(0.0, 15.0, 40.0)), 1.0)


def test_draws_of_the_thickness_depend_on_nothing_else() -> None:
    one, two = (Draws(16, 1, "a|b").of("thickness_mm", BAND) for _ in range(2))
    assert one.tolist() == two.tolist()


@pytest.mark.parametrize(("kind", "shape"), [("silk", "plane"), ("cotton", "plane"), ("rope", "cylinder")])
def test_a_sheet_or_thread_of_no_known_size_can_be_covered(kind: str, shape: str) -> None:
    """Its width and length are those of a thing, not eight and twenty times its thickness."""
    thin = unmeasured((0.05, 0.2, 1.5), kind=kind, shape=shape, cover=cover())
    size = size_of(thin, 1.0)
    assert size.area_m2 > 1e-5
    assert dried(thin, ask(days=4.0)).target is not None


def law_a_cover_counts_for_each_thickness() -> None:
    """A thin body gets more of what it passes for each square metre than a thick one: the band holds both."""
    rope = {"kind": "rope", "shape": "cylinder", "cover": cover(Gap("hole", 6.0, 6.0, "side", 4))}
    low, _, high = dried(unmeasured((4.0, 16.0, 60.0), **rope), ask(days=1.0)).numbers["cover_m_s"]
    for thickness_mm in (4.0, 16.0, 60.0):
        one = dried(measured(thickness_mm, **rope), ask(days=1.0)).numbers["cover_m_s"]
        assert low <= one[0] * (1.0 + 1e-9)
        assert high >= one[2] * (1.0 - 1e-9)


def test_a_cover_counts_for_each_thickness() -> None:
    law_a_cover_counts_for_each_thickness()


def test_a_cover_of_the_middle_alone_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(forecasting, "_ends", lambda wet, stuff: ())
    with pytest.raises(AssertionError):
        law_a_cover_counts_for_each_thickness()
