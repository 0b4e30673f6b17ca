"""Each law is shown to catch an engine that breaks it: the engines here are wrong on purpose."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

import pytest

from strandline.care import actions, core, parts, resolve
from strandline.care.engine import Engine
from strandline.care.parts import PartClock
from strandline.care.resolve import Resolved
from strandline.knowledge.base import shipped
from strandline.things.plan import Hazard
from tests.care.draws import an_addition, an_object
from tests.care.laws import check_adding, check_refining, check_shape

DRAWS = 250


def broken_laws(law: Callable[[Engine, Random], None]) -> int:
    """How many of DRAWS random objects show the law broken, with a fresh engine."""
    engine = Engine(shipped())
    count = 0
    for seed in range(DRAWS):
        try:
            law(engine, Random(seed))
        except AssertionError:
            count += 1
    return count


def adding(engine: Engine, rng: Random) -> None:
    facts = an_object(rng, engine.book.knowledge)
    what, more = an_addition(rng, facts, engine.book)
    check_adding(engine, facts, more, what)


def refining(engine: Engine, rng: Random) -> None:
    facts = an_object(rng, engine.book.knowledge)
    for index in range(len(facts.parts)):
        check_refining(engine, facts, index)


def whole(engine: Engine, rng: Random) -> None:
    check_shape(engine, an_object(rng, engine.book.knowledge))


def test_the_engine_as_it_is_breaks_no_law() -> None:
    assert [broken_laws(law) for law in (adding, refining, whole)] == [0, 0, 0]


def test_a_last_part_wins_engine_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    right = actions.whole
    monkeypatch.setattr(core, "whole", lambda held, book, stop: right(held[-1:], book, stop))
    assert broken_laws(adding) > 0


def test_a_first_member_envelope_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parts, "_envelope", lambda members, evals: evals[0])
    assert broken_laws(refining) > 0


def test_a_latest_clock_engine_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    def latest(clock: PartClock, held: dict[tuple[str, str], PartClock]) -> None:
        have = held.get((clock.key, clock.origin))
        if have is None or clock.at_h > have.at_h:
            held[clock.key, clock.origin] = clock

    monkeypatch.setattr(parts, "_keep_earliest", latest)
    assert broken_laws(adding) > 0
    assert broken_laws(refining) > 0


def test_an_engine_that_drops_guards_under_a_stop_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    right = core._hazards

    def only_stops(held, passes, book):  # type: ignore[no-untyped-def]  # a stand-in for one function
        found: tuple[Hazard, ...] = right(held, passes, book)
        stops = tuple(one for one in found if one.grade == "stop")
        return stops or found

    monkeypatch.setattr(core, "_hazards", only_stops)
    assert broken_laws(adding) > 0


def test_an_engine_that_hides_conflicts_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    right = resolve.resolve

    def silent(held, book, waters):  # type: ignore[no-untyped-def]  # a stand-in for one function
        found: Resolved = right(held, book, waters)
        return Resolved(found.limits, found.because, (), found.open_limits, found.local_air)

    monkeypatch.setattr(resolve, "resolve", silent)
    assert broken_laws(adding) > 0


def test_an_engine_that_says_yes_under_a_stop_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    right = actions.whole
    monkeypatch.setattr(core, "whole", lambda held, book, stop: right(held, book, ()))
    assert broken_laws(whole) > 0


def test_an_engine_without_a_holding_instruction_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(core, "holding", lambda *_, **__: ((), ()))
    assert broken_laws(whole) > 0
