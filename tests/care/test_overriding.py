"""An override may loosen a rule, is marked wherever the rule speaks, and never reaches a stop."""

from __future__ import annotations

from datetime import date
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.care.engine import Engine
from strandline.knowledge import models as m
from strandline.knowledge.base import shipped
from strandline.knowledge.files import KnowledgeError
from strandline.knowledge.overrides import apply_overrides
from tests.care.draws import an_object

ON = date(2026, 3, 15)
ORDER = ("yes", "careful", "refer", "no")


def override_of(target: str, verdict: str) -> str:
    return (
        f'[[override]]\ntarget = "{target}"\nset = {{ verdict = "{verdict}" }}\n'
        'reason = "tried on site and it held"\nperson = "lead conservator"\nat = "2026-03-15"\n'
    )


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_an_override_loosens_only_its_rule_and_is_marked(seed: int) -> None:
    rng = Random(seed)
    knowledge = shipped()
    plain = Engine(knowledge)
    facts = an_object(rng, knowledge)
    before = plain.core(plain.signature(facts))
    action = rng.choice([key for key, one in before.actions.items() if one.verdict != "yes"])
    rule = next(one for one in before.actions[action].because if one.rule in verdict_ids())
    milder = ORDER[rng.randrange(len(ORDER))]
    engine = Engine(apply_overrides(knowledge, override_of(rule.rule, milder), "site.toml", ON))
    after = engine.core(engine.signature(facts))
    for key, one in after.actions.items():
        if key != action:
            assert one.verdict == before.actions[key].verdict, (
                f"{key} changed with an override of {rule.rule}"
            )
    marks = [one.override for one in after.actions[action].because if one.rule == rule.rule]
    assert all("tried on site and it held" in mark for mark in marks)
    if before.stopped:
        assert m.VERDICT_RANK[after.actions[action].verdict] >= m.VERDICT_RANK["refer"]


def verdict_ids() -> set[str]:
    return {rule.id for rule in shipped().verdicts}


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        (override_of("hz.mercury", "yes"), "cannot be overridden"),
        (override_of("act.rinse.no_such_rule", "yes"), "no rule or material has this id"),
        (override_of("act.sun.any", "maybe"), "Input should be"),
        (override_of("act.sun.any", "yes").replace("tried on site and it held", "short"), "at least 10"),
        (override_of("material.mercury", "yes").replace("verdict", "duty"), "a stop cannot be overridden"),
        ('[[override]]\ntarget = "act.sun.any"\n', "Field required"),
        ("[[override]\n", "not valid TOML"),
        ("[[rule]]\n", "only 'override' is"),
    ],
)
def test_an_override_that_cannot_be_applied_says_why(text: str, reason: str) -> None:
    ids = {rule.id for rule in shipped().verdicts if rule.action == "sun"}
    stop = next(rule.id for rule in shipped().hazards if rule.grade == "stop")
    text = text.replace("act.sun.any", min(ids)).replace("hz.mercury", stop)
    with pytest.raises(KnowledgeError) as caught:
        apply_overrides(shipped(), text, "site.toml", ON)
    assert reason in str(caught.value)


def test_an_expired_override_is_not_applied() -> None:
    rule = shipped().verdicts[0]
    text = override_of(rule.id, "yes") + 'expires = "2026-03-14"\n'
    assert apply_overrides(shipped(), text, "site.toml", ON).overrides == ()
