"""Everything a binder is made from, read in a fixed number of questions to the store."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from pinfeather import clock
from pinfeather.actions.binder.period import Period
from pinfeather.actions.farm import FarmView, InstrumentView, LotView, farm, instruments, lots
from pinfeather.actions.keeping.classes import profile_of
from pinfeather.day.events import Event, IcePoint
from pinfeather.day.progress import Progress, progress
from pinfeather.records import models, personal
from pinfeather.records.journal import head
from pinfeather.rules.model import Profile
from pinfeather.rules.tier import Tier

_CHECKS_BACK: Final = dt.timedelta(days=60)
_OF_NO_DAY: Final = (
    "ice point", "correction", "sale", "refund", "storage reading", "scale check",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class BinderDay:
    """One processing day of the period as it was sealed, or as it stands."""

    id: int
    date: dt.date
    status: str
    request: Mapping[str, Any]
    record: Mapping[str, Any]
    seal: str
    sealed_at: dt.datetime | None
    sealed_seq: int
    done: Progress
    """Up to the seal where the day is closed."""
    late: tuple[Event, ...]
    """What came after the seal."""

    @property
    def closed(self) -> bool:
        """Whether it is sealed."""
        return bool(self.seal)

    @property
    def lots(self) -> tuple[str, ...]:
        """Codes of its lots."""
        return tuple(str(one.get("code", "")) for one in self.request.get("lots", []))

    @property
    def people(self) -> tuple[str, ...]:
        """Who was planned for it, and who wrote anything down."""
        planned = [str(one.get("name", "")) for one in self.request.get("people", [])]
        wrote = [
            one.who
            for part in (self.done.tallies, self.done.readings, self.done.packages)
            for one in part
        ]
        return tuple(dict.fromkeys(filter(None, (*planned, *wrote))))

    def slaughtered(self) -> Counter[str]:
        """Count head slaughtered, by species; a tap without a lot is of the first one."""
        species = {
            str(lot.get("code")): str(lot.get("species") or "chicken")
            for lot in self.request.get("lots", [])
        }
        first = next(iter(species.values()), "chicken")
        total = Counter[str]()
        for tally in self.done.tallies:
            if tally.station == "kill":
                total[species.get(tally.lot, first)] += tally.birds
        return total


@dataclass(frozen=True, slots=True)
class Source:
    """What was read."""

    home: FarmView
    zone: dt.tzinfo
    period: Period
    profile: Profile
    tier: Tier | None
    """None where the farm's tier is not one of these rules."""
    days: tuple[BinderDay, ...]
    """In the period, in order."""
    before: tuple[BinderDay, ...]
    """Earlier in the calendar year of the period's last day; counts alone."""
    ice_points: tuple[IcePoint, ...]
    """From two months before the period on, so that every reading finds its check."""
    entries: Mapping[str, tuple[Event, ...]]
    """Entries of the period that belong to no day, by kind, those taken back left out."""
    flock: Mapping[str, tuple[Event, ...]]
    """Every line about each lot, whenever it was written, those struck out left out."""
    lots: tuple[LotView, ...]
    instruments: tuple[InstrumentView, ...]
    journal: tuple[int, str]
    """Place and hash of the journal's newest entry."""

    @property
    def closed(self) -> tuple[BinderDay, ...]:
        """The sealed days."""
        return tuple(one for one in self.days if one.closed)

    def of_kind(self, kind: str) -> tuple[Event, ...]:
        """Return entries of one kind."""
        return self.entries.get(kind, ())


