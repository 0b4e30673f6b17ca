"""The care card: what comes first, what is never left out, and that it runs on rather than leave out."""

import pytest

from strandline.papers.care_card import care_cards
from strandline.papers.compile import CompiledPaper
from tests.papers import looking
from tests.papers.samples import HEAD, Json, chest, chronometer, hazard, jar, step, verdict


def card(o: Json, **more: object) -> CompiledPaper:
    """One card."""
    return care_cards(HEAD, {"objects": [o], **more})


def test_it_names_tag_plan_hour_and_knowledge() -> None:
    """So that a void card can be told from one that holds."""
    page = looking.text(card(chest()).pdf)
    for words in ("0042", "Plan 3", "Sun 15 March 2026, 15:40 GMT", "knowledge 2026.1", "ORNL1"):
        assert words in page


def test_the_next_thing_is_biggest_after_the_tag() -> None:
    """Sixteen points, nothing but the tag above it, and the body not under ten."""
    made = card(jar()).pdf
    big = " ".join(run for run, size in looking.sizes_pt(made) if size >= 16)
    assert big == "0043 Photograph it where it stands, with a scale."
    assert looking.size_of(made, "Two hands under it") >= 10
    assert looking.size_of(made, "Shade, level, tray under.") >= 10


def test_a_step_done_gives_way_to_the_next() -> None:
    """The next thing is the first that is not done."""
    made = card(jar(), done={"0043": ["photograph"]}).pdf
    assert looking.size_of(made, "Rinse it in cold tap water") >= 16
    assert "Photograph it" not in looking.text(made)


def test_steps_without_room_are_counted() -> None:
    """The card says that the plan goes on."""
    assert "and 2 more steps in the plan" in looking.text(card(chest()).pdf)


def test_no_step_left_says_so() -> None:
    """A card without a next thing sends people to the lead."""
    assert "Ask the lead" in looking.text(card({**jar(), "steps": []}).pdf)


def test_a_short_card_is_one_of_one_and_a_long_one_runs_on() -> None:
    """Nothing is squeezed: the second side says so on both."""
    assert "1 of 1" in looking.pages(card(jar()).pdf)[0]
    both = looking.pages(card(chest()).pdf)
    assert len(both) == 2
    assert "1 of 2" in both[0]
    assert "2 of 2" in both[1]
    assert all("0042" in page for page in both)


def test_many_cards_count_their_own_sides() -> None:
    """In one file each card begins on a new side and counts from one."""
    sides = looking.pages(care_cards(HEAD, {"objects": [jar(), chest(), chronometer()]}).pdf)
    counted = [
        page.split("v read in")[-1].split("0043")[-1].split("0042")[-1].split("0004")[-1] for page in sides
    ]
    assert [count.strip() for count in counted] == ["1 of 1", "1 of 2", "2 of 2", "1 of 1"]


def test_a_stop_is_the_biggest_thing_on_the_card() -> None:
    """The word outgrows all else; the sentence, how far and whom to call stand with it."""
    made = card(chronometer()).pdf
    sizes = dict(looking.sizes_pt(made))
    assert max(sizes, key=lambda run: sizes[run]) == "STOP"
    assert looking.size_of(made, "Glowing dial") >= 16
    page = looking.text(made)
    assert page.index("STOP") < page.index("Photograph it")
    assert "Keep 5 m away." in page
    assert "Call: radiation adviser" in page


def test_under_a_stop_nothing_is_hurried_and_nothing_is_offered() -> None:
    """Now, whatever the clock says; no hour, no loss, no verdict, no question: one line says who releases."""
    o = chronometer()
    o["holding"] = {
        "do": ["Leave it where it is."],
        "good_until": "2026-03-15T21:10:00+00:00",
        "lost_after": "Pivots pit.",
    }
    o["assumed"] = [{"fact": "surface", "ask": "Is there paint on it?", "changes": 4}]
    page = looking.text(card(o).pdf)
    assert "Next · now" in page
    assert "Nothing is done to it until release is recorded by: radiation adviser." in page
    assert "Leave it where it is." in page
    for words in ("evening", "Good until", "Pivots pit", "May I?", "Conservator decides", "No:", "Also no"):
        assert words not in page, words
    assert "Find out" not in page
    assert "Plan 1" in page
    assert "Keep 5 m away." in page


def test_what_to_do_if_it_must_wait_stands_beside_the_next_thing() -> None:
    """On the first side, before guards and verdicts; a stop's card says the guards first."""
    first = looking.pages(card(chest()).pdf)[0]
    assert first.index("Next") < first.index("If it must wait") < first.index("Guard yourself")
    assert "Good until Sun 15 March, 19:10." in first
    whole = looking.text(card(jar()).pdf)
    assert whole.index("Shade, level") < whole.index("May I?")
    stopped = looking.text(card(chronometer()).pdf)
    assert stopped.index("Guard yourself") < stopped.index("If it must wait")


@pytest.mark.parametrize("tag", ["A12", "TOTAL", "12/3 b", "1234567890"])
def test_a_tag_that_is_not_ours_is_printed_without_a_code(tag: str) -> None:
    """The number stands there as the list has it; the card says why there is nothing to scan."""
    made = card(jar(tag)).pdf
    assert tag in looking.text(made)
    assert "No code: the tag is not one of ours." in looking.text(made)
    assert looking.codes(made) == []


def test_a_long_tag_pushes_nothing_off_the_page() -> None:
    """The foot shows its beginning; the head all of it."""
    made = card(jar("TOTAL A 12/34567")).pdf
    assert "TOTAL A …" in looking.text(made)
    feet = ("v read in a source", "These rules are not yet reviewed")
    assert min(looking.heights(made, feet)) > 5


