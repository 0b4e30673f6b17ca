"""Workbooks: the right sheet, and cells as a person would type them."""

from __future__ import annotations

import io
import re
import zipfile
from datetime import date, datetime, time, timedelta
from pathlib import Path

from tests.exchange.making import opened, told, workbook


def with_results(data: bytes, results: dict[str, str]) -> bytes:
    """The workbook with stored results for its formulas, as a spreadsheet program saves them."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(out, "w") as target:
        for entry in source.infolist():
            text = source.read(entry)
            if entry.filename.startswith("xl/worksheets/"):
                for cell, result in results.items():
                    text = re.sub(
                        rb'(<c r="' + cell.encode() + rb'"[^>]*><f>[^<]*</f>)<v ?/>',
                        rb"\g<1><v>" + result.encode() + rb"</v>",
                        text,
                    )
            target.writestr(entry, text)
    return out.getvalue()


def test_a_title_may_stand_over_the_header(tmp_path: Path) -> None:
    """Rows keep the numbers the sheet shows."""
    data = workbook(
        {"List": [["Net Loft, all objects"], [], ["Tag", "Object", "L (cm)"], ["0001", "Bell", 30]]}
    )
    found, rows = opened(tmp_path, data, "list.xlsx")
    assert (found.form, found.sheet, found.header_row, found.above) == (
        "xlsx",
        "List",
        3,
        ("Net Loft, all objects",),
    )
    assert (rows[0].row, rows[0].cells) == (4, {"tag": "0001", "title": "Bell", "length_mm": "30"})
    assert (rows[0].units, found.problems) == ({"length_mm": "cm"}, [])


def test_the_first_sheet_with_a_header_is_read_and_the_others_told(tmp_path: Path) -> None:
    """Nothing that holds something is passed over in silence; empty sheets are."""
    data = workbook(
        {
            "Notes": [["call lender A"]],
            "Objects": [["tag", "title"], ["1", "Bell"]],
            "More": [["tag", "title"]],
            "Empty": [],
        }
    )
    found, rows = opened(tmp_path, data, "list.xlsx")
    assert [row.cells["title"] for row in rows] == ["Bell"]
    assert [(problem.column, problem.value, problem.kept) for problem in found.problems] == [
        ("", "Notes", False),
        ("", "More", False),
    ]
    assert told(found.problems)[0] == (0, "sheet 'Notes' not read; the list was read from sheet 'Objects'")


def test_a_sheet_where_one_word_happens_to_fit_does_not_win(tmp_path: Path) -> None:
    """A cover sheet that says ``Object`` is no list beside one with a real header."""
    data = workbook({"Cover": [["Object"], ["see next"]], "List": [["tag", "title"], ["1", "Bell"]]})
    found, _ = opened(tmp_path, data, "list.xlsx")
    assert found.sheet == "List"


def test_values_are_written_as_a_sheet_shows_them(tmp_path: Path) -> None:
    """Dates as ISO, no noise after the point, leading zeros where the format shows them."""
    header = ["tag", "title", "mass_g", "wet_since", "out_since", "hours_wet", "pieces", "damaged", "typed"]
    row = [
        7,
        "Bell",
        0.1 + 0.2,
        datetime.fromisoformat("2026-03-15 02:40"),
        date(2026, 3, 16),
        timedelta(hours=13.5),
        3.0,
        True,
        time(8, 5),
    ]
    data = workbook({"List": [header, row]}, formats={"A2": "0000", "F2": "[h]:mm"})
    found, rows = opened(tmp_path, data, "list.xlsx")
    assert rows[0].cells == {
        "tag": "0007",
        "title": "Bell",
        "mass_g": "0.3",
        "wet_since": "2026-03-15T02:40:00",
        "out_since": "2026-03-16",
        "hours_wet": "13.5 h",
        "pieces": "3",
    }
    assert (rows[0].kept, found.problems) == ({"damaged": "yes", "typed": "08:05:00"}, [])


def test_short_rows_and_blank_rows_are_no_fault(tmp_path: Path) -> None:
    """A workbook does not store blank cells at the end of a row."""
    data = workbook({"List": [["tag", "title", "features"], ["1", "Bell"], [], ["2", "Buoy", None]]})
    found, rows = opened(tmp_path, data, "list.xlsx")
    assert [(row.row, row.cells["features"]) for row in rows] == [(2, ""), (4, "")]
    assert (found.problems, found.blank_rows) == ([], 1)


def test_cells_beyond_the_header_are_kept(tmp_path: Path) -> None:
    """A remark typed at the side is not lost."""
    found, rows = opened(tmp_path, workbook({"L": [["tag", "title"], ["1", "Bell", "look!"]]}), "list.xlsx")
    assert rows[0].kept == {"extra_1": "look!"}
    assert told(found.problems) == [(2, "the row has 3 cells, the header 2; the others are kept as extra_1")]


def test_a_value_merged_down_a_column_stands_in_each_row(tmp_path: Path) -> None:
    """One owner merged over three objects is the owner of all three."""
    rows: list[list[str | None]] = [
        ["Net Loft", None, None],
        ["tag", "title", "owner"],
        ["1", "Bell", "lender A"],
        ["2", "Buoy", None],
        ["3", "Oar", None],
        ["4", "Net", None],
    ]
    found, read = opened(tmp_path, workbook({"List": rows}, merged=["A1:C1", "C3:C5"]), "list.xlsx")
    assert [row.cells["owner"] for row in read] == ["lender A", "lender A", "lender A", ""]
    assert found.problems == []


def test_formulas_give_their_stored_result(tmp_path: Path) -> None:
    """What the sheet showed when it was saved is what counts."""
    data = workbook({"List": [["tag", "title", "mass_g", "pieces"], ["1", "Bell", "=20*1000", "=1+1"]]})
    found, rows = opened(tmp_path, with_results(data, {"C2": "20000"}), "list.xlsx")
    assert (rows[0].cells["mass_g"], rows[0].cells["pieces"]) == ("20000", "")
    assert [(problem.row, problem.column, problem.reason) for problem in found.problems] == [
        (2, "pieces", "a formula without a stored result; open the workbook, save it, and give it again")
    ]


def test_an_error_of_the_sheet_is_no_value(tmp_path: Path) -> None:
    """``#N/A`` must not become a word of the title or a size."""
    found, rows = opened(
        tmp_path, workbook({"L": [["tag", "title"], ["1", "#N/A"], ["2", "Bell"]]}), "list.xlsx"
    )
    assert rows[0].cells["title"] == ""
    problem = found.problems[0]
    assert (problem.row, problem.column, problem.value) == (2, "title", "#N/A")
    assert problem.reason == "an error of the spreadsheet, not a value; taken as blank"


