"""A whole record as lines of JSON, ``strandline.record/1``: the same bytes from SQLite and PostgreSQL.

The first line is a head: format, program, migrations, rows per table.  Then comes one line per row of every
table of the record and of the log-ins, tables after those they link to, rows by ``uid`` (log-ins by name).
Links are uids; ``nth`` keeps the order in which the rows of a table were made.  Keys are sorted, times are
UTC with microseconds, a number that is none is refused.  **Names, contacts and password hashes are in it**:
it is a backup.  Photographs and papers are files of the practice folder, and sessions end.
"""

from __future__ import annotations

import json
import math
import uuid
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from functools import lru_cache
from typing import Any, Protocol

from django.db import connection, models, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.db.models import F, Window
from django.db.models.functions import RowNumber

from strandline import __version__

FORMAT = "strandline.record/1"
APP = "records"
LOG_IN = "user"
LATE: frozenset[tuple[str, str]] = frozenset({("object", "plan")})
"""Links that close a circle, beside those of a table to itself: set when the rows of both sides are there."""

CHUNK_ROWS = 500


class ExportError(Exception):
    """A record cannot be written as lines, or lines are no record; says why in one sentence."""


class Sink(Protocol):
    """Where lines go."""

    def write(self, data: bytes, /) -> Any:
        """Take some bytes."""


@dataclass(frozen=True, slots=True)
class Column:
    """A field that is written.  ``to`` is the table a link leads to; ``late``: set in a second go."""

    field: models.Field[Any, Any]
    to: str = ""
    late: bool = False

    @property
    def name(self) -> str:
        """Name of the field."""
        return self.field.name


@dataclass(frozen=True, slots=True)
class Table:
    """A table as some list of migrations leaves it; ``key`` is what its rows are known by outside."""

    name: str
    model: type[models.Model]
    key: str
    columns: tuple[Column, ...]


def applied() -> tuple[str, ...]:
    """Names of the record's migrations the database has; empty for a database without a record."""
    names = MigrationRecorder(connection).applied_migrations()
    return tuple(sorted(name for app, name in names if app == APP))


def tables(migrations: tuple[str, ...]) -> dict[str, Table]:
    """The tables as these migrations leave them, each after those it links to.

    Raises ExportError for a list this program cannot follow: made by a newer one, or with a gap.
    """
    loader = MigrationLoader(None, ignore_no_migrations=True)
    known = {name for app, name in loader.disk_migrations if app == APP}
    if newer := sorted(set(migrations) - known):
        raise ExportError(f"this record was made by a newer Strandline (it has {newer[0]}); update first")
    if not migrations:
        raise ExportError("there is no record in this database")
    way = loader.graph.forwards_plan((APP, max(migrations)))
    if {name for app, name in way if app == APP} != set(migrations):
        raise ExportError("the list of migrations has a gap; this is no record of a Strandline")
    return _tables(max(migrations))


@lru_cache(maxsize=4)
def _tables(last: str) -> dict[str, Table]:
    loader = MigrationLoader(None, ignore_no_migrations=True)
    state = loader.project_state([(APP, last), *loader.graph.leaf_nodes("auth")])
    found = [model for model in state.apps.get_models() if model._meta.app_label == APP]
    found.append(state.apps.get_model("auth", "User"))
    left = {_name(model): _table(model) for model in found}
    ordered: dict[str, Table] = {}
    while left:
        ready = [name for name in sorted(left) if _needs(left[name]) <= ordered.keys()]
        if not ready:
            raise ExportError(f"tables link in a circle: {', '.join(sorted(left))}")
        ordered[ready[0]] = left.pop(ready[0])
    return ordered


def _name(model: type[models.Model]) -> str:
    return model._meta.model_name or ""


def _table(model: type[models.Model]) -> Table:
    name = _name(model)
    key = "username" if name == LOG_IN else "uid"
    columns = []
    for field in model._meta.concrete_fields:
        if field.name in {"id", key}:
            continue
        to = _name(field.related_model) if isinstance(field, models.ForeignKey) else ""
        columns.append(Column(field, to, bool(to) and (to == name or (name, field.name) in LATE)))
    return Table(name, model, key, tuple(columns))


def _needs(table: Table) -> set[str]:
    return {column.to for column in table.columns if column.to and not column.late}


@contextmanager
def standing_still() -> Iterator[None]:
    """All that is read within is of one moment, while others go on writing.

    Inside a transaction that is open already, that one is used.
    """
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            # Django's own transactions would keep writers waiting; this one only reads.
            cursor.execute("BEGIN DEFERRED")
            try:
                yield
            finally:
                cursor.execute("ROLLBACK")
    else:
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield


def write(sink: Sink) -> dict[str, int]:
    """Write the record that is open, whatever migrations it has; returns the rows per table.

    Raises ExportError if there is none, or a value in it cannot be written.
    """
    with standing_still():
        names = applied()
        found = tables(names)
        counts = count(found)
        head = {"format": FORMAT, "program": __version__, "migrations": list(names), "rows": counts}
        sink.write(line(head))
        for table in found.values():
            if write_rows(table, sink) != counts[table.name]:
                raise ExportError(f"{table.name} changed while it was read; try again")
    return counts


