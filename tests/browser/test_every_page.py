"""Every page, for the lead and for a helper: as axe sees it, narrow, enlarged, and under a thumb."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from all_pages import HELPER, INCIDENT, LEAD, SPOTS, Spot, trays_of
from browsing import LAPTOP, PHONE, ROOT, SCHEMES, Scheme, Screen, sideways
from strandline.services.looks.table import LOOKS
from tests.browser import sight
from tests.browser.conftest import Pages

NARROW: tuple[int, ...] = (360, 320)
"""A small phone, and the width that WCAG 2.2 asks a page to flow into (1.4.10), CSS pixels."""
ZOOMED = (640, 450)
"""A laptop's window of 1280 by 900 at 200 %."""


def test_no_page_is_left_out() -> None:
    """Every look is opened below by all who are tried, where they may open it."""
    for name, look in LOOKS.items():
        mine = [one for one in SPOTS if one.look == name and one.status == 200]
        assert mine, f"{name} is in none of SPOTS"
        wanted = {"lead"} | ({"helper1"} if "helper" in look.roles else set())
        assert {who for one in mine for who in one.who} == wanted, name


ALL = [pytest.param(one, who, id=f"{one.name}-{who or 'nobody'}") for one in SPOTS for who in one.who]


def opened(pages: Pages, base: str, spot: Spot, who: str) -> Page:
    """A page of SPOTS, everything on it that can be opened open."""
    page = pages.open(base, who, LAPTOP)
    trays = trays_of(page.request.get("/ORNL1/trays.json").json()) if "{" in spot.path else {}
    address = spot.address(trays)
    if spot.status != 200:
        pages.expect(page, spot.status, address)
    answer = page.goto(address)
    assert answer is not None
    assert answer.status == spot.status
    page.evaluate(sight.OPEN_ALL)
    return page


@pytest.mark.parametrize(("spot", "who"), ALL)
def test_a_page(pages: Pages, reading: str, spot: Spot, who: str) -> None:
    """Opens, has one heading of the first rank, and nothing of what follows is wrong with it."""
    page = opened(pages, reading, spot, who)
    assert page.locator("h1").count() == 1
    dark = who != HELPER or spot.told or spot.who == (HELPER,)
    faults = "\n".join([*_as_axe_sees_it(page, dark), *_narrow(page), *_enlarged(page)])
    assert not faults, faults


@pytest.mark.parametrize(
    ("path", "button", "status"),
    [
        ("take-in/", "Take it in", 422),
        ("tags/", "Join them", 422),
        ("things/0043/overrule/?about=rinse", "Overrule and make the plan anew", 422),
        ("hours/", "Note it", 422),
        ("fragments/", "Give it a tag", 422),
    ],
)
def test_a_form_that_came_back(pages: Pages, reading: str, path: str, button: str, status: int) -> None:
    """Sent empty, it says what is wrong where it is wrong, and the page is as sound as before."""
    page = pages.open(reading, LEAD, LAPTOP)
    address = f"/{INCIDENT}/{path}"
    page.goto(address)
    page.evaluate(sight.OPEN_ALL)
    page.evaluate("() => { for (const one of document.forms) one.noValidate = true; }")
    pages.expect(page, status, address.split("?")[0])
    page.get_by_role("button", name=button, exact=True).first.click()
    expect(page.get_by_role("alert").first).to_contain_text("Not done.")
    page.evaluate(sight.OPEN_ALL)
    faults = "\n".join([*_as_axe_sees_it(page), *_narrow(page), *_enlarged(page)])
    assert not faults, faults


@pytest.mark.long
@pytest.mark.parametrize(("spot", "who"), ALL)
def test_axe_finds_nothing_anywhere(pages: Pages, reading: str, spot: Spot, who: str) -> None:
    """All rules on both screens in both schemes; the test above takes each rule where it can differ."""
    page = opened(pages, reading, spot, who)
    told = [
        f"{screen.name}, {scheme}: {one}"
        for screen in (PHONE, LAPTOP)
        for scheme in SCHEMES
        for one in _on(page, screen, scheme, ())
    ]
    assert told == []


def test_no_colour_depends_on_the_size_of_a_screen() -> None:
    """So that colours need be looked at on one screen only."""
    css = (ROOT / "src/strandline/web/static/strandline/strand.css").read_text(encoding="utf-8")
    blocks = re.findall(r"@media[^{]*(?:width|height)[^{]*\{((?:[^{}]*\{[^{}]*\})*)\s*\}", css)
    assert blocks
    assert [one for one in blocks if re.search(r"(?:color|background|--[a-z])", one)] == []


def _as_axe_sees_it(page: Page, dark: bool = True) -> list[str]:
    """All rules once, those of size on the large screen too, those of colours in the dark too.

    A helper's page is looked at in the dark only where it is not a part of the lead's.
    """
    told = [f"phone, light: {one}" for one in _on(page, PHONE, "light", ())]
    told += [f"laptop: {one}" for one in _on(page, LAPTOP, "light", sight.SHAPES)]
    return told + [f"dark: {one}" for one in (_on(page, PHONE, "dark", sight.COLOURS) if dark else ())]


def _on(page: Page, screen: Screen, scheme: Scheme, rules: tuple[str, ...]) -> list[str]:
    sight.size(page, screen.width, screen.height)
    page.emulate_media(color_scheme=scheme)
    return sight.axe(page, rules)


def _narrow(page: Page) -> list[str]:
    """No page is wider than a small phone, and what is touched there is large enough."""
    told = []
    for width in NARROW:
        sight.size(page, width, 740)
        if beyond := sideways(page):
            told.append(f"{width} px wide: {beyond:g} px lie beyond the edge: {page.evaluate(sight.CUT)[:5]}")
    told += [f"small to touch: {one}" for one in page.evaluate(sight.SMALL, sight.LEAST_TARGET_PX)]
    return told


def _enlarged(page: Page) -> list[str]:
    """At 200 % of a laptop's window, then with text of twice the size as well: all there, all in reach."""
    told = []
    sight.size(page, *ZOOMED)
    for percent in (100, 200):
        sight.sizes_of_text(page, percent)
        where = f"at 200 %, text {percent} %"
        if beyond := sideways(page):
            told.append(f"{where}: {beyond:g} px lie beyond the edge")
        told += [f"{where}: cut: {one}" for one in page.evaluate(sight.CUT)[:5]]
        told += [f"{where}: out of reach: {one}" for one in page.evaluate(sight.COVERED)[:5]]
    sight.sizes_of_text(page, 100)
    return told


def test_the_checks_of_a_page_can_fail(pages: Pages, reading: str) -> None:
    """A page that is broken on purpose is found out, by each of them."""
    page = pages.open(reading, LEAD, LAPTOP)
    page.goto("/me/")
    page.evaluate(
        """() => {
        const page = document.querySelector('main');
        page.insertAdjacentHTML('beforeend',
          '<input name=x><button id=wide>w</button><button id=tiny>too pale</button>');
        const wide = document.querySelector('#wide').style, tiny = document.querySelector('#tiny').style;
        wide.width = '900px'; wide.maxWidth = 'none';
        tiny.minHeight = '20px'; tiny.padding = '0'; tiny.color = '#777'; tiny.background = '#888'; }"""
    )
    seen = "\n".join(_as_axe_sees_it(page))
    assert "label: " in seen
    assert "color-contrast: " in seen
    narrow = "\n".join(_narrow(page))
    assert "beyond the edge" in narrow
    assert "small to touch" in narrow
    enlarged = "\n".join(_enlarged(page))
    assert "beyond the edge" in enlarged
    assert 'cut: <button id="wide"' in enlarged
