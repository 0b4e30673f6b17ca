#!/usr/bin/env python3
"""Takes five things in on the demo's pages as on a phone, and writes how much each asked into docs/walks.md.

    python tools/walks.py

Needs Chromium.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

import docs_env

if TYPE_CHECKING:
    from intake_walk import Counted

COUNTS = docs_env.ROOT / "docs" / "walks.md"
TEXT = """# What intake asks of a hand

Five ordinary things are taken in on a phone's screen of 390 × 844 points, by a browser that taps and types
what a helper would. Each is photographed and leaves with a tag, a plan and a next step. `tools/walks.py`
counts and writes this page; a test does the same walk and fails when a count differs from the one here, or
when a thing asks for more than {touches} touches or {keys} keystrokes.

| Thing | What is told of it | Touches | Keystrokes |
| --- | --- | ---: | ---: |
{rows}

Every touch counts: the tap that brings the form, “none of these” under the pictures of dangers, two for the
photograph (the field and the camera's button), the tiles, the fields that are typed into, and the button that
sends it. The tag's number stands in its field already. A keystroke is a character typed, or the key that
leaves a field.

What is not counted: tying on the tag, turning the thing for the camera, and taking off a glove. Nobody has
tried this with real things and wet gloves yet.
"""


def page_with(counted: Sequence[Counted]) -> str:
    """The page that tells these counts."""
    from intake_walk import MOST_KEYSTROKES, MOST_TOUCHES  # needs the browser's package, which may be missing

    rows = [f"| {one.name} | {one.how} | {one.touches} | {one.keystrokes} |" for one in counted]
    return TEXT.format(touches=MOST_TOUCHES, keys=MOST_KEYSTROKES, rows="\n".join(rows))


def main(arguments: list[str]) -> int:
    """Write the page."""
    if arguments:
        print(__doc__, file=sys.stderr)
        return 2
    docs_env.ready()
    import intake_walk  # here: only now is its environment certain

    COUNTS.write_text(page_with(intake_walk.count()), encoding="utf-8")
    print(f"counted; see {COUNTS.relative_to(docs_env.ROOT)}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
