"""A row of any table as cells of text, and back, with nothing lost on the way.

A cell that a spreadsheet would run as a formula gets an apostrophe in front; a text that begins
with an apostrophe gets one more, so that taking one away from each cell that has one gives back
exactly what was there. An empty cell is "nothing written"; where a column knows both nothing and an
empty text, the empty text is a lone apostrophe. Numbers stand as they are.
"""

from __future__ import annotations

import base64
import datetime as dt
import json
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import models

from pinfeather.records.journal import stamp
from pinfeather.records.tables import columns

_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠", "'")
_NUMBERS: Final = (models.IntegerField, models.FloatField, models.DecimalField)
Cells = tuple[str, ...]


def guarded(text: str) -> str:
    """Return a text that no spreadsheet runs as a formula."""
    return f"'{text}" if text.startswith(_STARTS) else text


def unguarded(cell: str) -> str:
    """Return the text that was guarded."""
    return cell.removeprefix("'")


def target(field: models.Field[Any, Any]) -> models.Field[Any, Any]:
    """Return the column that a link points to; any other column is its own."""
    found: Any = field
    while found.is_relation and found.target_field is not found:
        found = found.target_field
    return found  # type: ignore[no-any-return]


def kind(field: models.Field[Any, Any]) -> str:
    """Name a column's type in a word for the data dictionary."""
    for what, word in (
        (models.BooleanField, "true or false"),
        (models.JSONField, "JSON"),
        (models.BinaryField, "bytes, base64"),
        (models.DateTimeField, "moment, ISO 8601, UTC"),
        (models.DateField, "date, ISO 8601"),
        (models.TimeField, "time of day, ISO 8601"),
        (models.DecimalField, "decimal number"),
        (models.IntegerField, "whole number"),
        (models.FloatField, "number"),
    ):
        if isinstance(target(field), what):
            return word
    return "text"


def cell(field: models.Field[Any, Any], row: models.Model) -> str:  # noqa: PLR0911 - one for each kind
    """Return what stands in a column of a row, as text."""
    value = getattr(row, str(field.attname))
    aim = target(field)
    if value is None:
        return ""
    if isinstance(aim, models.BooleanField):
        return "true" if value else "false"
    if isinstance(aim, models.JSONField):
        return guarded(json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":")))
    if isinstance(aim, models.BinaryField):
        return base64.b64encode(bytes(value)).decode()
    if isinstance(aim, models.FloatField):
        return repr(float(value))
    if isinstance(aim, models.DateTimeField):
        return stamp(value)
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    if isinstance(aim, _NUMBERS):
        return str(value)
    text = guarded(aim.value_to_string(row) if aim is field else str(value))
    return "'" if field.null and not text else text


def value(field: models.Field[Any, Any], text: str) -> Any:  # noqa: ANN401, PLR0911 - any kind
    """Return what a cell says.

    Raises
    ------
    ValueError
        If the cell does not fit the column.
    """
    aim = target(field)
    if not text and (field.null or kind(field) != "text"):
        if not field.null and not isinstance(aim, models.BinaryField):
            raise ValueError(f"{field.name} is empty")
        return None if field.null else b""
    if isinstance(aim, models.JSONField):
        return json.loads(unguarded(text))
    if isinstance(aim, models.BinaryField):
        return base64.b64decode(text, validate=True)
    if isinstance(aim, models.FloatField):
        return float(text)
    if isinstance(aim, models.BooleanField):
        return {"true": True, "false": False}[text]
    if isinstance(aim, models.DateTimeField):
        return dt.datetime.fromisoformat(text)
    if kind(field) == "text":
        text = unguarded(text)
    try:
        return aim.to_python(text)
    except ValidationError as error:
        raise ValueError(f"{field.name}: {text}") from error


def header(model: type[models.Model]) -> Cells:
    """Return the names of a table's columns."""
    return tuple(str(field.column) for field in columns(model))


def cells(row: models.Model) -> Cells:
    """Return a row as text."""
    return tuple(cell(field, row) for field in columns(type(row)))


def read(model: type[models.Model], row: Cells) -> models.Model:
    """Return a row that cells tell of.

    Raises
    ------
    ValueError
        If a cell does not fit its column, or cells are missing.
    """
    fields = columns(model)
    return model(**{str(f.attname): value(f, c) for f, c in zip(fields, row, strict=True)})
