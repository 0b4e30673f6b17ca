#!/usr/bin/env python3
"""Fills a practice folder with the demo's story up to its second morning; nothing else of the demo is made.

    python tools/demo_practice.py FOLDER

The folder must not be there yet.
"""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path

PASSWORD = "string-and-tags-16"
"""Of every log-in of such a practice; it protects nothing."""


def fill(folder: Path) -> None:
    """Make the practice; ``folder`` must not be there yet."""
    from strandline.records.practice import open_practice  # this file is also read for PASSWORD alone

    open_practice(folder, datetime.now(UTC))
    # Tables can be named only once the record is open.
    import strandline
    from strandline.services.story.tell import tell

    demo = Path(strandline.__file__).parent / "demo_data"
    tell(demo / "site.toml", demo / "list.csv", folder, PASSWORD, lambda what, done, of: None)


if __name__ == "__main__":
    fill(Path(sys.argv[1]))
