"""Is a store whole, is the journal as it was written: in plain SQL, of a store of any version.

The questions name only what the first version had, so that an old backup can be asked too.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from django.db import connection

from pinfeather.records import guards, journal
from pinfeather.words import gettext as _

Ask = Callable[[str], Iterator[Sequence[Any]]]
"""Runs a query and gives its rows."""

_LINES: Final = (
    "SELECT seq, client_id, day_id, kind, payload, who, device, device_time, skew_s, received_at,"
    " previous_hash, hash FROM records_entry WHERE seq > {after} ORDER BY seq"
)
_NAMES: Final = "SELECT key, salt, text FROM records_personal ORDER BY key"
_BLOCK: Final = 500


@dataclass(frozen=True, slots=True)
class StoreState:
    """What a check of the store found."""

    entries: int
    """Place of the newest line of the journal."""
    head: str
    damage: tuple[str, ...]
    broken_at: int | None
    rows: Mapping[str, int] = field(default_factory=dict)
    """Rows of each table."""
    migrations: tuple[str, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether nothing is wrong."""
        return not self.damage and self.broken_at is None


def check_default(*, deep: bool = True) -> StoreState:
    """Check the farm's own store, of whatever kind it is.

    Parameters
    ----------
    deep : bool
        Also read every page of the file; the links and the chain are followed in any case.

    Raises
    ------
    django.db.DatabaseError
        If it cannot be read at all.
    """

    def ask(query: str) -> Iterator[Sequence[Any]]:
        with connection.cursor() as cursor:
            cursor.execute(query)
            while rows := cursor.fetchmany(_BLOCK):
                yield from rows

    absent = [_("guard {name} is missing").format(name=name) for name in guards.missing()]
    return _check(ask, sqlite=connection.vendor == "sqlite", found=absent, deep=deep)


def check_file(path: Path, *, after: tuple[int, str] | None = None) -> StoreState:
    """Check a SQLite file that nobody is writing, without changing it or what lies beside it.

    Parameters
    ----------
    path : pathlib.Path
        The file.
    after : tuple of int and str, optional
        A place in the journal and its hash that an earlier check has reached; the chain is
        followed from there.

    Raises
    ------
    sqlite3.DatabaseError
        If it cannot be read as a store at all.
    """
    base = sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro&immutable=1", uri=True)
    try:
        return _check(base.execute, sqlite=True, found=[], after=after)
    finally:
        base.close()


def _check(
    ask: Ask,
    *,
    sqlite: bool,
    found: list[str],
    after: tuple[int, str] | None = None,
    deep: bool = True,
) -> StoreState:
    damage = list(found)
    if sqlite and deep:
        damage += [str(row[0]) for row in ask("PRAGMA integrity_check") if row[0] != "ok"]
    if sqlite:
        damage += [
            _("a row of {table} names something that is not there").format(table=row[0])
            for row in ask("PRAGMA foreign_key_check")
        ]
    broken_at, entries, head = _follow(ask, after)
    damage += [_("seal of {date}").format(date=date) for date in _broken_seals(ask)]
    tables = _tables(ask, sqlite=sqlite)
    if "records_loggerfile" in tables:
        damage += [
            _("logger file {name}").format(name=name)
            for name in _changed_files(ask, "records_loggerfile")
        ]
    if "records_proof" in tables:
        damage += [
            _("proof {name}").format(name=name) for name in _changed_files(ask, "records_proof")
        ]
    if "records_personal" in tables:
        damage += [_("a buyer's name ({key})").format(key=key) for key in _changed_names(ask)]
    return StoreState(
        entries=entries,
        head=head,
        damage=tuple(damage),
        broken_at=broken_at,
        rows={name: next(ask(f'SELECT count(*) FROM "{name}"'))[0] for name in tables},  # noqa: S608 - a table's own name
        migrations=tuple(
            row[0]
            for row in ask("SELECT name FROM django_migrations WHERE app = 'records' ORDER BY name")
        ),
    )


def _tables(ask: Ask, *, sqlite: bool) -> list[str]:
    kind = (
        "SELECT name FROM sqlite_master WHERE type = 'table'"
        if sqlite
        else "SELECT tablename FROM pg_tables WHERE schemaname = current_schema()"
    )
    return sorted(str(row[0]) for row in ask(kind) if str(row[0]).startswith("records_"))


def _follow(ask: Ask, after: tuple[int, str] | None) -> tuple[int | None, int, str]:
    """Follow the chain; return where it breaks, if it does, and the last place and hash."""
    place, previous = 0, guards.GENESIS
    if after is not None:
        known = list(ask(f"SELECT hash FROM records_entry WHERE seq = {int(after[0])}"))  # noqa: S608 - a number
        if known and known[0][0] == after[1]:
            place, previous = after
    broken: int | None = None
    for (
        seq,
        client_id,
        day_id,
        kind,
        payload,
        who,
        device,
        told,
        skew_s,
        got,
        before,
        digest,
    ) in ask(_LINES.format(after=int(place))):
        if broken is None:
            fits = before == previous and digest == journal.line_hash(
                (
                    client_id, day_id, kind, _json(payload), who, device, _stamp(told), skew_s,
                    _stamp(got), before,
                )
            )  # fmt: skip
            broken = None if fits else int(seq)
        place, previous = int(seq), str(digest)
    return broken, place, previous


def _broken_seals(ask: Ask) -> Iterator[str]:
    """Return the days whose seal does not fit the journal, or whose record was changed since."""
    for date, seal, record, digest, payload in ask(
        "SELECT d.date, d.seal, d.record, e.hash, e.payload FROM records_day d"
        " LEFT JOIN records_entry e ON e.seq = d.sealed_seq WHERE d.seal <> '' ORDER BY d.id"
    ):
        told = _json(payload)
        kept = told.get("record") if isinstance(told, dict) else None
        if digest != seal or kept != journal.fingerprint(_json(record)):
            yield str(date)


def _changed_files(ask: Ask, table: str) -> Iterator[str]:
    for name, digest, raw in ask(f"SELECT name, sha256, raw FROM {table} ORDER BY id"):  # noqa: S608 - a name of ours
        if hashlib.sha256(bytes(raw)).hexdigest() != digest:
            yield str(name)


def _changed_names(ask: Ask) -> Iterator[str]:
    """Return the keys of texts about customers that are not what the journal has hashed."""
    kept = {key: (salt, text) for key, salt, text in ask(_NAMES)}
    asked_for: set[str] = set()
    for (payload,) in ask("SELECT payload FROM records_entry WHERE kind = 'erasure' ORDER BY seq"):
        asked_for.update(_json(payload).get("keys", ()))
    for (payload,) in ask("SELECT payload FROM records_entry WHERE kind = 'sale' ORDER BY seq"):
        told = _json(payload)
        buyer = told.get("buyer") if isinstance(told, dict) else None
        key = buyer.get("person") if isinstance(buyer, dict) else None
        if not key or not isinstance(buyer, dict):
            continue
        salt, text = kept.get(key, ("?", ""))
        erased = salt == text == "" and key in asked_for
        if not erased and journal.salted(salt, text) != buyer.get("sealed"):
            yield str(key)


def _json(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    return json.loads(value) if isinstance(value, str | bytes) else value


def _stamp(value: dt.datetime | str) -> str:
    """Return a stored moment as it went into the hash; a text is SQLite's, in UTC."""
    moment = dt.datetime.fromisoformat(value) if isinstance(value, str) else value
    return journal.stamp(moment if moment.tzinfo else moment.replace(tzinfo=dt.UTC))
