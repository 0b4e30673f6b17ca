"""One measurement in a process of its own, so that neither memory nor what is remembered runs over.

    python benchmarks/measure.py stages LIST     seconds for reading, planning and writing; first and again
    python benchmarks/measure.py stream LIST     the whole as the command does it; most memory; hash
    python benchmarks/measure.py plain LIST      planning without memory, for every so many-th row
    python benchmarks/measure.py profile LIST    where the time goes

Prints one JSON object.
"""

from __future__ import annotations

import cProfile
import hashlib
import json
import pstats
import resource
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, TextIO

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "src"))

from strandline import __version__  # noqa: E402  (the path must be set first)
from strandline.care.engine import Engine  # noqa: E402
from strandline.exchange.care_json import Document, PlanWriter, made_by  # noqa: E402
from strandline.exchange.lists import open_list  # noqa: E402
from strandline.knowledge.base import shipped  # noqa: E402
from strandline.pipeline.lists import Tally, plans, rare_full_collections  # noqa: E402
from strandline.pipeline.objects import Site, facts_from_row  # noqa: E402
from strandline.pipeline.tags import allot  # noqa: E402
from strandline.things.facts import Facts  # noqa: E402

SITE = Site(datetime(2026, 3, 15, 15, 40, tzinfo=UTC))
PLAIN_ROWS = 150
"""Rows planned without memory; all of a long list would take minutes."""

SHOWN = 12
"""Functions shown of a profile."""


def now_s() -> float:
    """Seconds of this process's own work, so that what else runs on the machine counts little."""
    return time.process_time()


def read(path: Path, engine: Engine) -> list[Facts]:
    """The facts of every row that is taken."""
    rows = list(open_list(path).rows)
    tags, _ = allot(rows)
    made = (
        facts_from_row(row, tag, SITE, engine.book.knowledge)[0] for row, tag in zip(rows, tags, strict=True)
    )
    return [facts for facts in made if facts is not None]


def stages(path: Path) -> dict[str, Any]:
    """Seconds per stage, and per plan for kinds met for the first time and for kinds met again."""
    start = now_s()
    engine, writer = Engine(shipped()), PlanWriter()
    loaded = now_s()
    first_s: list[float] = []
    again_s: list[float] = []
    writing = 0.0
    size = 0
    with rare_full_collections(), TemporaryDirectory() as folder:
        facts = read(path, engine)
        have_read = now_s()
        with (Path(folder) / "plans.json").open("w", encoding="utf-8") as out:
            for one in facts:
                kinds, begun = engine.core.cache_info().misses, now_s()
                plan = engine.plan(one, SITE.as_of)
                planned = now_s()
                met = first_s if engine.core.cache_info().misses > kinds else again_s
                met.append(planned - begun)
                size += out.write(writer.object_line(one, plan))
                writing += now_s() - planned
    planning = sum(first_s) + sum(again_s)
    return {
        "objects": len(facts),
        "kinds": len(first_s),
        "load_knowledge_s": round(loaded - start, 3),
        "reading_s": round(have_read - loaded, 3),
        "planning_s": round(planning, 3),
        "writing_s": round(writing, 3),
        "plans_per_s": round(len(facts) / planning),
        "first_of_a_kind_ms": _per_plan_ms(first_s),
        "met_again_ms": _per_plan_ms(again_s),
        "megabytes_of_json": round(size / 1e6, 1),
    }


def _per_plan_ms(seconds: list[float]) -> dict[str, float]:
    if not seconds:
        return {}
    return {
        "mean": round(1000 * statistics.fmean(seconds), 3),
        "median": round(1000 * statistics.median(seconds), 3),
        "most": round(1000 * max(seconds), 2),
    }


def stream(path: Path) -> dict[str, Any]:
    """The whole work as the command does it, object by object, into a file."""
    with TemporaryDirectory() as folder:
        file, wall = Path(folder) / "plans.json", time.perf_counter()
        with file.open("w", encoding="utf-8") as out:
            count = _write_all(path, out)
        wall_s, cpu_s = time.perf_counter() - wall, now_s()
        most_memory_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        with file.open("rb") as written:
            digest = hashlib.file_digest(written, "sha256")
    return {
        "objects": count,
        "wall_s": round(wall_s, 2),
        "cpu_s_with_start": round(cpu_s, 2),
        "most_memory_mb": round(most_memory_mb),
        "output_sha256": digest.hexdigest(),
    }


def _write_all(path: Path, out: TextIO) -> int:
    engine, writer = Engine(shipped()), PlanWriter()
    opened = open_list(path)
    tally = Tally(problems=opened.problems)
    document = Document(out, made_by(engine.book.knowledge, __version__), SITE.as_of)
    for facts, plan in plans(opened.rows, engine, SITE, tally):
        document.add(writer.object_line(facts, plan))
    document.close(opened.head, tally.rows, tally.problems, tally.rejected)
    return document.count


def plain(path: Path) -> dict[str, Any]:
    """Planning by an engine that remembers next to nothing, for rows evenly spread over the list."""
    engine = Engine(shipped(), size=1)
    facts = read(path, engine)
    spread = list(_spread(facts, PLAIN_ROWS))
    with rare_full_collections():
        start = now_s()
        for one in spread:
            engine.plan(one, SITE.as_of)
        spent = now_s() - start
    return {"objects": len(spread), "mean_ms": round(1000 * spent / len(spread), 2)}


def _spread(facts: list[Facts], wanted: int) -> Iterator[Facts]:
    step = max(1, len(facts) // wanted)
    yield from facts[::step][:wanted]


def profile(path: Path) -> dict[str, Any]:
    """The functions with most time of their own, as shares of all."""
    profiler = cProfile.Profile()
    with TemporaryDirectory() as folder, (Path(folder) / "plans.json").open("w", encoding="utf-8") as out:
        profiler.runcall(_write_all, path, out)
    # The table of pstats.Stats: (file, line, function) -> (calls, calls, own seconds, seconds, callers).
    table: dict[tuple[str, int, str], tuple[int, int, float, float, Any]] = vars(pstats.Stats(profiler))[
        "stats"
    ]
    total = sum(row[2] for row in table.values())
    ordered = sorted(table.items(), key=lambda item: -item[1][2])
    return {
        "top": [
            {"function": _named(where), "calls": row[1], "share": round(row[2] / total, 3)}
            for where, row in ordered[:SHOWN]
        ],
        "by_package": _by_package(table, total),
    }


def _named(where: tuple[str, int, str]) -> str:
    path, _, function = where
    if "strandline" in path:
        return f"{path.rpartition('strandline/')[2]}: {function}"
    return f"{Path(path).name}: {function}" if path != "~" else function


def _by_package(table: dict[tuple[str, int, str], Any], total: float) -> dict[str, float]:
    found: dict[str, float] = {}
    for (path, _, _), row in table.items():
        name = path.rpartition("strandline/")[2].split("/")[0] if "/strandline/" in path else "Python itself"
        found[name] = found.get(name, 0.0) + row[2]
    ordered = sorted(found.items(), key=lambda item: -item[1])
    return {name: round(own / total, 3) for name, own in ordered if own > total / 200}


KINDS: dict[str, Callable[[Path], dict[str, Any]]] = {
    "stages": stages,
    "stream": stream,
    "plain": plain,
    "profile": profile,
}

if __name__ == "__main__":
    json.dump(KINDS[sys.argv[1]](Path(sys.argv[2])), sys.stdout)
