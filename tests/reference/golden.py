"""Golden plans: the engine's own decisions, pinned so that a change is seen.  They prove nothing by
themselves (expected values from outside stand in ``cases/``) and carry the mark ``regression``."""

from __future__ import annotations

import hashlib
import json
from importlib.resources import files
from pathlib import Path
from typing import Any

from strandline.care.core import Core
from strandline.care.engine import Engine
from strandline.exchange.lists import open_list
from strandline.knowledge.base import Knowledge
from strandline.pipeline.objects import Site, facts_from_row
from strandline.things.facts import Facts, Part
from tests.reference.grade import AS_OF, OUT, WET, cases, facts_of

GOLDEN = Path(__file__).parent / "golden.json"


def golden_facts(knowledge: Knowledge) -> dict[str, Facts]:
    """The objects whose plans are pinned: one of each material, every case, and the demo's list."""
    found: dict[str, Facts] = {}
    for key, material in knowledge.materials.items():
        for surface in ("stated", "silent"):
            part = Part("p1", "", key, material.family, surface=surface)
            found[f"one:{key}:{surface}"] = Facts(
                "0001", 1, parts=(part,), water=("brackish", "sewage"), wet_since=WET, out_since=OUT
            )
    for case in cases():
        found[case.id] = facts_of(case, knowledge)
    site = Site(AS_OF, wet_since=WET, out_since=OUT, water=("brackish", "sewage"), air_c=11.0)
    with_path = files("strandline.demo_data").joinpath("list.csv")
    opened = open_list(Path(str(with_path)))
    for row in opened.rows:
        facts, _ = facts_from_row(row, f"{row.row:04d}", site, knowledge)
        if facts is not None:
            found[f"demo:{row.row}"] = facts
    return found


def decided(made: Core) -> dict[str, Any]:
    """What a plan decides, on keys."""
    return {
        "actions": {key: one.verdict for key, one in made.actions.items()},
        "says": {key: one.how for key, one in made.actions.items()},
        "harms": sorted({b.rule for one in made.actions.values() for b in one.because}),
        "hazards": sorted(f"{hazard.key}:{hazard.grade}" for hazard in made.hazards),
        "limits": {key: list(pair) for key, pair in made.resolved.limits.items()},
        "conflicts": sorted(
            {f"{c.id}:{c.state}" for c in (*made.resolved.conflicts, *made.routed.conflicts, *made.clashes)}
        ),
        "route": made.routed.route,
        "zone": made.routed.zone,
        "cover": made.routed.cover[0] if made.routed.cover else None,
        "clocks": {f"{clock.key}:{clock.origin}": clock.at_h for clock in made.clocks},
        "steps": [step.key for step in made.steps],
        "hold": list(made.hold_rules),
        "disagreements": [one.id for one in made.disagreements],
    }


def golden_now(engine: Engine) -> dict[str, str]:
    """Each golden object's decisions as one line of JSON."""
    return {
        name: json.dumps(decided(engine.core(engine.signature(facts))), sort_keys=True)
        for name, facts in golden_facts(engine.book.knowledge).items()
    }


def fingerprints(engine: Engine) -> dict[str, str]:
    """Short hashes of the decisions, as they are kept in ``golden.json``."""
    return {name: fingerprint(text) for name, text in golden_now(engine).items()}


def fingerprint(text: str) -> str:
    """The first 12 hex digits of a text's SHA-256."""
    return hashlib.sha256(text.encode()).hexdigest()[:12]
