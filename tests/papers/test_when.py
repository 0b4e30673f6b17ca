"""Hours as papers print them."""

from datetime import UTC, datetime

import pytest

from strandline.papers import when

NOON = datetime(2026, 3, 15, 12, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("hour", "said"),
    [(0, "morning"), (11, "morning"), (12, "afternoon"), (17, "afternoon"), (18, "evening"), (23, "evening")],
)
def test_half_days(hour: int, said: str) -> None:
    """Noon and six part the day."""
    assert when.half_day(NOON.replace(hour=hour), "UTC") == f"Sun 15 March, {said}"


def test_the_zone_moves_hour_and_day() -> None:
    """Summer time, and a zone where it is already Monday."""
    assert (
        when.minute(datetime(2026, 3, 29, 1, 30, tzinfo=UTC), "Europe/London")
        == "Sun 29 March 2026, 02:30 BST"
    )
    assert when.half_day(NOON, "Pacific/Auckland") == "Mon 16 March, morning"
    assert when.hour(NOON, "UTC") == "Sun 15 March, 12:00"


def test_nobody_reads_that_an_hour_has_gone_by() -> None:
    """What was due before is due now."""
    assert when.by_half_day(NOON.replace(hour=2), NOON, "UTC") == "now"
    assert when.by_half_day(NOON, NOON, "UTC") == "now"
    assert when.by_half_day(None, NOON, "UTC") == "now"
    assert when.by_half_day(NOON.replace(hour=13), NOON, "UTC") == "Sun 15 March, afternoon"


def test_due_counts_from_its_own_origin() -> None:
    """Wetting and emergence are two hours; without the fact there is no hour."""
    facts = {"wet_since": "2026-03-15T02:00:00+00:00", "out_since": "2026-03-15T10:00:00+00:00"}
    assert when.due({"at_h": 4, "origin": "emerged"}, facts) == NOON.replace(hour=14)
    assert when.due({"at_h": 4, "origin": "wetted"}, facts) == NOON.replace(hour=6)
    assert when.due({"at_h": 4, "origin": "dried"}, facts) is None
    assert when.due({"at_h": 4, "origin": "emerged"}, {}) is None
    assert when.due(None, facts) is None


@pytest.mark.parametrize("text", [None, "soon", "2026-03-15T02:00:00", 3])
def test_what_is_no_hour_is_none(text: object) -> None:
    """A word, a time without zone, a number."""
    assert when.read(text) is None
