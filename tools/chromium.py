"""Finds the Chromium of this machine for what looks at the pages in a browser."""

from __future__ import annotations

import ctypes
import glob
import os
import shutil
import sys
from pathlib import Path

VARIABLE = "STRANDLINE_CHROMIUM"
NAMES: tuple[str, ...] = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
PACKAGE = "chromium"
LIBRARY, LIBRARY_PACKAGE = "libatomic.so.1", "libatomic1"
LOOKED_AT = 4096
"""Bytes of a start script in which a snap would give itself away."""


def program() -> Path | None:
    """The browser: the one that VARIABLE names, one of the system, or the one Playwright fetched; or None.

    A snap is passed over: it cannot read the folders of those who start it.
    """
    named = os.environ.get(VARIABLE)
    if named:
        return Path(named) if os.access(named, os.X_OK) else None
    found = [Path(path) for name in NAMES if (path := shutil.which(name))]
    cache = os.environ.get("PLAYWRIGHT_BROWSERS_PATH") or os.path.expanduser("~/.cache/ms-playwright")
    fetched = [
        Path(path) for path in sorted(glob.glob(f"{cache}/chromium-*/chrome-linux*/chrome"), reverse=True)
    ]
    return next((path for path in (*found, *fetched) if not is_snap(path)), None)


def driver_library() -> bool:
    """Whether the library that the driver's own program needs beside the browser is there; minimal systems
    lack it."""
    if not sys.platform.startswith("linux"):
        return True
    try:
        ctypes.CDLL(LIBRARY)
    except OSError:
        return False
    return True


def is_snap(path: Path) -> bool:
    """Whether a program is a snap, or a script that starts one."""
    if "snap" in path.resolve().parts:
        return True
    with path.open("rb") as file:
        head = file.read(LOOKED_AT)
    return head.startswith(b"#!") and b"/snap/bin/" in head


def has_package() -> bool:
    """Whether apt-get gives a browser here; on Ubuntu and its kin it would give a snap."""
    try:
        told = Path("/etc/os-release").read_text(encoding="utf-8")
    except OSError:
        return False
    lines = dict(line.split("=", 1) for line in told.splitlines() if "=" in line)
    return "ubuntu" not in f"{lines.get('ID', '')} {lines.get('ID_LIKE', '')}".lower()


def install(python: str = "python") -> str:
    """The command that installs one."""
    if has_package() and shutil.which("apt-get"):
        return f"apt-get install {PACKAGE}"
    return f"{python} -m playwright install --with-deps chromium"
