"""Practice, site, incident, and the tree of places."""

from __future__ import annotations

from django.db import models

from strandline.records.models.base import Row, choices, filled, one_of

PLACE_KINDS = choices("building", "room", "spot", "zone", "station", "shelf", "container")
RELEASE_ABOUT = choices("structure", "electricity", "gas", "contamination", "other")


class Practice(Row):
    """The practice whose record this is."""

    name = models.CharField(max_length=200)


class Site(Row):
    """Where things are kept; its address stays in the practice."""

    private = frozenset({"address"})

    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="sites")
    name = models.CharField(max_length=200)
    address = models.TextField(blank=True)


class Incident(Row):
    """One flood, tide or burst main at one site.  Times UTC; ``zone`` is the IANA name for people.

    ``air_c`` in degrees C and ``air_rh`` as a fraction are those of the air outside; ``arrangements`` holds
    crew by day and kit, in the form of a site's file.
    """

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="incidents")
    code = models.CharField(max_length=12, unique=True)
    name = models.CharField(max_length=200)
    zone = models.CharField(max_length=64, default="UTC")
    water = models.JSONField(default=list)
    wet_since = models.DateTimeField(null=True)
    out_since = models.DateTimeField(null=True)
    air_c = models.FloatField(null=True)
    air_rh = models.FloatField(null=True)
    arrangements = models.JSONField(default=dict)
    opened_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            filled("code", "incident_code_two_letters", 2),
            models.CheckConstraint(
                condition=models.Q(air_rh__isnull=True) | models.Q(air_rh__gte=0, air_rh__lte=1),
                name="incident_rh_is_a_fraction",
            ),
        ]


class Place(Row):
    """A place within the incident; places lie in places."""

    incident = models.ForeignKey(Incident, on_delete=models.PROTECT, related_name="places")
    inside = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="holds")
    kind = models.CharField(max_length=16, choices=PLACE_KINDS)
    name = models.CharField(max_length=200)
    zone = models.CharField(max_length=32, blank=True)
    room_for = models.PositiveIntegerField(null=True)

    class Meta:
        constraints = [
            one_of("kind", PLACE_KINDS, "place_kind"),
            models.UniqueConstraint(fields=["incident", "inside", "name"], name="place_named_once"),
            models.UniqueConstraint(
                fields=["incident", "name"],
                condition=models.Q(inside__isnull=True),
                name="place_named_once_outermost",
            ),
            models.CheckConstraint(
                condition=models.Q(inside__isnull=True) | ~models.Q(inside=models.F("id")),
                name="place_not_in_itself",
            ),
        ]


class RoomRelease(Row):
    """Who said that a room may be entered, in what respect, in which capacity, and in which words."""

    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="releases")
    about = models.CharField(max_length=16, choices=RELEASE_ABOUT)
    role = models.CharField(max_length=100)
    said = models.TextField()
    at = models.DateTimeField()
    recorded_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            one_of("about", RELEASE_ABOUT, "room_release_about"),
            filled("role", "room_release_has_role", 2),
        ]
