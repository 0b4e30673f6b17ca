"""Values from outside: what others published or computed, beside what our functions say.

They stand in ``tests/reference/*.csv``. Each row names a quantity, its inputs, the value and how it was
obtained; ``call`` asks our own code for the same quantity, ``verdict`` compares.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from types import MappingProxyType

FOLDER = Path(__file__).parent
COLUMNS = ("quantity", "inputs", "value", "unit", "tolerance", "source", "place", "how", "note", "miss")
COUNTED = ("published", "library", "solvers", "data")
APART = ("memory", "own", "equation", "practice")
NAMED = {"library": r"\S+ \S+", "data": r"\S.*"}
"""Hows that say after a colon what they are of: a library with its version, a data set."""

QUANTITY = re.compile(r"[a-z_][a-z0-9_]*\.[a-z_][a-z0-9_]*")
INPUT = re.compile(r"\s*([a-z_][a-z0-9_]*)\s*=\s*([^;=]+?)\s*")
SLACK = 1e-9
"""Share by which a gap may pass its tolerance: no more than the last bits of a float."""


class OutsideError(ValueError):
    """A row cannot be used; says file, row, field and reason."""


@dataclass(frozen=True, slots=True)
class Row:
    """One value from outside."""

    file: str
    line: int
    quantity: str
    inputs: Mapping[str, float | int | str]
    value: float
    unit: str
    tolerance: float
    relative: bool
    source: str
    place: str
    how: str
    note: str
    miss: str

    @property
    def id(self) -> str:
        """Where it stands and what it is of."""
        return f"{self.file}:{self.line} {self.quantity}"

    @property
    def module(self) -> str:
        """The part of the quantity before the dot: a module of the physics."""
        return self.quantity.partition(".")[0]

    @property
    def kind(self) -> str:
        """How it was obtained, without the name after the colon."""
        return self.how.partition(":")[0]

    @property
    def library(self) -> str:
        """Name of the library it came from, or nothing."""
        return self.how.partition(":")[2].split()[0].lower() if self.kind == "library" else ""

    @property
    def counted(self) -> bool:
        """Whether it comes from outside: not from memory, our own sums or the equation typed again."""
        return self.kind in COUNTED

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of its sources."""
        return tuple(key.strip() for key in self.source.split(";") if key.strip())


@dataclass(frozen=True, slots=True)
class Verdict:
    """Our value, its gap from theirs (a share where the tolerance is one), and whether that will do."""

    ours: float
    gap: float
    within: bool


def read_file(path: Path) -> list[Row]:
    """The rows of one file.  Raises OutsideError at the first that cannot be used."""
    with path.open(encoding="utf-8", newline="") as stream:
        reader = csv.DictReader(stream)
        if tuple(reader.fieldnames or ()) != COLUMNS:
            raise OutsideError(f"{path.name}:1: the columns are {','.join(COLUMNS)}")
        return [_row(path.name, reader.line_num, cells) for cells in reader]


def _row(file: str, line: int, cells: Mapping[str | None, str | None]) -> Row:
    """One row from its cells."""
    if None in cells or None in cells.values():
        raise OutsideError(f"{file}:{line}: has {'more' if None in cells else 'fewer'} cells than columns")
    text = {str(name): str(cell).strip() for name, cell in cells.items()}

    def refuse(field: str, reason: str) -> OutsideError:
        return OutsideError(f"{file}:{line}: {field}: '{text[field]}' {reason}")

    if not QUANTITY.fullmatch(text["quantity"]):
        raise refuse("quantity", "is not of the form module.function")
    if not is_how(text["how"]):
        raise refuse("how", f"is none of {', '.join([*COUNTED, *APART])} (library:NAME VERSION, data:NAME)")
    for field in ("unit", "source"):
        if not text[field]:
            raise refuse(field, "is empty; write 1 for a number without unit")
    try:
        value, tolerance = float(text["value"]), float(text["tolerance"].removesuffix("%"))
    except ValueError as error:
        raise OutsideError(f"{file}:{line}: value, tolerance: {error}") from error
    relative = text["tolerance"].endswith("%")
    if not math.isfinite(value):
        raise refuse("value", "is not finite")
    if not (math.isfinite(tolerance) and tolerance > 0.0):
        raise refuse("tolerance", "is not above zero")
    if relative and value == 0.0:
        raise refuse("tolerance", "is a share of zero; give it in the unit of the value")
    try:
        inputs = read_inputs(text["inputs"])
    except ValueError as error:
        raise OutsideError(f"{file}:{line}: inputs: {error}") from error
    return Row(
        file=file,
        line=line,
        quantity=text["quantity"],
        inputs=inputs,
        value=value,
        unit=text["unit"],
        tolerance=tolerance / 100.0 if relative else tolerance,
        relative=relative,
        source=text["source"],
        place=text["place"],
        how=text["how"],
        note=text["note"],
        miss=text["miss"],
    )


