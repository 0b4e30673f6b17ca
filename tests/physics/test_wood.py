"""Wood and water: sizes, densities and masses that agree with each other, and what no law covers."""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import wood
from strandline.physics.ranges import OutOfRange

TOTALS = st.floats(0.005, 0.25)
MOISTURES = st.floats(0.0, 0.6)
SATURATIONS = st.floats(0.20, 0.35)
Shrinkage = Callable[[float, float, float], float]

GREEN_SAPWOOD = {
    # basic density [kg/m3], remembered of table 5-3, and moisture of green sapwood [kg/kg], read in table 4-1
    "western redcedar": (310.0, 2.49),
    "incense cedar": (350.0, 2.13),
    "yellow cedar": (420.0, 1.66),
    "Douglas-fir": (450.0, 1.15),
    "balsam fir": (330.0, 1.73),
    "white fir": (370.0, 1.60),
    "American beech": (560.0, 0.72),
    "basswood": (320.0, 1.33),
}


def shrinks_only_below_saturation(law: Shrinkage, total: float, moisture: float, limit: float) -> None:
    """All of it when dry, none when wet, less the wetter."""
    assert law(total, 0.0, limit) == pytest.approx(total)
    assert law(total, limit, limit) == pytest.approx(0.0, abs=1e-12)
    assert law(total, limit + moisture, limit) == 0.0
    assert 0.0 <= law(total, moisture, limit) <= total
    assert law(total, moisture, limit) >= law(total, moisture + 0.01, limit)


@settings(max_examples=80)
@given(total=TOTALS, moisture=MOISTURES, limit=SATURATIONS)
def test_wood_shrinks_below_fibre_saturation_only(total: float, moisture: float, limit: float) -> None:
    """The linear law has its ends and its direction."""
    shrinks_only_below_saturation(wood.shrinkage, total, moisture, limit)


@settings(max_examples=80)
@given(total=TOTALS, moisture=MOISTURES, limit=SATURATIONS)
def test_swelling_undoes_shrinkage(total: float, moisture: float, limit: float) -> None:
    """From green down to dry and up again the board has the size it has at that moisture."""
    dry = 1.0 - total
    now = dry * (1.0 + wood.swelling(total, moisture, limit))
    assert now == pytest.approx(1.0 - wood.shrinkage(total, moisture, limit))


@settings(max_examples=60)
@given(total=TOTALS, one=MOISTURES, other=MOISTURES, third=MOISTURES)
def test_changes_of_size_chain(total: float, one: float, other: float, third: float) -> None:
    """A change in two steps is the change in one."""
    first = 1.0 + wood.dimensional_change(total, one, other)
    second = 1.0 + wood.dimensional_change(total, other, third)
    assert first * second == pytest.approx(1.0 + wood.dimensional_change(total, one, third))


@settings(max_examples=60)
@given(total=TOTALS, step=st.floats(-0.03, 0.03))
def test_the_coefficient_is_the_change_near_ten_percent(total: float, step: float) -> None:
    """Coefficient times change of moisture is the change of size, as tables use it."""
    change = wood.dimensional_change(total, 0.10, 0.10 + step)
    assert change == pytest.approx(wood.dimensional_change_coefficient(total) * step, abs=1e-12)


@settings(max_examples=60)
@given(density=st.floats(150.0, 950.0), total=st.floats(0.05, 0.20), moisture=st.floats(0.0, 0.6))
def test_mass_stays_while_size_goes(density: float, total: float, moisture: float) -> None:
    """Density times volume is dry mass plus water at every moisture."""
    moisture = min(moisture, wood.maximum_moisture(density))
    volume = 1.0 - wood.shrinkage(total, moisture)
    mass = wood.density_at_moisture_kg_m3(density, total, moisture) * volume
    assert mass == pytest.approx(wood.wet_mass_kg(density, moisture))
    assert wood.moisture_from_mass(mass, density) == pytest.approx(moisture, abs=1e-9)


@settings(max_examples=60)
@given(density=st.floats(150.0, 950.0), radial=st.floats(0.01, 0.06), tangential=st.floats(0.02, 0.12))
def test_basic_density_comes_back_from_the_air_dry_one(
    density: float, radial: float, tangential: float
) -> None:
    """The two densities of Australian lists go back and forth."""
    lost = wood.volumetric_shrinkage(radial, tangential)
    air_dry = density * 1.12 / (1.0 - lost)
    assert wood.basic_density_from_air_dry_kg_m3(air_dry, lost) == pytest.approx(density)


