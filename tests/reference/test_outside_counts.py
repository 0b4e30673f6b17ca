"""What the set of values from outside must keep to; each rule is shown to be able to fail."""

from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import pytest

from strandline.knowledge.science_sources import science_sources
from tests.reference import outside_counts as rules
from tests.reference.outside import Row, all_rows, is_how

PHYSICS = Path(__file__).parents[2] / "src" / "strandline" / "physics"
MODULES = sorted(path.stem for path in PHYSICS.glob("*.py") if path.stem != "__init__")
ROW = Row(
    file="try.csv",
    line=2,
    quantity="air.heat",
    inputs=MappingProxyType({"temp_c": 20}),
    value=1.0,
    unit="J",
    tolerance=0.1,
    relative=False,
    source="somebody-1990",
    place="p. 1",
    how="published",
    note="",
    miss="",
)


def test_enough_values_count() -> None:
    """Read in a page, computed by a library or by two solvers, or measured."""
    told = rules.total_findings(all_rows())
    assert not told, "\n".join(["", *told])


def test_the_total_rule_can_fail() -> None:
    """One row too few is found; rows that do not count do not help."""
    enough = [ROW] * rules.LEAST_COUNTED
    assert rules.total_findings(enough) == []
    assert rules.total_findings([*enough[1:], replace(ROW, how="memory")])


def test_every_module_has_its_own() -> None:
    """No part of the physics lives on the values of another."""
    told = rules.module_findings(all_rows(), MODULES)
    assert not told, "\n".join(["", *told])


def test_the_module_rule_can_fail() -> None:
    """One row too few is found, and so is a helper that is gone."""
    enough = [ROW] * rules.LEAST_PER_MODULE
    helpers = [*rules.HELPERS, *rules.TOGETHER, *rules.TOGETHER.values()]
    rest = [replace(ROW, quantity=f"{name}.x") for name in helpers] * rules.LEAST_PER_MODULE
    assert rules.module_findings(enough + rest, ["air", *helpers]) == []
    assert len(rules.module_findings(enough[1:] + rest, ["air", *helpers])) == 1
    assert len(rules.module_findings(enough + rest, ["air", *helpers[1:]])) == 1


def test_helpers_give_their_reason() -> None:
    """A module without values says why."""
    assert all(reason.strip() for reason in rules.HELPERS.values())


def test_no_library_gives_most_of_them() -> None:
    """A library that errs would err in all its rows."""
    told = rules.library_findings(all_rows())
    assert not told, "\n".join(["", *told])


def test_the_library_rule_can_fail() -> None:
    """One row too many is found, whatever the version."""
    most = [replace(ROW, how="library:Numbers 1.0")] * rules.MOST_PER_LIBRARY
    assert rules.library_findings(most) == []
    assert rules.library_findings([*most, replace(ROW, how="library:numbers 2.0")])


def test_sources_and_places_are_there() -> None:
    """Every key resolves; what was published says where."""
    told = rules.source_findings(all_rows(), science_sources())
    assert not told, "\n".join(["", *told])


@pytest.mark.parametrize(
    "row",
    [replace(ROW, place=""), replace(ROW, source="nobody-1990"), replace(ROW, source="somebody-1990; x-1")],
)
def test_the_source_rule_can_fail(row: Row) -> None:
    """A page that is not named and a key without an entry are found."""
    assert rules.source_findings([ROW], ["somebody-1990"]) == []
    assert len(rules.source_findings([row], ["somebody-1990"])) == 1


def test_nothing_counts_twice() -> None:
    """The same quantity, inputs, source and value stand once."""
    told = rules.twice_findings(all_rows())
    assert not told, "\n".join(["", *told])


def test_the_twice_rule_can_fail() -> None:
    """Neither a second place nor the order of the inputs makes it another value."""
    again = replace(ROW, line=3, place="p. 9", inputs=MappingProxyType({"temp_c": 20.0}))
    other = replace(ROW, line=4, source="nobody-1990")
    wider = replace(ROW, line=5, value=1.5)
    assert rules.twice_findings([ROW, other, wider]) == []
    assert rules.twice_findings([ROW, again]) == ["try.csv:3 air.heat: stands already as try.csv:2 air.heat"]


@pytest.mark.parametrize(
    ("how", "known"),
    [
        ("published", True),
        ("solvers", True),
        ("library:Numbers 1.0", True),
        ("data:a set of weighings", True),
        ("memory", True),
        ("library:Numbers", False),
        ("library", False),
        ("data:", False),
        ("published:there", False),
        ("guess", False),
    ],
)
def test_ways_to_obtain_a_value(how: str, known: bool) -> None:
    """Nothing else is a way; a library gives its version."""
    assert is_how(how) is known
