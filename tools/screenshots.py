#!/usr/bin/env python3
"""Takes a picture of every page of the demo's record: phone and laptop, light and dark, lead and helper.

    python tools/screenshots.py            take them all, into docs/images/pages/
    python tools/screenshots.py --check    only tell whether the pictures are those of today's pages

Needs Chromium to take them, not to check them.  Exit code 1 where a page has an error in its console, asks
another host, answers with an error or is wider than a screen of 360 points, or (--check) a picture is old.
"""

from __future__ import annotations

import sys

import docs_env


def main(arguments: list[str]) -> int:
    """Take the pictures, or check them."""
    docs_env.ready()
    import page_pictures  # here: only now is its environment certain

    if arguments == ["--check"]:
        found = page_pictures.faults()
        print("\n".join(found) or "the pictures are those of today's pages")
        return 1 if found else 0
    if arguments:
        print(__doc__, file=sys.stderr)
        return 2
    try:
        print(page_pictures.write())
    except (page_pictures.Fault, FileNotFoundError) as fault:
        print(f"screenshots: {fault}", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
