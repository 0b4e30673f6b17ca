"""The one error a list that cannot be used at all raises: a sentence for the person holding the list."""

from __future__ import annotations

SAVE_AS = "save the list as CSV (UTF-8) or XLSX and give that file"
"""What nearly every unusable file needs."""


class ListError(Exception):
    """A list cannot be used at all.  The message says what is wrong, where, and what to do."""


def unusable(name: str, what: str, do: str = SAVE_AS) -> ListError:
    """A ListError in the house's shape: ``<file>: <what is wrong>; <what to do>.``"""
    return ListError(f"{name}: {what}; {do}.")


def shortened(text: str, limit: int = 60) -> str:
    """The text on one line, at most ``limit`` characters, for a message."""
    line = " ".join(text.split())
    return line if len(line) <= limit else line[: limit - 1] + "…"
