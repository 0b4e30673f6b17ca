"""Whatever the bytes are: a list or a ListError, and never a row lost on the way."""

from __future__ import annotations

import csv
import io
import json
import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.exchange.csv_rows import records
from strandline.exchange.encodings import clean
from strandline.exchange.lists import ListError, open_list
from tests.exchange.making import workbook

TEXTS = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"], exclude_characters="&\ufffd"), max_size=12
)
CELLS = TEXTS.map(str.strip).filter(lambda text: text not in ("tag", "title", "features"))
GOOD_XLSX = workbook({"L": [["tag", "title", "mass_g"], ["1", "Bell", 3.5], ["2", "Buoy", "=1+1"]]})
GOOD_JSON = (
    b'{"schema": "strandline.list/1", "objects": [{"tag": 1, "parts": [{"id": "a", "material": "iron"}],'
    b' "joins": [{"kind": "nailed", "parts": ["a", "b"]}]}]}'
)


def use(data: bytes, name: str = "list.csv") -> int:
    """Read bytes as a list; the number of rows, or -1 where they are refused with a sentence."""
    refusal = ""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_bytes(data)
        try:
            found = open_list(path)
            rows = list(found.rows)
        except ListError as error:
            refusal = str(error)
            rows, found = None, None
    if rows is None or found is None:
        assert refusal.endswith(".")
        assert "\n" not in refusal
        return -1
    for text in [cell for row in rows for cell in (*row.cells.values(), *row.kept.values())]:
        text.encode()  # no half of a character is left anywhere
        assert text == text.strip()
    assert len(rows) == found.tally.rows
    return len(rows)


@given(st.binary(max_size=300))
def test_any_bytes_are_a_list_or_a_list_error(data: bytes) -> None:
    """No other exception, whatever was handed in."""
    assert use(data) >= -1


@given(st.sampled_from(["utf-8", "utf-16", "cp1252"]), st.binary(max_size=200))
def test_any_bytes_under_a_header_are_a_list_or_a_list_error(codec: str, data: bytes) -> None:
    """The same where the file begins as a list does."""
    assert use("tag;title;L (cm)\n".encode(codec) + data) >= -1


@given(st.text(max_size=200))
def test_any_text_under_a_header_is_read(text: str) -> None:
    """Text without a NUL, hardly any control codes: always a list."""
    data = ("tag;title;features" + " " * 4000 + "\n" + text.replace("\0", "")).encode(
        "utf-8", "surrogatepass"
    )
    assert use(data) >= 0


@settings(max_examples=60)
@given(st.integers(0, len(GOOD_XLSX) - 1), st.integers(0, 255), st.integers(1, 40))
def test_a_workbook_with_spoiled_bytes_is_a_list_or_a_list_error(at: int, byte: int, run: int) -> None:
    """A disk that was under water gives such files."""
    assert use(GOOD_XLSX[:at] + bytes([byte]) * run + GOOD_XLSX[at + run :], "list.xlsx") >= -1


@given(st.integers(0, len(GOOD_JSON) - 1), st.sampled_from(list(b'{}[]",:0 ae\\-')), st.integers(0, 4))
def test_a_json_list_with_spoiled_bytes_is_a_list_or_a_list_error(at: int, byte: int, run: int) -> None:
    """Slips of the keyboard included."""
    assert use(GOOD_JSON[:at] + bytes([byte]) * run + GOOD_JSON[at + run :], "list.json") >= -1


JSON_VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=5)
    | st.sampled_from(["iron", "p1"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["id", "material", "parts", "kind", "features", "x"]), inner, max_size=3
        )
    ),
    max_leaves=8,
)


@given(st.dictionaries(st.sampled_from(["tag", "title", "parts", "joins", "odd"]), JSON_VALUES))
def test_any_json_value_anywhere_is_read_or_told(entry: dict[str, object]) -> None:
    """Wrong shapes become problems, never exceptions."""
    assert use(json.dumps({"schema": "strandline.list/1", "objects": [entry]}).encode(), "list.json") >= -1


@given(
    st.lists(st.tuples(CELLS, CELLS, CELLS), min_size=1, max_size=6),
    st.sampled_from([";", ",", "\t"]),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]),
)
def test_what_is_written_is_read(rows: list[tuple[str, str, str]], delimiter: str, codec: str) -> None:
    """A list written by any CSV writer comes back cell by cell, blank rows apart."""
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, quoting=csv.QUOTE_ALL).writerows(
        [("tag", "title", "features"), *rows]
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "list.csv"
        path.write_bytes(out.getvalue().encode(codec))
        read = [tuple(row.cells.values()) for row in open_list(path).rows]
    assert read == [tuple(clean(cell).text for cell in row) for row in rows if any(row)]


@given(st.text(alphabet='"a;\n ', max_size=60))
def test_no_line_is_lost_whatever_the_quotation_marks(text: str) -> None:
    """Letters of the text are all in the records, however the marks are set."""
    found = list(records(io.StringIO(text), ";", "list.csv"))
    assert "".join(cell for record in found for cell in record.cells).count("a") == text.count("a")
    assert [record.row for record in found] == list(range(1, len(found) + 1))
