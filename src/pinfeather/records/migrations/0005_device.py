"""Phones and instruments that were let in, and the owner's PIN."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("records", "0004_flock")]
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
                (
                    "kind",
                    models.CharField(
                        choices=[("phone", "Phone"), ("instrument", "Instrument")],
                        default="phone",
                        max_length=10,
                    ),
                ),
                (
                    "status",
                    models.CharField(
                        choices=[
                            ("waiting", "Waiting"),
                            ("let in", "Let In"),
                            ("refused", "Refused"),
                            ("ended", "Ended"),
                        ],
                        default="waiting",
                        max_length=10,
                    ),
                ),
                ("name", models.CharField(blank=True, max_length=40)),
                ("station", models.CharField(blank=True, max_length=20)),
                ("words", models.CharField(blank=True, max_length=60)),
                ("token_hash", models.CharField(max_length=64, unique=True)),
                ("address", models.CharField(blank=True, max_length=45)),
                ("browser", models.CharField(blank=True, max_length=120)),
                ("asked_at", models.DateTimeField()),
                ("let_in_at", models.DateTimeField(null=True)),
                ("ended_at", models.DateTimeField(null=True)),
                ("seen_at", models.DateTimeField(null=True)),
                ("wrong_pins", models.PositiveIntegerField(default=0)),
                ("pin_again_at", models.DateTimeField(null=True)),
            ],
            options={"ordering": ["id"]},
        ),
        migrations.CreateModel(
            name="Owner",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("pin", models.CharField(max_length=200)),
                ("changed_at", models.DateTimeField()),
                ("wrong_pins", models.PositiveIntegerField(default=0)),
                ("pin_again_at", models.DateTimeField(null=True)),
            ],
        ),
    ]
