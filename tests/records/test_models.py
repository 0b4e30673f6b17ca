"""All tables: in step with the migrations, and each row that can leave carries a uid."""

import pkgutil
import uuid
from io import StringIO

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import connection, models

from strandline.records.apps import MODEL_FILES
from strandline.records.models import __path__ as places
from strandline.records.models.base import Row

TABLES = set(
    "Practice Site Incident Place RoomRelease Person Device Party PartyRole Authority Hours Lot Tray"
    " TrayCount Object Tag TagRange Part Join Batch Fragment ListRow RowClaim Observation Reading Photo"
    " KnowledgeVersion PlanSnapshot Override HazardRelease StepEnd Paper Act Refusal WorkClaim".split()
)
ALL = list(apps.get_app_config("records").get_models())


@pytest.mark.django_db
def test_migrations_say_what_the_models_say() -> None:
    """makemigrations has nothing to add."""
    out = StringIO()
    call_command("makemigrations", "--check", "--dry-run", stdout=out)
    assert "No changes detected" in out.getvalue()


@pytest.mark.django_db
def test_every_table_is_there() -> None:
    """All tables exist in the database."""
    assert {model.__name__ for model in ALL} == TABLES
    there = set(connection.introspection.table_names())
    assert {model._meta.db_table for model in ALL} <= there


def test_every_model_file_is_read() -> None:
    """No file of models is left out of the app's list."""
    files = {found.name for found in pkgutil.iter_modules(places)} - {"base"}
    assert files == set(MODEL_FILES)


@pytest.mark.parametrize("model", ALL, ids=lambda model: model.__name__)
def test_every_row_has_a_uid_and_goes_only_on_purpose(model: type[models.Model]) -> None:
    """A uid made anew, unique; no row goes because another one went; times and texts without surprises."""
    assert issubclass(model, Row)
    uid = model._meta.get_field("uid")
    assert uid.unique
    assert isinstance(uid.get_default(), uuid.UUID)
    assert uid.get_default() != uid.get_default()
    for field in model._meta.concrete_fields:
        if isinstance(field, models.ForeignKey):
            assert field.remote_field.on_delete is models.PROTECT, field
        if isinstance(field, models.CharField | models.TextField):
            assert not field.null, f"{field}: an empty text is empty, not missing"
    assert model.private <= {field.name for field in model._meta.concrete_fields}
