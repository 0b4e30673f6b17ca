"""How wet a body is at the start, and how the water lies in it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.drying import forecast as forecasting
from strandline.drying import start as starting
from strandline.drying.draws import Band
from strandline.drying.start import core_moisture, lies_even, profile, soaked_moisture, start_band
from strandline.drying.stuff import Other, Wood, stuff_of
from strandline.knowledge.wetting import wetting
from strandline.physics.grid import SHAPES, grid
from strandline.things.drying import Assumption, WetBody
from tests.drying.cast import PINE, ask, body, dried

BOARD_M3 = 0.020 * 0.100 * 0.500
HALF_M = 0.010


def stuff(kind: str = PINE) -> Wood | Other:
    """What a kind is."""
    found = stuff_of(kind)
    assert isinstance(found, Wood | Other)
    return found


def density(kind: str = PINE) -> Band:
    """Density of a timber."""
    found = stuff(kind)
    assert isinstance(found, Wood)
    return found.timber.basic_density_kg_m3


def begin(
    wet: WetBody, half_m: float = HALF_M, volume_m3: float | None = None
) -> tuple[Band, list[Assumption]]:
    """Start of a body of pine."""
    return start_band(wet, stuff(), density(), half_m, volume_m3)


def law_old_weight_is_of_the_room() -> None:
    """A board of 400 g in a room of 55 %, now 600 g: wood holds 10 % there, so it is 364 g without water.

    10.0 % at 55 % and 18 to 21 degC: wood-handbook-2010 table 4-2.
    """
    band, told = begin(body(wet_mass_g=600.0, dry_mass_g=400.0))
    assert band[1] == pytest.approx(600.0 / (400.0 / 1.10) - 1.0, abs=0.01)
    assert band[0] < band[1] < band[2]
    assert [one.what for one in told] == ["dry_mass_g"]


def law_a_day_under_water() -> None:
    """A bare board of 20 mm: A times the root of a day, over half the thickness and the density, above the
    core."""
    band, told = begin(body(under_water_h=24.0))
    rate = wetting()["uptake"]["across"].bands["absorption_kg_m2_s05"][1]
    taken = rate * math.sqrt(86400.0) / (HALF_M * density()[1])
    assert band[1] == pytest.approx(core_moisture(stuff()) + taken, rel=1e-6)
    assert told[0].what == "start_moisture"


def law_short_wetting_leaves_a_dry_core(shape: str = "plane") -> None:
    """A quarter of the water: the skin is soaked, the middle as before the flood."""
    vertices = grid(shape, 48, 2.6)
    found = profile(vertices, 0.35, 0.10, 1.0)
    assert found[0] == pytest.approx(0.10, abs=1e-3)
    assert found[-1] == pytest.approx(1.0, rel=0.05)
    assert float(vertices.volume @ found) == pytest.approx(0.35, rel=1e-9)


def test_old_weight_is_of_the_room() -> None:
    law_old_weight_is_of_the_room()


def test_old_weight_taken_as_oven_dry_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """A tenth of the weight would be missing."""
    monkeypatch.setattr(starting, "core_moisture", lambda stuff, rh=0.55: 0.0)
    with pytest.raises(AssertionError):
        law_old_weight_is_of_the_room()


def test_a_day_under_water() -> None:
    law_a_day_under_water()


def test_hours_taken_as_seconds_are_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """The wrong unit of time."""
    monkeypatch.setattr(starting, "SECONDS_PER_HOUR", 1.0)
    with pytest.raises(AssertionError):
        law_a_day_under_water()


@pytest.mark.parametrize("shape", SHAPES)
def test_short_wetting_leaves_a_dry_core(shape: str) -> None:
    law_short_wetting_leaves_a_dry_core(shape)


def test_water_spread_evenly_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """An even profile has the right mean and is wrong."""
    monkeypatch.setattr(starting, "FLAT_FROM", 0.0)
    with pytest.raises(AssertionError):
        law_short_wetting_leaves_a_dry_core()


@settings(max_examples=60)
@given(
    shape=st.sampled_from(SHAPES),
    core=st.floats(0.02, 0.3),
    share=st.floats(0.0, 1.0),
    skin=st.floats(0.35, 3.0),
)
def test_profile_has_its_mean_and_stays_between(shape: str, core: float, share: float, skin: float) -> None:
    """Whatever the mean: no water is made or lost, nothing is drier than the core or much wetter than the
    skin, and it never rises inwards."""
    vertices, mean = grid(shape, 48, 2.6), core + share * (skin - core)
    found = profile(vertices, mean, core, skin)
    assert float(vertices.volume @ found) == pytest.approx(mean, rel=1e-9)
    assert float(found.min()) >= core - 1e-9
    assert float(found.max()) <= 1.1 * skin
    assert np.all(np.diff(found) >= -1e-12)


@pytest.mark.parametrize("mean", [0.05, 0.96, 1.0])
def test_profile_is_even_at_both_ends(mean: float) -> None:
    """Drier than the core, or soaked."""
    assert set(profile(grid("plane", 48, 2.6), mean, 0.10, 1.0)) == {mean}


def test_weights_that_cannot_be_are_refused() -> None:
    """Nothing weighs less wet than dry, or ten times as much."""
    for dry_g in (400.0, 0.0, 39.0):
        wet = body(wet_mass_g=390.0, dry_mass_g=dry_g)
        with pytest.raises(ValueError, match="0001: weighs 390 g now"):
            begin(wet)


def test_as_heavy_as_before_is_as_dry_as_before() -> None:
    """Its moisture is that of the air of the room before."""
    band, _ = begin(body(wet_mass_g=400.0, dry_mass_g=400.0))
    assert band[1] == pytest.approx(core_moisture(stuff()))
    assert band[0] < band[1] < band[2]


def test_stated_moisture_goes_first() -> None:
    """Before weights and hours; nothing is assumed; none below 0."""
    band, told = begin(body(moisture=0.5, wet_mass_g=600.0, dry_mass_g=400.0, under_water_h=3.0))
    assert band == pytest.approx((0.475, 0.5, 0.525))
    assert told == []
    with pytest.raises(ValueError, match=r"moisture of -0\.1"):
        begin(body(moisture=-0.1))


def test_weight_and_size_give_a_band_that_holds_the_answer() -> None:
    """600 g of a litre of pine whose density is known to a tenth: wide, and the dense one is the dry one."""
    band, told = begin(body(wet_mass_g=600.0), volume_m3=BOARD_M3)
    light, likely, heavy = density()
    assert band == pytest.approx((600.0 / heavy - 1.0, 600.0 / likely - 1.0, 600.0 / light - 1.0))
    assert "narrow" in told[0].why


def test_two_weights_say_more_than_one_and_one_more_than_none() -> None:
    """High over low falls."""
    none, _ = begin(body())
    one, _ = begin(body(wet_mass_g=600.0), volume_m3=BOARD_M3)
    both, _ = begin(body(wet_mass_g=600.0, dry_mass_g=375.0))
    assert both[2] / both[0] < one[2] / one[0] < none[2] / none[0]


def test_hours_coats_and_thickness() -> None:
    """Longer is wetter, a coat and more thickness are drier; never below the core nor above soaked."""
    bare = [begin(body(under_water_h=h))[0][1] for h in (0.0, 1.0, 24.0, 240.0, 1e5)]
    assert bare == sorted(bare)
    assert bare[0] == pytest.approx(core_moisture(stuff()), rel=0.05)
    assert bare[-1] == soaked_moisture(stuff(), density())[1]
    day = begin(body(under_water_h=24.0))[0]
    for coat in ("wax", "varnish", "paint", "lacquer", "gesso"):
        coated = begin(body(under_water_h=24.0, coating=coat))[0]
        assert coated[1] < day[1], coat
    assert begin(body(under_water_h=24.0), half_m=0.03)[0][1] < day[1]


def test_a_rod_takes_up_twice_and_a_ball_three_times_as_much() -> None:
    """There is that much more surface around the same volume."""
    core = core_moisture(stuff())
    plane, rod, ball = (begin(body(under_water_h=2.0, shape=shape))[0][1] - core for shape in SHAPES)
    assert rod == pytest.approx(2.0 * plane)
    assert ball == pytest.approx(3.0 * plane)


def test_unknown_uptake_is_said() -> None:
    """Leather after an hour: soaked through, and not because nobody said anything."""
    leather = stuff("leather_vegetable")
    band, told = start_band(body(under_water_h=1.0), leather, (600.0, 850.0, 1050.0), 0.0015, None)
    assert band == soaked_moisture(leather, (600.0, 850.0, 1050.0))
    assert "not known" in told[0].why
    _, told = start_band(body(), leather, (600.0, 850.0, 1050.0), 0.0015, None)
    assert "nothing said" in told[0].why


@pytest.mark.parametrize("kind", ["ivory", "wool", "european_oak"])
def test_damp_air_alone_does_not_soak(kind: str) -> None:
    """From what it held in a usual room up to what it holds in a flooded one, evenly; not as after water."""
    wet = body(kind=kind, under_water_h=0.0)
    found = dried(wet, ask(days=5.0))
    assert found.start_moisture
    assert found.start_moisture[2] <= core_moisture(stuff(kind), 0.95) * 1.001
    assert lies_even(wet)
    soaked = dried(replace(wet, under_water_h=None), ask(days=5.0))
    assert soaked.start_moisture
    assert found.start_moisture[1] < soaked.start_moisture[0]


def law_what_is_soaked_through_is_so_to_its_core() -> None:
    """A sheet of leather of which nothing is said: once it is dry throughout nothing in it is drawn."""
    found = dried(body(kind="leather_vegetable", thickness_mm=3.0), ask(days=60.0))
    assert found.series
    assert found.series.mean[-1][2] - found.series.mean[-1][0] < 0.1
    assert found.series.strain[-1][2] < 1e-3 < found.strain[0].limit


def test_what_is_soaked_through_is_so_to_its_core() -> None:
    law_what_is_soaked_through_is_so_to_its_core()


def test_a_dry_core_in_a_soaked_sheet_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """As after a short wetting: the core never swelled, and the skin is drawn for good."""
    monkeypatch.setattr(forecasting, "soaked_moisture", lambda stuff, density: (0.0, 0.0, 0.0))
    with pytest.raises(AssertionError):
        law_what_is_soaked_through_is_so_to_its_core()
