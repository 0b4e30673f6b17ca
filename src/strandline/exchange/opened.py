"""What opening a list gives: its head, its rows as they are drawn, and what could not be used."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from strandline.things.listing import ListHead, Problem, RawRow

Form = Literal["csv", "xlsx", "json"]


@dataclass(slots=True)
class Tally:
    """Counts that grow while rows are drawn: rows given, blank rows skipped."""

    rows: int = 0
    blank: int = 0


@dataclass(frozen=True, slots=True)
class OpenedList:
    """A list ready to be read.

    ``rows`` is drawn once; a CSV row is decoded and split only when it is asked for.  ``problems``
    holds what concerns the file as a whole and grows with the rows: it is complete when ``rows`` is
    spent.  ``encoding`` is the one found; ``delimiter`` and ``sheet`` are '' where there is none.
    ``header_row`` is 0 for JSON.  ``above`` are the lines that stood over the header.  ``kept``
    are keys a JSON list has beside its objects.
    """

    head: ListHead
    rows: Iterator[RawRow]
    problems: list[Problem]
    form: Form
    encoding: str = ""
    delimiter: str = ""
    sheet: str = ""
    header_row: int = 0
    above: tuple[str, ...] = ()
    kept: Mapping[str, str] = field(default_factory=dict)
    tally: Tally = field(default_factory=Tally)

    @property
    def blank_rows(self) -> int:
        """Blank rows skipped so far."""
        return self.tally.blank
