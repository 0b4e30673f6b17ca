"""What a page about one model of the science is made from; the pages stand in tools/science/."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path
from types import MappingProxyType

FOLDER = Path(__file__).parent / "science"
Value = float | int | str


@dataclass(frozen=True, slots=True)
class Curve:
    """One chart: a quantity along one of its inputs, and the values from outside that lie on its lines.

    Each of ``lines`` holds other inputs of one line, as many as it takes to find it, and ``labels`` their
    names; without any they are those that most values have, told apart by their inputs.
    Where no value of the quantity counts, those that are counted apart are drawn, and the title says so.
    """

    quantity: str
    along: str
    title: str = ""
    lines: tuple[Mapping[str, Value], ...] = ()
    labels: tuple[str, ...] = ()
    y_title: str = ""
    low: float | None = None
    high: float | None = None
    steps: int = 41
    most_lines: int = 4


@dataclass(frozen=True, slots=True)
class Page:
    """One page: ``modules`` of the physics and files of values, with or without charts of one's own choice.

    Without ``curves`` the quantities with the longest rows of values are drawn, ``most_charts`` of them.
    With ``only`` it holds the quantities of these modules, where a file has those of several pages.
    ``doubts`` come before those that the docstrings tell, the gravest first.
    """

    title: str
    modules: tuple[str, ...]
    files: tuple[str, ...]
    intro: tuple[str, ...]
    curves: tuple[Curve, ...] = ()
    doubts: tuple[str, ...] = ()
    most_charts: int = 3
    only: tuple[str, ...] = ()


@cache
def pages() -> Mapping[str, Page]:
    """The pages by name, which is that of their file with hyphens."""
    names = sorted(path.stem for path in FOLDER.glob("*.py") if path.stem != "__init__")
    made = {name.replace("_", "-"): import_module(f"science.{name}").PAGE for name in names}
    return MappingProxyType(made)
