"""Rules on the numbers of the science, as functions from a tree to a list of findings."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any

from tests.house.tree import SourceFile

FOLDER = "src/strandline/knowledge/numbers/"
SURE = ("v", "m", "c")


def number_files(tree: Sequence[SourceFile]) -> list[SourceFile]:
    """The files of numbers: those right in the folder."""
    return [file for file in tree if re.fullmatch(re.escape(FOLDER) + r"[^/]+\.toml", file.path)]


def number_findings(tree: Sequence[SourceFile], known: Collection[str]) -> list[str]:
    """Every row with a number has a confidence and sources that can be looked up; practice may have none.

    A row that only names others, such as a group of timbers, has no number.
    """
    return [
        file.at(1, f"{label}: {fault}")
        for file in number_files(tree)
        for label, row in rows(tomllib.loads(file.text))
        if holds_number(row)
        for fault in _faults(row, known)
    ]


def rows(held: Mapping[str, Any], above: str = "") -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Every table that holds numbers, with its name; its source holds for the tables inside it too."""
    for name, value in held.items():
        label = f"{above}.{name}" if above else name
        tables = value if isinstance(value, list) else [value]
        for number, table in enumerate(tables, start=1):
            if not isinstance(table, Mapping):
                continue
            own = f"{label} {table.get('key', number)}" if isinstance(value, list) else label
            if "source" in table or "confidence" in table or _is_leaf(table):
                yield own, table
            else:
                yield from rows(table, own)


def holds_number(value: object) -> bool:
    """Whether there is a number in a row, however deep."""
    if isinstance(value, Mapping):
        return any(map(holds_number, value.values()))
    if isinstance(value, list):
        return any(map(holds_number, value))
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_leaf(table: Mapping[str, Any]) -> bool:
    """Whether a table holds values of its own and not only tables."""
    return any(not _holds_tables(value) for value in table.values())


def _holds_tables(value: object) -> bool:
    if isinstance(value, list):
        return bool(value) and all(isinstance(one, Mapping) for one in value)
    return isinstance(value, Mapping)


def _faults(row: Mapping[str, Any], known: Collection[str]) -> Iterator[str]:
    """What is wrong with one row."""
    sure = row.get("confidence", "")
    if sure not in SURE:
        yield f"confidence: is '{sure}', not one of {', '.join(SURE)}"
    keys = keys_of(row.get("source", ""))
    if not keys and sure != "c":
        yield "source: is missing"
    yield from (f"source: '{key}' has no entry" for key in keys if key not in known)


def keys_of(source: object) -> list[str]:
    """Keys of a source field: a list, or texts with semicolons between; a place after a comma is none."""
    texts = source if isinstance(source, list) else str(source).split(";")
    keys = [str(text).partition(",")[0].strip() for text in texts]
    return [key for key in keys if key]
