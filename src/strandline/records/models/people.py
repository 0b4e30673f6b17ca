"""People, devices, parties with their roles, authority, hours.  Names stay here and never enter the log."""

from __future__ import annotations

from django.db import models

from strandline.records.models.base import Row, choices, one_of

ROLES = choices("lead", "conservator", "helper", "viewer")
PARTY_ROLES = choices("owner", "lender", "insurer", "authority")
AUTHORITY = choices("none", "verbal", "written")
SCOPES = choices("first_aid_only", "plan", "named_treatment")


class Person(Row):
    """Somebody who works on the incident.  ``user`` is their log-in, if they have one."""

    private = frozenset({"name", "contact", "user"})

    user = models.OneToOneField("auth.User", on_delete=models.PROTECT, null=True, related_name="person")
    name = models.CharField(max_length=200)
    role = models.CharField(max_length=16, choices=ROLES)
    contact = models.TextField(blank=True)
    active = models.BooleanField(default=True)

    class Meta:
        constraints = [one_of("role", ROLES, "person_role")]


class Device(Row):
    """A phone, tablet or laptop that records."""

    name = models.CharField(max_length=100)
    first_seen_at = models.DateTimeField()
    retired_at = models.DateTimeField(null=True)


class Party(Row):
    """An owner, lender, insurer or authority.  ``erased_at``: name and contact were taken out on request."""

    private = frozenset({"name", "contact"})

    name = models.CharField(max_length=200, blank=True)
    contact = models.TextField(blank=True)
    erased_at = models.DateTimeField(null=True)


class PartyRole(Row):
    """What a party is to an incident as a whole, or to one object of it."""

    party = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="roles")
    incident = models.ForeignKey("records.Incident", on_delete=models.PROTECT, related_name="parties")
    object = models.ForeignKey("records.Object", on_delete=models.PROTECT, null=True, related_name="parties")
    role = models.CharField(max_length=16, choices=PARTY_ROLES)

    class Meta:
        constraints = [
            one_of("role", PARTY_ROLES, "party_role_kind"),
            models.UniqueConstraint(fields=["party", "incident", "object", "role"], name="party_role_once"),
            models.UniqueConstraint(
                fields=["party", "incident", "role"],
                condition=models.Q(object__isnull=True),
                name="party_role_once_for_all",
            ),
        ]


class Authority(Row):
    """What an owner has allowed for an incident: first aid only until something else is recorded."""

    party = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="authority")
    incident = models.ForeignKey("records.Incident", on_delete=models.PROTECT, related_name="authority")
    given = models.CharField(max_length=16, choices=AUTHORITY, default="none")
    scope = models.CharField(max_length=32, choices=SCOPES, default="first_aid_only")
    said = models.TextField(blank=True)
    at = models.DateTimeField()
    recorded_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            one_of("given", AUTHORITY, "authority_given"),
            one_of("scope", SCOPES, "authority_scope"),
            models.CheckConstraint(
                condition=~models.Q(given="none") | models.Q(scope="first_aid_only"),
                name="authority_none_is_first_aid",
            ),
        ]


class Hours(Row):
    """Minutes of one person's work, for the object or for the incident."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="hours")
    incident = models.ForeignKey("records.Incident", on_delete=models.PROTECT, related_name="hours")
    object = models.ForeignKey("records.Object", on_delete=models.PROTECT, null=True, related_name="hours")
    step = models.CharField(max_length=64, blank=True)
    started_at = models.DateTimeField()
    minutes = models.FloatField()

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(minutes__gt=0), name="hours_above_nought")]
