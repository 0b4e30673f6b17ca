"""Uptake, coatings and films: what ships can be used, stands in the right order, and bad rows are refused."""

from __future__ import annotations

import pytest

from strandline.knowledge.science_sources import science_sources
from strandline.knowledge.wetting import (
    CONFIDENCES,
    FIELDS,
    FILE,
    WettingError,
    coating_row,
    read_wetting,
    wetting,
)

SHIPPED = FILE.read_text(encoding="utf-8")


def test_shipped_rows_name_known_sources() -> None:
    """Every key has its entry, every row a confidence, and nothing from memory or practice is called read."""
    known = science_sources()
    for table, rows in wetting().items():
        assert rows, table
        for key, row in rows.items():
            assert set(row.source) <= set(known), key
            assert row.confidence in CONFIDENCES, key
            assert set(row.bands) == set(FIELDS[table]), key
            assert all(low <= mid <= high for low, mid, high in row.bands.values()), key
            if row.confidence == "v":
                assert all(known[source].read == "read" for source in row.source), key


def test_bare_is_bare_and_every_coat_holds_back() -> None:
    """Bare: no resistance, the whole uptake. Lacquer lets in least; gesso more than paint."""
    rows = wetting()["coating"]
    assert rows["none"].bands["sd_m"] == (0.0, 0.0, 0.0)
    assert rows["none"].bands["uptake_share"] == (1.0, 1.0, 1.0)
    for key, row in rows.items():
        if key != "none":
            assert row.bands["sd_m"][0] > 0.0
            assert row.bands["uptake_share"][1] < 1.0
            assert row.bands["uptake_share"][2] <= 1.0
    middle = {key: row.bands["uptake_share"][1] for key, row in rows.items()}
    assert middle["lacquer"] < middle["paint"] < middle["varnish"] < middle["wax"] < middle["gesso"] < 1.0


def test_end_grain_drinks_faster_and_moved_air_takes_more() -> None:
    """Low, mid and high."""
    uptake, air = wetting()["uptake"], wetting()["air"]
    for slow, fast in (
        (uptake["across"].bands["absorption_kg_m2_s05"], uptake["along"].bands["absorption_kg_m2_s05"]),
        (air["still"].bands["conductance_m_s"], air["moving"].bands["conductance_m_s"]),
    ):
        assert all(one < two for one, two in zip(slow, fast, strict=True))


def test_still_air_is_of_the_order_of_a_free_plate() -> None:
    """Common practice, no published source: natural convection at a wall a few kelvin colder than the room is
    3 W/(m2 K); over 1.2 kJ/(m3 K) of air that is 2.5 mm/s for vapour."""
    low, _, high = wetting()["air"]["still"].bands["conductance_m_s"]
    assert low < 3.0 / 1200.0 < high


def test_coating_by_key() -> None:
    """The row itself; an unknown one is refused with those there are."""
    assert coating_row("wax") is wetting()["coating"]["wax"]
    with pytest.raises(KeyError, match="coating 'tar' is not known; there are none, wax, varnish"):
        coating_row("tar")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("[[uptake]]", "[uptake", "w.toml: not valid TOML"),
        ("[[uptake]]", "[[drinking]]", "'drinking' is not known; there are uptake, coating, air"),
        ('name = "bare"', 'name = ""', "coating 1 (none): name: is missing"),
        ('key = "wax"', 'key = "none"', "coating: a key stands there twice"),
        ("sd_m = [0.02, 0.1, 0.5]", "sd_m = [0.5, 0.1, 0.5]", "coating 2 (wax): sd_m: must rise from 0"),
        ("sd_m = [0.02, 0.1, 0.5]", "sd_m = [-0.1, 0.1, 0.5]", "coating 2 (wax): sd_m: must rise from 0"),
        (
            "sd_m = [0.02, 0.1, 0.5]",
            "sd_m = [0.02, 0.1]",
            "coating 2 (wax): sd_m: must be low, middle and high",
        ),
        ("sd_m = [0.02, 0.1, 0.5]", "sd_m = [0.02, 0.1, true]", "sd_m: must be low, middle and high"),
        ("sd_m = [0.02, 0.1, 0.5]", 'sd_m = [0.02, 0.1, "a"]', "sd_m: must be low, middle and high"),
        ("sd_m = [0.02, 0.1, 0.5]", "sd_m = [0.02, 0.1, inf]", "sd_m: must be low, middle and high"),
        ("sd_m = [0.02, 0.1, 0.5]", "sd_m = [0.02, 0.1, nan]", "sd_m: must be low, middle and high"),
        ("sd_m = [0.02, 0.1, 0.5]", "sd_mm = [0.02, 0.1, 0.5]", "coating 2 (wax): sd_m: is missing"),
        ("sd_m = [0.02, 0.1, 0.5]", "sd_m = [0.02, 0.1, 0.5]\ncolour = 1", "colour: is not a field here"),
        ('confidence = "m"', 'confidence = "x"', "uptake 1 (across): confidence: 'x' is none of v, m, c"),
        ('source = ["wetting-practice"]', 'source = "wetting-practice"', "source: must be a list of keys"),
    ],
)
def test_bad_rows_are_refused_by_name(old: str, new: str, said: str) -> None:
    """File, row, field and reason."""
    assert old in SHIPPED
    with pytest.raises(WettingError) as refused:
        read_wetting(SHIPPED.replace(old, new, 1), "w.toml")
    assert said in str(refused.value)
    assert "w.toml" in str(refused.value)


@pytest.mark.parametrize("table", sorted(FIELDS))
def test_a_table_that_is_not_there_is_missed(table: str) -> None:
    """None of the three can be left out or be something else."""
    others = "\n".join(
        f'[[{one}]]\nkey = "a"\nname = "a"\nsource = ["s"]\nconfidence = "c"\n'
        + "\n".join(f"{field} = [0.1, 0.2, 0.3]" for field in fields)
        for one, fields in FIELDS.items()
        if one != table
    )
    for text in (others, f"{table} = 3\n{others}"):
        with pytest.raises(WettingError, match=f"{table}: there is no"):
            read_wetting(text, "w.toml")
    assert read_wetting(SHIPPED, "w.toml").keys() == FIELDS.keys()
