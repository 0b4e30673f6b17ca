"""An export put back: lines of ``strandline.record/1`` into an empty database of either engine.

All in one transaction, and at its end the record is written once more and compared: what does not come back
byte for byte is not taken.  An export of an older program is put into tables of its own time, which are then
brought up to date.
"""

from __future__ import annotations

import hashlib
import json
import math
import tempfile
import uuid
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, closing
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from typing import IO, Any

from django.core.management import call_command
from django.core.management.color import no_style
from django.db import Error as DatabaseError
from django.db import connection, models, transaction
from django.db.migrations.executor import MigrationExecutor

from strandline.records.export import (
    APP,
    CHUNK_ROWS,
    Column,
    ExportError,
    Head,
    Table,
    applied,
    compare,
    read_head,
    read_line,
    tables,
    write_rows,
)

MOST = 2**63
"""No database holds a whole number beyond it."""


@dataclass(slots=True)
class Waiting:
    """A row that is not yet in its table; ``links`` are by name of the column."""

    at: int
    row: models.Model
    links: dict[str, str]


def load(lines: Iterable[bytes]) -> Head:
    """Put an export into the database that is open and has no record yet, and bring its tables up to date.

    Raises ExportError, with no row kept, for an export of a newer program, a line that is broken, a link
    that leads nowhere, and a database that holds a record.
    """
    numbered = enumerate(lines, start=1)
    head = read_head(next(numbered, (1, b""))[1])
    found = tables(head.migrations)
    if found.keys() != head.rows.keys():
        raise ExportError("line 1: the tables are not those of its migrations")
    _make_tables(head, found)
    with closing(Loading(found)) as loading, transaction.atomic():
        for at, raw in numbered:
            loading.take(at, raw)
        loading.finish()
        compare(head.rows, loading.counts)
        _same(found, loading.digest.hexdigest())
        _count_on(found)
    call_command("migrate", verbosity=0)
    return head


def _make_tables(head: Head, found: dict[str, Table]) -> None:
    has = applied()
    if not has:
        executor = MigrationExecutor(connection)
        others = [node for node in executor.loader.graph.leaf_nodes() if node[0] != APP]
        executor.migrate([*others, (APP, max(head.migrations))])
    elif has != tuple(sorted(head.migrations)):
        raise ExportError("this database has the tables of another version; give it one that is empty")
    for name, table in found.items():
        if table.model._base_manager.exists():
            raise ExportError(f"this database holds a record already ({name}); give it one that is empty")


def _same(found: dict[str, Table], wanted: str) -> None:
    """What is in the tables now is, written again, what was read."""
    digest = hashlib.sha256()
    for table in found.values():
        write_rows(table, _Digest(digest))
    if digest.hexdigest() != wanted:
        raise ExportError("the lines are not as this program writes them; the record would not be the same")


def _count_on(found: dict[str, Table]) -> None:
    """The next row of each table gets a number of its own."""
    statements = connection.ops.sequence_reset_sql(no_style(), [table.model for table in found.values()])
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


class _Digest:
    """A hash that can be written to."""

    def __init__(self, digest: Any) -> None:
        self._digest = digest

    def write(self, data: bytes, /) -> None:
        """Take some bytes into the hash."""
        self._digest.update(data)


