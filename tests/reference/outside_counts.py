"""How many values from outside there are, of which kind, and what their set must keep to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from tests.reference.outside import Row

LEAST_COUNTED = 400
LEAST_PER_MODULE = 15
MOST_PER_LIBRARY = 80

HELPERS: Mapping[str, str] = {
    "compiled": "where the compiled engine is kept",
    "lanes_table": "places in a table of numbers",
    "warm": "compiles the engine ahead of its first use",
    "ranges": "refuses what lies outside a range; holds no physics of its own",
}
"""Modules of the physics that need no values from outside, each with its reason."""

TOGETHER: Mapping[str, str] = {
    "diffusion": "wood",
    "diffusivity": "engine",
    "grid": "engine",
    "isotherm": "sorption",
    "lanes": "engine",
    "lanes_run": "engine",
    "lanes_strain": "strain",
    "schedule_run": "strain",
}
"""Modules whose values stand under another module: parts of one engine, one form of one equation, and one
that falls short of fifteen alone and is counted with the subject it belongs to."""


PARTS: Mapping[str, str] = {"nonlinear": "engine"}
"""Quantities that are named after what they try rather than after the module that answers."""


def counts(rows: Sequence[Row]) -> dict[str, Any]:
    """The counts of some rows, in an order that does not change."""
    return {
        "rows": len(rows),
        "counted": sum(row.counted for row in rows),
        "by_how": _tally(row.kind for row in rows),
        "by_library": _tally(row.library for row in rows if row.library),
        "counted_by_module": _tally(row.module for row in rows if row.counted),
        "apart_by_module": _tally(row.module for row in rows if not row.counted),
        "by_file": _tally(row.file for row in rows),
        "misses": [{"row": row.id, "how": row.how, "reason": row.miss} for row in rows if row.miss],
    }


def _tally(names: Iterable[str]) -> dict[str, int]:
    return dict(sorted(Counter(names).items()))


def total_findings(rows: Sequence[Row]) -> list[str]:
    """Enough rows count."""
    found = sum(row.counted for row in rows)
    return [] if found >= LEAST_COUNTED else [f"{found} rows count; at least {LEAST_COUNTED}"]


def module_findings(rows: Sequence[Row], modules: Iterable[str]) -> list[str]:
    """Every module that is no helper has enough of its own; what is exempt exists."""
    parts = (PARTS.get(row.module, row.module) for row in rows if row.counted)
    found = Counter(TOGETHER.get(part, part) for part in parts)
    known = set(modules)
    few = [
        f"{name}: {found[TOGETHER.get(name, name)]} rows count; at least {LEAST_PER_MODULE}"
        for name in sorted(known)
        if name not in HELPERS and found[TOGETHER.get(name, name)] < LEAST_PER_MODULE
    ]
    gone = sorted((HELPERS.keys() | TOGETHER.keys() | set(TOGETHER.values())) - known)
    return few + [f"{name}: is no module of the physics" for name in gone]


def library_findings(rows: Sequence[Row]) -> list[str]:
    """No library gives most of the values."""
    found = Counter(row.library for row in rows if row.library)
    return [
        f"{name}: {number} rows; at most {MOST_PER_LIBRARY}"
        for name, number in sorted(found.items())
        if number > MOST_PER_LIBRARY
    ]


def source_findings(rows: Sequence[Row], known: Iterable[str]) -> list[str]:
    """Every source has its entry, and what was published says on which page."""
    keys = set(known)
    unknown = [
        f"{row.id}: source: '{key}' has no entry" for row in rows for key in row.keys if key not in keys
    ]
    placeless = [f"{row.id}: place: is empty" for row in rows if row.kind == "published" and not row.place]
    return unknown + placeless


def twice_findings(rows: Sequence[Row]) -> list[str]:
    """No value counts twice: the same quantity, inputs, source and value stand once."""
    first: dict[tuple[object, ...], Row] = {}
    findings = []
    for row in rows:
        key = (row.quantity, frozenset(row.inputs.items()), row.source, row.value)
        other = first.setdefault(key, row)
        if other is not row:
            findings.append(f"{row.id}: stands already as {other.id}")
    return findings
