"""What the forms of these pages do: answers, papers printed, void papers struck out."""

from __future__ import annotations

from urllib.parse import urlencode

from django.http import HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from strandline.papers.registry import PAPERS
from strandline.records.models.objects import Object
from strandline.records.models.plans import Paper
from strandline.records.models.sites import Incident
from strandline.services.acting import Refused
from strandline.services.answer import ANSWERS, answer_many
from strandline.services.looks.asked import NotThere, incident_of
from strandline.services.looks.work_refer import MOST
from strandline.services.override import LEAST_REASON
from strandline.services.plan import plan
from strandline.services.roles import MAY
from strandline.services.strike_out import strike_out
from strandline.web.pages import BadForm, Deed, Sent
from strandline.web.work_print import chosen, print_of


def answer(sent: Sent) -> str:
    """One answer for all things that are ticked, then a new plan of each; the page tells what came of it."""
    incident = incident_of(sent.args["code"])
    things = _ticked(sent, incident)
    action = sent.needed("action", _("the action"), 64)
    verdict = sent.one_of("verdict", ANSWERS)
    how = sent.text("how", 500)
    if verdict != "yes" and not how:
        raise BadForm({"how": _("say how, or what is done instead")})
    reason = sent.text("reason")
    if len(reason) < LEAST_REASON:
        raise BadForm({"reason": _("a reason of %(n)s characters at least") % {"n": LEAST_REASON}})
    made = answer_many(sent.caller, things, action, verdict, how, reason)
    by_tag = {thing.tag: thing for thing in things}
    for tag, _overrides in made.answered:
        plan(sent.keyed(tag), by_tag[tag])
    if not made.answered:
        raise Refused("; ".join(why for _tag, why in made.refused))
    since = min(row.at for _tag, overrides in made.answered for row in overrides)
    return f"{reverse('referrals', args=[incident.code])}?{urlencode({'since': since.isoformat()})}"


def _ticked(sent: Sent, incident: Incident) -> list[Object]:
    tags = list(dict.fromkeys(sent.form.getlist("tag")))[:MOST]
    if not tags:
        raise BadForm({"tag": _("tick one thing at least")})
    found = {row.tag: row for row in Object.objects.filter(incident=incident, tag__in=tags)}
    missing = [tag for tag in tags if tag not in found]
    if missing:
        raise NotThere(
            _("no object of %(code)s has the tag %(tag)s") % {"code": incident.code, "tag": missing[0]}
        )
    return [found[tag] for tag in tags]


def print_paper(sent: Sent) -> HttpResponse:
    """Make the PDF, record it for every object it tells of, and give it out."""
    incident = incident_of(sent.args["code"])
    name = sent.one_of("paper", frozenset(PAPERS))
    things = chosen(sent, incident, name)
    pdf = print_of(sent, incident, name, things)
    answer = HttpResponse(pdf, "application/pdf")
    file = f"{incident.code}-{name.replace('_', '-')}-{sent.at:%Y%m%d-%H%M}.pdf"
    answer.headers["Content-Disposition"] = f'attachment; filename="{file}"'
    return answer


def strike(sent: Sent) -> str:
    """A void paper was struck out or replaced."""
    incident = incident_of(sent.args["code"])
    strike_out(sent.caller, _paper(sent, incident))
    return reverse("papers", args=[incident.code])


def _paper(sent: Sent, incident: Incident) -> Paper:
    known = sent.one("paper", _("which paper"))
    found = (
        Paper.objects.filter(plan__object__incident=incident, uid=known)
        .select_related("plan__object")
        .first()
    )
    if found is None:
        raise NotThere(_("there is no such paper"))
    return found


DEEDS: tuple[Deed, ...] = (
    Deed("referrals", "answer", answer, MAY["answer"]),
    Deed("papers", "print", print_paper, MAY["print_paper"]),
    Deed("papers", "strike_out", strike, MAY["strike_out"], said=gettext_noop("Struck out or replaced.")),
)
