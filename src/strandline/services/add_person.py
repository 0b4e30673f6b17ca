"""Add a person: somebody works on the incident, with a log-in or without one."""

from __future__ import annotations

import uuid
from datetime import datetime

from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.contrib.contenttypes.models import ContentType
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from strandline.records.models.acts import Act
from strandline.records.models.people import ROLES, Person
from strandline.services.acting import Caller, Refused, Wanted, made_by, perform, refuse
from strandline.services.changes import Changes
from strandline.services.clock import now
from strandline.services.open_incident import named

PERSON_ROLES: tuple[str, ...] = tuple(key for key, _ in ROLES)
IN_USE = "this user name is in use; choose another one"


def add_person(
    caller: Caller, name: str, role: str, contact: str = "", username: str = "", password: str = ""
) -> Person:
    """Add a person; a user name makes the log-in in the same transaction.

    Name, contact, user name and password stay out of the log.  Raises Refused for no name, an unknown role, a
    user name that is malformed or in use, a password without one, and a password that is too weak.
    """
    payload = {"role": role, "log_in": bool(username)}
    wanted = Wanted("add_person", payload, None)
    hashed = make_password(password) if password else ""  # slow on purpose: not inside the transaction

    def work(changes: Changes) -> None:
        called = named(name, "a person")
        known_role(role)
        user = None
        if username:
            user = log_in(username, password, role)
            user.password = hashed
            user.save()
        elif password:
            raise Refused("a password needs a user name")
        changes.create(Person, name=called, role=role, contact=contact.strip(), user=user)

    try:
        return made_by(perform(caller, wanted, work), Person)
    except IntegrityError as error:
        # Two took the same user name at once; anything else is a fault.
        if not User.objects.filter(username=User.normalize_username(username)).exists():
            raise
        refuse(caller, wanted, IN_USE)
        raise Refused(IN_USE) from error


def first_lead(name: str, username: str, password: str, at: datetime) -> Person:
    """Make the first person of a practice, its lead; ``at`` is aware, by the clock of the device.

    Raises Refused once there is anybody, and for what ``add_person`` refuses.
    """
    hashed = make_password(password)
    with transaction.atomic():
        # Two who set up at once wait for each other here: there is no person yet whose row could be held.
        list(ContentType.objects.select_for_update().filter(app_label="records", model="person"))
        if Person.objects.exists():
            raise Refused("there are people already; a lead adds others")
        user = log_in(username, password, "lead")
        user.password = hashed
        user.save()
        changes = Changes()
        person = changes.create(Person, name=named(name, "a person"), role="lead", user=user)
        Act.objects.create(
            key=uuid.uuid4(), kind="first_lead", person=person, device_at=at, server_at=now(),
            payload={"role": "lead", "log_in": True}, before=changes.before, after=changes.after,
        )  # fmt: skip
    return person


def known_role(role: str) -> None:
    """Refuse a role nobody has."""
    if role not in PERSON_ROLES:
        raise Refused(f"a person is {', '.join(PERSON_ROLES)}; not '{role}'")


def log_in(username: str, password: str, role: str) -> User:
    """A log-in, not saved and without its password; Refused if it cannot be.

    A lead may open the admin pages (``is_staff``); nobody is a superuser.
    """
    user = User(username=User.normalize_username(username), is_staff=role == "lead")
    try:
        user.clean_fields(exclude=["password"])
    except ValidationError as error:
        raise Refused(f"user name: {' '.join(error.messages)}") from error
    taken = {one.casefold() for one in User.objects.values_list("username", flat=True)}
    if user.username.casefold() in taken:
        raise Refused(IN_USE)
    strong(password, user)
    return user


def strong(password: str, user: User) -> None:
    """Refuse a password that Django's validators find too weak."""
    try:
        validate_password(password, user)
    except ValidationError as error:
        raise Refused(f"password: {' '.join(error.messages)}") from error
