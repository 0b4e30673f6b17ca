"""Our values beside those from outside: within the tolerance, or a miss that stands with its reason."""

from pathlib import Path

import pytest

from tests.reference import outside

HEAD = ",".join(outside.COLUMNS)
GOOD = "ranges.within,name=rh;value=0.5;low=0;high=1,0.5,1,0.01,somebody-1990,p. 1,published,,"


@pytest.mark.parametrize("path", outside.files(), ids=lambda path: path.name)
def test_values_from_outside(path: Path) -> None:
    """Every row of a file holds; all that do not are told at once."""
    rows = outside.read_file(path)
    assert rows, f"{path.name} has no rows"
    told = outside.complaints(rows)
    assert not told, "\n".join(["", *told])


def rows_of(folder: Path, *lines: str) -> list[outside.Row]:
    """The rows of a small file made for a test."""
    path = folder / "try.csv"
    path.write_text("\n".join([HEAD, *lines]) + "\n", encoding="utf-8")
    return outside.read_file(path)


def test_a_row_that_holds_is_silent(tmp_path: Path) -> None:
    """Half of one is half of one; a word among the inputs stays a word, a whole number whole."""
    (row,) = rows_of(tmp_path, GOOD)
    assert outside.complaint(row) == ""
    assert dict(row.inputs) == {"name": "rh", "value": 0.5, "low": 0, "high": 1}
    assert (row.id, row.module, row.kind, row.counted) == (
        "try.csv:2 ranges.within",
        "ranges",
        "published",
        True,
    )


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("1,0.5,1,0.01", "1,0.52,1,0.01", "gap -0.02 1, allowed 0.01 1"),
        ("1,0.5,1,0.01", "1,0.52,1,1%", "gap -3.85 %, allowed 1 %"),
        ("published,,", "published,,the book rounds", "no longer misses"),
        ("value=0.5", "value=1.5", "the equation holds from 0 to 1"),
        ("value=0.5", "worth=0.5", "unexpected keyword"),
        ("ranges.within", "ranges.nothing", "nothing answers"),
        ("ranges.within", "cellar.within", "nothing answers"),
    ],
)
def test_a_row_that_does_not_hold_is_told(tmp_path: Path, old: str, new: str, told: str) -> None:
    """A gap, a miss that no longer misses, a refusal and a function that is not there."""
    (row,) = rows_of(tmp_path, GOOD.replace(old, new))
    (complaint,) = outside.complaints([row])
    assert complaint.startswith("try.csv:2")
    assert told in complaint


def test_a_foretold_miss_is_silent(tmp_path: Path) -> None:
    """It lies outside, as its reason says."""
    (row,) = rows_of(tmp_path, GOOD.replace("1,0.5,1,0.01", "1,0.7,1,0.01") + "the book rounds")
    assert outside.complaint(row) == ""


def test_the_edge_of_a_tolerance_is_within(tmp_path: Path) -> None:
    """The last bits of a float decide nothing; a thousandth of the tolerance does."""
    edge, beyond = rows_of(
        tmp_path,
        GOOD.replace("1,0.5,1,0.01", "1,0.51,1,0.01"),
        GOOD.replace("1,0.5,1,0.01", "1,0.51001,1,0.01"),
    )
    assert [outside.verdict(row).within for row in (edge, beyond)] == [True, False]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("ranges.within", "within", "try.csv:2: quantity: 'within' is not of the form"),
        ("value=0.5", "value", "try.csv:2: inputs: 'value' is not of the form name=value"),
        ("high=1", "low=1", "try.csv:2: inputs: 'low' is given twice"),
        ("1,0.5,1,0.01", "1,half,1,0.01", "try.csv:2: value, tolerance: could not convert"),
        ("1,0.5,1,0.01", "1,nan,1,0.01", "try.csv:2: value: 'nan' is not finite"),
        ("1,0.5,1,0.01", "1,0.5,1,0", "try.csv:2: tolerance: '0' is not above zero"),
        ("1,0.5,1,0.01", "1,0,1,1%", "try.csv:2: tolerance: '1%' is a share of zero"),
        ("1,0.5,1,0.01", "1,0.5,,0.01", "try.csv:2: unit: '' is empty"),
        ("somebody-1990", "", "try.csv:2: source: '' is empty"),
        ("published", "library:numbers", "try.csv:2: how: 'library:numbers' is none of"),
        ("published", "looked up", "try.csv:2: how: 'looked up' is none of"),
        ("published,,", "published,,,,", "try.csv:2: has more cells than columns"),
        (",published,,", ",published", "try.csv:2: has fewer cells than columns"),
    ],
)
def test_a_row_that_cannot_be_read_is_refused(tmp_path: Path, old: str, new: str, told: str) -> None:
    """With file, row, field and reason."""
    assert old in GOOD
    with pytest.raises(outside.OutsideError) as refused:
        rows_of(tmp_path, GOOD.replace(old, new))
    assert str(refused.value).startswith(told)


def test_other_columns_are_refused(tmp_path: Path) -> None:
    """A file of another make is none of ours."""
    path = tmp_path / "try.csv"
    path.write_text("quantity,value\nair.x,1\n", encoding="utf-8")
    with pytest.raises(outside.OutsideError, match=r"try.csv:1: the columns are"):
        outside.read_file(path)
