"""The first hour: people, places, who released what, owners and what they allow."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from strandline.records.models.people import Device
from strandline.services import clock
from strandline.services.add_party import add_party
from strandline.services.add_person import add_person, first_lead
from strandline.services.add_place import add_place
from strandline.services.give_authority import give_authority
from strandline.services.note_reading import note_reading
from strandline.services.open_incident import open_incident
from strandline.services.release_room import release_room
from strandline.services.story.telling import Story

PEOPLE: tuple[tuple[str, str, str], ...] = (
    ("assistant conservator", "conservator", "assistant"),
    *((f"helper {n}", "helper", f"helper{n}") for n in range(1, 6)),
    ("trustee", "viewer", "trustee"),
)
"""Name, role, and the name to sign in with."""
KEPT = ("crew", "kit", "rooms", "hazards", "weather", "releases")
DEVICES = ("laptop", "intake phone", "rinse phone")
BUILDINGS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "Boathouse": (("Net Floor", ""), ("Chandlery", ""), ("Boat Bay", ""), ("Sail Loft", "")),
    "Chapel hall": (("Warm room", "mid_dry"), ("Unheated room", "slow_dry")),
}
STATIONS: tuple[tuple[str, str, str, int | None], ...] = (
    ("Warm room", "station", "Intake table", None),
    ("Warm room", "station", "Rinse basins", None),
    ("Warm room", "station", "Bench 1", 12),
    ("Warm room", "shelf", "Drying shelf A", 24),
    ("Unheated room", "shelf", "Trestles 9 to 14", 40),
    ("Unheated room", "spot", "Corner of the things that wait", None),
)
RELEASES: tuple[tuple[str, str, str, str], ...] = (
    ("Boathouse", "electricity", "electrician", "The supply is cut at the meter; nothing is switched on."),
    ("Boathouse", "structure", "building surveyor", "Ground floor only; nobody under the Sail Loft stair."),
    ("Boathouse", "gas", "fire officer", "No gas is laid on in this building."),
    ("Chapel hall", "structure", "chapel warden", "In daily use, and the water never came up here."),
    ("Chapel hall", "electricity", "electrician", "Tested today; good for two heaters and one dryer."),
    ("Chapel hall", "gas", "chapel warden", "There is no gas in the hall."),
    ("Chapel hall", "contamination", "health officer", "No flood things in the kitchen; gloves at the tap."),
)  # fmt: skip
ALLOWED: tuple[tuple[str, str, str, str, str], ...] = (
    ("museum", "owner", "written", "plan", "Signed by the trustees on the quay: do what has to be done."),
    ("lender A", "lender", "verbal", "plan", "By telephone: go on, and tell us what you find."),
    (
        "lender B",
        "lender",
        "verbal",
        "first_aid_only",
        "By telephone: keep them from getting worse, no more.",
    ),
    ("lender C", "lender", "none", "first_aid_only", ""),
)
AIR: tuple[tuple[str, float, float], ...] = (
    ("Net Floor", 11.0, 0.95), ("Warm room", 18.0, 0.60), ("Unheated room", 9.0, 0.85),
)  # fmt: skip


def people(story: Story, password: str) -> None:
    """The crew, each with a log-in of this password, and their devices."""
    story.at("2026-03-15 15:42")
    story.people["lead conservator"] = first_lead("lead conservator", "lead", password, clock.now())
    for name in DEVICES:
        story.devices[name] = Device.objects.create(name=name, first_seen_at=clock.now())
    for name, role, username in PEOPLE:
        story.people[name] = add_person(story.by("lead conservator"), name, role, "", username, password)


def incident(story: Story, told: Mapping[str, Any]) -> None:
    """The incident as the site's file tells it."""
    about = told["incident"]
    kept = {key: told[key] for key in KEPT if key in told}
    story.site = open_incident(
        story.by("lead conservator"), code=about["code"], name=about["name"], zone=about["zone"],
        site_name="Ostrey Reach Net Loft and Chandlery", address="on the quay", water=about["water"],
        wet_since=about["wet_since"], out_since=about["out_since"], air_c=about["air_c"],
        air_rh=about["rh_percent"] / 100, arrangements=_plain(kept),
    )  # fmt: skip


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_plain(one) for one in value]
    return value.isoformat() if isinstance(value, datetime) else value


def places(story: Story) -> None:
    """Buildings, rooms, stations, and who said that they may be entered."""
    lead = "lead conservator"
    for building, rooms in BUILDINGS.items():
        outer = story.places[building] = add_place(story.by(lead), story.incident, "building", building)
        for name, zone in rooms:
            story.places[name] = add_place(story.by(lead), story.incident, "room", name, outer, zone)
    for inside, kind, name, room_for in STATIONS:
        outer = story.places[inside]
        story.places[name] = add_place(
            story.by(lead), story.incident, kind, name, outer, outer.zone, room_for
        )
    story.at("2026-03-15 16:10")
    for name, about, role, said in RELEASES:
        release_room(story.by(lead), story.places[name], about, role, said)
    for name, air_c, rh in AIR:
        note_reading(story.by("helper 1"), "air_c", air_c, place=story.places[name])
        note_reading(story.by("helper 1"), "rh", rh, place=story.places[name])


def owners(story: Story) -> None:
    """Owner and lenders, and what each allows; the lenders of loans are told in the first hour."""
    story.at("2026-03-15 16:25")
    lead = "lead conservator"
    for name, role, given, scope, said in ALLOWED:
        story.parties[name] = add_party(story.by(lead), story.incident, name, role)
        if given != "none":
            give_authority(story.by(lead), story.incident, story.parties[name], given, scope, said)


SCENES: tuple[Callable[[Story], None], ...] = (places, owners)
"""What follows once people and incident are there."""
