"""How a page is made: data from a look, a template beside it, and deeds that its forms may ask for.

A form names its deed in ``do`` and carries a ``key``.  A deed that is refused shows the same page again with
the sentence and everything that was typed.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.request import QueryDict
from django.shortcuts import redirect, render
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _

from strandline.records.models.people import Person
from strandline.services.acting import Caller, NotAllowed, Refused
from strandline.services.clock import now
from strandline.services.looks.asked import Asked, Look, NotThere
from strandline.web.guard import device_of
from strandline.web.refusals import refused


class BadForm(Refused):
    """A field of a form cannot be used; ``errors`` says which and why."""

    def __init__(self, errors: Mapping[str, str]) -> None:
        super().__init__("; ".join(errors.values()))
        self.errors = dict(errors)


@dataclass(frozen=True, slots=True)
class Sent:
    """A form as it was sent, who sent it, and how its acts are keyed."""

    person: Person
    caller: Caller
    at: datetime
    form: QueryDict
    files: MultiValueDict[str, Any]
    request: HttpRequest
    args: Mapping[str, Any] = field(default_factory=dict)

    def text(self, name: str, most: int = 2000) -> str:
        """A field of text, trimmed; '' where it was not sent.  BadForm when too long."""
        found = str(self.form.get(name, "")).strip()
        if len(found) > most:
            raise BadForm(
                {name: _("%(most)s characters at most; got %(got)s") % {"most": most, "got": len(found)}}
            )
        return found

    def needed(self, name: str, what: str, most: int = 2000) -> str:
        """A field of text that must be filled."""
        found = self.text(name, most)
        if not found:
            raise BadForm({name: _("%(what)s is needed") % {"what": what}})
        return found

    def number(self, name: str, least: float, most: float) -> float | None:
        """A number within bounds, comma or point; None where the field is empty."""
        text = self.text(name, 40).replace(",", ".")
        if not text:
            return None
        try:
            found = float(text)
        except ValueError:
            found = float("nan")
        if not least <= found <= most:
            wanted = {"least": f"{least:g}", "most": f"{most:g}", "got": text}
            raise BadForm({name: _("a number from %(least)s to %(most)s; got '%(got)s'") % wanted})
        return found

    def one_of(self, name: str, words: tuple[str, ...] | frozenset[str]) -> str:
        """A word out of a few."""
        found = self.text(name, 100)
        if found not in words:
            listed = ", ".join(sorted(words))
            raise BadForm({name: _("one of %(words)s; got '%(got)s'") % {"words": listed, "got": found}})
        return found

    def uid(self, name: str) -> uuid.UUID | None:
        """Which of those offered a field names; None where it is empty.  BadForm for what is no uid."""
        text = self.text(name, 60)
        if not text:
            return None
        try:
            return uuid.UUID(text)
        except ValueError as error:
            raise BadForm({name: _("this is not one of those offered; choose again")}) from error

    def one(self, name: str, what: str) -> uuid.UUID:
        """Which of those offered a field names; it must name one."""
        found = self.uid(name)
        if found is None:
            raise BadForm({name: _("%(what)s is needed") % {"what": what}})
        return found

    def keyed(self, name: str) -> Caller:
        """The caller for a further act of the same form, its key made from the form's and ``name``."""
        mine = self.caller
        return Caller(mine.person, uuid.uuid5(mine.key, name), mine.device_at, mine.device, mine.device_seq)


Handler = Callable[[Sent], "str | HttpResponse"]
"""Does what a form asks; gives the address to go to next, or a whole answer.  Raises Refused or BadForm."""


@dataclass(frozen=True, slots=True)
class Deed:
    """What the forms of one page may ask for, and who may.  ``said`` is told when it is done."""

    page: str
    do: str
    handler: Handler
    roles: frozenset[str]
    said: str = ""


def page_view(look: Look, deeds: Mapping[str, Deed]) -> Callable[..., HttpResponse]:
    """The view of a look's page."""

    def view(request: HttpRequest, **args: Any) -> HttpResponse:
        person: Person = request.person  # type: ignore[attr-defined]  # set by guard.SignedIn
        if request.method == "POST":
            return _post(request, look, deeds, person, args)
        if request.method not in {"GET", "HEAD"}:
            return refused(request, _("This page is read or sent a form; nothing else."), 405)
        return shown(request, look, person, args)

    return view


def shown(
    request: HttpRequest, look: Look, person: Person, args: Mapping[str, Any], status: int = 200, **more: Any
) -> HttpResponse:
    """The page of a look, or why it is not to be had."""
    if person.role not in look.roles:
        return refused(request, _("A %(role)s does not see this page.") % {"role": person.role}, 403)
    try:
        data = look.data(Asked(person, now(), request.GET.dict()), **args)
    except NotThere as error:
        return refused(request, str(error), 404)
    context = {"look": data, "page": look.name, "twin": twin(request.path), **more}
    return render(request, f"web/{look.name}.html", context, status=status)


def twin(path: str) -> str:
    """Address of the JSON of a page."""
    return "/home.json" if path == "/" else path.rstrip("/") + ".json"


def _post(
    request: HttpRequest, look: Look, deeds: Mapping[str, Deed], person: Person, args: Mapping[str, Any]
) -> HttpResponse:
    deed = deeds.get(str(request.POST.get("do", "")))
    if deed is None:
        return refused(request, _("This page does not know what was asked of it."), 400)
    try:
        if person.role not in deed.roles:
            raise NotAllowed(_("A %(role)s may not do this.") % {"role": person.role})
        answer = deed.handler(_sent(request, person, args))
    except NotThere as error:
        return refused(request, str(error), 404)
    except BadForm as error:
        return shown(
            request, look, person, args, 422, errors=error.errors, sentence=str(error), typed=request.POST
        )
    except NotAllowed as error:
        return refused(request, str(error), 403)
    except Refused as error:
        return shown(request, look, person, args, 409, errors={}, sentence=str(error), typed=request.POST)
    if not isinstance(answer, str):
        return answer
    if deed.said:
        messages.success(request, _(deed.said))
    return redirect(answer)


def _sent(request: HttpRequest, person: Person, args: Mapping[str, Any]) -> Sent:
    try:
        key = uuid.UUID(str(request.POST.get("key", "")))
    except ValueError as error:
        raise BadForm({"key": _("the form has no key; load the page again")}) from error
    at = now()
    return Sent(
        person, Caller(person, key, at, device_of(request)), at, request.POST, request.FILES, request, args
    )
