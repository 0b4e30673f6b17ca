"""What the forms of the pages of one thing do."""

from __future__ import annotations

from django.utils.translation import gettext as _

from strandline.records.models.plans import PlanSnapshot
from strandline.records.models.sites import Place
from strandline.services.acting import Refused
from strandline.services.end_step import REASONS, end_step
from strandline.services.looks.asked import HANDS
from strandline.services.move import move
from strandline.services.plan import plan
from strandline.web import things_look, things_overrule
from strandline.web.pages import BadForm, Deed, Sent
from strandline.web.things_asked import address, asked_thing

ENDS: tuple[str, ...] = ("done", "done_differently", "not_done")


def do_end(sent: Sent) -> str:
    """End the step that the page showed."""
    thing = asked_thing(sent)
    end = sent.one_of("end", ENDS)
    because = sent.one_of("because", REASONS) if end == "not_done" else ""
    note = (
        sent.needed("note", _("how it was done"), 1000)
        if end == "done_differently"
        else sent.text("note", 1000)
    )
    found = PlanSnapshot.objects.filter(uid=sent.one("plan", _("a choice")), object=thing).first()
    if found is None:
        raise Refused(_("This page was older than the object. Load it again."))
    end_step(sent.caller, found, sent.needed("step", _("the step"), 64), end, because, note)
    return address("thing", thing)


def do_move(sent: Sent) -> str:
    """Put it down somewhere else."""
    thing = asked_thing(sent)
    place = Place.objects.filter(uid=sent.one("to", _("a choice")), incident=thing.incident).first()
    if place is None:
        raise BadForm({"to": _("this place is not in the list")})
    move(sent.caller, thing, place)
    return address("thing", thing)


def do_plan(sent: Sent) -> str:
    """Make a plan from what the record knows now."""
    thing = asked_thing(sent)
    plan(sent.caller, thing)
    return address("thing", thing)


DEEDS: tuple[Deed, ...] = (
    Deed("thing", "end_step", do_end, HANDS, said="Noted."),
    Deed("thing", "move", do_move, HANDS, said="The new place is noted."),
    Deed("thing", "plan", do_plan, HANDS, said="A new plan was made."),
    *things_look.DEEDS,
    *things_overrule.DEEDS,
)
