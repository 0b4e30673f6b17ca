"""What the forms of taking in do: a walk, intake, a photograph afterwards, a row that is this thing."""

from __future__ import annotations

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from strandline.records.models.acts import Act
from strandline.records.models.objects import ListRow, Object
from strandline.records.models.people import Party
from strandline.records.models.plans import PlanSnapshot
from strandline.records.models.sites import Incident, Place
from strandline.records.photos import Kept
from strandline.services.acting import KeyTaken, NotAllowed, Refused
from strandline.services.add_party import add_party, party_named
from strandline.services.claim_row import claim_row
from strandline.services.end_step import end_step
from strandline.services.looks import taking_in_words as words
from strandline.services.looks.asked import HANDS, incident_of, thing_of
from strandline.services.note_walk import note_walk
from strandline.services.open_incident import LONGEST_NAME
from strandline.services.photograph import photograph
from strandline.services.plan import plan, steps_of
from strandline.services.receive import receive
from strandline.web.pages import BadForm, Deed, Sent
from strandline.web.taking_in_form import (
    Incomplete,
    Typed,
    attempt,
    facts_of,
    moment_of,
    photo_of,
    ticked,
    typed_of,
)
from strandline.web.taking_in_list import LIST_DEEDS


def take_in(sent: Sent) -> str:
    """Receive a thing, with photograph, row and plan; the same form sent twice makes one."""
    incident = incident_of(sent.args["code"])
    errors: dict[str, str] = {}
    kept = attempt(errors, lambda: photo_of(sent))
    typed = attempt(errors, lambda: typed_of(sent, incident))
    if errors or typed is None:
        raise Incomplete(errors, kept)
    thing = _received(sent, incident, typed, kept)
    if kept is not None:
        photograph(sent.keyed("photograph"), incident, kept, thing=thing)
    if typed.row is not None:
        claim_row(sent.keyed("claim_row"), thing, typed.row)
    made = plan(sent.keyed("plan"), thing)
    if kept is not None:
        _photographed(sent, made)
    return reverse("taken", args=[incident.code, thing.tag])


def _photographed(sent: Sent, made: PlanSnapshot) -> None:
    """The plan begins with a photograph; that one is taken."""
    step = steps_of(made).get("photograph")
    if step is not None and step["role"] != "conservator":
        end_step(sent.keyed("photographed"), made, "photograph", "done")


def _received(sent: Sent, incident: Incident, typed: Typed, kept: Kept | None) -> Object:
    facts = facts_of(typed, incident, moment_of(sent))
    try:
        owner = typed.owner or _owner_of(sent, incident, typed.row)
        return receive(sent.caller, incident, facts, owner, typed.place)
    except NotAllowed:
        raise
    except KeyTaken as error:
        first = Act.objects.filter(key=sent.caller.key).select_related("object").first()
        tag = first.payload.get("facts", {}).get("tag", "") if first else ""
        told = _(
            "this form was sent already, as %(tag)s, with other things in it; for a new thing send it again"
        )
        raise Incomplete({"tag": told % {"tag": tag}}, kept) from error
    except Refused as error:
        raise Incomplete({"tag": str(error)}, kept) from error


def _owner_of(sent: Sent, incident: Incident, row: ListRow | None) -> Party | None:
    """The party a row names as its owner, found or made; None where it names none."""
    name = str(row.cells.get("owner", "")).strip()[:LONGEST_NAME].strip() if row else ""
    if not name:
        return None
    return party_named(incident, name) or add_party(sent.keyed("add_party"), incident, name, "owner")


def add_photograph(sent: Sent) -> str:
    """A photograph of a thing that was taken in without one."""
    incident = incident_of(sent.args["code"])
    thing = thing_of(incident, sent.args["tag"])
    kept = photo_of(sent)
    if kept is None:
        raise BadForm({"photo": _("choose a photograph first")})
    photograph(sent.caller, incident, kept, thing=thing)
    return reverse("taken", args=[incident.code, thing.tag])


def claim(sent: Sent) -> str:
    """A row of the list is this thing."""
    incident = incident_of(sent.args["code"])
    thing = thing_of(incident, sent.args["tag"])
    uid = sent.uid("row")
    row = ListRow.objects.filter(incident=incident, uid=uid).first() if uid else None
    if row is None:
        raise BadForm({"row": _("choose the row that is this thing")})
    claim_row(sent.caller, thing, row)
    return reverse("taken", args=[incident.code, thing.tag])


def walked(sent: Sent) -> str:
    """Somebody looked through a room."""
    incident = incident_of(sent.args["code"])
    uid = sent.uid("room")
    room = Place.objects.filter(incident=incident, uid=uid).first() if uid else None
    if room is None:
        raise BadForm({"room": _("choose the room you looked through")})
    seen = ticked(sent, "hazard", words.hazards())
    none = sent.form.get("none") == "1"
    if bool(seen) == none:
        why = _("tick what you saw, or 'none of these', and not both")
        raise BadForm({"hazard": why})
    act = note_walk(sent.caller, incident, room, list(seen))
    return f"{reverse('walk', args=[incident.code])}?noted={act.uid}"


DEEDS: tuple[Deed, ...] = (
    Deed("walk", "note_walk", walked, HANDS),
    Deed("take_in", "take_in", take_in, HANDS),
    Deed("taken", "photograph", add_photograph, HANDS, said=gettext_noop("The photograph is kept.")),
    Deed("taken", "claim_row", claim, HANDS, said=gettext_noop("Noted: this row of the list is this thing.")),
    *LIST_DEEDS,
)
