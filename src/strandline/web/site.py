"""What the forms about the site, its people and the record do."""

from __future__ import annotations

import secrets
from datetime import datetime

from django.contrib.auth import update_session_auth_hash
from django.http import HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from strandline.pipeline import cells
from strandline.records.models.people import Party, Person
from strandline.records.models.sites import Place
from strandline.services.acting import Refused
from strandline.services.add_party import ROLES as PARTY_ROLES
from strandline.services.add_party import add_party
from strandline.services.add_person import PERSON_ROLES, add_person
from strandline.services.add_place import KINDS, add_place
from strandline.services.change_incident import change_incident
from strandline.services.change_person import change_person
from strandline.services.give_authority import GIVEN, SCOPE, give_authority
from strandline.services.looks.asked import ALL, HANDS, LEAD, SENIOR, NotThere, incident_of
from strandline.services.looks.table import LOOKS
from strandline.services.note_hours import note_hours
from strandline.services.note_reading import note_reading
from strandline.services.open_incident import iana, open_incident
from strandline.services.own_password import WrongPassword, own_password
from strandline.services.release_room import ABOUT, release_room
from strandline.services.set_crew import CREW, LAST_DAY, MOST_HANDS, set_crew
from strandline.web import signing
from strandline.web.pages import BadForm, Deed, Sent, shown
from strandline.web.refusals import refused
from strandline.web.taking_in_form import moment_of

WORDS = (
    "amber anchor basin beam bell bench block bolt brass brush canvas chest cleat cloth copper cork deck "
    "dory felt flag float frame gauge glass harbour hinge keel lamp latch ledger linen loft mallet mast net "
    "oak oar paddle peg pine plank quay rivet rope rudder sail shelf slate spar spoon string tar thimble "
    "thread tide timber tray twine wax wharf wick willow wool"
).split()
"""Words for passwords that are read out across a room; three of them and two digits: 10 million and more."""


def a_password() -> str:
    """A password that can be read out and typed with cold hands."""
    return "-".join(secrets.choice(WORDS) for _n in range(3)) + f"-{secrets.randbelow(90) + 10}"


def when(sent: Sent, name: str, zone: str) -> datetime | None:
    """A field with a local time; BadForm where the clocks skip or double it."""
    try:
        return cells.when(sent.text(name, 60), zone, name)
    except cells.CellError as error:
        raise BadForm({name: error.reason}) from error


def place_of(sent: Sent, name: str) -> Place | None:
    """A place of this incident by its uid; None where the field is empty, BadForm for another's."""
    uid = sent.uid(name)
    return None if uid is None else the_place(sent, name)


def the_place(sent: Sent, name: str) -> Place:
    """The place of this incident that a field names; BadForm."""
    uid = sent.one(name, _("a place"))
    found = Place.objects.filter(incident__code=sent.args["code"], uid=uid).first()
    if found is None:
        raise BadForm({name: _("this place is not in this incident")})
    return found


def start(sent: Sent) -> str:
    """Start an incident."""
    zone = sent.needed("zone", _("a time zone such as Europe/London"), 64)
    rh = sent.number("air_rh_percent", 0, 100)
    try:
        iana(zone)
    except Refused as error:
        raise BadForm({"zone": str(error)}) from error
    wet, out = when(sent, "wet_since", zone), when(sent, "out_since", zone)
    made = open_incident(
        sent.caller, code=sent.needed("code", _("a code such as ORNL1"), 12).upper(),
        name=sent.needed("name", _("a name"), 200), zone=zone,
        site_name=sent.needed("site_name", _("the site"), 200),
        address=sent.text("address"), water=sent.form.getlist("water"), wet_since=wet, out_since=out,
        air_c=sent.number("air_c", -40, 60), air_rh=None if rh is None else rh / 100,
    )  # fmt: skip
    return reverse("site", args=[made.code])


def change(sent: Sent) -> str:
    """What holds for everything is told anew."""
    incident = incident_of(sent.args["code"])
    rh = sent.number("air_rh_percent", 0, 100)
    change_incident(
        sent.caller, incident, water=sent.form.getlist("water"),
        wet_since=when(sent, "wet_since", incident.zone), out_since=when(sent, "out_since", incident.zone),
        air_c=sent.number("air_c", -40, 60), air_rh=None if rh is None else rh / 100,
    )  # fmt: skip
    return here(sent)


def here(sent: Sent) -> str:
    """Back to the page of the site."""
    return reverse("site", args=[sent.args["code"]])


def crew(sent: Sent) -> str:
    """How many hands there are on a day."""
    incident = incident_of(sent.args["code"])
    day = int(sent.number("day", 1, LAST_DAY) or 0)
    if not day:
        raise BadForm({"day": _("which day is needed")})
    hands = {role: int(sent.number(role, 0, MOST_HANDS) or 0) for role in CREW}
    set_crew(sent.caller, incident, day, hands)
    return here(sent)


def place(sent: Sent) -> str:
    """A building, a room, a table."""
    room = sent.number("room_for", 1, 100_000)
    add_place(
        sent.caller, incident_of(sent.args["code"]), sent.one_of("kind", KINDS),
        sent.needed("name", _("a name"), 200), place_of(sent, "inside"),
        sent.text("zone", 32), None if room is None else int(room),
    )  # fmt: skip
    return here(sent)


