"""Objects with their parts and joins, fragments, lots, trays, batches, and the tags tied to them."""

from __future__ import annotations

from django.db import models

from strandline.records.models.base import KNOWN_BY, Row, choices, filled, one_of

SURFACE = choices("stated", "silent")
BATCH_KINDS = choices("rinse_water", "room_square", "other")
ROW_STATES = choices("not_seen", "found", "one_row_several_things", "several_rows_one_thing")


class Lot(Row):
    """Several things under one tag, one photograph and one plan: the strictest over its members."""

    incident = models.ForeignKey("records.Incident", on_delete=models.PROTECT, related_name="lots")
    name = models.CharField(max_length=200)
    counted = models.PositiveIntegerField(null=True)
    split_at = models.DateTimeField(null=True)


class Tray(Row):
    """Things whose next step and rules are the same; work is handed out by tray."""

    incident = models.ForeignKey("records.Incident", on_delete=models.PROTECT, related_name="trays")
    name = models.CharField(max_length=50)
    place = models.ForeignKey("records.Place", on_delete=models.PROTECT, null=True, related_name="trays")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["incident", "name"], name="tray_named_once")]


class Object(Row):
    """One object, or one lot under one tag.  ``revision`` counts the acts that changed it.

    ``plan`` and the fields after it say in short what the newest plan says, so that long lists need no plan:
    the next step and whose it is, how many stops are open, how many actions wait for the lead's answer, and
    ``runs``: per clock its key, the moment its origin was at (ISO, or null), its hours and its shape.
    ``sought`` is what search looks through.  ``kept`` are cells of a list under headers nobody knows: phone
    numbers and values stand there, so they never enter the log or a plan.
    """

    private = frozenset({"kept"})

    incident = models.ForeignKey("records.Incident", on_delete=models.PROTECT, related_name="things")
    tag = models.CharField(max_length=16)
    revision = models.PositiveIntegerField(default=1)
    list_row = models.PositiveIntegerField(default=0)
    title = models.TextField(blank=True)
    owner_number = models.TextField(blank=True)
    materials = models.TextField(blank=True)
    klass = models.TextField(blank=True)
    owner = models.ForeignKey("records.Party", on_delete=models.PROTECT, null=True, related_name="things")
    listed_place = models.TextField(blank=True)
    words = models.JSONField(default=dict)
    kept = models.JSONField(default=dict)
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, related_name="things")
    tray = models.ForeignKey(Tray, on_delete=models.PROTECT, null=True, related_name="things")
    place = models.ForeignKey("records.Place", on_delete=models.PROTECT, null=True, related_name="things")
    merged_into = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="merged")
    received_at = models.DateTimeField()
    plan = models.ForeignKey("records.PlanSnapshot", on_delete=models.PROTECT, null=True, related_name="+")
    significance = models.PositiveSmallIntegerField(default=3)
    next_step = models.CharField(max_length=64, blank=True)
    next_role = models.CharField(max_length=16, blank=True)
    stops = models.PositiveSmallIntegerField(default=0)
    refers = models.PositiveSmallIntegerField(default=0)
    runs = models.JSONField(default=list)
    sought = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["incident", "tag"], name="object_tag_once"),
            filled("tag", "object_tag_four_digits", 4),
            models.CheckConstraint(condition=models.Q(revision__gte=1), name="object_revision_from_one"),
        ]


class TrayCount(Row):
    """A tray counted when it changed hands.  Fewer than expected is a search, open until ``settled_at``."""

    tray = models.ForeignKey(Tray, on_delete=models.PROTECT, related_name="counts")
    expected = models.PositiveIntegerField()
    counted = models.PositiveIntegerField()
    missing = models.JSONField(default=list)
    note = models.TextField(blank=True)
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    settled_at = models.DateTimeField(null=True)


class Tag(Row):
    """A tag once claimed stays claimed: the row is never deleted, and after a merge it points on."""

    incident = models.ForeignKey("records.Incident", on_delete=models.PROTECT, related_name="tags")
    text = models.CharField(max_length=16)
    object = models.ForeignKey(Object, on_delete=models.PROTECT, related_name="tags")
    claimed_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["incident", "text"], name="tag_once"),
            filled("text", "tag_four_digits", 4),
        ]


