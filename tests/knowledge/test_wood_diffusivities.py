"""How fast water moves in a wood: what ships can be used, who stands for whom, and bad rows are refused."""

from __future__ import annotations

import re

import pytest

from strandline.knowledge import timbers
from strandline.knowledge.science_sources import science_sources
from strandline.knowledge.timbers import Timber
from strandline.knowledge.wood_diffusivities import (
    FILE,
    Band,
    Measured,
    WoodDiffusivityError,
    WoodFactor,
    factor_of,
    read_wood_diffusivities,
    wood_diffusivities,
)
from tests.reference.calls.measured import log_across, log_board_constant
from tests.reference.outside import FOLDER, Row, read_file

SHIPPED = FILE.read_text(encoding="utf-8")
MEASURED = read_file(FOLDER / "measured.csv")
CURVES = read_file(FOLDER / "measured_curves.csv")


def of(name: str) -> Band:
    """The band of a wood by its name."""
    found = timbers.find(name)
    assert found
    return factor_of(found).band


def test_shipped_rows_name_known_sources() -> None:
    """Every key has its entry, and nothing remembered is called read."""
    held, known = wood_diffusivities(), science_sources()
    rows: tuple[WoodFactor | Measured, ...] = (held.general, *held.measured)
    for one in rows:
        assert set(one.source) <= set(known), one
        if one.confidence == "v":
            assert all(known[key].read != "memory" for key in one.source), one


def law_a_factor_is_no_drying_time_of_its_wood(rows: list[Row]) -> None:
    """No source of a published time of boards is a source of a factor."""
    curves = {key for row in rows for key in row.keys}
    for one in wood_diffusivities().measured:
        assert not curves & set(one.source), one.key


def test_a_factor_is_no_drying_time_of_its_wood() -> None:
    law_a_factor_is_no_drying_time_of_its_wood(CURVES)


def test_a_factor_from_its_own_drying_time_is_seen() -> None:
    """A row of times that comes from the fit behind the factor."""
    with pytest.raises(AssertionError):
        law_a_factor_is_no_drying_time_of_its_wood([*CURVES, *MEASURED])


def test_red_oak_is_its_constants_over_the_law() -> None:
    """The middle is the measured constant over the law at 20 %, at each temperature of the fit; the ends hold
    what it is at 15 % and at fibre saturation."""
    low, middle, high = of("northern red oak")
    rows = [row for row in MEASURED if row.quantity.endswith("log_board_constant")]
    assert len(rows) == 6
    for row in rows:
        told = {name: float(value) for name, value in row.inputs.items()}
        at = {
            m: 10.0 ** (log_board_constant(**{**told, "moisture": m}) - row.value) for m in (0.15, 0.2, 0.28)
        }
        assert at[0.2] == pytest.approx(middle, rel=0.05), row.id
        assert low < at[0.28] < at[0.2] < at[0.15] < high, row.id


def test_thin_slices_of_spruce_lie_within_the_general_band() -> None:
    """They are no factor of their own: most of their cells are open."""
    rows = [row for row in MEASURED if row.source == "spruce-dvs-2026" and row.quantity.endswith("across")]
    low, middle, high = of("norway spruce")
    assert len(rows) == 2
    for row in rows:
        over = 10.0 ** (row.value - log_across(**{k: float(v) for k, v in row.inputs.items()}))
        assert low < middle < over < high


def test_who_stands_for_whom() -> None:
    """Red oak itself; another oak through its genus; beech through nothing."""
    assert factor_of(timbers.timber("northern_red_oak")).by == "measured"
    oak, beech = factor_of(timbers.timber("european_oak")), factor_of(timbers.timber("european_beech"))
    assert (oak.by, oak.told) == ("genus", "measured on red oak, stands for its genus")
    own = factor_of(timbers.timber("northern_red_oak"))
    assert oak.source == (*own.source, "siau-1984")
    assert (own.confidence, oak.confidence) == ("v", "c"), "that one stands for another is a judgement"
    assert (beech.by, beech.told) == ("general", "none measured for this wood; general band")


def law_kin_are_wider(kin: Band, own: Band) -> None:
    """Another species of a measured genus: the same middle, wider on either side."""
    assert kin[1] == own[1]
    assert kin[0] < own[0]
    assert kin[2] > own[2]


@pytest.mark.parametrize("other", ["white_oak", "european_oak"])
def test_kin_are_wider(other: str) -> None:
    law_kin_are_wider(
        factor_of(timbers.timber(other)).band, factor_of(timbers.timber("northern_red_oak")).band
    )


def test_kin_as_sure_as_the_wood_itself_are_seen() -> None:
    own = factor_of(timbers.timber("northern_red_oak")).band
    with pytest.raises(AssertionError):
        law_kin_are_wider(own, own)


def law_an_envelope_is_no_narrower(several: Timber, band: Band) -> None:
    """Than any of its members; its middle lies among theirs."""
    ones = [factor_of(timbers.timber(key)).band for key in several.members]
    assert all(band[0] <= one[0] and band[2] >= one[2] for one in ones)
    assert min(one[1] for one in ones) <= band[1] * (1.0 + 1e-12)
    assert max(one[1] for one in ones) >= band[1] * (1.0 - 1e-12)


