"""What the forms about the list do: send one, take its rows in, claim a row, receive the rest."""

from __future__ import annotations

from django.contrib import messages
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from strandline.pipeline.tags import tidy
from strandline.records.models.objects import ListRow, Object
from strandline.services.claim_row import claim_row
from strandline.services.import_list import import_list
from strandline.services.looks.asked import HANDS, LEAD, NotThere, incident_of, thing_of
from strandline.services.looks.taking_in_list import A_BATCH, names_something
from strandline.services.looks.taking_in_reality import GROUPS
from strandline.services.looks.taking_in_upload import MOST_BYTES, NoList, keep_list, read_list
from strandline.services.plan import plan
from strandline.services.receive_rows import receive_rows, received_by
from strandline.web.pages import BadForm, Deed, Sent


def send_list(sent: Sent) -> str:
    """Keep a list that was sent, and show what was understood of it."""
    incident = incident_of(sent.args["code"])
    file = sent.files.get("file")
    if file is None:
        raise BadForm({"file": _("choose the file of the list first")})
    try:
        sha256 = keep_list(file.name or "", file.read(MOST_BYTES + 1))
    except NoList as error:
        raise BadForm({"file": str(error)}) from error
    return f"{reverse('list_in', args=[incident.code])}?{urlencode({'list': sha256})}"


def take_rows_in(sent: Sent) -> str:
    """Take in the rows of a list that was sent before."""
    incident = incident_of(sent.args["code"])
    sha256 = sent.needed("list", _("a list that was sent"), 64)
    try:
        found = read_list(sha256)
    except NoList as error:
        raise BadForm({"list": str(error)}) from error
    if found is None:
        raise BadForm({"list": _("this list is not here any more; send its file again")})
    import_list(sent.caller, incident, found.rows, sha256)
    return reverse("list_found", args=[incident.code])


def claim(sent: Sent) -> str:
    """A row of the list is the thing with this tag."""
    incident = incident_of(sent.args["code"])
    tag = tidy(sent.needed("tag", _("the tag"), 40))
    uid = sent.uid("row")
    row = ListRow.objects.filter(incident=incident, uid=uid).first() if uid else None
    if row is None:
        raise BadForm({"row": _("this row is of another list; load the page again")})
    try:
        thing = thing_of(incident, tag)
    except NotThere as error:
        raise BadForm({"tag": str(error)}) from error
    claim_row(sent.caller, thing, row)
    return _back(sent, incident.code)


def _back(sent: Sent, code: str) -> str:
    """The group that was looked at."""
    show = sent.text("show", 40)
    query = f"?{urlencode({'show': show})}" if show in GROUPS else ""
    return reverse("list_found", args=[code]) + query


def receive_rest(sent: Sent) -> str:
    """Receive the rows from one number to another that nobody has seen, as objects, and plan each at once.

    Sent again it is about the rows it received before as well, so that what broke off has its plan too.
    """
    incident = incident_of(sent.args["code"])
    sha256 = sent.needed("list", _("a list"), 64)
    first, last = (_whole(sent, name) for name in ("first", "last"))
    of_list = ListRow.objects.filter(incident=incident, list_sha256=sha256)
    rows = list(of_list.filter(row__gte=first, row__lte=last).order_by("row"))
    before = {row.pk for row in received_by(sent.caller, rows)}
    open_ = [row for row in rows if row.pk in before or row.state == "not_seen"]
    named = [row for row in open_ if names_something(row.cells)][:A_BATCH]

    def planned(thing: Object) -> None:
        if thing.plan_id is None and thing.merged_into_id is None:
            plan(sent.keyed(f"plan {thing.uid}"), thing)

    count = len(receive_rows(sent.caller, incident, named, allot=True, then=planned))
    said = ngettext("%(n)s received, with a plan.", "%(n)s received, with a plan each.", count)
    told = said % {"n": count} if count else _("No row of these was left to receive.")
    messages.success(sent.request, told)
    return reverse("list_found", args=[incident.code])


def _whole(sent: Sent, name: str) -> int:
    found = sent.number(name, 1, 10_000_000)
    if found is None:
        raise BadForm({name: _("a row number is needed")})
    return int(found)


LIST_DEEDS: tuple[Deed, ...] = (
    Deed("list_in", "send_list", send_list, HANDS),
    Deed("list_in", "take_rows_in", take_rows_in, HANDS, said=gettext_noop("The rows are in.")),
    Deed("list_found", "claim_row", claim, HANDS, said=gettext_noop("Noted: the row and the thing are one.")),
    Deed("list_found", "receive_rest", receive_rest, LEAD),
)
