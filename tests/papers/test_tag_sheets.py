"""Sheets of tags: every number once, every code readable, the range on the sheet."""

import pytest

from strandline.papers.compile import PaperError
from strandline.papers.tag_sheets import tag_sheets
from strandline.things.tags import TagCode, TagError, read_qr
from tests.papers import looking
from tests.papers.samples import HEAD


def test_every_code_reads_back_as_its_tag() -> None:
    """Twelve tags on two sheets, read from the pictures of the sheets."""
    made = tag_sheets(HEAD, {"first": 95, "count": 12})
    read = [read_qr(code) for page in range(made.pages) for code in looking.codes(made.pdf, page)]
    assert sorted(read, key=lambda code: code.tag) == [TagCode("ORNL1", f"{n:04d}") for n in range(95, 107)]


def test_the_reserved_range_stands_on_each_sheet() -> None:
    """Whose numbers these are; a line to write on where nobody is named."""
    first, second = looking.pages(tag_sheets(HEAD, {"first": 41, "count": 12, "reserved_for": "table 2"}).pdf)
    assert "Tags 0041 to 0050, 10 in all, reserved for table 2" in first
    assert "Tags 0051 to 0052, 2 in all, reserved for table 2" in second
    assert "reserved for ____" in looking.text(tag_sheets(HEAD, {"first": 1, "count": 1}).pdf)


def test_the_number_can_be_read_from_afar() -> None:
    """Forty points; fragments and longer numbers still at 26, and on one line."""
    assert looking.size_of(tag_sheets(HEAD, {"first": 42, "count": 1}).pdf, "0042") >= 40
    assert looking.size_of(tag_sheets(HEAD, {"tags": ["0042-ab"]}).pdf, "0042-ab") >= 26


def test_single_tags_can_be_printed_again() -> None:
    """Those that were lost, and no others."""
    made = tag_sheets(HEAD, {"tags": ["0007", "0042-a"]})
    assert [code.split(":")[2] for code in looking.codes(made.pdf)] == ["0007", "0042-a"]


def test_what_cannot_be_a_range_is_refused() -> None:
    """Nothing, no tag, and far too many."""
    with pytest.raises(TagError):
        tag_sheets(HEAD, {"first": 0, "count": 10})
    with pytest.raises(TagError):
        tag_sheets(HEAD, {"tags": ["42"]})
    with pytest.raises(PaperError, match="at most"):
        tag_sheets(HEAD, {"first": 1, "count": 100_000})
