"""What the rules of the house look at: the files of the repository, read and parsed once."""

from __future__ import annotations

import ast
import os
import re
import shutil
import subprocess
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
NOT_OURS = {".git", "__pycache__", ".mypy_cache", ".pytest_cache", ".ruff_cache", ".hypothesis", ".check"}


@dataclass(frozen=True)
class SourceFile:
    """One text file, with its path from the root of the tree."""

    root: Path
    path: str

    @cached_property
    def text(self) -> str:
        """Its content."""
        return (self.root / self.path).read_text(encoding="utf-8")

    @cached_property
    def lines(self) -> list[str]:
        """Its lines without their ends."""
        return self.text.splitlines()

    @cached_property
    def syntax(self) -> ast.Module:
        """Its syntax tree, if it is Python."""
        return ast.parse(self.text, filename=self.path)

    @property
    def is_python(self) -> bool:
        """Whether it is Python, by name or by its first line."""
        if self.path.endswith(".py"):
            return True
        return "." not in Path(self.path).name and self.text.startswith("#!/usr/bin/env python")

    @property
    def module(self) -> str:
        """Dotted name of a module under src/, or an empty string."""
        if not (self.path.startswith("src/") and self.path.endswith(".py")):
            return ""
        return self.path.removeprefix("src/").removesuffix(".py").removesuffix("/__init__").replace("/", ".")

    def at(self, node: ast.stmt | ast.expr | ast.excepthandler | int, what: str) -> str:
        """A finding, as path:line: what."""
        line = node if isinstance(node, int) else node.lineno
        return f"{self.path}:{line}: {what}"


def paths(root: Path) -> list[str]:
    """Paths of all files, committed or about to be; without git (an unpacked archive), all but caches."""
    if (root / ".git").exists() and shutil.which("git"):
        command = ["git", "-C", str(root), "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
        answer = subprocess.run(command, capture_output=True, check=True)
        found = answer.stdout.decode().split("\0")
    else:
        found = list(walk(root))
    return sorted({path for path in found if path and (root / path).is_file()})


def walk(root: Path) -> Iterator[str]:
    """Paths of all files outside caches and environments."""
    for folder, folders, files in os.walk(root):
        folders[:] = [name for name in folders if name not in NOT_OURS and not name.startswith(".venv")]
        for name in files:
            if not name.startswith(".venv"):
                yield (Path(folder) / name).relative_to(root).as_posix()


def read_tree(root: Path) -> list[SourceFile]:
    """All text files: those that hold no zero byte and are UTF-8."""
    tree = []
    for path in paths(root):
        content = (root / path).read_bytes()
        if b"\0" in content:
            continue
        try:
            content.decode("utf-8")
        except UnicodeDecodeError:
            continue
        tree.append(SourceFile(root, path))
    return tree


@lru_cache(maxsize=1)
def repository() -> tuple[SourceFile, ...]:
    """The text files of this repository."""
    return tuple(read_tree(ROOT))


def python_files(tree: Sequence[SourceFile]) -> list[SourceFile]:
    """Those of them that are Python."""
    return [file for file in tree if file.is_python]


def plant(root: Path, **files: str) -> list[SourceFile]:
    """Make a small tree to try a rule in: `care__a` names care/a.py, `care____init__` care/__init__.py."""
    for name, content in files.items():
        path = root / "src" / "strandline" / (re.sub(r"(?<=[a-z])__(?=[a-z]|__)", "/", name) + ".py")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(content, encoding="utf-8")
    return read_tree(root)
