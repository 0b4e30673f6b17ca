"""From plans to an order: chains, losses, stops, defaults."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from strandline.knowledge.base import shipped
from strandline.pipeline.ordering import (
    IN_PLACE,
    STATIONS,
    default_crew,
    job_from_plan,
    problem_from_plans,
    work_order,
)
from strandline.things.facts import Facts, Part
from strandline.things.plan import Clock, Hazard, Holding, Plan, Step
from strandline.things.work import Crew, share_at
from strandline.workplan.checker import check

AS_OF = datetime(2026, 3, 15, 15, 40, tzinfo=UTC)
UNTIL = AS_OF + timedelta(hours=3)


def facts(tag: str = "0017", significance: int = 4, title: str = "Harpoon, iron in ash") -> Facts:
    """A harpoon."""
    part = Part("p1", "head", "iron", "metal", span="iron", column="title")
    return Facts(tag, 2, title=title, parts=(part,), significance=significance)


def step(n: int, key: str, kind: str, station: str = "bench", **other: object) -> Step:
    """A helper's step of five minutes."""
    made = Step(n, key, None, kind, ("p1",), f"{key}.", "helper", 1, 5.0, station, (f"step.{key}",))
    return replace(made, **other)  # type: ignore[arg-type]  # any field


STEPS = (
    step(1, "photograph", "cheap"),
    step(2, "look_surface", "look", role="conservator"),
    step(3, "rinse", "act", "rinse", action="rinse"),
    step(4, "drip_dry", "act", "drain"),
    step(5, "look_again", "look"),
    step(6, "note", "record", "records"),
    step(7, "watch_mould", "watch"),
)
RUST = Clock("rust", "emerged", 4.0, None, "rate", "p1", (), left_h=3.0, state="running")


def plan(
    steps: tuple[Step, ...] = STEPS, clocks: tuple[Clock, ...] = (RUST,), hazards: tuple[Hazard, ...] = ()
) -> Plan:
    """A plan with a rust clock of three hours left."""
    return Plan(
        parts={},
        hazards=hazards,
        actions={},
        route="dry",
        route_because=(),
        zone="fast_dry",
        cover=None,
        limits={},
        limits_because={},
        clocks=clocks,
        start_by=clocks[0] if clocks else None,
        holding=Holding(("Shade, level, tray under.",), 3.0, UNTIL),
        steps=steps,
        conflicts=(),
        disagreements=(),
        assumed=(),
        hours_left=3.0,
    )


MERCURY = Hazard("mercury", "stop", "object", "Silver liquid: out, door shut.", (), 5.0, "fire brigade")
SEWAGE = Hazard("sewage", "guard", "site", "Gloves.", ())


def test_a_plan_becomes_a_chain() -> None:
    """Leading cheap steps where the object stands, then holding, then the rest; watching is left out."""
    job = job_from_plan(facts(), plan())
    assert [(op.step, op.station) for op in job.ops] == [
        ("photograph", IN_PLACE),
        ("look_surface", IN_PLACE),
        ("hold", IN_PLACE),
        ("rinse", "rinse"),
        ("drip_dry", "drain"),
        ("look_again", "bench"),
        ("note", "records"),
    ]
    assert job.ops[1].role == "conservator"
    assert job.ops[4].wait_h == 1.0
    assert job.ops[job.stable_after].step == "look_again"


def test_short_acts_do_not_end_the_first_steps() -> None:
    """A label copied and a crumb picked up before the look stay with it; what a verdict bears on does not."""
    early = (
        step(1, "tag", "cheap"),
        step(2, "copy_label", "record", "records"),
        step(3, "collect_fragments", "act"),
        step(4, "look_surface", "look"),
        step(5, "carry", "act", action="lift"),
        step(6, "rinse", "act", "rinse", action="rinse"),
        step(7, "look_after_rinse", "look", "rinse"),
    )
    job = job_from_plan(facts(), plan(early))
    assert [op.kind for op in job.ops] == ["cheap", "cheap", "cheap", "look", "cheap", "act", "act", "look"]
    assert job.ops[4].step == "hold"


def test_every_step_that_ships_has_a_station_here() -> None:
    """No shipped step of the first order names a place, a role or a kind that is not known here."""
    rules = [rule for rule in shipped().steps if rule.kind != "watch"]
    assert len(rules) > 20
    assert {rule.station for rule in rules} <= {station.key for station in STATIONS}
    for rule in rules:
        made = step(1, rule.step, rule.kind, rule.station, role=rule.role, people=rule.people)
        assert rule.step in {op.step for op in job_from_plan(facts(), plan((made,))).ops}


def test_weight_and_loss_come_from_significance_and_clocks() -> None:
    """Significance 4 weighs 8; rust takes what it has not taken yet."""
    job = job_from_plan(facts(), plan())
    assert job.weight == 8
    assert (job.hours_left, job.good_until, job.about, job.zone) == (3.0, UNTIL, "iron", "fast_dry")
    assert share_at(job.losses[0].points, 3.0) == pytest.approx(0.3 - 0.075)


