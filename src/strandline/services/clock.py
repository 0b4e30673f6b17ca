"""The one place of the services that reads the clock."""

from __future__ import annotations

from datetime import UTC, datetime


def now() -> datetime:
    """The moment, aware, UTC."""
    return datetime.now(UTC)
