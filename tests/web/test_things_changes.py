"""What another plan changes, and the hours put back into a kept one: pure functions against the engine."""

from __future__ import annotations

import copy
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.care.engine import Engine
from strandline.knowledge.base import shipped
from strandline.records.snapshot import snapshot
from strandline.services.looks.changes_of_plan import changes_of_plan, sentences
from strandline.services.looks.things_hours import hours_at
from strandline.things.facts import Facts, Part
from tests.records.cast import NOW
from tests.services.doing import BAROMETER, CHEST, facts

ENGINE = Engine(shipped())
JAR = (Part("p1", "jar", "stoneware", "ceramic"),)
UNKNOWN = (Part("p1", "box", "unknown", "unknown"),)
THINGS: dict[str, dict[str, Any]] = {
    "chest": {"parts": CHEST},
    "barometer": {"parts": BAROMETER, "joins": ()},
    "jar": {"parts": JAR, "joins": ()},
    "unknown": {"parts": UNKNOWN, "joins": ()},
}


def result(given_facts: Facts, at: datetime = NOW) -> dict[str, Any]:
    """A plan as it is kept."""
    return snapshot(given_facts, ENGINE.plan(given_facts, at)).result


moments = st.integers(-300, 300).map(lambda minutes: NOW + timedelta(minutes=minutes))


@given(
    thing=st.sampled_from(sorted(THINGS)),
    wet=st.none() | moments,
    out=st.none() | moments,
    at=st.integers(0, 60 * 24 * 20).map(lambda minutes: NOW + timedelta(minutes=minutes)),
)
def test_the_hours_are_those_of_the_engine(
    thing: str, wet: datetime | None, out: datetime | None, at: datetime
) -> None:
    """Same clocks in the same order, same hours left, same end of the holding instruction, same loss."""
    given_facts = facts(**THINGS[thing], wet_since=wet, out_since=out)
    kept = snapshot(given_facts, ENGINE.plan(given_facts, NOW))
    now = ENGINE.plan(given_facts, at)
    found = hours_at(kept.facts, kept.result, at)
    shown = [
        (one["key"], one["origin"], one["left_h"], one["state"], one["lost_after"]) for one in found.clocks
    ]
    assert shown == [(one.key, one.origin, one.left_h, one.state, one.lost_after) for one in now.clocks]
    assert found.hours_left == now.hours_left
    assert (found.good_until_h, found.good_until) == (now.holding.good_until_h, now.holding.good_until)
    assert found.lost_after == now.holding.lost_after


def test_the_same_plan_again_changes_nothing() -> None:
    """Whatever the hour it was made at."""
    later = result(facts(), NOW + timedelta(hours=9))
    found = changes_of_plan(result(facts()), later)
    assert found["same"]
    assert not sentences(found)


def bare() -> Facts:
    """The chest whose bands were looked at and are bare."""
    return facts(parts=(CHEST[0], replace(CHEST[1], features=("bare",), surface="stated")))


def test_a_look_loosens_and_says_why() -> None:
    """The local verdict on the bands, the look that is no step any more, the question that is gone."""
    found = changes_of_plan(result(facts()), result(bare()))
    loose = {(one["action"], one["part"]): one for one in found["verdicts"] if one["way"] == "loosened"}
    assert loose
    assert not [one for one in found["verdicts"] if one["way"] == "tightened"]
    assert any("paint, gilding" in one for one in found["questions_gone"])
    told = sentences(found, "looked at by helper 3, 11:05: no paint seen")
    (key, part), one = next(iter(loose.items()))
    start = f"{one['word']} ({part})" if part else one["word"]
    line = next(line for line in told if line.startswith(start))
    assert " was " in line
    assert line.endswith("because looked at by helper 3, 11:05: no paint seen.")
    assert key


def test_paint_seen_tightens() -> None:
    """What was careful on bare iron is not on painted iron."""
    painted = facts(
        parts=(CHEST[0], replace(CHEST[1], features=("painted", "flaking_paint"), surface="stated"))
    )
    found = changes_of_plan(result(bare()), result(painted))
    assert "tightened" in {one["way"] for one in found["verdicts"]}
    assert all(one["rules_new"] for one in found["verdicts"] if one["way"] == "tightened" and not one["part"])


def test_there_and_back_are_opposites() -> None:
    """What one way loosens, the other tightens; steps and hazards that come are those that went."""
    one, two = result(facts()), result(facts(parts=BAROMETER, joins=()))
    there, back = changes_of_plan(one, two), changes_of_plan(two, one)
    assert {h["key"] for h in there["hazards_new"]} == {h["key"] for h in back["hazards_gone"]} >= {"mercury"}
    assert {s["key"] for s in there["steps_new"]} == {s["key"] for s in back["steps_gone"]}
    whole = [
        {v["action"]: (v["was"], v["is"]) for v in way["verdicts"] if not v["part"]} for way in (there, back)
    ]
    assert whole[0] == {key: (b, a) for key, (a, b) in whole[1].items()}
    assert there["route"]["is"] == back["route"]["was"]
    assert sentences(there)
    assert sentences(back)


def test_an_action_that_is_not_spoken_of_is_the_conservators() -> None:
    """Its verdict is refer, so that taking it out of a plan that referred it changes nothing."""
    before = result(facts())
    after = copy.deepcopy(before)
    gone = next(key for key, one in after["actions"].items() if one["verdict"] == "refer")
    allowed = next(key for key, one in after["actions"].items() if one["verdict"] == "careful")
    del after["actions"][gone], after["actions"][allowed]
    (found,) = changes_of_plan(before, after)["verdicts"]
    assert (found["action"], found["was"], found["is"], found["way"]) == (
        allowed,
        "careful",
        "refer",
        "tightened",
    )


@pytest.mark.parametrize(
    "change", ["limits", "clocks", "zone", "cover", "hows", "overruled", "steps_reworded"]
)
def test_each_kind_of_change_is_told(change: str) -> None:
    """One difference of one kind: that kind is named, no other, and it makes a sentence or a line."""
    before = result(facts())
    after = copy.deepcopy(before)
    match change:
        case "limits":
            after["limits"]["rh_percent"] = [40, 45]
        case "clocks":
            after["clocks"][0]["at_h"] += 1
        case "zone":
            after["zone"] = "mid_dry"
        case "cover":
            after["cover"] = None
        case "hows":
            after["actions"]["lift"]["how"] = "Two people."
        case "overruled":
            after["overrides"] = ["act.lift.all: object: somebody: the stair is wet"]
        case "steps_reworded":
            after["steps"][0]["text"] = "Another way."
    found = changes_of_plan(before, after)
    assert [key for key, value in found.items() if value and key != "same"] == [change]
    assert not found["same"]
    assert len(sentences(found)) == (0 if change == "overruled" else 1)


def test_a_released_stop_is_told() -> None:
    """It is a guard in the second plan, and named as released."""
    stopped = facts(parts=BAROMETER, joins=())
    found = changes_of_plan(result(stopped), result(replace(stopped, released=("mercury",))))
    assert found["released"] == ["mercury"]
    assert any("released" in line for line in sentences(found))


def test_times_without_offset_do_not_get_here() -> None:
    """A kept moment has its offset, so hours are counted in UTC whatever the zone."""
    kept = snapshot(facts(wet_since=NOW), ENGINE.plan(facts(wet_since=NOW), NOW))
    assert datetime.fromisoformat(kept.facts["facts"]["wet_since"]).tzinfo == UTC
