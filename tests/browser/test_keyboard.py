"""The work without a pointer: Tab, Enter, Space and typing, and always a mark on what has the focus."""

from __future__ import annotations

from playwright.sync_api import Locator, Page, expect

from all_pages import INCIDENT, LEAD
from browsing import LAPTOP
from demo_practice import PASSWORD
from tests.browser import sight
from tests.browser.conftest import Pages

AT = f"/{INCIDENT}"
MOST_STOPS = 150
"""So many stops of the Tab key at most before something that is looked for."""


def press_to(page: Page, wanted: Locator) -> int:
    """Press Tab until something has the focus; each stop on the way must be marked and in view."""
    expect(wanted).to_be_visible()
    for stops in range(1, MOST_STOPS + 1):
        page.keyboard.press("Tab")
        at = page.evaluate(sight.FOCUS)
        if at is None:
            continue  # the end of the page: the browser's own bar, then the first stop again
        assert at["drawn"], f"no mark on {at['html']}"
        assert at["seen"], f"out of view: {at['html']}"
        if wanted.evaluate("one => one === document.activeElement"):
            return stops
    raise AssertionError(f"{MOST_STOPS} stops and not there: {wanted}")


def enter(page: Page, wanted: Locator) -> None:
    """Go to something and press Enter."""
    press_to(page, wanted)
    page.keyboard.press("Enter")


def type_into(page: Page, wanted: Locator, text: str) -> None:
    """Go to a field and type."""
    press_to(page, wanted)
    page.keyboard.type(text)


def sign_in(page: Page, name: str) -> None:
    """By keys alone, from the first Tab on the page."""
    page.goto("/sign-in/")
    type_into(page, page.get_by_label("Name"), name)
    type_into(page, page.get_by_label("Password"), PASSWORD)
    page.keyboard.press("Enter")
    page.wait_for_url("**/")


def test_the_first_stop_leads_past_the_head(pages: Pages, reading: str) -> None:
    """It shows itself when it has the focus; after it the next stop lies in the content."""
    page = pages.open(reading, LEAD, LAPTOP)
    page.goto(f"{AT}/")
    skip = page.get_by_role("link", name="To the content")
    assert press_to(page, skip) == 1
    expect(skip).to_be_in_viewport()
    page.keyboard.press("Enter")
    page.wait_for_function("() => document.activeElement.id === 'main'")
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.activeElement.closest('main') !== null")


def test_a_search(pages: Pages, writing: str) -> None:
    """Sign in, type a word, open what is found."""
    page = pages.open(writing, screen=LAPTOP)
    sign_in(page, "helper2")
    enter(page, page.locator("main a.slab", has_text=INCIDENT))
    page.wait_for_url(f"**{AT}/")
    type_into(page, page.get_by_label("Tag or words"), "decanter")
    page.keyboard.press("Enter")
    page.wait_for_url("**/find/**")
    enter(page, page.locator("#found a.slab").first)
    expect(page.get_by_role("heading", level=1)).to_contain_text("Decanter")


def test_intake(pages: Pages, writing: str) -> None:
    """A thing is taken in, without a photograph, and has its tag and its plan."""
    page = pages.open(writing, "helper2", LAPTOP)
    page.goto(f"{AT}/")
    enter(page, page.get_by_role("link", name="Take in", exact=True))
    page.wait_for_url("**/take-in/")
    press_to(page, page.get_by_label("none of these", exact=True))
    page.keyboard.press("Space")
    press_to(page, page.locator("input[name=material][value=wood]"))
    page.keyboard.press("Space")
    type_into(page, page.get_by_label("Or in words"), "lignum vitae")
    enter(page, page.get_by_role("button", name="Take it in"))
    page.wait_for_url("**/taken/")
    expect(page.get_by_text("Next step:")).to_be_visible()


def test_an_answer_and_a_step(pages: Pages, writing: str) -> None:
    """A question of the looking-over is answered, then the next step of the new plan is done."""
    page = pages.open(writing, "helper2", LAPTOP)
    page.goto(f"{AT}/things/0096/")
    enter(page, page.get_by_role("link", name="Look it over"))
    page.wait_for_url("**/look/")
    enter(page, page.locator("section.first").get_by_role("button", name="Bare", exact=True))
    expect(page.locator("#changed h2")).to_contain_text("to plan 2")
    enter(page, page.get_by_role("link", name="To 0096"))
    page.wait_for_url("**/things/0096/")
    before = page.locator(".thing-step").inner_text()
    enter(page, page.get_by_role("button", name="Done", exact=True))
    expect(
        page.get_by_text("1 step has ended").or_(page.get_by_text("steps have ended")).first
    ).to_be_visible()
    assert page.locator(".thing-step").all_inner_texts() != [before]


def test_what_is_folded_away(pages: Pages, writing: str) -> None:
    """A reason why a step was not done is reached and sent by keys."""
    page = pages.open(writing, "helper2", LAPTOP)
    page.goto(f"{AT}/things/0092/")
    press_to(page, page.locator(".thing-ends summary"))
    page.keyboard.press("Space")
    type_into(page, page.get_by_label("A word about it, if you like"), "the basin is in use")
    enter(page, page.get_by_role("button", name="no water"))
    expect(page.locator("main")).to_contain_text("the basin is in use")


def test_no_mark_is_noticed(pages: Pages, reading: str) -> None:
    """A page that hides its mark of the focus is found out."""
    page = pages.open(reading, LEAD, LAPTOP)
    page.goto("/me/")
    page.get_by_label("Old password").focus()
    assert page.evaluate(sight.FOCUS)["drawn"]
    page.get_by_label("Old password").evaluate("one => { one.style.outline = 'none'; }")
    assert not page.evaluate(sight.FOCUS)["drawn"]
