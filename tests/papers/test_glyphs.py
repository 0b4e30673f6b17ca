"""What the fonts cannot print becomes words that can be, and is handed back."""

import hashlib
import json
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.papers.care_card import care_cards
from strandline.papers.glyphs import FONTS, INSTEAD, Unprintable, covered, printable, prints
from tests.papers import looking
from tests.papers.samples import HEAD, jar


@pytest.mark.parametrize(
    ("text", "said", "lost"),
    [
        ("Sea chest", "Sea chest", []),
        ("Teekännchen, œuvre, Łódź", "Teekännchen, œuvre, Łódź", []),
        ("κανάτι и рында", "κανάτι и рында", []),
        ("a\u0308 composes", "ä composes", []),
        ("jar \u6f22\u5b57 lid", "jar [see screen] lid", ["\u6f22\u5b57"]),
        ("\u6f22 \u5b57", "[see screen]", ["\u6f22 \u5b57"]),
        ("bell \U0001f514\ufe0f", "bell [see screen]", ["\U0001f514\ufe0f"]),
        ("\u05e9\u05dc\u05d5\u05dd lamp", "[see screen] lamp", ["\u05e9\u05dc\u05d5\u05dd"]),
        ("q\u0330 stays together", "[see screen] stays together", ["q\u0330"]),
        ("line\nbreak\ttab", "line break tab", []),
        ("turned \u202eround\u202c", "turned round", []),
        ("soft\u00adhyphen", "softhyphen", []),
        ("nul\x00l", "null", []),
        ("lone \ud800", "lone [see screen]", ["\ud800"]),
        ("", "", []),
    ],
)
def test_texts(text: str, said: str, lost: list[str]) -> None:
    """Scripts, marks, pictures, directions, controls."""
    assert printable(text) == (said, lost)


@given(st.text())
def test_what_comes_out_can_always_be_printed(text: str) -> None:
    """Whatever goes in: every character is in the fonts, and doing it twice changes nothing."""
    said, lost = printable(text)
    assert all(prints(letter) for letter in said)
    assert printable(said) == (said, [])
    assert said.count(INSTEAD) >= len(lost) > 0 or not lost


def test_the_coverage_file_is_that_of_the_fonts() -> None:
    """A font that was changed without a new coverage file is found out."""
    told = json.loads((FONTS / "coverage.json").read_text(encoding="utf-8"))["files"]
    held = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in FONTS.glob("*.ttf")}
    assert told == held
    assert len(list(FONTS.glob("OFL-*.txt"))) == 2
    assert sum(path.stat().st_size for path in FONTS.iterdir()) < 4_000_000


def test_every_covered_character_really_prints() -> None:
    """All of them in one archival file, in both weights, which one missing glyph would fail."""
    points = [n for first, last in zip(*covered(), strict=True) for n in range(first, last + 1)]
    letters = [chr(n) for n in points if prints(chr(n)) and unicodedata.is_normalized("NFC", chr(n))]
    assert len(letters) > 2000
    whole = " ".join(letters)
    o = {**jar(), "title": whole, "materials": whole}
    made = care_cards(HEAD, {"objects": [o]})
    assert made.unprintable == ()
    assert "Ѫ" in looking.text(made.pdf)


def test_what_was_lost_names_its_tag() -> None:
    """The lead learns which card is short of which words."""
    strange = {**jar("0017"), "title": "Plate \u6d6e\u7389"}
    made = care_cards(HEAD, {"objects": [jar(), strange]})
    assert made.unprintable == (Unprintable("0017", "\u6d6e\u7389"),)
    assert "Plate [see screen]" in looking.text(made.pdf)
