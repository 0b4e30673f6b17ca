"""Papers: which there are, for what they can be printed, and which are void and still about."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from strandline.papers.registry import PAPERS
from strandline.records.models.objects import Object, Tray
from strandline.services.looks.asked import Asked, incident_of, iso
from strandline.services.looks.now import incident_head
from strandline.services.looks.work_pages import PER_PAGE, pages_of
from strandline.services.strike_out import void_papers

OF_PLANS: tuple[str, ...] = ("care_card", "tray_card", "day_sheet", "order_sheet")
"""Papers that tell what plans say of objects, so that they can be called back."""
MOST_THINGS = 400
"""So many objects at most on one print."""


def papers(ask: Asked, code: str) -> dict[str, Any]:
    """The papers of an incident."""
    incident = incident_of(code)
    void = void_papers(incident)
    page = pages_of(ask, void.count())
    planned = Object.objects.filter(incident=incident, merged_into__isnull=True, plan__isnull=False)
    trays = Tray.objects.filter(incident=incident, things__isnull=False).distinct().order_by("name")
    return {
        "incident": incident_head(incident),
        "role": ask.person.role,
        "papers": [
            {"key": key, "word": paper_word(key), "what": _(what), "of_plans": key in OF_PLANS}
            for key, (what, _maker) in PAPERS.items()
        ],
        "asked": _asked(ask),
        "planned": planned.count(),
        "most": MOST_THINGS,
        "trays": [{"uid": str(uid), "name": name} for uid, name in trays.values_list("uid", "name")],
        "pages": page,
        "void": [
            {
                "uid": str(row.uid),
                "tag": row.plan.object.tag,
                "title": row.plan.object.title,
                "kind": row.kind,
                "word": paper_word(row.kind),
                "plan": row.plan.number,
                "short_id": row.plan.short_id,
                "printed_at": iso(row.printed_at),
                "void_at": iso(row.void_at),
            }
            for row in void[page["from"] : page["from"] + PER_PAGE]
        ],
    }


def _asked(ask: Asked) -> dict[str, str]:
    """What a link to here asks to print: the card of a tray, or of a thing; otherwise a day sheet for all."""
    tray, tag, paper = (ask.query.get(name, "")[:64] for name in ("tray", "tag", "paper"))
    usual = "tray_card" if tray else "care_card" if tag else "day_sheet"
    return {
        "paper": paper if paper in OF_PLANS else usual,
        "for": "tray" if tray else "tags" if tag else "all",
        "tray": tray,
        "tags": tag,
    }


def paper_word(kind: str) -> str:
    """What a paper is called."""
    return {
        "care_card": _("Care cards"),
        "tags": _("Blank tags"),
        "class_cards": _("Class cards"),
        "tray_card": _("Tray cards"),
        "day_sheet": _("Day sheets"),
        "intake_form": _("Intake forms"),
        "hazard_walk": _("Walk before touching"),
        "site_briefing": _("Briefing for the door"),
        "sign_in": _("Who is in"),
        "owner_advice": _("Advice for owners"),
        "list_against_reality": _("List against reality"),
        "order_sheet": _("Order of work"),
    }.get(kind, kind.replace("_", " "))
