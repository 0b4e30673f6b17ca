"""JSON values as text, with numbers as they were typed."""

from __future__ import annotations

import json
from typing import Any

from strandline.exchange.encodings import clean


class Number(str):
    """A JSON number kept as it was typed, so that no digit is lost or made up."""

    __slots__ = ()


def as_text(value: Any) -> str:
    """A value as a cell's text: strings as they are, nothing for null, anything else as JSON."""
    if value is None:
        return ""
    text = str(value) if isinstance(value, str) else _written(value)
    return clean(text).text


def _written(value: Any) -> str:
    """JSON of a value that may hold Numbers, which json itself would write as strings."""
    if isinstance(value, Number):
        return str(value)
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_written(key)}: {_written(held)}" for key, held in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_written(held) for held in value) + "]"
    return json.dumps(value, ensure_ascii=False)