class Loading:
    """Rows on their way: a few at a time, links that close a circle kept aside in a file."""

    def __init__(self, found: dict[str, Table]) -> None:
        self.counts = dict.fromkeys(found, 0)
        self.digest = hashlib.sha256()
        self._tables = found
        self._order = list(found)
        self._table = next(iter(found.values()))
        self._last = ""
        self._batch: list[Waiting] = []
        self._files = ExitStack()
        self._late: dict[tuple[str, str], IO[str]] = {}

    def take(self, at: int, raw: bytes) -> None:
        """One line."""
        found = read_line(at, raw)
        self.digest.update(raw)
        self._turn_to(at, found.get("table"))
        key, nth, values = found.get(self._table.key), found.get("nth"), found.get("row")
        wanted = {"table", self._table.key, "nth", "row"}
        names = {column.name for column in self._table.columns}
        if found.keys() != wanted or not isinstance(values, dict) or values.keys() != names:
            raise ExportError(f"line {at}: this is no row of {self._table.name} as its migrations leave it")
        if not isinstance(key, str) or type(nth) is not int or nth < 1:
            raise ExportError(f"line {at}: a row needs its {self._table.key} and 'nth', a number from 1")
        if key <= self._last:
            raise ExportError(f"line {at}: rows are sorted by {self._table.key}, each once; this one is not")
        self._last = key
        self._add(at, key, nth, values)

    def _turn_to(self, at: int, name: Any) -> None:
        if name == self._table.name:
            return
        if name not in self._order or self._order.index(name) < self._order.index(self._table.name):
            raise ExportError(f"line {at}: '{name}' is no table, or not its turn")
        self._flush()
        self._table, self._last = self._tables[name], ""

    def _add(self, at: int, key: str, nth: int, values: dict[str, Any]) -> None:
        table = self._table
        fields: dict[str, Any] = {"pk": nth}
        links: dict[str, str] = {}
        try:
            fields[table.key] = uuid.UUID(key) if table.key == "uid" else key
            for column in table.columns:
                value = values[column.name]
                if not column.to:
                    fields[column.name] = read_value(column.field, value)
                elif value is None or not isinstance(value, str):
                    _may_be_empty(column.field, value)
                elif column.late:
                    # A number no row has, of its own for each: rows must not look alike meanwhile.
                    fields[column.field.attname] = -nth
                    self._keep(column, at, nth, value)
                else:
                    links[column.name] = value
        except ValueError as error:
            raise ExportError(f"line {at}: {error}") from error
        self.counts[table.name] += 1
        self._batch.append(Waiting(at, table.model(**fields), links))
        if len(self._batch) >= CHUNK_ROWS:
            self._flush()

    def _flush(self) -> None:
        """Put the rows that wait into their table."""
        batch, self._batch = self._batch, []
        for column in self._table.columns:
            if column.to and not column.late:
                asked = [(one.at, one.links[column.name]) for one in batch if column.name in one.links]
                numbers = self._numbers(column, asked)
                for one in batch:
                    if column.name in one.links:
                        setattr(one.row, column.field.attname, numbers[one.links[column.name]])
        if not batch:
            return
        manager = self._table.model._base_manager
        try:
            with transaction.atomic():
                manager.bulk_create([one.row for one in batch])
        except (DatabaseError, ValueError):
            for one in batch:  # once more, one at a time, to tell which line it is
                _put(one)
            raise

    def _numbers(self, column: Column, asked: list[tuple[int, str]]) -> dict[str, int]:
        """Numbers of the rows asked for, by what they are known by."""
        target = self._tables[column.to]
        keys = {_readable(at, key, target) for at, key in asked}
        rows = target.model._base_manager.filter(**{f"{target.key}__in": keys}).values_list(target.key, "pk")
        numbers = {str(key): pk for key, pk in rows}
        for at, key in asked:
            if key not in numbers:
                raise ExportError(
                    f"line {at}: {column.name} leads to {column.to} '{key}', which is not there"
                )
        return numbers

    def _keep(self, column: Column, at: int, nth: int, target: str) -> None:
        """Keep a late link aside."""
        where = (self._table.name, column.name)
        if where not in self._late:
            file = tempfile.TemporaryFile("w+", encoding="utf-8")  # noqa: SIM115 - the stack closes it
            self._late[where] = self._files.enter_context(file)
        self._late[where].write(json.dumps([at, nth, target]) + "\n")

    def finish(self) -> None:
        """The last rows, and the links that waited for them."""
        self._flush()
        for (name, link), file in self._late.items():
            table = self._tables[name]
            column = next(one for one in table.columns if one.name == link)
            file.seek(0)
            for chunk in _chunks(json.loads(text) for text in file):
                self._settle(table, column, chunk)

    def _settle(self, table: Table, column: Column, chunk: list[tuple[int, int, str]]) -> None:
        numbers = self._numbers(column, [(at, target) for at, _, target in chunk])
        rows = [table.model(**{"pk": nth, column.field.attname: numbers[to]}) for _, nth, to in chunk]
        table.model._base_manager.bulk_update(rows, [column.name])

    def close(self) -> None:
        """Take away what was kept aside."""
        self._files.close()


def _chunks(entries: Iterable[Any]) -> Iterator[list[Any]]:
    source = iter(entries)
    while chunk := list(islice(source, CHUNK_ROWS)):
        yield chunk


def _put(one: Waiting) -> None:
    try:
        with transaction.atomic():
            one.row.save(force_insert=True)
    except (DatabaseError, ValueError) as error:
        said = str(error).partition("\n")[0]
        raise ExportError(f"line {one.at}: the database does not take this row: {said}") from error


def _readable(at: int, key: str, table: Table) -> str:
    if table.key == "uid":
        try:
            uuid.UUID(key)
        except ValueError as error:
            raise ExportError(f"line {at}: '{key}' is no uid") from error
    return key


def _may_be_empty(field: models.Field[Any, Any], value: Any) -> None:
    if value is not None:
        raise ValueError(f"{field.name} is not of its kind: {value!r}")
    if not field.null:
        raise ValueError(f"{field.name} is empty and may not be")


def read_value(field: models.Field[Any, Any], value: Any) -> Any:
    """A value of a line as its field holds it; ValueError if it cannot be one."""
    if isinstance(field, models.JSONField):
        if value is None:
            _may_be_empty(field, value)
        return value
    if value is None:
        return _may_be_empty(field, value)
    if isinstance(field, models.DateTimeField) and isinstance(value, str):
        found = datetime.fromisoformat(value)
        if found.tzinfo is None:
            raise ValueError(f"{field.name} needs its offset from UTC")
        return found
    if isinstance(field, models.UUIDField) and isinstance(value, str):
        return uuid.UUID(value)
    if isinstance(field, models.BooleanField) and isinstance(value, bool):
        return value
    if isinstance(field, models.CharField | models.TextField) and isinstance(value, str):
        return _fits(field, value)
    counted = isinstance(value, int | float) and not isinstance(value, bool)
    if isinstance(field, models.FloatField) and counted and math.isfinite(value):
        return float(value)
    if isinstance(field, models.IntegerField) and counted and isinstance(value, int) and abs(value) < MOST:
        return value
    raise ValueError(f"{field.name} is not of its kind: {value!r}")


def _fits(field: models.Field[Any, Any], value: str) -> str:
    """SQLite would take a text of any length."""
    most = field.max_length
    if most is not None and len(value) > most:
        raise ValueError(f"{field.name} has {len(value)} characters of {most} at most")
    return value
