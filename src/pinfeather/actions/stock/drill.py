"""Recall drills: one lot, the clock running, its mass balance, and who would be called."""

from __future__ import annotations

import datetime as dt
import random
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from pinfeather.actions.day import running
from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock import trace_links
from pinfeather.actions.stock.trace_names import Named, named
from pinfeather.actions.stock.tracing import TracedPackage, traced_packages
from pinfeather.errors import InputError, InputFaultsError, RecordConflictError, RecordNotFoundError
from pinfeather.packs.drill import DrillBalance, drill_balance
from pinfeather.packs.trace import Thing, Whereabouts, walk
from pinfeather.records import models
from pinfeather.records.journal import append_from_page
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _

KIND: Final = "mock recall"
"""Kind of every journal line about a drill; practised recalls of a trace have the same."""
_BACK: Final = dt.timedelta(days=365)
_SEVERAL: Final = ", "
_LONGEST: Final = 400


@dataclass(frozen=True, slots=True)
class Subject:
    """The lot of a drill: its packages, where they are, who would be called."""

    code: str
    day_id: int
    flock: str
    tank: str
    packages: tuple[TracedPackage, ...]
    buyers: tuple[Named, ...]
    balance: DrillBalance

    @property
    def here(self) -> tuple[TracedPackage, ...]:
        """Packages to be found by hand, in the order of the places."""
        found = [one for one in self.packages if one.where == "here"]
        return tuple(sorted(found, key=lambda o: (o.package.kept.place, o.package.number)))


@dataclass(frozen=True, slots=True)
class Drill:
    """A drill as it was written down; what a trace's own practice did not ask is empty."""

    id: str
    code: str
    began: dt.datetime
    who: str
    ended: dt.datetime | None = None
    ended_by: str = ""
    packages: int = 0
    found: int = 0
    birds: Mapping[str, int] | None = None
    sums: tuple[tuple[str, int, str], ...] = ()
    """Where, packages, pounds."""
    explained: str = ""
    contacts: tuple[tuple[str, str], ...] = ()
    """Name and telephone, as they are today."""
    by_hand: int = 0
    """Buyers who are not on the list of customers."""
    others: str = ""

    @property
    def took_s(self) -> float | None:
        """Time from beginning to end [s]; None while it runs."""
        return None if self.ended is None else (self.ended - self.began).total_seconds()


def codes(*, today: dt.date) -> tuple[str, ...]:
    """Return the lot codes of the last year that name one lot alone, the newest first."""
    stock_book.catch_up()
    rows = models.Pack.objects.filter(void=False, packed_on__gt=today - _BACK).order_by("-seq")
    found = dict.fromkeys(rows.values_list("lot_code", flat=True))
    return tuple(code for code in found if _SEVERAL not in code)


def suggested(*, today: dt.date, rng: random.Random) -> str:
    """Return a lot code drawn at random from the last year; empty where there is none."""
    found = codes(today=today)
    return rng.choice(found) if found else ""


def subject(code: str) -> Subject:
    """Return everything about one lot that a drill asks for.

    Raises
    ------
    RecordNotFoundError
        If no package bears this lot code.
    """
    trace_links.caught_up()
    first = models.Pack.objects.filter(void=False, lot_code=code).order_by("seq").first()
    if first is None or _SEVERAL in code:
        raise RecordNotFoundError(_("No package bears the lot code “{code}”.").format(code=code))
    lot = {"day_id": first.day_id, "lot": first.lot, "tank": first.tank}
    ids = list(models.PackSource.objects.filter(**lot).values_list("package", flat=True))
    ids += list(models.Pack.objects.filter(void=False, lot_code=code).values_list("pk", flat=True))
    packages = traced_packages(list(dict.fromkeys(ids)))
    packages = tuple(one for one in packages if not one.package.void)
    forward = walk(
        [Thing("package", one.package.id) for one in packages],
        trace_links.neighbours,
        direction="forward",
    )
    buyers = [thing for thing in forward if thing.kind == "buyer"]
    return Subject(
        code=code,
        day_id=first.day_id,
        flock=first.lot,
        tank=first.tank,
        packages=packages,
        buyers=tuple(sorted(named(buyers), key=lambda one: one.words)) if buyers else (),
        balance=_balance(packages, day_id=first.day_id, flock=first.lot, tank=first.tank),
    )


def _balance(
    packages: tuple[TracedPackage, ...], *, day_id: int, flock: str, tank: str
) -> DrillBalance:
    done = running.day_progress(day_id)
    lots = {one.lot for one in done.tallies if one.station == "chill" and one.place == tank}
    chilled = [
        one
        for one in done.tallies
        if one.station == "chill" and one.place == tank and one.lot in ("", flock)
    ]
    return drill_balance(
        (Whereabouts(one.package.id, one.package.net_lb, one.where) for one in packages),
        birds_in=sum(one.birds for one in chilled),
        birds_packed=sum(
            one.birds for one in done.packages if (one.lot, one.tank) == (flock, tank)
        ),
        birds_cut=sum(
            source.birds
            for cutting in done.cuttings
            for source in cutting.sources
            if (source.lot, source.tank) == (flock, tank)
        ),
        # whose they were is written only where the tank held one lot and the day one tank
        birds_off=done.explained_after("chill") if lots <= {"", flock} and _one_tank(done) else 0,
    )


def _one_tank(done: Any) -> bool:  # noqa: ANN401 - a day's progress
    return len({one.place for one in done.tallies if one.station == "chill"}) == 1


