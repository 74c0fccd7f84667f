"""Packages as they stand, places, customers and their orders."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("records", "0006_season"),
    ]

    operations = [
        migrations.CreateModel(
            name="Customer",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=80)),
                ("address", models.CharField(blank=True, max_length=200)),
                ("phone", models.CharField(blank=True, max_length=40)),
                ("kind", models.CharField(default="household", max_length=20)),
                ("note", models.CharField(blank=True, max_length=200)),
                ("active", models.BooleanField(default=True)),
            ],
            options={
                "ordering": ["name", "id"],
            },
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
                ("name", models.CharField(max_length=40, unique=True)),
                ("kind", models.CharField(default="freezer", max_length=20)),
                ("inside", models.CharField(blank=True, max_length=40)),
                ("volume", models.CharField(blank=True, max_length=20)),
                ("active", models.BooleanField(default=True)),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="WorkedOut",
            fields=[
                ("name", models.CharField(max_length=20, primary_key=True, serialize=False)),
                ("seq", models.PositiveBigIntegerField(default=0)),
            ],
        ),
        migrations.CreateModel(
            name="PackEvent",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("package", models.CharField(max_length=40)),
                ("seq", models.PositiveBigIntegerField()),
            ],
            options={
                "ordering": ["seq"],
                "constraints": [
                    models.UniqueConstraint(fields=("package", "seq"), name="pack_event_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="CustomerOrder",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "status",
                    models.CharField(
                        choices=[
                            ("open", "Open"),
                            ("picked up", "Picked Up"),
                            ("cancelled", "Cancelled"),
                        ],
                        default="open",
                        max_length=10,
                    ),
                ),
                ("placed_at", models.DateTimeField()),
                ("pickup_on", models.DateField()),
                ("pickup_from", models.TimeField(blank=True, null=True)),
                ("pickup_until", models.TimeField(blank=True, null=True)),
                ("venue", models.CharField(default="farm", max_length=20)),
                ("wishes", models.JSONField(default=list)),
                ("occasion", models.CharField(blank=True, max_length=40)),
                ("every_weeks", models.PositiveSmallIntegerField(default=0)),
                ("note", models.CharField(blank=True, max_length=200)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "customer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="orders",
                        to="records.customer",
                    ),
                ),
            ],
            options={
                "ordering": ["pickup_on", "placed_at", "id"],
                "indexes": [models.Index(fields=["status", "pickup_on"], name="order_status")],
            },
        ),
        migrations.CreateModel(
            name="Pack",
            fields=[
                ("package", models.CharField(max_length=40, primary_key=True, serialize=False)),
                ("seq", models.PositiveBigIntegerField()),
                ("number", models.PositiveIntegerField()),
                ("product", models.CharField(max_length=80)),
                ("net_lb", models.CharField(max_length=12)),
                ("price_per_lb", models.CharField(blank=True, max_length=12)),
                ("total", models.CharField(blank=True, max_length=12)),
                ("birds", models.PositiveIntegerField(default=1)),
                ("lot", models.CharField(max_length=40)),
                ("tank", models.CharField(blank=True, max_length=40)),
                ("lot_code", models.CharField(max_length=500)),
                ("packed_on", models.DateField()),
                ("state", models.CharField(default="stock", max_length=10)),
                ("place", models.CharField(blank=True, max_length=40)),
                ("order", models.CharField(blank=True, max_length=20)),
                ("sale", models.CharField(blank=True, max_length=40)),
                ("held", models.CharField(blank=True, max_length=400)),
                ("void", models.BooleanField(default=False)),
                (
                    "day",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="packs",
                        to="records.day",
                    ),
                ),
            ],
            options={
                "ordering": ["packed_on", "seq"],
                "indexes": [
                    models.Index(fields=["state", "place"], name="pack_state_place"),
                    models.Index(fields=["lot_code"], name="pack_lot_code"),
                    models.Index(fields=["sale"], name="pack_sale"),
                    models.Index(fields=["order"], name="pack_order"),
                ],
            },
        ),
        migrations.CreateModel(
            name="PackSource",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("package", models.CharField(max_length=40)),
                ("lot", models.CharField(max_length=40)),
                ("tank", models.CharField(blank=True, max_length=40)),
                (
                    "day",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.day",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "indexes": [models.Index(fields=["lot"], name="pack_source_lot")],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("package", "lot", "tank"), name="pack_source_once"
                    )
                ],
            },
        ),
    ]
