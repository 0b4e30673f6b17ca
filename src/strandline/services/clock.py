"""The one place of the services that reads the clock."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

STORY_FILE = "story-clock"
"""A practice with this file runs in the days of its story, from the moment in it."""

_set: dict[str, timedelta] = {}


def now() -> datetime:
    """The moment, aware, UTC; in a demo that of its story."""
    return datetime.now(UTC) + _set.get("ahead", timedelta())


def run_from(moment: datetime) -> None:
    """Let the clock run on from ``moment`` (aware): a demo stands in its own days."""
    _set["ahead"] = moment - datetime.now(UTC)


def is_a_story() -> bool:
    """Whether the clock runs in the days of a demo."""
    return "ahead" in _set


def run_with_the_world() -> None:
    """Back to the moment it is."""
    _set.clear()


def story_clock(practice: Path) -> datetime | None:
    """The moment from which the clock of a demo's practice runs; None for every other practice."""
    try:
        text = (practice / STORY_FILE).read_text(encoding="ascii")
    except FileNotFoundError:
        return None
    return datetime.fromisoformat(text.strip())
