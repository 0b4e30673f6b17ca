"""Takes a picture of every page of the demo's record for docs/images/pages/ (see screenshots.py).

made.json holds a hash of what a page is made by (templates, styles, scripts, and the looks that give their
data), so that a picture older than its page is found.  Pictures are not compared: a demo's clock runs on.
"""

from __future__ import annotations

import hashlib
import io
import json
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

import browsing
from all_pages import HELPER, SPOTS, Spot, trays_of
from browsing import LAPTOP, PHONE, ROOT, SCHEMES, Watch

IMAGES = ROOT / "docs" / "images" / "pages"
SOURCE = ROOT / "src" / "strandline"
LOOKS: tuple[str, ...] = ("web/templates", "web/templatetags", "web/static", "services/looks")
"""What a page is made by, under src/strandline."""

WHOLE: frozenset[str] = frozenset({"take-in", "thing", "look-over"})
"""Pages of which there is also a picture from top to bottom, on a phone."""
COLOURS = 32
MOST_BYTES = 300_000
MOST_IN_ALL_BYTES = 6_000_000
NARROW = (360, 740)
ELSEWHERE = """([there, here]) => { for (const one of document.querySelectorAll('dd'))
  if (one.textContent.startsWith(there)) one.textContent = here; }"""
"""Writes the usual folder of a practice where this run's own stands: a picture tells nobody's paths."""

EAGER = (
    """() => Promise.all([...document.images].map(one => { one.loading = 'eager'; return one.decode(); }))"""
)
"""Fetches photographs that wait until somebody scrolls to them."""

AGAIN = "run python tools/screenshots.py"


class Fault(Exception):
    """Pictures that cannot be right; says which and why."""


def looks_hash() -> str:
    """Hash of what the pages are made by."""
    digest = hashlib.sha256()
    for name in LOOKS:
        for file in sorted((SOURCE / name).rglob("*")):
            if file.is_file() and "__pycache__" not in file.parts:
                digest.update(f"{file.relative_to(SOURCE).as_posix()}\0".encode())
                digest.update(file.read_bytes().replace(b"\r\n", b"\n"))
    return digest.hexdigest()


def shown() -> list[tuple[Spot, str, str]]:
    """Pages to take, for whom, and the first part of the names of their pictures."""
    found = []
    for spot in SPOTS:
        for who in spot.who:
            if who == HELPER and spot.who[0] != HELPER and not spot.told:
                continue  # the lead's says the same
            suffix = "-helper" if who == HELPER and spot.who[0] != HELPER else ""
            found.append((spot, who, f"{spot.name}{suffix}"))
    return found


def names(stem: str, spot: Spot) -> list[str]:
    """The pictures of a page."""
    found = [f"{stem}-{screen.name}-{scheme}.png" for screen in (PHONE, LAPTOP) for scheme in SCHEMES]
    return [*found, f"{stem}-phone-light-whole.png"] if spot.name in WHOLE and stem == spot.name else found


def png(shot: bytes) -> bytes:
    """A smaller PNG, with a palette."""
    held = io.BytesIO()
    image = Image.open(io.BytesIO(shot)).convert("RGB")
    image.quantize(COLOURS, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE).save(
        held, "PNG", optimize=True
    )
    return held.getvalue()


def take(page: Page, spot: Spot, stem: str) -> Iterator[tuple[str, bytes]]:
    """The pictures of the page that is open, by file name."""
    for screen in (PHONE, LAPTOP):
        page.set_viewport_size({"width": screen.width, "height": screen.height})
        for scheme in SCHEMES:
            page.emulate_media(color_scheme=scheme)
            yield f"{stem}-{screen.name}-{scheme}.png", png(page.screenshot())
    whole = f"{stem}-phone-light-whole.png"
    if whole in names(stem, spot):
        page.emulate_media(color_scheme="light")
        page.set_viewport_size({"width": PHONE.width, "height": PHONE.height})
        page.evaluate(EAGER)
        yield whole, png(page.screenshot(full_page=True))


def faults_of(page: Page, watch: Watch, stem: str) -> list[str]:
    """What is wrong with a page whose pictures are taken."""
    page.set_viewport_size({"width": NARROW[0], "height": NARROW[1]})
    beyond = browsing.sideways(page)
    wide = [f"{beyond:g} px lie beyond the edge at {NARROW[0]} px"] if beyond else []
    return [f"{stem}: {one}" for one in (*wide, *watch.faults())]


def visit(browser: Browser, base: str) -> tuple[dict[str, bytes], list[str]]:
    """Open every page; the pictures by file name, and what was wrong."""
    files: dict[str, bytes] = {}
    wrong: list[str] = []
    for who in dict.fromkeys(who for _spot, who, _stem in shown()):
        context = browsing.context_for(browser, base, LAPTOP)
        first = context.new_page()
        if who:
            browsing.sign_in(first, who)
        trays = trays_of(first.request.get("/ORNL1/trays.json").json()) if who else {}
        for spot, _who, stem in (one for one in shown() if one[1] == who):
            page = context.new_page()
            watch, address = Watch(page, base), spot.address(trays)
            if spot.status != 200:
                watch.expect(spot.status, address)
            page.goto(address)
            page.wait_for_load_state("networkidle")
            page.evaluate(ELSEWHERE, [str(Path(tempfile.gettempdir())), "~/Strandline"])
            files.update(take(page, spot, stem))
            wrong += faults_of(page, watch, stem)
            page.close()
        context.close()
    return files, wrong


def write() -> str:
    """Take all pictures and write made.json; returns a sentence about them.  Raises Fault."""
    with browsing.served(browsing.demo_practice()) as base, sync_playwright() as playwright:
        browser = browsing.launch(playwright)
        files, wrong = visit(browser, base)
        browser.close()
    wrong += [f"{name} has {len(data)} bytes" for name, data in files.items() if len(data) > MOST_BYTES]
    total = sum(map(len, files.values()))
    if total > MOST_IN_ALL_BYTES:
        wrong.append(f"all pictures together have {total} bytes, more than {MOST_IN_ALL_BYTES}")
    if wrong:
        raise Fault("\n".join(wrong))
    IMAGES.mkdir(parents=True, exist_ok=True)
    for old in IMAGES.glob("*.png"):
        if old.name not in files:
            old.unlink()
    for name, data in files.items():
        (IMAGES / name).write_bytes(data)
    told = {"looks_sha256": looks_hash(), "pages": {stem: names(stem, spot) for spot, _who, stem in shown()}}
    (IMAGES / "made.json").write_text(json.dumps(told, indent=1) + "\n", encoding="utf-8")
    return f"{len(files)} pictures, {total // 1000} kB, in docs/images/pages"


def faults() -> list[str]:
    """What is wrong with the pictures that are there: missing, strange, or older than the pages."""
    made = "docs/images/pages/made.json:1"
    path = IMAGES / "made.json"
    if not path.is_file():
        return [f"{made}: is not there; {AGAIN}"]
    told: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    found = []
    if told["looks_sha256"] != looks_hash():
        found.append(f"{made}: the pages have changed since the pictures were taken; {AGAIN}")
    wanted = {name for spot, _who, stem in shown() for name in names(stem, spot)}
    there = {one.name for one in IMAGES.glob("*.png")}
    found += [f"docs/images/pages/{name}:1: is not there; {AGAIN}" for name in sorted(wanted - there)]
    found += [f"docs/images/pages/{name}:1: belongs to no page; remove it" for name in sorted(there - wanted)]
    if {name for pages in told["pages"].values() for name in pages} != wanted:
        found.append(f"{made}: names other pictures than there should be; {AGAIN}")
    return found
