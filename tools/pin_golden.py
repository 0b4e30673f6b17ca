#!/usr/bin/env python3
"""Pins the plans as they are now: run it after looking at what changed and wanting it.

PYTHONPATH=src:. python tools/pin_golden.py
"""

from __future__ import annotations

import json
import sys

from tests.reference.golden import GOLDEN, fingerprints

from strandline.care.engine import Engine
from strandline.knowledge.base import shipped


def main() -> int:
    """Write golden.json and say how many plans changed."""
    now = fingerprints(Engine(shipped()))
    before = json.loads(GOLDEN.read_text(encoding="utf-8")) if GOLDEN.exists() else {}
    changed = [name for name in {*before, *now} if before.get(name) != now.get(name)]
    GOLDEN.write_text(json.dumps(now, indent=0, sort_keys=True) + "\n", encoding="utf-8")
    print(f"{len(now)} plans pinned, {len(changed)} changed")
    return 0


if __name__ == "__main__":
    sys.exit(main())
