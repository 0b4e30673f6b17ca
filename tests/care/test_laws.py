"""Adding a fact never loosens a plan; naming an unknown never tightens it; every plan is whole."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.care.engine import Engine
from strandline.knowledge.base import shipped
from tests.care.draws import a_part, an_addition, an_object
from tests.care.laws import check_adding, check_refining, check_shape

SEEDS = st.integers(0, 2**32 - 1)


@pytest.fixture(scope="module")
def engine() -> Engine:
    return Engine(shipped())


@settings(max_examples=400, deadline=None)
@given(SEEDS)
def test_adding_a_fact_never_loosens(engine: Engine, seed: int) -> None:
    rng = Random(seed)
    facts = an_object(rng, engine.book.knowledge)
    for _ in range(3):
        what, more = an_addition(rng, facts, engine.book)
        check_adding(engine, facts, more, what)
        facts = more


@settings(max_examples=150, deadline=None)
@given(SEEDS)
def test_naming_an_unknown_never_tightens(engine: Engine, seed: int) -> None:
    rng = Random(seed)
    facts = an_object(rng, engine.book.knowledge)
    check_refining(engine, facts, rng.randrange(len(facts.parts)))


@settings(max_examples=300, deadline=None)
@given(SEEDS)
def test_every_plan_is_whole(engine: Engine, seed: int) -> None:
    check_shape(engine, an_object(Random(seed), engine.book.knowledge))


def test_draws_reach_the_whole_knowledge() -> None:
    knowledge = shipped()
    rng = Random(7)
    parts = [a_part(rng, knowledge, "p1") for _ in range(6000)]
    assert {part.material for part in parts} >= set(knowledge.materials)
    assert {key for part in parts for key in part.features} == set(knowledge.features)


@settings(max_examples=150, deadline=None)
@given(SEEDS)
def test_the_outline_decides_like_the_plan(engine: Engine, seed: int) -> None:
    facts = an_object(Random(seed), engine.book.knowledge)
    sig = engine.signature(facts)
    whole, short = engine.core(sig), engine.outline(sig)
    order = ("yes", "careful", "refer", "no")
    assert {key: one.verdict for key, one in whole.actions.items()} == {
        key: order[rank] for key, rank in short.ranks.items()
    }
    assert (whole.routed.route, whole.routed.zone) == (short.route, short.zone)
    assert whole.resolved.limits == short.limits
    assert {(clock.key, clock.origin): clock.at_h for clock in whole.clocks} == short.clocks
