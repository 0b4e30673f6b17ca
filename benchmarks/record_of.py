"""A throw-away record of any size: objects of the demo's kinds with their plans, written in bulk.

Objects, parts, tags, plans and an act for each are there; observations, photographs and lists are not.
Django is started before this file is read.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import islice
from pathlib import Path
from typing import Any

from django.contrib.auth.models import User
from django.core.management import call_command
from made_list import make_list

from strandline import __version__
from strandline.cli.shared import open_work
from strandline.pipeline.lists import Tally, plans
from strandline.records import translate
from strandline.records.models.acts import Act
from strandline.records.models.base import Row
from strandline.records.models.objects import Object, Part, Tag
from strandline.records.models.people import Device, Person
from strandline.records.models.plans import KnowledgeVersion, PlanSnapshot
from strandline.records.models.sites import Incident, Place, Practice, Site
from strandline.records.snapshot import Snapshot, snapshot
from strandline.services.changes import Changes
from strandline.services.standing import restand, sought
from strandline.things.facts import Facts

CODE = "ORNL1"
ROLES: tuple[str, ...] = ("lead", "conservator", "helper")
SITE = "demo_data/site.toml"
LED = timedelta(hours=3)
"""The water went so long ago."""
CHUNK = 250
SHORT: tuple[str, ...] = ("plan", "next_step", "next_role", "stops", "refers", "runs", "significance")


class OnRow(Changes):
    """Changes that stay on the row until all are written at once."""

    def update(self, row: Row, **fields: Any) -> None:
        """Set the fields."""
        for name, value in fields.items():
            setattr(row, name, value)


def fill(folder: Path, count: int, seed: int) -> None:
    """Make the record: people who can sign in, one incident, and ``count`` objects with plans."""
    call_command("migrate", verbosity=0)
    people = [
        Person.objects.create(name=role, role=role, user=User.objects.create_user(role)) for role in ROLES
    ]
    at = datetime.now(UTC)
    device = Device.objects.create(name="table", first_seen_at=at)
    incident, places = _incident(at)
    rows = _planned(folder, count, seed, at)
    knowledge: KnowledgeVersion | None = None
    while chunk := list(islice(rows, CHUNK)):
        if knowledge is None:
            knowledge = _knowledge(at)
        _write(incident, places, knowledge, people[-1], device, chunk, at)


def _incident(at: datetime) -> tuple[Incident, list[Place]]:
    practice = Practice.objects.create(name="A practice")
    site = Site.objects.create(practice=practice, name="Ostrey Reach Net Loft")
    incident = Incident.objects.create(
        site=site, code=CODE, name="High water", zone="Europe/London", water=["brackish", "sewage"],
        wet_since=at - LED - timedelta(hours=12), out_since=at - LED, opened_at=at,
    )  # fmt: skip
    names = ("ground floor", "chapel hall", "cold room", "vestry", "yard", "quay shed")
    return incident, [Place.objects.create(incident=incident, kind="room", name=name) for name in names]


def _knowledge(at: datetime) -> KnowledgeVersion:
    return KnowledgeVersion.objects.create(
        version="measured", sha256="0" * 64, engine_version=__version__, first_used_at=at
    )


def _planned(folder: Path, count: int, seed: int, at: datetime) -> Iterator[tuple[Facts, Snapshot]]:
    """Facts and kept plan of each row of a made list, the demo's times moved to lie before ``at``."""
    path = folder / "made.csv"
    make_list(path, count, seed)
    demo = Path(__file__).resolve().parent.parent / "src" / "strandline" / SITE
    work = open_work(path, at.isoformat(), _moved(demo, folder / "site.toml", at), (), None)
    for facts, plan in plans(work.opened.rows, work.engine, work.site, Tally()):
        yield facts, snapshot(facts, plan)


def _moved(demo: Path, to: Path, at: datetime) -> Path:
    """The demo's incident with other times."""
    times = {"wet_since": at - LED - timedelta(hours=12), "out_since": at - LED}
    kept = [
        line for line in demo.read_text(encoding="utf-8").splitlines()
        if not line.startswith((*times, "as_of"))
    ]  # fmt: skip
    head = next(n for n, line in enumerate(kept) if line.startswith("[incident]")) + 1
    lines = [f'{name} = "{moment:%Y-%m-%dT%H:%M}"' for name, moment in times.items()]
    to.write_text("\n".join([*kept[:head], *lines, *kept[head:]]), encoding="utf-8")
    return to


def _write(
    incident: Incident, places: list[Place], knowledge: KnowledgeVersion, person: Person, device: Device,
    chunk: list[tuple[Facts, Snapshot]], at: datetime,
) -> None:  # fmt: skip
    things = [_thing(incident, places, facts, at) for facts, _made in chunk]
    Object.objects.bulk_create(things)
    Tag.objects.bulk_create(Tag(incident=incident, text=one.tag, object=one, claimed_at=at) for one in things)
    parts = [
        Part(object=one, **translate.part_fields(part, n))
        for one, (facts, _made) in zip(things, chunk, strict=True)
        for n, part in enumerate(facts.parts)
    ]
    Part.objects.bulk_create(parts, batch_size=500)
    made = [
        PlanSnapshot(
            object=one, number=1, short_id=kept.short_id(str(one.uid), 1), knowledge=knowledge,
            facts=kept.facts, result=kept.result, sha256=kept.sha256, made_at=at,
        )
        for one, (_facts, kept) in zip(things, chunk, strict=True)
    ]  # fmt: skip
    PlanSnapshot.objects.bulk_create(made)
    for one, plan in zip(things, made, strict=True):
        restand(OnRow(), one, plan)
    Object.objects.bulk_update(things, SHORT)
    Act.objects.bulk_create(
        Act(
            key=uuid.uuid4(), kind="plan", incident=incident, object=one, person=person, device=device,
            device_at=at, server_at=at, payload={"object": str(one.uid)}, before={}, after={},
        )
        for one in things
    )  # fmt: skip


def _thing(incident: Incident, places: list[Place], facts: Facts, at: datetime) -> Object:
    words = (facts.tag, facts.title, facts.materials, facts.owner_number, facts.klass, facts.place)
    return Object(
        incident=incident, place=places[int(facts.tag) % len(places)], received_at=at,
        sought=sought(*words), **translate.object_fields(facts),
    )  # fmt: skip
