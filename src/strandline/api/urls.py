"""The JSON twins: every look at the address of its page, with ``.json`` for the last stroke."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.urls import path

from strandline.records.models.people import Person
from strandline.services.clock import now
from strandline.services.looks.asked import Asked, Look, NotThere
from strandline.services.looks.table import LOOKS


def json_view(look: Look) -> Callable[..., HttpResponse]:
    """The view of a look's JSON."""

    def view(request: HttpRequest, **args: Any) -> HttpResponse:
        person: Person = request.person  # type: ignore[attr-defined]  # set by web.guard.SignedIn
        if request.method not in {"GET", "HEAD"}:
            return JsonResponse({"refused": "this address is only read"}, status=405)
        if person.role not in look.roles:
            return JsonResponse({"refused": f"a {person.role} does not see this"}, status=403)
        try:
            return JsonResponse(look.data(Asked(person, now(), request.GET.dict()), **args))
        except NotThere as error:
            return JsonResponse({"refused": str(error)}, status=404)

    return view


def json_route(look: Look) -> str:
    """The route of a look's JSON."""
    return (look.route.removesuffix("/") or "home") + ".json"


urlpatterns = [path(json_route(look), json_view(look), name=f"{look.name}_json") for look in LOOKS.values()]
