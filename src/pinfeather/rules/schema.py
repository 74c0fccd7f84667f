"""Reading a profile file strictly: every word known, every number with its source."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any, Final

from pinfeather.errors import InputError
from pinfeather.rules.limit import IN_FORCE, STATUSES, Limit, Wording, limit
from pinfeather.rules.unit_of import unit_fault
from pinfeather.words import gettext as _

SOURCE_KEYS: Final = ("citation", "status", "in_force")
"""What every number and every wording carries, itself or from the table around it."""


def sourced(data: dict[str, Any], inherited: dict[str, str] | None = None) -> dict[str, Any]:
    """Write the source of a table into every number and wording inside it.

    Parameters
    ----------
    data : dict
        A table as read from a profile file.
    inherited : dict or None
        Source of the table around it.

    Returns
    -------
    dict
        The same table, each number and wording with its own citation, status and date.

    Notes
    -----
    Done file by file before one file is laid over another, so that a number never takes the
    source of a different file.

    References
    ----------
    Derivation: nearest enclosing table wins.
    """
    source = dict(inherited or {})
    source.update({key: data[key] for key in SOURCE_KEYS if isinstance(data.get(key), str)})
    if "value" in data or "text" in data:
        return {**source, **data}
    result: dict[str, Any] = {}
    for key, value in data.items():
        if isinstance(value, dict):
            result[key] = sourced(value, source)
        elif isinstance(value, list):
            result[key] = [sourced(v, source) if isinstance(v, dict) else v for v in value]
        else:
            result[key] = value
    return result


def laid_over(base: dict[str, Any], top: dict[str, Any]) -> dict[str, Any]:
    """Lay one profile over another.

    Parameters
    ----------
    base : dict
        The profile below (federal).
    top : dict
        The one above (a state), already :func:`sourced`.

    Returns
    -------
    dict
        Tables merged word by word; numbers, wordings and lists of the upper file replace those of
        the lower one whole.

    References
    ----------
    Derivation: recursive merge.
    """
    merged = dict(base)
    for key, value in top.items():
        below = merged.get(key)
        both = isinstance(value, dict) and isinstance(below, dict)
        if both and "value" not in value and "text" not in value:
            merged[key] = laid_over(below, value)  # type: ignore[arg-type]  # checked just above
        else:
            merged[key] = value
    return merged


@dataclass(frozen=True, slots=True)
class Table:
    """One table of a profile file, read word by word; faults are gathered, never raised.

    Parameters
    ----------
    path : str
        Where it is in the file.
    data : dict
        What it holds.
    faults : list of InputError
        What is wrong so far, in the whole file.
    """

    path: str
    data: dict[str, Any]
    faults: list[InputError] = field(default_factory=list)
    _seen: set[str] = field(default_factory=set)

    def bad(self, name: str, value: object, sentence: str) -> None:
        """Note a fault of this table; an empty name is the table itself."""
        self.faults.append(
            InputError(f"{self.path}.{name}" if name else self.path, value, sentence)
        )

    def has(self, key: str) -> bool:
        """Return whether the word is there."""
        return key in self.data

    def words(self) -> list[str]:
        """Return the words in it that are not part of its own source."""
        return [key for key in self.data if key not in SOURCE_KEYS]

    def raw(self, key: str, kind: type, what: str) -> Any:  # noqa: ANN401 - checked against kind
        """Return a value after checking what it is; an empty one of its kind where it is not."""
        self._seen.add(key)
        value = self.data.get(key)
        if not isinstance(value, kind) or (kind is int and isinstance(value, bool)):
            self.bad(key, value, _("The profile needs {what} here.").format(what=what))
            return kind()
        return value

    def text(self, key: str, default: str | None = None) -> str:
        """Return words."""
        if default is not None and not self.has(key):
            return default
        return str(self.raw(key, str, _("words in quotes")))

    def choice(self, key: str, known: tuple[str, ...], default: str | None = None) -> str:
        """Return one of a few known words."""
        value = self.text(key, default)
        if value not in known and isinstance(self.data.get(key), str):
            self.bad(key, value, _not_one_of(value, known))
        return value

    def flag(self, key: str, *, default: bool | None = None) -> bool:
        """Return yes or no."""
        if default is not None and not self.has(key):
            return default
        return bool(self.raw(key, bool, _("true or false")))

    def whole(self, key: str) -> int:
        """Return a whole number that is not negative."""
        value = int(self.raw(key, int, _("a whole number")))
        if value < 0:
            self.bad(key, value, _("This cannot be negative."))
        return value

    def texts(self, key: str, known: tuple[str, ...] | None = None) -> tuple[str, ...]:
        """Return a list of words; empty where it is not there."""
        if not self.has(key):
            return ()
        values = self.raw(key, list, _("a list of words"))
        wrong = [v for v in values if not isinstance(v, str) or (known and v not in known)]
        for value in wrong:
            self.bad(key, value, _not_one_of(value, known or (_("any words in quotes"),)))
        return tuple(v for v in values if v not in wrong)

    def table(self, key: str) -> Table:
        """Return a table inside this one; where it is missing, that is one fault and not many."""
        path = f"{self.path}.{key}"
        if isinstance(self.data.get(key), dict):
            self._seen.add(key)
            return Table(path, self.data[key], self.faults)
        self.raw(key, dict, _("a table"))
        return Table(path, {})

    def tables(self, key: str) -> tuple[Table, ...]:
        """Return a list of tables; empty where it is not there."""
        if not self.has(key):
            return ()
        rows = self.raw(key, list, _("a list of tables"))
        for row in rows:
            if not isinstance(row, dict):
                self.bad(key, row, _("The profile needs {what} here.").format(what=_("tables")))
        return tuple(
            Table(f"{self.path}.{key}[{i}]", row, self.faults)
            for i, row in enumerate(rows)
            if isinstance(row, dict)
        )

    def source(self) -> tuple[str, str, str]:
        """Return citation, status and date of this table."""
        self._seen.update(SOURCE_KEYS)
        for key in SOURCE_KEYS:
            if not isinstance(self.data.get(key), str) or not self.data[key].strip():
                self.bad(
                    key,
                    self.data.get(key),
                    _("Say where this comes from: citation, status and in_force are all needed."),
                )
        citation, status, in_force = (str(self.data.get(key, "")) for key in SOURCE_KEYS)
        if status.strip() and status not in STATUSES:
            self.bad("status", status, _not_one_of(status, STATUSES))
        if in_force.strip() and not IN_FORCE.fullmatch(in_force):
            self.bad(
                "in_force",
                in_force,
                _("“{value}” is not a date. Write 2024, 2024-05 or 2024-05-28.").format(
                    value=in_force
                ),
            )
        return citation, status, in_force

    def limit(self, key: str) -> Limit:
        """Return a number with its source, in a unit that fits what it limits."""
        if not isinstance(self.data.get(key), dict):
            self.raw(key, dict, _("a table"))
            return _NOTHING
        inner = self.table(key)
        value = inner.raw("value", object, _("a number"))
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if not (number and math.isfinite(value)):
            inner.bad("value", value, _("The profile needs a number here."))
            value = 0
        unit = inner.text("unit")
        citation, status, in_force = inner.source()
        made = _NOTHING
        try:
            made = limit(
                value,
                unit,
                citation=citation,
                status=status,
                in_force=in_force,
                note=inner.text("note", ""),
                where=f"{inner.path}.unit",
            )
        except InputError as fault:
            self.faults.append(fault)
        else:
            wrong = unit_fault(inner.path, unit)
            if wrong:
                inner.bad("unit", unit, wrong)
        inner.finish()
        return made

    def maybe_limit(self, key: str) -> Limit | None:
        """Return a number with its source, or None where the profile has none."""
        return self.limit(key) if self.has(key) else None

    def wording(self, key: str) -> Wording:
        """Return words with their source."""
        if not isinstance(self.data.get(key), dict):
            self.raw(key, dict, _("a table"))
            return Wording("", "", "", "")
        return self.table(key).as_wording()

    def wordings(self, key: str) -> tuple[Wording, ...]:
        """Return a list of words with their sources."""
        return tuple(row.as_wording() for row in self.tables(key))

    def as_wording(self) -> Wording:
        """Return this whole table as words with their source."""
        text = self.text("text")
        if self.has("text") and not text.strip():
            self.bad("text", text, _("Write the words."))
        citation, status, in_force = self.source()
        self.finish()
        return Wording(text, citation, status, in_force)

    def finish(self) -> None:
        """Refuse words that nobody asked for: a misspelled limit must not pass unseen."""
        for key in self.words():
            if key not in self._seen:
                self.bad(
                    key,
                    self.data[key],
                    _("“{word}” is not a word a profile knows here. Known: {known}.").format(
                        word=key, known=", ".join(sorted(self._seen)) or _("nothing")
                    ),
                )


_NOTHING: Final = Limit(0.0, "", 0.0, "", "", "")
"""Stands where a faulty number was, so that the rest of the file is read."""


def _not_one_of(value: object, known: tuple[str, ...]) -> str:
    return _("“{value}” is not one of: {known}.").format(value=value, known=", ".join(known))
