"""What was seen, weighed and photographed."""

from __future__ import annotations

from django.db import models

from strandline.records.models.base import KNOWN_BY, Row, choices, filled, one_of

READING_KINDS = choices("mass_g", "rh", "air_c", "moisture", "look")


class Observation(Row):
    """One fact of an object: key, value, how it is known, by whom, when.

    The row that nothing supersedes is in force.  Two that were made at the same time about the same thing
    are both kept and marked ``clash``.
    """

    object = models.ForeignKey("records.Object", on_delete=models.PROTECT, related_name="observations")
    part = models.ForeignKey("records.Part", on_delete=models.PROTECT, null=True, related_name="observations")
    key = models.CharField(max_length=64)
    value = models.JSONField(null=True)
    known_by = models.CharField(max_length=16, choices=KNOWN_BY)
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, null=True, related_name="+")
    at = models.DateTimeField()
    supersedes = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="superseded_by")
    clash = models.BooleanField(default=False)

    class Meta:
        constraints = [
            one_of("known_by", KNOWN_BY, "observation_known_by"),
            filled("key", "observation_key_filled"),
        ]
        indexes = [models.Index(fields=["object", "key"], name="observation_of_object")]


class Reading(Row):
    """A number off a scale, a card or a logger.  Units as the kind says; ``rh`` is a fraction."""

    object = models.ForeignKey("records.Object", on_delete=models.PROTECT, null=True, related_name="readings")
    place = models.ForeignKey("records.Place", on_delete=models.PROTECT, null=True, related_name="readings")
    kind = models.CharField(max_length=16, choices=READING_KINDS)
    value = models.FloatField(null=True)
    tare_g = models.FloatField(null=True)
    says = models.TextField(blank=True)
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, null=True, related_name="+")
    at = models.DateTimeField()

    class Meta:
        constraints = [
            one_of("kind", READING_KINDS, "reading_kind"),
            models.CheckConstraint(
                condition=models.Q(object__isnull=False) | models.Q(place__isnull=False),
                name="reading_of_something",
            ),
            models.CheckConstraint(
                condition=~models.Q(kind="rh") | models.Q(value__gte=0, value__lte=1),
                name="reading_rh_is_a_fraction",
            ),
        ]


class Photo(Row):
    """An original kept byte for byte, known by its hash; ``path`` is relative to the practice folder."""

    incident = models.ForeignKey("records.Incident", on_delete=models.PROTECT, related_name="photos")
    object = models.ForeignKey("records.Object", on_delete=models.PROTECT, null=True, related_name="photos")
    place = models.ForeignKey("records.Place", on_delete=models.PROTECT, null=True, related_name="photos")
    sha256 = models.CharField(max_length=64)
    size_bytes = models.PositiveBigIntegerField()
    path = models.TextField()
    media_type = models.CharField(max_length=50)
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, null=True, related_name="+")
    taken_at = models.DateTimeField(null=True)
    added_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["incident", "object", "sha256"], name="photo_once"),
            models.UniqueConstraint(
                fields=["incident", "sha256"],
                condition=models.Q(object__isnull=True),
                name="photo_once_of_none",
            ),
            filled("sha256", "photo_hash_whole", 64),
        ]
