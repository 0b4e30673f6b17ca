"""Change a person: name, role, whether they still work here, a new password."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.hashers import make_password

from strandline.records.models.people import Person
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.add_person import known_role, strong
from strandline.services.changes import Changes
from strandline.services.open_incident import named

LAST_LEAD = "this is the last lead; make somebody else lead first"


def change_person(
    caller: Caller,
    person: Person,
    name: str | None = None,
    role: str | None = None,
    active: bool | None = None,
    password: str | None = None,
) -> Person:
    """Change what is given.  A log-in follows its person: who has left cannot sign in.

    Name and password stay out of the log, which only says that there was a new one.  Raises Refused where no
    lead would be left who can sign in, for a password without a log-in or too weak, and nothing to change.
    """
    hashed = make_password(password) if password else ""  # slow on purpose: not inside the transaction

    def work(changes: Changes) -> None:
        others = other_leads(person)
        held = Person.objects.select_for_update().get(pk=person.pk)
        fields = _fields(held, name, role, active)
        if not fields and password is None:
            raise Refused("there is nothing to change")
        leads = held.role == "lead" and held.active
        stays = fields.get("role", held.role) == "lead" and fields.get("active", held.active)
        if leads and not stays and not others:
            raise Refused(LAST_LEAD)
        changes.update(held, **fields)
        _log_in(held, active, password, hashed)

    payload = {"person": person, "renamed": name is not None, "role": role, "active": active,
               "new_password": password is not None}  # fmt: skip
    perform(caller, Wanted("change_person", payload, None), work)
    return Person.objects.get(pk=person.pk)


def other_leads(person: Person) -> list[Person]:
    """Leads who can sign in, without this one.

    All of them are held to the end of the transaction, so that the last two cannot go at the same time.
    """
    able = Person.objects.select_for_update().filter(role="lead", active=True, user__is_active=True)
    return [one for one in able.order_by("id") if one.pk != person.pk]


def _fields(held: Person, name: str | None, role: str | None, active: bool | None) -> dict[str, Any]:
    """What is given, looked through; without what it is already."""
    fields: dict[str, Any] = {}
    if name is not None:
        fields["name"] = named(name, "a person")
    if role is not None:
        known_role(role)
        fields["role"] = role
    if active is not None:
        fields["active"] = active
    return fields


def _log_in(held: Person, active: bool | None, password: str | None, hashed: str) -> None:
    """Let the log-in follow; one that was shut by itself stays shut until somebody says ``active``."""
    user = held.user
    if user is None:
        if password is not None:
            raise Refused("this person has no log-in, so no password")
        return
    if password is not None:
        strong(password, user)
        user.password = hashed
        user.save(update_fields=["password"])
    if active is not None:
        user.is_active = active
        user.save(update_fields=["is_active"])
    user.is_staff = held.role == "lead"
    user.save(update_fields=["is_staff"])