def read(period: Period) -> Source:
    """Read everything about a period; the number of questions does not grow with its days."""
    home = farm()
    zone = clock.zone(home.zone)
    seq = head()
    begin, end = period.moments(zone)
    year = Period(min(period.first, dt.date(period.last.year, 1, 1)), period.last)
    rows = list(
        models.Day.objects.filter(date__range=(year.first, year.last))
        .defer("plan")
        .order_by("date", "pk")
    )
    inside = [row for row in rows if period.holds(row.date)]
    earlier = [
        row for row in rows if not period.holds(row.date) and row.date.year == period.last.year
    ]
    events = _events_by_day(inside, kinds=None)
    counts = _events_by_day(earlier, kinds=("tally", "correction"))
    apart = _entries(begin - _CHECKS_BACK, end)
    profile = profile_of(home)
    return Source(
        home=home,
        zone=zone,
        period=period,
        profile=profile,
        tier=profile.tiers.get(home.tier),
        days=tuple(_day(row, events.get(row.pk, ())) for row in inside),
        before=tuple(_day(row, counts.get(row.pk, ())) for row in earlier),
        ice_points=_ice_points(apart.get("ice point", ())),
        entries={
            kind: tuple(one for one in found if begin <= one.at < end)
            for kind, found in apart.items()
        },
        flock=_flock(),
        lots=lots(),
        instruments=instruments(),
        journal=seq,
    )


def _day(row: models.Day, events: Sequence[Event]) -> BinderDay:
    until = row.sealed_seq or 0
    kept = [one for one in events if not until or one.seq <= until]
    return BinderDay(
        id=row.pk,
        date=row.date,
        status=row.status,
        request=row.request,
        record=row.record or {},
        seal=row.seal,
        sealed_at=row.sealed_at,
        sealed_seq=until,
        done=progress(kept),
        late=tuple(one for one in events if until and one.seq > until),
    )


_COLUMNS: Final = (
    "day_id", "seq", "client_id", "kind", "payload", "who", "device_time", "skew_s",
)  # fmt: skip


def _event(row: Sequence[Any]) -> Event:
    _day_id, seq, client_id, kind, payload, who, device_time, skew_s = row
    return Event(seq, client_id, kind, payload, who, device_time + dt.timedelta(seconds=skew_s))


def _events_by_day(
    days: Sequence[models.Day], *, kinds: Sequence[str] | None
) -> dict[int, list[Event]]:
    if not days:
        return {}
    found: dict[int, list[Event]] = {}
    rows = models.Entry.objects.filter(
        day__date__range=(days[0].date, days[-1].date), day_id__isnull=False
    ).order_by("seq")
    if kinds is not None:
        rows = rows.filter(kind__in=list(kinds))
    for row in rows.values_list(*_COLUMNS).iterator(chunk_size=5000):
        found.setdefault(row[0], []).append(_event(row))
    return found


def _entries(begin: dt.datetime, end: dt.datetime) -> dict[str, list[Event]]:
    """Read what belongs to a moment; whatever a later correction took back is left out."""
    rows = models.Entry.objects.filter(kind__in=_OF_NO_DAY, device_time__gte=begin).order_by("seq")
    events = [_event(row) for row in rows.values_list(*_COLUMNS).iterator(chunk_size=5000)]
    gone = {str(one.payload.get("of")) for one in events if one.kind == "correction"}
    found: dict[str, list[Event]] = {}
    for one in events:
        if one.client_id not in gone and one.kind != "correction" and one.at < end:
            found.setdefault(one.kind, []).append(one)
    sales = found.get("sale", [])
    buyers = personal.put_back(one.payload["buyer"] for one in sales)
    found["sale"] = [
        replace(one, payload={**one.payload, "buyer": buyer})
        for one, buyer in zip(sales, buyers, strict=True)
    ]
    return found


def _ice_points(events: Iterable[Event]) -> tuple[IcePoint, ...]:
    return tuple(
        IcePoint(
            one.client_id,
            str(one.payload["instrument"]),
            str(one.payload["written"]),
            float(one.payload["si"]),
            one.who,
            one.at,
        )
        for one in events
    )


def _flock() -> dict[str, tuple[Event, ...]]:
    rows = models.Entry.objects.filter(kind="flock").order_by("seq")
    events = [_event(row) for row in rows.values_list(*_COLUMNS).iterator(chunk_size=5000)]
    struck = {str(one.payload["of"]) for one in events if one.payload.get("event") == "struck"}
    found: dict[str, list[Event]] = {}
    for one in events:
        if one.client_id not in struck and one.payload.get("event") != "struck":
            found.setdefault(str(one.payload.get("lot")), []).append(one)
    return {
        code: tuple(sorted(lines, key=lambda one: (str(one.payload["on"]), one.seq)))
        for code, lines in found.items()
    }
