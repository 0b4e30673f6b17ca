"""Pages for what cannot be done, each in one sentence."""

from __future__ import annotations

import re

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from strandline.records.models.sites import Incident
from strandline.services.looks.words import CodeInPath

CODE = re.compile(CodeInPath.regex)


def refused(request: HttpRequest, sentence: str, status: int) -> HttpResponse:
    """A page that says why not."""
    told = {"sentence": sentence, "status": status, "of_incident": _incident(request, status)}
    return render(request, "web/refused.html", told, status=status)


def _incident(request: HttpRequest, status: int) -> str:
    """The code of the incident an address lies in, for somebody signed in; '' for none.

    After a mistake of our own the record is not asked: it may be the record that fails.
    """
    code = request.path.strip("/").partition("/")[0].removesuffix(".json")
    if status >= 500 or getattr(request, "person", None) is None or not CODE.fullmatch(code):
        return ""
    return code if Incident.objects.filter(code=code).exists() else ""


def no_token(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form was sent that did not come from here, or from before the last sign-in."""
    return refused(
        request, _("This form is no longer good. Go back, load the page again and send it once more."), 403
    )


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """An address nobody has."""
    return refused(request, _("There is no page at this address."), 404)


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """A request that cannot be understood, or is too large."""
    return refused(request, _("This request cannot be used: it is malformed or too large."), 400)


def failed(request: HttpRequest) -> HttpResponse:
    """Our own mistake: no trace reaches the screen; the log has it."""
    return refused(request, _("Something went wrong here and was noted. What you sent was not kept."), 500)
