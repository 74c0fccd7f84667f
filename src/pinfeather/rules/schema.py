"""Reading a profile file strictly: every word known, every number with its source."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final

from pinfeather.errors import InputError
from pinfeather.rules.limit import IN_FORCE, STATUSES, Limit, Wording, limit
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
    """One table of a profile file, read word by word.

    Parameters
    ----------
    path : str
        Where it is in the file.
    data : dict
        What it holds.
    """

    path: str
    data: dict[str, Any]
    _seen: set[str] = field(default_factory=set)

    def has(self, key: str) -> bool:
        """Return whether the word is there."""
        return key in self.data

    def words(self) -> list[str]:
        """Return the words in it that are not part of its own source."""
        return [key for key in self.data if key not in SOURCE_KEYS]

    def raw(self, key: str, kind: type, what: str) -> Any:  # noqa: ANN401 - checked against kind
        """Return a value after checking what it is."""
        self._seen.add(key)
        where = f"{self.path}.{key}"
        if key not in self.data:
            raise InputError(
                where,
                None,
                _("The profile needs {what} here.").format(what=what),
            )
        value = self.data[key]
        if not isinstance(value, kind) or (kind is int and isinstance(value, bool)):
            raise InputError(where, value, _("The profile needs {what} here.").format(what=what))
        return value

    def text(self, key: str, default: str | None = None) -> str:
        """Return words."""
        if default is not None and not self.has(key):
            return default
        return str(self.raw(key, str, _("words in quotes")))

    def choice(self, key: str, known: tuple[str, ...], default: str | None = None) -> str:
        """Return one of a few known words."""
        value = self.text(key, default)
        if value not in known:
            raise InputError(
                f"{self.path}.{key}",
                value,
                _("“{value}” is not one of: {known}.").format(value=value, known=", ".join(known)),
            )
        return value

    def flag(self, key: str, *, default: bool | None = None) -> bool:
        """Return yes or no."""
        if default is not None and not self.has(key):
            return default
        return bool(self.raw(key, bool, _("true or false")))

    def whole(self, key: str) -> int:
        """Return a whole number."""
        return int(self.raw(key, int, _("a whole number")))

    def texts(self, key: str, known: tuple[str, ...] | None = None) -> tuple[str, ...]:
        """Return a list of words; empty where it is not there."""
        if not self.has(key):
            return ()
        values = self.raw(key, list, _("a list of words"))
        for value in values:
            if not isinstance(value, str) or (known is not None and value not in known):
                raise InputError(
                    f"{self.path}.{key}",
                    value,
                    _("“{value}” is not one of: {known}.").format(
                        value=value, known=", ".join(known or (_("any words in quotes"),))
                    ),
                )
        return tuple(values)

    def table(self, key: str) -> Table:
        """Return a table inside this one."""
        return Table(f"{self.path}.{key}", self.raw(key, dict, _("a table")))

    def tables(self, key: str) -> tuple[Table, ...]:
        """Return a list of tables; empty where it is not there."""
        if not self.has(key):
            return ()
        rows = self.raw(key, list, _("a list of tables"))
        return tuple(Table(f"{self.path}.{key}[{i}]", row) for i, row in enumerate(rows))

    def source(self) -> tuple[str, str, str]:
        """Return citation, status and date of this table."""
        self._seen.update(SOURCE_KEYS)
        for key in SOURCE_KEYS:
            if not isinstance(self.data.get(key), str) or not self.data[key].strip():
                raise InputError(
                    f"{self.path}.{key}",
                    self.data.get(key),
                    _("Say where this comes from: citation, status and in_force are needed."),
                )
        status, in_force = self.data["status"], self.data["in_force"]
        if status not in STATUSES:
            raise InputError(
                f"{self.path}.status",
                status,
                _("“{value}” is not one of: {known}.").format(
                    value=status, known=", ".join(STATUSES)
                ),
            )
        if not IN_FORCE.fullmatch(in_force):
            raise InputError(
                f"{self.path}.in_force",
                in_force,
                _("“{value}” is not a date. Write 2024, 2024-05 or 2024-05-28.").format(
                    value=in_force
                ),
            )
        return self.data["citation"], status, in_force

    def limit(self, key: str) -> Limit:
        """Return a number with its source."""
        inner = self.table(key)
        value = inner.raw("value", object, _("a number"))
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise InputError(f"{inner.path}.value", value, _("The profile needs a number here."))
        citation, status, in_force = inner.source()
        made = limit(
            value,
            inner.text("unit"),
            citation=citation,
            status=status,
            in_force=in_force,
            note=inner.text("note", ""),
            where=f"{inner.path}.unit",
        )
        inner.finish()
        return made

    def maybe_limit(self, key: str) -> Limit | None:
        """Return a number with its source, or None where the profile has none."""
        return self.limit(key) if self.has(key) else None

    def wording(self, key: str) -> Wording:
        """Return words with their source."""
        return self.table(key).as_wording()

    def wordings(self, key: str) -> tuple[Wording, ...]:
        """Return a list of words with their sources."""
        return tuple(row.as_wording() for row in self.tables(key))

    def as_wording(self) -> Wording:
        """Return this whole table as words with their source."""
        text = self.text("text")
        citation, status, in_force = self.source()
        self.finish()
        return Wording(text, citation, status, in_force)

    def finish(self) -> None:
        """Refuse words that nobody asked for: a misspelled limit must not pass unseen."""
        unknown = [key for key in self.words() if key not in self._seen]
        if unknown:
            raise InputError(
                f"{self.path}.{unknown[0]}",
                self.data[unknown[0]],
                _("“{word}” is not a word a profile knows here. Known: {known}.").format(
                    word=unknown[0], known=", ".join(sorted(self._seen)) or _("nothing")
                ),
            )
