"""How strict the plans are, so that over-caution shows.

PYTHONPATH=src:. python -m tests.reference.strictness      writes docs/evidence/strictness.json
"""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Any

from strandline.care.engine import Engine
from strandline.knowledge import models as m
from strandline.knowledge.base import shipped
from tests.reference.golden import golden_facts
from tests.reference.grade import cases, facts_of, misses, points

OUT = Path(__file__).parents[2] / "docs" / "evidence" / "strictness.json"


def measure() -> dict[str, Any]:
    """Verdicts over all cases, points met, and what of the demo's objects helpers may finish alone."""
    engine = Engine(shipped())
    verdicts: Counter[str] = Counter()
    missed: dict[str, list[str]] = {}
    total_points = 0
    for case in cases():
        made = engine.core(engine.signature(facts_of(case, engine.book.knowledge)))
        verdicts.update(one.verdict for one in made.actions.values())
        total_points += points(case)
        found = misses(case, engine)
        if found:
            missed[case.id] = found
    strictness = sum(m.VERDICT_RANK[key] * count for key, count in verdicts.items())
    return {
        "cases": len(cases()),
        "points": total_points,
        "points_missed": sum(map(len, missed.values())),
        "missed": missed,
        "verdicts": dict(sorted(verdicts.items())),
        "total_strictness": strictness,
        "mean_strictness_per_verdict": round(strictness / sum(verdicts.values()), 3),
        **_demo(engine),
        "knowledge_sha256": engine.book.knowledge.sha256,
    }


def _demo(engine: Engine) -> dict[str, Any]:
    """Demo objects by who may finish the first work: nobody (stop), a conservator too, helpers alone."""
    counted: Counter[str] = Counter()
    for name, facts in golden_facts(engine.book.knowledge).items():
        if not name.startswith("demo:"):
            continue
        made = engine.core(engine.signature(facts))
        acts = [step for step in made.steps if step.kind in {"act", "local_air", "look"}]
        if made.stopped:
            counted["stop"] += 1
        elif any(step.role == "conservator" for step in acts):
            counted["needs_a_conservator"] += 1
        else:
            counted["helpers_alone"] += 1
    total = sum(counted.values())
    return {
        "demo_objects": dict(sorted(counted.items())),
        "demo_share_helpers_alone": round(counted["helpers_alone"] / total, 3),
    }


if __name__ == "__main__":
    found = measure()
    OUT.parent.mkdir(parents=True, exist_ok=True)
    OUT.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    print({key: value for key, value in found.items() if key != "missed"})
