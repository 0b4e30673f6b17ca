"""Delimited lists: every encoding and delimiter, and the untidiness real ones have."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from strandline.exchange.csv_rows import MAX_LINES, records
from strandline.exchange.lists import open_list
from tests.exchange.making import HEADER, ROWS, csv_text, opened, told

ENCODINGS = {
    "utf-8": ("utf-8", b""),
    "utf-8 with mark": ("utf-8", b"\xef\xbb\xbf"),
    "utf-16-le": ("utf-16-le", b""),
    "utf-16-be": ("utf-16-be", b""),
    "utf-16-le with mark": ("utf-16-le", b"\xff\xfe"),
    "utf-16-be with mark": ("utf-16-be", b"\xfe\xff"),
    "windows-1252": ("cp1252", b""),
}


@pytest.mark.parametrize(("name", "delimiter"), list(itertools.product(ENCODINGS, (";", ",", "\t"))))
def test_every_encoding_with_every_delimiter_gives_the_same_rows(
    tmp_path: Path, name: str, delimiter: str
) -> None:
    """Whatever program wrote it, the list says the same."""
    codec, mark = ENCODINGS[name]
    found, rows = opened(tmp_path, mark + csv_text(ROWS, delimiter).encode(codec))
    assert [tuple(row.cells.values()) for row in rows] == [
        tuple(cell.replace("\r\n", "\n") for cell in row) for row in ROWS
    ]
    assert (found.encoding, found.delimiter, found.problems) == (name, delimiter, [])
    assert [row.row for row in rows] == [2, 3, 4]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_line_end_is_one(tmp_path: Path, end: str) -> None:
    """Unix, Windows and old Macintosh line ends part rows alike."""
    _, rows = opened(tmp_path, end.join(["tag;title", "1;Bell", "2;Buoy", ""]))
    assert [row.cells for row in rows] == [{"tag": "1", "title": "Bell"}, {"tag": "2", "title": "Buoy"}]


def test_a_cell_over_several_lines_counts_as_one_row(tmp_path: Path) -> None:
    """Rows are counted as a spreadsheet shows them, so the row after a long cell is the next one."""
    _, rows = opened(tmp_path, 'tag,title\n1,"Bell\nwith\nclapper"\n2,Buoy\n')
    assert [(row.row, row.cells["title"]) for row in rows] == [(2, "Bell\nwith\nclapper"), (3, "Buoy")]


def test_blank_rows_are_skipped_and_counted_but_keep_their_number(tmp_path: Path) -> None:
    """A blank row is nothing to report, yet the row after it has the number the sheet shows."""
    found, rows = opened(tmp_path, "tag,title\n1,Bell\n\n , \n2,Buoy\n,\n")
    assert [row.row for row in rows] == [2, 5]
    assert (found.blank_rows, found.tally.rows, found.problems) == (3, 2, [])


def test_extra_cells_are_kept_and_missing_ones_blank(tmp_path: Path) -> None:
    """A ragged row loses nothing and is told with its number."""
    found, rows = opened(tmp_path, "tag,title,shelf\n1,Bell\n2,Buoy,B1,left,,over\n3,Oar,C2,,\n")
    assert (rows[0].cells, rows[0].kept) == ({"tag": "1", "title": "Bell"}, {"shelf": ""})
    assert rows[1].kept == {"shelf": "B1", "extra_1": "left", "extra_3": "over"}
    assert told(found.problems) == [
        (2, "the row has 2 cells, the header 3; the missing ones are taken as blank"),
        (3, "the row has 6 cells, the header 3; the others are kept as extra_1, extra_3"),
    ]


def test_a_header_that_stands_twice_is_kept_under_another_name(tmp_path: Path) -> None:
    """The first is read, the later ones are kept whole and told."""
    found, rows = opened(tmp_path, "tag,Owner,Owner,Owner\n1,museum,lender A,lender B\n")
    assert rows[0].cells == {"tag": "1", "owner": "museum"}
    assert rows[0].kept == {"Owner (2)": "lender A", "Owner (3)": "lender B"}
    assert found.head.kept_columns == ("Owner (2)", "Owner (3)")
    assert told(found.problems)[0] == (
        1,
        "the header 'Owner' stands twice; the later one is kept as 'Owner (2)'",
    )


def test_cells_under_no_header_are_kept_and_told_once(tmp_path: Path) -> None:
    """A column somebody forgot to name is not lost."""
    found, rows = opened(tmp_path, "tag,,title\n1,x,Bell\n2,y,Buoy\n3,,Oar\n")
    assert [row.kept for row in rows] == [{"column_2": "x"}, {"column_2": "y"}, {}]
    assert told(found.problems) == [(2, "column 2 has no header; its cells are kept as 'column_2'")]


def test_lines_above_the_header_are_a_title(tmp_path: Path) -> None:
    """Sheets often have a title over the header; rows keep the numbers of the sheet."""
    text = "Ostrey Reach Net Loft;;\nobjects after the surge;;\n\ntag;title;Made of\n1;Bell;bronze\n"
    found, rows = opened(tmp_path, text)
    assert found.above == ("Ostrey Reach Net Loft", "objects after the surge")
    assert (found.header_row, rows[0].row, rows[0].cells["materials"]) == (4, 5, "bronze")


def test_a_header_that_stands_again_is_no_object(tmp_path: Path) -> None:
    """Lists pasted together repeat their header."""
    found, rows = opened(tmp_path, "tag,title\n1,Bell\ntag,title\n2,Buoy\n")
    assert [row.cells["tag"] for row in rows] == ["1", "2"]
    assert told(found.problems) == [(3, "the header stands here again; the row is skipped")]


def test_a_stated_delimiter_is_taken_and_its_line_is_no_row(tmp_path: Path) -> None:
    """``sep=;`` is a note to spreadsheets, which do not show it as a row."""
    found, rows = opened(
        tmp_path, "sep=;\ntag;title, short\n1;Bell, small\n", columns={"title, short": "title"}
    )
    assert (found.delimiter, rows[0].row, rows[0].cells) == (";", 2, {"tag": "1", "title": "Bell, small"})


def test_commas_inside_cells_do_not_win_over_the_delimiter(tmp_path: Path) -> None:
    """The sign that gives known headers and even rows is the delimiter, not the most frequent one."""
    text = "title;materials\n" + "".join(f"Net, {n};hemp, cork, lead, tar, twine\n" for n in range(20))
    found, rows = opened(tmp_path, text)
    assert (found.delimiter, len(rows), rows[0].cells["title"]) == (";", 20, "Net, 0")


def test_one_column_alone_is_a_list(tmp_path: Path) -> None:
    """A list of titles with commas in them has no delimiter at all."""
    _, rows = opened(tmp_path, "Title\nSea chest, oak, iron bands\nBell\n")
    assert [row.cells["title"] for row in rows] == ["Sea chest, oak, iron bands", "Bell"]


def test_an_unclosed_quotation_mark_does_not_swallow_rows(tmp_path: Path) -> None:
    """One slip costs a note, not the rest of the list."""
    text = 'tag,title\n1,"Board, 2 ft\n2,Buoy\n3,"Oar, long"\n4,"Bell" of brass\n'
    found, rows = opened(tmp_path, text)
    assert [row.cells["tag"] for row in rows] == ["1", "2", "3", "4"]
    assert rows[2].cells["title"] == "Oar, long"
    assert rows[3].cells["title"] == '"Bell" of brass'
    said = "a quotation mark opens a cell and does not close it; it is taken as an ordinary sign"
    assert [problem for problem in told(found.problems) if problem[1] == said] == [(2, said), (5, said)]


def test_a_quoted_cell_over_too_many_lines_is_a_slip() -> None:
    """No real cell runs over hundreds of lines, so the mark is taken as a sign."""
    lines = ["tag,title\n", '1,"Bell\n', *[f"{n},Float\n" for n in range(2, 2 * MAX_LINES)], '9,"\n']
    found = list(records(iter(lines), ",", "list.csv"))
    assert found[1].cells == ["1", '"Bell']
    assert len(found) == len(lines)


def test_inch_marks_inside_cells_are_left_alone(tmp_path: Path) -> None:
    """``2' 6"`` unquoted is a size, not a quotation."""
    found, rows = opened(tmp_path, 'tag;title;L\n1;Board;2\' 6"\n2;Mast;"3\' 4"""\n')
    assert [row.cells["length_mm"] for row in rows] == ["2' 6\"", "3' 4\""]
    assert found.problems == []


