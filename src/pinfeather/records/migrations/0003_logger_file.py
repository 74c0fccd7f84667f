"""Files from temperature loggers, kept byte for byte; the store refuses to change or delete one."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

SQLITE = [
    """
    CREATE TRIGGER logger_file_no_update BEFORE UPDATE ON records_loggerfile
    BEGIN SELECT RAISE(ABORT, 'logger files are append-only'); END
    """,
    """
    CREATE TRIGGER logger_file_no_delete BEFORE DELETE ON records_loggerfile
    BEGIN SELECT RAISE(ABORT, 'logger files are append-only'); END
    """,
]
POSTGRESQL = [
    """
    CREATE FUNCTION logger_file_append_only() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION 'logger files are append-only'; END $$
    """,
    """
    CREATE TRIGGER logger_file_no_change BEFORE UPDATE OR DELETE ON records_loggerfile
    FOR EACH ROW EXECUTE FUNCTION logger_file_append_only()
    """,
]


def forbid_changes(apps: Any, schema_editor: Any) -> None:
    statements = {"sqlite": SQLITE, "postgresql": POSTGRESQL}[schema_editor.connection.vendor]
    for statement in statements:
        schema_editor.execute(statement)


class Migration(migrations.Migration):
    dependencies = [("records", "0002_append_only")]
    operations = [
        migrations.CreateModel(
            name="LoggerFile",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=120)),
                ("raw", models.BinaryField()),
                ("sha256", models.CharField(max_length=64)),
                ("mapping", models.JSONField()),
                ("what", models.CharField(max_length=10)),
                ("place", models.CharField(max_length=40)),
                ("instrument", models.CharField(max_length=40)),
                ("who", models.CharField(blank=True, max_length=40)),
                ("received_at", models.DateTimeField()),
                (
                    "day",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="logger_files",
                        to="records.day",
                    ),
                ),
            ],
            options={"ordering": ["id"]},
        ),
        migrations.RunPython(forbid_changes, migrations.RunPython.noop),
    ]
