"""What the forms about lots, trays, fragments and tags do, and the pictures of things."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from strandline.records.models.acts import Act
from strandline.records.models.facts import Photo
from strandline.records.models.objects import Batch, Fragment, Object, Tray, TrayCount
from strandline.records.models.people import Person
from strandline.records.models.sites import Incident
from strandline.records.photos import WIDTHS, Kept, NoOriginal, keep, shown
from strandline.records.pictures import NotAPicture
from strandline.services.came_off import came_off
from strandline.services.count_tray import count_tray, settle_count
from strandline.services.end_step import BY_HAND
from strandline.services.end_tray_step import Ended, end_tray_step
from strandline.services.find_parent import find_parent
from strandline.services.looks.asked import HANDS, SENIOR, NotThere, incident_of, thing_of
from strandline.services.looks.together import REASONS, SCRIBE_ROWS
from strandline.services.make_lot import make_lot
from strandline.services.make_tray import make_tray
from strandline.services.merge import merge
from strandline.services.open_batch import KINDS, close_batch, open_batch
from strandline.services.photograph import photograph, photos_folder
from strandline.services.plan import plan
from strandline.services.put_on_tray import put_on_tray, take_off_tray
from strandline.services.resolve import resolve
from strandline.services.scribe import Told, record_for
from strandline.services.split import split
from strandline.services.split_lot import split_lot
from strandline.web.pages import BadForm, Deed, Sent
from strandline.web.refusals import refused
from strandline.web.site import place_of


def incident(sent: Sent) -> Incident:
    """The incident of the page."""
    return incident_of(sent.args["code"])


def thing(sent: Sent, name: str = "tag") -> Object:
    """The object of a tag typed into a form; BadForm."""
    return by_tag(sent, sent.needed(name, _("a tag"), 20), name)


def by_tag(sent: Sent, text: str, name: str) -> Object:
    """The object of a tag; BadForm."""
    found = resolve(incident(sent), text)
    if not isinstance(found, Object):
        raise BadForm({name: _("no object of this incident has the tag '%(tag)s'") % {"tag": text}})
    return found


def tags_in(text: str) -> list[str]:
    """Tags in a line: by spaces, commas or semicolons."""
    return list(dict.fromkeys(one for one in re.split(r"[\s,;]+", text) if one))


def things(sent: Sent, name: str = "tags") -> list[Object]:
    """Objects of the tags in a field; BadForm for the first that is none."""
    found = [by_tag(sent, text, name) for text in tags_in(sent.needed(name, _("one tag at least")))]
    return list({one.pk: one for one in found}.values())


def tell(sent: Sent, ended: Ended) -> None:
    """Say how many were ended, and each that was not."""
    count = len(ended.ended)
    if count:
        said = ngettext("%(n)s recorded.", "%(n)s recorded.", count) % {"n": count}
        messages.success(sent.request, said)
    for tag, why in ended.refused:
        messages.error(sent.request, _("%(tag)s not: %(why)s") % {"tag": tag, "why": why})


def tray_of(sent: Sent) -> Tray:
    """The tray of the page."""
    found = Tray.objects.filter(incident=incident(sent), uid=sent.args["uid"]).first()
    if found is None:
        raise NotThere(_("there is no such tray in this incident"))
    return found


def tray_page(sent: Sent, tray: Tray) -> str:
    """Address of a tray."""
    return reverse("tray", args=[sent.args["code"], tray.uid])


def tray_make(sent: Sent) -> str:
    """A tray, with things on it at once where tags are given."""
    name, wanted = sent.needed("name", _("a name"), 50), things(sent) if sent.text("tags") else []
    made = make_tray(sent.caller, incident(sent), name, place_of(sent, "place"))
    if wanted:
        put_on_tray(sent.keyed("put"), made, wanted)
    return tray_page(sent, made)


def tray_put(sent: Sent) -> str:
    """Things go on the tray."""
    tray = tray_of(sent)
    put_on_tray(sent.caller, tray, things(sent))
    return tray_page(sent, tray)


def tray_off(sent: Sent) -> str:
    """Things come off the tray."""
    tray = tray_of(sent)
    take_off_tray(sent.caller, things(sent))
    return tray_page(sent, tray)


def tray_end(sent: Sent) -> str:
    """Done for the tray, except these, because."""
    tray = tray_of(sent)
    excepted = {
        tag: (sent.one_of(f"because-{tag}", REASONS), sent.text(f"note-{tag}"))
        for tag in sent.form.getlist("except")
    }
    end = sent.one_of("end", BY_HAND)
    ended = end_tray_step(
        sent.caller, tray, sent.needed("step", _("the step"), 64), end, excepted,
        sent.one_of("because", REASONS) if end == "not_done" else "", sent.text("note"),
    )  # fmt: skip
    tell(sent, ended)
    return tray_page(sent, tray)


def tray_count(sent: Sent) -> str:
    """The tray changes hands and is counted."""
    tray = tray_of(sent)
    counted = sent.number("counted", 0, 100_000)
    if counted is None or counted != int(counted):
        raise BadForm({"counted": _("how many there are, as a whole number")})
    count_tray(sent.caller, tray, int(counted), tags_in(sent.text("missing")), sent.text("note"))
    return tray_page(sent, tray)


def search_settle(sent: Sent) -> str:
    """What was missing is found, or known to be gone."""
    uid = sent.one("count", _("which search"))
    found = TrayCount.objects.filter(tray__incident=incident(sent), uid=uid).first()
    if found is None:
        raise NotThere(_("there is no such search"))
    settle_count(sent.caller, found, sent.needed("note", _("how it was settled")))
    return reverse("trays", args=[sent.args["code"]])


def scribe(sent: Sent) -> str:
    """What several people did, in one go."""
    told = [one for row in range(SCRIBE_ROWS) for one in _told(sent, row)]
    if not told:
        raise BadForm({"tags-0": _("one tag at least is needed")})
    tell(sent, record_for(sent.caller, _as_sent_first(sent, told), incident(sent)))
    return reverse("scribe", args=[sent.args["code"]])


def _as_sent_first(sent: Sent, told: list[Told]) -> list[Told]:
    """A sheet that was sent before is about the steps it was about then: by now tags have other next steps.

    What broke off half way is so done to its end, and a sheet with other rows is refused for its key.
    """
    act = Act.objects.filter(key=sent.caller.key, kind="record_for", person=sent.person).first()
    if act is None or len(act.payload["acts"]) != len(told):
        return told
    steps = [step for _who, _tag, step, *_rest in act.payload["acts"]]
    return [
        (who, tag, step, end, because, note)
        for (who, tag, _next, end, because, note), step in zip(told, steps, strict=True)
    ]


def _told(sent: Sent, row: int) -> Iterable[Told]:
    """One row of the scribe's sheet: the next step of each tag, unless a step is named."""
    tags = tags_in(sent.text(f"tags-{row}"))
    if not tags:
        return []
    who = Person.objects.filter(uid=sent.one(f"who-{row}", _("who"))).first()
    if who is None:
        raise BadForm({f"who-{row}": _("there is no such person")})
    end = sent.one_of(f"end-{row}", BY_HAND)
    because = sent.one_of(f"because-{row}", REASONS) if end == "not_done" else ""
    note = sent.text(f"note-{row}")
    found = [(by_tag(sent, tag, f"tags-{row}"), tag) for tag in tags]
    return [(who, tag, one.next_step, end, because, note) for one, tag in found]


