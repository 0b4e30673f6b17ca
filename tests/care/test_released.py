"""A stop that was lifted: the plan may loosen, no hazard is forgotten, and nothing else changes."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.care import core, outline
from strandline.care.core import Core
from strandline.care.engine import Engine
from strandline.knowledge import models as m
from strandline.knowledge.base import shipped
from strandline.things.facts import Facts, Part
from strandline.things.plan import Hazard
from tests.care.draws import an_object
from tests.care.laws import check_shape

RANK = m.VERDICT_RANK
STOPS = {rule.hazard for rule in shipped().hazards if rule.grade == "stop"}
UNDER_A_STOP = {"keep_away", "shut_room", "call", "tag_at_door"}
DRAWS = 400


@pytest.fixture(scope="module")
def engine() -> Engine:
    """One engine for all."""
    return Engine(shipped())


def a_stopped(engine: Engine, rng: Random) -> Facts | None:
    """An object that a stop holds, or None."""
    facts = an_object(rng, engine.book.knowledge)
    return facts if engine.core(engine.signature(facts)).stopped else None


def check_releasing(engine: Engine, before: Facts, released: tuple[str, ...]) -> None:
    """Releasing loosens at most, and says of every hazard that it is there."""
    after = replace(before, released=released)
    old, new = (engine.core(engine.signature(facts)) for facts in (before, after))
    for action, verdict in old.actions.items():
        assert RANK[new.actions[action].verdict] <= RANK[verdict.verdict], f"{action} went stricter"
    assert old.actions.keys() == new.actions.keys()
    assert old.resolved.limits == new.resolved.limits
    assert old.clocks == new.clocks
    check_hazards(old, new, released)
    assert [one.id for one in old.resolved.conflicts] == [one.id for one in new.resolved.conflicts]
    assert new.stopped == any(one.grade == "stop" and one.key not in released for one in old.hazards)
    if new.stopped:
        assert [step.key for step in new.steps] == [step.key for step in old.steps]
        assert new.hold == old.hold
        assert new.routed.zone == "hazard_hold"
    elif old.stopped:
        assert not UNDER_A_STOP & {step.key for step in new.steps}
        assert new.routed.zone != "hazard_hold"
        assert not any("until release is recorded" in sentence for sentence in new.hold)
        conflicts = (*new.resolved.conflicts, *new.routed.conflicts, *new.clashes)
        assert not any(text in one.how for one in conflicts for text in ("the stop holds", "under the stop"))
    short = engine.outline(engine.signature(after))
    assert (short.route, short.zone) == (new.routed.route, new.routed.zone)
    assert {key: RANK[one.verdict] for key, one in new.actions.items()} == short.ranks
    check_shape(engine, after)


def check_hazards(old: Core, new: Core, released: tuple[str, ...]) -> None:
    """Each hazard stays with its words and reasons; a stop that was released guards."""
    now = {hazard.key: hazard for hazard in new.hazards}
    for hazard in old.hazards:
        assert hazard.key in now, f"{hazard.key} is no longer named"
        kept = now[hazard.key]
        assert (kept.say, kept.because, kept.licensed_only) == (
            hazard.say, hazard.because, hazard.licensed_only
        )  # fmt: skip
        lifted = hazard.grade == "stop" and hazard.key in released
        assert kept.released == lifted
        assert kept.grade == ("guard" if lifted else hazard.grade)
    assert len(old.hazards) == len(new.hazards)


@settings(max_examples=400, deadline=None)
@given(st.integers(0, 2**32 - 1), st.sets(st.sampled_from(sorted({*STOPS, "sewage", "no_such"}))))
def test_releasing_loosens_at_most(engine: Engine, seed: int, released: set[str]) -> None:
    """Any hazards of any object, stops and guards alike."""
    check_releasing(engine, an_object(Random(seed), engine.book.knowledge), tuple(sorted(released)))


@settings(max_examples=200, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_releasing_every_stop_frees_the_object(engine: Engine, seed: int) -> None:
    """Nothing is under a stop any more, whatever it was."""
    facts = replace(an_object(Random(seed), engine.book.knowledge), released=tuple(sorted(STOPS)))
    assert not engine.core(engine.signature(facts)).stopped


def test_a_release_of_what_does_not_stop_leaves_the_plan(engine: Engine) -> None:
    """A guard is no stop: recording its release changes nothing."""
    facts = Facts("0001", 0, parts=(Part("p1", "", "oak", "wood"),), water=("sewage",))
    said = replace(facts, released=("sewage",))
    assert engine.core(engine.signature(said)) == engine.core(engine.signature(facts))


def test_what_the_materials_forbid_stays_forbidden(engine: Engine) -> None:
    """A barometer whose mercury was released is still not lifted or turned, and no step asks for it."""
    parts = (Part("p1", "case", "mahogany", "wood"), Part("p2", "tube", "mercury", "working"))
    facts = Facts("0001", 0, parts=parts, water=("river", "sewage"), released=("mercury",))
    made = engine.core(engine.signature(facts))
    assert {made.actions[key].verdict for key in ("lift", "turn", "moving_air")} == {"no"}
    assert {step.action for step in made.steps} <= {None, "cover", "support"}


def released_chest(engine: Engine, feature: str, stop: str) -> Core:
    """A chest of oak with something in or on it that stopped the work and was released."""
    chest = Part("p1", "", "oak", "wood", features=(feature,), surface="stated")
    facts = Facts("0001", 0, parts=(chest,), water=("river",), released=(stop,))
    return engine.core(engine.signature(facts))


def test_ordinary_steps_come_back(engine: Engine) -> None:
    """What somebody who may has let go is carried and dried like any other chest."""
    made = released_chest(engine, "luminous", "radium")
    assert made.routed.route == "dry"
    assert {"carry", "blot", "drip_dry"} <= {step.key for step in made.steps}


def test_what_may_not_be_lifted_is_not_brought_to_a_bench(engine: Engine) -> None:
    """A shut box nobody knows the contents of: lifting stays barred, so does all that needs it lifted."""
    made = released_chest(engine, "sealed_contents", "sealed_contents")
    assert made.actions["lift"].verdict == "no"
    assert {step.action for step in made.steps if step.role == "helper"} <= {None, "cover", "support"}


def broken(law: Engine) -> int:
    """How many of DRAWS objects show the law of releasing broken."""
    count = 0
    for seed in range(DRAWS):
        facts = a_stopped(law, Random(seed))
        if facts is not None:
            try:
                check_releasing(law, facts, tuple(sorted(STOPS)))
            except AssertionError:
                count += 1
    return count


def forgets(hazards: tuple[Hazard, ...], released: tuple[str, ...]) -> tuple[Hazard, ...]:
    """What was released is no longer named."""
    return tuple(hazard for hazard in hazards if hazard.key not in released)


def test_an_engine_that_forgets_what_was_released_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    """A hazard never disappears."""
    monkeypatch.setattr(core, "_released", forgets)
    assert broken(Engine(shipped())) > 0


def test_an_engine_that_keeps_the_steps_of_the_stop_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody is kept away from what was released."""
    monkeypatch.setattr(core, "_without_stop", lambda parts, passes, book: passes)
    assert broken(Engine(shipped())) > 0


def test_an_outline_that_does_not_know_of_releases_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is weighed for open questions is the plan after the release."""
    right = outline._stopped
    monkeypatch.setattr(outline, "_stopped", lambda frames, released: right(frames, ()))
    assert broken(Engine(shipped())) > 0


def test_the_engine_as_it_is_breaks_no_law(engine: Engine) -> None:
    """The same draws, nothing wrong."""
    assert broken(engine) == 0
