"""What the database itself refuses, set up anew after each change of the tables.

A model with ``APPEND_ONLY = True`` takes new rows only. A model with ``SEALED_BY = "seal"`` keeps
a row as it is once that column is filled. A model with ``ERASE_ONLY = ("salt", "text")`` takes new
rows, and the one change it allows is that all of those columns become empty together. SQLite drops
a table's triggers where Django rebuilds the table for a new column, so they are written here and
put back after every migration.

Beside the plain cases they stop ``INSERT OR REPLACE``, which deletes without asking the delete
trigger in programs that did not switch recursive triggers on, and ``TRUNCATE`` on PostgreSQL.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

from django.apps import apps
from django.db import connections, models

GENESIS: Final = "0" * 64
"""The hash before the first line of the journal."""


_FIRST_ONES: Final = (
    ("entry_no_change", "records_entry"),
    ("logger_file_no_change", "records_loggerfile"),
)
"""Guards of the first versions on PostgreSQL, which told the program of another kind of error."""


def append_only() -> tuple[type[models.Model], ...]:
    """Return the models that take new rows only."""
    return _marked("APPEND_ONLY")


def sealed() -> tuple[type[models.Model], ...]:
    """Return the models whose rows are fixed once they are sealed."""
    return _marked("SEALED_BY")


def erase_only() -> tuple[type[models.Model], ...]:
    """Return the models whose rows can be emptied, and nothing else."""
    return _marked("ERASE_ONLY")


def _marked(name: str) -> tuple[type[models.Model], ...]:
    return tuple(m for m in apps.get_app_config("records").get_models() if getattr(m, name, None))


def install(using: str) -> None:
    """Put every guard in place; one that is there already is written again.

    Where the tables were brought up to an earlier version only, those of later ones are left out.
    """
    connection = connections[using]
    statements = {"sqlite": _sqlite, "postgresql": _postgresql}[connection.vendor]
    with connection.cursor() as cursor:
        there = set(connection.introspection.table_names(cursor))
        guarded = [
            m for m in (*append_only(), *sealed(), *erase_only()) if m._meta.db_table in there
        ]
        for statement in statements(guarded):
            cursor.execute(statement)


def missing(using: str = "default") -> tuple[str, ...]:
    """Return the guards that should be there and are not, or are switched off."""
    connection = connections[using]
    ask = {
        "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
        "postgresql": "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'",
    }[connection.vendor]
    with connection.cursor() as cursor:
        cursor.execute(ask)
        there = {str(row[0]) for row in cursor.fetchall()}
    return tuple(sorted(set(names(connection.vendor)) - there))


def names(vendor: str) -> Iterator[str]:
    """Return the names of all guards on a kind of database."""
    last = ("no_empty",) if vendor == "postgresql" else ("no_replace",)
    for model in (*append_only(), *erase_only()):
        for what in ("no_update", "no_delete", *last):
            yield f"{model._meta.model_name}_{what}"
    for model in sealed():
        for what in ("no_update", "no_delete", *last):
            yield f"{model._meta.model_name}_sealed_{what}"
    yield "entry_chain"


def _sqlite(guarded: Sequence[type[models.Model]]) -> Iterator[str]:
    for model in guarded:
        table, seal = model._meta.db_table, getattr(model, "SEALED_BY", "")
        name = f"{model._meta.model_name}_sealed" if seal else str(model._meta.model_name)
        told = f"BEGIN SELECT RAISE(ABORT, '{_sentence(model)}'); END"
        when = f"WHEN OLD.\"{seal}\" <> ''" if seal else ""
        same = " OR ".join(f'"{column}" = NEW."{column}"' for column in _unique(model))
        held = f"({same}) AND \"{seal}\" <> ''" if seal else same
        there = f'EXISTS (SELECT 1 FROM "{table}" WHERE {held})'  # noqa: S608 - names of ours
        for what, begin in (
            ("no_update", f'BEFORE UPDATE ON "{table}" {_unless_erased(model, "IS") or when}'),
            ("no_delete", f'BEFORE DELETE ON "{table}" {when}'),
            ("no_replace", f'BEFORE INSERT ON "{table}" WHEN {there}'),
        ):
            yield f"DROP TRIGGER IF EXISTS {name}_{what}"
            yield f"CREATE TRIGGER {name}_{what} {begin} {told}"
    yield "DROP TRIGGER IF EXISTS entry_chain"
    yield f"""
        CREATE TRIGGER entry_chain BEFORE INSERT ON records_entry
        WHEN NEW.previous_hash <> coalesce(
                (SELECT hash FROM records_entry ORDER BY seq DESC LIMIT 1), '{GENESIS}')
            OR (NEW.seq <> -1 AND NEW.seq <= (SELECT max(seq) FROM records_entry))
        BEGIN SELECT RAISE(ABORT, 'the journal is append-only: not the next line'); END
        """  # noqa: S608 - a constant of ours


def _postgresql(guarded: Sequence[type[models.Model]]) -> Iterator[str]:
    for name, table in _FIRST_ONES:
        yield f"DROP TRIGGER IF EXISTS {name} ON {table}"
    yield """
        CREATE OR REPLACE FUNCTION records_append_only() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN
            RAISE EXCEPTION '% is append-only', TG_TABLE_NAME
                USING ERRCODE = 'integrity_constraint_violation';
        END $$
        """
    for model in guarded:
        table, seal = model._meta.db_table, getattr(model, "SEALED_BY", "")
        name = f"{model._meta.model_name}_sealed" if seal else str(model._meta.model_name)
        erased = _unless_erased(model, "IS NOT DISTINCT FROM")
        when = f"WHEN (OLD.\"{seal}\" <> '')" if seal else ""
        for what, begin in (
            ("no_update", f'BEFORE UPDATE ON "{table}" FOR EACH ROW {erased or when}'),
            ("no_delete", f'BEFORE DELETE ON "{table}" FOR EACH ROW {when}'),
            ("no_empty", f'BEFORE TRUNCATE ON "{table}" FOR EACH STATEMENT'),
        ):
            yield (
                f"CREATE OR REPLACE TRIGGER {name}_{what} {begin} "
                "EXECUTE FUNCTION records_append_only()"
            )
    yield f"""
        CREATE OR REPLACE FUNCTION records_entry_chain() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN
            IF NEW.previous_hash <> coalesce(
                    (SELECT hash FROM records_entry ORDER BY seq DESC LIMIT 1), '{GENESIS}')
                OR NEW.seq <= (SELECT max(seq) FROM records_entry) THEN
                RAISE EXCEPTION 'the journal is append-only: not the next line'
                    USING ERRCODE = 'integrity_constraint_violation';
            END IF;
            RETURN NEW;
        END $$
        """  # noqa: S608 - a constant of ours
    yield (
        "CREATE OR REPLACE TRIGGER entry_chain BEFORE INSERT ON records_entry "
        "FOR EACH ROW EXECUTE FUNCTION records_entry_chain()"
    )


def _unless_erased(model: type[models.Model], same: str) -> str:
    """Return the condition of an erasable row's guard: anything but emptying it."""
    emptied = getattr(model, "ERASE_ONLY", ())
    if not emptied:
        return ""
    kept = [
        str(field.column)
        for field in model._meta.concrete_fields
        if field.column not in emptied and field.column != "erased_on"
    ]
    allowed = [f"NEW.\"{column}\" = ''" for column in emptied]
    allowed += [f'NEW."{column}" {same} OLD."{column}"' for column in kept]
    return f"WHEN (NOT ({' AND '.join(allowed)}))"


def _unique(model: type[models.Model]) -> tuple[str, ...]:
    """Return the columns a new row could push an old one out by."""
    return tuple(
        str(field.column)
        for field in model._meta.concrete_fields
        if field.unique or field.primary_key
    )


def _sentence(model: type[models.Model]) -> str:
    return f"{model._meta.db_table} is append-only"


def after_migrate(sender: object, using: str, **_more: Any) -> None:  # noqa: ANN401, ARG001
    """Answer Django's signal that the tables are up to date."""
    install(using)
