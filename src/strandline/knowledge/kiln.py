"""Kiln schedules by species, and the greatest safe daily losses, from ``numbers/kiln.toml``.

A schedule is an envelope that sound green boards have borne. Most numbers here come from memory of the
handbooks (confidence m); what was read is marked v in the file and in ``Schedule.confidence``.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any, TypeVar

from strandline.physics.kiln import Step, celsius, milder_numbers, schedule_steps, steps_of_air

FILE = Path(__file__).parent / "numbers" / "kiln.toml"
CODE = re.compile(r"T(\d{1,2})-([A-F])(\d)")
TEMPERATURE_STARTS = (0.30, 0.25, 0.20, 0.15)
"""Moisture [kg/kg] at which the second to fifth dry-bulb temperature begins, in every temperature table."""

Made = TypeVar("Made")
QUARTER_M = 0.00635
THIN_QUARTERS = 6
"""Up to 6/4 the code for 4/4 serves."""

THICK_QUARTERS = 8
"""From 7/4 to 8/4 the code for 8/4 serves."""


class KilnNumbersError(Exception):
    """The file of kiln numbers cannot be used; says file, row, field and reason."""


@dataclass(frozen=True, slots=True)
class Schedule:
    """A schedule put together for one species and thickness.

    ``code`` is empty where the schedule was read step by step. ``confidence``: v read, m from memory.
    """

    species: str
    quarters: int
    code: str
    steps: tuple[Step, ...]
    confidence: str
    source: tuple[str, ...]
    note: str


@dataclass(frozen=True, slots=True)
class SafeLoss:
    """Greatest safe loss of moisture a day, kg/kg, of 4/4 and 8/4 boards; None where none is printed."""

    species: str
    per_day_4: float
    per_day_8: float | None
    note: str
    confidence: str
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Coded:
    """A species and the code of its schedule at one thickness."""

    species: str
    names: tuple[str, ...]
    quarters: int
    code: str
    hold_below: float | None
    confidence: str
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Given:
    """A schedule read step by step."""

    names: tuple[str, ...]
    schedule: Schedule


@dataclass(frozen=True, slots=True)
class Tables:
    """Everything in the file, in SI: starts in kg/kg, depressions in K, temperatures in degC."""

    classes: Mapping[str, tuple[float, ...]]
    depressions: Mapping[int, tuple[float, ...]]
    temps: Mapping[int, tuple[float, ...]]
    lowest_wet_bulb_c: float
    coded: tuple[Coded, ...]
    given: tuple[Given, ...]
    losses: tuple[SafeLoss, ...]


@cache
def tables(path: Path = FILE) -> Tables:
    """The file, read and checked.  Raises KilnNumbersError."""
    try:
        held = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, tomllib.TOMLDecodeError) as error:
        raise KilnNumbersError(f"{path.name}: {error}") from error
    read = _Reader(path.name, held)
    return Tables(
        classes=dict(
            read.each("moisture_class", lambda row: (row.letter(), row.shares("starts_percent", 5)))
        ),
        depressions=dict(
            read.each("depression", lambda row: (row.number(), row.kelvins("depressions_f", 6)))
        ),
        temps=dict(read.each("temperature", lambda row: (row.number(), row.celsius("temps_f", 5)))),
        lowest_wet_bulb_c=celsius(read.row("rule").real("lowest_wet_bulb_f")),
        coded=tuple(read.each("species", _coded)),
        given=tuple(read.each("given", _given)),
        losses=tuple(read.each("safe_loss", _loss)),
    )


def species_names() -> tuple[str, ...]:
    """Every species with a schedule, in the order of the file."""
    held = tables()
    names = [one.species for one in held.coded] + [one.schedule.species for one in held.given]
    return tuple(dict.fromkeys(names))


def schedule(species: str, quarters: int = 4) -> Schedule:
    """The schedule of a species for boards of this many quarters of an inch.

    A code of its own goes before the general rule for thicker boards.  Raises LookupError.
    """
    wanted = species.strip().lower()
    held = tables()
    for one in held.given:
        if wanted in one.names:
            return one.schedule
    own = {one.quarters: one for one in held.coded if wanted in one.names}
    if 4 not in own:
        raise LookupError(f"no kiln schedule for '{species}'; there is one for {', '.join(species_names())}")
    served = 4 if quarters <= THIN_QUARTERS else max(quarters, THICK_QUARTERS)
    if served in own:
        return _assembled(own[served], quarters, own[served].code, "")
    temperature, letter, depression = _parts(own[4].code)
    milder = milder_numbers(temperature, depression, quarters * QUARTER_M)
    code = f"T{milder[0]}-{letter}{milder[1]}"
    return _assembled(own[4], quarters, code, f"by the rule for thicker boards from {own[4].code}")


def safe_loss(species: str, quarters: int = 4) -> float:
    """Greatest safe loss of moisture a day [kg/kg] of 4/4 or 8/4 boards.  Raises LookupError."""
    for one in tables().losses:
        if one.species == species.strip().lower():
            value = {4: one.per_day_4, 8: one.per_day_8}.get(quarters)
            if value is not None:
                return value
            raise LookupError(f"no safe daily loss for {quarters}/4 '{species}'")
    raise LookupError(f"no safe daily loss for '{species}'")


def _parts(code: str) -> tuple[int, str, int]:
    matched = CODE.fullmatch(code)
    if matched is None:
        raise KilnNumbersError(f"'{code}' is not of the form T4-D2")
    return int(matched[1]), matched[2], int(matched[3])


def _assembled(one: Coded, quarters: int, code: str, note: str) -> Schedule:
    held = tables()
    temperature, letter, number = _parts(code)
    starts, temps_c = held.classes[letter], held.temps[temperature]
    steps = _cut(held, starts, held.depressions[number], temps_c, one.hold_below)
    confidence = one.confidence if one.confidence != "v" else "m"
    if one.hold_below is not None:
        note = f"{note}; depression held below {one.hold_below:.0%} moisture".removeprefix("; ")
    return Schedule(one.species, quarters, code, steps, confidence, one.source, note)


def _cut(
    held: Tables,
    starts: tuple[float, ...],
    depressions_k: tuple[float, ...],
    temps_c: tuple[float, ...],
    hold_below: float | None,
) -> tuple[Step, ...]:
    """The steps, each with its depression cut so that the wet bulb stays above the lowest one."""
    every = sorted({*starts, *TEMPERATURE_STARTS}, reverse=True)
    at = [every[0] + 1.0, *every]
    dry = [temps_c[sum(1 for start in TEMPERATURE_STARTS if moisture <= start)] for moisture in at]
    read_at = [moisture if hold_below is None else max(moisture, hold_below) for moisture in at]
    wanted = [depressions_k[sum(1 for start in starts if moisture <= start)] for moisture in read_at]
    allowed = [min(gap, temp_c - held.lowest_wet_bulb_c) for gap, temp_c in zip(wanted, dry, strict=True)]
    return schedule_steps(every, allowed, TEMPERATURE_STARTS, temps_c)


class _Row:
    """One row of the file; every complaint names file, row and field."""

    def __init__(self, label: str, held: Mapping[str, Any]) -> None:
        self.label, self.held = label, held

    def fault(self, field: str, reason: str) -> KilnNumbersError:
        return KilnNumbersError(f"{self.label}: {field}: {reason}")

    def real(self, field: str) -> float:
        value = self.held.get(field)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.fault(field, f"{value!r} is no number")
        return float(value)

    def text(self, field: str, empty: str | None = None) -> str:
        value = self.held.get(field, empty)
        if not isinstance(value, str):
            raise self.fault(field, f"{value!r} is no text")
        return value

    def texts(self, field: str) -> tuple[str, ...]:
        value = self.held.get(field)
        if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
            raise self.fault(field, f"{value!r} is no list of texts")
        return tuple(value)

    def reals(self, field: str, count: int | None = None) -> tuple[float, ...]:
        value = self.held.get(field)
        if not isinstance(value, list) or not all(isinstance(one, int | float) for one in value):
            raise self.fault(field, f"{value!r} is no list of numbers")
        if count is not None and len(value) != count:
            raise self.fault(field, f"has {len(value)} numbers, not {count}")
        return tuple(float(one) for one in value)

    def shares(self, field: str, count: int | None = None) -> tuple[float, ...]:
        """Percents as kg/kg, which must fall."""
        found = tuple(one / 100.0 for one in self.reals(field, count))
        if any(after >= before for before, after in pairwise(found)):
            raise self.fault(field, "the numbers do not fall")
        return found

    def kelvins(self, field: str, count: int | None = None) -> tuple[float, ...]:
        return tuple(one * 5.0 / 9.0 for one in self.reals(field, count))

    def celsius(self, field: str, count: int | None = None) -> tuple[float, ...]:
        return tuple(celsius(one) for one in self.reals(field, count))

    def letter(self) -> str:
        return self.text("letter")

    def number(self) -> int:
        return int(self.real("number"))

    def confidence(self) -> str:
        value = self.text("confidence")
        if value not in ("v", "m", "c"):
            raise self.fault("confidence", f"'{value}' is none of v, m, c")
        return value


class _Reader:
    """The tables of one file."""

    def __init__(self, name: str, held: Mapping[str, Any]) -> None:
        self.name, self.held = name, held

    def row(self, table: str) -> _Row:
        value = self.held.get(table)
        if not isinstance(value, dict):
            raise KilnNumbersError(f"{self.name}: {table}: there is no such table")
        return _Row(f"{self.name}: {table}", value)

    def each(self, table: str, make: Callable[[_Row], Made]) -> list[Made]:
        value = self.held.get(table)
        if not isinstance(value, list) or not value:
            raise KilnNumbersError(f"{self.name}: {table}: there is no [[{table}]]")
        return [make(_Row(f"{self.name}: {table} {n}", row)) for n, row in enumerate(value, start=1)]


def _coded(row: _Row) -> Coded:
    if CODE.fullmatch(row.text("code")) is None:
        raise row.fault("code", f"'{row.text('code')}' is not of the form T4-D2")
    name = row.text("name")
    hold = row.real("hold_below_percent") / 100.0 if "hold_below_percent" in row.held else None
    return Coded(
        name,
        (name, *row.texts("aliases")),
        int(row.real("quarters")),
        row.text("code"),
        hold,
        row.confidence(),
        row.texts("source"),
    )


def _given(row: _Row) -> Given:
    name, starts = row.text("species"), row.shares("starts_percent")
    count = len(starts) + 1
    if "rh_percent" in row.held:
        rhs = [one / 100.0 for one in row.reals("rh_percent", count)]
        steps = steps_of_air(starts, row.reals("temps_c", count), rhs)
    else:
        temps_c, depressions_k = row.celsius("temps_f", count), row.kelvins("depressions_f", count)
        steps = schedule_steps(starts, depressions_k, starts, temps_c)
    made = Schedule(
        name,
        int(row.real("quarters")),
        "",
        steps,
        row.confidence(),
        row.texts("source"),
        row.text("note", ""),
    )
    return Given((name, *row.texts("aliases")), made)


def _loss(row: _Row) -> SafeLoss:
    thick = row.real("percent_per_day_8") / 100.0 if "percent_per_day_8" in row.held else None
    return SafeLoss(
        row.text("species"),
        row.real("percent_per_day_4") / 100.0,
        thick,
        row.text("note", ""),
        row.confidence(),
        row.texts("source"),
    )