def test_a_list_is_known_by_what_it_is_not_by_its_name(tmp_path: Path) -> None:
    """A workbook called .csv and a CSV called .xlsx are both read."""
    found, rows = opened(tmp_path, workbook({"L": [["tag", "title"], ["1", "Bell"]]}), "list.csv")
    assert (found.form, len(rows)) == ("xlsx", 1)
    found, rows = opened(tmp_path, "tag,title\n1,Bell\n", "list.xlsx")
    assert (found.form, len(rows)) == ("csv", 1)


def test_a_workbook_starting_far_down_keeps_its_row_numbers(tmp_path: Path) -> None:
    """Empty rows above the table are rows too."""
    data = workbook({"L": [[], [], [], [None, "tag", "title"], [], [None, "1", "Bell"]]})
    found, rows = opened(tmp_path, data, "list.xlsx")
    assert (found.header_row, rows[0].row, rows[0].cells, rows[0].kept) == (
        4,
        6,
        {"tag": "1", "title": "Bell"},
        {},
    )


def test_columns_of_a_workbook_can_be_mapped(tmp_path: Path) -> None:
    """The mapping works for every form of list."""
    data = workbook({"L": [["Kennung", "Was"], [1, "Glocke"]]})
    _, rows = opened(tmp_path, data, "list.xlsx", {"Kennung": "tag", "Was": "title"})
    assert rows[0].cells == {"tag": "1", "title": "Glocke"}
