"""Proofs, the erasable text about customers, and codes for visitors."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models


def key() -> Any:
    return models.BigAutoField(
        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
    )


class Migration(migrations.Migration):
    dependencies = [("records", "0009_day_indexes")]

    operations = [
        migrations.CreateModel(
            name="Proof",
            fields=[
                ("id", key()),
                ("sha256", models.CharField(max_length=64, unique=True)),
                ("kind", models.CharField(max_length=20)),
                ("name", models.CharField(max_length=120)),
                ("raw", models.BinaryField()),
                ("who", models.CharField(blank=True, max_length=40)),
                ("received_at", models.DateTimeField()),
            ],
            options={"ordering": ["id"]},
        ),
        migrations.CreateModel(
            name="Personal",
            fields=[
                ("key", models.CharField(max_length=32, primary_key=True, serialize=False)),
                (
                    "customer",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="personal",
                        to="records.customer",
                    ),
                ),
                ("salt", models.CharField(blank=True, max_length=32)),
                ("text", models.TextField(blank=True)),
                ("erased_on", models.DateField(null=True)),
            ],
            options={"ordering": ["key"]},
        ),
        migrations.CreateModel(
            name="VisitCode",
            fields=[
                ("id", key()),
                ("code_hash", models.CharField(max_length=200)),
                ("label", models.CharField(blank=True, max_length=60)),
                ("made_at", models.DateTimeField()),
                ("until", models.DateTimeField()),
                ("ended_at", models.DateTimeField(null=True)),
                ("wrong_tries", models.PositiveIntegerField(default=0)),
                ("again_at", models.DateTimeField(null=True)),
            ],
            options={"ordering": ["-id"]},
        ),
    ]
