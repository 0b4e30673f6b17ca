"""Couples of metals: which suffers, whether to part them, and the table that the index comes from."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.knowledge import metals
from strandline.physics import couples
from strandline.physics.ranges import OutOfRange

INDEX = {key: row.value for key, row in metals.metals().anodic_index.items()}
names = st.sampled_from(sorted(INDEX))
environments = st.sampled_from(sorted(couples.ALLOWED_V))

Make = Callable[..., couples.Couple]


def is_even_handed(make: Make, one: str, two: str, environment: str) -> bool:
    """The order of the two does not matter; the suffering one has the higher index."""
    there = make(one, INDEX[one], two, INDEX[two], environment, (1.0, 10.0))
    back = make(two, INDEX[two], one, INDEX[one], environment, (10.0, 1.0))
    same = (there.part, there.difference_v, there.suffers, there.area_caution) == (
        back.part,
        back.difference_v,
        back.suffers,
        back.area_caution,
    )
    return same and (INDEX[one] == INDEX[two] or INDEX[there.suffers] == max(INDEX[one], INDEX[two]))


def first_always_suffers(first: str, *rest: object) -> couples.Couple:
    """Wrong on purpose."""
    found = couples.couple(first, *rest)  # type: ignore[arg-type]  # the rest is passed on as it came
    return couples.Couple(
        found.difference_v, found.allowed_v, found.environment, found.part, first, found.area_caution
    )


def nobler_suffers(first: str, index: float, second: str, other: float, *rest: object) -> couples.Couple:
    """Wrong on purpose: the sign of the index turned round."""
    return couples.couple(first, 2.0 - index, second, 2.0 - other, *rest)  # type: ignore[arg-type]  # as it came


@given(names, names, environments)
def test_the_order_does_not_matter(one: str, two: str, environment: str) -> None:
    """Iron on brass is brass on iron."""
    assert is_even_handed(couples.couple, one, two, environment)


@pytest.mark.parametrize("broken", [first_always_suffers, nobler_suffers])
def test_broken_couples_are_caught(broken: Make) -> None:
    """A couple that takes sides, and one with the sign turned round."""
    assert not is_even_handed(broken, "brass", "iron", "harsh")


@given(names, names)
def test_a_harsher_place_parts_more(one: str, two: str) -> None:
    """What is parted in a controlled room is parted everywhere."""
    parted = [
        couples.couple(one, INDEX[one], two, INDEX[two], place).part
        for place in ("harsh", "normal", "controlled")
    ]
    assert parted == sorted(parted, reverse=True)


@given(names, names, names)
def test_differences_are_distances(one: str, two: str, three: str) -> None:
    """No way round is shorter."""
    a, b, c = (INDEX[name] for name in (one, two, three))
    assert couples.difference_v(a, c) <= couples.difference_v(a, b) + couples.difference_v(b, c) + 1e-12
    assert couples.difference_v(a, b) == couples.difference_v(b, a)


def test_the_limit_itself_is_allowed() -> None:
    """0.15 V is not more than 0.15 V, whatever the last bits of a float say."""
    assert not couples.couple("copper", 0.35, "steel_18cr", 0.50).part
    assert not couples.couple("gold", 0.0, "silver", 0.15).part
    assert couples.couple("silver", 0.15, "copper", 0.35).part


def test_a_flood_is_harsh() -> None:
    """Where nobody says, the strictest holds."""
    found = couples.couple("iron", 0.85, "brass", 0.40)
    assert (found.environment, found.allowed_v, found.part, found.suffers) == ("harsh", 0.15, True, "iron")
    assert found.area_caution == "areas not given"


def test_areas_count_for_the_one_that_suffers() -> None:
    """An iron nail in a brass plate is worse than a brass nail in an iron plate."""
    nail_in_brass = couples.couple("iron", 0.85, "brass", 0.40, "harsh", (1.0, 100.0))
    nail_in_iron = couples.couple("iron", 0.85, "brass", 0.40, "harsh", (100.0, 1.0))
    assert nail_in_brass.area_caution.startswith("worse")
    assert nail_in_iron.area_caution.startswith("milder")
    assert couples.area_caution(1.0, 2.0) == "areas of the same order"


def test_the_same_metal_is_no_couple() -> None:
    """Nothing suffers, nothing is parted."""
    found = couples.couple("iron", 0.85, "steel", 0.85, "harsh", (1.0, 100.0))
    assert (found.part, found.suffers, found.difference_v) == (False, "", 0.0)


def test_refusals() -> None:
    """An environment and an index that are not known."""
    with pytest.raises(ValueError, match="'attic' is not one of harsh, normal, controlled"):
        couples.allowed_v("attic")
    with pytest.raises(OutOfRange):
        couples.difference_v(-0.1, 0.5)
    with pytest.raises(OutOfRange):
        couples.area_caution(0.0, 1.0)


def test_the_table_and_the_rule_allow_the_same() -> None:
    """The limits stand in the data with their source and in the code; they are the same."""
    held = {key: row.value for key, row in metals.metals().allowed_difference.items()}
    assert held == dict(couples.ALLOWED_V)


def test_critical_humidities_of_a_metal_rise() -> None:
    """They come lowest first, each with a source; salt lowers them."""
    iron = metals.critical_of("iron")
    assert [row.value for row in iron] == sorted(row.value for row in iron)
    assert all(row.source for row in iron)
    assert metals.critical_rh("iron_salt") < metals.critical_rh("iron_clean")
    assert metals.critical_of("no metal") == ()


GOOD = """[[critical_rh]]
key="a"
metal="iron"
condition="c"
meaning="m"
rh=0.5
source=["x-1"]
confidence="v"
"""


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (GOOD.replace("rh=0.5", "rh=50"), "t.toml: critical_rh 1 (a): rh: is no number from 0 to 1"),
        (GOOD.replace("rh=0.5", "rh=true"), "rh: is no number"),
        (GOOD.replace('"v"', '"sure"'), "confidence: is not one of v, m, c"),
        (GOOD.replace('["x-1"]', "[]"), "source: is empty"),
        (GOOD.replace('["x-1"]', '"x-1"'), "source: is no list of keys"),
        (GOOD.replace('metal="iron"', 'metal=""'), "metal: is no text"),
        (GOOD + "colour=1\n", "colour: is not a field of this table"),
        (GOOD + GOOD, "critical_rh 2 (a): key: stands here twice"),
        ("[[paint]]\nkey=1\n", "'paint' is not known here"),
        ("[[", "not valid TOML"),
    ],
)
def test_a_bad_row_is_named(text: str, told: str) -> None:
    """File, table, row, field and reason."""
    with pytest.raises(metals.MetalsError) as caught:
        metals.read_metals(text, "t.toml")
    assert told in str(caught.value)


def test_a_good_row_is_read() -> None:
    """And its key can be asked for; another cannot."""
    assert metals.read_metals(GOOD, "t.toml").critical_rh["a"].value == 0.5
    with pytest.raises(metals.MetalsError, match="'unobtainium' is not one of gold"):
        metals.anodic_index_v("unobtainium")
