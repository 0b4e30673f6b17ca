"""Takes each rule out in turn and sees who notices: a case, a golden plan, or nobody.

    PYTHONPATH=src:. python -m tests.reference.removal      writes docs/evidence/removal.json

A golden plan's own list of rule ids (``harms``, ``hold``) is left out of the comparison: a rule is
noticed only by what it decides.
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

from strandline.care.core import Core
from strandline.care.engine import Engine
from strandline.knowledge import models as m
from strandline.knowledge.base import Knowledge, shipped
from tests.reference.golden import decided, golden_facts
from tests.reference.grade import AS_OF, cases, facts_of, holds

OUT = Path(__file__).parents[2] / "docs" / "evidence" / "removal.json"
KINDS: tuple[str, ...] = (
    "verdicts", "limits", "clocks", "factors", "duties", "hazards", "covers", "conflicts",
)  # fmt: skip
"""Kinds of rules that decide something.  Steps, holding sentences and disagreements say it."""


def rules_of(made: Core) -> set[str]:
    """Ids of the rules that had a say in a plan."""
    found = {b.rule for one in made.actions.values() for b in one.because}
    for _, part in made.evals:
        found |= {hit.rule.id for hits in part.hits.values() for hit in hits}
        found |= set(part.others) | set(part.pending) | {want.rule for want in part.wants}
        found |= {reason[0] for clock in part.clocks.values() for reason in clock.reasons}
        found |= {reason[0] for reasons in part.duties.values() for reason in reasons}
        found |= {why[1] for why in part.covers.values()}
    found |= {one.id for one in (*made.resolved.conflicts, *made.routed.conflicts, *made.clashes)}
    return found


def bare(made: Core) -> dict[str, Any]:
    """What a plan decides, without the ids of the rules that said so."""
    return {key: value for key, value in decided(made).items() if key not in {"harms", "hold"}}


def without(knowledge: Knowledge, kind: str, rule_id: str) -> Knowledge:
    """The knowledge without one rule."""
    held: tuple[m.Entry, ...] = getattr(knowledge, kind)
    kept = tuple(one for one in held if getattr(one, "id", "") != rule_id)
    return replace(knowledge, **{kind: kept})


def verdict_of_case(case: Any, engine: Engine) -> tuple[str, ...]:
    """Which of a case's assertions hold."""
    plan = engine.plan(facts_of(case, engine.book.knowledge), AS_OF)
    return tuple(one for one in (*case.must, *case.must_not) if holds(one, plan))


def measure(knowledge: Knowledge | None = None) -> dict[str, Any]:
    """Remove each rule; returns counts and the rules nobody noticed."""
    knowledge = knowledge or shipped()
    engine = Engine(knowledge)
    golden = golden_facts(knowledge)
    made = {name: engine.core(engine.signature(facts)) for name, facts in golden.items()}
    plain = {name: bare(one) for name, one in made.items()}
    voices: dict[str, list[str]] = {}
    for name, one in made.items():
        for rule_id in rules_of(one):
            voices.setdefault(rule_id, []).append(name)
    by_id = {case.id: case for case in cases()}
    before = {case.id: verdict_of_case(case, engine) for case in cases()}
    noticed_by_case, noticed_by_golden, unnoticed = [], [], []
    for kind in KINDS:
        for rule in getattr(knowledge, kind):
            if (kind == "conflicts" and rule.rank >= 9999) or rule.id in {
                "cf.envelope",
                "cf.finish_over_body",
            }:
                continue
            cut = Engine(without(knowledge, kind, rule.id), 512)
            names = voices.get(rule.id, [])
            in_case = any(
                verdict_of_case(by_id[name], cut) != before[name] for name in names if name in by_id
            )
            in_golden = in_case or any(
                bare(cut.core(cut.signature(golden[name]))) != plain[name] for name in names
            )
            noticed_by_case += [rule.id] if in_case else []
            noticed_by_golden += [rule.id] if in_golden else []
            unnoticed += [] if in_golden else [rule.id]
    total = len(noticed_by_golden) + len(unnoticed)
    return {
        "rules_removed": total,
        "changed_a_case": len(noticed_by_case),
        "changed_a_case_or_a_golden_plan": len(noticed_by_golden),
        "share_case": round(len(noticed_by_case) / total, 3),
        "share_case_or_golden": round(len(noticed_by_golden) / total, 3),
        "not_in_a_case": sorted(set(noticed_by_golden) - set(noticed_by_case)),
        "unnoticed": sorted(unnoticed),
        "knowledge_sha256": knowledge.sha256,
    }


if __name__ == "__main__":
    found = measure()
    OUT.parent.mkdir(parents=True, exist_ok=True)
    OUT.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    print({key: value for key, value in found.items() if not isinstance(value, list)})
