"""Kinds of wood: whole files, names that find one wood, envelopes that contain their members."""

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from strandline.knowledge import timbers as kinds
from strandline.knowledge.science_sources import science_sources
from strandline.physics import wood

WOOD_MATERIALS = Path(kinds.__file__).parent / "data" / "materials" / "wood.toml"
ALL = kinds.timbers()

ROW = """
[[timber]]
key = "elm"
names = ["elm"]
botanical = "Ulmus"
region = "Europe"
family = "hardwood"
basis = "green_to_12"
radial_percent = 3
tangential_percent = [5, 6]
basic_density_kg_m3 = 500
source = ["somebody-1990"]
confidence = "m"
"""


def test_there_are_enough_kinds() -> None:
    """Ninety kinds and more, of the regions that museums near floods keep most."""
    assert len(ALL) >= 90
    assert sum(one.region == "Australia" for one in ALL) >= 15
    assert sum(one.region == "Europe" for one in ALL) >= 8


def test_every_source_has_its_entry() -> None:
    """What a row names is in the files of sources; a row said to be read names a source that was."""
    for one in ALL:
        for key in one.source:
            assert key in science_sources(), (one.key, key)
        if one.confidence == "v":
            assert any(science_sources()[key].read != "memory" for key in one.source), one.key


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.key)
def test_a_row_is_physical(one: kinds.Timber) -> None:
    """Bands in order, along the rings more than across, total at least what the list gives."""
    for band in (one.radial_to_oven_dry, one.tangential_to_oven_dry, one.volumetric_to_oven_dry):
        assert 0.0 < band[0] <= band[1] <= band[2] < 0.30
    assert one.radial_to_oven_dry[1] < one.tangential_to_oven_dry[1]
    assert one.tangential_to_oven_dry[1] >= one.tangential[1]
    assert one.tangential_to_oven_dry[1] < one.volumetric_to_oven_dry[1]
    low, middle, high = one.basic_density_kg_m3
    assert 100.0 < low <= middle <= high < 1150.0
    assert wood.maximum_moisture(middle) > one.fibre_saturation(20.0)[2]


def test_a_printed_volume_goes_with_its_two_directions() -> None:
    """Printed volumetric shrinkages lie within 3 points of what radial and tangential give."""
    far = {
        one.key
        for one in ALL
        if one.volumetric is not None
        and abs(
            wood.volumetric_shrinkage(one.radial_to_oven_dry[1], one.tangential_to_oven_dry[1])
            - one.volumetric[1]
        )
        > 0.03
    }
    assert not far


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.key)
def test_every_name_finds_its_wood(one: kinds.Timber) -> None:
    """Each name on a list, in any case and among other words, finds the row it stands in."""
    for name in one.names:
        assert kinds.find(f"Small box, {name.upper()}, 1890") is one, name


def test_no_name_stands_for_two() -> None:
    """A name belongs to one wood or one group."""
    seen: dict[str, str] = {}
    for key, names in [(one.key, one.names) for one in ALL] + [(g.key, g.names) for g in kinds.groups()]:
        for name in names:
            assert seen.setdefault(name.lower(), key) == key, name


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("chair of Tasmanian blackwood", "blackwood"),
        ("Goldfields blackbutt bowl", "goldfields_blackbutt"),
        ("blackbutt bowl", "blackbutt"),
        ("Douglas-fir door", "douglas_fir"),
        ("Pinus radiata shelf", "radiata_pine"),
        ("bird's-eye maple veneer", "sugar_maple"),
        ("birds eye maple", "sugar_maple"),
        ("white mahogany post", "white_mahogany"),
    ],
)
def test_the_longest_name_wins(text: str, key: str) -> None:
    """The name that says more goes before the one inside it."""
    found = kinds.find(text)
    assert found is not None
    assert found.key == key


@pytest.mark.parametrize("text", ["", "plastic tray", "oaken", "the teaking of pots", "limestone", "ashtray"])
def test_parts_of_words_find_nothing(text: str) -> None:
    """Names are found as whole words only."""
    assert kinds.find(text) is None


def test_a_name_of_several_woods_gives_their_envelope() -> None:
    """Plain oak spans the oaks; Tasmanian oak is no oak but three gums, and may collapse."""
    oak, tasmanian = kinds.find("oak chest"), kinds.find("Tasmanian oak chair")
    assert oak is not None
    assert tasmanian is not None
    assert "european_oak" in oak.members
    assert set(tasmanian.members) == {"alpine_ash", "mountain_ash", "messmate"}
    assert tasmanian.collapse_prone


def contains(around: kinds.Timber) -> None:
    """No member lies outside, in any number or flag, and the middle lies inside."""
    for key in around.members:
        one = kinds.timber(key)
        for outer, inner in (
            (around.radial_to_oven_dry, one.radial_to_oven_dry),
            (around.tangential_to_oven_dry, one.tangential_to_oven_dry),
            (around.volumetric_to_oven_dry, one.volumetric_to_oven_dry),
            (around.basic_density_kg_m3, one.basic_density_kg_m3),
        ):
            assert outer[0] <= inner[0] <= inner[2] <= outer[2]
        assert around.fibre_saturation(20.0)[0] <= one.fibre_saturation(20.0)[0]
        assert around.collapse_prone or not one.collapse_prone
    assert around.tangential[0] < around.tangential[1] < around.tangential[2]


