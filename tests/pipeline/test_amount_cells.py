"""Numbers with units as people type them."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.pipeline import cells
from strandline.pipeline.cell_words import words

LENGTHS = {
    "450": 450,
    "450mm": 450,
    "450 mm.": 450,
    "30 cm": 300,
    "30cm": 300,
    "1.2 m": 1200,
    "1,2 m": 1200,
    "12½ in": 317.5,
    '12 1/2"': 317.5,
    "12-1/2 in": 317.5,
    '12½"': 317.5,
    "½ in": 12.7,
    "2″": 50.8,
    "5' 3\"": 1600.2,
    "5’ 3”": 1600.2,
    "5' 3": 1600.2,
    "5 ft 3 in": 1600.2,
    "5ft3": 1600.2,
    "2' 6\"": 762,
    "8 ft 0 in": 2438.4,
    "3 ft": 914.4,
    "2''": 50.8,
    "1 m 20 cm": 1200,
    "1 200": 1200,
    "1 200,5 mm": 1200.5,
    "1.200,5": 1200.5,
    "1,200.5": 1200.5,
    "1.200.000 mm": None,
    "0,5 m": 500,
    "0,125 m": 125,
    ".5 m": 500,
    "Ø 30 cm": 300,
    "1 yd": 914.4,
    "10 Zoll": 254,
    "3 pouces": 76.2,
    "30 CM": 300,
    "approx 30 cm": 300,
    "approx. 30 cm": 300,
    "abt 300": 300,
    "about 17": 17,
    "c. 30 cm": 300,
    "c30": 30,
    "ca 5 in": 127,
    "circa 1 m": 1000,
    "~30": 30,
    "etwa 30 cm": 300,
    "environ 30 cm": 300,
    "13 ?": 13,
    "13?": 13,
    "13 (?)": 13,
    "30 cm approx": 300,
}

UNKNOWN = ["", "  ", "n/k", "N/K", "??", "?", "-", "–", "unknown", "not measured", "unbekannt", "onbekend"]

NO_LENGTH = {
    "2-3": "a range",
    "2–3 cm": "a range",
    "10 to 12 in": "a range",
    "2 cm - 3 cm": "a range",
    "10 bis 12": "a range",
    "30 x 20 cm": "several sizes in one cell",
    "30×20×10": "several sizes in one cell",
    "2 by 4 in": "several sizes in one cell",
    "1,200": "1200 or 1.200?",
    "12,500 mm": "12500 or 12.500?",
    "-5": "less than nothing",
    "−5 cm": "less than nothing",
    ">30": "a bound, not a value",
    "over 30 cm": "a bound, not a value",
    "max 30": "a bound, not a value",
    "30 kg": "'kg' is a unit of mass",
    "3 days": "'days' is a unit of hours",
    "30 qx": "'qx' is no unit known here",
    "1/0 in": "a fraction over 0",
    "1 m 20": "two numbers that do not add up",
    "30 cm 2 m": "two numbers that do not add up",
    "400 m": "more than 100000 mm",
    "1e5": "'e' is no unit known here",
    "1.2.3": "commas and points that do not fit",
    "1,2,3": "commas and points that do not fit",
    "1,23.456,7": "commas and points that do not fit",
    "7" * 100: "too long for a number",
}


@pytest.mark.parametrize(("text", "mm"), [(text, mm) for text, mm in LENGTHS.items() if mm is not None])
def test_a_length_is_read_in_every_notation(text: str, mm: float) -> None:
    """Inches, feet, fractions, commas, and words for "about"."""
    assert cells.length_mm(text) == pytest.approx(mm, rel=1e-12)


@pytest.mark.parametrize("text", UNKNOWN)
def test_a_cell_that_says_nobody_knows_is_no_value_and_no_problem(text: str) -> None:
    """Honest ignorance is not a mistake."""
    assert cells.length_mm(text) is None
    assert cells.mass_g(text) is None
    assert cells.hours(text) is None
    assert cells.pieces(text) is None
    assert cells.significance(text) is None
    assert cells.when(text) is None
    assert cells.wet_state(text) is None


@pytest.mark.parametrize("text", ["0", "0 cm", "0,0", "0.00 in", "0/4 in"])
def test_a_size_of_nothing_is_unknown(text: str) -> None:
    """Nobody measured it; hours of 0 are real."""
    assert cells.length_mm(text) is None
    assert cells.mass_g(text.replace("cm", "kg").replace("in", "lb")) is None
    assert cells.hours("0") == 0


@pytest.mark.parametrize(("text", "detail"), NO_LENGTH.items())
def test_what_is_no_single_length_is_refused_with_its_reason(text: str, detail: str) -> None:
    """What could mean two things is never guessed."""
    with pytest.raises(cells.CellError) as error:
        cells.length_mm(text)
    shown = text if len(text) <= 60 else text[:59] + "…"
    assert error.value.reason == (
        f"length_mm must be a length such as 450, 30 cm or 12½ in; got '{shown}' ({detail}); taken as unknown"
    )


def test_a_header_says_what_a_bare_number_means_and_a_cell_overrides_it() -> None:
    """``dia (in)`` holds inches, but "75 cm" in it is 75 cm."""
    assert cells.length_mm("9½", "in") == pytest.approx(241.3)
    assert cells.length_mm("75 cm", "in") == 750
    assert cells.mass_g("14,0", "kg") == 14_000
    assert cells.mass_g("2200 g", "kg") == 2200
    assert cells.hours("2", "d") == 48


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("2200", 2200),
        ("3.1 kg", 3100),
        ("0,6 kg", 600),
        ("6 lb 4 oz", 2834.952313),
        ("6 lb 4", 2834.952313),
        ("1.5 t", 1.5e6),
        ("14 lbs", 6350.29318),
        ("1 st 2 lb", 7257.47792),
        ("8 oz", 226.796185),
        ("abt 300 kg", 300_000),
        ("1 kg 200 g", 1200),
    ],
)
def test_a_mass_is_read_in_every_unit(text: str, grams: float) -> None:
    """Pounds, ounces and stones are exact by definition."""
    assert cells.mass_g(text) == pytest.approx(grams, abs=1e-6)


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("13", 13),
        ("13 h", 13),
        ("13h", 13),
        ("2 days", 48),
        ("1 day 6 h", 30),
        ("13:30", 13.5),
        ("13h30", 13.5),
        ("90 min", 1.5),
        ("1 week", 168),
        ("2 Tage", 48),
        ("12,5 Stunden", 12.5),
        ("½ h", 0.5),
    ],
)
def test_hours_are_read(text: str, hours: float) -> None:
    """Also as days, minutes or on a clock."""
    assert cells.hours(text) == pytest.approx(hours)


def test_a_word_for_hours_is_refused_in_the_words_of_the_contract() -> None:
    """The column's name is the one given."""
    with pytest.raises(cells.CellError) as error:
        cells.hours("soon")
    assert error.value.reason == "hours_wet must be a number or a date; got 'soon'; taken as unknown"
    with pytest.raises(
        cells.CellError, match=r"^under_water_h must be a number or a date; got '2-3' \(a range\)"
    ):
        cells.hours("2-3", column="under_water_h")
    with pytest.raises(
        cells.CellError, match=r"^dry_mass_g must be a mass such as .*; got 'heavy'; taken as unknown$"
    ):
        cells.mass_g("heavy", column="dry_mass_g")


