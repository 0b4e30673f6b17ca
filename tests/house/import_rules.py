"""Rules on who imports whom, as functions from a tree to a list of findings."""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator, Sequence

from tests.house.tree import SourceFile, python_files

FLOORS = {
    "physics": 1,
    "knowledge": 2,
    "things": 3,
    "care": 4,
    "drying": 4,
    "workplan": 4,
    "pipeline": 5,
    "exchange": 5,
    "papers": 5,
    "records": 6,
    "services": 7,
    "web": 8,
    "cli": 8,
    "api": 8,
}
PACKAGE = "strandline"


def imported_names(file: SourceFile) -> Iterator[tuple[ast.stmt | ast.expr, str]]:
    """Each dotted name of ours that a file imports, also by name at run time."""
    for node in ast.walk(file.syntax):
        if isinstance(node, ast.Import):
            yield from ((node, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = absolute_base(file, node)
            yield from ((node, f"{base}.{alias.name}") for alias in node.names)
        elif isinstance(node, ast.Call) and is_import_call(node):
            argument = node.args[0]
            if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
                yield node, argument.value


def is_import_call(node: ast.Call) -> bool:
    """Whether this is importlib.import_module(...), import_module(...) or __import__(...)."""
    name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
    return name in {"import_module", "__import__"} and bool(node.args)


def absolute_base(file: SourceFile, node: ast.ImportFrom) -> str:
    """Where a `from` import looks, with leading dots worked out."""
    if not node.level:
        return node.module or ""
    parts = file.module.split(".")
    if not file.path.endswith("/__init__.py"):
        parts = parts[:-1]
    parts = parts[: len(parts) - (node.level - 1)]
    return ".".join([*parts, *([node.module] if node.module else [])])


def room(module: str) -> str:
    """Name of the room: the part after the package, empty for the package's own two files."""
    parts = module.split(".")
    return "" if len(parts) < 2 or parts[1] in {"__main__", "__version__"} else parts[1]


def floor_findings(tree: Sequence[SourceFile]) -> list[str]:
    """A room may import itself and rooms on lower floors."""
    findings = []
    for file in tree:
        if not file.module or file.module == f"{PACKAGE}.__main__":
            continue
        here = room(file.module)
        if here and here not in FLOORS:
            findings.append(file.at(1, f"{here} is on no floor; floors are {', '.join(FLOORS)}"))
            continue
        for node, name in imported_names(file):
            if name != PACKAGE and not name.startswith(PACKAGE + "."):
                continue
            there = room(name)
            if there and there != here and FLOORS.get(there, 99) >= FLOORS.get(here, 0):
                findings.append(file.at(node, f"{here or PACKAGE} may not import {there}"))
    return findings


def cycle_findings(tree: Sequence[SourceFile]) -> list[str]:
    """No module may reach itself through imports."""
    modules = {file.module: file for file in tree if file.module}
    graph = {module: imported_modules(file, modules) - {module} for module, file in modules.items()}
    found: dict[frozenset[str], str] = {}
    for start in graph:
        if ring := ring_through(start, graph):
            found.setdefault(frozenset(ring), " > ".join([*ring, ring[0]]))
    return list(found.values())


def imported_modules(file: SourceFile, modules: Iterable[str]) -> set[str]:
    """The modules among `modules` that a file imports: of `a.b.name` the longest that is a module."""
    known = set(modules)
    reached = set()
    for _, name in imported_names(file):
        parts = name.split(".")
        for length in range(len(parts), 0, -1):
            if (candidate := ".".join(parts[:length])) in known:
                reached.add(candidate)
                break
    return reached


def ring_through(start: str, graph: dict[str, set[str]]) -> list[str]:
    """Shortest way from a module back to itself, or an empty list."""
    came_from = {start: ""}
    queue = [start]
    for module in queue:
        for following in sorted(graph[module]):
            if following == start:
                ring = [module]
                while came_from[ring[-1]]:
                    ring.append(came_from[ring[-1]])
                return ring[::-1]
            if following not in came_from:
                came_from[following] = module
                queue.append(following)
    return []


def inner_import_findings(tree: Sequence[SourceFile]) -> list[str]:
    """An import inside a function says why, by a comment on its line or above its block of imports."""
    findings = []
    for file in python_files(tree):
        inner = [
            node
            for function in ast.walk(file.syntax)
            if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef)
            for node in ast.walk(function)
            if isinstance(node, ast.Import | ast.ImportFrom)
        ]
        lines_with_imports = {line for node in inner for line in range(node.lineno, last_line(node) + 1)}
        for node in {node.lineno: node for node in inner}.values():
            if not has_reason(file, node, lines_with_imports):
                findings.append(file.at(node, "import inside a function without a comment that says why"))
    return findings


def last_line(node: ast.stmt) -> int:
    """Last line of a statement."""
    return node.end_lineno or node.lineno


def has_reason(file: SourceFile, node: ast.stmt, lines_with_imports: set[int]) -> bool:
    """Whether a comment with words in it stands on the import or right above it."""
    if any(is_reason(file.lines[line - 1]) for line in range(node.lineno, last_line(node) + 1)):
        return True
    above = node.lineno - 1
    # Groups of one block stand apart by blank lines.
    while above in lines_with_imports or not file.lines[above - 1].strip():
        above -= 1
    return file.lines[above - 1].lstrip().startswith("#") and is_reason(file.lines[above - 1])


def is_reason(line: str) -> bool:
    """Whether a line carries a comment that is not merely a word to a tool."""
    comments = line.split("#")[1:]
    return any(comment.strip() and not comment.strip().startswith(("noqa", "type:")) for comment in comments)
