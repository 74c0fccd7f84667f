"""Labels, products, bags, promises and scales of the weighing desk."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("records", "0007_stock"),
    ]

    operations = [
        migrations.CreateModel(
            name="Bag",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=40, unique=True)),
                ("weighed", models.JSONField(default=list)),
                ("tare_lb", models.CharField(max_length=20)),
                ("active", models.BooleanField(default=True)),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="LabelClaim",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("words", models.CharField(max_length=80)),
                ("paper", models.CharField(max_length=160)),
                ("on_file", models.DateField()),
                ("until", models.DateField(blank=True, null=True)),
                ("lot", models.CharField(blank=True, max_length=20)),
                ("active", models.BooleanField(default=True)),
            ],
            options={
                "ordering": ["words", "id"],
            },
        ),
        migrations.CreateModel(
            name="LabelSetting",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("size", models.CharField(default="4x3", max_length=10)),
                ("dots_per_inch", models.PositiveSmallIntegerField(default=203)),
                ("carrier", models.CharField(default="none", max_length=10)),
                ("pattern", models.CharField(default="2IIIIIVPPPPC", max_length=20)),
                ("prefix", models.CharField(blank=True, max_length=12)),
            ],
        ),
        migrations.CreateModel(
            name="ProductNumber",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=60, unique=True)),
                ("item", models.PositiveIntegerField(null=True)),
                ("base", models.CharField(blank=True, max_length=12)),
                ("price_per_lb", models.CharField(blank=True, max_length=20)),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="ShopScale",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=40, unique=True)),
                ("capacity_lb", models.CharField(default="30", max_length=20)),
                ("division_lb", models.CharField(default="0.01", max_length=20)),
                ("scale_class", models.CharField(default="III", max_length=4)),
                ("test_lb", models.CharField(blank=True, max_length=20)),
                ("seal", models.CharField(blank=True, max_length=80)),
                ("active", models.BooleanField(default=True)),
                ("shown", models.CharField(blank=True, max_length=30)),
                ("state", models.CharField(blank=True, max_length=20)),
                ("shown_at", models.DateTimeField(null=True)),
                ("stable", models.CharField(blank=True, max_length=30)),
                ("stable_id", models.CharField(blank=True, max_length=40)),
            ],
            options={
                "ordering": ["id"],
            },
        ),
    ]
