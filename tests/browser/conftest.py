"""A demo practice on a port, a browser, and pages that fail their test when something is wrong on them."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

import browsing
from browsing import KEPT, PATIENT_MS, PHONE, Scheme, Screen, Watch

FAILED = pytest.StashKey[bool]()
expect.set_options(timeout=PATIENT_MS / 3)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Remember that a test failed, for the pictures of what it saw last."""
    report = yield
    if report.failed:
        item.stash[FAILED] = True
    return report


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The Chromium of this machine."""
    with sync_playwright() as playwright:
        found = browsing.launch(playwright)
        yield found
        found.close()


@pytest.fixture(scope="session")
def practice() -> Path:
    """The demo, filled once; it is copied for whoever serves it."""
    return browsing.demo_practice()


@pytest.fixture(scope="session")
def reading(practice: Path) -> Iterator[str]:
    """Address of a demo in which nobody changes anything."""
    with browsing.served(practice) as base:
        yield base


@pytest.fixture(scope="module")
def writing(practice: Path) -> Iterator[str]:
    """Address of a demo of this module's own."""
    with browsing.served(practice) as base:
        yield base


Devices = dict[tuple[str, str, str, str], BrowserContext]


@dataclass(slots=True)
class Pages:
    """Opens pages on devices that people are signed in on, and says what was wrong on any of them."""

    browser: Browser
    devices: Devices
    opened: list[tuple[Page, Watch]] = field(default_factory=list)
    own: list[BrowserContext] = field(default_factory=list)

    def open(
        self, base: str, name: str = "", screen: Screen = PHONE, scheme: Scheme = "light", fresh: bool = False
    ) -> Page:
        """A page for somebody who is signed in, or, without a name, for nobody.

        ``fresh``: on a device of this test's own, where they signed in just now and see their home.
        """
        alone = fresh or not name
        context = self._own(base, screen, scheme) if alone else self._device(base, name, screen, scheme)
        page = context.new_page()
        self.opened.append((page, Watch(page, base)))
        if fresh:
            browsing.sign_in(page, name)
        return page

    def _own(self, base: str, screen: Screen, scheme: Scheme) -> BrowserContext:
        self.own.append(browsing.context_for(self.browser, base, screen, scheme))
        return self.own[-1]

    def _device(self, base: str, name: str, screen: Screen, scheme: Scheme) -> BrowserContext:
        key = (base, name, screen.name, scheme)
        if key not in self.devices:
            self.devices[key] = browsing.context_for(self.browser, base, screen, scheme)
            page = self.devices[key].new_page()
            browsing.sign_in(page, name)
            page.close()
        return self.devices[key]

    def expect(self, page: Page, status: int, path: str) -> None:
        """Let one path of a page answer with this status."""
        next(watch for one, watch in self.opened if one is page).expect(status, path)

    def faults(self) -> list[str]:
        """What was wrong on any page."""
        return [fault for _page, watch in self.opened for fault in watch.faults()]

    def close(self) -> None:
        """Close what this test opened."""
        for page, _watch in self.opened:
            page.close()
        for context in self.own:
            context.close()


@pytest.fixture(scope="session")
def devices() -> Devices:
    """Browsers people have signed in on, by address, name, screen and scheme."""
    return {}


@pytest.fixture
def pages(browser: Browser, devices: Devices, request: pytest.FixtureRequest) -> Iterator[Pages]:
    """Pages of one test; what was wrong on them fails it."""
    opened = Pages(browser, devices)
    yield opened
    if request.node.stash.get(FAILED, False):
        _keep_pictures(request.node.name, opened)
    faults = opened.faults()
    opened.close()
    assert faults == []


def _keep_pictures(name: str, opened: Pages) -> None:
    KEPT.mkdir(exist_ok=True)
    for number, (page, _watch) in enumerate(opened.opened, start=1):
        page.screenshot(path=KEPT / f"failed-{name.replace('/', '-')}-{number}.png", full_page=True)
