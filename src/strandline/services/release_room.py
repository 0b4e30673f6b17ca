"""Release a room: the lead records who said that it may be entered, in what respect and in which words."""

from __future__ import annotations

from strandline.records.models.sites import RELEASE_ABOUT, Incident, Place, RoomRelease
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform
from strandline.services.changes import Changes
from strandline.services.clock import now

ABOUT: tuple[str, ...] = tuple(key for key, _ in RELEASE_ABOUT)
NEEDED: tuple[str, ...] = tuple(key for key in ABOUT if key != "other")
"""What each room is released in before anybody works in it (common practice, confidence c)."""
LEAST_ROLE, MOST_ROLE, LEAST_WORDS = 2, 100, 10


def release_room(caller: Caller, place: Place, about: str, role: str, said: str) -> RoomRelease:
    """Record a release of a place, and with it of what lies in it.

    Raises Refused for an unknown respect, and where the outside competence or its words are missing.
    """

    def work(changes: Changes) -> None:
        if about not in ABOUT:
            raise Refused(f"a room is released about {', '.join(ABOUT)}; not '{about}'")
        if not LEAST_ROLE <= len(role.strip()) <= MOST_ROLE or len(said.strip()) < LEAST_WORDS:
            raise Refused(
                "a room is released by somebody with a role, in their words of "
                f"{LEAST_WORDS} characters at least; both are needed"
            )
        changes.create(
            RoomRelease, place=place, about=about, role=role.strip(), said=said.strip(), at=now(),
            recorded_by=caller.person,
        )  # fmt: skip

    payload = {"place": place, "about": about, "role": role, "said": said}
    return made_by(perform(caller, Wanted("release_room", payload, place.incident), work), RoomRelease)


def unreleased(incident: Incident) -> list[tuple[Place, tuple[str, ...]]]:
    """Rooms of an incident that are not released in every respect, by name, with what is missing.

    A release of the building holds for its rooms.
    """
    places = {place.pk: place for place in Place.objects.filter(incident=incident).order_by("name", "id")}
    given: dict[int, set[str]] = {}
    for place_id, about in RoomRelease.objects.filter(place__incident=incident).values_list("place", "about"):
        given.setdefault(place_id, set()).add(about)
    found: list[tuple[Place, tuple[str, ...]]] = []
    for place in places.values():
        if place.kind != "room":
            continue
        have = {about for outer in _outwards(place, places) for about in given.get(outer.pk, ())}
        missing = tuple(about for about in NEEDED if about not in have)
        if missing:
            found.append((place, missing))
    return found


def _outwards(place: Place, places: dict[int, Place]) -> list[Place]:
    """A place and those it lies in, from the inside out."""
    chain = [place]
    while (outer := places.get(chain[-1].inside_id or 0)) is not None and outer not in chain:
        chain.append(outer)
    return chain
