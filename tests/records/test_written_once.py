"""What is written once stays: the database itself refuses, whoever asks."""

import uuid
from datetime import UTC, datetime

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction

from strandline.records.models.acts import Act
from strandline.records.models.objects import Tag
from tests.records.cast import an_object, helper

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 15, 15, 40, tzinfo=UTC)


def an_act() -> Act:
    """Any act."""
    return Act.objects.create(
        key=uuid.uuid4(), kind="look", person=helper(), device_at=NOW, server_at=NOW, payload={"a": 1},
        before={}, after={},
    )  # fmt: skip


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE records_act SET kind = 'other'",
        "UPDATE records_act SET payload = payload",
        "DELETE FROM records_act",
        "DELETE FROM records_tag",
    ],
)
def test_raw_sql_is_refused(statement: str) -> None:
    """Neither an act nor a claimed tag can be changed or taken away by hand."""
    act = an_act()
    tagged = an_object("0042")
    with pytest.raises(DatabaseError, match="written once"), transaction.atomic():
        connection.cursor().execute(statement)
    act.refresh_from_db()
    assert (act.kind, act.payload) == ("look", {"a": 1})
    assert Tag.objects.get(object=tagged).text == "0042"


def test_the_models_are_refused_too() -> None:
    """save() and delete() meet the same triggers."""
    act = an_act()
    act.kind = "other"
    with pytest.raises(DatabaseError, match="written once"), transaction.atomic():
        act.save()
    with pytest.raises(DatabaseError, match="written once"), transaction.atomic():
        act.delete()
    assert Act.objects.get().kind == "look"


def test_replacing_and_emptying_are_refused() -> None:
    """The two ways round a trigger: INSERT OR REPLACE on SQLite, TRUNCATE on PostgreSQL."""
    act = an_act()
    if connection.vendor == "sqlite":
        names = ", ".join(f'"{field.column}"' for field in Act._meta.concrete_fields)
        statement = f"INSERT OR REPLACE INTO records_act ({names}) SELECT {names} FROM records_act"
    else:
        statement = "TRUNCATE records_act CASCADE"
        connection.check_constraints()  # or the engine refuses for another reason before the trigger is asked
    with pytest.raises(DatabaseError, match="written once"), transaction.atomic():
        connection.cursor().execute(statement)
    assert Act.objects.get().pk == act.pk


def test_one_key_is_one_act() -> None:
    """The key a device made is taken once."""
    act = an_act()
    with pytest.raises(IntegrityError), transaction.atomic():
        Act.objects.create(
            key=act.key, kind="look", person=act.person, device_at=NOW, server_at=NOW, payload={},
            before={}, after={},
        )  # fmt: skip