def begin(code: str, *, who: str, now: dt.datetime, client_id: str = "") -> str:
    """Start the clock; return the drill's id.

    Raises
    ------
    InputFaultsError
        If nobody is named.
    RecordConflictError
        If a drill runs already.
    RecordNotFoundError
        If no package bears this lot code.
    """
    found = subject(code)
    if not who:
        raise InputFaultsError([InputError("who", who, _("Choose who runs the drill."))])
    with writing():
        if any(one.ended is None for one in drills()):
            raise RecordConflictError(_("A drill runs already. Stop its clock first."))
        ident = client_id or uuid.uuid4().hex
        payload = {"act": "begin", "start": f"lot:{found.code}", "words": found.code}
        append_from_page(KIND, payload, client_id=ident, who=who, at=now)
    return ident


def end(
    ident: str, typed: Mapping[str, str], *, who: str, now: dt.datetime, client_id: str = ""
) -> None:
    """Stop the clock and write down what was found.

    Raises
    ------
    InputFaultsError
        With every fault: the number found by hand, an unexplained difference, nobody named.
    RecordNotFoundError
        If no such drill runs.
    """
    running_now = next((one for one in drills() if one.id == ident and one.ended is None), None)
    if running_now is None:
        raise RecordNotFoundError(_("No such drill is running."))
    found = subject(running_now.code)
    faults: list[InputError] = []
    seen, lost = _seen(typed.get("seen", ""), found.balance, faults)
    explained = typed.get("explained", "").strip()[:_LONGEST]
    if (lost or found.balance.birds_apart) and not explained and not faults:
        faults.append(InputError("explained", "", _("Write where the difference comes from.")))
    if not who:
        faults.append(InputError("who", who, _("Choose who ran the drill.")))
    if faults:
        raise InputFaultsError(faults)
    balance = found.balance
    payload = {
        "act": "end",
        "of": ident,
        "packages": balance.packages,
        "found": balance.packages - lost,
        "lost": [o.package.id for o in found.packages if o.where in ("unnamed", "missing")],
        "seen": seen,
        "birds": {
            "in": balance.birds_in,
            "packed": balance.birds_packed,
            "cut": balance.birds_cut,
            "off": balance.birds_off,
            "apart": balance.birds_apart,
        },
        "sums": [[one.where, one.packages, str(one.net_lb)] for one in balance.sums],
        "explained": explained,
        # the journal holds no names, so that they can be erased; who was typed by hand is counted
        "customers": [int(o.thing.id) for o in found.buyers if o.thing.id.isdecimal()],
        "by_hand": sum(not one.thing.id.isdecimal() for one in found.buyers),
        "others": typed.get("others", "").strip()[:_LONGEST],
    }
    append_from_page(KIND, payload, client_id=client_id or uuid.uuid4().hex, who=who, at=now)


def _seen(text: str, balance: DrillBalance, faults: list[InputError]) -> tuple[int, int]:
    """Return how many were found by hand, and how many nobody can reach."""
    text = text.strip() or ("0" if not balance.in_shop else "")
    if not (text.isascii() and text.isdecimal()) or len(text) > 6:  # noqa: PLR2004 - a million
        faults.append(InputError("seen", text, _("How many did you find by hand? A whole number.")))
        return 0, 0
    try:
        return int(text), balance.lost(int(text))
    except InputError as fault:
        faults.append(fault)
        return 0, 0


def drills(period: tuple[dt.datetime, dt.datetime] | None = None) -> tuple[Drill, ...]:
    """Return the drills, newest first; of a period where one is asked for."""
    rows = list(models.Entry.objects.filter(kind=KIND).order_by("seq"))
    ends = {str(row.payload["of"]): row for row in rows if row.payload["act"] == "end"}
    numbers = {int(n) for row in ends.values() for n in row.payload.get("customers", ())}
    people = {
        row.pk: (row.name, row.phone) for row in models.Customer.objects.filter(pk__in=numbers)
    }
    found = [
        _drill(row, ends.get(row.client_id), people)
        for row in rows
        if row.payload["act"] == "begin"
    ]
    if period is not None:
        found = [one for one in found if period[0] <= one.began < period[1]]
    return tuple(reversed(found))


def _drill(
    row: models.Entry, end_row: models.Entry | None, people: Mapping[int, tuple[str, str]]
) -> Drill:
    code = str(row.payload["words"])
    if end_row is None:
        return Drill(row.client_id, code, row.device_time, row.who)
    kept = end_row.payload
    return Drill(
        id=row.client_id,
        code=code,
        began=row.device_time,
        who=row.who,
        ended=end_row.device_time,
        ended_by=end_row.who,
        packages=int(kept["packages"]),
        found=int(kept["found"]),
        birds=kept.get("birds"),
        sums=tuple((str(w), int(n), str(lb)) for w, n, lb in kept.get("sums", ())),
        explained=str(kept.get("explained", "")),
        contacts=tuple(people[int(n)] for n in kept.get("customers", ()) if int(n) in people),
        by_hand=int(kept.get("by_hand", 0)),
        others=str(kept.get("others", "")),
    )


def last_others() -> str:
    """Return who else was named in the newest drill, to start the next form with."""
    return next((one.others for one in drills() if one.others), "")


def running_drill() -> Drill | None:
    """Return the drill whose clock runs; a trace's own practice of something else is left out."""
    known = next((one for one in drills() if one.ended is None), None)
    if known is None:
        return None
    start = models.Entry.objects.get(client_id=known.id).payload["start"]
    return known if str(start).startswith("lot:") else None
