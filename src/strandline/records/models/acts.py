"""The append-only log of acts, refusals, and who is at work on what."""

from __future__ import annotations

from django.db import models

from strandline.records.models.base import Row, filled


class Act(Row):
    """Something done: written once, in the transaction that did it, and never changed or deleted.

    ``key`` is made by the device, so that sending twice is doing once.  Payload, before and after name
    people by uid only; triggers of the database refuse UPDATE and DELETE.
    """

    key = models.UUIDField(unique=True)
    kind = models.CharField(max_length=50)
    version = models.PositiveIntegerField(default=1)
    incident = models.ForeignKey("records.Incident", on_delete=models.PROTECT, null=True, related_name="acts")
    object = models.ForeignKey("records.Object", on_delete=models.PROTECT, null=True, related_name="acts")
    person = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="acts")
    device = models.ForeignKey("records.Device", on_delete=models.PROTECT, null=True, related_name="acts")
    device_at = models.DateTimeField()
    device_seq = models.PositiveBigIntegerField(default=0)
    server_at = models.DateTimeField()
    payload = models.JSONField()
    before = models.JSONField()
    after = models.JSONField()

    class Meta:
        constraints = [filled("kind", "act_kind_filled")]


class Refusal(Row):
    """An act that was asked for and refused, and why."""

    kind = models.CharField(max_length=50)
    person = models.ForeignKey("records.Person", on_delete=models.PROTECT, null=True, related_name="+")
    object = models.ForeignKey("records.Object", on_delete=models.PROTECT, null=True, related_name="refusals")
    reason = models.TextField()
    at = models.DateTimeField()


class WorkClaim(Row):
    """A device has taken an object in hand until ``until``."""

    object = models.ForeignKey("records.Object", on_delete=models.PROTECT, related_name="work_claims")
    device = models.ForeignKey("records.Device", on_delete=models.PROTECT, related_name="work_claims")
    step = models.CharField(max_length=64)
    taken_at = models.DateTimeField()
    until = models.DateTimeField()
    given_back_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(until__gt=models.F("taken_at")), name="work_claim_has_length"
            ),
            models.UniqueConstraint(
                fields=["object"],
                condition=models.Q(given_back_at__isnull=True),
                name="work_claim_one_at_a_time",
            ),
        ]