def test_references_stand_for_their_letters(tmp_path: Path) -> None:
    """A web form's &#28014; is the letter it stands for; what stands for nothing stays as typed."""
    _, rows = opened(
        tmp_path, 'tag;title\n1;"mark &#28014;&#x7389; &amp; seal"\n2;"A&B &#0; &copy &#999999999;"\n'
    )
    assert rows[0].cells["title"] == "mark 浮玉 & seal"
    assert rows[1].cells["title"] == "A&B &#0; &copy &#999999999;"


def test_bytes_windows_1252_does_not_define_are_told(tmp_path: Path) -> None:
    """A lost letter is shown as lost, at its row and column."""
    found, rows = opened(tmp_path, b"tag;title\n1;caf\xe9 sign\n2;ro\x81pe\n")
    assert [row.cells["title"] for row in rows] == ["café sign", "ro\ufffdpe"]
    problem = found.problems[0]
    assert (problem.row, problem.column, problem.value) == (3, "title", "ro\ufffdpe")
    assert problem.reason == "a byte or code means nothing in windows-1252; it stands as \ufffd"


def test_a_stray_byte_does_not_turn_a_utf_8_list_into_nonsense(tmp_path: Path) -> None:
    """Rows pasted in from elsewhere are mended one by one; the others keep their letters."""
    data = "tag;title\n1;Krug für Öl, größer\n2;".encode() + b"caf\xe9\n"
    found, rows = opened(tmp_path, data)
    assert [row.cells["title"] for row in rows] == ["Krug für Öl, größer", "café"]
    assert told(found.problems) == [(3, "a byte is not UTF-8; read as Windows-1252")]


