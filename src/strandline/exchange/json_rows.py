"""Lists in JSON (schema strandline.list/1): columns by their exact keys, and parts and joins as stated.

Rows are counted by objects from 1.  Keys the schema does not name are kept as text.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from typing import Any

from strandline.exchange.encodings import clean, encoding_of
from strandline.exchange.failures import ListError, shortened, unusable
from strandline.exchange.headers import KEEP
from strandline.exchange.json_parts import PartReader
from strandline.exchange.json_text import Number, as_text
from strandline.exchange.opened import OpenedList, Tally
from strandline.exchange.sniffing import refuse_binary
from strandline.knowledge.base import Knowledge
from strandline.things.listing import COLUMNS, ListHead, Problem, RawRow

SCHEMA = "strandline.list/1"
FORM = f'write {{"schema": "{SCHEMA}", "objects": [ ... ]}}'


def read_json(
    data: bytes, name: str, columns: Mapping[str, str] | None = None, knowledge: Knowledge | None = None
) -> OpenedList:
    """Open a JSON list.  Raises ListError for bad syntax (with its line), schema or shape."""
    encoding = encoding_of(data)
    root = _parsed(_text(data, name), name)
    objects = _objects(root, name)
    keys = dict.fromkeys(key for entry in objects if isinstance(entry, dict) for key in entry)
    mapping = _mapping(keys, columns or {}, name)
    kept = tuple(key for key in keys if key not in mapping and key not in ("parts", "joins"))
    if not mapping and not {"parts", "joins"} & set(keys) and objects:
        known = ", ".join(COLUMNS[:5])
        raise unusable(
            name, "no known column in any object", f"use keys such as {known}, or --columns KEY=COLUMN"
        )
    problems: list[Problem] = []
    tally = Tally()
    if not objects:
        problems.append(Problem(0, "objects", "", "the list holds no objects"))
    maker = _Maker(mapping, PartReader(problems, knowledge), problems, tally)
    return OpenedList(
        head=ListHead(name, hashlib.sha256(data).hexdigest(), mapping, kept),
        rows=maker.rows(objects),
        problems=problems,
        form="json",
        encoding=encoding.name,
        kept={key: as_text(value) for key, value in root.items() if key not in ("schema", "objects")},
        tally=tally,
    )


def _text(data: bytes, name: str) -> str:
    encoding = encoding_of(data)
    if not encoding.name.startswith("utf-16"):
        refuse_binary(data, name)
    text = data[encoding.skip :].decode(encoding.codec, encoding.errors)
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise unusable(name, f"a NUL byte (byte 0) stands in line {line}, so this is no plain text")
    return text


def _parsed(text: str, name: str) -> dict[str, Any]:
    try:
        root = json.loads(
            text,
            parse_int=Number,
            parse_float=Number,
            parse_constant=Number,
            object_pairs_hook=_pairs,
        )
    except json.JSONDecodeError as error:
        raise unusable(
            name,
            f"not valid JSON: {error.msg}, line {error.lineno}, column {error.colno}",
            "mend that line and give the list again",
        ) from error
    except RecursionError as error:
        raise unusable(name, "the JSON is nested too deeply to be a list", FORM) from error
    if not isinstance(root, dict):
        raise unusable(name, "the JSON holds no object at its top", FORM)
    return root


def _pairs(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """A key that stands twice keeps its first value; the later one is kept as ``key (2)``."""
    result: dict[str, Any] = {}
    for key, value in pairs:
        number, name = 2, key
        while name in result:
            name, number = f"{key} ({number})", number + 1
        result[name] = value
    return result


def _objects(root: dict[str, Any], name: str) -> list[Any]:
    schema = root.get("schema")
    if schema != SCHEMA or isinstance(schema, Number):
        found = "it has none" if schema is None else f"it says {shortened(as_text(schema))}"
        raise unusable(name, f"the list's schema must be {SCHEMA}; {found}", FORM)
    objects = root.get("objects")
    if not isinstance(objects, list):
        raise unusable(name, "the list has no 'objects' array", FORM)
    return objects


def _mapping(keys: Mapping[str, Any], columns: Mapping[str, str], name: str) -> dict[str, str]:
    """Key -> column.  Raises ListError if ``columns`` names a key no object has."""
    for key in columns:
        if key not in keys:
            raise ListError(
                f"{name}: --columns names the key '{shortened(key)}', which no object has; "
                f"the keys are: {', '.join(shortened(known) for known in keys) or 'none'}."
            )
    stated = {key: column for key, column in columns.items() if column != KEEP}
    own = {key: key for key in keys if key in COLUMNS and key not in columns and key not in stated.values()}
    return {**stated, **own}


class _Maker:
    """Makes RawRows of objects, noting what could not be used."""

    def __init__(
        self, mapping: Mapping[str, str], parts: PartReader, problems: list[Problem], tally: Tally
    ) -> None:
        self._mapping, self._parts, self._problems, self._tally = mapping, parts, problems, tally

    def rows(self, objects: list[Any]) -> Iterator[RawRow]:
        for row, entry in enumerate(objects, start=1):
            if isinstance(entry, dict) and not any(value not in (None, "") for value in entry.values()):
                self._tally.blank += 1
                continue
            self._tally.rows += 1
            if isinstance(entry, dict):
                yield self._row(row, entry)
            else:
                self._note(row, "objects", as_text(entry), "an entry of objects must be an object in braces")
                yield RawRow(row, {}, {"entry": as_text(entry)})

    def _row(self, row: int, entry: dict[str, Any]) -> RawRow:
        cells: dict[str, str] = {}
        kept: dict[str, str] = {}
        for key, value in entry.items():
            if key in self._mapping:
                cells[self._mapping[key]] = self._cell(row, self._mapping[key], value, kept)
            elif key not in ("parts", "joins"):
                kept[clean(key).text or "unnamed"] = as_text(value)
                self._tell_twice(row, key, entry)
        parts = self._parts.parts(row, entry.get("parts"), kept)
        joins = self._parts.joins(row, entry.get("joins"), parts or (), kept)
        return RawRow(row, cells, kept, parts=parts, joins=joins)

    def _cell(self, row: int, column: str, value: Any, kept: dict[str, str]) -> str:
        """A cell's text; a list of texts is joined with ';', which every reader of cells splits at."""
        if isinstance(value, list) and all(isinstance(item, str) for item in value):
            return "; ".join(text for item in value if (text := clean(item).text))
        if isinstance(value, (dict, list, bool)):
            reason = f"{column} must be a text, a number or a list of texts; kept, and taken as blank"
            self._note(row, column, as_text(value), reason)
            kept[column] = as_text(value)
            return ""
        return self._cleaned(row, column, "" if value is None else str(value))

    def _cleaned(self, row: int, column: str, value: str) -> str:
        cleaned = clean(value)
        if cleaned.trouble:
            self._note(row, column, cleaned.text, cleaned.trouble)
        return cleaned.text

    def _tell_twice(self, row: int, key: str, entry: Mapping[str, Any]) -> None:
        base = key.rpartition(" (")[0]
        if base in entry and key.endswith(")"):
            self._note(row, base, as_text(entry[key]), f"'{base}' stands twice; the later is kept as '{key}'")

    def _note(self, row: int, column: str, value: str, reason: str) -> None:
        self._problems.append(Problem(row, column, shortened(value), reason))