def fragment_add(sent: Sent) -> str:
    """Something came off, or was found without its object."""
    uid = sent.uid("batch")
    batch = Batch.objects.filter(incident=incident(sent), uid=uid).first() if uid else None
    if uid and batch is None:
        raise NotThere(_("there is no such batch"))
    parent = thing(sent) if sent.text("tag", 20) else None
    made = came_off(
        sent.caller, incident(sent), sent.needed("title", _("what it is"), 300), parent, batch,
        place_of(sent, "place"),
    )  # fmt: skip
    messages.success(sent.request, _("Its tag is %(tag)s: tie it on now.") % {"tag": made.tag})
    return reverse("fragments", args=[sent.args["code"]])


def fragment_parent(sent: Sent) -> str:
    """A stray finds its object."""
    uid = sent.one("fragment", _("which stray"))
    stray = Fragment.objects.filter(incident=incident(sent), uid=uid).first()
    if stray is None:
        raise NotThere(_("there is no such fragment"))
    find_parent(sent.caller, stray, thing(sent))
    return reverse("fragments", args=[sent.args["code"]])


def batch_open(sent: Sent) -> str:
    """Rinse water or mud is collected."""
    open_batch(
        sent.caller, incident(sent), sent.one_of("kind", KINDS), sent.needed("name", _("a name"), 100),
        place_of(sent, "place"),
    )  # fmt: skip
    return reverse("fragments", args=[sent.args["code"]])


def batch_close(sent: Sent) -> str:
    """It was looked through."""
    uid = sent.one("batch", _("which batch"))
    found = Batch.objects.filter(incident=incident(sent), uid=uid).first()
    if found is None:
        raise NotThere(_("there is no such batch"))
    close_batch(sent.caller, found)
    return reverse("fragments", args=[sent.args["code"]])


def lot_make(sent: Sent) -> str:
    """One tag stands for several things."""
    counted = sent.number("counted", 2, 100_000)
    if counted is None or counted != int(counted):
        raise BadForm({"counted": _("how many there are, as a whole number")})
    make_lot(sent.caller, thing(sent), int(counted), sent.text("name", 200))
    return reverse("lots", args=[sent.args["code"]])


