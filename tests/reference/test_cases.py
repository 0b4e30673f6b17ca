"""The engine against the reference cases, and its own golden plans."""

from __future__ import annotations

import json

import pytest

from strandline.care.engine import Engine
from strandline.knowledge.base import shipped
from tests.reference.golden import GOLDEN, fingerprints
from tests.reference.grade import Case, cases, misses
from tests.reference.known_misses import KNOWN_MISSES


@pytest.fixture(scope="module")
def engine() -> Engine:
    return Engine(shipped())


@pytest.mark.parametrize("case", cases(), ids=[case.id for case in cases()])
def test_case(case: Case, engine: Engine) -> None:
    """Every assertion holds, but for the misses that are listed with their reason."""
    found = set(misses(case, engine))
    listed = set(KNOWN_MISSES.get(case.id, {}))
    assert found - listed == set(), "new misses"
    assert listed - found == set(), "listed as missed, but met: take it off the list"


def test_misses_are_few_and_each_has_its_reason() -> None:
    missed = sum(map(len, KNOWN_MISSES.values()))
    total = sum(len(case.must) + len(case.must_not) for case in cases())
    assert missed / total < 0.02
    for case_id, rows in KNOWN_MISSES.items():
        for miss, reason in rows.items():
            assert len(reason) >= 20, (case_id, miss)


@pytest.mark.regression
def test_golden_plans_are_as_pinned(engine: Engine) -> None:
    """Our own earlier output, pinned so that a change is seen; made again by tools/pin_golden.py."""
    pinned = json.loads(GOLDEN.read_text(encoding="utf-8"))
    now = fingerprints(engine)
    changed = sorted(name for name in {*pinned, *now} if pinned.get(name) != now.get(name))
    assert changed == [], f"{len(changed)} plans changed; if wanted, run tools/pin_golden.py"


@pytest.mark.long
def test_removing_a_rule_is_noticed() -> None:
    """At least 85 % of removals change a case or a golden plan, and at least 60 % change a case."""
    from tests.reference.removal import measure  # heavy: only the long run needs it

    found = measure()
    assert found["share_case_or_golden"] >= 0.85
    assert found["share_case"] >= 0.60
