"""Pages for what cannot be done, each in one sentence."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _


def refused(request: HttpRequest, sentence: str, status: int) -> HttpResponse:
    """A page that says why not."""
    return render(request, "web/refused.html", {"sentence": sentence, "status": status}, status=status)


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
