"""docs/benchmarks.md from the figures kept."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from drying_page import drying_section

Kept = Mapping[str, Any]

INTRO = """<!-- Made by benchmarks/plans.py: run that again, do not change this page. -->

# How long plans take

Measured, not promised: the figures are of one machine on one day and move by a fifth with what else runs
there. Seconds are those the process itself worked, if not said otherwise. Nothing timed is a test. The
figures are kept in [evidence/plans.json](evidence/plans.json), with a hash of the code they were measured on.

Anybody can measure with a list made from the words of the demo's list:

```sh
python benchmarks/plans.py --made 1000
```

Run it with the Python of an environment that has what Strandline needs. A list of one's own is named instead
of `--made`; it is read and not copied.
"""

LIMITS = """
## What limits it

* **Kinds, not rows.** Objects with the same parts, features, sizes and surroundings are one kind, and a kind
  is worked out once. A museum's list says the same kinds over and over; in a list made at random nearly
  every row is another kind.
* **Open questions.** What a plan takes for granted is weighed by making the plan again for every answer,
  about a dozen times a kind. These plans carry no reasons: which rules hold is told by a few ands of whole
  numbers, a bit for each rule.
* **A part that may be anything** is evaluated as every material it may be; for a thing nothing is known of
  that is most of the knowledge. Those are the slowest plans; naming the family alone makes one several times
  quicker.
* **Writing** is mostly reasons said again for the next object. Their text is made once and copied.
* **Reading** grows with the words in the list.
* **Memory** is what is remembered: 2,048 kinds and the texts of 1,024; beyond that, kinds are worked out and
  written anew.
* One process, one core. Nothing is shared between runs.
"""


def page(kept: Kept) -> str:
    """The page as Markdown, without the drying engine."""
    return "\n".join([INTRO, *_lists(kept["lists"])]) + LIMITS


def whole_page(evidence: Path) -> str:
    """The page from all figures kept in a folder."""
    plans, drying = evidence / "plans.json", evidence / "drying.json"
    told = page(json.loads(plans.read_text(encoding="utf-8")))
    if drying.exists():
        told += drying_section(json.loads(drying.read_text(encoding="utf-8")))
    return told


def _lists(lists: Mapping[str, Kept]) -> Iterator[str]:
    for name, found in lists.items():
        machine = found["machine"]
        yield f"## {name[0].upper()}{name[1:]}\n"
        yield (
            f"{found['date']}, {machine['processor']}, {machine['cores']} cores, {machine['memory_gb']} GB, "
            f"{machine['system']}, Python {machine['python']}; code {found['code_sha256'][:12]}.\n"
        )
        yield "| what | figure |\n|---|---|"
        yield from (f"| {what} | {figure} |" for what, figure in _figures(found))
        yield "\nMost time of their own, under a profiler, which makes small functions look larger:\n"
        yield "| function | calls | share |\n|---|---|---|"
        yield from (
            f"| `{row['function']}` | {row['calls']:,} | {row['share']:.1%} |"
            for row in found["profile"]["top"]
        )
        shares = ", ".join(f"{one} {share:.0%}" for one, share in found["profile"]["by_package"].items())
        yield f"\nBy package: {shares}.\n"


def _figures(found: Kept) -> Iterator[tuple[str, str]]:
    stages, stream, plain = found["stages"], found["stream"], found["plain"]
    first, again = stages["first_of_a_kind_ms"], stages["met_again_ms"]
    yield "objects, and kinds among them", f"{stages['objects']:,}, {stages['kinds']:,}"
    yield "loading the knowledge", f"{stages['load_knowledge_s']} s"
    yield "reading the list", f"{stages['reading_s']} s"
    yield "planning", f"{stages['planning_s']} s, {stages['plans_per_s']:,} plans a second"
    yield "writing", f"{stages['writing_s']} s for {stages['megabytes_of_json']} MB of JSON"
    yield "one plan, first of its kind", _per_plan(first)
    yield "one plan, kind met again", _per_plan(again)
    both = f"{stream['cpu_s_with_start']} s and {found['stream_again']['cpu_s_with_start']} s"
    yield "all of it, object by object, with start-up (two runs)", both
    yield "the two runs wrote", "the same, byte for byte"
    yield "most memory", f"{stream['most_memory_mb']} MB"
    yield (
        f"planning without memory ({plain['objects']} rows spread over the list)",
        f"{plain['mean_ms']} ms a plan: {found['times_faster_than_plain']} times as long",
    )
    for command, spent in found["start_up_s"].items():
        yield f"`./strandline {command}`, wall time", f"{spent['median']} s"


def _per_plan(spent: Mapping[str, float]) -> str:
    if not spent:
        return "none"
    return f"{spent['mean']} ms on average, {spent['median']} ms in the middle, {spent['most']} ms at most"
