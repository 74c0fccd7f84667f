"""The data dictionary: what each column of each table means, in which unit."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import resources

from pinfeather.records import rows, tables

FILE = "dictionary.toml"


@dataclass(frozen=True, slots=True)
class Word:
    """One column in words."""

    table: str
    column: str
    meaning: str
    unit: str
    type: str


def written() -> dict[str, dict[str, str | list[str]]]:
    """Return the packaged dictionary as it is written: for each table its columns' meanings."""
    text = resources.files("pinfeather.records").joinpath(FILE).read_text(encoding="utf-8")
    return tomllib.loads(text)


def dictionary() -> Iterator[Word]:
    """Return a row for each column there is; the meaning is empty where nobody has written it."""
    known = written()
    for model in tables.every_table():
        table = model._meta.db_table
        told = known.get(table, {})
        for field in tables.columns(model):
            said = told.get(str(field.column), "")
            meaning, unit = (said, "") if isinstance(said, str) else (said[0], said[1])
            yield Word(table, str(field.column), meaning, unit, rows.kind(field))
