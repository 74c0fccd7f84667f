"""A lot in words, pens, and the breed booklets of the farm; the lot’s life is in the journal."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("records", "0003_logger_file"),
    ]

    operations = [
        migrations.CreateModel(
            name="BreedCurve",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("title", models.CharField(max_length=80, unique=True)),
                ("species", models.CharField(default="chicken", max_length=20)),
                ("rows", models.JSONField(default=list)),
                ("female_rows", models.JSONField(default=list)),
                ("source", models.CharField(blank=True, max_length=120)),
            ],
            options={
                "ordering": ["title"],
            },
        ),
        migrations.CreateModel(
            name="Pen",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=40, unique=True)),
                ("kind", models.CharField(default="pasture", max_length=10)),
                ("area", models.CharField(blank=True, max_length=40)),
                ("move_d", models.PositiveSmallIntegerField(default=0)),
                ("active", models.BooleanField(default=True)),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.AddField(
            model_name="lot",
            name="breed",
            field=models.CharField(blank=True, max_length=60),
        ),
        migrations.AddField(
            model_name="lot",
            name="curve",
            field=models.CharField(blank=True, max_length=80),
        ),
        migrations.AddField(
            model_name="lot",
            name="outlet",
            field=models.CharField(blank=True, max_length=80),
        ),
        migrations.AddField(
            model_name="lot",
            name="plan_on",
            field=models.DateField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="lot",
            name="setting",
            field=models.CharField(default="usual", max_length=10),
        ),
        migrations.AddField(
            model_name="lot",
            name="sex",
            field=models.CharField(default="straight run", max_length=12),
        ),
        migrations.AddIndex(
            model_name="entry",
            index=models.Index(fields=["kind", "seq"], name="entry_kind_seq"),
        ),
    ]
