#!/usr/bin/env python3
"""Makes the generated pages and blocks under docs/ again.

    python tools/docs_build.py

The same program gives the same pages, byte for byte. The pictures of papers are made by tools/page_images.py.
"""

from __future__ import annotations

import sys

import docs_env


def main() -> int:
    """Write what has changed and name it."""
    docs_env.ready()
    import docs_pages  # here: only now is its environment certain

    try:
        changed = docs_pages.write()
    except ValueError as error:
        print(f"docs_build: nothing was written: {error}", file=sys.stderr)
        return 1
    for name in changed:
        print(f"docs/{name}")
    print(f"{len(changed)} pages changed")
    return 0


if __name__ == "__main__":
    sys.exit(main())
