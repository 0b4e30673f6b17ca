"""The laws of plans as checks that raise AssertionError: adding, refining, overriding."""

from __future__ import annotations

from strandline.care.core import Core, named_harms
from strandline.care.engine import Engine
from strandline.care.parts import members_of
from strandline.knowledge import models as m
from strandline.things.facts import Facts

RANK = m.VERDICT_RANK
GRADES = {"note": 0, "guard": 1, "stop": 2}


def check_adding(engine: Engine, before: Facts, after: Facts, what: str) -> None:
    """A further fact makes no verdict milder, no deadline later, drops no hazard, widens no limit
    without a named conflict."""
    old, new = (engine.core(engine.signature(facts)) for facts in (before, after))
    for action, verdict in old.actions.items():
        if action not in m.NOT_MONOTONE:
            now = new.actions[action].verdict if action in new.actions else "refer"
            assert RANK[now] >= RANK[verdict.verdict], (
                f"{what}: {action} went from {verdict.verdict} to {now}"
            )
    lost = named_harms(old) - named_harms(new)
    assert not lost, f"{what}: harms no longer named: {sorted(lost)}"
    grades = {hazard.key: GRADES[hazard.grade] for hazard in new.hazards}
    for hazard in old.hazards:
        assert grades.get(hazard.key, -1) >= GRADES[hazard.grade], f"{what}: hazard {hazard.key} went milder"
    hours = {(clock.key, clock.origin): clock.at_h for clock in new.clocks}
    for clock in old.clocks:
        now_h = hours.get((clock.key, clock.origin), 1e9)
        assert now_h <= clock.at_h + 1e-9, f"{what}: clock {clock.key} moved from {clock.at_h} to {now_h}"
    check_limits(old, new, what)


def check_limits(old: Core, new: Core, what: str) -> None:
    """Each limit lies inside the old one, or a conflict names it and its result was wanted."""
    for limit, (low, high) in old.resolved.limits.items():
        named = [one for one in new.resolved.conflicts if one.about == f"limit:{limit}"]
        now = new.resolved.limits.get(limit)
        if now is None:
            assert any(one.state == "open" for one in named), f"{what}: {limit} vanished without a conflict"
            continue
        inside = low <= now[0] + 1e-9 and now[1] <= high + 1e-9
        assert inside or named, f"{what}: {limit} went from {(low, high)} to {now} without a conflict"
        for one in named:
            assert one.state == "open" or one.result in one.wants.values(), (
                f"{what}: {limit} result not wanted"
            )


def check_refining(engine: Engine, facts: Facts, index: int) -> None:
    """Naming an unknown part may only loosen, and gives what that material alone gives."""
    sig = engine.signature(facts)
    part_id, part = sig.parts[index]
    wide = engine.evaluate(part, sig.around)
    for key in members_of(part, engine.book):
        family = engine.book.knowledge.materials[key].family
        named = type(part)(key, family, (), part.features, part.joins, part.silent)
        narrow = engine.evaluate(named, sig.around)
        for action, rank in narrow.ranks.items():
            assert rank <= wide.ranks.get(action, -1), (
                f"{part_id} as {key}: {action} is stricter than the envelope"
            )
        for which, clock in narrow.clocks.items():
            held = wide.clocks.get(which)
            assert held is not None, f"{part_id} as {key}: {which} is not in the envelope"
            assert held.at_h <= clock.at_h + 1e-9, f"{part_id} as {key}: {which} comes earlier"
        for duty in narrow.duties:
            assert duty in wide.duties, f"{part_id} as {key}: duty {duty} is not in the envelope"


def check_shape(engine: Engine, facts: Facts) -> None:
    """What holds for every plan, whatever the facts."""
    made = engine.core(engine.signature(facts))
    for action, one in made.actions.items():
        if one.verdict != "yes":
            assert one.how, f"{action} {one.verdict} has no how"
            assert one.because, f"{action} {one.verdict} has no because"
    assert made.actions["sun"].verdict == "no"
    assert made.hold, "no holding instruction"
    assert made.steps, "no step at all"
    if made.stopped:
        assert made.routed.route == "wait_for_conservator"
        assert made.routed.zone == "hazard_hold"
        assert all(RANK[one.verdict] >= RANK["refer"] for one in made.actions.values())
    drying = [a for a in ("blot", "drip_dry", "moving_air", "warm_air", "vented_bag") if a in made.actions]
    if made.routed.route == "dry" and not made.stopped and made.routed.zone != "mould_apart":
        conflict = bool(made.resolved.conflicts or made.routed.conflicts)
        able = any(made.actions[action].verdict != "no" for action in drying)
        assert able or conflict, "must dry, and every way of taking water off is no"
    for step in made.steps:
        assert step.verdict != "no", f"step {step.key} is forbidden"
        if step.verdict == "refer":
            assert step.role == "conservator", f"step {step.key} is the conservator's"
