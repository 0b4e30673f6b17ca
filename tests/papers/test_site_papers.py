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
from tests.papers.samples import HEAD, Json, chronometer, jar, samples, verdict


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


def test_a_yes_with_a_manner_is_not_printed_without_it() -> None:
    """Warm air without its limit would be an oven."""
    o = jar()
    actions = {**o["actions"], "warm_air": verdict("yes", "Up to 38 degrees, bare metal only.")}
    page = looking.text(
        class_cards(HEAD, {"classes": [{"title": "Iron", "object": {**o, "actions": actions}}]}).pdf
    )
    assert "Yes: Rinse" in page
    assert "Rinse, Warm air" not in page
    assert "Warm air Up to 38 degrees, bare metal only." in page
    assert page.index("Shade, level") < page.index("Up to 38")


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
    long = "Boathouse, ground floor: Net Floor, Chandlery, Boat Bay and slip"
    heights = looking.heights(hazard_walk(HEAD, {"rooms": [long]}).pdf, (long, "Day, time", "Room released"))
    assert heights == sorted(set(heights), reverse=True), "each on a line of its own"
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


def test_each_stop_word_stands_on_a_line_with_what_it_means() -> None:
    """Who hears it knows what to do; the word itself is big."""
    made = site_briefing(HEAD, {}).pdf
    page = looking.text(made)
    for word, meaning in (
        ("Stop:", "hands still until the lead has spoken"),
        ("Hands off:", "put nothing down, step back"),
        ("Out:", "leave by the named way, no tools, count heads"),
    ):
        assert f"{word} {meaning}" in page
        assert looking.size_of(made, word) >= 24
    heights = looking.heights(made, ("Stop:", "Hands off:", "Out:"))
    assert heights == sorted(set(heights), reverse=True)


def test_a_release_not_given_says_what_it_needs() -> None:
    """What, building, needs; the columns behind are left to fill in."""
    wanting = {"room": "boathouse", "what": "electricity", "needs": "an electrician, by record"}
    page = looking.text(site_briefing(HEAD, {"releases": [wanting]}).pdf)
    assert "boathouse Electricity. Not yet released. Needs: an electrician, by record" in page


def test_cautions_that_end_in_a_stop_come_first_and_none_is_cut() -> None:
    """Forty of them, in ten points or more."""
    told = [
        {"about": about, "say": f"Caution {n} on {about}, said in full to everybody.", "confidence": "c"}
        for n, about in enumerate(["lifting", "waste", "arms", "electricity"] * 10)
    ]
    made = site_briefing(HEAD, {"cautions": told}).pdf
    page = looking.text(made)
    assert all(f"Caution {n} on" in page for n in range(40))
    first = {about: page.index(f" on {about}") for about in ("electricity", "arms", "lifting", "waste")}
    assert sorted(first, key=lambda about: first[about]) == ["electricity", "arms", "lifting", "waste"]
    assert looking.size_of(made, "Caution 2 on arms") >= 10


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


@pytest.mark.parametrize(("water", "leads"), [((), True), (("sewage", "river"), True), (("river",), False)])
def test_foul_or_unknown_water_leads_with_leaving_it(water: tuple[str, ...], leads: bool) -> None:
    """On top of the sheet, before anything to do and any hour; further down where the water is known."""
    made = owner_advice(HEAD, {"water": water})
    page = looking.text(made.pdf)
    leaving = page.index("Stop. Leave it where it is")
    assert (leaving < page.index("DO NOT")) == leads
    assert leaving < page.index("First six hours")
    assert made.pages == 1


def test_nobody_is_told_that_a_dye_holds() -> None:
    """An owner cannot know that; she asks."""
    page = looking.text(owner_advice(HEAD, {}).pdf)
    assert "Ask before rinsing cloth: colours may run" in page
    assert "dye holds" not in page


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
