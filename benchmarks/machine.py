"""Where and on what something was measured: the machine, the day, and a hash of the code."""

from __future__ import annotations

import hashlib
import os
import platform
from datetime import UTC, datetime
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
MEASURED: tuple[str, ...] = ("care", "knowledge", "pipeline", "exchange")
"""Packages under src/strandline whose code is measured."""


def code_sha256(packages: tuple[str, ...] = MEASURED) -> str:
    """One hash over path and content of every Python file of some packages."""
    digest = hashlib.sha256()
    src = ROOT / "src" / "strandline"
    for path in sorted(path for name in packages for path in (src / name).rglob("*.py")):
        digest.update(path.relative_to(src).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()


def machine() -> dict[str, str | int | float]:
    """Processor, cores, memory (GB), system and Python."""
    return {
        "processor": _from_proc("cpuinfo", "model name") or platform.processor() or platform.machine(),
        "cores": os.cpu_count() or 0,
        "memory_gb": round(int((_from_proc("meminfo", "MemTotal") or "0").split()[0]) / 1024**2, 1),
        "system": f"{platform.system()} {platform.machine()}",
        "python": platform.python_version(),
    }


def today() -> str:
    """The day in UTC."""
    return datetime.now(UTC).date().isoformat()


def _from_proc(name: str, key: str) -> str:
    path = Path("/proc") / name
    if not path.exists():
        return ""
    lines = path.read_text(encoding="utf-8").splitlines()
    return next((line.partition(":")[2].strip() for line in lines if line.startswith(key)), "")
