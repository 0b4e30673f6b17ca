"""Class cards, forms, walk, briefing, sign-in, advice, and the list against reality."""

import tomllib
from importlib.resources import files

import pytest

from strandline.knowledge.models import DONE_ALREADY, WATERS, WET_STATES
from strandline.papers.class_cards import class_cards
from strandline.papers.compile import PaperError
from strandline.papers.hazard_walk import hazard_walk
from strandline.papers.intake_form import intake_forms, ticks
from strandline.papers.list_against_reality import list_against_reality, totals
from strandline.papers.owner_advice import owner_advice, sections
from strandline.papers.pictures import DRAWN, look_for
from strandline.papers.site_briefing import sign_in, site_briefing
from tests.papers import looking
from tests.papers.samples import HEAD, Json, chronometer, jar, samples


def reality(groups: Json) -> str:
    """Text of the list against reality."""
    return looking.text(list_against_reality(HEAD, {"groups": groups}).pdf)


def test_a_class_card_takes_its_advice_from_the_example() -> None:
    """Heading and note are given; every word of advice is the plan's."""
    made = class_cards(HEAD, {"classes": [{"title": "Glazed", "note": "Shiny.", "object": jar()}]}).pdf
    page = looking.text(made)
    for words in (
        "Glazed",
        "Shiny.",
        "Shade, level, tray under.",
        "No: Wipe, Sun",
        "Yes: Rinse",
        "Two hands under",
    ):
        assert words in page
    assert "0043" not in page
    assert looking.size_of(made, "Shade, level") >= 16


def test_a_class_under_a_stop_shows_it_biggest() -> None:
    """As on the card of a thing."""
    made = class_cards(HEAD, {"classes": [{"title": "Glowing dial", "object": chronometer()}]}).pdf
    sizes = dict(looking.sizes_pt(made))
    assert max(sizes, key=lambda run: sizes[run]) == "STOP"


def test_walk_and_form_ask_for_the_same_ten_things_and_none_of_these() -> None:
    """A tick ends intake after the photograph, on both."""
    walk = looking.text(hazard_walk(HEAD, {}).pdf)
    form = looking.text(intake_forms(HEAD, {}).pdf)
    assert len(look_for()) == len(DRAWN) == 10
    for thing in look_for():
        assert thing["say"] in walk
        assert thing["say"] in form
    assert "None of these" in walk
    assert "none of these" in form
    for page in (walk, form):
        assert "from where you stand, step back" in page


def test_every_picture_has_words_for_those_who_do_not_see_it() -> None:
    """Ten pictures, ten different texts."""
    elements = looking.structure(hazard_walk(HEAD, {}).pdf)
    words = [str(element["/Alt"]) for element in elements if element["/S"] == "/Figure"]
    assert sorted(words) == sorted(thing["say"] for thing in look_for())


def test_the_walk_is_one_sheet_a_room() -> None:
    """With its name on it; nobody is asked to smell anything."""
    pages = looking.pages(hazard_walk(HEAD, {"rooms": ["Net Floor", "Boat Bay"]}).pdf)
    assert ["Net Floor" in pages[0], "Boat Bay" in pages[1], len(pages)] == [True, True, 2]
    assert "smell" not in pages[0]


def test_the_form_offers_every_answer_that_a_list_may_give() -> None:
    """Water, state and what was done, and one for not knowing."""
    assert [len(ticks()[key]) for key in ("water", "state", "done")] == [
        len(WATERS),
        len(WET_STATES) + 1,
        len(DONE_ALREADY) + 1,
    ]
    page = looking.text(intake_forms(HEAD, {}).pdf)
    assert all(word in page for words in ticks().values() for word in words)


def test_a_numbered_form_carries_the_code_of_its_tag() -> None:
    """One form a tag, on one side."""
    made = intake_forms(HEAD, {"tags": ["0042", "0043"]})
    assert made.pages == 2
    assert looking.codes(made.pdf, 1)[0].startswith("SL1:ORNL1:0043:")
    with pytest.raises(PaperError):
        intake_forms(HEAD, {"copies": 0})


def test_the_briefing_says_stops_first_and_who_released_what() -> None:
    """Stop words big; empty lines for rooms still to be released."""
    made = site_briefing(HEAD, samples()["site_briefing"]).pdf
    page = looking.text(made)
    assert looking.size_of(made, "STAND STILL") >= 24
    assert page.index("STOP: Power stays off.") < page.index("Treat the mud as sewage.")
    assert "surveyor Sun 15 March, 13:10" in page
    assert "Seven kilograms from the ground. (m)" in page
    assert "STOP" in looking.text(site_briefing(HEAD, {}).pdf)


def test_the_sign_in_sheet_prints_the_crew_and_counts_heads() -> None:
    """Names first, then empty rows."""
    page = looking.text(sign_in(HEAD, {"crew": ["lead conservator", "helper 1"]}).pdf)
    assert page.index("lead conservator") < page.index("helper 1") < page.index("Head count")


def test_owners_read_first_what_not_to_do() -> None:
    """The stricter line on heat is the first of them; whom to call is on the sheet."""
    page = looking.text(owner_advice(HEAD, {"call": "the lead conservator"}).pdf)
    assert page.index("DO NOT") < page.index("Before you touch anything")
    assert page.index("No heat of any kind") - page.index("DO NOT") < 20
    assert "Not for metal either" in page
    assert "Call: the lead conservator" in page


def test_owner_advice_names_sources_that_there_are() -> None:
    """Every key is in the list of sources, and a line without one is not said to be read."""
    text = files("strandline.knowledge").joinpath("data", "sources.toml").read_text(encoding="utf-8")
    known = {source["key"] for source in tomllib.loads(text)["source"]}
    lines = [line for section in sections() for line in section["lines"]]
    assert len(lines) > 30
    assert {key for line in lines for key in line["source"]} <= known
    assert all(line["source"] or line["confidence"] in {"m", "c"} for line in lines)
    assert {line["confidence"] for line in lines} <= {"v", "m", "c"}


def test_four_groups_are_always_there() -> None:
    """Also when nothing is in them."""
    page = reality({})
    for heading in (
        "On the list and found",
        "On the list, not seen",
        "Found, not on the list",
        "Counts differ",
    ):
        assert f"{heading}: 0 things" in page


def test_totals_per_owner_agree_to_the_thing() -> None:
    """Counted is what is on the list, less what is not seen, and what is not on the list."""
    page = reality(samples()["list_against_reality"]["groups"])
    assert "museum 14 2 0 12" in page
    assert "lender B 1 0 0 1" in page
    assert "not known 0 0 1 1" in page
    assert "All owners 15 2 1 14" in page
    assert "under the water line" in page
    for line in totals(
        [{"owner": "a", "listed": 5, "counted": 7}, {"owner": "b", "listed": 4, "counted": 0}]
    ):
        assert line["counted"] == line["listed"] - line["not_seen"] + line["unlisted"]


@pytest.mark.parametrize(
    ("group", "listed", "counted"),
    [("found", 2, 1), ("not_seen", 1, 1), ("unlisted", 1, 1), ("counts_differ", 3, 3), ("found", 0, 0)],
)
def test_a_row_in_the_wrong_group_is_refused(group: str, listed: int, counted: int) -> None:
    """So that no sheet contradicts itself."""
    with pytest.raises(PaperError, match="0009"):
        reality({group: [{"tag": "0009", "listed": listed, "counted": counted}]})
