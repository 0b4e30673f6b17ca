"""Signing in and out, and the first lead of a new record."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from django import forms
from django.conf import settings
from django.contrib.auth import authenticate, login, logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.crypto import constant_time_compare
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from strandline.records.models.people import Person
from strandline.services.acting import Refused
from strandline.services.add_person import first_lead
from strandline.services.clock import now
from strandline.web.guard import device_of
from strandline.web.refusals import refused

FREE_TRIES = 5
LONGEST_WAIT_S = 300.0
MOST_KEPT = 10_000


@dataclass(slots=True)
class Throttle:
    """Lets nobody guess passwords fast: after five wrong ones each further wait doubles, up to five minutes.

    Kept per name and per address, in this process only: one server serves one record.
    """

    clock: Callable[[], float] = time.monotonic
    _wrong: dict[str, tuple[int, float]] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def wait_s(self, *who: str) -> float:
        """Seconds until the next try may be made; 0 when now."""
        with self._lock:
            return max((self._left(one) for one in who), default=0.0)

    def _left(self, who: str) -> float:
        count, last = self._wrong.get(who, (0, 0.0))
        if count < FREE_TRIES:
            return 0.0
        return max(0.0, last + min(2.0 ** (count - FREE_TRIES), LONGEST_WAIT_S) - self.clock())

    def wrong(self, *who: str) -> None:
        """Count a wrong try."""
        with self._lock:
            if len(self._wrong) > MOST_KEPT:
                self._wrong.clear()
            for one in who:
                self._wrong[one] = (self._wrong.get(one, (0, 0.0))[0] + 1, self.clock())

    def right(self, *who: str) -> None:
        """Forget what was wrong before."""
        with self._lock:
            for one in who:
                self._wrong.pop(one, None)


throttle = Throttle()


class SignIn(forms.Form):
    """Name and password."""

    username = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=150,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
    )
    password = forms.CharField(
        label=gettext_lazy("Password"),
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class Begin(SignIn):
    """The first lead of a new record; ``code`` is printed where the server was started."""

    username = forms.CharField(
        label=gettext_lazy("Name to sign in with"),
        max_length=150,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
    )

    name = forms.CharField(label=gettext_lazy("What people call you"), max_length=200)
    code = forms.CharField(
        label=gettext_lazy("Code from the window where Strandline was started"), max_length=50
    )


@require_http_methods(["GET", "HEAD", "POST"])
def sign_in_view(request: HttpRequest) -> HttpResponse:
    """Sign in; on a record without anybody, begin it."""
    if not Person.objects.exists():
        return redirect("begin")
    form = SignIn(request.POST or None)
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            found = _try(request, form)
            if found is not None:
                return found
            status = 429 if form.errors.get("password") else 403
    going = _next(request)
    return render(
        request, "web/sign_in.html", {"form": form, "next": going, "page": "sign_in"}, status=status
    )


def who_tries(request: HttpRequest, username: str) -> tuple[str, str]:
    """What a try with a password is counted under: the log-in and the address."""
    return f"name {username.casefold()}", f"address {request.META.get('REMOTE_ADDR', '')}"


def too_many(wait_s: float) -> str:
    """The sentence for somebody who has to wait."""
    return _("Too many wrong tries. Wait %(s)d seconds, then try again.") % {"s": wait_s + 1}


def _try(request: HttpRequest, form: SignIn) -> HttpResponse | None:
    name = form.cleaned_data["username"]
    who = who_tries(request, name)
    wait = throttle.wait_s(*who)
    if wait > 0:
        form.add_error("password", too_many(wait))
        return None
    user = authenticate(request, username=name, password=form.cleaned_data["password"])
    if user is None or not Person.objects.filter(user_id=user.pk, active=True).exists():
        throttle.wrong(*who)
        form.add_error(None, _("Name and password do not go together. Ask the lead for a new password."))
        return None
    throttle.right(*who)
    login(request, user)
    device_of(request)
    return redirect(_next(request))


def _next(request: HttpRequest) -> str:
    going = request.POST.get("next") or request.GET.get("next") or "/"
    return going if url_has_allowed_host_and_scheme(going, {request.get_host()}) else "/"


@require_http_methods(["POST"])
def sign_out_view(request: HttpRequest) -> HttpResponse:
    """Sign out."""
    logout(request)
    return redirect("sign_in")


@require_http_methods(["GET", "HEAD", "POST"])
def begin_view(request: HttpRequest) -> HttpResponse:
    """Make the first lead, once, by somebody who can read the window of the server."""
    if Person.objects.exists():
        return refused(request, _("This record has begun already; sign in."), 403)
    form = Begin(request.POST or None)
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid() and _begin(request, form):
            return redirect("home")
    return render(request, "web/begin.html", {"form": form, "page": "begin"}, status=status)


def _letters(code: str) -> str:
    """A code as it is compared: without the hyphen, or whatever was typed in its place, in capitals."""
    return "".join(sign for sign in code if sign.isalnum()).upper()


def _begin(request: HttpRequest, form: Begin) -> bool:
    wanted = str(getattr(settings, "BEGIN_CODE", ""))
    given = form.cleaned_data
    address = f"address {request.META.get('REMOTE_ADDR', '')}"
    if throttle.wait_s(address) > 0:
        form.add_error("code", _("Too many wrong tries. Wait a little, then try again."))
        return False
    if not wanted or not constant_time_compare(_letters(given["code"]), _letters(wanted)):
        throttle.wrong(address)
        form.add_error("code", _("This is not the code that was printed."))
        return False
    try:
        first_lead(given["name"], given["username"], given["password"], now())
    except Refused as error:
        field, _colon, why = str(error).partition(": ")
        about = {"password": "password", "user name": "username"}.get(field)
        form.add_error(about, why if about else str(error))
        return False
    user = authenticate(request, username=given["username"], password=given["password"])
    if user is None:
        form.add_error(None, _("The log-in was made; sign in with it."))
        return False
    login(request, user)
    device_of(request)
    return True
