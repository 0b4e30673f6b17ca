"""What a form of a thing's page is about, and where to go from it."""

from __future__ import annotations

from django.urls import reverse

from strandline.records.models.objects import Object
from strandline.services.looks.asked import incident_of, thing_of
from strandline.web.pages import Sent


def asked_thing(sent: Sent) -> Object:
    """The object the page is about, also by the tag of one that was merged into it."""
    return thing_of(incident_of(str(sent.args["code"])), str(sent.args["tag"]))


def address(name: str, thing: Object, query: str = "") -> str:
    """The address of a page of a thing."""
    at = reverse(name, kwargs={"code": thing.incident.code, "tag": thing.tag})
    return f"{at}?{query}" if query else at
