"""Runs commands in-process and says what came out."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from strandline.cli.main import main

AS_OF = "2026-03-15T15:40:00+00:00"


def run(*arguments: str | Path) -> Result:
    """One command; a traceback is never an answer."""
    result = CliRunner().invoke(main, [str(one) for one in arguments])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def demo_file(name: str, folder: Path) -> Path:
    """A demo file copied into ``folder``."""
    path = folder / name
    path.write_bytes(files("strandline.demo_data").joinpath(name).read_bytes())
    return path


def care_json(*arguments: str | Path) -> dict[str, Any]:
    """``care ... --json`` parsed."""
    result = run("care", *arguments, "--json")
    found: dict[str, Any] = json.loads(result.stdout)
    return found
