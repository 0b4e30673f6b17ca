"""What every template may use."""

from __future__ import annotations

import uuid
from typing import Any

from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from strandline.services.add_party import ROLES as PARTY_ROLES
from strandline.services.add_person import PERSON_ROLES
from strandline.services.add_place import KINDS
from strandline.services.clock import is_a_story, now

WATERS = (
    ("sewage", _("sewage: drains up, toilets")), ("river", _("river")), ("sea", _("sea")),
    ("brackish", _("brackish: tidal river")), ("fuel", _("fuel or oil")), ("chemical", _("chemicals")),
    ("clean", _("mains or rain, nothing in it")), ("unknown", _("not sure")),
)  # fmt: skip
"""Kinds of water as they are asked for."""


def always(request: HttpRequest) -> dict[str, Any]:
    """The person signed in, and a fresh key for the next act, so that sending twice is doing once."""
    person = getattr(request, "person", None)
    return {
        "me": person,
        "act_key": uuid.uuid4(),
        "is_lead": person is not None and person.role == "lead",
        "is_senior": person is not None and person.role in {"lead", "conservator"},
        "place_kinds": KINDS,
        "person_roles": PERSON_ROLES,
        "party_roles": PARTY_ROLES,
        "waters": WATERS,
        "a_story": is_a_story(),
        "at": now() if is_a_story() else None,
        "has_hands": person is not None and person.role != "viewer",
    }
