"""What can be seen of a page and touched on it: asked of the browser, for any page."""

from __future__ import annotations

from typing import Any

from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # ships no types
from playwright.sync_api import Page

RULES: tuple[str, ...] = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")
COLOURS: tuple[str, ...] = ("color-contrast", "link-in-text-block")
SHAPES: tuple[str, ...] = ("target-size", "scrollable-region-focusable")
"""Rules of axe whose answer differs with the colours, with the size; all others ask the document alone."""

_AXE = Axe()
LEAST_TARGET_PX = 44

OPEN_ALL = "() => { for (const one of document.querySelectorAll('details')) one.open = true; }"

SMALL = """least => [...document.querySelectorAll(
    'button, .button, .ways a, summary, select, textarea, input:not([type=hidden]):not([type=checkbox])'
    + ':not([type=radio]), label.tick, label.tile, a.slab')]
  .filter(one => one.getClientRects().length)
  .map(one => [one, one.getBoundingClientRect()])
  .filter(([one, box]) => box.height < least - 0.5 || box.width < least - 0.5)
  .map(([one, box]) => `${Math.round(box.width)}x${Math.round(box.height)} ${one.outerHTML.slice(0, 90)}`)"""

CUT = """() => {
  const wide = document.documentElement.clientWidth;
  const told = [];
  for (const one of document.querySelectorAll('body *')) {
    const box = one.getBoundingClientRect();
    if (!box.width || one.closest('.off, .skip, svg, .scroll *, option, datalist')) continue;
    const code = one.matches('.where a') && box.right > one.parentElement.getBoundingClientRect().right + 1;
    const look = getComputedStyle(one);
    if (one.matches('.where')) continue;
    const held = ['hidden', 'clip'].includes(look.overflowX) && one.scrollWidth > one.clientWidth + 1;
    const burst = one.matches('button, .button, summary, .ways a, label, legend, h1, h2, p')
      && one.scrollWidth > one.clientWidth + 1 && look.display !== 'inline';
    if (box.right > wide + 1 || box.left < -1 || held || burst || code) {
      told.push(one.outerHTML.slice(0, 90));
    }
  }
  return told;
}"""
"""Things that begin or end outside the page, or are wider than the box that shows them.

The head of a page may shorten the incident's name, but not its code: the name stands in full under Now.
"""

COVERED = """() => [...document.querySelectorAll('button, .button, .ways a')].filter(one => {
  if (!one.getClientRects().length) return false;
  one.scrollIntoView({block: 'center', behavior: 'instant'});
  const box = one.getClientRects()[0];
  const there = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
  return !there || !(one.contains(there) || there.contains(one));
}).map(one => one.outerHTML.slice(0, 90))"""
"""Buttons that cannot be brought into view, or that something else lies upon."""

FOCUS = """() => {
  const one = document.activeElement;
  if (!one || one === document.body) return null;
  const marked = one.closest('.tile') || one;
  const look = getComputedStyle(marked);
  const box = marked.getBoundingClientRect();
  const seen = box.bottom > 0 && box.top < innerHeight && box.width > 0;
  const drawn = look.outlineStyle !== 'none' && parseFloat(look.outlineWidth) >= 2;
  return {html: one.outerHTML.slice(0, 120), drawn, seen};
}"""


def axe(page: Page, only: tuple[str, ...] = ()) -> list[str]:
    """What axe finds wrong: all its rules of WCAG 2.2 AA and good practice, or only some rules."""
    if only:
        wanted: dict[str, Any] = {"runOnly": {"type": "rule", "values": list(only)}}
    else:
        wanted = {
            "runOnly": {"type": "tag", "values": list(RULES)},
            "rules": {"target-size": {"enabled": True}},
        }
    if not page.evaluate("() => 'axe' in window"):
        page.evaluate(_AXE.axe_script)
    options = {**wanted, "resultTypes": ["violations"], "preload": False}
    found = page.evaluate("options => axe.run(document, options)", options)
    return [
        f"{one['id']}: {one['help']}: {[node['html'][:120] for node in one['nodes'][:3]]}"
        for one in found["violations"]
    ]


def sizes_of_text(page: Page, percent: float) -> None:
    """Make all text so large, in percent of what it is usually."""
    page.evaluate(
        "by => { const root = document.documentElement; root.style.fontSize = ''; "
        "root.style.fontSize = parseFloat(getComputedStyle(root).fontSize) * by / 100 + 'px'; }",
        percent,
    )


def size(page: Page, width: int, height: int) -> None:
    """Give the window another size, CSS pixels."""
    page.set_viewport_size({"width": width, "height": height})
