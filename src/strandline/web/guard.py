"""What every request passes: the content policy, and who is signed in on which device."""

from __future__ import annotations

import uuid
from collections.abc import Callable

from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from strandline.records.models.people import Device, Person
from strandline.services.clock import now

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

DEVICE = "device"


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
            return redirect(f"/sign-in/?next={request.path}")
        request.person = person  # type: ignore[attr-defined]  # Django's way of handing things on
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
