"""What every request passes: the content policy, no NUL, and who is signed in on which device."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable
from typing import Any
from urllib.parse import urlencode

from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.http.request import QueryDict
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from strandline.records.models.people import Device, Person
from strandline.services.clock import now
from strandline.web.refusals import refused

Answer = Callable[[HttpRequest], HttpResponse]

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
"""Nothing from anywhere else, nothing inline."""

OPEN_TO_ALL: tuple[str, ...] = ("/sign-in/", "/begin/", "/static/")
"""Pages without a log-in: signing in, and the first start of a new record."""

FOR_LEADS = "/admin/"
"""Tables as they are: a lead's alone."""

DEVICE = "device"
NUL = "\x00"


class ContentPolicy:
    """Adds the policy and tells nobody's cache to keep a page."""

    def __init__(self, answer: Answer) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, with the headers."""
        response = self.answer(request)
        response.headers["Content-Security-Policy"] = POLICY
        response.headers.setdefault("Permissions-Policy", "geolocation=(), microphone=(), camera=(self)")
        if not request.path.startswith("/static/"):
            response.headers.setdefault("Cache-Control", "no-store")
        return response


class NoNul:
    """Refuses a request with a NUL in its address, its cookies or its form.

    No keyboard makes one, and PostgreSQL keeps none in a text.  The bytes of a file that is sent are no text
    and are not looked at.
    """

    def __init__(self, answer: Answer) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer a request whose address and cookies can be used."""
        if any(NUL in text for text in (request.path, *_texts(request.GET), *request.COOKIES.values())):
            return _with_nul(request)
        return self.answer(request)

    def process_view(
        self, request: HttpRequest, view: Any, args: tuple[Any, ...], named: dict[str, Any]
    ) -> HttpResponse | None:
        """Look through a form: only here, so that nothing is read of what is sent by nobody."""
        names = (str(file.name) for _field, files in request.FILES.lists() for file in files)
        if any(NUL in text for text in (*_texts(request.POST), *request.FILES, *names)):
            return _with_nul(request)
        return None


def _texts(sent: QueryDict) -> Iterable[str]:
    """Names and values of a query or a form."""
    for name, values in sent.lists():
        yield name
        yield from (str(value) for value in values)


def _with_nul(request: HttpRequest) -> HttpResponse:
    if request.path.endswith(".json"):
        return HttpResponse(
            '{"refused": "holds a character that no keyboard makes"}', "application/json", 400
        )
    return refused(request, _("What was sent holds a character that no keyboard makes."), 400)


class SignedIn:
    """Everything but OPEN_TO_ALL needs a person who is still at work here, on a device that is known."""

    def __init__(self, answer: Answer) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer for a person; send everybody else to sign in."""
        if request.path.startswith(OPEN_TO_ALL):
            return self.answer(request)
        person = person_of(request)
        if person is None:
            if request.user.is_authenticated:
                logout(request)
            if request.path.endswith(".json"):
                return HttpResponse('{"refused": "sign in first"}', "application/json", status=401)
            return redirect(f"/sign-in/?{urlencode({'next': request.get_full_path()}, safe='/')}")
        request.person = person  # type: ignore[attr-defined]  # Django's way of handing things on
        if request.path.startswith(FOR_LEADS) and person.role != "lead":
            return refused(request, _("Only a lead looks at these tables."), 403)
        return self.answer(request)


def person_of(request: HttpRequest) -> Person | None:
    """The person of a session, if the log-in still stands for one at work."""
    if not request.user.is_authenticated:
        return None
    return Person.objects.filter(user_id=request.user.pk, active=True).first()


def device_of(request: HttpRequest) -> Device:
    """The device of this session, made when it is first seen; named after what it says it is."""
    known = request.session.get(DEVICE)
    found = Device.objects.filter(uid=known).first() if known else None
    if found is None:
        agent = request.headers.get("User-Agent", "")
        name = "phone" if "Mobi" in agent else "computer"
        found = Device.objects.create(name=f"{name} {uuid.uuid4().hex[:4]}", first_seen_at=now())
        request.session[DEVICE] = str(found.uid)
    return found
