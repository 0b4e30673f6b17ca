"""Change a person: name, role, whether they still work here, a new password."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.hashers import make_password

from strandline.records.models.people import Person
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.add_person import known_role, strong
from strandline.services.changes import Changes
from strandline.services.open_incident import named


def change_person(
    caller: Caller,
    person: Person,
    name: str | None = None,
    role: str | None = None,
    active: bool | None = None,
    password: str | None = None,
) -> Person:
    """Change what is given.  A log-in follows its person: who has left cannot sign in.

    Name and password stay out of the log, which only says that there was a new one.  Raises Refused for the
    last lead who would be one no longer, a password without a log-in or too weak, and nothing to change.
    """
    hashed = make_password(password) if password else ""  # slow on purpose: not inside the transaction

    def work(changes: Changes) -> None:
        # All leads are held, so that the last two cannot leave at the same time.
        leads = list(Person.objects.select_for_update().filter(role="lead", active=True).order_by("id"))
        held = Person.objects.select_for_update().get(pk=person.pk)
        fields = _fields(held, name, role, active)
        if not fields and password is None:
            raise Refused("there is nothing to change")
        stays = fields.get("role", held.role) == "lead" and fields.get("active", held.active)
        if leads == [held] and not stays:
            raise Refused("this is the last lead; make somebody else lead first")
        changes.update(held, **fields)
        _log_in(held, password, hashed)

    payload = {"person": person, "renamed": name is not None, "role": role, "active": active,
               "new_password": password is not None}  # fmt: skip
    perform(caller, Wanted("change_person", payload, None), work)
    return Person.objects.get(pk=person.pk)


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


def _log_in(held: Person, password: str | None, hashed: str) -> None:
    user = held.user
    if user is None:
        if password is not None:
            raise Refused("this person has no log-in, so no password")
        return
    if password is not None:
        strong(password, user)
        user.password = hashed
    user.is_active = held.active
    user.is_staff = held.role == "lead"
    user.save(update_fields=["password", "is_active", "is_staff"])
