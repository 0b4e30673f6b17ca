"""Rows that are taken as they stand, but that a person should look at: totals, an owner's number twice."""

from __future__ import annotations

from collections.abc import Sequence

from strandline.things.listing import Problem, RawRow

TOTALS = frozenset(
    ("total", "totals", "grand total", "sum", "summe", "gesamt", "gesamtsumme", "somme", "totaal", "suma")
)
"""What a last line of a list is called; no object is."""


def doubts(rows: Sequence[RawRow]) -> list[Problem]:
    """A note for each row that looks like a total, and for each owner's number that stood before."""
    notes: list[Problem] = []
    first: dict[str, int] = {}
    for row in rows:
        notes += _total(row)
        number = row.cells.get("owner_number", "").strip()
        if number and number in first:
            reason = f"owner number '{number}' stood in row {first[number]} already; both are kept"
            notes.append(Problem(row.row, "owner_number", number, reason, note=True))
        elif number:
            first[number] = row.row
    return notes


def _total(row: RawRow) -> list[Problem]:
    """A note if title and materials say nothing but that it is a total."""
    said = {column: row.cells.get(column, "").strip() for column in ("title", "materials")}
    typed = {column: text for column, text in said.items() if text}
    if not typed or any(text.rstrip(":.").strip().casefold() not in TOTALS for text in typed.values()):
        return []
    column, text = next(iter(typed.items()))
    return [Problem(row.row, column, text, "looks like a total, not an object", note=True)]
