"""What an interpreter of cells raises: one sentence naming what was found and what was expected."""

from __future__ import annotations

SHOWN = 60
"""Characters of a cell that a message shows."""


class CellError(ValueError):
    """A cell that cannot be read.  ``reason`` is for the list of problems.

    ``partial`` holds what could be read of a cell of several words (water, done_already), with
    ``unknown`` for the rest: a bad word must not lose the fuel beside it.
    """

    def __init__(self, reason: str, partial: tuple[str, ...] = ()) -> None:
        super().__init__(reason)
        self.reason = reason
        self.partial = partial


def cell_error(
    column: str, expected: str, text: str, detail: str = "", partial: tuple[str, ...] = ()
) -> CellError:
    """``<column> must be <expected>; got '<text>' (<detail>); taken as unknown``."""
    line = " ".join(text.split())
    shown = line if len(line) <= SHOWN else line[: SHOWN - 1] + "…"
    why = f" ({detail})" if detail else ""
    taken = " + ".join(partial) or "unknown"
    return CellError(f"{column} must be {expected}; got '{shown}'{why}; taken as {taken}", partial)