def release(sent: Sent) -> str:
    """Somebody from outside said that a room may be entered."""
    where = the_place(sent, "place")
    release_room(
        sent.caller, where, sent.one_of("about", ABOUT), sent.needed("role", _("who said it, by role"), 100),
        sent.needed("said", _("what they said")),
    )  # fmt: skip
    return here(sent)


def party(sent: Sent) -> str:
    """An owner, lender, insurer or authority."""
    add_party(
        sent.caller, incident_of(sent.args["code"]), sent.needed("name", _("a name"), 200),
        sent.one_of("role", PARTY_ROLES), sent.text("contact"),
    )  # fmt: skip
    return here(sent)


def authority(sent: Sent) -> str:
    """What an owner allows."""
    uid = sent.one("party", _("whose authority"))
    who = Party.objects.filter(uid=uid).first()
    if who is None:
        raise BadForm({"party": _("this is none of the choices")})
    give_authority(
        sent.caller, incident_of(sent.args["code"]), who, sent.one_of("given", GIVEN),
        sent.one_of("scope", SCOPE), sent.text("said"),
    )  # fmt: skip
    return here(sent)


def air(sent: Sent) -> str:
    """The air of a room, read off a card or meter."""
    where = the_place(sent, "place")
    celsius, rh = sent.number("air_c", -40, 60), sent.number("rh_percent", 0, 100)
    if celsius is None and rh is None:
        raise BadForm({"air_c": _("a temperature or a humidity is needed")})
    if celsius is not None:
        note_reading(sent.keyed("air_c"), "air_c", celsius, place=where)
    if rh is not None:
        note_reading(sent.keyed("rh"), "rh", rh / 100, place=where)
    return here(sent)


def person_add(sent: Sent) -> HttpResponse | str:
    """Let somebody in; the password is shown once, on the next page."""
    username = sent.text("username", 150)
    password = a_password() if username else ""
    made = add_person(
        sent.caller, sent.needed("name", _("a name"), 200), sent.one_of("role", PERSON_ROLES),
        sent.text("contact"), username, password,
    )  # fmt: skip
    return with_password(sent, made, password)


def with_password(sent: Sent, who: Person, password: str) -> HttpResponse | str:
    """The page of people with a new password, shown once: it is kept nowhere else.

    A form that was sent twice gave another password the first time; then nothing is shown.
    """
    if who.user is None or not who.user.check_password(password):
        return reverse("people")
    fresh = {"name": who.name, "username": who.user.username, "password": password}
    return shown(sent.request, LOOKS["people"], sent.person, {}, fresh=fresh)


def someone(sent: Sent) -> Person:
    """The person a form is about."""
    found = Person.objects.filter(uid=sent.one("person", _("who"))).first()
    if found is None:
        raise NotThere(_("there is no such person"))
    return found


def person_change(sent: Sent) -> str:
    """Another role, or gone, or back."""
    active = {"": None, "yes": True, "no": False}[sent.one_of("active", ("", "yes", "no"))]
    role = sent.text("role", 20) or None
    change_person(sent.caller, someone(sent), role=role, active=active)
    return reverse("people")


def person_password(sent: Sent) -> HttpResponse | str:
    """A new password for somebody who lost theirs."""
    who, password = someone(sent), a_password()
    return with_password(sent, change_person(sent.caller, who, password=password), password)


def my_password(sent: Sent) -> HttpResponse | str:
    """A new password of one's own; the session stays.  Wrong tries count with those of signing in."""
    old, new = sent.text("old", 200), sent.needed("new", _("a new password"), 200)
    who = signing.who_tries(sent.request, sent.request.user.get_username())
    wait = signing.throttle.wait_s(*who)
    if wait > 0:
        return refused(sent.request, signing.too_many(wait), 429)
    try:
        own_password(sent.caller, old, new)
    except WrongPassword:
        signing.throttle.wrong(*who)
        raise
    signing.throttle.right(*who)
    user = Person.objects.get(pk=sent.person.pk).user
    if user is not None:
        update_session_auth_hash(sent.request, user)
    return reverse("me")


def hours(sent: Sent) -> str:
    """Somebody's work is noted."""
    incident = incident_of(sent.args["code"])
    minutes = sent.number("minutes", 1, 24 * 60)
    if minutes is None:
        raise BadForm({"minutes": _("how long is needed")})
    note_hours(
        sent.caller, incident, someone(sent), minutes,
        when(sent, "started_at", incident.zone) or moment_of(sent), sent.text("step", 64),
    )  # fmt: skip
    return reverse("hours", args=[incident.code])


DEEDS: tuple[Deed, ...] = (
    Deed("start", "open_incident", start, LEAD, "The incident is open."),
    Deed("site", "change_incident", change, LEAD, "Noted for the whole incident."),
    Deed("site", "crew", crew, LEAD, "The crew of that day is noted."),
    Deed("site", "add_place", place, HANDS, "The place is there."),
    Deed("site", "release_room", release, LEAD, "The release is recorded."),
    Deed("site", "add_party", party, HANDS, "The party is noted."),
    Deed("site", "give_authority", authority, SENIOR, "The authority is recorded."),
    Deed("site", "note_reading", air, HANDS, "The air of the room is noted."),
    Deed("people", "add_person", person_add, LEAD),
    Deed("people", "change_person", person_change, LEAD, "Changed."),
    Deed("people", "new_password", person_password, LEAD),
    Deed("me", "own_password", my_password, ALL, "Your password is changed."),
    Deed("hours", "note_hours", hours, HANDS, "The work is noted."),
)
