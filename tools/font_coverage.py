#!/usr/bin/env python3
"""Write src/strandline/papers/fonts/coverage.json: which characters the shipped fonts can print.

Needs fonttools (pip install fonttools), which nothing else here needs: run it when a font changes.
A character counts for a family only if every weight shipped has it; ranges are inclusive.
"""

from __future__ import annotations

import hashlib
import json
from itertools import groupby
from pathlib import Path

from fontTools.ttLib import TTFont  # type: ignore[import-untyped]  # not in the locks, see above

FONTS = Path(__file__).resolve().parent.parent / "src" / "strandline" / "papers" / "fonts"


def ranges(points: set[int]) -> list[list[int]]:
    """Code points as inclusive ranges."""
    found = []
    for _, group in groupby(enumerate(sorted(points)), key=lambda pair: pair[1] - pair[0]):
        run = [point for _, point in group]
        found.append([run[0], run[-1]])
    return found


def main() -> None:
    """Read every font, write one file."""
    families: dict[str, set[int]] = {}
    files = {}
    for path in sorted(FONTS.glob("*.ttf")):
        with TTFont(path) as font:
            name = font["name"].getDebugName(16) or font["name"].getDebugName(1)
            points = set(font.getBestCmap())
        families[name] = families.get(name, points) & points
        files[path.name] = hashlib.sha256(path.read_bytes()).hexdigest()
    covered = {name: ranges(points) for name, points in sorted(families.items())}
    told = {"files": files, "families": covered}
    (FONTS / "coverage.json").write_text(json.dumps(told, separators=(",", ":")) + "\n", encoding="utf-8")
    print({name: len(points) for name, points in families.items()})


if __name__ == "__main__":
    main()
