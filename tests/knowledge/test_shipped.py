"""What holds for all of the shipped knowledge."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

import pytest

from strandline.care.engine import Engine
from strandline.care.route import zone_for
from strandline.knowledge import models as m
from strandline.knowledge.base import load, shipped, shipped_texts
from strandline.things.facts import Facts, Part

SENTENCES = (
    "say",
    "why",
    "how",
    "do",
    "text",
    "lost_after",
    "use",
    "then",
    "taken",
    "call",
    "licensed_only",
    "observe",
)
FORBIDDEN = (
    r"\bsafe\b",
    r"\bsterile\b",
    r"\bsaniti[sz]",
    r"\bcertificat",
    r"\boverdue\b",
    r"\bsniff",
    r"\bsmell it\b",
    r"(?<!cotton )\btape\b(?! measure| recording)",
    r"\bsticky tape\b",
)


def sentences() -> Iterator[tuple[str, str, str]]:
    for kind, entry in shipped().entries():
        if kind in {"source", "caution", "supply"}:
            continue
        name = getattr(entry, "id", None) or getattr(entry, "key", "?")
        for field in SENTENCES:
            value = getattr(entry, field, None)
            if isinstance(value, str) and value:
                yield str(name), field, value


def test_every_family_of_the_trade_is_there() -> None:
    counted = Counter(material.family for material in shipped().materials.values())
    for family in m.FAMILIES:
        if family != "unknown":
            assert counted[family], f"no material of family {family}"


def test_at_most_a_third_of_a_family_must_be_named() -> None:
    for family in m.FAMILIES:
        members = [one for one in shipped().materials.values() if one.family == family]
        named = [one for one in members if one.must_be_named]
        assert len(named) * 3 <= len(members), f"{family}: {[one.key for one in named]}"


def test_no_reason_serves_more_than_eight_rules() -> None:
    counted = Counter(
        entry.why for _, entry in shipped().entries() if isinstance(entry, (m.Reasoned, m.ConflictRule))
    )
    assert [(why, count) for why, count in counted.items() if count > 8] == []


def test_rule_ids_are_unique_across_kinds() -> None:
    ids = Counter(entry.id for _, entry in shipped().entries() if isinstance(entry, m.Reasoned))
    assert [name for name, count in ids.items() if count > 1] == []


def test_no_sentence_promises_or_orders_what_must_not_be_said() -> None:
    found = [
        (name, field, text)
        for name, field, text in sentences()
        for pattern in FORBIDDEN
        if re.search(pattern, text, re.IGNORECASE)
    ]
    assert found == []


def test_the_24_conflicts_of_materials_and_3_texts_of_advice_are_there() -> None:
    knowledge = shipped()
    specific = [
        rule
        for rule in knowledge.conflicts
        if rule.rank <= 500 and (rule.a != m.Side() or rule.b != m.Side())
    ]
    assert len(specific) >= 24
    assert len(knowledge.advice) == 3


def test_a_stop_says_how_far_and_whom_to_call() -> None:
    stops = [rule for rule in shipped().hazards if rule.grade == "stop"]
    assert len(stops) >= 8
    for rule in stops:
        assert rule.keep_m is not None
        assert rule.keep_m >= 2
        assert rule.call


@pytest.mark.parametrize("key", sorted(shipped().materials))
def test_zone_of_every_material_by_counting_percent_points(key: str) -> None:
    """The zone with most whole percent points in common; a tie goes to the slower (another method than
    the engine's)."""
    material = shipped().materials[key]
    if material.rh_percent is None:
        assert zone_for(None, organic=material.organic) == "slow_dry"
        return
    low, high = (round(value * 10) for value in material.rh_percent)
    soft = material.organic or material.family in {"plastic", "wax"}
    if soft and low <= 0:
        low = min(400, high)
    zones = {"slow_dry": range(500, 600), "mid_dry": range(450, 550), "fast_dry": range(0, 400)}
    common = {name: len(set(span) & set(range(low, high))) for name, span in zones.items()}
    best = max(common.values())
    expected = next((name for name in zones if common[name] == best and best > 0), None)
    got = zone_for(material.rh_percent, organic=soft)
    if expected is None:
        assert got == "mid_dry", "a band between the zones goes to the middle one"
    else:
        assert got == expected


@pytest.fixture(scope="module")
def engine() -> Engine:
    return Engine(shipped())


EXEMPT = {"operate", "take_apart"}
REMOVES_WATER = {"blot", "drip_dry", "moving_air", "warm_air", "vented_bag", "wipe"}


@pytest.mark.parametrize(
    "key",
    sorted(
        one.key
        for one in shipped().materials.values()
        if not one.must_be_named and one.duty not in {"stop", "wait", "stay_wet"}
    ),
)
def test_a_sound_single_material_leaves_something_to_do(engine: Engine, key: str) -> None:
    """At least six actions are neither no nor refer, one of them taking water off."""
    material = shipped().materials[key]
    facts = Facts(
        "0001",
        2,
        parts=(Part("p1", "", key, material.family, surface="stated"),),
        water=("clean",),
        wet_state="under_water",
        mass_g=500.0,
    )
    actions = engine.core(engine.signature(facts)).actions
    able = {name for name, one in actions.items() if one.verdict in {"yes", "careful"}} - EXEMPT
    assert len(able) >= 6, sorted(able)
    assert able & REMOVES_WATER


def test_the_hash_follows_the_text() -> None:
    texts = shipped_texts()
    name = next(iter(texts))
    assert load({**texts, name: texts[name] + "\n# a word more\n"}).sha256 != load(texts).sha256
