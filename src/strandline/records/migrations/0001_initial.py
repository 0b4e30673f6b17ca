import uuid

import django.db.models.deletion
import django.db.models.functions.text
import django.db.models.lookups
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Device",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("name", models.CharField(max_length=100)),
                ("first_seen_at", models.DateTimeField()),
                ("retired_at", models.DateTimeField(null=True)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Incident",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("code", models.CharField(max_length=12, unique=True)),
                ("name", models.CharField(max_length=200)),
                ("zone", models.CharField(default="UTC", max_length=64)),
                ("water", models.JSONField(default=list)),
                ("wet_since", models.DateTimeField(null=True)),
                ("out_since", models.DateTimeField(null=True)),
                ("air_c", models.FloatField(null=True)),
                ("opened_at", models.DateTimeField()),
                ("closed_at", models.DateTimeField(null=True)),
            ],
        ),
        migrations.CreateModel(
            name="Party",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("name", models.CharField(blank=True, max_length=200)),
                ("contact", models.TextField(blank=True)),
                ("erased_at", models.DateTimeField(null=True)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Practice",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("name", models.CharField(max_length=200)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Batch",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("rinse_water", "rinse water"),
                            ("room_square", "room square"),
                            ("other", "other"),
                        ],
                        max_length=16,
                    ),
                ),
                ("name", models.CharField(max_length=100)),
                ("opened_at", models.DateTimeField()),
                ("closed_at", models.DateTimeField(null=True)),
                (
                    "incident",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="batches",
                        to="records.incident",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="KnowledgeVersion",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("version", models.CharField(max_length=50)),
                ("sha256", models.CharField(max_length=64)),
                ("overrides_sha256", models.CharField(blank=True, max_length=64)),
                ("engine_version", models.CharField(max_length=50)),
                ("first_used_at", models.DateTimeField()),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=("sha256", "overrides_sha256", "engine_version"), name="knowledge_once"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="ListRow",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("list_sha256", models.CharField(max_length=64)),
                ("row", models.PositiveIntegerField()),
                ("cells", models.JSONField(default=dict)),
                ("kept", models.JSONField(default=dict)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("not_seen", "not seen"),
                            ("found", "found"),
                            ("one_row_several_things", "one row several things"),
                            ("several_rows_one_thing", "several rows one thing"),
                        ],
                        default="not_seen",
                        max_length=32,
                    ),
                ),
                (
                    "incident",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="list_rows",
                        to="records.incident",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Lot",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("name", models.CharField(max_length=200)),
                ("counted", models.PositiveIntegerField(null=True)),
                ("split_at", models.DateTimeField(null=True)),
                (
                    "incident",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lots",
                        to="records.incident",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Object",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("tag", models.CharField(max_length=16)),
                ("revision", models.PositiveIntegerField(default=1)),
                ("list_row", models.PositiveIntegerField(default=0)),
                ("title", models.TextField(blank=True)),
                ("owner_number", models.TextField(blank=True)),
                ("materials", models.TextField(blank=True)),
                ("klass", models.TextField(blank=True)),
                ("listed_place", models.TextField(blank=True)),
                ("words", models.JSONField(default=dict)),
                ("kept", models.JSONField(default=dict)),
                ("received_at", models.DateTimeField()),
                (
                    "incident",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="things",
                        to="records.incident",
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="things",
                        to="records.lot",
                    ),
                ),
                (
                    "merged_into",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="merged",
                        to="records.object",
                    ),
                ),
                (
                    "owner",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="things",
                        to="records.party",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Part",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("key", models.CharField(max_length=16)),
                ("order", models.PositiveIntegerField()),
                ("name", models.TextField(blank=True)),
                ("material", models.CharField(max_length=100)),
                ("family", models.CharField(max_length=50)),
                ("span", models.TextField(blank=True)),
                ("column", models.CharField(blank=True, max_length=50)),
                (
                    "known_by",
                    models.CharField(
                        choices=[
                            ("stated", "stated"),
                            ("assumed", "assumed"),
                            ("seen", "seen"),
                            ("measured", "measured"),
                            ("family_worst", "family worst"),
                            ("unknown", "unknown"),
                        ],
                        max_length=16,
                    ),
                ),
                ("species", models.CharField(blank=True, max_length=100)),
                ("could_be", models.JSONField(default=list)),
                ("lookalike", models.CharField(blank=True, max_length=100)),
                ("thickness_mm", models.FloatField(null=True)),
                (
                    "thickness_by",
                    models.CharField(
                        choices=[
                            ("stated", "stated"),
                            ("assumed", "assumed"),
                            ("seen", "seen"),
                            ("measured", "measured"),
                            ("family_worst", "family worst"),
                            ("unknown", "unknown"),
                        ],
                        max_length=16,
                    ),
                ),
                ("exposed", models.BooleanField(default=True)),
                ("features", models.JSONField(default=list)),
                (
                    "surface",
                    models.CharField(choices=[("stated", "stated"), ("silent", "silent")], max_length=8),
                ),
                (
                    "object",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="parts", to="records.object"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Join",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("key", models.CharField(max_length=16)),
                ("order", models.PositiveIntegerField()),
                ("kind", models.CharField(max_length=50)),
                (
                    "known_by",
                    models.CharField(
                        choices=[
                            ("stated", "stated"),
                            ("assumed", "assumed"),
                            ("seen", "seen"),
                            ("measured", "measured"),
                            ("family_worst", "family worst"),
                            ("unknown", "unknown"),
                        ],
                        max_length=16,
                    ),
                ),
                ("span", models.TextField(blank=True)),
                ("column", models.CharField(blank=True, max_length=50)),
                (
                    "object",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="joins", to="records.object"
                    ),
                ),
                (
                    "first",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.part"
                    ),
                ),
                (
                    "second",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.part"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="PartyRole",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "role",
                    models.CharField(
                        choices=[
                            ("owner", "owner"),
                            ("lender", "lender"),
                            ("insurer", "insurer"),
                            ("authority", "authority"),
                        ],
                        max_length=16,
                    ),
                ),
                (
                    "incident",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="parties",
                        to="records.incident",
                    ),
                ),
                (
                    "object",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="parties",
                        to="records.object",
                    ),
                ),
                (
                    "party",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="roles", to="records.party"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Person",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("name", models.CharField(max_length=200)),
                (
                    "role",
                    models.CharField(
                        choices=[
                            ("lead", "lead"),
                            ("conservator", "conservator"),
                            ("helper", "helper"),
                            ("viewer", "viewer"),
                        ],
                        max_length=16,
                    ),
                ),
                ("contact", models.TextField(blank=True)),
                ("active", models.BooleanField(default=True)),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("role__in", ["lead", "conservator", "helper", "viewer"])),
                        name="person_role",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Override",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "level",
                    models.CharField(
                        choices=[
                            ("practice", "practice"),
                            ("incident", "incident"),
                            ("lot", "lot"),
                            ("object", "object"),
                        ],
                        max_length=16,
                    ),
                ),
                ("target", models.CharField(max_length=200)),
                ("value", models.JSONField()),
                ("reason", models.TextField()),
                ("at", models.DateTimeField()),
                ("expires_at", models.DateTimeField(null=True)),
                ("withdrawn_at", models.DateTimeField(null=True)),
                (
                    "incident",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.incident",
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="overrides",
                        to="records.lot",
                    ),
                ),
                (
                    "object",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="overrides",
                        to="records.object",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.person"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Observation",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("key", models.CharField(max_length=64)),
                ("value", models.JSONField(null=True)),
                (
                    "known_by",
                    models.CharField(
                        choices=[
                            ("stated", "stated"),
                            ("assumed", "assumed"),
                            ("seen", "seen"),
                            ("measured", "measured"),
                            ("family_worst", "family worst"),
                            ("unknown", "unknown"),
                        ],
                        max_length=16,
                    ),
                ),
                ("at", models.DateTimeField()),
                ("clash", models.BooleanField(default=False)),
                (
                    "object",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="observations",
                        to="records.object",
                    ),
                ),
                (
                    "supersedes",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="superseded_by",
                        to="records.observation",
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="observations",
                        to="records.part",
                    ),
                ),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.person",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Hours",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("step", models.CharField(blank=True, max_length=64)),
                ("started_at", models.DateTimeField()),
                ("minutes", models.FloatField()),
                (
                    "incident",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="hours",
                        to="records.incident",
                    ),
                ),
                (
                    "object",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="hours",
                        to="records.object",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="hours", to="records.person"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="HazardRelease",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("hazard", models.CharField(max_length=100)),
                ("role", models.CharField(max_length=100)),
                ("said", models.TextField()),
                ("at", models.DateTimeField()),
                (
                    "object",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="hazard_releases",
                        to="records.object",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.person"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Authority",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "given",
                    models.CharField(
                        choices=[("none", "none"), ("verbal", "verbal"), ("written", "written")],
                        default="none",
                        max_length=16,
                    ),
                ),
                (
                    "scope",
                    models.CharField(
                        choices=[
                            ("first_aid_only", "first aid only"),
                            ("plan", "plan"),
                            ("named_treatment", "named treatment"),
                        ],
                        default="first_aid_only",
                        max_length=32,
                    ),
                ),
                ("said", models.TextField(blank=True)),
                ("at", models.DateTimeField()),
                (
                    "incident",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="authority",
                        to="records.incident",
                    ),
                ),
                (
                    "party",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="authority",
                        to="records.party",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.person"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Act",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("key", models.UUIDField(unique=True)),
                ("kind", models.CharField(max_length=50)),
                ("version", models.PositiveIntegerField(default=1)),
                ("device_at", models.DateTimeField()),
                ("device_seq", models.PositiveBigIntegerField(default=0)),
                ("server_at", models.DateTimeField()),
                ("payload", models.JSONField()),
                ("before", models.JSONField()),
                ("after", models.JSONField()),
                (
                    "device",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="acts",
                        to="records.device",
                    ),
                ),
                (
                    "incident",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="acts",
                        to="records.incident",
                    ),
                ),
                (
                    "object",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="acts",
                        to="records.object",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="acts", to="records.person"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Place",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("building", "building"),
                            ("room", "room"),
                            ("spot", "spot"),
                            ("zone", "zone"),
                            ("station", "station"),
                            ("shelf", "shelf"),
                            ("container", "container"),
                        ],
                        max_length=16,
                    ),
                ),
                ("name", models.CharField(max_length=200)),
                ("zone", models.CharField(blank=True, max_length=32)),
                ("room_for", models.PositiveIntegerField(null=True)),
                (
                    "incident",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="places",
                        to="records.incident",
                    ),
                ),
                (
                    "inside",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="holds",
                        to="records.place",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Photo",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("sha256", models.CharField(max_length=64)),
                ("size_bytes", models.PositiveBigIntegerField()),
                ("path", models.TextField()),
                ("media_type", models.CharField(max_length=50)),
                ("taken_at", models.DateTimeField(null=True)),
                ("added_at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.person",
                    ),
                ),
                (
                    "incident",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="photos",
                        to="records.incident",
                    ),
                ),
                (
                    "object",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="photos",
                        to="records.object",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="photos",
                        to="records.place",
                    ),
                ),
            ],
        ),
        migrations.AddField(
            model_name="object",
            name="place",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="things",
                to="records.place",
            ),
        ),
        migrations.CreateModel(
            name="Fragment",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("tag", models.CharField(max_length=16)),
                ("says", models.TextField(blank=True)),
                ("found_at", models.DateTimeField()),
                (
                    "batch",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="fragments",
                        to="records.batch",
                    ),
                ),
                (
                    "incident",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="fragments",
                        to="records.incident",
                    ),
                ),
                (
                    "object",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="fragments",
                        to="records.object",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="fragments",
                        to="records.place",
                    ),
                ),
            ],
        ),
        migrations.AddField(
            model_name="batch",
            name="place",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="batches",
                to="records.place",
            ),
        ),
        migrations.CreateModel(
            name="PlanSnapshot",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("number", models.PositiveIntegerField()),
                ("short_id", models.CharField(max_length=8)),
                ("facts", models.JSONField()),
                ("result", models.JSONField()),
                ("sha256", models.CharField(max_length=64)),
                ("made_at", models.DateTimeField()),
                (
                    "knowledge",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plans",
                        to="records.knowledgeversion",
                    ),
                ),
                (
                    "object",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="plans", to="records.object"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Paper",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("kind", models.CharField(max_length=50)),
                ("printed_at", models.DateTimeField()),
                ("void_at", models.DateTimeField(null=True)),
                ("struck_out_at", models.DateTimeField(null=True)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.person"
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="papers",
                        to="records.plansnapshot",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Reading",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("mass_g", "mass g"),
                            ("rh", "rh"),
                            ("air_c", "air c"),
                            ("moisture", "moisture"),
                            ("look", "look"),
                        ],
                        max_length=16,
                    ),
                ),
                ("value", models.FloatField(null=True)),
                ("tare_g", models.FloatField(null=True)),
                ("says", models.TextField(blank=True)),
                ("at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.person",
                    ),
                ),
                (
                    "object",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="readings",
                        to="records.object",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="readings",
                        to="records.place",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Refusal",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("kind", models.CharField(max_length=50)),
                ("reason", models.TextField()),
                ("at", models.DateTimeField()),
                (
                    "object",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="refusals",
                        to="records.object",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.person",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="RoomRelease",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "about",
                    models.CharField(
                        choices=[
                            ("structure", "structure"),
                            ("electricity", "electricity"),
                            ("gas", "gas"),
                            ("contamination", "contamination"),
                            ("other", "other"),
                        ],
                        max_length=16,
                    ),
                ),
                ("role", models.CharField(max_length=100)),
                ("said", models.TextField()),
                ("at", models.DateTimeField()),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="releases",
                        to="records.place",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.person"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="RowClaim",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("claimed_at", models.DateTimeField()),
                (
                    "list_row",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="claims",
                        to="records.listrow",
                    ),
                ),
                (
                    "object",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="row_claims",
                        to="records.object",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Site",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("name", models.CharField(max_length=200)),
                ("address", models.TextField(blank=True)),
                (
                    "practice",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sites",
                        to="records.practice",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddField(
            model_name="incident",
            name="site",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="incidents", to="records.site"
            ),
        ),
        migrations.CreateModel(
            name="StepEnd",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("step", models.CharField(max_length=64)),
                (
                    "end",
                    models.CharField(
                        choices=[
                            ("done", "done"),
                            ("done_differently", "done differently"),
                            ("not_done", "not done"),
                            ("withdrawn", "withdrawn"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "because",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "-"),
                            ("no_time", "no time"),
                            ("no_water", "no water"),
                            ("not_safe", "not safe"),
                            ("refused_by_owner", "refused by owner"),
                            ("lead_said_no", "lead said no"),
                            ("would_not_bear_it", "would not bear it"),
                            ("not_found", "not found"),
                        ],
                        max_length=20,
                    ),
                ),
                ("note", models.TextField(blank=True)),
                ("at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.person"
                    ),
                ),
                (
                    "object",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="step_ends",
                        to="records.object",
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="step_ends",
                        to="records.plansnapshot",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Tag",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("text", models.CharField(max_length=16)),
                ("claimed_at", models.DateTimeField()),
                (
                    "incident",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tags",
                        to="records.incident",
                    ),
                ),
                (
                    "object",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="tags", to="records.object"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="TagRange",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("first", models.PositiveIntegerField()),
                ("last", models.PositiveIntegerField()),
                ("sheet", models.CharField(blank=True, max_length=100)),
                ("reserved_at", models.DateTimeField()),
                (
                    "device",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.device",
                    ),
                ),
                (
                    "incident",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tag_ranges",
                        to="records.incident",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Tray",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("name", models.CharField(max_length=50)),
                (
                    "incident",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="trays",
                        to="records.incident",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="trays",
                        to="records.place",
                    ),
                ),
            ],
        ),
        migrations.AddField(
            model_name="object",
            name="tray",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="things",
                to="records.tray",
            ),
        ),
        migrations.CreateModel(
            name="WorkClaim",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("step", models.CharField(max_length=64)),
                ("taken_at", models.DateTimeField()),
                ("until", models.DateTimeField()),
                ("given_back_at", models.DateTimeField(null=True)),
                (
                    "device",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="work_claims",
                        to="records.device",
                    ),
                ),
                (
                    "object",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="work_claims",
                        to="records.object",
                    ),
                ),
            ],
        ),
        migrations.AddConstraint(
            model_name="listrow",
            constraint=models.UniqueConstraint(
                fields=("incident", "list_sha256", "row"), name="list_row_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="listrow",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("state__in", ["not_seen", "found", "one_row_several_things", "several_rows_one_thing"])
                ),
                name="list_row_state",
            ),
        ),
        migrations.AddConstraint(
            model_name="part",
            constraint=models.UniqueConstraint(fields=("object", "key"), name="part_key_once"),
        ),
        migrations.AddConstraint(
            model_name="part",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("known_by__in", ["stated", "assumed", "seen", "measured", "family_worst", "unknown"])
                ),
                name="part_known_by",
            ),
        ),
        migrations.AddConstraint(
            model_name="part",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("thickness_by__in", ["stated", "assumed", "seen", "measured", "family_worst", "unknown"])
                ),
                name="part_thickness_by",
            ),
        ),
        migrations.AddConstraint(
            model_name="part",
            constraint=models.CheckConstraint(
                condition=models.Q(("surface__in", ["stated", "silent"])), name="part_surface"
            ),
        ),
        migrations.AddConstraint(
            model_name="join",
            constraint=models.UniqueConstraint(fields=("object", "key"), name="join_key_once"),
        ),
        migrations.AddConstraint(
            model_name="join",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("known_by__in", ["stated", "assumed", "seen", "measured", "family_worst", "unknown"])
                ),
                name="join_known_by",
            ),
        ),
        migrations.AddConstraint(
            model_name="partyrole",
            constraint=models.CheckConstraint(
                condition=models.Q(("role__in", ["owner", "lender", "insurer", "authority"])),
                name="party_role_kind",
            ),
        ),
        migrations.AddConstraint(
            model_name="partyrole",
            constraint=models.UniqueConstraint(
                fields=("party", "incident", "object", "role"), name="party_role_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="partyrole",
            constraint=models.UniqueConstraint(
                condition=models.Q(("object__isnull", True)),
                fields=("party", "incident", "role"),
                name="party_role_once_for_all",
            ),
        ),
        migrations.AddConstraint(
            model_name="override",
            constraint=models.CheckConstraint(
                condition=models.Q(("level__in", ["practice", "incident", "lot", "object"])),
                name="override_level",
            ),
        ),
        migrations.AddConstraint(
            model_name="override",
            constraint=models.CheckConstraint(
                condition=django.db.models.lookups.GreaterThanOrEqual(
                    django.db.models.functions.text.Length("reason"), 10
                ),
                name="override_reason_ten",
            ),
        ),
        migrations.AddConstraint(
            model_name="override",
            constraint=models.CheckConstraint(
                condition=django.db.models.lookups.GreaterThanOrEqual(
                    django.db.models.functions.text.Length("target"), 1
                ),
                name="override_target_filled",
            ),
        ),
        migrations.AddConstraint(
            model_name="override",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("incident", None), ("level", "practice"), ("lot", None), ("object", None)),
                    models.Q(
                        ("incident__isnull", False), ("level", "incident"), ("lot", None), ("object", None)
                    ),
                    models.Q(("incident", None), ("level", "lot"), ("lot__isnull", False), ("object", None)),
                    models.Q(
                        ("incident", None), ("level", "object"), ("lot", None), ("object__isnull", False)
                    ),
                    _connector="OR",
                ),
                name="override_level_fits",
            ),
        ),
        migrations.AddIndex(
            model_name="observation",
            index=models.Index(fields=["object", "key"], name="observation_of_object"),
        ),
        migrations.AddConstraint(
            model_name="observation",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("known_by__in", ["stated", "assumed", "seen", "measured", "family_worst", "unknown"])
                ),
                name="observation_known_by",
            ),
        ),
        migrations.AddConstraint(
            model_name="observation",
            constraint=models.CheckConstraint(
                condition=django.db.models.lookups.GreaterThanOrEqual(
                    django.db.models.functions.text.Length("key"), 1
                ),
                name="observation_key_filled",
            ),
        ),
        migrations.AddConstraint(
            model_name="hours",
            constraint=models.CheckConstraint(
                condition=models.Q(("minutes__gt", 0)), name="hours_above_nought"
            ),
        ),
        migrations.AddConstraint(
            model_name="hazardrelease",
            constraint=models.CheckConstraint(
                condition=django.db.models.lookups.GreaterThanOrEqual(
                    django.db.models.functions.text.Length("role"), 2
                ),
                name="hazard_release_has_role",
            ),
        ),
        migrations.AddConstraint(
            model_name="hazardrelease",
            constraint=models.CheckConstraint(
                condition=django.db.models.lookups.GreaterThanOrEqual(
                    django.db.models.functions.text.Length("said"), 10
                ),
                name="hazard_release_has_words",
            ),
        ),
        migrations.AddConstraint(
            model_name="authority",
            constraint=models.CheckConstraint(
                condition=models.Q(("given__in", ["none", "verbal", "written"])), name="authority_given"
            ),
        ),
        migrations.AddConstraint(
            model_name="authority",
            constraint=models.CheckConstraint(
                condition=models.Q(("scope__in", ["first_aid_only", "plan", "named_treatment"])),
                name="authority_scope",
            ),
        ),
        migrations.AddConstraint(
            model_name="authority",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("given", "none"), _negated=True), ("scope", "first_aid_only"), _connector="OR"
                ),
                name="authority_none_is_first_aid",
            ),
        ),
        migrations.AddConstraint(
            model_name="act",
            constraint=models.CheckConstraint(
                condition=django.db.models.lookups.GreaterThanOrEqual(
                    django.db.models.functions.text.Length("kind"), 1
                ),
                name="act_kind_filled",
            ),
        ),
        migrations.AddConstraint(
            model_name="place",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("kind__in", ["building", "room", "spot", "zone", "station", "shelf", "container"])
                ),
                name="place_kind",
            ),
        ),
        migrations.AddConstraint(
            model_name="place",
            constraint=models.UniqueConstraint(
                fields=("incident", "inside", "name"), name="place_named_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="place",
            constraint=models.UniqueConstraint(
                condition=models.Q(("inside__isnull", True)),
                fields=("incident", "name"),
                name="place_named_once_outermost",
            ),
        ),
        migrations.AddConstraint(
            model_name="place",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("inside__isnull", True),
                    models.Q(("inside", models.F("id")), _negated=True),
                    _connector="OR",
                ),
                name="place_not_in_itself",
            ),
        ),
        migrations.AddConstraint(
            model_name="photo",
            constraint=models.UniqueConstraint(fields=("incident", "object", "sha256"), name="photo_once"),
        ),
        migrations.AddConstraint(
            model_name="photo",
            constraint=models.UniqueConstraint(
                condition=models.Q(("object__isnull", True)),
                fields=("incident", "sha256"),
                name="photo_once_of_none",
            ),
        ),
        migrations.AddConstraint(
            model_name="photo",
            constraint=models.CheckConstraint(
                condition=django.db.models.lookups.GreaterThanOrEqual(
                    django.db.models.functions.text.Length("sha256"), 64
                ),
                name="photo_hash_whole",
            ),
        ),
        migrations.AddConstraint(
            model_name="fragment",
            constraint=models.UniqueConstraint(fields=("incident", "tag"), name="fragment_tag_once"),
        ),
        migrations.AddConstraint(
            model_name="fragment",
            constraint=models.CheckConstraint(
                condition=django.db.models.lookups.GreaterThanOrEqual(
                    django.db.models.functions.text.Length("tag"), 4
                ),
                name="fragment_tag_four_digits",
            ),
        ),
        migrations.AddConstraint(
            model_name="batch",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["rinse_water", "room_square", "other"])), name="batch_kind"
            ),
        ),
        migrations.AddConstraint(
            model_name="plansnapshot",
            constraint=models.UniqueConstraint(fields=("object", "number"), name="plan_number_once"),
        ),
        migrations.AddConstraint(
            model_name="plansnapshot",
            constraint=models.CheckConstraint(
                condition=models.Q(("number__gte", 1)), name="plan_number_from_one"
            ),
        ),
        migrations.AddConstraint(
            model_name="reading",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["mass_g", "rh", "air_c", "moisture", "look"])),
                name="reading_kind",
            ),
        ),
        migrations.AddConstraint(
            model_name="reading",
            constraint=models.CheckConstraint(
                condition=models.Q(("object__isnull", False), ("place__isnull", False), _connector="OR"),
                name="reading_of_something",
            ),
        ),
        migrations.AddConstraint(
            model_name="reading",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kind", "rh"), _negated=True),
                    models.Q(("value__gte", 0), ("value__lte", 1)),
                    _connector="OR",
                ),
                name="reading_rh_is_a_fraction",
            ),
        ),
        migrations.AddConstraint(
            model_name="roomrelease",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("about__in", ["structure", "electricity", "gas", "contamination", "other"])
                ),
                name="room_release_about",
            ),
        ),
        migrations.AddConstraint(
            model_name="roomrelease",
            constraint=models.CheckConstraint(
                condition=django.db.models.lookups.GreaterThanOrEqual(
                    django.db.models.functions.text.Length("role"), 2
                ),
                name="room_release_has_role",
            ),
        ),
        migrations.AddConstraint(
            model_name="rowclaim",
            constraint=models.UniqueConstraint(fields=("list_row", "object"), name="row_claim_once"),
        ),
        migrations.AddConstraint(
            model_name="incident",
            constraint=models.CheckConstraint(
                condition=django.db.models.lookups.GreaterThanOrEqual(
                    django.db.models.functions.text.Length("code"), 2
                ),
                name="incident_code_two_letters",
            ),
        ),
        migrations.AddConstraint(
            model_name="stepend",
            constraint=models.UniqueConstraint(fields=("plan", "step"), name="step_ends_once"),
        ),
        migrations.AddConstraint(
            model_name="stepend",
            constraint=models.CheckConstraint(
                condition=models.Q(("end__in", ["done", "done_differently", "not_done", "withdrawn"])),
                name="step_end_kind",
            ),
        ),
        migrations.AddConstraint(
            model_name="stepend",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("end", "not_done"), models.Q(("because", ""), _negated=True)),
                    models.Q(models.Q(("end", "not_done"), _negated=True), ("because", "")),
                    _connector="OR",
                ),
                name="step_not_done_because",
            ),
        ),
        migrations.AddConstraint(
            model_name="stepend",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("end", "done_differently"), _negated=True),
                    models.Q(("note", ""), _negated=True),
                    _connector="OR",
                ),
                name="step_done_differently_says_how",
            ),
        ),
        migrations.AddConstraint(
            model_name="tag",
            constraint=models.UniqueConstraint(fields=("incident", "text"), name="tag_once"),
        ),
        migrations.AddConstraint(
            model_name="tag",
            constraint=models.CheckConstraint(
                condition=django.db.models.lookups.GreaterThanOrEqual(
                    django.db.models.functions.text.Length("text"), 4
                ),
                name="tag_four_digits",
            ),
        ),
        migrations.AddConstraint(
            model_name="tagrange",
            constraint=models.CheckConstraint(
                condition=models.Q(("first__gte", 1), ("last__gte", models.F("first"))),
                name="tag_range_in_order",
            ),
        ),
        migrations.AddConstraint(
            model_name="tray",
            constraint=models.UniqueConstraint(fields=("incident", "name"), name="tray_named_once"),
        ),
        migrations.AddConstraint(
            model_name="object",
            constraint=models.UniqueConstraint(fields=("incident", "tag"), name="object_tag_once"),
        ),
        migrations.AddConstraint(
            model_name="object",
            constraint=models.CheckConstraint(
                condition=django.db.models.lookups.GreaterThanOrEqual(
                    django.db.models.functions.text.Length("tag"), 4
                ),
                name="object_tag_four_digits",
            ),
        ),
        migrations.AddConstraint(
            model_name="object",
            constraint=models.CheckConstraint(
                condition=models.Q(("revision__gte", 1)), name="object_revision_from_one"
            ),
        ),
        migrations.AddConstraint(
            model_name="workclaim",
            constraint=models.CheckConstraint(
                condition=models.Q(("until__gt", models.F("taken_at"))), name="work_claim_has_length"
            ),
        ),
        migrations.AddConstraint(
            model_name="workclaim",
            constraint=models.UniqueConstraint(
                condition=models.Q(("given_back_at__isnull", True)),
                fields=("object",),
                name="work_claim_one_at_a_time",
            ),
        ),
    ]