def count(found: dict[str, Table]) -> dict[str, int]:
    """Rows per table, as the database counts them."""
    return {name: table.model._base_manager.count() for name, table in found.items()}


def write_rows(table: Table, sink: Sink) -> int:
    """Write the lines of one table; returns how many."""
    written = 0
    for nth, key, *values in _rows(table):
        try:
            row = {column.name: plain(value) for column, value in zip(table.columns, values, strict=True)}
        except ValueError as error:
            raise ExportError(f"{table.name} {key}: {error}") from error
        sink.write(line({"table": table.name, table.key: str(key), "nth": nth, "row": row}))
        written += 1
    return written


def _rows(table: Table) -> Iterable[tuple[Any, ...]]:
    paths = [
        f"{column.name}__{'username' if column.to == LOG_IN else 'uid'}" if column.to else column.name
        for column in table.columns
    ]
    numbered = table.model._base_manager.annotate(nth_made=Window(RowNumber(), order_by=F("id").asc()))
    if table.name == LOG_IN:
        # Engines sort names by the rules of some language; uids are the same everywhere.
        return sorted(numbered.values_list("nth_made", table.key, *paths), key=lambda row: str(row[1]))
    return numbered.order_by(table.key).values_list("nth_made", table.key, *paths).iterator(CHUNK_ROWS)


def line(value: dict[str, Any]) -> bytes:
    """One line of the export."""
    return (_text(value, False) or _text(value, True) or "").encode("utf-8")


def _text(value: dict[str, Any], ascii_only: bool) -> str | None:
    """JSON with its end of line; None where half a character stands in it, which UTF-8 does not have."""
    text = json.dumps(value, ensure_ascii=ascii_only, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return None if any("\ud800" <= letter <= "\udfff" for letter in text) else f"{text}\n"


def plain(value: Any) -> Any:
    """A value as a line holds it, alike for both engines; ValueError for a number that is none."""
    if isinstance(value, float):
        return number(value)
    if isinstance(value, dict):
        return {key: plain(one) for key, one in value.items()}
    if isinstance(value, list):
        return [plain(one) for one in value]
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="microseconds")
    return str(value) if isinstance(value, uuid.UUID) else value


def number(value: float) -> float | int:
    """A float as both engines give it back: PostgreSQL's JSON has no 1e+16 and no minus nought."""
    if not math.isfinite(value):
        raise ValueError(f"{value} is no number")
    text = repr(value)
    return int(Decimal(text)) if "e+" in text else value + 0.0


def read_through(lines: Iterable[bytes]) -> dict[str, int]:
    """Count the rows per table of an export and compare with its head; ExportError if they are not there."""
    numbered = enumerate(lines, start=1)
    head = read_head(next(numbered, (1, b""))[1])
    counts = dict.fromkeys(head.rows, 0)
    for at, raw in numbered:
        name = read_line(at, raw).get("table")
        if name not in counts:
            raise ExportError(f"line {at}: '{name}' is no table of this record")
        counts[name] += 1
    compare(head.rows, counts)
    return counts


def compare(wanted: dict[str, int], found: dict[str, int]) -> None:
    """ExportError if a table has not the rows it should."""
    for name, rows in wanted.items():
        if found.get(name) != rows:
            raise ExportError(f"the export is not whole: {name} has {found.get(name)} rows of {rows}")


@dataclass(frozen=True, slots=True)
class Head:
    """The first line."""

    program: str
    migrations: tuple[str, ...]
    rows: dict[str, int]


def read_head(raw: bytes) -> Head:
    """The head of an export; ExportError if it is none."""
    found = read_line(1, raw)
    if found.get("format") != FORMAT:
        raise ExportError(f"line 1: this is no export of a record; the first line names {FORMAT}")
    names, rows, program = found.get("migrations"), found.get("rows"), found.get("program")
    whole = isinstance(names, list) and all(isinstance(name, str) for name in names)
    counted = isinstance(rows, dict) and all(type(one) is int for one in rows.values())
    if not (whole and counted and isinstance(program, str)):
        raise ExportError("line 1: the head needs 'program', 'migrations' and 'rows'")
    return Head(program, tuple(names or ()), dict(rows or {}))


def read_line(at: int, raw: bytes) -> dict[str, Any]:
    """A line as JSON; ExportError with its number if it is broken."""
    if not raw.endswith(b"\n"):
        raise ExportError(f"line {at}: the export is cut short here")
    try:
        found = json.loads(raw, parse_constant=_no_number, parse_float=_finite)
    except (ValueError, RecursionError) as error:
        raise ExportError(f"line {at}: this is no JSON: {error}") from error
    if not isinstance(found, dict):
        raise ExportError(f"line {at}: a line is one JSON object")
    return found


def _no_number(text: str) -> Any:
    raise ValueError(f"{text} is no number")


def _finite(text: str) -> float:
    found = float(text)
    return found if math.isfinite(found) else _no_number(text)
