"""From rows of cells to RawRows: the part CSV and workbooks share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from strandline.exchange.encodings import clean
from strandline.exchange.failures import ListError, shortened, unusable
from strandline.exchange.headers import HeaderPlan, plan_headers, score
from strandline.exchange.opened import Tally
from strandline.things.listing import Problem, RawRow

HEADER_WITHIN = 10
"""The header row is looked for in this many rows; what stands above it is a title."""


@dataclass(frozen=True, slots=True)
class Record:
    """One row of cells; ``row`` counts rows as a spreadsheet shows them, from 1.

    ``trouble`` says what was irregular about the row as a whole, ``lost`` what a cell held that
    cannot be used, by position.
    """

    row: int
    cells: Sequence[str]
    trouble: str = ""
    lost: Mapping[int, tuple[str, str]] = field(default_factory=dict)


def header_among(records: Sequence[Record], columns: Mapping[str, str] | None = None) -> Record | None:
    """The record with the most known headers among the first ten rows, the first of equals; or None."""
    best, best_score = None, 0
    for record in records:
        if record.row > HEADER_WITHIN:
            break
        found = score(record.cells, columns)
        if found > best_score:
            best, best_score = record, found
    return best


def no_header(name: str, records: Sequence[Record], columns: Mapping[str, str] | None) -> ListError:
    """Why no header was found, and what to do about it."""
    first = next((record for record in records if any(cell.strip() for cell in record.cells)), None)
    cells = [cell.strip() for cell in first.cells if cell.strip()] if first else []
    shown = shortened(", ".join(cells[:8]), 120)
    if columns:
        return unusable(
            name,
            f"no row among the first {HEADER_WITHIN} has the header '{shortened(next(iter(columns)))}' that "
            f"--columns names, nor any known one (the first row reads: {shown})",
            "check the headers' spelling",
        )
    if any(cell[0].isdigit() for cell in cells):
        return unusable(
            name,
            f"there is no header row (the first row reads: {shown})",
            "put a row with names such as tag, title, materials above the rows",
        )
    return unusable(
        name,
        f"no known column in the first {HEADER_WITHIN} rows (the first row reads: {shown})",
        "add a header row with names such as tag, title, materials, or name its columns with "
        "--columns HEADER=COLUMN",
    )


def plan_table(
    header: Record, name: str, columns: Mapping[str, str] | None, problems: list[Problem]
) -> HeaderPlan:
    """The plan of a header row, its problems told.  Raises ListError if nothing is left to read."""
    cells = [clean(cell).text for cell in header.cells]
    while cells and not cells[-1]:
        cells.pop()
    plan = plan_headers(cells, header.row, columns, name)
    if not any(plan.targets):
        raise unusable(name, "--columns leaves no column to read", "map at least one header to a column")
    problems += plan.problems
    return plan


class RowMaker:
    """Turns records into RawRows after one plan, noting what is irregular."""

    def __init__(self, plan: HeaderPlan, problems: list[Problem], tally: Tally, encoding: str = "") -> None:
        self.plan = plan
        self.problems = problems
        self.tally = tally
        self.encoding = encoding
        self._header = [name for name in plan.names if name]
        self._unnamed_told: set[int] = set()

    def rows(self, records: Iterable[Record]) -> Iterator[RawRow]:
        """The RawRows of the records below the header; blank ones are counted and skipped."""
        for record in records:
            if not any(cell and not cell.isspace() for cell in record.cells) and not record.lost:
                self.tally.blank += 1
            elif [cell.strip() for cell in record.cells if cell.strip()] == self._header:
                self._note(record.row, "", "", "the header stands here again; the row is skipped", kept=False)
            else:
                self.tally.rows += 1
                yield self._row(record)
        if not self.tally.rows:
            self._note(0, "", "", "there are no rows below the header")

    def _row(self, record: Record) -> RawRow:
        if record.trouble:
            self._note(record.row, "", shortened(" | ".join(record.cells)), record.trouble)
        cells: dict[str, str] = {}
        kept: dict[str, str] = {}
        for position, (name, column) in enumerate(zip(self.plan.names, self.plan.targets, strict=True)):
            text = self._cell(record, position, column or name)
            if column:
                cells[column] = text
            elif name:
                kept[name] = text
            elif text:
                self._unnamed(record.row, position, text, kept)
        self._ragged(record, kept)
        return RawRow(record.row, cells, kept, self.plan.units)

    def _cell(self, record: Record, position: int, label: str) -> str:
        if position in record.lost:
            value, reason = record.lost[position]
            self._note(record.row, label, value, reason)
            return ""
        if position >= len(record.cells):
            return ""
        cleaned = clean(record.cells[position], self.encoding)
        if cleaned.trouble:
            self._note(record.row, label, shortened(cleaned.text), cleaned.trouble)
        return cleaned.text

    def _unnamed(self, row: int, position: int, text: str, kept: dict[str, str]) -> None:
        kept[f"column_{position + 1}"] = text
        if position not in self._unnamed_told:
            self._unnamed_told.add(position)
            reason = f"column {position + 1} has no header; its cells are kept as 'column_{position + 1}'"
            self._note(row, f"column_{position + 1}", shortened(text), reason)

    def _ragged(self, record: Record, kept: dict[str, str]) -> None:
        wanted, got = len(self.plan.names), len(record.cells)
        extra = [self._cell(record, position, "extra") for position in range(wanted, got)]
        held = {f"extra_{number}": text for number, text in enumerate(extra, start=1) if text}
        if held:
            kept |= held
            reason = f"the row has {got} cells, the header {wanted}; the others are kept as {', '.join(held)}"
            self._note(record.row, "", shortened(" | ".join(held.values())), reason)
        elif got < wanted:
            reason = f"the row has {got} cells, the header {wanted}; the missing ones are taken as blank"
            self._note(record.row, "", "", reason)

    def _note(self, row: int, column: str, value: str, reason: str, kept: bool = True) -> None:
        self.problems.append(Problem(row, column, value, reason, kept))