def test_mud_takes_only_a_part() -> None:
    """A clock that takes a part of the worth only is counted so."""
    mud = replace(RUST, key="soil_sets")
    job = job_from_plan(facts(), plan(clocks=(mud,)))
    assert share_at(job.losses[0].points, 1e6) == pytest.approx(0.3 * (1 - 0.075))


@pytest.mark.parametrize(
    ("clocks", "minutes", "now"),
    [
        ((RUST,), 5.0, True),
        ((replace(RUST, left_h=None),), 5.0, True),
        ((replace(RUST, at_h=72.0, left_h=71.0),), 5.0, False),
        ((RUST,), 90.0, False),
        ((), 5.0, False),
    ],
)
def test_now_is_a_running_loss_that_little_work_ends(
    clocks: tuple[Clock, ...], minutes: float, now: bool
) -> None:
    """Both are needed."""
    steps = tuple(replace(one, minutes=minutes) if one.key == "rinse" else one for one in STEPS)
    assert job_from_plan(facts(), plan(steps, clocks)).now is now


def test_only_a_stop_holds_an_object() -> None:
    """A guard does not; a stop is announced with who must release it, and nothing is scheduled."""
    items = [
        (facts("0001"), plan(hazards=(SEWAGE,))),
        (facts("0002"), plan(hazards=(SEWAGE, MERCURY))),
    ]
    made = work_order(items, AS_OF)
    assert made.schedule.announced == ("0002",)
    assert made.schedule.order == ("0001",)
    stopped = made.problem.jobs[1]
    assert (stopped.stop, stopped.stop_say, stopped.now) == ("mercury", MERCURY.say, False)
    assert stopped.release.startswith("fire brigade: ")


def test_the_whole_way_passes_the_checker() -> None:
    """Plans in, order out, sentences for each; the pressing one first."""
    calm = replace(RUST, at_h=200.0, left_h=190.0)
    items = [
        (facts(f"{n:04d}", 1 + n % 5), plan(clocks=(calm,) if n != 7 else (RUST,))) for n in range(1, 31)
    ]
    made = work_order(items, AS_OF)
    assert check(made.problem, made.schedule) == ()
    assert made.schedule.order[0] == "0007"
    assert set(made.why) == set(made.schedule.order)
    assert made.why["0007"].why.startswith("Before 29 others: iron, rust has 3 h left, rated 3 of 5, ")


def test_rows_may_come_in_any_order() -> None:
    """The same plans give the same order."""
    items = [(facts(f"{n:04d}", 1 + n % 5), plan()) for n in range(1, 20)]
    assert work_order(items, AS_OF) == work_order(items[::-1], AS_OF)


def test_fewer_hands_lose_more() -> None:
    """The second day has three helpers: no less is lost than with five."""
    items = [(facts(f"{n:04d}", 1 + n % 5), plan()) for n in range(1, 80)]
    many = work_order(items, AS_OF, default_crew())
    few = work_order(items, AS_OF, default_crew(helpers=3))
    assert few.schedule.loss > many.schedule.loss


def test_default_crew_and_stations() -> None:
    """A lead, an assistant, five helpers; two basins, six drains, fourteen tables, four benches, one desk."""
    crew = default_crew()
    assert (crew.conservators, crew.helpers) == (2, 5)
    assert [(one.key, one.places) for one in STATIONS] == [
        (IN_PLACE, None),
        ("hold", None),
        ("rinse", 2),
        ("drain", 6),
        ("dry", 14),
        ("bench", 4),
        ("records", 1),
    ]


def test_a_crew_without_shifts_places_nothing() -> None:
    """Everything is listed with a reason."""
    made = work_order([(facts(), plan())], AS_OF, Crew(1, 1, ()))
    assert made.schedule.order == ()
    assert [one.reason for one in made.schedule.unplaced] == ["longer_than_shift"]


def test_what_is_wrong_is_refused() -> None:
    """A moment without zone, two objects of one tag, a role and a kind nobody knows."""
    naive = AS_OF.replace(tzinfo=None)
    with pytest.raises(ValueError, match="time zone"):
        problem_from_plans([], default_crew(), STATIONS, naive)
    with pytest.raises(ValueError, match="one job"):
        problem_from_plans([(facts(), plan())] * 2, default_crew(), STATIONS, AS_OF)
    with pytest.raises(ValueError, match="role"):
        job_from_plan(facts(), plan((step(1, "rinse", "act", role="diver"),)))
    with pytest.raises(ValueError, match="kind"):
        job_from_plan(facts(), plan((step(1, "rinse", "miracle"),)))
    with pytest.raises(ValueError, match="shape"):
        job_from_plan(facts(), plan(clocks=(replace(RUST, shape="spiral"),)))