def test_no_stop_and_no_guard_is_left_out_however_many() -> None:
    """Thirty guards and three stops are all printed, on as many sides as that takes."""
    guards = [hazard(f"g{n}", "guard", f"Guard number {n} wants thick gloves, and time.") for n in range(30)]
    stops = [hazard(f"s{n}", "stop", f"Stop number {n}.", keep_m=3, call="somebody") for n in range(3)]
    made = card({**jar(), "hazards": [*stops, *guards]})
    page = looking.text(made.pdf)
    assert all(f"Guard number {n} " in page for n in range(30))
    assert all(f"Stop number {n}." in page for n in range(3))
    assert f"1 of {made.pages}" in page


def test_hazards_of_the_site_take_one_line() -> None:
    """Their sentences belong to the briefing; even a site's stop is named, not printed as the thing's."""
    power = hazard("mains_power", "stop", "Power stays off.", "site", keep_m=1, call="electrician")
    o = jar()
    page = looking.text(card({**o, "hazards": [*o["hazards"], power]}).pdf)
    assert "Whole site, as briefed: STOP mains power, sewage." in page
    assert "Gloves, eye cover" not in page
    assert "Keep 1" not in page


def test_every_no_is_named() -> None:
    """Those that bear on the next step stand with it, the others follow; none is missing."""
    page = looking.text(card(chest()).pdf)
    beside = page[page.index("No: ") : page.index("Guard yourself")]
    for word in ("Rinse", "Soak", "Brush wet", "Blot (but see bands)", "Wipe", "Freeze", "Sun"):
        assert word in beside
    assert "Also no: Lift, Open, Work it, Turn" in page


def test_a_no_beside_the_next_step_is_big() -> None:
    """It is read with the step, not in the small print."""
    made = card(jar()).pdf
    assert looking.size_of(made, "Wipe") >= 12


@pytest.mark.parametrize(
    ("key", "word"), [("yes", "Yes"), ("careful", "Careful"), ("refer", "Conservator"), ("no", "No")]
)
def test_verdicts_are_words(key: str, word: str) -> None:
    """Each verdict on the next action is one of four words, with its manner."""
    o = {**jar(), "actions": {"rinse": verdict(key, "In this way.", "m")}}
    page = looking.text(card({**o, "steps": [step(1, "rinse", "Go on.", "rinse")]}).pdf)
    assert f"Rinse: {word} In this way. (m)" in page


def test_local_verdicts_stand_before_that_of_the_whole() -> None:
    """What one part allows is not taken for the whole."""
    page = looking.text(card(chest()).pdf)
    assert page.index("Blot: bands only Yes") < page.index("Blot: No No cloth on the lid.")


def test_an_action_that_the_plan_does_not_name_is_the_conservators() -> None:
    """Absent means refer, in the step's row as in the list."""
    o = {**jar(), "actions": {}, "steps": [step(1, "blot", "Blot it.", "blot")]}
    page = looking.text(card(o).pdf)
    assert "Blot: Conservator Not in the plan: ask." in page
    assert "Conservator decides: Lift, Rinse" in page


def test_the_holding_instruction_has_its_hour_only_while_it_lasts() -> None:
    """Good until; once that is over nobody reads a lost hour, but is sent to the lead."""
    assert "Good until Sun 15 March, 19:10." in looking.text(card(chest()).pdf)
    o = chest()
    o["holding"]["good_until"] = "2026-03-15T12:00:00+00:00"
    page = looking.text(card(o).pdf)
    assert "Then tell the lead at once." in page
    assert "12:00" not in page


def test_overrides_are_shown_with_their_reason() -> None:
    """Whoever changed a rule, and why; also where only the reason of a verdict carries it."""
    assert "act.cover.wood: verdict: careful. Our covers are open at both ends. (lead" in looking.text(
        card(chest()).pdf
    )
    changed = verdict("careful", "Only the blade.")
    changed["because"][0] |= {"rule": "act.rinse.iron", "override": "practice: lead: our tap is salty"}
    page = looking.text(card({**jar(), "actions": {"rinse": changed}}).pdf)
    assert "act.rinse.iron: practice: lead: our tap is salty" in page


def test_a_look_that_would_open_a_no_is_asked_for() -> None:
    """A provisional no says which look opens it."""
    held = {
        **verdict("no", "No water."),
        "provisional": {"ask": "Is the paint firm?", "answer": "firm", "then": "yes"},
    }
    o = {**jar(), "actions": {"rinse": held}, "steps": [step(1, "rinse", "Ask first.", "rinse")]}
    assert "Look first: Is the paint firm?" in looking.text(card(o).pdf)


def test_the_code_of_each_card_says_its_tag() -> None:
    """Read back from the picture at 200 dots an inch."""
    made = care_cards(HEAD, {"objects": [jar(), chronometer("0004-a")]}).pdf
    assert [code.split(":")[:3] for code in looking.codes(made, 0)] == [["SL1", "ORNL1", "0043"]]
    assert [code.split(":")[:3] for code in looking.codes(made, 1)] == [["SL1", "ORNL1", "0004-a"]]


def test_a_mark_of_an_override_is_printed_once() -> None:
    """With its rule where a reason carries it; a mark of a limit or clock stands by itself."""
    o = chest()
    mark = "object: lead conservator: Bare beech, scrubbed every spring."
    o["overrides"] = [mark, "object: lead conservator: The room is colder than the rule supposes."]
    first = next(iter(o["actions"].values()))
    first["because"][0]["override"] = mark
    page = " ".join(looking.text(card(o).pdf).split())
    assert page.count("scrubbed every spring") == 1
    assert "The room is colder" in page
