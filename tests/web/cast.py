"""People who are signed in, for the tests of the pages."""

from __future__ import annotations

import uuid

from django.contrib.auth.models import User
from django.test import Client

from strandline.records.models.people import Person
from tests.records.cast import person

PASSWORD = "wet gloves and string"


def with_log_in(role: str) -> Person:
    """Somebody in this role, always the same one, who can sign in."""
    found = person(role)
    if found.user is None:
        found.user = User.objects.create_user(username=role, password=None, is_staff=role == "lead")
        found.save()
    return found


def signed_in(client: Client, role: str) -> Person:
    """The client, signed in as somebody in this role."""
    found = with_log_in(role)
    assert found.user is not None
    client.force_login(found.user)
    return found


def form(do: str, **fields: object) -> dict[str, object]:
    """A form as the page sends it, with a fresh key."""
    return {"do": do, "key": str(uuid.uuid4()), **fields}
