"""All tables of the farm's records, whatever they are, row by row."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django.apps import apps
from django.db import connections, models

_BLOCK = 200


def every_table() -> tuple[type[models.Model], ...]:
    """Return every model with a table of its own, those that only link two others included."""
    config = apps.get_app_config("records")
    found = (
        model
        for model in config.get_models(include_auto_created=True)
        if model._meta.managed and not model._meta.proxy
    )
    return tuple(sorted(found, key=lambda model: model._meta.db_table))


def columns(model: type[models.Model]) -> tuple[models.Field[Any, Any], ...]:
    """Return the columns that are written; what the database works out itself is left out."""
    return tuple(f for f in model._meta.concrete_fields if not getattr(f, "generated", False))


def rows(model: type[models.Model], *, using: str) -> Iterator[models.Model]:
    """Return the rows of a table in the order of their keys, a block at a time."""
    found = model._base_manager.using(using).order_by("pk")
    last: Any = None
    while True:
        block = list((found if last is None else found.filter(pk__gt=last))[:_BLOCK])
        yield from block
        if len(block) < _BLOCK:
            return
        last = block[-1].pk


def insert(model: type[models.Model], new: Sequence[models.Model], *, using: str) -> None:
    """Write rows as they are: with their keys, and nothing filled in on the way."""
    fields = list(columns(model))
    many = max(1, connections[using].ops.bulk_batch_size(fields, list(new)))
    for start in range(0, len(new), many):
        model._base_manager._insert(  # type: ignore[attr-defined]
            new[start : start + many], fields=fields, using=using, raw=True
        )


def next_keys(every: Sequence[type[models.Model]], *, using: str) -> None:
    """Have the database count on from the largest key, where it keeps its own count."""
    from django.core.management.color import no_style

    connection = connections[using]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), every):
            cursor.execute(statement)


def empty(*, using: str = "default") -> bool:
    """Tell whether no table has a row."""
    return not any(model._base_manager.using(using).exists() for model in every_table())
