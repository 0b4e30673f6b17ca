"""Intake of one thing: what is asked, and what is said right after it."""

from __future__ import annotations

from typing import Any

from strandline.records.models.facts import Photo
from strandline.records.models.objects import ListRow, Object, RowClaim
from strandline.records.models.people import PartyRole
from strandline.records.models.sites import Incident, Place
from strandline.services.acting import Refused
from strandline.services.looks import taking_in_words as words
from strandline.services.looks.asked import Asked, incident_of, iso, thing_of
from strandline.services.looks.now import incident_head
from strandline.services.plan import newest
from strandline.services.receive import next_tag
from strandline.services.release_hazard import open_stops
from strandline.services.reserve_tags import next_printed
from strandline.services.standing import open_steps
from strandline.services.suggestions import suggest

SUGGESTED = 5
WHERE: tuple[str, ...] = ("room", "spot", "zone", "station", "container", "building", "shelf")
"""Kinds of place a thing may be found in, those that are asked for most first."""
LONGEST_TITLE = 200
LONGEST_MATERIALS = 500


def take_in(ask: Asked, code: str) -> dict[str, Any]:
    """What is asked; after a title or materials in the query also rows of the list it may be."""
    incident = incident_of(code)
    title = ask.query.get("title", "")[:LONGEST_TITLE]
    materials = ask.query.get("materials", "")[:LONGEST_MATERIALS]
    places = _places(incident)
    owners = _owners(incident)
    return {
        "incident": incident_head(incident),
        "hazards": words.tiles(words.hazards()),
        "next_tag": _next_tag(incident),
        "materials": words.tiles(words.materials()),
        "states": words.tiles(words.states()),
        "done": words.tiles(words.done()),
        "seen": words.tiles(words.seen()),
        "places": places,
        "place": _one_of(ask.query.get("place", ""), places),
        "owners": owners,
        "owner": _one_of(ask.query.get("owner", ""), owners),
        "asked": {"title": title, "materials": materials},
        "rows": rows_like(incident, title, materials),
        "listed": ListRow.objects.filter(incident=incident, state="not_seen").exists(),
    }


def _next_tag(incident: Incident) -> str:
    """The next tag of printed stock, else the next free one, or '' where there is none left."""
    try:
        return next_printed(incident) or next_tag(incident)
    except Refused:
        return ""


def _places(incident: Incident) -> list[dict[str, Any]]:
    found = Place.objects.filter(incident=incident).select_related("inside")
    ordered = sorted(found, key=lambda place: (WHERE.index(place.kind), place.name))
    return [
        {
            "uid": str(place.uid),
            "name": f"{place.inside.name}, {place.name}" if place.inside else place.name,
            "kind": place.kind,
        }
        for place in ordered
    ]


def _owners(incident: Incident) -> list[dict[str, Any]]:
    roles = PartyRole.objects.filter(
        incident=incident, role__in=("owner", "lender"), object=None, party__erased_at=None
    )
    names = {str(role.party.uid): role.party.name for role in roles.select_related("party")}
    ordered = sorted(names.items(), key=lambda one: one[1].casefold())
    return [{"uid": uid, "name": name} for uid, name in ordered]


def _one_of(uid: str, told: list[dict[str, Any]]) -> str:
    """The uid if it is among those told, else ''."""
    return uid if any(one["uid"] == uid for one in told) else ""


def rows_like(incident: Incident, title: str, materials: str) -> list[dict[str, Any]]:
    """Rows of the list nobody has seen yet that read like this, the best first."""
    return [
        {
            "uid": str(row.uid),
            "row": row.row,
            "title": row.cells.get("title", ""),
            "materials": row.cells.get("materials", ""),
            "owner": row.cells.get("owner", ""),
            "owner_number": row.cells.get("owner_number", ""),
            "place": row.cells.get("place", ""),
            "score": score,
        }
        for row, score in suggest(incident, title, materials, SUGGESTED)
    ]


def taken(ask: Asked, code: str, tag: str) -> dict[str, Any]:
    """A thing right after intake: its tag, what to do with it now, and what was not understood."""
    incident = incident_of(code)
    thing = thing_of(incident, tag)
    claimed = RowClaim.objects.filter(object=thing).select_related("list_row").order_by("id")
    rows = [{"row": one.list_row.row, "title": one.list_row.cells.get("title", "")} for one in claimed]
    standing = _plan(thing)
    ask_for_row = not (rows or standing["stops"])
    return {
        "incident": incident_head(incident),
        "tag": thing.tag,
        "title": thing.title,
        "materials": thing.materials,
        "owner": thing.owner.name if thing.owner else "",
        "place": {"uid": str(thing.place.uid), "name": thing.place.name} if thing.place else None,
        "photographs": Photo.objects.filter(object=thing).count(),
        "unread": sorted({word for word, column, kind in thing.words.get("unread", ()) if not kind}),
        "claimed": rows,
        "rows": rows_like(incident, thing.title, thing.materials) if ask_for_row else [],
        **standing,
    }


def _plan(thing: Object) -> dict[str, Any]:
    found = newest(thing)
    if found is None:
        return {"plan": None, "stops": [], "holding": None, "next_step": None}
    held = set(open_stops(thing, found))
    stops = [one for one in found.result["hazards"] if one["grade"] == "stop" and one["key"] in held]
    steps = open_steps(found)
    return {
        "plan": {"number": found.number, "made_at": iso(found.made_at), "zone": found.result["zone"]},
        "stops": [{key: one.get(key) for key in ("key", "say", "keep_m", "call")} for one in stops],
        "holding": found.result["holding"]["do"],
        "next_step": {key: steps[0][key] for key in ("key", "text", "role")} if steps else None,
    }
