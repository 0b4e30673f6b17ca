"""Tray card, day sheet and order of work."""

import re

from strandline.papers.day_sheet import day_sheets
from strandline.papers.order_sheet import order_sheet
from strandline.papers.tray_card import tray_cards
from tests.papers import looking
from tests.papers.samples import HEAD, Json, chest, chronometer, jar, samples, step


def tray(*objects: Json, **more: object) -> str:
    """Text of the card of one tray."""
    given = {"tray": "T3", "place": "Rinse table 2", "objects": list(objects), **more}
    return looking.text(tray_cards(HEAD, {"trays": [given]}).pdf)


def day(*objects: Json, **more: object) -> bytes:
    """The sheet of one station."""
    rows = [{"object": o, "who": "helper 3", **more} for o in objects]
    sheet = {"station": "Rinse table 2", "half_shift": "Sun 15 March, afternoon", "rows": rows}
    return day_sheets(HEAD, {"sheets": [sheet]}).pdf


def test_a_tray_has_one_column_a_step_and_one_row_a_tag() -> None:
    """The next two steps of like things are said once, big."""
    page = tray(jar("0050"), jar("0051"), jar("0052"))
    assert "A Photograph it where it stands, with a scale. B Rinse it in cold tap water." in page
    assert page.count("Photograph it where it stands") == 1
    assert page.index("0050") < page.index("0051") < page.index("0052")
    assert "Counted out: 3" in page


def test_what_is_no_for_all_is_said_once_and_for_one_beside_it() -> None:
    """A no that bears on the steps is never left out."""
    strict = jar("0051")
    strict["actions"]["immerse"] = {"verdict": "no", "how": "Not soaked.", "because": []}
    page = tray(jar("0050"), strict)
    assert "No, for all: Wipe" in page
    assert re.search(r"0051 Stoneware jar \(plan.1\) No: Soak", page)
    assert page.count("Soak") == 1


def test_a_thing_under_a_stop_has_no_boxes() -> None:
    """It stands on top with its stop, not in the table."""
    page = tray(jar("0050"), chronometer())
    assert "STOP 0004 Glowing dial: do not touch it, shut the door." in page
    assert page.count("Chronometer") == 0
    assert "Counted out: 2" in page


def test_a_thing_whose_step_has_no_room_is_sent_to_its_own_card() -> None:
    """Four columns; the fifth different next step is named, not dropped."""
    others = [{**jar(f"006{n}"), "steps": [step(1, "odd", f"Odd step {n}.")]} for n in range(5)]
    page = tray(*others)
    assert re.search(r"Take its own card: 006\d", page)
    assert len(re.findall(r"Odd step \d", page)) == 4


def test_guards_say_for_which_tags() -> None:
    """Of all, or of these."""
    assert "(all)" in tray(chest("0001"), chest("0002"))
    assert "(0001)" in tray(chest("0001"), jar("0002"))


def test_steps_end_in_one_of_the_known_ways() -> None:
    """Done, differently, not done for a reason, not sure; and it is read out."""
    for page in (tray(jar()), looking.text(day(jar()))):
        for words in (
            "tick = done",
            "D = done differently",
            "? = not sure",
            "1 no time",
            "7 not found",
            "scribe",
        ):
            assert words in page


def test_the_day_sheet_is_legible_from_a_metre() -> None:
    """Twelve points for what is read while working, sixteen for the next thing."""
    made = day(jar())
    assert looking.size_of(made, "Photograph it where it stands") >= 16
    assert looking.size_of(made, "0043") >= 16
    assert looking.size_of(made, "helper 3") >= 12
    assert looking.size_of(made, "Stoneware jar") >= 12


def test_the_day_sheet_says_half_days_not_hours() -> None:
    """Only the foot has an hour: the one at which the sheet was made."""
    page = looking.text(day(jar(), chest()))
    assert "Sun 15 March, evening" in page
    assert set(re.findall(r"\d\d:\d\d", page)) == {"15:40"}


def test_what_was_due_is_due_now() -> None:
    """Nobody is told that something is late."""
    late = jar()
    late["facts"]["out_since"] = "2026-03-15T03:00:00+00:00"
    page = looking.text(day(late))
    assert "helper 3 now" in page
    assert "late" not in page.split()


def test_the_day_sheet_keeps_stops_guards_and_noes() -> None:
    """A stop takes the place of the next thing."""
    page = looking.text(day(chronometer(), chest()))
    assert "STOP Glowing dial" in page
    assert "Photograph it from where you stand" not in page
    assert "Guard: Old paint" in page
    assert "No: Rinse, Soak, Brush wet, Blot (but see bands), Wipe" in page


def test_a_stop_on_the_day_sheet_is_now_and_waits_for_release() -> None:
    """No half-day later than now, and one line instead of what is forbidden."""
    page = looking.text(day(chronometer()))
    assert "Nothing is done to it until release is recorded by: radiation adviser." in page
    assert "helper 3 now" in page
    assert "No:" not in page


def test_things_are_counted_at_hand_over() -> None:
    """How many there should be, and where the tags of missing ones are written."""
    page = looking.text(day(jar(), chest()))
    assert "On this sheet: 2 Counted by hand:" in page
    assert "search note" in page


def test_the_order_takes_a_whole_order_document() -> None:
    """Steps by text or key, the hour from either name, stops on top, no more rows than asked for."""
    given = samples()["order_sheet"]
    rows = [{**given["rows"][0], "place": n, "tag": f"{n:04d}"} for n in (3, 1, 2)]
    rows[0] |= {"by": None, "good_until": "2026-03-16T09:00:00+00:00"}
    rows[1] |= {"by": "2026-03-15T03:00:00+00:00"}
    page = looking.text(order_sheet(HEAD, {**given, "rows": rows, "first": 2}).pdf)
    assert "The first 2 of 3" in page
    assert page.index("STOP 0004") < page.index("0001") < page.index("0002")
    assert "0003" not in page
    assert "blot iron" in page
    assert "Sun 15 March, 19:10" in page
    assert " now " in page
    assert "Mon 16 March, 09:00" in looking.text(order_sheet(HEAD, {"rows": rows}).pdf)
