"""How long plans take, and how much memory: measured, kept as docs/evidence/plans.json, told in a page.

    python benchmarks/plans.py --made 1000                     a list made from the demo's words
    python benchmarks/plans.py list.csv --called "our list"    a list of your own (it is not copied)

Run it with the Python of the environment Strandline runs in.  Nothing here is a test: times depend on the
machine and on what else runs there.  A run replaces what was kept under the same name and leaves the others.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from machine import ROOT, code_sha256, machine, today
from made_list import make_list
from page import whole_page

EVIDENCE = ROOT / "docs" / "evidence" / "plans.json"
PAGE = ROOT / "docs" / "benchmarks.md"
STARTS: tuple[tuple[str, ...], ...] = (("care", "--help"), ("knowledge", "list"))
START_RUNS = 5
SEED = 1


def measured(kind: str, path: Path, hash_seed: str = "random") -> dict[str, Any]:
    """One measurement in a process of its own."""
    command = [sys.executable, str(Path(__file__).with_name("measure.py")), kind, str(path)]
    env = {**os.environ, "PYTHONHASHSEED": hash_seed}
    done = subprocess.run(command, check=True, capture_output=True, text=True, env=env)
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def start_up_s(arguments: tuple[str, ...]) -> dict[str, float]:
    """Seconds of wall time from starting a command to its end; the first run, which may be the one that
    makes the environment, is not counted."""
    command = [sys.executable, str(ROOT / "strandline"), *arguments]
    spent = []
    for _ in range(START_RUNS + 1):
        begun = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        spent.append(time.perf_counter() - begun)
    return {"median": round(statistics.median(spent[1:]), 2), "most": round(max(spent[1:]), 2)}


def measure_list(path: Path) -> dict[str, Any]:
    """Everything about one list."""
    stages, plain = measured("stages", path), measured("plain", path)
    streams = [measured("stream", path, hash_seed) for hash_seed in ("1", "2")]
    if streams[0]["output_sha256"] != streams[1]["output_sha256"]:
        raise SystemExit("two runs wrote different plans for the same list")
    mean_ms = 1000 * stages["planning_s"] / stages["objects"]
    return {
        "stages": stages,
        "stream": streams[0],
        "stream_again": streams[1],
        "plain": plain,
        "times_faster_than_plain": round(plain["mean_ms"] / mean_ms, 1),
        "profile": measured("profile", path),
    }


def keep(name: str, found: dict[str, Any]) -> None:
    """Put a list's figures among those kept, and write the page anew."""
    kept = json.loads(EVIDENCE.read_text(encoding="utf-8")) if EVIDENCE.exists() else {"lists": {}}
    kept["lists"][name] = {
        "date": today(),
        "code_sha256": code_sha256(),
        "machine": machine(),
        "start_up_s": {" ".join(one): start_up_s(one) for one in STARTS},
        **found,
    }
    EVIDENCE.parent.mkdir(exist_ok=True)
    EVIDENCE.write_text(json.dumps(kept, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    PAGE.write_text(whole_page(EVIDENCE.parent), encoding="utf-8")


def main(arguments: list[str]) -> None:
    """Measure one list and keep the figures."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("list", nargs="?", type=Path, help="a list of your own")
    parser.add_argument("--called", default="a list of one's own", help="what the page calls it")
    parser.add_argument("--made", type=int, metavar="N", help="make N rows from the words of the demo's list")
    parser.add_argument("--seed", type=int, default=SEED, help="of the made list")
    given = parser.parse_args(arguments)
    if (given.list is None) == (given.made is None):
        parser.error("give a list, or --made N")
    if given.list is not None:
        keep(given.called, measure_list(given.list))
        return
    with TemporaryDirectory() as folder:
        path = Path(folder) / "made.csv"
        make_list(path, given.made, given.seed)
        name = f"{given.made} rows made from the words of the demo's list, seed {given.seed}"
        keep(name, measure_list(path))


if __name__ == "__main__":
    main(sys.argv[1:])