def test_a_letter_lost_before_is_told(tmp_path: Path) -> None:
    """A replacement sign that came with the list is reported too."""
    found, _ = opened(tmp_path, "tag;title\n1;caf\ufffd\n")
    assert found.problems[0].reason.startswith("a letter was lost before")


def test_a_list_without_rows_says_so(tmp_path: Path) -> None:
    """A header alone is readable and worth a word."""
    found, rows = opened(tmp_path, "tag,title\n\n")
    assert (rows, told(found.problems)) == ([], [(0, "there are no rows below the header")])


def test_rows_are_drawn_one_at_a_time(tmp_path: Path) -> None:
    """Opening a long list makes no rows; each is made when it is asked for."""
    path = tmp_path / "long.csv"
    path.write_text(csv_text([ROWS[0]] * 20_000), encoding="utf-8")
    found = open_list(path)
    assert found.tally.rows == 0
    assert (next(found.rows).row, next(found.rows).row, found.tally.rows) == (2, 3, 2)


def test_head_names_hash_and_columns(tmp_path: Path) -> None:
    """The head tells which bytes were read and what each header was taken for."""
    found, _ = opened(tmp_path, "Tag;What is it;shelf\n1;Bell;B1\n")
    assert found.head.name == "list.csv"
    assert found.head.columns == {"Tag": "tag", "What is it": "title"}
    assert found.head.kept_columns == ("shelf",)
    assert found.head.sha256 == "646d139ede984618538997f2cb8f35b52b9c7754863ecf875cf5db4497989c6d"


def test_the_header_of_the_exact_form_is_all_known(tmp_path: Path) -> None:
    """The columns' own keys are read as themselves."""
    found, _ = opened(tmp_path, csv_text(ROWS))
    assert found.head.columns == {name: name for name in HEADER}
