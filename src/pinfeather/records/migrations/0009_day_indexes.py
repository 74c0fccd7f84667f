"""Days are found by date, state and seal without reading their plans."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("records", "0008_desk")]

    operations = [
        migrations.AddIndex(
            model_name="day",
            index=models.Index(fields=["-date", "-id"], name="day_newest"),
        ),
        migrations.AddIndex(
            model_name="day",
            index=models.Index(fields=["status", "-date", "-id"], name="day_status"),
        ),
        migrations.AddIndex(
            model_name="day",
            index=models.Index(fields=["sealed_seq", "seal", "date"], name="day_sealed"),
        ),
    ]
