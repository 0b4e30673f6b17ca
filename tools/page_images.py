#!/usr/bin/env python3
"""Makes every paper from the demo's list and draws its first side into docs/images/.

    python tools/page_images.py            make all pictures and docs/images/made.json
    python tools/page_images.py --check    only tell whether the pictures are those of today's papers

Exit code 1 where a paper cannot be made, a side is blank, a picture is too large, or (--check) they are old.
"""

from __future__ import annotations

import sys

import docs_env


def main(arguments: list[str]) -> int:
    """Make the pictures, or check them."""
    docs_env.ready()
    import docs_pictures  # here: only now is its environment certain

    if arguments == ["--check"]:
        found = docs_pictures.faults()
        print("\n".join(found) or "the pictures are those of today's papers")
        return 1 if found else 0
    if arguments:
        print(__doc__, file=sys.stderr)
        return 2
    try:
        print(docs_pictures.write())
    except docs_pictures.Fault as fault:
        print(f"page_images: {fault}", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