@settings(max_examples=40)
@given(density=st.floats(100.0, 1200.0))
def test_full_wood_is_walls_and_water(density: float) -> None:
    """At the greatest moisture the volumes of substance and water fill the green volume."""
    water = density * wood.maximum_moisture(density) / 1000.0
    assert density / 1540.0 + water == pytest.approx(1.0)


@pytest.mark.parametrize("name", GREEN_SAPWOOD)
def test_green_sapwood_is_never_wetter_than_full(name: str) -> None:
    """Published moistures of green sapwood stay below the greatest that the density allows."""
    density, moisture = GREEN_SAPWOOD[name]
    assert moisture < wood.maximum_moisture(density)


def test_shrinkage_from_density_lies_among_the_published() -> None:
    """The rule from density is within a third of printed volumetric shrinkages."""
    for density, printed in ((550.0, 0.133), (450.0, 0.124), (320.0, 0.158), (560.0, 0.172), (310.0, 0.068)):
        assert wood.volumetric_shrinkage_from_density(density) == pytest.approx(printed, rel=0.5)


@settings(max_examples=40)
@given(to_12=st.floats(0.01, 0.12), limit=SATURATIONS)
def test_total_shrinkage_from_12_obeys_the_law(to_12: float, limit: float) -> None:
    """What was turned round gives the listed value again."""
    total = wood.green_to_oven_dry(to_12, False, limit)
    assert wood.shrinkage(total, 0.12, limit) == pytest.approx(to_12)


def test_collapse_is_flagged_and_never_computed() -> None:
    """A wood that collapses is refused by the turned law, flagged when wet, and left alone when drier."""
    with pytest.raises(ValueError, match="collapses"):
        wood.green_to_oven_dry(0.13, collapse_prone=True)
    assert wood.collapse_possible(0.9, 0.30, collapse_prone=True)
    assert not wood.collapse_possible(0.2, 0.30, collapse_prone=True)
    assert not wood.collapse_possible(0.9, 0.30, collapse_prone=False)
    assert wood.shrinkage(0.13, 0.9, 0.30) == 0.0


def test_fibre_saturation_bands_keep_their_order() -> None:
    """Extractives lower it, heat lowers it, and the middle is the one point of the physics."""
    ordinary, rich = wood.fibre_saturation_band(20.0), wood.fibre_saturation_band(20.0, extractives=True)
    assert ordinary[0] < ordinary[1] < ordinary[2]
    assert rich[0] < rich[1] < rich[2] < ordinary[0]
    assert ordinary[1] == wood.fibre_saturation(20.0)
    assert wood.fibre_saturation_band(40.0)[1] == pytest.approx(0.28)


def test_mutants_are_caught() -> None:
    """A law on the dry size, one that goes on above saturation, and one turned round fail."""

    def on_the_dry_size(total: float, moisture: float, limit: float) -> float:
        return total / (1.0 - total) * max(0.0, 1.0 - moisture / limit)

    def never_stops(total: float, moisture: float, limit: float) -> float:
        return total * (1.0 - moisture / limit)

    def turned(total: float, moisture: float, limit: float) -> float:
        return total * min(1.0, moisture / limit)

    for mutant in (on_the_dry_size, never_stops, turned):
        with pytest.raises(AssertionError):
            shrinks_only_below_saturation(mutant, 0.1, 0.15, 0.30)


@pytest.mark.parametrize(
    "call",
    [
        lambda: wood.fibre_saturation(150.0),
        lambda: wood.maximum_moisture(20.0),
        lambda: wood.shrinkage(0.5, 0.1),
        lambda: wood.shrinkage(0.1, -0.1),
        lambda: wood.shrinkage(0.1, 0.1, 0.6),
        lambda: wood.volumetric_shrinkage(0.1, float("nan")),
        lambda: wood.density_at_moisture_kg_m3(1000.0, 0.1, 0.8),
        lambda: wood.porosity(1200.0, 0.30),
        lambda: wood.moisture_from_mass(0.9, 1.0),
        lambda: wood.dimensional_change_coefficient(0.1, 0.4),
    ],
)
def test_outside_the_range_it_refuses(call: Callable[[], float]) -> None:
    """What no wood has is refused."""
    with pytest.raises(OutOfRange):
        call()
