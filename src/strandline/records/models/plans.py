"""Plans as they were made, what was overruled, which knowledge made them, and how each step ended."""

from __future__ import annotations

from django.db import models

from strandline.records.models.base import Row, choices, filled, one_of

LEVELS = choices("practice", "incident", "lot", "object")
ENDS = choices("done", "done_differently", "not_done", "withdrawn")
NOT_DONE = choices(
    "no_time", "no_water", "not_safe", "refused_by_owner", "lead_said_no", "would_not_bear_it", "not_found"
)


class KnowledgeVersion(Row):
    """The knowledge a plan was made from."""

    version = models.CharField(max_length=50)
    sha256 = models.CharField(max_length=64)
    overrides_sha256 = models.CharField(max_length=64, blank=True)
    engine_version = models.CharField(max_length=50)
    first_used_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["sha256", "overrides_sha256", "engine_version"], name="knowledge_once"
            )
        ]


class PlanSnapshot(Row):
    """Facts and result as they stood.  Nothing in it depends on the hour; papers carry ``short_id``."""

    object = models.ForeignKey("records.Object", on_delete=models.PROTECT, related_name="plans")
    number = models.PositiveIntegerField()
    short_id = models.CharField(max_length=8)
    knowledge = models.ForeignKey(KnowledgeVersion, on_delete=models.PROTECT, related_name="plans")
    facts = models.JSONField()
    result = models.JSONField()
    sha256 = models.CharField(max_length=64)
    made_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["object", "number"], name="plan_number_once"),
            models.CheckConstraint(condition=models.Q(number__gte=1), name="plan_number_from_one"),
        ]


class Override(Row):
    """A rule, hour or limit overruled at one level.  Withdrawn, never deleted."""

    level = models.CharField(max_length=16, choices=LEVELS)
    incident = models.ForeignKey("records.Incident", on_delete=models.PROTECT, null=True, related_name="+")
    lot = models.ForeignKey("records.Lot", on_delete=models.PROTECT, null=True, related_name="overrides")
    object = models.ForeignKey(
        "records.Object", on_delete=models.PROTECT, null=True, related_name="overrides"
    )
    target = models.CharField(max_length=200)
    value = models.JSONField()
    reason = models.TextField()
    person = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    expires_at = models.DateTimeField(null=True)
    withdrawn_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            one_of("level", LEVELS, "override_level"),
            filled("reason", "override_reason_ten", 10),
            filled("target", "override_target_filled"),
            models.CheckConstraint(
                condition=models.Q(level="practice", incident=None, lot=None, object=None)
                | models.Q(level="incident", incident__isnull=False, lot=None, object=None)
                | models.Q(level="lot", incident=None, lot__isnull=False, object=None)
                | models.Q(level="object", incident=None, lot=None, object__isnull=False),
                name="override_level_fits",
            ),
        ]


class HazardRelease(Row):
    """A stop was lifted by somebody from outside who may: role, time and words."""

    object = models.ForeignKey("records.Object", on_delete=models.PROTECT, related_name="hazard_releases")
    hazard = models.CharField(max_length=100)
    role = models.CharField(max_length=100)
    said = models.TextField()
    at = models.DateTimeField()
    recorded_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            filled("role", "hazard_release_has_role", 2),
            filled("said", "hazard_release_has_words", 10),
        ]


class StepEnd(Row):
    """How a step of a plan ended."""

    object = models.ForeignKey("records.Object", on_delete=models.PROTECT, related_name="step_ends")
    plan = models.ForeignKey(PlanSnapshot, on_delete=models.PROTECT, related_name="step_ends")
    step = models.CharField(max_length=64)
    end = models.CharField(max_length=20, choices=ENDS)
    because = models.CharField(max_length=20, choices=[("", "-"), *NOT_DONE], blank=True)
    note = models.TextField(blank=True)
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["plan", "step"], name="step_ends_once"),
            one_of("end", ENDS, "step_end_kind"),
            models.CheckConstraint(
                condition=(models.Q(end="not_done") & ~models.Q(because=""))
                | (~models.Q(end="not_done") & models.Q(because="")),
                name="step_not_done_because",
            ),
            models.CheckConstraint(
                condition=~models.Q(end="done_differently") | ~models.Q(note=""),
                name="step_done_differently_says_how",
            ),
        ]


class Paper(Row):
    """A paper that was printed of a plan; void when the plan changed, until struck out or replaced."""

    plan = models.ForeignKey(PlanSnapshot, on_delete=models.PROTECT, related_name="papers")
    kind = models.CharField(max_length=50)
    printed_at = models.DateTimeField()
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    void_at = models.DateTimeField(null=True)
    struck_out_at = models.DateTimeField(null=True)
