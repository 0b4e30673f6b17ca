"""Salts: ranges, order, cycles, brine; and wrong versions that are caught."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.physics import salts
from strandline.physics.ranges import OutOfRange

KEYS = st.sampled_from(sorted(salts.SALTS))
HUMIDITY = st.floats(0.0, 1.0)


@given(KEYS, st.floats(0.0, 1.0))
@settings(max_examples=100)
def test_every_deliquescence_is_a_humidity(key: str, share: float) -> None:
    """Between 0.2 and 1 over the whole range of every salt, and changing by less than 1 % a kelvin."""
    held = salts.salt(key)
    temp_c = held.low_c + share * (held.high_c - held.low_c - 1.0)
    here = salts.deliquescence_rh(key, temp_c)
    assert 0.2 < here < 1.0
    assert abs(salts.deliquescence_rh(key, temp_c + 1.0) - here) < 0.02


def test_salts_stand_in_the_known_order() -> None:
    """At 25 degC, from the one that is nearly always wet to the one that nearly never is."""
    order = [
        "antarcticite",
        "bischofite",
        "potash",
        "nitrocalcite",
        "nitromagnesite",
        "halite",
        "sylvite",
        "nitre",
    ]
    found = [salts.deliquescence_rh(key, 25.0) for key in [*order, "arcanite"]]
    assert found == sorted(found)


def crossed_is_found(blooming: Callable[..., tuple[str, ...]]) -> bool:
    """A cycle across 75 % works on halite; cycles wholly above or below do not."""
    return (
        blooming(["halite"], 0.6, 0.8, 20.0) == ("halite",)
        and blooming(["halite"], 0.8, 0.9, 20.0) == ()
        and blooming(["halite"], 0.4, 0.6, 20.0) == ()
    )


def test_a_cycle_across_its_humidity_works_on_a_salt() -> None:
    """And no other."""
    assert crossed_is_found(salts.blooming)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda keys, low, high, temp_c: tuple(k for k in keys if salts.deliquescence_rh(k, temp_c) <= high),
        lambda keys, low, high, temp_c: tuple(k for k in keys if low < salts.deliquescence_rh(k, temp_c)),
        lambda keys, low, high, temp_c: tuple(keys),
    ],
)
def test_half_a_cycle_is_caught(wrong: Callable[..., tuple[str, ...]]) -> None:
    """Versions that look at one end of the cycle only."""
    assert not crossed_is_found(wrong)


@given(st.lists(KEYS, max_size=4, unique=True), HUMIDITY)
@settings(max_examples=100)
def test_nothing_blooms_within_the_safe_band(keys: list[str], rh: float) -> None:
    """The band holds the humidity, and no salt changes between its ends."""
    low, high = salts.safe_band(keys, rh, 20.0)
    assert low <= rh <= high
    assert salts.blooming(keys, low, high, 20.0) == ()


@given(st.sampled_from(["halite", "sylvite"]), st.floats(0.01, 12.0))
@settings(max_examples=100)
def test_more_salt_is_drier_air(key: str, molality: float) -> None:
    """Stronger brine, lower humidity; weak brine is near what an ideal one would be."""
    assert salts.brine_rh(key, molality * 1.05) < salts.brine_rh(key, molality)
    ideal = math.exp(-2.0 * salts.WATER_MOLAR_KG * 0.01)
    assert salts.brine_rh(key, 0.01) == pytest.approx(ideal, abs=5e-5)


@pytest.mark.parametrize(("key", "molality"), [("halite", 6.144), ("sylvite", 4.80)])
def test_the_brine_of_saturation_stands_at_the_deliquescence(key: str, molality: float) -> None:
    """Two independent laws meet at the solubility (recalled) to 0.3 % RH; without the factor 2 not."""
    saturated = salts.deliquescence_rh(key, 25.0)
    assert salts.brine_rh(key, molality) == pytest.approx(saturated, abs=0.003)
    assert abs(math.sqrt(salts.brine_rh(key, molality)) - saturated) > 0.05


@given(KEYS, HUMIDITY)
@settings(max_examples=100)
def test_salt_holds_no_water_below_and_more_and_more_above(key: str, rh: float) -> None:
    """None below its deliquescence; at it what makes it a saturated solution; then rising."""
    own = salts.deliquescence_rh(key, 20.0)
    rh = min(rh, 0.98)
    held = salts.water_held_kg_kg(key, rh, 20.0)
    assert (held == 0.0) == (rh < own)
    if rh >= own:
        assert held >= 0.98 / salts.salt(key).soluble_kg_kg
        assert salts.water_held_kg_kg(key, min(0.99, rh + 0.01), 20.0) > held


def test_the_rough_water_is_within_the_stated_doubt_of_the_brine() -> None:
    """The one-coefficient sibling beside the activity of halite: never less, at most a third more."""
    for rh, most in ((0.76, 1.03), (0.85, 1.15), (0.90, 1.24), (0.95, 1.34)):
        ratio = salts.water_held_roughly_kg_kg("halite", rh, 25.0) / salts.water_held_kg_kg(
            "halite", rh, 25.0
        )
        assert 0.99 < ratio < most


def test_the_water_held_makes_the_brine_of_that_humidity() -> None:
    """There and back through the molality."""
    for rh in (0.78, 0.85, 0.95):
        molality = 1.0 / (salts.water_held_kg_kg("halite", rh, 20.0) * salts.salt("halite").molar_kg)
        assert salts.brine_rh("halite", molality) == pytest.approx(rh, abs=1e-9)


def test_one_percent_of_salt_feigns_a_wet_brick() -> None:
    """At 85 % RH, 0.01 kg/kg of halite weighs like five times what clean brick holds."""
    assert salts.moisture_misread(0.01, "halite", 0.85, 20.0) > 0.04
    assert salts.moisture_misread(0.01, "halite", 0.70, 20.0) == 0.0


def test_sodium_sulphate_is_flagged_where_it_changes() -> None:
    """Across its hydration or its dissolution, and not between; above 32.4 degC there is no hydration."""
    assert salts.sodium_sulphate_caution(0.5, 0.8, 20.0)
    assert salts.sodium_sulphate_caution(0.80, 0.9, 20.0)
    assert not salts.sodium_sulphate_caution(0.4, 0.6, 20.0)
    assert not salts.sodium_sulphate_caution(0.60, 0.80, 35.0)
    assert 4.0 < salts.mirabilite_growth() < 4.3


def test_salt_goes_where_the_water_evaporates() -> None:
    """On the surface while the pores keep up, beneath it after."""
    assert salts.crystal_depth(1e-4, 1e-4) == "surface"
    assert salts.crystal_depth(0.9e-4, 1e-4) == "beneath"
    assert salts.salt_left_kg_m2(0.035, 0.0) == 0.0


@pytest.mark.parametrize(
    "call",
    [
        lambda: salts.deliquescence_rh("halite", 60.0),
        lambda: salts.deliquescence_rh("antarcticite", 30.0),
        lambda: salts.mirabilite_rh(33.0),
        lambda: salts.blooming(["halite"], 0.8, 0.6, 20.0),
        lambda: salts.blooming(["halite"], 0.6, 0.8, 200.0),
        lambda: salts.brine_rh("halite", 20.0),
        lambda: salts.water_held_kg_kg("halite", 1.0, 20.0),
    ],
)
def test_what_lies_outside_is_refused(call: Callable[[], object]) -> None:
    """Each with the name of the quantity."""
    with pytest.raises(OutOfRange):
        call()


def test_an_unknown_salt_is_named() -> None:
    """With those known."""
    with pytest.raises(KeyError, match="halite"):
        salts.deliquescence_rh("pepper", 20.0)
    with pytest.raises(KeyError, match="no brine"):
        salts.brine_rh("nitre", 1.0)
