"""Rules on how code is written, as functions from a tree to a list of findings."""

from __future__ import annotations

import ast
import io
import re
import tokenize
from collections.abc import Iterator, Sequence
from pathlib import PurePosixPath
from typing import TypeGuard

from tests.house.tree import SourceFile, python_files

MOST_LINES_PER_FILE = 600
MOST_LINES_PER_FUNCTION = 80
WRITTEN_BY_HAND = {".py", ".sh", ".js", ".css", ".html", ".typ"}
BROAD = {"Exception", "BaseException"}
SKIPS = {"skip", "skipif", "xfail", "importorskip", "skipIf", "skipUnless", "expectedFailure", "SkipTest"}
REASON_FIRST = {"skip", "xfail", "SkipTest"}
REASON_SECOND = {"skipIf", "skipUnless"}


def init_findings(tree: Sequence[SourceFile]) -> list[str]:
    """`__init__.py` is empty; the package's own holds the version and nothing else."""
    findings = []
    for file in tree:
        if PurePosixPath(file.path).name != "__init__.py":
            continue
        if file.path == "src/strandline/__init__.py":
            if not re.fullmatch(r'__version__ = "\d+\.\d+\.\d+\w*"\n', file.text):
                findings.append(file.at(1, "holds __version__ and nothing else"))
        elif file.text.strip():
            findings.append(file.at(1, "__init__.py is empty"))
    return findings


def size_findings(tree: Sequence[SourceFile]) -> list[str]:
    """Files and functions stay small enough to be read."""
    findings = []
    for file in tree:
        by_hand = PurePosixPath(file.path).suffix in WRITTEN_BY_HAND or file.is_python
        # Django writes the migrations that make tables, one statement after the other.
        by_hand = by_hand and not file.path.startswith("src/strandline/records/migrations/")
        if by_hand and len(file.lines) > MOST_LINES_PER_FILE:
            findings.append(file.at(1, f"{len(file.lines)} lines; at most {MOST_LINES_PER_FILE}"))
        if not file.is_python:
            continue
        for node in ast.walk(file.syntax):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                length = (node.end_lineno or node.lineno) - node.lineno + 1
                if length > MOST_LINES_PER_FUNCTION:
                    findings.append(
                        file.at(node, f"{node.name} has {length} lines; at most {MOST_LINES_PER_FUNCTION}")
                    )
    return findings


def swallow_findings(tree: Sequence[SourceFile]) -> list[str]:
    """No error is dropped: no handler does nothing, no broad one neither raises nor looks at the error."""
    findings = []
    for file in python_files(tree):
        for node in ast.walk(file.syntax):
            if isinstance(node, ast.ExceptHandler):
                if all(does_nothing(statement) for statement in node.body):
                    findings.append(file.at(node, "an error is caught and dropped"))
                elif is_broad(node.type) and not faces_error(node):
                    findings.append(file.at(node, "every error is caught, and neither raised nor looked at"))
            elif is_broad_suppress(node):
                findings.append(file.at(node, "suppress() of every error"))
    return findings


def does_nothing(statement: ast.stmt) -> bool:
    """`pass`, `...` or a text standing alone."""
    return isinstance(statement, ast.Pass) or (
        isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant)
    )


def is_broad(caught: ast.expr | None) -> bool:
    """Whether a handler catches all errors."""
    if caught is None:
        return True
    names = caught.elts if isinstance(caught, ast.Tuple) else [caught]
    return any(isinstance(name, ast.Name) and name.id in BROAD for name in names)


def faces_error(handler: ast.ExceptHandler) -> bool:
    """Whether a handler raises, or uses the error it caught."""
    for statement in handler.body:
        for node in ast.walk(statement):
            if isinstance(node, ast.Raise):
                return True
            if handler.name and isinstance(node, ast.Name) and node.id == handler.name:
                return True
    return False


def is_broad_suppress(node: ast.AST) -> TypeGuard[ast.Call]:
    """Whether this is contextlib.suppress of every error."""
    if not isinstance(node, ast.Call):
        return False
    return last_name(node.func) == "suppress" and any(is_broad(argument) for argument in node.args)


def last_name(node: ast.expr) -> str:
    """`c` of `a.b.c`."""
    return node.attr if isinstance(node, ast.Attribute) else getattr(node, "id", "")


def dotted(node: ast.expr) -> str:
    """`a.b.c` as text, empty for anything else."""
    if isinstance(node, ast.Attribute):
        return f"{dotted(node.value)}.{node.attr}"
    return node.id if isinstance(node, ast.Name) else ""


def skip_findings(tree: Sequence[SourceFile]) -> list[str]:
    """A test that is skipped, or fails as foretold, says why."""
    findings = []
    for file in python_files(tree):
        called = {id(node.func): node for node in ast.walk(file.syntax) if isinstance(node, ast.Call)}
        for node in ast.walk(file.syntax):
            if not is_skip(node):
                continue
            call = called.get(id(node))
            if call is None or not gives_reason(call):
                findings.append(file.at(node, f"{last_name(node)} without a reason"))
    return findings


def is_skip(node: ast.AST) -> TypeGuard[ast.Attribute]:
    """Whether this names one of pytest's or unittest's ways to leave a test out."""
    if not isinstance(node, ast.Attribute) or node.attr not in SKIPS:
        return False
    return dotted(node).split(".")[0] in {"pytest", "unittest", "mark"}


def gives_reason(call: ast.Call) -> bool:
    """Whether a call carries a reason that is not an empty text."""
    name = last_name(call.func)
    reasons: list[ast.expr] = [keyword.value for keyword in call.keywords if keyword.arg in {"reason", "msg"}]
    marked = ".mark." in f".{dotted(call.func)}"
    if name in REASON_FIRST and not (marked and name == "xfail"):
        reasons += call.args[:1]
    if name in REASON_SECOND:
        reasons += call.args[1:2]
    return any(
        not (isinstance(reason, ast.Constant) and not str(reason.value or "").strip()) for reason in reasons
    )


def ignore_findings(tree: Sequence[SourceFile]) -> list[str]:
    """An ignore names what it ignores and says why: `# type: ignore[code]  # reason`."""
    findings = []
    for file in python_files(tree):
        for line, comment in comments(file):
            if not re.search(r"#\s*type:\s*ignore", comment):
                continue
            if not re.search(r"#\s*type:\s*ignore\[[a-z][a-z, -]*\]\s*#\s*\w+", comment):
                findings.append(file.at(line, "an ignore needs a code and a reason"))
    return findings


def comments(file: SourceFile) -> Iterator[tuple[int, str]]:
    """Line and text of each comment."""
    for token in tokenize.generate_tokens(io.StringIO(file.text).readline):
        if token.type == tokenize.COMMENT:
            yield token.start[0], token.string
