"""The demo's own lists, read whole."""

from __future__ import annotations

from pathlib import Path

import strandline
from strandline.exchange.lists import open_list
from strandline.things.listing import COLUMNS

DEMO = Path(strandline.__file__).parent / "demo_data"


def test_the_museums_list_is_read_whole() -> None:
    """140 rows as several people typed them; every column but three is understood."""
    found = open_list(DEMO / "list.csv")
    rows = list(found.rows)
    assert (found.encoding, found.delimiter) == ("windows-1252", ";")
    assert [row.row for row in rows] == list(range(2, 142))
    assert found.head.kept_columns == ("shelf", "insured for £", "typed by")
    assert set(COLUMNS) - set(found.head.columns.values()) == {"hours_wet", "under_water_h"}
    assert found.head.columns["dia (in)"] == "diameter_mm"
    assert found.head.columns["weight kg"] == "mass_g"
    assert rows[0].units == {"diameter_mm": "in", "mass_g": "kg"}
    assert found.problems == []


def test_letters_windows_1252_does_not_have_come_back() -> None:
    """Two titles went through a web form; their references are letters again."""
    titles = {row.cells["tag"]: row.cells["title"] for row in open_list(DEMO / "list.csv").rows}
    exact = {row.cells["tag"]: row.cells["title"] for row in open_list(DEMO / "first12.csv").rows}
    assert titles["0017"] == exact["0017"]
    assert "浮玉" in titles["0017"]
    assert titles["0100"] == exact["0100"]


def test_the_exact_list_is_read_whole() -> None:
    """Columns under their own keys, UTF-8, commas."""
    found = open_list(DEMO / "first12.csv")
    assert len(list(found.rows)) == 12
    assert (found.head.kept_columns, found.problems) == ((), [])
