"""The database itself refuses to change or delete what is written once: acts, and tags once claimed."""

from __future__ import annotations

from typing import Any

from django.db import migrations

ACTS = "records_act"
TAGS = "records_tag"

SQLITE = """
CREATE TRIGGER {table}_no_{event} BEFORE {event} ON {table}
BEGIN SELECT RAISE(ABORT, '{table} is written once: no {event}'); END
"""
POSTGRES_FUNCTION = """
CREATE FUNCTION records_written_once() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION '% is written once: no %', TG_TABLE_NAME, lower(TG_OP)
    USING ERRCODE = 'integrity_constraint_violation'; END $$
"""
POSTGRES = """
CREATE TRIGGER {table}_no_{event} BEFORE {event} ON {table}
FOR EACH {each} EXECUTE FUNCTION records_written_once()
"""
REFUSED = ((ACTS, "update"), (ACTS, "delete"), (TAGS, "delete"))
"""A tag may be pointed at another object by a merge, and is never taken away."""


def make(apps: Any, editor: Any) -> None:
    """Make the triggers in the words of the engine."""
    if editor.connection.vendor == "sqlite":
        for table, event in REFUSED:
            editor.execute(SQLITE.format(table=table, event=event), params=None)
        return
    editor.execute(POSTGRES_FUNCTION, params=None)
    for table, event in REFUSED:
        editor.execute(POSTGRES.format(table=table, event=event, each="ROW"), params=None)
    for table in (ACTS, TAGS):
        editor.execute(POSTGRES.format(table=table, event="truncate", each="STATEMENT"), params=None)


class Migration(migrations.Migration):
    """Only forward: a log that could be reopened by migrating back would be none."""

    dependencies = [("records", "0001_initial")]
    operations = [migrations.RunPython(make)]
