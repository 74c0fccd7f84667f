"""Holding a sent list, looking it over, bringing it in whole, taking it back in one tap."""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.core.cache import cache

from pinfeather.actions.day import days
from pinfeather.actions.farm import farm, lots
from pinfeather.actions.flock import books as flocks
from pinfeather.actions.flock import days as flock_days
from pinfeather.actions.flock.lots import SPECIES
from pinfeather.actions.flock.told import told as told_flock
from pinfeather.actions.lists import past_days, rows
from pinfeather.actions.lists.cells import ORDERS, POINTS, order_of, point_of
from pinfeather.actions.lists.kinds import KINDS, guessed
from pinfeather.actions.lists.reader import Around, How, Read
from pinfeather.actions.lists.table import Table, read_table
from pinfeather.actions.money.book import told as told_money
from pinfeather.errors import InputError, InputFaultsError, RecordConflictError, RecordNotFoundError
from pinfeather.flock.weight_list import UNIT_CHOICES
from pinfeather.records import journal, models, personal
from pinfeather.records.writing import writing
from pinfeather.units import KG_PER_LB
from pinfeather.words import date_text
from pinfeather.words import gettext as _

ENTRY_KIND: Final = "list"
_WAITS_S: Final = 3600
_LONGEST_NAME: Final = 80
_DATE_COLUMNS: Final = ("on", "hatched", "arrived")
_NUMBER_COLUMNS: Final = ("weights", "weight", "total", "amount", "price_per_lb")
_UNIT_WORDS: Final = (
    ("kg", ("kg", "kilo")), ("g", ("gram", "(g)")), ("oz", ("oz", "ounce")),
    ("lb", ("lb", "pound")),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Held:
    """A sent list that nobody has brought in yet."""

    token: str
    name: str
    raw: bytes

    @property
    def sha256(self) -> str:
        """What makes it this file."""
        return hashlib.sha256(self.raw).hexdigest()


@dataclass(frozen=True, slots=True)
class Preview:
    """A list as it would be read."""

    kind: str
    name: str
    table: Table
    how: How
    read: Read
    order_told: bool
    """Whether the dates themselves tell the order of day and month."""
    notes: tuple[str, ...]
    before: BroughtList | None
    """The same file, where it was brought in already."""

    @property
    def fit(self) -> bool:
        """Whether it can be brought in."""
        return bool(self.read.planned) and not self.read.faults and self.before is None


@dataclass(frozen=True, slots=True)
class BroughtList:
    """A list that was brought in."""

    id: str
    name: str
    kind: str
    rows: int
    entries: int
    at: dt.datetime
    who: str
    lots: tuple[str, ...]
    sha256: str
    back_at: dt.datetime | None = None
    back_by: str = ""


def hold(name: str, raw: bytes, *, token: str = "") -> str:
    """Keep a sent list in memory for an hour and return the word it is found by.

    Raises
    ------
    InputError
        If it is no table, with a sentence about what to do.
    """
    read_table(raw)
    token = token or secrets.token_hex(16)
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    plain = "".join(c for c in last if c.isprintable())[:_LONGEST_NAME]
    cache.set(f"list-{token}", (plain or _("pasted rows"), raw), _WAITS_S)
    return token


def held(token: str) -> Held:
    """Return a sent list.

    Raises
    ------
    InputError
        If it has been waiting too long, or the program was started again meanwhile.
    """
    found = cache.get(f"list-{token}") if token.isalnum() else None
    if found is None:
        raise InputError("file", token, _("The list is not here any more. Choose it again."))
    return Held(token, *found)


def first_guess(kind: str, table: Table, *, metric: bool) -> dict[str, str]:
    """Return how a list seems to be written, as the form shows it."""
    columns = guessed(KINDS[kind], table.names)
    dates = [c for name in _DATE_COLUMNS for c in table.under(columns.get(name, ""))]
    numbers = [c for name in _NUMBER_COLUMNS for c in table.under(columns.get(name, ""))]
    headings = " ".join(columns.get(n, "") for n in ("weights", "weight", "total")).casefold()
    unit = next((u for u, words in _UNIT_WORDS if any(w in headings for w in words)), "")
    return {
        **{f"column_{name}": heading for name, heading in columns.items()},
        "order": order_of(dates) or ("dmy" if metric else "mdy"),
        "point": point_of(numbers),
        "unit": unit or ("kg" if metric else "lb"),
        "species": "chicken",
    }


def preview(token: str, kind: str, answers: Mapping[str, str] | None, *, today: dt.date) -> Preview:
    """Read a sent list as somebody says it is to be read; nothing is kept yet.

    Raises
    ------
    InputError
        If the list is gone, or the kind unknown.
    """
    if kind not in KINDS:
        raise InputError("kind", kind, _("Choose what kind of list it is."))
    sent = held(token)
    table = read_table(sent.raw)
    home = farm()
    metric = home.units == "metric"
    guess = first_guess(kind, table, metric=metric)
    typed = {**guess, **(answers or {})}
    how = How(
        {
            one.name: _one_of(typed.get(f"column_{one.name}", ""), table.names)
            for one in KINDS[kind].columns
        },
        order=_one_of(typed["order"], ORDERS, guess["order"]),
        point=_one_of(typed["point"], POINTS, "."),
        unit=_one_of(typed["unit"], UNIT_CHOICES, "lb"),
        species=_one_of(typed["species"], SPECIES, "chicken"),
    )
    hatched = {one.code: one.hatched for one in lots()}
    closed = _closed() if kind == "days" else frozenset()
    around = Around(today, hatched, closed, metric)
    read = rows.read_list(kind, table, how=how, around=around)
    dates = [c for name in _DATE_COLUMNS for c in table.under(how.columns.get(name, ""))]
    told = bool(order_of(dates)) or all(_in_letters(date) for date in dates)
    same = next(
        (o for o in listed() if (o.sha256, o.kind) == (sent.sha256, kind) and not o.back_at), None
    )
    return Preview(kind, sent.name, table, how, read, told, _notes(read, same), same)


def _in_letters(date: str) -> bool:
    return any(c.isalpha() for c in date)


def _one_of(value: str, known: Any, default: str = "") -> str:  # noqa: ANN401 - any container
    return value if value in known else default


def _closed() -> frozenset[tuple[dt.date, str]]:
    """Return the days and kinds of bird that the program itself has records of."""
    found = set()
    for took in flock_days.taken():
        for lot in days.day(took.id).request.lots:
            found.add((took.on, str(lot.species)))
    return frozenset(found)


def _notes(read: Read, same: BroughtList | None) -> tuple[str, ...]:
    if same is not None or not read.planned:
        return ()
    kinds = {one.kind for one in read.planned}
    there = models.Entry.objects.filter(kind__in=kinds).values_list("client_id", "payload")
    gone = {p["of"] for _id, p in there if "struck" in (p.get("act"), p.get("event"))}
    known = {rows.same_as(payload) for ident, payload in there if ident not in gone}
    twice = [one.row for one in read.planned if rows.same_as(one.payload) in known]
    if not twice:
        return ()
    return (
        _("{n} of these stand in the records already and would count twice: row {rows}.").format(
            n=len(twice), rows=", ".join(str(row) for row in twice[:12])
        ),
    )


def bring_in(
    token: str, kind: str, answers: Mapping[str, str], *, who: str, today: dt.date, now: dt.datetime
) -> str:
    """Bring a list in, all of it or nothing; return its id.

    The same sent list is brought in once, however often the form is sent.

    Raises
    ------
    InputError
        If the list is gone.
    InputFaultsError
        With the rows that cannot be read.
    StoreError
        If the store cannot be written.
    """
    sent = held(token)
    list_id = f"list{token[:16]}"
    with writing():
        if models.Entry.objects.filter(client_id=list_id).exists():
            return list_id
        seen = preview(token, kind, answers, today=today)
        if not seen.fit:
            raise InputFaultsError(
                [InputError(f"row {f.row}", f.heading, f.sentence) for f in seen.read.faults]
                or [InputError("file", sent.name, _("This list was brought in already."))]
            )
        codes = []
        for one in seen.read.planned:
            if one.lot is not None:
                values = {**one.lot, "head": 0, "withdrawn": False}
                models.Lot.objects.update_or_create(code=one.payload["lot"], defaults=values)
                codes.append(one.payload["lot"])
        note = {
            "act": "brought", "kind": kind, "name": sent.name, "sha256": sent.sha256,
            "rows": len(seen.table.rows), "entries": len(seen.read.planned), "lots": codes,
            "read": {**seen.how.columns, "order": seen.how.order, "point": seen.how.point,
                     "unit": seen.how.unit, "species": seen.how.species, "as": seen.table.how},
        }  # fmt: skip
        lines = [_entry(list_id, ENTRY_KIND, note, who=who, now=now)]
        for k, one in enumerate(seen.read.planned, start=1):
            kept = {**one.payload, "list": list_id}
            if "buyer" in kept:
                kept["buyer"] = personal.set_apart(kept["buyer"])
            lines.append(_entry(f"{list_id}n{k}", one.kind, kept, who=who, now=now))
        journal.append(lines, day_id=None, received_at=now)
    return list_id


def _entry(
    ident: str, kind: str, payload: Mapping[str, Any], *, who: str, now: dt.datetime
) -> journal.NewEntry:
    return journal.NewEntry(ident, kind, payload, who[:40], "list", now)


def listed() -> tuple[BroughtList, ...]:
    """Return the lists brought in, the newest first, those taken back in their place."""
    found = list(models.Entry.objects.filter(kind=ENTRY_KIND).order_by("-seq"))
    back = {row.payload["of"]: row for row in found if row.payload["act"] == "taken back"}
    return tuple(
        BroughtList(
            row.client_id,
            row.payload["name"],
            row.payload["kind"],
            row.payload["rows"],
            row.payload["entries"],
            row.device_time,
            row.who,
            tuple(row.payload["lots"]),
            row.payload["sha256"],
            back_at=back[row.client_id].device_time if row.client_id in back else None,
            back_by=back[row.client_id].who if row.client_id in back else "",
        )
        for row in found
        if row.payload["act"] == "brought"
    )


def one_list(list_id: str) -> BroughtList:
    """Return one list.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    for one in listed():
        if one.id == list_id:
            return one
    raise RecordNotFoundError(_("There is no such list."))


def lines_of(list_id: str) -> tuple[tuple[str, str], ...]:
    """Return what came from a list, as (where it counts, what it says)."""
    return tuple(_told(row) for row in _rows_of(list_id))


def _rows_of(list_id: str) -> list[models.Entry]:
    return list(models.Entry.objects.filter(client_id__startswith=f"{list_id}n").order_by("seq"))


def _told(row: models.Entry) -> tuple[str, str]:
    kept = row.payload
    on = date_text(dt.date.fromisoformat(kept["on"]))
    if row.kind == "flock":
        return _("Lot {lot}").format(lot=kept["lot"]), f"{on}: {told_flock(kept)}"
    if row.kind == "money":
        buyer = personal.put_back([kept["buyer"]])[0]["name"] if "buyer" in kept else ""
        words = told_money(kept["act"], kept)
        return _("Money"), f"{on}: {words}" + (f"; {buyer}" if buyer else "")
    dressed_kg = sum(kept["weights_kg"]) or kept["total_kg"]
    words = _("{n} × {species}").format(n=kept["birds"], species=kept["species"])
    more = f", {dressed_kg / KG_PER_LB:.1f} lb" if dressed_kg else ""
    return _("Birds counted"), f"{on}: {words}{more}"


def take_back(list_id: str, *, who: str, now: dt.datetime) -> None:
    """Take everything back that came from a list; all of it stays in the journal, struck out.

    Raises
    ------
    RecordNotFoundError
        If there is no such list.
    RecordConflictError
        If it was taken back before, or something was written since that rests on its lots.
    StoreError
        If the store cannot be written.
    """
    with writing():
        found = one_list(list_id)
        if found.back_at is not None:
            raise RecordConflictError(_("This list was taken back before."))
        _nothing_rests_on(found)
        reason = _("The list “{name}” was taken back.").format(name=found.name)
        struck = _struck_already()
        strikes = []
        for k, row in enumerate(_rows_of(list_id), start=1):
            if row.client_id in struck:
                continue
            act = "event" if row.kind == "flock" else "act"
            payload: dict[str, Any] = {act: "struck", "of": row.client_id, "reason": reason}
            if row.kind == "flock":
                payload["lot"] = row.payload["lot"]
            elif row.kind == "money":
                payload["instead"] = ""
            strikes.append(
                _entry(f"{list_id}b{k}", row.kind, {**payload, "list": list_id}, who=who, now=now)
            )
        back = {"act": "taken back", "of": list_id, "reason": reason}
        strikes.append(_entry(f"{list_id}b0", ENTRY_KIND, back, who=who, now=now))
        journal.append(strikes, day_id=None, received_at=now)
        if found.lots:
            models.Lot.objects.filter(code__in=found.lots).update(withdrawn=True)


def _struck_already() -> set[str]:
    rows_ = models.Entry.objects.filter(kind__in=("flock", "money", past_days.ENTRY_KIND))
    payloads = rows_.values_list("payload", flat=True)
    return {p["of"] for p in payloads if "struck" in (p.get("act"), p.get("event"))}


def _nothing_rests_on(found: BroughtList) -> None:
    """Refuse where somebody has gone on writing about a lot of the list."""
    if not found.lots:
        return
    lots_ = set(found.lots)
    resting = [
        book.row.code
        for book in flocks.books()
        if book.row.code in lots_
        and any(not one.id.startswith(f"{found.id}n") for one in book.standing)
    ]
    if resting:
        raise RecordConflictError(
            _(
                "More was written about lot {lots} since. Take back the other list, or strike "
                "those lines out on the lot’s page, and then this list."
            ).format(lots=", ".join(sorted(resting)[:8]))
        )
