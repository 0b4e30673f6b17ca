"""The shipped sheets and driers can be used, name known sources, and bad rows are refused by name."""

from __future__ import annotations

from itertools import pairwise

import pytest

from strandline.knowledge import covers, driers
from strandline.knowledge.science_sources import science_sources

SHEET = """[[sheet]]
key = "one"
name = "one"
sd_low_m = 1.0
sd_mid_m = 2.0
sd_high_m = 3.0
source = ["practice"]
confidence = "c"
"""


def test_shipped_sheets_name_known_sources() -> None:
    """Every key has its entry; what is practice says so."""
    known = science_sources()
    for key, one in covers.covers().items():
        assert set(one.source) <= set(known), key
        assert one.confidence == "c" or "practice" not in one.source, key


def test_thicker_polyethylene_holds_more() -> None:
    """Low, mid and high grow with the gauge."""
    sheets = [covers.covers()[f"pe_{gauge}"].sheet for gauge in (25, 50, 100, 150, 250)]
    for thin, thick in pairwise(sheets):
        assert thin.sd_low_m < thick.sd_low_m
        assert thin.sd_mid_m < thick.sd_mid_m
        assert thin.sd_high_m < thick.sd_high_m


def test_cloth_and_paper_are_open_and_glass_is_shut() -> None:
    """By orders of magnitude."""
    found = covers.covers()
    assert found["cotton_sheet"].sheet.sd_high_m < 0.1 < found["pe_25"].sheet.sd_low_m
    assert found["tight"].sheet.sd_low_m >= 1500.0


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('confidence = "c"', 'confidence = "x"', "sheet 1 (one): confidence"),
        ("sd_mid_m = 2.0", "sd_mid_m = 0.5", "sheet 1 (one)"),
        ("sd_low_m = 1.0", 'sd_low_m = "thin"', "sheet 1 (one): sd_low_m"),
        ('source = ["practice"]', "source = []", "sheet 1 (one): source: is missing"),
        ('name = "one"', 'name = "one"\nmaker = "x"', "maker: is not a field"),
        ("[[sheet]]", "[[sheet", "not valid TOML"),
    ],
)
def test_bad_rows_of_covers_are_refused(old: str, new: str, said: str) -> None:
    """File, row, field and reason."""
    with pytest.raises(covers.CoverError) as caught:
        covers.read_covers(SHEET.replace(old, new), "test.toml")
    assert "test.toml" in str(caught.value)
    assert said in str(caught.value)


def test_a_key_twice_is_refused() -> None:
    """Two rows of one name."""
    with pytest.raises(covers.CoverError, match="twice"):
        covers.read_covers(SHEET + SHEET, "test.toml")


def test_shipped_driers_name_known_sources_and_no_makes() -> None:
    """Curves, kinds and classes."""
    known, found = science_sources(), driers.driers()
    for where, origin in found.known.items():
        assert set(origin.source) <= set(known), where
        assert origin.confidence in driers.CONFIDENCES
    assert {kind.family for kind in found.kinds.values()} == {"refrigerant", "desiccant"}


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('family = "desiccant"', 'family = "peltier"', "kind 3 (desiccant): family"),
        ("frost_low_c = [10.0, 20.0]", "frost_low_c = [20.0, 10.0]", "kind 1 (refrigerant): frost_low_c"),
        ('curves = ["six_machines", "example_file"]', 'curves = ["none"]', "kind 1 (refrigerant): none"),
        ("rated_rh = 0.8", 'rated_rh = "damp"', "kind 1 (refrigerant)"),
        ("temp2 = -0.000113208\n", "", "curve 1 (six_machines): temp2: is missing"),
        ('confidence = "v"', 'confidence = "q"', "curve 1 (six_machines): confidence"),
        ("[[wetness]]", "[[dampness]]", "table 'dampness'"),
    ],
)
def test_bad_rows_of_driers_are_refused(old: str, new: str, said: str) -> None:
    """File, row, field and reason, from the shipped file with one thing spoilt."""
    text = driers.FILE.read_text(encoding="utf-8")
    assert old in text
    with pytest.raises(driers.DrierError) as caught:
        driers.read_driers(text.replace(old, new), "test.toml")
    assert "test.toml" in str(caught.value)
    assert said in str(caught.value)
