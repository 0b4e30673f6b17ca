"""Overrides in force: those of several objects at once are those of each alone."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import settings as draws
from hypothesis import strategies as st

from strandline.knowledge.base import shipped
from strandline.records.models.objects import Lot, Object
from strandline.records.models.plans import Override
from strandline.services.engines import engine_for, engines_for, in_force, in_force_for, toml
from tests.records.cast import NOW, an_object, incident, lead

pytestmark = pytest.mark.django_db


def scene() -> list[Object]:
    """Four objects of two incidents, two of them in a lot."""
    lot = Lot.objects.create(incident=incident(), name="floats")
    other = incident("ORNL2")
    return [
        an_object("0001"), an_object("0002", lot=lot), an_object("0003", lot=lot),
        an_object("0001", incident=other),
    ]  # fmt: skip


def put(level: str, things: list[Object], n: int, how: str, **more: Any) -> Override:
    """An override at a level that reaches the n-th object."""
    thing = things[n]
    where = {
        "practice": {}, "incident": {"incident": thing.incident}, "object": {"object": thing},
        "lot": {"lot": things[1].lot},
    }[level]  # fmt: skip
    return Override.objects.create(
        level=level, target="act.lift.all", value={"how": how}, reason="the stair is wet", person=lead(),
        at=NOW, **where, **more,
    )  # fmt: skip


LEVELS = st.sampled_from(["practice", "incident", "lot", "object"])
ENDS = st.sampled_from([{}, {"expires_at": NOW}, {"expires_at": NOW + timedelta(hours=1)},
                        {"withdrawn_at": NOW}])  # fmt: skip


@given(st.lists(st.tuples(LEVELS, st.integers(0, 3), st.sampled_from(["On a board.", "By two."]), ENDS),
                max_size=8))  # fmt: skip
@draws(max_examples=40)
def test_together_as_each_alone(rows: list[tuple[str, int, str, dict[str, Any]]]) -> None:
    """Whatever was overruled at whatever level, in force or not any more; wider levels first."""
    with transaction.atomic():
        things = scene()
        for level, n, how, more in rows:
            put(level, things, n, how, **more)
        alone = [in_force(thing, NOW) for thing in things]
        assert in_force_for(things, NOW) == alone
        assert in_force_for(things[::-1], NOW) == alone[::-1]
        assert all(row.withdrawn_at is None for found in alone for row in found)
        transaction.set_rollback(True)


def test_engines_are_those_of_each_alone_and_shared() -> None:
    """Equal texts, one engine; what is said of one object only is another."""
    things = scene()
    put("incident", things, 0, "By two.")
    put("object", things, 1, "On a board.")
    put("object", things, 2, "On a board.")
    found = engines_for(things, NOW)
    assert found == [engine_for(thing, NOW) for thing in things]
    assert found[1] is found[2]
    assert len({one.overrides_sha256 for one in found}) == 3
    assert (found[3].overrides_sha256, found[3].knowledge) == ("", shipped())


def test_one_query_however_many() -> None:
    """For one object and for four; none for none."""
    things = scene()
    put("object", things, 1, "On a board.")
    for some, count in (([], 0), (things[:1], 1), (things, 1)):
        with CaptureQueriesContext(connection) as ran:
            engines_for(some, NOW)
        assert len(ran) == count
    with CaptureQueriesContext(connection) as ran:
        in_force(Object.objects.get(pk=things[1].pk), NOW)
    assert len(ran) == 2  # the object itself, and its overrides


def test_the_order_of_keys_is_no_difference() -> None:
    """Engines of equal overrides are one, however the database keeps their keys."""
    assert toml({"verdict": "yes", "how": ""}) == toml({"how": "", "verdict": "yes"})
