"""The one way to a PDF: what it needs, what it refuses, that data is never source."""

import pytest

from strandline.papers.care_card import care_cards
from strandline.papers.compile import PaperError, compile_paper
from strandline.papers.head import Head
from strandline.things.tags import TagError
from tests.papers import looking
from tests.papers.samples import HEAD, jar


@pytest.mark.parametrize(
    "title", ['#panic("x")', "*bold* _it_ $x$", "= Head", "\\u{41} </div> {{x}}", "#sys.inputs"]
)
def test_data_is_printed_as_it_stands(title: str) -> None:
    """Nothing in a list is read as markup or code."""
    assert title in looking.text(care_cards(HEAD, {"objects": [{**jar(), "title": title}]}).pdf)


@pytest.mark.parametrize("key", ["title", "lang", "as_of"])
def test_a_paper_needs_a_title_a_language_and_an_hour(key: str) -> None:
    """Without them it would not be accessible, or not be the same twice."""
    data = {**HEAD.data("x"), "cards": [], "words": {}}
    del data[key]
    with pytest.raises(PaperError, match=key):
        compile_paper("care_card", data)


def test_an_hour_needs_its_zone() -> None:
    """A time that could be any time is refused, in the data and in the head."""
    with pytest.raises(PaperError, match="time zone"):
        compile_paper("care_card", {**HEAD.data("x"), "as_of": "2026-03-15T15:40:00"})
    with pytest.raises(PaperError, match="time zone"):
        Head("ORNL1", "x", HEAD.as_of.replace(tzinfo=None))


def test_an_unknown_template_is_named() -> None:
    """And so is what a template misses in its data."""
    with pytest.raises(PaperError, match="no template 'menu'"):
        compile_paper("menu", HEAD.data("x"))
    with pytest.raises(PaperError, match="care_card: "):
        compile_paper("care_card", HEAD.data("x"))


def test_an_incident_code_that_no_tag_could_carry_is_refused() -> None:
    """Before anything is printed."""
    with pytest.raises(TagError):
        Head("the flood", "x", HEAD.as_of)


def test_a_head_is_read_from_a_plan_document() -> None:
    """Hour, knowledge and review as the document says."""
    care = {"as_of": "2026-03-15T15:40:00+00:00", "made_by": {"knowledge": "2026.1", "reviewed": False}}
    name = "Ostrey Reach Net Loft and Chandlery"
    assert Head.of_care(care, "ORNL1", name, "Europe/London") == HEAD
    with pytest.raises(PaperError, match="no time"):
        Head.of_care({**care, "as_of": "soon"}, "ORNL1", name)
