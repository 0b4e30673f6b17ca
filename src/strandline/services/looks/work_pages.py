"""Fifty to a page."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from strandline.services.looks.asked import Asked

PER_PAGE = 50
MOST_PAGES = 10_000


def pages_of(ask: Asked, total: int) -> dict[str, Any]:
    """Which page is asked for, and the addresses of those beside it; ``from`` counts from 0."""
    last = max(1, -(-total // PER_PAGE))
    number = min(ask.number("page", 1, MOST_PAGES), last)
    return {
        "total": total,
        "page": number,
        "last": last,
        "from": (number - 1) * PER_PAGE,
        "to": min(number * PER_PAGE, total),
        "before": _address(ask, number - 1) if number > 1 else "",
        "after": _address(ask, number + 1) if number < last else "",
    }


def _address(ask: Asked, number: int) -> str:
    kept = {key: value for key, value in ask.query.items() if key != "page" and value}
    return "?" + urlencode({**kept, "page": number})
