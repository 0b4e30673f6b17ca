"""What the list and the tables do not agree on."""

from __future__ import annotations

from strandline.knowledge.base import shipped
from strandline.pipeline.objects import Site, facts_from_row
from strandline.records.models.objects import Object
from strandline.services import clock
from strandline.services.receive import receive
from strandline.services.story.telling import Story
from strandline.things.listing import RawRow

NOT_SEEN: frozenset[str] = frozenset({"0019", "0044", "0083", "0087", "0099", "0114", "0117", "0130"})
"""Tags of rows of the list that nobody has seen on the tables yet."""
FOUND_BESIDES: tuple[tuple[str, str, str, str], ...] = (
    ("0201", "Caulking mallet, without its irons", "live oak; iron rings", "handle"),
    ("0202", "Brass plate, engraved NET LOFT COMPANY", "brass", ""),
    ("0203", "Stool, three legs, from under the stair", "pine", "painted"),
)
"""Tag, title, materials and features of things that are on no list."""


def found_besides(story: Story, tag: str, title: str, materials: str, features: str) -> Object:
    """Take in something that is on no list."""
    story.at("2026-03-16 07:05")
    cells = {"title": title, "materials": materials, "features": features, "wet_state": "still wet"}
    row = RawRow(row=0, cells=cells)
    told = story.incident
    site = Site(clock.now(), told.zone, told.wet_since, told.out_since, tuple(told.water), told.air_c)
    facts, problems = facts_from_row(row, tag, site, shipped())
    if facts is None or problems:
        raise LookupError(f"{title}: {problems}")
    return receive(story.by("helper 2", "intake phone"), story.incident, facts)
