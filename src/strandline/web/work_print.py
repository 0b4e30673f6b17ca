"""Printing out of the record: for which things, the PDF, and then the papers in the record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _

from strandline.papers.registry import PAPERS
from strandline.records.models.objects import Object, Tag, Tray
from strandline.records.models.plans import PlanSnapshot
from strandline.records.models.sites import Incident
from strandline.services.acting import Refused, all_or_none
from strandline.services.given import ORDER_ROWS, SPARE_TAGS, given_for
from strandline.services.looks.asked import NotThere
from strandline.services.looks.work_batch import draw
from strandline.services.looks.work_papers import MOST_THINGS, OF_PLANS, paper_word
from strandline.services.print_paper import print_paper
from strandline.services.reserve_tags import reserve_tags
from strandline.services.resolve import standing_for
from strandline.web.pages import BadForm, Sent
from strandline.web.together import tags_in

FOR: frozenset[str] = frozenset({"all", "tray", "tags"})
SHORT_IDS: frozenset[str] = frozenset({"care_card"})
"""Papers with room for the short id of a plan beside its number."""


def chosen(sent: Sent, incident: Incident, name: str) -> list[Object]:
    """The things a print is for, with their plans, by tag; for a paper that tells of no plan none.

    Raises BadForm for too many, for none, and for a tag nobody has.
    """
    if name not in OF_PLANS:
        return []
    known = Object.objects.select_related("plan__knowledge", "owner", "place").order_by("tag")
    rows = known.filter(incident=incident, merged_into__isnull=True, plan__isnull=False)
    which = sent.one_of("for", FOR)
    if which == "tray":
        rows = rows.filter(tray=_tray(sent, incident))
    elif which == "tags":
        rows = rows.filter(pk__in=_tagged(incident, sent.needed("tags", _("a tag"), 4000)))
    if rows.count() > MOST_THINGS:
        raise BadForm(
            {"for": _("%(most)s things at most on one print; choose a tray, or tags") % {"most": MOST_THINGS}}
        )
    found = list(rows)
    if not found:
        raise BadForm({"for": _("no thing with a plan is there")})
    return found


def _tray(sent: Sent, incident: Incident) -> Tray:
    found = Tray.objects.filter(incident=incident, uid=sent.one("tray", _("a tray"))).first()
    if found is None:
        raise NotThere(_("there is no such tray"))
    return found


def _tagged(incident: Incident, text: str) -> list[int]:
    """Keys of the things these tags stand for now; tags stand apart by commas or blanks."""
    wanted = tags_in(text)
    rows = Tag.objects.filter(incident=incident, text__in=wanted[: MOST_THINGS + 1]).select_related("object")
    found = {row.text: row.object for row in rows}
    missing = [tag for tag in wanted if tag not in found]
    if missing:
        raise BadForm({"tags": _("no object has the tag %(tag)s") % {"tag": missing[0]}})
    return [standing_for(found[tag]).pk for tag in wanted]


def print_of(sent: Sent, incident: Incident, name: str, things: Sequence[Object]) -> bytes:
    """The PDF.  It is made first; only then is it recorded for every object it tells of, for all or none.

    Raises Refused where it cannot be made, or a plan changed in between; nothing is recorded then.
    """
    drawn = draw(incident, things, sent.at)
    given = given_for(name, drawn.batch)
    if name == "tags":
        # First set aside, so that no other print has these numbers; stock that was not printed is harmless.
        stock = reserve_tags(sent.keyed("reserve_tags"), incident, SPARE_TAGS, _("intake table"))
        given = {"first": stock.first, "count": SPARE_TAGS, "reserved_for": stock.sheet}
    if name in SHORT_IDS:
        given = {**given, "objects": [_with_short_id(one, drawn.plans) for one in given["objects"]]}
    try:
        pdf = PAPERS[name][1](drawn.batch.head, given).pdf
    except ValueError as error:
        raise Refused(
            _("%(paper)s cannot be made: %(why)s") % {"paper": paper_word(name), "why": error}
        ) from error
    all_or_none(lambda: _recorded(sent, name, given, drawn.plans))
    return pdf


def _recorded(sent: Sent, name: str, given: Mapping[str, Any], plans: Mapping[str, PlanSnapshot]) -> None:
    """The paper, for every object whose plan it tells."""
    for tag in tags_on(name, given):
        print_paper(sent.keyed(f"{name} {plans[tag].short_id} {tag}"), plans[tag], name)


def _with_short_id(one: Mapping[str, Any], plans: Mapping[str, PlanSnapshot]) -> dict[str, Any]:
    return {**one, "plan_no": f"{one['plan_no']} · {plans[one['tag']].short_id}"}


def tags_on(name: str, given: Mapping[str, Any]) -> list[str]:
    """Tags of the objects whose plan a paper tells, each once."""
    if name == "care_card":
        found = [one["tag"] for one in given["objects"]]
    elif name == "tray_card":
        found = [one["tag"] for tray in given["trays"] for one in tray["objects"]]
    elif name == "day_sheet":
        found = [row["object"]["tag"] for sheet in given["sheets"] for row in sheet["rows"]]
    elif name == "order_sheet":
        first = sorted(given["rows"], key=lambda row: int(row["place"]))[:ORDER_ROWS]
        found = [row["tag"] for row in (*given["stops"], *first)]
    else:
        found = []
    return list(dict.fromkeys(found))
