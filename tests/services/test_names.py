"""Who overruled something is told by name and role; a plan keeps the uid alone."""

from copy import deepcopy
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from strandline.records.models.people import Person
from strandline.services.names import NOBODY, with_names
from strandline.services.override import override
from strandline.services.plan import plan
from tests.records.cast import lead
from tests.services.doing import by, received

pytestmark = pytest.mark.django_db
WHY = "the stair is wet: two must carry"


def overruled() -> dict[str, Any]:
    """The result of a plan that the lead overruled."""
    thing = received()
    override(by(lead()), "act.lift.all", {"how": "Two people and a board."}, WHY, thing)
    result: dict[str, Any] = plan(by(), thing).result
    return result


def marks(result: dict[str, Any]) -> list[str]:
    """Every mark of an override in a result."""
    because = [one for action in result["actions"].values() for one in action["because"]]
    return [*result["overrides"], *(one["override"] for one in because if "override" in one)]


def test_the_lead_is_named_with_the_role() -> None:
    """In the plan's list and beside the reason; the plan itself is left as it was."""
    result = overruled()
    before = deepcopy(result)
    Person.objects.filter(role="lead").update(name="Ines of the loft")
    who = "Ines of the loft, lead conservator"
    assert set(marks(with_names(result))) == {
        f"act.lift.all: object: {who}: {WHY}", f"object: {who}: {WHY}"
    }  # fmt: skip
    assert result == before


def test_nothing_but_the_marks_changes() -> None:
    """Put the uid back and it is the same result."""
    result = overruled()
    named = with_names(result)
    again = with_uid(named, f"{lead().name}, lead conservator", str(lead().uid))
    assert again == result


def with_uid(value: Any, name: str, uid: str) -> Any:
    """A value with a name replaced in every text."""
    if isinstance(value, dict):
        return {key: with_uid(one, name, uid) for key, one in value.items()}
    if isinstance(value, list):
        return [with_uid(one, name, uid) for one in value]
    return value.replace(name, uid) if isinstance(value, str) else value


@pytest.mark.parametrize("erased", [True, False])
def test_who_is_erased_or_unknown_is_nobody(erased: bool) -> None:
    """No uid is ever shown."""
    result = overruled()
    if erased:
        Person.objects.filter(role="lead").update(name="")
    else:
        Person.objects.filter(role="lead").update(uid=uuid4())
    assert all(NOBODY in mark for mark in marks(with_names(result)))


def test_a_uid_in_a_reason_is_only_text() -> None:
    """What somebody wrote is left alone, and so is a person named in a file of overrides."""
    uid = lead().uid
    result = {
        "overrides": [f"act.x.y: practice: the lead of the loft: see {uid}: there"],
        "actions": {"lift": {"how": f"object: {uid}: no mark", "because": []}},
    }
    assert with_names(result) == result


def test_one_query_or_none() -> None:
    """However many marks; none where nothing was overruled."""
    result, plain = overruled(), plan(by(), received("0043")).result
    for which, count in ((result, 1), (plain, 0)):
        with CaptureQueriesContext(connection) as ran:
            with_names(which)
        assert len(ran) == count
