"""Seasons, and each working out of one."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("records", "0005_device")]
    operations = [
        migrations.CreateModel(
            name="Season",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=80)),
                ("from_on", models.DateField()),
                ("until_on", models.DateField()),
                ("request", models.JSONField()),
                ("taken", models.JSONField(default=dict)),
                ("created_at", models.DateTimeField()),
            ],
            options={"ordering": ["-created_at", "-id"]},
        ),
        migrations.CreateModel(
            name="SeasonVersion",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("number", models.PositiveIntegerField()),
                (
                    "status",
                    models.CharField(
                        choices=[
                            ("waiting", "Waiting"),
                            ("working", "Working"),
                            ("done", "Done"),
                            ("failed", "Failed"),
                        ],
                        default="waiting",
                        max_length=10,
                    ),
                ),
                ("asked_on", models.DateField()),
                ("request", models.JSONField()),
                ("replans", models.PositiveIntegerField(null=True)),
                ("plan", models.TextField(blank=True)),
                ("trouble", models.TextField(blank=True)),
                ("worker", models.CharField(blank=True, max_length=40)),
                ("program", models.CharField(blank=True, max_length=40)),
                ("asked_at", models.DateTimeField()),
                ("finished_at", models.DateTimeField(null=True)),
                (
                    "season",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="versions",
                        to="records.season",
                    ),
                ),
            ],
            options={"ordering": ["season", "-number"]},
        ),
        migrations.AddConstraint(
            model_name="seasonversion",
            constraint=models.UniqueConstraint(
                fields=("season", "number"), name="season_version_once"
            ),
        ),
    ]