def lot_split(sent: Sent) -> str:
    """Some things get tags of their own, each with a plan."""
    left = sent.number("counted_left", 0, 100_000)
    if left is None or left != int(left):
        raise BadForm({"counted_left": _("how many stay on the lot's tag, as a whole number")})
    tags = tags_in(sent.needed("tags", _("one new tag at least")))
    made = split_lot(sent.caller, thing(sent), tags, int(left))
    for one in made:
        plan(sent.keyed(f"plan {one.tag}"), one)
    return reverse("lots", args=[sent.args["code"]])


def tags_join(sent: Sent) -> str:
    """Two tags turn out to be one thing."""
    kept, other = thing(sent, "kept"), thing(sent, "other")
    # Sent again, both tags lead to the one thing by now; what was done first stands.
    if not Act.objects.filter(key=sent.caller.key, kind="merge", person=sent.person).exists():
        merge(sent.caller, kept, other, sent.needed("reason", _("why")))
    plan(sent.keyed("plan"), kept)
    return reverse("thing", args=[sent.args["code"], kept.tag])


def tags_part(sent: Sent) -> str:
    """One tag turns out to be several things."""
    whole = thing(sent)
    made = split(
        sent.caller, whole, sent.needed("new_tag", _("a new tag"), 20), sent.form.getlist("parts"),
        sent.needed("title", _("what the new one is"), 300), sent.needed("reason", _("why")),
    )  # fmt: skip
    for one in (whole, made):
        plan(sent.keyed(f"plan {one.tag}"), one)
    return reverse("thing", args=[sent.args["code"], made.tag])


def thing_photograph(sent: Sent) -> str:
    """Photographs of a thing."""
    files = sent.files.getlist("photo")
    if not files:
        raise BadForm({"photo": _("choose a photograph")})
    of = thing_of(incident(sent), sent.args["tag"])
    # All are looked at before one is recorded: a sheet with a bad one among them is refused whole.
    for number, kept in enumerate([_kept(file, sent.at) for file in files]):
        caller = sent.caller if not number else sent.keyed(f"photo {number}")
        photograph(caller, of.incident, kept, thing=of, is_of=sent.text("is_of", 200))
    return reverse("thing", args=[sent.args["code"], of.tag])


def _kept(file: Any, at: datetime) -> Kept:
    """A photograph, its bytes kept; BadForm."""
    try:
        return keep(photos_folder(), file, at)
    except NotAPicture as error:
        raise BadForm({"photo": f"{file.name}: {error}"}) from error


def photo_view(request: HttpRequest, code: str, uid: UUID, width: int) -> HttpResponse | FileResponse:
    """A photograph at one of the widths that are shown; the original never leaves by this way."""
    row = Photo.objects.filter(incident__code=code, uid=uid).first()
    if row is None or width not in WIDTHS:
        return refused(request, _("There is no such photograph."), 404)
    try:
        path = shown(photos_folder(), row.sha256, width)
    except (NoOriginal, NotAPicture) as error:
        return refused(request, str(error), 404)
    answer = FileResponse(path.open("rb"), content_type="image/jpeg")
    # The bytes of a derivative never change, and only who is signed in may keep them.
    answer.headers["Cache-Control"] = "private, max-age=604800, immutable"
    return answer


DEEDS: tuple[Deed, ...] = (
    Deed("trays", "make_tray", tray_make, HANDS, "The tray is there."),
    Deed("trays", "settle_count", search_settle, HANDS, "The search is settled."),
    Deed("tray", "put_on_tray", tray_put, HANDS, "They are on the tray."),
    Deed("tray", "take_off_tray", tray_off, HANDS, "They are off the tray."),
    Deed("tray", "end_tray_step", tray_end, HANDS),
    Deed("tray", "count_tray", tray_count, HANDS, "The count is kept."),
    Deed("scribe", "record_for", scribe, HANDS),
    Deed("fragments", "came_off", fragment_add, HANDS),
    Deed("fragments", "find_parent", fragment_parent, HANDS, "It has its object again."),
    Deed("fragments", "open_batch", batch_open, HANDS, "The batch is open."),
    Deed("fragments", "close_batch", batch_close, HANDS, "The batch is closed."),
    Deed("lots", "make_lot", lot_make, HANDS, "One tag stands for them all."),
    Deed("lots", "split_lot", lot_split, HANDS, "They have tags of their own."),
    Deed("merge", "merge", tags_join, SENIOR, "The two tags are one thing."),
    Deed("merge", "split", tags_part, SENIOR, "They are two things now."),
    Deed("thing", "photograph", thing_photograph, HANDS, "The photograph is kept."),
)
