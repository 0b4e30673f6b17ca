"""The order kept in a process says what a plain computation says, whatever happens to the record."""

from __future__ import annotations

import random
import threading
import time
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from strandline.care.engine import Engine
from strandline.knowledge.base import shipped
from strandline.pipeline.ordering import job_from_plan
from strandline.records import translate
from strandline.records.models.acts import Act
from strandline.records.models.objects import Object
from strandline.services import ranking as under_test
from strandline.services.changes import table
from strandline.services.end_step import end_step
from strandline.services.plan import newest, plan
from strandline.services.ranking import LATE_S, Ranking, Standing
from strandline.things.facts import Part
from strandline.workplan.loss import cost_of_waiting
from tests.records.cast import NOW, incident
from tests.services.doing import barometer, by, received

pytestmark = pytest.mark.django_db

WET, OUT = datetime(2026, 3, 15, 2, 40, tzinfo=UTC), datetime(2026, 3, 15, 15, 10, tzinfo=UTC)
MADE_OF: tuple[tuple[str, str], ...] = (
    ("oak", "wood"), ("iron", "metal"), ("stoneware", "ceramic"), ("leather_vegetable", "skin"),
    ("bone", "osseous"), ("brass", "metal"),
)  # fmt: skip


def a_thing(n: int, **more: Any) -> Object:
    """A planned thing of one of several materials."""
    material, family = MADE_OF[n % len(MADE_OF)]
    wanted: dict[str, Any] = {
        "parts": (Part("p1", "body", material, family, surface="stated"),), "joins": (), "wet_since": WET,
        "out_since": OUT, "significance": 1 + n % 5, **more,
    }  # fmt: skip
    thing = received(f"{n + 1:04d}", **wanted)
    plan(by(), thing)
    return thing


def as_told(standing: Standing) -> tuple[list[str], ...]:
    """Tags of each group in order."""
    groups = (standing.ordered, standing.stopped, standing.at_rest, standing.unplanned)
    return tuple([one.tag for one in group] for group in groups)


def test_costs_are_those_of_the_order_of_work() -> None:
    """Weight times the loss to come, by the very jobs the order of work is made from; and so is the order."""
    things = [a_thing(n) for n in range(12)]
    engine = Engine(shipped())
    wanted = {}
    for thing in things:
        facts = translate.facts_at(thing, NOW)
        job = job_from_plan(facts, engine.plan(facts, NOW))
        wanted[thing.pk] = job.weight * sum(cost_of_waiting(loss.points, 0.0, 12.0) for loss in job.losses)
    standing = Ranking().of(incident(), NOW)
    assert standing.cost == pytest.approx(wanted, rel=1e-9)
    assert len({*wanted.values()}) > 6
    by_cost = sorted(things, key=lambda one: (-standing.cost[one.pk], -one.significance, one.tag))
    assert [one.tag for one in standing.ordered] == [one.tag for one in by_cost]


def test_hours_left_are_the_plans() -> None:
    """The clock that presses most, as the plan of that hour says."""
    things = {thing.pk: thing for thing in (a_thing(0), a_thing(1), a_thing(2))}
    engine = Engine(shipped())
    for one in Ranking().of(incident(), NOW).ordered:
        facts = translate.facts_at(things[one.pk], NOW)
        assert one.hours_left(NOW) == pytest.approx(engine.plan(facts, NOW).hours_left, abs=0.01)


def test_what_nobody_may_or_need_do_is_not_in_the_order() -> None:
    """Under a stop, without a step left, without a plan: each apart, and costing nothing."""
    first, second = a_thing(0), a_thing(1)
    found = newest(second)
    assert found is not None
    for step in found.result["steps"]:
        end_step(by(), found, step["key"], "not_done", "no_time")
    stopped = barometer()
    plan(by(), stopped)
    received("0044")
    standing = Ranking().of(incident(), NOW)
    assert as_told(standing) == ([first.tag], [stopped.tag], [second.tag], ["0044"])
    assert {standing.cost[pk] for pk in (second.pk, stopped.pk)} == {0.0}


