"""Two who saw different things: the plan takes the more careful of both until one more look settles it."""

from typing import Any

import pytest

from strandline.records import translate
from strandline.services.acting import Refused
from strandline.services.observe import observe
from strandline.services.plan import plan
from tests.records.cast import NOW, lead
from tests.services.doing import by, received

pytestmark = pytest.mark.django_db


def both_see(thing: Any, key: str, one: Any, other: Any) -> Any:
    """Two observations made from the same one before; the second is given back."""
    saw = translate.in_force(thing).get(key)
    observe(by(), thing, key, one, "seen", saw)
    return observe(by(lead()), thing, key, other, "measured", saw)


@pytest.mark.parametrize("values", [(["river"], ["sewage"]), (["sewage"], ["river"])])
def test_a_plan_under_a_clash_takes_the_careful_value(values: tuple[list[str], list[str]]) -> None:
    """Whichever came last: sewage rules the bench, and the question is asked."""
    thing = received(water=("clean",))
    both_see(thing, "water", *values)
    found = plan(by(), thing)
    assert found.facts["facts"]["water"] == ["river", "sewage"]
    assert found.facts["facts"]["known_by"]["water"] == "assumed"
    assert "water" in {one["fact"] for one in found.result["assumed"]}
    assert "sewage" in {one["key"] for one in found.result["hazards"]}


def test_one_more_look_settles_it() -> None:
    """Then what was seen counts, as it was seen."""
    thing = received(water=("clean",))
    last = both_see(thing, "water", ["river"], ["sewage"])
    observe(by(lead()), thing, "water", ["river"], "seen", last)
    found = translate.facts_at(thing, NOW)
    assert (found.water, found.known_by["water"]) == (("river",), "seen")


def test_the_same_seen_twice_is_no_assumption() -> None:
    """Two who agree do not clash."""
    thing = received()
    both_see(thing, "mass_g", 900.0, 900.0)
    found = translate.facts_at(thing, NOW)
    assert (found.mass_g, found.known_by["mass_g"]) == (900.0, "measured")


def test_a_third_value_is_among_the_careful() -> None:
    """Three who never saw each other's: the largest of all that still clash."""
    thing = received()
    saw = translate.in_force(thing)["mass_g"]
    for mass in (12000.0, 20000.0, 9000.0):
        observe(by(), thing, "mass_g", mass, "measured", saw)
    assert translate.facts_at(thing, NOW).mass_g == 20000.0


def test_a_way_of_knowing_that_is_none_is_refused() -> None:
    """Facts are stated, seen, measured ..."""
    with pytest.raises(Refused, match="no way of knowing"):
        observe(by(), received(), "pieces", 3, "guessed", None)  # type: ignore[arg-type]  # wrong on purpose
