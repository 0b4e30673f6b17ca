"""Cells of words and small numbers: water, state, what was done, pieces, significance."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.knowledge.models import DONE_ALREADY, WATERS, WET_STATES
from strandline.pipeline import cells
from strandline.pipeline.cell_words import words

WATER = {
    "brackish + sewage": "brackish sewage",
    "brackish, sewage": "brackish sewage",
    "Brackish; Sewage": "brackish sewage",
    "brackish;sewage": "brackish sewage",
    "tide + drains": "brackish sewage",
    "salt": "sea",
    "Sea water": "sea",
    "salt and drains": "sea sewage",
    "estuary": "brackish",
    "diesel/oil": "fuel",
    "tap": "clean",
    "rain": "clean",
    "river": "river",
    "river water, muddy": "river",
    "bleach": "chemical",
    "n/k": "unknown",
    "unknown": "unknown",
    "flood water": "unknown",
    "mud": "unknown",
    "not salt, river": "river",
    "Meerwasser und Öl": "fuel sea",
    "égouts": "sewage",
    "brak water": "brackish",
    "río": "river",
    "brackish (tide)": "brackish",
    "sewage?": "sewage",
    "fuel & chemicals": "chemical fuel",
    "": "",
}

STATES = {
    "still wet": "under_water",
    "still wet, mud on one side": "under_water",
    "lower half was under": "under_water",
    "wet to deck line": "under_water",
    "floated in": "under_water",
    "mud inside": "under_water",
    "still in the slip pit": "under_water",
    "splashed only": "splashed",
    "damp air only": "damp_air_only",
    "damp": "damp_now",
    "damp, had been dry": "damp_now",
    "mud dried on": "dry_with_mud",
    "dry when it came": "dry_with_mud",
    "frozen solid": "frozen",
    "not splashed, damp": "damp_now",
    "nass": "under_water",
    "feucht": "damp_now",
    "mouillé": "under_water",
    "Bevroren": "frozen",
    "húmedo": "damp_now",
    "unknown": None,
}

DONE = {
    "": "",
    "nothing": "",
    "none": "",
    "-": "",
    "nichts": "",
    "not rinsed": "",
    "wiped by owner": "wiped",
    "wiped and oiled by owner": "oiled wiped",
    "dried on radiator": "heated",
    "hosed by a neighbour": "rinsed",
    "lid forced by owner": "operated",
    "shaken to drain": "operated",
    "squeezed by hand": "unknown",
    "n/k": "unknown",
    "put in a bin bag, then the freezer": "frozen sealed_in_plastic",
    "sealed_in_plastic; rinsed": "rinsed sealed_in_plastic",
    "stuck back with glue": "glued",
    "bleach": "bleached",
    "not wiped, rinsed": "rinsed",
    "abgewischt": "wiped",
    "rincé": "rinsed",
    "gedroogd op de kachel": "heated",
}


@pytest.mark.parametrize(("text", "keys"), WATER.items())
def test_water_is_a_set_of_keys(text: str, keys: str) -> None:
    """Sorted, in whatever words and order."""
    assert cells.water(text) == tuple(keys.split())


@pytest.mark.parametrize(("text", "key"), STATES.items())
def test_a_state_is_one_key(text: str, key: str | None) -> None:
    """What is dry or frozen now decides before what was wet once."""
    assert cells.wet_state(text) == key


@pytest.mark.parametrize(("text", "keys"), DONE.items())
def test_what_was_done_is_a_set_of_keys(text: str, keys: str) -> None:
    """What is said not to have been done was not."""
    assert cells.done_already(text) == tuple(keys.split())


@pytest.mark.parametrize(
    ("column", "keys"), [("water", WATERS), ("wet_state", WET_STATES), ("done_already", DONE_ALREADY)]
)
def test_every_key_is_read_as_itself(column: str, keys: tuple[str, ...]) -> None:
    """The exact form holds the keys, with their underscores."""
    for key in keys:
        read = getattr(cells, column)(key)
        assert read == (key if column == "wet_state" else (key,))
    assert set(words().by_key[column]) <= {*keys, "unknown"}


@pytest.mark.parametrize("table", ["water", "wet_state", "done_already"])
def test_every_word_of_the_words_file_gives_its_key(table: str) -> None:
    """No word is hidden behind another of the same table."""
    for key, phrases in words().by_key[table].items():
        for phrase in phrases:
            read = getattr(cells, table)(phrase)
            assert read == ((None if key == "unknown" else key) if table == "wet_state" else (key,)), phrase


@pytest.mark.parametrize(
    ("column", "text", "partial"),
    [
        ("water", "soup", ("unknown",)),
        ("water", "fuel + soup", ("fuel", "unknown")),
        ("done_already", "wiped, danced with", ("unknown", "wiped")),
        ("done_already", "looked at", ("unknown",)),
    ],
)
def test_a_word_nobody_defined_does_not_lose_the_others(
    column: str, text: str, partial: tuple[str, ...]
) -> None:
    """The fuel beside the odd word stays; the rest is unknown."""
    keys = ", ".join(WATERS if column == "water" else DONE_ALREADY)
    with pytest.raises(cells.CellError) as error:
        getattr(cells, column)(text)
    assert error.value.partial == partial
    assert error.value.reason == (
        f"{column} must be one or more of {keys}; got '{text}'; taken as {' + '.join(partial)}"
    )


@pytest.mark.parametrize(("text", "why"), [("dry", " (was it wet before?)"), ("lovely", ""), ("not wet", "")])
def test_a_state_nobody_defined_is_unknown(text: str, why: str) -> None:
    """Dry alone says nothing of whether it was wet."""
    with pytest.raises(cells.CellError) as error:
        cells.wet_state(text)
    assert error.value.reason == (
        f"wet_state must be one of {', '.join(WET_STATES)}; got '{text}'{why}; taken as unknown"
    )


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("1", 1),
        ("38", 38),
        ("about 17", 17),
        ("17 ?", 17),
        ("pair", 2),
        ("a pair", 2),
        ("6 pcs", 6),
        ("three", 3),
        ("12 Stück", 12),
        ("007", 7),
    ],
)
def test_pieces_are_counted(text: str, count: int) -> None:
    """Digits or small words."""
    assert cells.pieces(text) == count


@pytest.mark.parametrize(
    ("text", "why"),
    [("2-3", " (a range)"), ("0", ""), ("-1", ""), ("2.5", ""), ("box of sherds", ""), ("3 + lid", "")],
)
def test_what_is_no_count_is_refused(text: str, why: str) -> None:
    """Totals must agree to the unit, so nothing is rounded."""
    with pytest.raises(cells.CellError) as error:
        cells.pieces(text)
    assert (
        error.value.reason
        == f"pieces must be a whole number of 1 or more; got '{text}'{why}; taken as unknown"
    )


@pytest.mark.parametrize(
    ("text", "rank"), [("1", 1), ("5", 5), ("4.0", 4), ("3/5", 3), ("5 - irreplaceable", 5), (" 2 ", 2)]
)
def test_significance_is_1_to_5(text: str, rank: int) -> None:
    """5 irreplaceable, 1 replaceable."""
    assert cells.significance(text) == rank


@pytest.mark.parametrize(
    ("text", "why"),
    [("2-3", " (a range)"), ("0", ""), ("6", ""), ("high", ""), ("3.5", ""), ("55", ""), ("£600", "")],
)
def test_what_is_no_significance_is_refused(text: str, why: str) -> None:
    """Money in the column is not a rank."""
    with pytest.raises(cells.CellError) as error:
        cells.significance(text)
    assert (
        error.value.reason
        == f"significance must be a whole number from 1 to 5; got '{text}'{why}; taken as unknown"
    )


@given(
    st.lists(st.sampled_from(WATERS), min_size=1, unique=True),
    st.sampled_from([" + ", ", ", ";", "/", " and "]),
)
def test_any_set_of_waters_comes_back_in_any_order(kinds: list[str], between: str) -> None:
    """The order in the cell does not matter."""
    assert cells.water(between.join(kinds)) == tuple(sorted(kinds))


@given(st.integers(1, 999_999))
def test_any_count_comes_back(count: int) -> None:
    """Exactly, and with a word for about."""
    assert cells.pieces(str(count)) == count
    assert cells.pieces(f"approx. {count}") == count


@given(st.text(max_size=40) | st.text(alphabet="wetdryoilnotmud, +;/?.", max_size=25))
def test_any_text_is_keys_or_a_cell_error(text: str) -> None:
    """No other exception; what comes back is always of the known keys."""
    known = {"water": set(WATERS), "done_already": set(DONE_ALREADY), "wet_state": set(WET_STATES)}
    for column, keys in known.items():
        try:
            read = getattr(cells, column)(text)
        except cells.CellError as error:
            read = error.partial
        found = {read} - {None} if isinstance(read, str) or read is None else set(read)
        assert found <= keys
    for read_number in (cells.pieces, cells.significance):
        try:
            number = read_number(text)
        except cells.CellError as error:
            reason = error.reason
        else:
            assert number is None or number >= 1
            continue
        assert reason.endswith("; taken as unknown")
