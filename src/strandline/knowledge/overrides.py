"""Overrides of a practice: a TOML file that changes single fields of single entries, with a reason.

    [[override]]
    target = "act.rinse.iron"        # a rule id, or material.<key>
    set = { verdict = "careful", how = "Only the blade." }
    reason = "Our tap water is salty."
    person = "lead conservator"
    at = "2026-03-15"
    expires = "2026-06-01"           # optional

Stops and hazards about people cannot be overridden; an unknown target is reported, never ignored.

For one object the target may also be ``absent.<action>``, the verdict on an action that no rule speaks of and
that is therefore referred.  Where a rule speaks after all (a further fact woke it), the stricter one holds.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import Annotated, Any

from pydantic import Field, ValidationError

from strandline.knowledge import models as m
from strandline.knowledge.base import KINDS, AppliedOverride, Knowledge, build
from strandline.knowledge.files import KnowledgeError

FIXED = frozenset({"id", "key", "family", "action", "hazard", "grade", "when"})
"""Fields that make an entry what it is; changing them would be another rule, not an override."""

ABSENT = "absent."
"""Before the key of an action: the target that stands for its not being spoken of."""

ABSENT_FIELDS = frozenset({"verdict", "how"})
SENTENCE = 240
"""Characters of a reason that become the ``why`` of the rule made for it."""


class Override(m.Entry):
    """One override as it stands in the file."""

    target: str
    set: dict[str, Any]
    reason: Annotated[str, Field(min_length=10)]
    person: Annotated[str, Field(min_length=2)]
    at: str
    expires: str | None = None


def read_overrides(text: str, name: str) -> list[Override]:
    """Parse an overrides file; raises KnowledgeError naming entry, field and reason."""
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise KnowledgeError([f"{name}: not valid TOML: {error}"]) from error
    problems = [f"{name}: table '{key}' is not known; only 'override' is" for key in raw if key != "override"]
    found: list[Override] = []
    for number, row in enumerate(raw.get("override", ()), start=1):
        try:
            found.append(Override.model_validate(row))
        except ValidationError as error:
            for detail in error.errors():
                field = ".".join(str(part) for part in detail["loc"]) or "entry"
                problems.append(f"{name}: override {number}: {field}: {detail['msg']}")
    if problems:
        raise KnowledgeError(problems)
    return found


def apply_overrides(
    knowledge: Knowledge, text: str, name: str, on: date, level: str = "practice"
) -> Knowledge:
    """Return the knowledge with the file's overrides in force on the day ``on``."""
    overrides = read_overrides(text, name)
    entries: dict[str, list[m.Entry]] = {kind: [] for kind in KINDS}
    for kind, entry in knowledge.entries():
        entries[kind].append(entry)
    problems: list[str] = []
    applied: list[AppliedOverride] = []
    marks: dict[str, str] = dict(knowledge.marks)
    for override in overrides:
        expired = override.expires is not None and override.expires < on.isoformat()
        # One that has expired is still checked, on a copy, so that a slip in it does not hide.
        where = {kind: list(rows) for kind, rows in entries.items()} if expired else entries
        done = _apply_one(where, override, level)
        if isinstance(done, str):
            problems.append(f"{name}: {override.target}: {done}")
        elif not expired:
            applied.append(done)
            marks[override.target] = f"{level}: {override.person}: {override.reason}"
    if problems:
        raise KnowledgeError(problems)
    digest = hashlib.sha256(text.encode()).hexdigest()
    built = build(entries, knowledge.sha256)
    return replace(
        built,
        overrides=(*knowledge.overrides, *applied),
        overrides_sha256=digest,
        marks=marks,
    )


def _apply_one(entries: dict[str, list[m.Entry]], override: Override, level: str) -> AppliedOverride | str:
    for kind, rows in entries.items():
        for index, entry in enumerate(rows):
            if override.target not in _names(kind, entry):
                continue
            if kind in {"hazard", "caution"}:
                return "a hazard, stop or caution cannot be overridden"
            if isinstance(entry, m.Material) and entry.duty == "stop":
                return "a stop cannot be overridden"
            fixed = sorted(FIXED & set(override.set))
            if fixed:
                return f"field {fixed[0]} cannot be overridden"
            unknown = sorted(set(override.set) - set(type(entry).model_fields))
            if unknown:
                return f"has no field '{unknown[0]}'"
            was = {field: getattr(entry, field) for field in override.set}
            try:
                rows[index] = type(entry).model_validate({**entry.model_dump(), **override.set})
            except ValidationError as error:
                return _first(error)
            return _applied(override, was, level)
    if override.target.startswith(ABSENT):
        return _apply_absent(entries, override, level)
    return "no rule or material has this id"


def _apply_absent(entries: dict[str, list[m.Entry]], override: Override, level: str) -> AppliedOverride | str:
    """Make the rule that says what the override says of an action nothing speaks of."""
    action = override.target.removeprefix(ABSENT)
    if action not in m.ACTIONS:
        return f"'{action}' is no action"
    if level != "object":
        return "an action that no rule speaks of is answered for one object only"
    stray = sorted(set(override.set) ^ ABSENT_FIELDS)
    if stray:
        return f"takes verdict and how; look at '{stray[0]}'"
    try:
        made = m.VerdictRule(
            id=override.target,
            action=action,
            when=m.When(always=True),
            why=override.reason[:SENTENCE],
            confidence="c",
            **override.set,
        )
    except ValidationError as error:
        return _first(error)
    entries["verdict"].append(made)
    return _applied(override, {"verdict": "refer", "how": None}, level)


def _applied(override: Override, was: dict[str, Any], level: str) -> AppliedOverride:
    return AppliedOverride(
        override.target, was, override.set, override.reason, override.person, override.at, level
    )


def _first(error: ValidationError) -> str:
    detail = error.errors()[0]
    return f"{'.'.join(str(part) for part in detail['loc'])}: {detail['msg']}"


def _names(kind: str, entry: m.Entry) -> Iterable[str]:
    yield getattr(entry, "id", "") or f"{kind}.{getattr(entry, 'key', '')}"
