"""Search: tags first, then things in whose words every word asked for occurs."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from strandline.records.models.objects import Fragment, Object, Tag
from strandline.records.models.sites import Incident
from strandline.services.looks.asked import Asked, incident_of
from strandline.services.looks.now import incident_head
from strandline.services.looks.work_pages import PER_PAGE, pages_of
from strandline.services.looks.work_rows import whose
from strandline.services.standing import sought
from strandline.things.tags import PREFIX, TagError, is_tag, read_qr

LONGEST = 200
MOST_WORDS = 8


def find(ask: Asked, code: str) -> dict[str, Any]:
    """What a search finds, fifty a page; ``note`` says why a code leads nowhere."""
    incident = incident_of(code)
    asked = " ".join(ask.query.get("q", "")[:LONGEST].split())
    text, note = _code(incident, asked)
    keys = _things(incident, text) if text else []
    page = pages_of(ask, len(keys))
    shown = keys[page["from"] : page["from"] + PER_PAGE]
    return {
        "incident": incident_head(incident),
        "q": asked,
        "note": note,
        "pages": page,
        "rows": _rows(shown, _other_tags(incident, text)),
        "fragments": _fragments(incident, text) if text else [],
    }


def _code(incident: Incident, text: str) -> tuple[str, str]:
    """The tag of a scanned code; a sentence instead where it cannot be one of here."""
    if not text.upper().startswith(f"{PREFIX}:"):
        return text, ""
    try:
        read = read_qr(text)
    except TagError as error:
        return "", _("This code cannot be read: %(why)s") % {"why": error}
    if read.incident != incident.code:
        return "", _("This code is one of incident %(code)s.") % {"code": read.incident}
    return read.tag, ""


def _things(incident: Incident, text: str) -> list[int]:
    """Keys of the things found: this very tag, tags that begin so, then all words, by tag."""
    by_tag = _by_tag(incident, text)
    rows = Object.objects.filter(incident=incident, merged_into__isnull=True)
    for word in sought(text).split()[:MOST_WORDS]:
        rows = rows.filter(sought__contains=word)
    by_words = rows.order_by("tag").values_list("pk", flat=True)
    return list(dict.fromkeys((*by_tag, *by_words)))


def _by_tag(incident: Incident, text: str) -> list[int]:
    if not text[:1].isdigit() or " " in text:
        return []
    claimed = Tag.objects.filter(incident=incident, text__startswith=text).order_by("text")
    found = claimed.values_list("text", "object", "object__merged_into")
    exact_first = sorted(found[:500], key=lambda row: (row[0] != text, row[0]))
    return _standing([merged or thing for _text, thing, merged in exact_first])


def _standing(keys: list[int]) -> list[int]:
    """The keys, those merged on and on led to where they stand now."""
    rows = Object.objects.filter(pk__in=keys, merged_into__isnull=False).values_list("pk", "merged_into")
    onward = {pk: into for pk, into in rows if into is not None}
    return _standing([onward.get(key, key) for key in keys]) if onward else keys


def _other_tags(incident: Incident, text: str) -> QuerySet[Tag]:
    """Tags now tied to another object than the one of their own number."""
    if not is_tag(text):
        return Tag.objects.none()
    return Tag.objects.filter(incident=incident, text=text)


def _rows(keys: list[int], asked: QuerySet[Tag]) -> list[dict[str, Any]]:
    known = Object.objects.filter(pk__in=keys).select_related("place", "tray")
    found = {row.pk: row for row in known.defer("words", "kept", "runs", "sought")}
    typed = asked.values_list("text", flat=True).first() if keys else None
    return [_row(found[key], typed if n == 0 else None) for n, key in enumerate(keys) if key in found]


def _row(row: Object, typed: str | None) -> dict[str, Any]:
    return {
        "tag": row.tag,
        "once": typed if typed is not None and typed != row.tag else "",
        "title": row.title or row.materials,
        "owner_number": row.owner_number,
        "where": row.place.name if row.place else "",
        "tray": row.tray.name if row.tray else "",
        "stopped": row.stops > 0,
        "whose": whose(row.next_role) if row.next_step and not row.stops else "",
    }


def _fragments(incident: Incident, text: str) -> list[dict[str, Any]]:
    """Fragments whose tag begins so, or whose description has the words."""
    rows = Fragment.objects.filter(incident=incident).select_related("object")
    if text[:1].isdigit() and " " not in text:
        rows = rows.filter(tag__startswith=text)
    else:
        for word in text.split()[:MOST_WORDS]:
            rows = rows.filter(says__icontains=word)
    return [
        {"tag": row.tag, "says": row.says, "of": row.object.tag if row.object else ""}
        for row in rows.order_by("tag")[:PER_PAGE]
    ]
