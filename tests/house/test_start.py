"""The command line starts light: the planning commands need neither Django nor the number libraries."""

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

HEAVY = ("django", "numba", "scipy", "numpy", "llvmlite", "pandas")
REQUIRED = {"care", "knowledge", "order", "papers"}
LIST = """tag,title,materials,length_mm,water
0001,Bench,beech,1800,brackish
0002,Bell with clapper,"bronze, wrought iron",300,brackish
"""

# Runs in a Python of its own, where nothing has been imported yet. `asked` maps a command to arguments.
PROBE = """
import importlib, importlib.abc, json, sys

heavy, closed, face, asked = json.loads(sys.argv[1])

class Closed(importlib.abc.MetaPathFinder):
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in heavy:
            raise ModuleNotFoundError(f"closed for this test: {name}", name=name)
        return None

if closed:
    sys.meta_path.insert(0, Closed())

import click
from click.testing import CliRunner

main = importlib.import_module(face).main
commands = sorted(main.list_commands(click.Context(main)))
calls = [["--help"]]
for name, arguments in asked.items():
    if name in commands:
        calls += [[name, "--help"], [name, *arguments]]
answers = []
for call in calls:
    result = CliRunner().invoke(main, call)
    crash = None if isinstance(result.exception, SystemExit) else result.exception
    answers.append([call, result.exit_code, result.stdout, repr(crash) if crash else ""])
loaded = sorted({name.split(".")[0] for name in sys.modules} & set(heavy))
print(json.dumps([commands, answers, loaded]))
"""


@dataclass(frozen=True)
class Answer:
    """What one call of the command line gave."""

    call: list[str]
    exit_code: int
    output: str
    crash: str


@dataclass(frozen=True)
class Told:
    """What a fresh Python told of the command line."""

    commands: list[str]
    answers: list[Answer]
    loaded: list[str]

    def answer_to(self, *call: str) -> Answer:
        """The answer to one of the calls."""
        return next(answer for answer in self.answers if answer.call == list(call))


def probe(
    asked: dict[str, list[str]],
    *,
    closed: bool,
    face: str = "strandline.cli.main",
    beside: Path | None = None,
) -> Told:
    """Start the command line in a fresh Python, ask it for some commands, tell what came of it."""
    variables = dict(os.environ)
    if beside:
        variables["PYTHONPATH"] = os.pathsep.join([str(beside), variables.get("PYTHONPATH", "")])
    request = json.dumps([HEAVY, closed, face, asked])
    command = [sys.executable, "-c", PROBE, request]
    answer = subprocess.run(command, capture_output=True, text=True, check=False, env=variables)
    assert answer.returncode == 0, answer.stderr
    commands, answers, loaded = json.loads(answer.stdout)
    return Told(commands, [Answer(*each) for each in answers], loaded)


def planning_calls(folder: Path) -> dict[str, list[str]]:
    """The planning commands, with a small list to plan for."""
    path = folder / "list.csv"
    path.write_text(LIST, encoding="utf-8")
    papers = [str(path), "--to", str(folder / "papers"), "--only", "care_card"]
    return {"care": [str(path), "--json"], "order": [str(path), "--json"], "knowledge": [], "papers": papers}


@pytest.mark.parametrize("closed", [True, False])
def test_planning_needs_no_heavy_library(tmp_path: Path, closed: bool) -> None:
    """Planning works with the heavy libraries out of reach, and leaves them alone when they are in reach."""
    calls = planning_calls(tmp_path)
    told = probe(calls, closed=closed)
    assert set(told.commands) >= REQUIRED
    assert [answer for answer in told.answers if answer.crash] == []
    assert [answer for answer in told.answers if "--help" in answer.call and answer.exit_code != 0] == []
    plan = told.answer_to("care", *calls["care"])
    assert plan.exit_code in {0, 1}
    assert json.loads(plan.output)
    assert told.answer_to("papers", *calls["papers"]).exit_code in {0, 1}
    assert list((tmp_path / "papers").glob("*.pdf"))
    assert told.loaded == []


FACE = """
import click
{top}

@click.group()
def main():
    pass

@main.command()
@click.argument("path", required=False)
def care(path):
    {inside}
    click.echo("ok")
"""


@pytest.mark.parametrize(("top", "inside"), [("import numpy", "pass"), ("", "import numpy")])
def test_the_start_rule_can_fail(tmp_path: Path, top: str, inside: str) -> None:
    """A command line that loads a heavy library is found out, at its start or in a command."""
    (tmp_path / "numpy.py").write_text("", encoding="utf-8")
    (tmp_path / "heavy_face.py").write_text(FACE.format(top=top, inside=inside), encoding="utf-8")
    told = probe({"care": []}, closed=False, face="heavy_face", beside=tmp_path)
    assert told.loaded == ["numpy"]
    if top:
        with pytest.raises(AssertionError, match="closed for this test: numpy"):
            probe({"care": []}, closed=True, face="heavy_face", beside=tmp_path)
    else:
        shut = probe({"care": []}, closed=True, face="heavy_face", beside=tmp_path)
        assert "closed for this test: numpy" in shut.answer_to("care").crash
