"""Where the compiled drying engine is kept: it is compiled once for a machine, in about half a minute."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path


def cache_folder() -> Path:
    """Where the compiled engine lies: a folder named for the text of every file it is made of.

    Rule: below NUMBA_CACHE_DIR if that is set, else beside the module; numba itself looks only at the file a
        function stands in, and would keep a stale engine when another of its files changes.
    Source: numba-cache, the documented setting.
    Range: any machine.
    Doubt: none.

    >>> cache_folder().name.startswith("lanes-")
    True
    """
    here = Path(__file__).parent
    told = os.environ.get("NUMBA_CACHE_DIR")
    text = b"".join(file.read_bytes() for file in sorted(here.glob("lanes*.py")))
    base = Path(told) if told else here / "__pycache__"
    return base / f"lanes-{hashlib.sha256(text).hexdigest()[:12]}"


def is_compiled() -> bool:
    """Whether a compiled engine lies in the cache; without one the first forecast takes half a minute longer.

    Rule: the outermost compiled function lies in the cache folder.
    Source: none; a rule of this code.
    Range: any machine.
    Doubt: says yes to one made for another processor or another Python, which is then compiled anew.

    >>> is_compiled() in {True, False}
    True
    """
    return any(cache_folder().rglob("lanes_run.run_all-*.nbi"))
