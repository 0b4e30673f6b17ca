"""Reading and checking knowledge files.

A file is TOML; each table array is one kind of entry (``[[material]]``, ``[[verdict]]`` ...).  All
errors of a file are gathered and named by file, table, number, entry id, field and reason.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

from pydantic import ValidationError

from strandline.knowledge import models

TABLES: dict[str, type[models.Entry]] = {
    "source": models.Source,
    "family": models.Family,
    "material": models.Material,
    "feature": models.Feature,
    "verdict": models.VerdictRule,
    "limit": models.LimitRule,
    "clock": models.ClockRule,
    "factor": models.ClockFactor,
    "duty": models.DutyRule,
    "hazard": models.HazardRule,
    "cover": models.CoverRule,
    "hold": models.HoldRule,
    "step": models.StepRule,
    "conflict": models.ConflictRule,
    "advice": models.Advice,
    "disagreement": models.Disagreement,
    "lookalike": models.Lookalike,
    "supply": models.Supply,
    "caution": models.Caution,
}
"""Table name in a file -> the model of its entries."""


class KnowledgeError(Exception):
    """A knowledge file cannot be used; ``problems`` lists every reason found."""

    def __init__(self, problems: list[str]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


def read_text(text: str, name: str) -> tuple[dict[str, list[models.Entry]], list[str]]:
    """Parse one file's text.  Returns entries by table name and the problems found."""
    entries: dict[str, list[models.Entry]] = {}
    problems: list[str] = []
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        return {}, [f"{name}: not valid TOML: {error}"]
    for table, rows in raw.items():
        model = TABLES.get(table)
        if model is None or not isinstance(rows, list):
            problems.append(f"{name}: table '{table}' is not known; known are {', '.join(TABLES)}")
            continue
        for number, row in enumerate(rows, start=1):
            try:
                entries.setdefault(table, []).append(model.model_validate(row))
            except ValidationError as error:
                label = row.get("id") or row.get("key") or "?"
                for detail in error.errors():
                    field = ".".join(str(part) for part in detail["loc"]) or "entry"
                    problems.append(f"{name}: {table} {number} ({label}): {field}: {detail['msg']}")
    return entries, problems


def read_file(path: Path) -> tuple[dict[str, list[models.Entry]], list[str]]:
    """Like :func:`read_text`, for a path."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        return {}, [f"{path.name}: cannot be read: {error}"]
    return read_text(text, path.name)