def is_how(text: str) -> bool:
    """Whether this is a way to obtain a value that we know."""
    kind, colon, name = text.partition(":")
    if kind in NAMED:
        return re.fullmatch(NAMED[kind], name) is not None
    return not colon and kind in COUNTED + APART


def read_inputs(text: str) -> Mapping[str, float | int | str]:
    """``temp_c=20;rh=0.5`` as names and values.  Raises ValueError."""
    found: dict[str, float | int | str] = {}
    for piece in filter(str.strip, text.split(";")):
        matched = INPUT.fullmatch(piece)
        if matched is None:
            raise ValueError(f"'{piece.strip()}' is not of the form name=value")
        if matched[1] in found:
            raise ValueError(f"'{matched[1]}' is given twice")
        found[matched[1]] = _value(matched[2])
    return MappingProxyType(found)


def _value(text: str) -> float | int | str:
    """A whole number, a number, or a word."""
    for kind in (int, float):
        try:
            return kind(text)
        except ValueError:
            continue
    return text


@cache
def files(folder: Path = FOLDER) -> tuple[Path, ...]:
    """The files of values, by name."""
    return tuple(sorted(folder.glob("*.csv")))


@cache
def all_rows(folder: Path = FOLDER) -> tuple[Row, ...]:
    """Every row of every file."""
    return tuple(row for path in files(folder) for row in read_file(path))


@cache
def function(file: str, quantity: str) -> Callable[..., float]:
    """What answers for a quantity: an adapter of that file, else the function of the physics.

    Raises OutsideError where there is neither.
    """
    module, _, name = quantity.partition(".")
    stem = file.removesuffix(".csv").replace("-", "_")
    for place in (f"tests.reference.calls.{stem}", f"strandline.physics.{module}"):
        if find_spec(place) is not None:
            found = getattr(import_module(place), name, None)
            if callable(found):
                answer: Callable[..., float] = found
                return answer
    raise OutsideError(f"{file}: quantity: nothing answers for '{quantity}'")


def call(row: Row) -> float:
    """Our value.  Raises OutsideError where it is no finite number."""
    try:
        answer = function(row.file, row.quantity)(**row.inputs)
    except TypeError as error:
        raise OutsideError(f"{row.id}: {error}") from error
    if isinstance(answer, bool) or not math.isfinite(answer):
        raise OutsideError(f"{row.id}: our answer is {answer!r}, which is no finite number")
    return float(answer)


def verdict(row: Row) -> Verdict:
    """Our value beside theirs."""
    ours = call(row)
    gap = (ours - row.value) / abs(row.value) if row.relative else ours - row.value
    return Verdict(ours, gap, abs(gap) <= row.tolerance * (1.0 + SLACK))


def complaint(row: Row) -> str:
    """What is wrong with a row: outside its tolerance, or a foretold miss that no longer misses; else ''."""
    try:
        found = verdict(row)
    except (ValueError, ArithmeticError, LookupError, NotImplementedError) as error:
        return f"{row.id}: {error}"
    if found.within != bool(row.miss):
        return ""
    unit = "%" if row.relative else row.unit
    scale = 100.0 if row.relative else 1.0
    gap, allowed = f"{scale * found.gap:+.3g} {unit}", f"{scale * row.tolerance:g} {unit}"
    if row.miss:
        return f"{row.id}: no longer misses (gap {gap}, allowed {allowed}); empty the column 'miss'"
    return f"{row.id}: ours {found.ours:.6g}, theirs {row.value:.6g} {row.unit}; gap {gap}, allowed {allowed}"


def complaints(rows: Iterable[Row]) -> list[str]:
    """Every complaint about some rows."""
    return [told for row in rows if (told := complaint(row))]