@pytest.mark.parametrize("family", ["softwood", "hardwood", "eucalypt", "any"])
def test_an_envelope_contains_its_members(family: str) -> None:
    """An unknown wood of a family is bounded by all that are known."""
    contains(kinds.envelope(family))


@pytest.mark.parametrize(
    "change",
    [
        {"tangential": (0.05, 0.07, 0.08)},
        {"basic_density_kg_m3": (400.0, 450.0, 500.0)},
        {"collapse_prone": False},
        {"maybe_extractives": False},
    ],
    ids=str,
)
def test_a_narrower_envelope_is_caught(change: dict[str, Any]) -> None:
    """An envelope of means, or one that forgets a flag, fails the rule."""
    with pytest.raises(AssertionError):
        contains(replace(kinds.envelope("any"), **change))


def test_hardwoods_hold_the_eucalypts() -> None:
    """An unknown hardwood may be a gum; any wood may be all of them."""
    hard, gums = set(kinds.envelope("hardwood").members), set(kinds.envelope("eucalypt").members)
    assert gums < hard
    assert len(kinds.envelope("any").members) == len(ALL)


def test_an_envelope_needs_members_it_knows() -> None:
    """Unknown keys and families, and no key at all, are refused."""
    for wrong in ("palm", ["oak tree"]):
        with pytest.raises(KeyError):
            kinds.envelope(wrong)
    with pytest.raises(ValueError, match="at least one"):
        kinds.envelope([])


def wood_material_keys() -> list[str]:
    """Keys of the materials that the care rules count as wood."""
    rows = tomllib.loads(WOOD_MATERIALS.read_text(encoding="utf-8"))["material"]
    return [row["key"] for row in rows if row["family"] == "wood"]


def test_every_wood_material_has_an_envelope() -> None:
    """Each material of the care rules maps to a stand-in, and no row is left over."""
    keys = wood_material_keys()
    assert set(kinds.wood_materials()) == set(keys)
    for key in keys:
        assert kinds.for_material(key).members


def test_materials_that_are_not_sound_wood_say_so() -> None:
    """Board, buried wood and jet carry the reason why these numbers fail; plain timber does not."""
    failing = {key for key in wood_material_keys() if kinds.law_fails(key)}
    assert failing == {"board_composite", "timber_waterlogged", "jet_amber"}
    with pytest.raises(KeyError):
        kinds.for_material("pewter")


def test_green_to_12_becomes_green_to_oven_dry() -> None:
    """Jarrah is told to 12 %, its total is five thirds of that; karri is told to oven-dry and kept."""
    jarrah, karri = kinds.timber("jarrah"), kinds.timber("karri")
    assert jarrah.tangential_to_oven_dry[1] == pytest.approx(jarrah.tangential[1] / 0.6)
    assert karri.tangential_to_oven_dry == karri.tangential


def test_a_wood_that_collapses_is_not_stretched_by_the_law() -> None:
    """Messmate's total lies between its walls' alone and what the list found; five thirds would be 18 %."""
    low, middle, high = kinds.timber("messmate").tangential_to_oven_dry
    assert low == pytest.approx(0.35 * 0.30)
    assert high == pytest.approx(0.11 + 0.35 * 0.12)
    assert low < middle < high < 0.11 / 0.6


def test_a_good_row_is_read() -> None:
    """A mean gets its spread, a range its middle."""
    found, problems = kinds.read_timbers(ROW, "mine.toml")
    assert problems == []
    assert found[0].radial == pytest.approx((0.0255, 0.03, 0.0345))
    assert found[0].tangential == pytest.approx((0.05, 0.055, 0.06))
    assert found[0].basic_density_kg_m3 == pytest.approx((450.0, 500.0, 550.0))
    assert found[0].density_confidence == "m"


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('key = "elm"\n', "", "mine.toml: timber 1 (?): key: is missing"),
        ('"hardwood"', '"shrub"', "timber 1 (elm): family: 'shrub' is not one of"),
        ("green_to_12", "wet_to_dry", "basis: 'wet_to_dry' is not one of"),
        ('"m"', '"x"', "confidence: 'x' is not one of"),
        ("radial_percent = 3", "radial_percent = -3", "is not above zero"),
        ("[5, 6]", "[6, 5]", "is no range from low to high"),
        ("basic_density_kg_m3 = 500", "colour = 3", "colour: is no field of a timber"),
        ("basic_density_kg_m3 = 500", "air_dry_density_kg_m3 = 99999", "air_dry_density_kg_m3"),
        ("basic_density_kg_m3 = 500", "", "basic_density_kg_m3: give it or air_dry_density_kg_m3"),
        ('confidence = "m"', 'confidence = "m"\ncollapse_prone = true', "tangential_percent_per_percent"),
        ("[[timber]]", "[[timber", "mine.toml: not valid TOML"),
    ],
)
def test_a_bad_row_is_told(old: str, new: str, told: str) -> None:
    """File, row, field and reason."""
    found, problems = kinds.read_timbers(ROW.replace(old, new), "mine.toml")
    assert found == []
    assert any(told in problem for problem in problems), problems
