"""A lot that came with a list is set aside when the list is taken back."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("records", "0010_proofs")]

    operations = [
        migrations.AddField(
            model_name="lot", name="withdrawn", field=models.BooleanField(default=False)
        ),
    ]