@pytest.mark.parametrize("text", ["abt 300", "c. 30 cm", "13 ?", "~5", "30 cm approx", "about 17", "13 (?)"])
def test_about_is_known_as_about(text: str) -> None:
    """So that the value can be marked assumed."""
    assert cells.is_about(text)


@pytest.mark.parametrize("text", ["300", "30 cm", "cm", "c", "5' 3\"", "12½ in"])
def test_what_is_exact_is_not_about(text: str) -> None:
    """A letter c alone is no circa."""
    assert not cells.is_about(text)


UNIT = {kind: sorted(spelled) for kind, spelled in words().units.items()}


@given(st.integers(1, 9_999_999), st.sampled_from(UNIT["mass"]), st.sampled_from([".", ","]), st.booleans())
def test_a_mass_written_in_any_unit_comes_back(tenths: int, unit: str, point: str, space: bool) -> None:
    """One decimal, point or comma, with or without a space."""
    text = f"{tenths // 10}{point}{tenths % 10}{' ' if space else ''}{unit}"
    grams = tenths / 10 * words().units["mass"][unit].factor
    if grams > cells.MAX_MASS_G:
        with pytest.raises(cells.CellError, match="more than"):
            cells.mass_g(text)
    else:
        assert cells.mass_g(text) == pytest.approx(grams, rel=1e-9, abs=1e-6)


@given(
    st.integers(0, 40),
    st.integers(1, 15),
    st.sampled_from([2, 4, 8, 16]),
    st.sampled_from([" in", '"', " inches", "in."]),
)
def test_inches_with_a_fraction_come_back(whole: int, top: int, bottom: int, unit: str) -> None:
    """``12 3/8 in``; the value is exact to a millionth of a mm."""
    text = (f"{whole} " if whole else "") + f"{top}/{bottom}{unit}"
    assert cells.length_mm(text) == pytest.approx(
        float((whole + Fraction(top, bottom)) * Fraction(254, 10)), abs=1e-6
    )


@given(st.integers(1, 200), st.integers(0, 11))
def test_feet_and_inches_come_back(feet: int, inches: int) -> None:
    """With marks, with words, and with the last unit left out."""
    mm = pytest.approx(feet * 304.8 + inches * 25.4)
    for text in (f"{feet}' {inches}\"", f"{feet} ft {inches} in", f"{feet}′ {inches}″", f"{feet}' {inches}"):
        assert cells.length_mm(text) == mm


@given(st.integers(0, 9999), st.integers(0, 9999), st.sampled_from(["-", " - ", "–", " to ", " bis "]))
def test_a_range_is_never_a_number(low: int, high: int, between: str) -> None:
    """Neither end nor the middle is what was meant."""
    with pytest.raises(cells.CellError, match="a range"):
        cells.length_mm(f"{low}{between}{high} cm")


NEAR_NUMBERS = st.text(alphabet="0123456789 .,-/½¼\"'′cmkginftlbhxdays?~<()", max_size=14)


@given(st.text(max_size=30) | NEAR_NUMBERS, st.sampled_from(["", "in", "cm"]))
def test_any_text_is_a_finite_amount_or_a_cell_error(text: str, unit: str) -> None:
    """No other exception, no NaN, nothing below 0."""
    for read, own in ((cells.length_mm, unit), (cells.mass_g, ""), (cells.hours, "")):
        try:
            value = read(text, own)
        except cells.CellError as error:
            reason = error.reason
        else:
            assert value is None or (math.isfinite(value) and value >= 0)
            continue
        assert "; got '" in reason
        assert reason.endswith("; taken as unknown")
    assert cells.is_about(text) in (True, False)