class TagRange(Row):
    """Tags printed or set aside for one device or sheet, first and last included."""

    incident = models.ForeignKey("records.Incident", on_delete=models.PROTECT, related_name="tag_ranges")
    first = models.PositiveIntegerField()
    last = models.PositiveIntegerField()
    device = models.ForeignKey("records.Device", on_delete=models.PROTECT, null=True, related_name="+")
    sheet = models.CharField(max_length=100, blank=True)
    reserved_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(first__gte=1, last__gte=models.F("first")), name="tag_range_in_order"
            )
        ]


class Part(Row):
    """A body of one material; ``key`` is its id within the object.  Thickness in mm."""

    object = models.ForeignKey(Object, on_delete=models.PROTECT, related_name="parts")
    key = models.CharField(max_length=16)
    order = models.PositiveIntegerField()
    name = models.TextField(blank=True)
    material = models.CharField(max_length=100)
    family = models.CharField(max_length=50)
    span = models.TextField(blank=True)
    column = models.CharField(max_length=50, blank=True)
    known_by = models.CharField(max_length=16, choices=KNOWN_BY)
    species = models.CharField(max_length=100, blank=True)
    could_be = models.JSONField(default=list)
    lookalike = models.CharField(max_length=100, blank=True)
    thickness_mm = models.FloatField(null=True)
    thickness_by = models.CharField(max_length=16, choices=KNOWN_BY)
    exposed = models.BooleanField(default=True)
    features = models.JSONField(default=list)
    surface = models.CharField(max_length=8, choices=SURFACE)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["object", "key"], name="part_key_once"),
            one_of("known_by", KNOWN_BY, "part_known_by"),
            one_of("thickness_by", KNOWN_BY, "part_thickness_by"),
            one_of("surface", SURFACE, "part_surface"),
        ]


class Join(Row):
    """How two parts of one object hold together."""

    object = models.ForeignKey(Object, on_delete=models.PROTECT, related_name="joins")
    key = models.CharField(max_length=16)
    order = models.PositiveIntegerField()
    kind = models.CharField(max_length=50)
    first = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    second = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    known_by = models.CharField(max_length=16, choices=KNOWN_BY)
    span = models.TextField(blank=True)
    column = models.CharField(max_length=50, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["object", "key"], name="join_key_once"),
            one_of("known_by", KNOWN_BY, "join_known_by"),
        ]


class Batch(Row):
    """Rinse water or floor mud of one square, looked through for fragments."""

    incident = models.ForeignKey("records.Incident", on_delete=models.PROTECT, related_name="batches")
    kind = models.CharField(max_length=16, choices=BATCH_KINDS)
    name = models.CharField(max_length=100)
    place = models.ForeignKey("records.Place", on_delete=models.PROTECT, null=True, related_name="batches")
    opened_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [one_of("kind", BATCH_KINDS, "batch_kind")]


class Fragment(Row):
    """Something that came off an object; without ``object`` it is a stray."""

    incident = models.ForeignKey("records.Incident", on_delete=models.PROTECT, related_name="fragments")
    object = models.ForeignKey(Object, on_delete=models.PROTECT, null=True, related_name="fragments")
    tag = models.CharField(max_length=16)
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, null=True, related_name="fragments")
    place = models.ForeignKey("records.Place", on_delete=models.PROTECT, null=True, related_name="fragments")
    says = models.TextField(blank=True)
    found_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["incident", "tag"], name="fragment_tag_once"),
            filled("tag", "fragment_tag_four_digits", 4),
        ]


class ListRow(Row):
    """A row of an imported list, its cells as typed, and what became of it on the tables."""

    private = frozenset({"cells", "kept"})

    incident = models.ForeignKey("records.Incident", on_delete=models.PROTECT, related_name="list_rows")
    list_sha256 = models.CharField(max_length=64)
    row = models.PositiveIntegerField()
    cells = models.JSONField(default=dict)
    kept = models.JSONField(default=dict)
    state = models.CharField(max_length=32, choices=ROW_STATES, default="not_seen")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["incident", "list_sha256", "row"], name="list_row_once"),
            one_of("state", ROW_STATES, "list_row_state"),
        ]


class RowClaim(Row):
    """A person said that this row of the list is this object."""

    list_row = models.ForeignKey(ListRow, on_delete=models.PROTECT, related_name="claims")
    object = models.ForeignKey(Object, on_delete=models.PROTECT, related_name="row_claims")
    claimed_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["list_row", "object"], name="row_claim_once")]
