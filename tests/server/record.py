"""A record for a server that is killed: makes it, and tells what it holds, each in a program of its own.

python -m tests.server.record FOLDER make | tell
"""

import json
import sys
import uuid
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.db import connection

from strandline.records.practice import open_practice

folder, task = Path(sys.argv[1]), sys.argv[2]
open_practice(folder, datetime.now(UTC))

from django.db.models import Count  # noqa: E402 - once the record is open

from strandline.records.models.acts import Act  # noqa: E402 - as above
from strandline.records.models.facts import Photo  # noqa: E402 - as above
from strandline.records.models.objects import Fragment, Object, Tray  # noqa: E402 - as above
from strandline.records.models.people import Device  # noqa: E402 - as above
from strandline.records.models.plans import PlanSnapshot, StepEnd  # noqa: E402 - as above
from strandline.services.acting import Caller  # noqa: E402 - as above
from strandline.services.add_person import add_person, first_lead  # noqa: E402 - as above
from strandline.services.add_place import add_place  # noqa: E402 - as above
from strandline.services.fold import differences  # noqa: E402 - as above
from strandline.services.open_incident import open_incident  # noqa: E402 - as above
from strandline.services.photograph import orphans  # noqa: E402 - as above
from strandline.services.plan import plan  # noqa: E402 - as above
from tests.server.crew import PASSWORD, TAGS  # noqa: E402 - as above
from tests.services.doing import received  # noqa: E402 - as above

NOW = datetime(2026, 3, 15, 15, 40, tzinfo=UTC)


def make() -> None:
    """A lead, a helper, an incident with two rooms, and a few chests for each of the two."""
    lead = first_lead("lead conservator", "lead", PASSWORD, NOW)
    device = Device.objects.create(name="laptop", first_seen_at=NOW)

    def by() -> Caller:
        return Caller(lead, uuid.uuid4(), NOW, device, 1)

    add_person(by(), "helper 3", "helper", "", "helper", PASSWORD)
    where = open_incident(
        by(), code="ORNL1", name="High water", zone="UTC", site_name="Ostrey Reach Net Loft", address="",
        water=["brackish"], wet_since=NOW, out_since=NOW, air_c=11.0, air_rh=0.9,
    )  # fmt: skip
    for name in ("long room", "sail loft"):
        add_place(by(), where, "room", name)
    for tags in TAGS.values():
        for tag in tags:
            plan(by(), received(tag))


def tell() -> dict[str, Any]:
    """Keys of acts, rows by what names them, where the log, the tables and the photographs differ."""
    names = {"tray": (Tray, "name"), "thing": (Object, "title"), "fragment": (Fragment, "says")}
    swept = orphans(rehash=True)
    found = {
        name: {str(row[field]): row["n"] for row in model.objects.values(field).annotate(n=Count("pk"))}  # type: ignore[attr-defined]  # three models, one way to count
        for name, (model, field) in names.items()
    }
    photos = Photo.objects.values("sha256").annotate(n=Count("pk"))
    ends = StepEnd.objects.values("object__tag", "step").annotate(n=Count("pk"))
    plans = PlanSnapshot.objects.values("object__title").annotate(n=Count("pk"))
    return {
        **found,
        "keys": [str(key) for key in Act.objects.order_by("pk").values_list("key", flat=True)],
        "photo": {row["sha256"]: row["n"] for row in photos},
        "end": {f"{row['object__tag']} {row['step']}": row["n"] for row in ends},
        "plans": {row["object__title"]: row["n"] for row in plans},
        "places": dict(Object.objects.filter(place__isnull=False).values_list("tag", "place__name")),
        "differences": differences(),
        "rows_without_file": swept.rows_without_file,
        "files_without_row": swept.files_without_row,
        "wrong_bytes": swept.wrong_bytes,
        "database": looked_through(),
    }


def looked_through() -> list[str]:
    """What SQLite finds when it looks through its file, by page and by link; PostgreSQL minds its own."""
    if connection.vendor != "sqlite":
        return ["ok"]
    with connection.cursor() as cursor:
        pages = [str(row[0]) for row in cursor.execute("PRAGMA integrity_check").fetchall()]
        links = [str(row) for row in cursor.execute("PRAGMA foreign_key_check").fetchall()]
    return [*pages, *links]


if task == "make":
    make()
sys.stdout.write(json.dumps(tell()))
