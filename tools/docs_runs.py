"""Runs commands of the program in a folder with the demo's files.

Those of lists run in this process, those of the record in one of their own: a process keeps one record.
"""

from __future__ import annotations

import contextlib
import os
import re
import shlex
import subprocess
import sys
import tempfile
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path

import click
from click.testing import CliRunner

from docs_env import ROOT
from strandline.cli.demo import AS_OF, FILES
from strandline.cli.main import main

WIDTH = 100
RECORD = {"demo", "backup", "restore", "export", "show"}
"""Commands that open a record."""

UNTIL_STOPPED = {"serve"}
"""Commands that end when somebody ends them: their arguments are read, and that is all."""

PRACTICE = "strandline-demo-1/practice"
"""Where the demo puts its practice, for the commands of the record."""

KEPT = "kept.jsonl.gz"
LONGEST_S = 900


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


def run_apart(arguments: Sequence[str], folder: Path) -> Ran:
    """Run ``strandline ARGUMENTS`` in a process of its own; the demo's practice is the usual one."""
    env = {
        **os.environ,
        "PYTHONPATH": str(ROOT / "src"),
        "COLUMNS": str(WIDTH + 10),
        "HOME": str(folder),
        "STRANDLINE_PRACTICE": str(folder / PRACTICE),
    }
    command = [sys.executable, "-m", "strandline", *arguments]
    ended = subprocess.run(
        command, cwd=folder, env=env, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False,
        timeout=LONGEST_S,
    )  # fmt: skip
    trouble = ended.stderr.strip().splitlines()[-1] if "Traceback (most recent" in ended.stderr else ""
    return Ran(ended.returncode, ended.stdout, ended.stderr, trouble)


def only_read(arguments: Sequence[str]) -> Ran:
    """Read the arguments of a command without running it; 2 with the sentence where they cannot be used."""
    command = main.commands[arguments[0]]
    try:
        command.make_context(arguments[0], list(arguments[1:]))
    except click.ClickException as error:
        return Ran(2, "", error.format_message())
    return Ran(0, "", "")


@dataclass
class Demo:
    """A folder with the demo's files.  Each command line is run once."""

    folder: Path
    done: dict[str, Ran] = field(default_factory=dict)

    def arguments(self, line: str) -> list[str]:
        """The arguments of a command line of a page, without ``> FILE``, ``| ...`` and ``# ...``."""
        words = shlex.split(re.split(r" [>|] ", line)[0], comments=True)
        stands_for = {
            "LIST": "list.csv",
            "FOLDER": "papers",
            "FILE": "overrides.toml",
            "BACKUP": KEPT,
            "DIR": "another-practice",
        }
        return [stands_for.get(word, word) for word in words]

    def run(self, line: str) -> Ran:
        """Run the line (without ``./strandline``)."""
        arguments = self.arguments(line)
        key = os.fsdecode(shlex.join(arguments))
        if key not in self.done:
            self.done[key] = self._run(arguments)
        return self.done[key]

    def _run(self, arguments: list[str]) -> Ran:
        name = arguments[0] if arguments else ""
        if "--help" in arguments or name not in RECORD | UNTIL_STOPPED:
            return run(arguments, self.folder)
        if name in UNTIL_STOPPED:
            return only_read(arguments)
        if name != "demo":
            self.run("demo")
        if name == "restore" and KEPT in arguments:
            self.run(f"export --to {KEPT}")
        return run_apart(arguments, self.folder)


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
