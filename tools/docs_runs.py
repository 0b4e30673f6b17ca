"""Runs commands of the program in this process, in a folder with the demo's files."""

from __future__ import annotations

import contextlib
import os
import re
import shlex
import tempfile
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path

from click.testing import CliRunner

from docs_env import ROOT
from strandline.cli.demo import AS_OF, FILES
from strandline.cli.main import main

WIDTH = 100


@dataclass(frozen=True)
class Ran:
    """What a command said and its exit code; ``trouble`` is an error that reached the top."""

    code: int
    out: str
    err: str
    trouble: str = ""


def run(arguments: Sequence[str], folder: Path) -> Ran:
    """Run ``strandline ARGUMENTS`` in a folder."""
    with contextlib.chdir(folder), warnings.catch_warnings():
        warnings.simplefilter("ignore")
        result = CliRunner().invoke(
            main,
            list(arguments),
            prog_name="strandline",
            terminal_width=WIDTH,
            env={"COLUMNS": str(WIDTH + 10), "HOME": str(folder)},
        )
    trouble = (
        "" if result.exception is None or isinstance(result.exception, SystemExit) else repr(result.exception)
    )
    return Ran(result.exit_code, result.stdout, result.stderr, trouble)


@dataclass
class Demo:
    """A folder with the demo's files.  Each command line is run once."""

    folder: Path
    done: dict[str, Ran] = field(default_factory=dict)

    def arguments(self, line: str) -> list[str]:
        """The arguments of a command line of a page, without ``> FILE``, ``| ...`` and ``# ...``."""
        words = shlex.split(re.split(r" [>|] ", line)[0], comments=True)
        stands_for = {"LIST": "list.csv", "FOLDER": "papers", "FILE": "overrides.toml"}
        return [stands_for.get(word, word) for word in words]

    def run(self, line: str) -> Ran:
        """Run the line (without ``./strandline``)."""
        arguments = self.arguments(line)
        key = os.fsdecode(shlex.join(arguments))
        if key not in self.done:
            self.done[key] = run(arguments, self.folder)
        return self.done[key]


def example_overrides() -> str:
    """The overrides that the guide gives as an example; ValueError if it gives none."""
    text = (ROOT / "docs" / "guide.md").read_text(encoding="utf-8")
    for found in re.finditer(r"^```toml\n(.*?)^```", text, re.DOTALL | re.MULTILINE):
        if "[[override]]" in found[1]:
            return found[1]
    raise ValueError("docs/guide.md gives no example of overrides")


@contextlib.contextmanager
def demo_folder() -> Iterator[Demo]:
    """A temporary folder with the demo's list and incident."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name).resolve()
        for file in FILES:
            (folder / file).write_bytes(files("strandline.demo_data").joinpath(file).read_bytes())
        (folder / "overrides.toml").write_text(example_overrides(), encoding="utf-8")
        yield Demo(folder)


__all__ = ["AS_OF", "Demo", "Ran", "demo_folder", "run"]
