"""Names and addresses of buyers, apart from the journal, so that they can be erased on request.

A line of the journal that is about a buyer holds a key and the SHA-256 of a random salt and the
text. The text itself stands in a table of its own. Erasing empties salt and text: the chain of the
journal still fits, and the hash alone cannot be guessed back to a name (decision record 0017).
"""

from __future__ import annotations

import datetime as dt
import json
import secrets
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from django.db import DatabaseError, connection

from pinfeather.records import journal, models
from pinfeather.words import gettext as _

_BYTES: Final = 16
_BLOCK: Final = 500
FIELDS: Final = ("name", "address")


def set_apart(buyer: Mapping[str, Any]) -> dict[str, Any]:
    """Keep a buyer's name and address apart; return what the journal's line holds instead.

    A buyer without name and address is returned as it is: there is nothing to set apart.
    """
    text = {field: journal.storable(str(buyer.get(field) or "")) for field in FIELDS}
    rest = {name: value for name, value in buyer.items() if name not in FIELDS}
    if not any(text.values()):
        return {**rest, **text}
    key, salt = secrets.token_hex(_BYTES), secrets.token_hex(_BYTES)
    spelled = json.dumps(text, ensure_ascii=False, sort_keys=True)
    models.Personal.objects.create(key=key, salt=salt, text=spelled, customer_id=buyer.get("id"))
    return {**rest, "person": key, "sealed": journal.salted(salt, spelled)}


def put_back(buyers: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Return buyers of journal lines with names and addresses, in as few questions as can be."""
    found = [dict(buyer) for buyer in buyers]
    keys = sorted({str(one["person"]) for one in found if one.get("person")})
    texts: dict[str, dict[str, Any]] = {}
    for start in range(0, len(keys), _BLOCK):
        rows = models.Personal.objects.filter(key__in=keys[start : start + _BLOCK])
        for key, text, erased_on in rows.values_list("key", "text", "erased_on"):
            gone = {"name": removed(erased_on), "address": "", "erased": True}
            texts[key] = json.loads(text) if text else gone
    for one in found:
        if one.get("person"):
            one.update(texts.get(str(one["person"]), {"name": "", "address": ""}))
        else:
            one.setdefault("name", "")
            one.setdefault("address", "")
    return found


def whole(payload: Mapping[str, Any]) -> dict[str, Any]:
    """Return a sale's content with the buyer's name put back."""
    return {**payload, "buyer": put_back([payload["buyer"]])[0]}


def removed(on: dt.date | None) -> str:
    """Return what stands in the place of a name that was removed."""
    day = "" if on is None else on.isoformat()
    return _("name removed on request, {date}").format(date=day)


def keys_named(names: Sequence[str]) -> dict[str, list[str]]:
    """Return the keys of buyers that were typed by hand, by name; it reads every such text."""
    wanted, found = set(names), dict[str, list[str]]()
    rows = models.Personal.objects.filter(customer=None).exclude(text="")
    for key, text in rows.values_list("key", "text").iterator():
        name = json.loads(text)["name"]
        if name in wanted:
            found.setdefault(name, []).append(key)
    return found


def erase(keys: Sequence[str], *, on: dt.date) -> int:
    """Empty salt and text of rows; return how many held something."""
    done = 0
    for start in range(0, len(keys), _BLOCK):
        rows = models.Personal.objects.filter(key__in=keys[start : start + _BLOCK])
        done += rows.exclude(text="").update(salt="", text="", erased_on=on)
    return done


def wipe() -> bool:
    """Have the database let go of what was erased: nothing of it stays in the file or its log.

    Runs outside of any transaction. A server keeps its own logs and backups; those are its own.

    Returns
    -------
    bool
        Whether it is done; False where somebody else was reading, and the log lives on until the
        program is started again.
    """
    with connection.cursor() as cursor:
        if connection.vendor != "sqlite":
            for model in (models.Personal, models.Customer, models.CustomerOrder):
                cursor.execute(f'VACUUM FULL "{model._meta.db_table}"')
            return True
        cursor.execute("PRAGMA secure_delete=ON")
        try:
            cursor.execute("VACUUM")
        except DatabaseError:  # no room, or somebody is writing: the rows are empty all the same
            return False
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        row = cursor.fetchone()
        return row is not None and row[0] == 0