@pytest.mark.parametrize("family", [*timbers.FAMILIES, timbers.ANY, "oak", "red oak", "spruce", "pine"])
def test_an_envelope_is_no_narrower(family: str) -> None:
    known = (*timbers.FAMILIES, timbers.ANY)
    several = timbers.envelope(family) if family in known else timbers.find(family)
    assert several
    assert several.members
    law_an_envelope_is_no_narrower(several, factor_of(several).band)


def test_an_envelope_of_its_first_member_is_seen() -> None:
    several = timbers.envelope("hardwood")
    with pytest.raises(AssertionError):
        law_an_envelope_is_no_narrower(several, wood_diffusivities().general.band)


def test_an_envelope_says_how_many_were_measured() -> None:
    """All of a genus, a family of which one was, and one of which none was."""
    told = {name: factor_of(timbers.envelope(name)).told for name in ("hardwood", "eucalypt")}
    oak = timbers.find("oak")
    assert oak
    assert factor_of(oak).told == "of 6 woods 1 measured, 5 through another of the genus"
    assert re.search(r"1 measured, \d+ through another of the genus, \d+ not measured$", told["hardwood"])
    assert told["eucalypt"] == "none measured for this wood; general band"


def test_two_measured_of_one_genus_stand_together() -> None:
    """A second oak in the file: the others have the envelope of both, wider."""
    second = SHIPPED[SHIPPED.index("[[wood]]") :]
    for old, new in (
        ('"red_oak"', '"white_oak"'), ('name = "red oak"', 'name = "white oak"'),
        ('"northern_red_oak"', '"white_oak"'), ("[0.24, 0.54, 0.9]", "[0.1, 0.3, 0.5]"),
    ):  # fmt: skip
        second = second.replace(old, new)
    same_key = second.replace('key = "white_oak"', 'key = "red_oak"')
    with pytest.raises(WoodDiffusivityError, match="wood: key: 'red_oak' stands there twice"):
        read_wood_diffusivities(SHIPPED + "\n" + same_key, "two.toml")
    held = read_wood_diffusivities(SHIPPED + "\n" + second, "two.toml")
    found = factor_of(timbers.timber("european_oak"), held)
    assert found.band == pytest.approx((0.1 / 1.41, (0.54 * 0.3) ** 0.5, 0.9 * 1.41))
    assert found.told == "measured on red oak and white oak, stands for its genus"
    assert factor_of(timbers.timber("white_oak"), held).band == (0.1, 0.3, 0.5)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("factor = [0.24, 0.54, 0.9]", "factor = [0.54, 0.25, 0.86]", "wood 1 (red_oak): factor: must rise"),
        ("factor = [0.24, 0.54, 0.9]", "factor = [0.0, 0.54, 0.86]", "must rise from above 0"),
        ("factor = [0.24, 0.54, 0.9]", "factor = [0.54, 0.86]", "must be low, middle and high"),
        ("factor = [0.24, 0.54, 0.9]", "factor = [true, 1, 2]", "must be low, middle and high"),
        ("factor = [0.24, 0.54, 0.9]", "factor = [0.5, 1, nan]", "must be low, middle and high"),
        ("factor = [0.25, 0.8, 2.0]", "factor = 0.8", "general: factor: must be low, middle and high"),
        ('"northern_red_oak"', '"northern_blue_oak"', "woods: 'northern_blue_oak' is no timber"),
        ('"northern_red_oak"', '"norway_spruce"', "genus: 'norway_spruce' is not of Quercus"),
        ('woods = ["northern_red_oak"]', 'woods = "northern_red_oak"', "woods: must be a list of keys"),
        ('confidence = "v"', 'confidence = "x"', "confidence: 'x' is none of v, m, c"),
        ('genus = "Quercus"', "genus = 7", "genus: must be text"),
        ("origin =", "from =", "origin: is missing"),
        ("place =", 'page = "1"\nplace =', "page: is not a field here"),
        (
            'source = ["siau-1984"]\nconfidence = "c"',
            'source = ["siau-1984"]',
            "genus: confidence: is missing",
        ),
        ("wider = 1.41", "wider = 1.0", "genus: wider: must lie above 1"),
        ("wider = 1.41", 'wider = "much"', "genus: wider: must lie above 1"),
        ("[general]", "[any]", "'any' is not known; there are general, genus, wood"),
        ("[[wood]]", "[wood]", "wood: there is no [[wood]]"),
        ("[[wood]]", "[[wood]", "not valid TOML"),
    ],
)
def test_bad_rows_are_refused(old: str, new: str, said: str) -> None:
    """With the place and the reason."""
    assert old in SHIPPED
    with pytest.raises(WoodDiffusivityError) as refused:
        read_wood_diffusivities(SHIPPED.replace(old, new), "try.toml")
    assert str(refused.value).startswith("try.toml: ")
    assert said in str(refused.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("wood = 3", "general: there is no [general]"),
        ("[general]\n[genus]\n", "wood: there is no [[wood]]"),
    ],
)
def test_a_file_without_its_tables_is_refused(text: str, said: str) -> None:
    with pytest.raises(WoodDiffusivityError, match=said.replace("[", r"\[").replace("]", r"\]")):
        read_wood_diffusivities(text, "try.toml")
