"""Rules on the docstrings of the physics, as functions from a tree to a list of findings."""

from __future__ import annotations

import ast
from collections.abc import Collection, Iterator, Sequence

from science_cards import KEYLESS, public_functions, read_card, source_keys
from tests.house.tree import SourceFile

FOLDER = "src/strandline/physics/"
MACHINERY = {
    "engine": "hands bodies to the compiled lanes and fetches what they found; numpy arrays, no equation",
    "lanes": "compiled; its equations stand at the head of the file",
    "lanes_run": "compiled; takes bodies through the lanes",
    "lanes_strain": "compiled; its equations stand at the head of the file",
    "lanes_table": "places in a table of numbers",
}
"""Modules that compute with whole arrays of bodies: no function there is a card, each for its reason."""


def physics(tree: Sequence[SourceFile]) -> list[SourceFile]:
    """The modules of the physics."""
    return [file for file in tree if file.path.startswith(FOLDER) and file.path.endswith(".py")]


def carded(tree: Sequence[SourceFile]) -> list[SourceFile]:
    """Those whose functions are cards."""
    return [file for file in physics(tree) if file.module.rpartition(".")[2] not in MACHINERY]


def card_findings(tree: Sequence[SourceFile]) -> list[str]:
    """Every public function says what it is, its equation or rule, source, range, doubt and an example."""
    return [
        file.at(node, f"{node.name}: {lack}")
        for file in carded(tree)
        for node in public_functions(file.syntax)
        for lack in _lacks(node)
    ]


def _lacks(node: ast.FunctionDef) -> Iterator[str]:
    """What is missing from a docstring."""
    card = read_card(ast.get_docstring(node) or "")
    said = {
        "a first sentence": card.what,
        "'Equation:' or 'Rule:'": card.equation,
        "'Source:'": card.source,
        "'Range:'": card.range,
        "'Doubt:'": card.doubt,
        "an example": card.example,
    }
    yield from (f"{name} is missing" for name, there in said.items() if not there)
    raises = any(isinstance(part, ast.Raise) for part in ast.walk(node))
    if raises and not card.raises:
        yield "'Raises:' is missing"


def key_findings(tree: Sequence[SourceFile], known: Collection[str]) -> list[str]:
    """Every source that a docstring names has its entry; one that names none says so."""
    findings = []
    for file in physics(tree):
        for node in public_functions(file.syntax):
            source = read_card(ast.get_docstring(node) or "").source
            keys = source_keys(source, known)
            if source and not keys and not KEYLESS.search(source):
                findings.append(file.at(node, f"{node.name}: 'Source:' names no key: {source}"))
            findings += [
                file.at(node, f"{node.name}: the source '{key}' has no entry")
                for key in keys
                if key not in known
            ]
    return findings
