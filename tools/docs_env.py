"""Makes sure that a tool for the docs runs in the checks' environment, whoever started it."""

from __future__ import annotations

import importlib.util
import os
import sys
from pathlib import Path

import envs

ROOT = Path(__file__).resolve().parent.parent
NEEDED = ("click", "django", "typst", "pypdfium2", "PIL", "playwright")


def ready() -> None:
    """Go on here if all packages are there; else start again in the environment of ./check."""
    if all(importlib.util.find_spec(name) for name in NEEDED):
        source = str(ROOT / "src")
        if source not in sys.path:
            sys.path.insert(0, source)
        return
    try:
        env = envs.find_or_make(str(ROOT), "test")
    except envs.CannotStart as problem:
        raise SystemExit(f"{Path(sys.argv[0]).name}: {problem}") from problem
    python = envs.python_in(env)
    os.execve(python, [python, *sys.argv], envs.environment_for(str(ROOT)))
