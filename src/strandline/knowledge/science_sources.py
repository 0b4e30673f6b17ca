"""Sources of the science: every key that a docstring, a number or an outside value names.

They stand in ``numbers/sources/*.toml``, one file for each part, as ``[[source]]`` with ``key``, ``title``,
``publisher``, ``year``, ``read`` and ``note``. Two parts may name the same work: then the year must
agree, and the closer of the two readings counts.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

FOLDER = Path(__file__).parent / "numbers" / "sources"
READ = ("read", "opening", "memory")
"""How close somebody looked, closest first: the place itself, only its beginning, nothing but memory."""

KEY = re.compile(r"[a-z0-9]+(?:[-.][a-z0-9]+)*")
FIELDS = ("key", "title", "publisher", "year", "read", "note")
MAY_BE_EMPTY = {"publisher", "year", "note"}
"""Some pages give no year."""


@dataclass(frozen=True, slots=True)
class ScienceSource:
    """One published work, and how closely it was read."""

    key: str
    title: str
    publisher: str
    year: str
    read: str
    note: str


class ScienceSourceError(ValueError):
    """The files of sources cannot be used; ``problems`` lists every reason found."""

    def __init__(self, problems: list[str]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


def read_sources(text: str, name: str) -> tuple[list[ScienceSource], list[str]]:
    """The sources of one file, and its problems, each with file, row, field and reason."""
    try:
        held = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        return [], [f"{name}: not valid TOML: {error}"]
    problems = [
        f"{name}: '{table}' is not known here; there is [[source]]" for table in held.keys() - {"source"}
    ]
    rows = held.get("source", [])
    if not isinstance(rows, list):
        return [], [*problems, f"{name}: source: write [[source]], with two brackets"]
    found = []
    for number, row in enumerate(rows, start=1):
        wrong = list(_row_problems(row)) if isinstance(row, dict) else ["is no table"]
        label = row.get("key", "?") if isinstance(row, dict) else "?"
        problems += [f"{name}: source {number} ({label}): {one}" for one in wrong]
        if not wrong:
            found.append(ScienceSource(**{field: str(row.get(field, "")) for field in FIELDS}))
    return found, problems


def _row_problems(row: Mapping[str, Any]) -> Iterable[str]:
    """What is wrong with one row, as ``field: reason``."""
    yield from (f"{field}: is not a field of a source" for field in sorted(row.keys() - set(FIELDS)))
    for field in FIELDS:
        value = row.get(field, "")
        if not isinstance(value, str | int) or isinstance(value, bool):
            yield f"{field}: is neither text nor a whole number"
        elif not str(value).strip() and field not in MAY_BE_EMPTY:
            yield f"{field}: is empty"
    if str(row.get("key", "")) and not KEY.fullmatch(str(row["key"])):
        yield "key: lower-case letters, digits and hyphens only"
    if row.get("read") and row["read"] not in READ:
        yield f"read: '{row['read']}' is not one of {', '.join(READ)}"


def joined(by_file: Mapping[str, list[ScienceSource]]) -> tuple[dict[str, ScienceSource], list[str]]:
    """All sources by key, and the problems: a key twice in one file, or with two years."""
    found: dict[str, ScienceSource] = {}
    problems: list[str] = []
    for name, sources in by_file.items():
        keys = [source.key for source in sources]
        problems += [
            f"{name}: {key}: stands here twice" for key in sorted({k for k in keys if keys.count(k) > 1})
        ]
        for source in sources:
            other = found.get(source.key, source)
            if other.year and source.year and other.year != source.year:
                problems.append(
                    f"{name}: {source.key}: year: is {source.year} here and {other.year} in another file"
                )
            found[source.key] = _closer(other, source)
    return found, problems


def _closer(one: ScienceSource, two: ScienceSource) -> ScienceSource:
    """The first of two entries of a work, with the closer reading; its note is that of the closer one."""
    if READ.index(two.read) < READ.index(one.read):
        return replace(one, read=two.read, note=two.note)
    return one


@cache
def science_sources() -> Mapping[str, ScienceSource]:
    """The sources that ship, by key.  Raises ScienceSourceError with every problem found."""
    by_file: dict[str, list[ScienceSource]] = {}
    problems: list[str] = []
    for path in sorted(FOLDER.glob("*.toml")):
        by_file[path.name], wrong = read_sources(path.read_text(encoding="utf-8"), path.name)
        problems += wrong
    found, more = joined(by_file)
    if problems or more:
        raise ScienceSourceError(problems + more)
    return MappingProxyType(found)