def test_nothing_new_is_one_question_to_the_record(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    """However many things there are; what changed is read and nothing else."""
    for n in range(8):
        a_thing(n)
    kept = Ranking()
    kept.of(incident(), NOW)
    where = incident()
    with django_assert_num_queries(1):
        before = kept.of(where, NOW + timedelta(seconds=59))
    assert before.at == NOW
    plan(by(), Object.objects.get(tag="0003"))
    with django_assert_num_queries(4):
        assert as_told(kept.of(where, NOW)) == as_told(before)


def test_hours_go_by_once_a_minute() -> None:
    """The same order for a minute, then one at the new hour."""
    a_thing(0)
    kept = Ranking()
    first = kept.of(incident(), NOW)
    assert kept.of(incident(), NOW + timedelta(seconds=59)) is first
    later = kept.of(incident(), NOW + timedelta(seconds=60))
    assert later.at == NOW + timedelta(seconds=60)
    assert later.cost != first.cost
    assert kept.of(incident(), NOW).at == NOW, "a clock set back is followed"


@pytest.fixture
def few_acts(monkeypatch: pytest.MonkeyPatch) -> None:
    """So many acts at once that everything is read anew."""
    monkeypatch.setattr(under_test, "MANY", 2)


def random_acts(seed: int, kept: Ranking, every: int) -> None:
    """Random acts; now and then the kept order is compared with one made from nothing."""
    draw = random.Random(seed)
    for n in range(24):
        things = list(Object.objects.order_by("pk"))
        if len(things) < 4 or draw.random() < 0.3:
            a_thing(len(things))
        else:
            thing = draw.choice(things)
            found = newest(thing)
            assert found is not None
            if draw.random() < 0.4 or not thing.next_step:
                plan(by(), thing)
            else:
                end_step(by(), found, thing.next_step, "not_done", "no_time")
        if n % every == 0:
            at = NOW + timedelta(seconds=7 * n)
            mine, fresh = kept.of(incident(), at), Ranking().of(incident(), at)
            again = Ranking().of(incident(), mine.at)
            assert as_told(mine) == as_told(again)
            assert mine.cost == again.cost
            assert as_told(fresh)[1:] == as_told(mine)[1:]


@pytest.mark.parametrize("seed", range(3))
def test_kept_and_fresh_agree_after_random_acts(seed: int) -> None:
    """Whatever was done in between, one act at a time or several."""
    random_acts(seed, Ranking(), every=1 + seed)


@pytest.mark.usefixtures("few_acts")
def test_kept_and_fresh_agree_where_much_happened() -> None:
    """Also where it is cheaper to read everything anew."""
    random_acts(7, Ranking(), every=5)


def an_act(number: int, thing: Object) -> None:
    """An act of this number that changed a thing, as another server may have written it."""
    Object.objects.filter(pk=thing.pk).update(significance=5)
    device_act = by()
    Act.objects.create(
        id=number, key=device_act.key, kind="observe", incident=incident(), object=None,
        person=device_act.person, device_at=NOW, server_at=NOW, payload={}, before={},
        after={table(Object): {str(thing.uid): {"significance": 5}}},
    )  # fmt: skip


def significance(kept: Ranking) -> dict[str, int]:
    """What is held of each thing's significance, by tag."""
    return {held.tag: held.significance for held in kept.of(incident(), NOW).ordered}


def test_an_act_numbered_earlier_and_seen_later_is_not_missed() -> None:
    """Numbers are given before transactions end: the order they are seen in is another."""
    one, other = a_thing(0, significance=1), a_thing(1, significance=1)
    seconds = [0.0]
    kept = Ranking(lambda: seconds[0])
    kept.of(incident(), NOW)
    an_act(1_000_000, one)
    assert {held.tag: held.significance for held in kept.of(incident(), NOW).ordered} == {
        "0001": 5,
        "0002": 1,
    }
    seconds[0] = LATE_S / 2
    an_act(999_999, other)
    assert {held.tag: held.significance for held in kept.of(incident(), NOW).ordered} == {
        "0001": 5,
        "0002": 5,
    }
    seconds[0] = 3 * LATE_S
    kept.of(incident(), NOW)
    state = next(iter(kept._kept.values()))
    assert (state.settled, state.seen) == (1_000_000, {}), "what is settled is not kept for ever"


def test_what_was_merged_leaves_the_order() -> None:
    """Its tag stands for the other one from then on."""
    one, other = a_thing(0), a_thing(1)
    kept = Ranking()
    kept.of(incident(), NOW)
    Object.objects.filter(pk=other.pk).update(merged_into=one)
    an_act(1_000_000, other)
    assert [held.tag for held in kept.of(incident(), NOW).ordered] == ["0001"]


def test_incidents_are_kept_apart() -> None:
    """Another incident's things are in its own order."""
    a_thing(0)
    kept = Ranking()
    assert as_told(kept.of(incident(), NOW))[0] == ["0001"]
    assert as_told(kept.of(incident("ORNL2"), NOW)) == ([], [], [], [])


def test_many_readers_at_once_rank_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Threads of one server wait for the one that ranks, and read the very same."""
    a_thing(0)
    kept, where, found = Ranking(), incident(), []
    kept.of(where, NOW)
    times = []

    def slowly(*given: Any) -> Standing:
        times.append(1)
        time.sleep(0.05)
        return ranked(*given)

    ranked = under_test._ranked
    monkeypatch.setattr(under_test, "_ranked", slowly)
    # Threads have connections of their own, which do not see what a test has not committed.
    monkeypatch.setattr(kept, "_catch_up", lambda *_given: set())
    later = NOW + timedelta(hours=1)
    readers = [threading.Thread(target=lambda: found.append(kept.of(where, later))) for _ in range(6)]
    for reader in readers:
        reader.start()
    for reader in readers:
        reader.join()
    assert len(found) == 6
    assert all(one is found[0] for one in found)
    assert (found[0].at, len(times)) == (later, 1)
