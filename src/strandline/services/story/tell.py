"""The demo's record: the flood of the Ostrey Reach Net Loft as it stands on the second morning."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from strandline.exchange.lists import open_list
from strandline.records.models.sites import Incident
from strandline.services import clock
from strandline.services.import_list import import_list
from strandline.services.story import days, opening
from strandline.services.story.telling import Story

SECOND_MORNING = datetime(2026, 3, 16, 8, 0, tzinfo=UTC)
Say = Callable[[str, int, int], None]


def tell(site_file: Path, list_file: Path, practice: Path, password: str, say: Say) -> Incident:
    """Fill the open, empty record; every log-in gets ``password``.  ``say`` hears what and how many.

    The clock stands at the second morning afterwards.
    """
    story = Story()
    opening.people(story, password)
    opening.incident(story, tomllib.loads(site_file.read_text(encoding="utf-8")))
    for scene in opening.SCENES:
        scene(story)
    story.at("2026-03-15 16:30")
    opened = open_list(list_file)
    rows = list(opened.rows)
    import_list(story.by(days.LEAD), story.incident, rows, opened.head.sha256)
    days.intake(story, practice / "photos", lambda done, of: say("taken in", done, of))
    for number, scene in enumerate(days.SCENES, start=1):
        scene(story)
        say("scenes", number, len(days.SCENES))
    clock.run_from(SECOND_MORNING)
    (practice / clock.STORY_FILE).write_text(SECOND_MORNING.isoformat(), encoding="ascii")
    return story.incident
