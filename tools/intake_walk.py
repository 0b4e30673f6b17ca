"""Intake at a table with wet gloves, on a phone: five ordinary things, each touch and each key counted."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Locator, Page, sync_playwright

import browsing
from all_pages import INCIDENT
from strandline.services.drawn import draw

MOST_TOUCHES, MOST_KEYSTROKES = 9, 12


@dataclass(slots=True)
class Hand:
    """One hand on a phone.  A tap on a control is a touch, a character typed is a keystroke."""

    page: Page
    touches: int = 0
    keystrokes: int = 0

    def tap(self, what: Locator) -> None:
        """Touch a control."""
        what.tap()
        self.touches += 1

    def type(self, where: Locator, text: str) -> None:
        """Touch a field, then type."""
        self.tap(where)
        where.press_sequentially(text)
        self.keystrokes += len(text)

    def photograph(self, where: Locator, file: Path) -> None:
        """Touch the field, then the camera's button: two touches."""
        with self.page.expect_file_chooser() as chooser:
            self.tap(where)
        chooser.value.set_files(file)
        self.touches += 1


@dataclass(frozen=True, slots=True)
class Thing:
    """An ordinary thing as it comes to the table: what is typed of it, and the tiles that are tapped."""

    name: str
    typed: str = ""
    tiles: tuple[str, ...] = ()
    state: str = "still wet or dripping"
    title: str = ""
    row: str = ""


@dataclass(frozen=True, slots=True)
class Counted:
    """What one intake asked of a hand."""

    name: str
    how: str
    touches: int
    keystrokes: int
    tag: str = ""


THINGS: tuple[Thing, ...] = (
    Thing("Oar blade, plain ash", typed="ash", tiles=("looked: bare, no paint, no gilding",)),
    Thing("Boat hook, iron on an oak shaft", typed="oak, iron"),
    Thing("Two-handled jar with a glaze", tiles=("glazed pot",)),
    Thing("Coil of thin rope with mud on it", tiles=("rope",), state="dry, with mud on it"),
    Thing("Willow trap that stands on the list", title="eel trap", row="Eel trap"),
)
"""Invented, as the flood is."""


def how(thing: Thing) -> str:
    """What was told of a thing, in words."""
    told = [f"typed “{thing.typed}”"] if thing.typed else []
    told += [f"tile “{one}”" for one in thing.tiles]
    if thing.row:
        told += [f"typed its name “{thing.title}”", f"its row “{thing.row}” out of those offered"]
    return "; ".join([*told, f"state “{thing.state}”"])


def photograph_of(thing: Thing, folder: Path) -> Path:
    """A drawn photograph, written into the folder."""
    file = folder / f"{thing.name.split(',')[0].replace(' ', '-').lower()}.jpg"
    file.write_bytes(draw(thing.name, "", thing.typed or " ".join(thing.tiles) or "willow", len(thing.name)))
    return file


def take_in(page: Page, thing: Thing, photograph: Path) -> Counted:
    """Take one thing in, from the tap that brings the form to the page with its tag."""
    hand = Hand(page)
    next_one = page.get_by_role("link", name="Next one")
    hand.tap(next_one if next_one.count() else page.get_by_role("link", name="Take in", exact=True))
    page.wait_for_url(f"**/{INCIDENT}/take-in/**")
    fill(hand, thing, photograph)
    hand.tap(page.get_by_role("button", name="Take it in"))
    page.wait_for_url("**/taken/")
    tag = page.url.split("/")[-3]
    return Counted(thing.name, how(thing), hand.touches, hand.keystrokes, tag)


def fill(hand: Hand, thing: Thing, photograph: Path) -> None:
    """Fill the form as far as an ordinary thing needs."""
    form = hand.page.locator("form.intake")
    hand.tap(form.get_by_label("none of these", exact=True))
    hand.photograph(form.get_by_label("Photograph: where it lies"), photograph)
    for tile in thing.tiles:
        hand.tap(_tile(form, tile))
    hand.tap(_tile(form, thing.state))
    if thing.typed:
        hand.type(form.get_by_label("Or in words"), thing.typed)
    if thing.title:
        hand.type(form.get_by_label("What it is called"), thing.title)
        form.get_by_label("Spot, height").focus()  # the browser's own Next key: it leaves the field
        hand.keystrokes += 1
        hand.tap(form.locator("#rows label", has_text=thing.row).first)


def _tile(form: Locator, words: str) -> Locator:
    """A tile by its words; several groups may have one of the same words."""
    return form.locator("label.tile", has_text=words).first


def count() -> list[Counted]:
    """Take the five things in, on a demo of their own."""
    with (
        browsing.served(browsing.demo_practice()) as base,
        tempfile.TemporaryDirectory() as folder,
        sync_playwright() as playwright,
    ):
        browser = browsing.launch(playwright)
        page = browsing.context_for(browser, base, browsing.PHONE).new_page()
        browsing.sign_in(page, "helper1")
        page.goto(f"/{INCIDENT}/")
        counted = [take_in(page, thing, photograph_of(thing, Path(folder))) for thing in THINGS]
        browser.close()
    return counted
