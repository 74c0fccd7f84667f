"""The store itself refuses to change or delete a line of the journal."""

from typing import Any

from django.db import migrations

SQLITE = [
    """
    CREATE TRIGGER entry_no_update BEFORE UPDATE ON records_entry
    BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END
    """,
    """
    CREATE TRIGGER entry_no_delete BEFORE DELETE ON records_entry
    BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END
    """,
]
POSTGRESQL = [
    """
    CREATE FUNCTION entry_append_only() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION 'the journal is append-only'; END $$
    """,
    """
    CREATE TRIGGER entry_no_change BEFORE UPDATE OR DELETE ON records_entry
    FOR EACH ROW EXECUTE FUNCTION entry_append_only()
    """,
]


def forbid_changes(apps: Any, schema_editor: Any) -> None:
    statements = {"sqlite": SQLITE, "postgresql": POSTGRESQL}[schema_editor.connection.vendor]
    for statement in statements:
        schema_editor.execute(statement)


class Migration(migrations.Migration):
    dependencies = [("records", "0001_first")]
    operations = [migrations.RunPython(forbid_changes, migrations.RunPython.noop)]
