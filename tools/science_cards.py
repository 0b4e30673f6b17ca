"""Docstrings of the physics as cards: what it is, equation, source, range, doubt."""

from __future__ import annotations

import ast
import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass

NAMES = ("Equation", "Rule", "Source", "Range", "Doubt", "Units", "Raises")
LINE = re.compile(rf"({'|'.join(NAMES)}):(?: (.*))?$")
NUMBA = {"njit", "jit", "vectorize", "guvectorize", "cfunc", "overload", "intrinsic"}
KEY = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)+")
ENDS_WITH_YEAR = re.compile(r"(?<![\w-])[a-z][a-z0-9-]*-(?:1[6-9]|20)\d\d[a-z]?(?![\w-])")
KEYLESS = re.compile(r"^(none|own|common practice)\b|\balgebra\b|\btextbook (rule|form)\b|\bthe sources? of ")
"""A source line that says one of these may be without a key: it is ours, or follows from others."""

IN_BRACKETS = re.compile(r"\(\s*([a-z][a-z0-9-]*-\d+[a-z]?)(?=[\s,;)])")
"""A key right behind a bracket, as in *(somebody-6, chapter 3)*."""


@dataclass(frozen=True, slots=True)
class Card:
    """What a docstring says, by its parts; '' where it does not."""

    what: str
    equation: str
    source: str
    range: str
    doubt: str
    units: str
    raises: str
    example: bool


def read_card(docstring: str) -> Card:
    """The parts of a docstring (cleaned of its indentation)."""
    held: dict[str, list[str]] = {"what": []}
    into = "what"
    for line in docstring.splitlines():
        text = line.strip()
        if matched := LINE.match(text):
            into = {"Rule": "Equation"}.get(matched[1], matched[1])
            held[into] = [matched[2] or ""]
        elif text.startswith(">>>") or not text:
            into = "what" if "Equation" not in held else ""
        elif into:
            held.setdefault(into, []).append(text)
    said = {name: " ".join(filter(None, parts)).strip() for name, parts in held.items()}
    return Card(
        what=said["what"],
        equation=said.get("Equation", ""),
        source=said.get("Source", ""),
        range=said.get("Range", ""),
        doubt=said.get("Doubt", ""),
        units=said.get("Units", ""),
        raises=said.get("Raises", ""),
        example=">>>" in docstring,
    )


def source_keys(source: str, known: Collection[str] = ()) -> list[str]:
    """The keys that a source line names: at the head of a piece, ending in a year, or known, anywhere."""
    bare = re.sub(r"\([^()]*\)", "", source)
    heads = [piece.split()[0].rstrip(".:") for piece in re.split(r"[;,]", bare) if piece.split()]
    found = [head for head in heads if KEY.fullmatch(head)]
    more = [*ENDS_WITH_YEAR.findall(bare), *IN_BRACKETS.findall(source)]
    more += [word for word in KEY.findall(source) if word in known]
    return list(dict.fromkeys([*found, *more]))


def public_functions(module: ast.Module) -> Iterable[ast.FunctionDef]:
    """Functions of a module that others may call and that no compiler replaces."""
    for node in module.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_") and not is_compiled(node):
            yield node


def is_compiled(node: ast.FunctionDef) -> bool:
    """Whether numba makes machine code of it."""
    for decorator in node.decorator_list:
        inner = decorator.func if isinstance(decorator, ast.Call) else decorator
        name = inner.attr if isinstance(inner, ast.Attribute) else getattr(inner, "id", "")
        if name in NUMBA:
            return True
    return False
