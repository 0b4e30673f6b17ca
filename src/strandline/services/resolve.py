"""What a tag stands for, also after its object was merged into another one."""

from __future__ import annotations

from strandline.records.models.objects import Fragment, Object, Tag
from strandline.records.models.sites import Incident
from strandline.things.tags import TagError, read_qr


def resolve(incident: Incident, text: str) -> Object | Fragment | None:
    """The object or fragment under a tag, typed or as its code reads; None if there is none here."""
    tag = text.strip()
    if ":" in tag:
        try:
            code = read_qr(tag)
        except TagError:
            return None  # misread, or a code of something else
        if code.incident != incident.code:
            return None
        tag = code.tag
    fragment = Fragment.objects.filter(incident=incident, tag=tag).first()
    if fragment is not None:
        return fragment
    row = Tag.objects.filter(incident=incident, text=tag).select_related("object").first()
    return None if row is None else standing_for(row.object)


def standing_for(thing: Object) -> Object:
    """The object itself, or the one it was merged into, however often."""
    while thing.merged_into is not None:
        thing = thing.merged_into
    return thing
