"""Processing days: planning them, finding them, and what is due on them."""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

from cattrs.preconf.json import make_converter
from django.db.models import QuerySet

from pinfeather import clock
from pinfeather.actions.day.running import day_progress
from pinfeather.actions.farm import FarmView, farm, people
from pinfeather.actions.lists import past_days
from pinfeather.day.luck import CHANGE_DAYS, DAYS
from pinfeather.day.plan import DayPlan
from pinfeather.day.planner import plan_day
from pinfeather.day.request import DayRequest, request_from
from pinfeather.errors import RecordConflictError, RecordNotFoundError
from pinfeather.records import journal, models
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _

_CONVERTER: Final = make_converter()
_FIRST_EQUIPMENT: Final[Mapping[str, Any]] = {
    "cones": "4",
    "scald_places": "2",
    "drum_birds": "2",
    "drum_cycle": "30 s",
    "draw_places": "2",
    "scalder": "30 gal",
    "burner": "50000 Btu/h",
    "tap": "58 F",
    "ice": "200 lb",
    "refrigerator": "18 ft3",
    "freezer": "20 ft3",
    "tanks": [{"name": "Tank 1", "volume": "60 gal", "bath": "still", "walls": "bare"}],
}
_FIRST_SANITISER: Final = {"bleach": "8.25 %", "target": "100 ppm", "volume": "5 gal"}


@dataclass(frozen=True, slots=True)
class DayView:
    """A day as pages and documents see it."""

    id: int
    date: dt.date
    status: str
    version: int
    mapping: Mapping[str, Any]
    request: DayRequest
    plan: DayPlan
    start: dt.datetime
    zone: str
    seal: str
    sealed_at: dt.datetime | None
    sealed_seq: int | None
    record: Mapping[str, Any] | None

    def moment(self, after_s: float) -> dt.datetime:
        """Turn seconds from the first bird into a moment on the farm's clock."""
        moment = self.start.astimezone(dt.UTC) + dt.timedelta(seconds=after_s)
        return moment.astimezone(self.start.tzinfo)


@dataclass(frozen=True, slots=True)
class DayLine:
    """A day in a list."""

    id: int
    date: dt.date
    status: str
    birds: int
    lots: str
    people: int


@lru_cache(maxsize=64)
def _plan(text: str) -> DayPlan:
    return _CONVERTER.loads(text, DayPlan)


def days(*, first: int = 0, limit: int = 200) -> tuple[DayLine, ...]:
    """Return the days on record, newest first."""
    return _lines(models.Day.objects.all(), first=first, limit=limit)


def open_days() -> tuple[DayLine, ...]:
    """Return the days that are not closed yet, newest first."""
    return _lines(models.Day.objects.exclude(status=models.Day.Status.CLOSED))


def last_closed() -> DayLine | None:
    """Return the newest closed day."""
    closed = models.Day.objects.filter(status=models.Day.Status.CLOSED)
    return next(iter(_lines(closed, limit=1)), None)


def _lines(found: QuerySet[models.Day], *, first: int = 0, limit: int = 200) -> tuple[DayLine, ...]:
    """Return days for a list; the plans, which are long, stay where they are."""
    keys = list(found.values_list("pk", flat=True)[first : first + limit])
    rows = models.Day.objects.filter(pk__in=keys).only("date", "status", "request")
    return tuple(_line(row) for row in rows)


def _birds(asked: Mapping[str, Any]) -> int:
    """Count the birds that were asked for, as the plan does."""
    return sum(birds_of_lot(lot) for lot in asked.get("lots", []))


def birds_of_lot(lot: Mapping[str, Any]) -> int:
    """Count the birds of one lot as it was asked for."""
    weights = lot.get("weights")
    if isinstance(weights, str):
        weights = [one for one in re.split(r"[;\n]", weights) if one.strip()]
    return len(weights) if weights else int(lot.get("count") or 0)


def _line(row: models.Day) -> DayLine:
    asked = row.request
    return DayLine(
        id=row.pk,
        date=row.date,
        status=row.status,
        birds=_birds(asked),
        lots=", ".join(str(lot.get("code", "")) for lot in asked.get("lots", [])),
        people=len(asked.get("people", [])),
    )


def day(day_id: int) -> DayView:
    """Return one day with its plan.

    Raises
    ------
    RecordNotFoundError
        If there is no such day.
    """
    row = models.Day.objects.filter(pk=day_id).first()
    if row is None:
        raise RecordNotFoundError(_("There is no such day."))
    request = request_from(row.request)
    zone = farm().zone
    plan = _plan(row.plan)
    if row.status == models.Day.Status.PLANNED:  # a lot's life goes on after the plan was made
        from pinfeather.actions.flock.plan import with_lot_findings

        plan = with_lot_findings(plan, request)
    return DayView(
        id=row.pk,
        date=row.date,
        status=row.status,
        version=row.version,
        mapping=row.request,
        request=request,
        plan=plan,
        start=dt.datetime.combine(request.date, request.start, tzinfo=clock.zone(zone)),
        zone=zone,
        seal=row.seal,
        sealed_at=row.sealed_at,
        sealed_seq=row.sealed_seq,
        record=row.record,
    )


def save_plan(
    mapping: Mapping[str, Any],
    *,
    day_id: int | None = None,
    version: int | None = None,
    days: int = DAYS,
    change_days: int = CHANGE_DAYS,
) -> int:
    """Work out a plan and save it; return the day's number.

    Raises
    ------
    InputFaultsError
        With every fault in what was asked.
    RecordConflictError
        If somebody else changed the day meanwhile, or it is closed.
    RecordNotFoundError
        If there is no such day.
    """
    home = farm()
    full = {**mapping, "profile": home.profile, "tier": home.tier}
    request = request_from(full)
    full["counted"] = counted_before(request.date, skip=day_id)
    request = request_from(full)
    metric = home.units == "metric"
    from pinfeather.actions.day.chill_numbers import own_chill_numbers
    from pinfeather.actions.flock.plan import with_lot_findings
    from pinfeather.actions.line.numbers import learned_speeds, learned_times

    plan = plan_day(
        request,
        days=days,
        change_days=change_days,
        times=learned_times(request, skip=day_id),
        quicker=learned_speeds(request, skip=day_id),
        chill_numbers=own_chill_numbers(before=request.date),
        mass_unit="kg" if metric else "lb",
        temp_unit="C" if metric else "F",
    )
    plan = with_lot_findings(plan, request)
    with writing():
        if day_id is None:
            row = models.Day(date=request.date)
        else:
            found = models.Day.objects.filter(pk=day_id).first()
            if found is None:
                raise RecordNotFoundError(_("There is no such day."))
            row = found
            if row.seal:
                raise RecordConflictError(_("This day is closed; its plan stays as it was."))
            if version is not None and row.version != version:
                raise RecordConflictError(
                    _("Somebody else changed this plan meanwhile. Open it again to see how.")
                )
            row.version += 1
        row.date = request.date
        row.request = _plain(full)
        row.plan = _CONVERTER.dumps(plan)
        row.save()
    return row.pk


def _plain(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    if isinstance(value, Mapping):
        return {name: _plain(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    return value


def counted_before(date: dt.date, *, skip: int | None = None) -> dict[str, int]:
    """Count head slaughtered this calendar year on other days up to a date, by species."""
    total = past_days.counted(date)
    year = models.Day.objects.filter(date__year=date.year, date__lte=date).exclude(pk=skip or 0)
    begun = year.exclude(status=models.Day.Status.PLANNED).only("request")
    for row in begun:
        kinds = tuple(
            (str(lot.get("code")), str(lot.get("species") or "chicken"))
            for lot in row.request.get("lots", [])
        )
        total.update(_killed(row.pk, journal.last_hash(row.pk), kinds))
    return dict(total)


@lru_cache(maxsize=512)
def _killed(
    day_id: int,
    newest: str,  # noqa: ARG001 - the hash of a day's newest entry names all before it
    kinds: tuple[tuple[str, str], ...],
) -> Counter[str]:
    """Count a day's birds by kind, once for each state of its journal."""
    species = dict(kinds)
    first = next(iter(species.values()), "chicken")
    killed = Counter[str]()
    for tally in day_progress(day_id).tallies:
        if tally.station == "kill":
            killed[species.get(tally.lot, first)] += tally.birds
    return killed


def draft(date: dt.date) -> dict[str, Any]:
    """Return a first form for a new day: the last day's equipment, today's people and lots."""
    home = farm()
    last = models.Day.objects.values_list("pk", flat=True)[:1]  # sorting whole plans is slow
    before = models.Day.objects.only("request").get(pk=last[0]).request if last else {}
    crew = before.get("people") or [
        {
            "name": person.name,
            "from": "08:30",
            "to": "15:00",
            "stations": list(person.stations),
            "pace": f"{person.pace:g}",
        }
        for person in people()
    ]
    from pinfeather.actions.flock.plan import first_offer

    lot: dict[str, Any] = {"species": "chicken", "build": "broad", "count": "", "spread": "0.5 lb"}
    offered = first_offer(date)
    if offered:
        lot |= offered.row
    return {
        "date": date.isoformat(),
        "start": before.get("start", "09:00"),
        "deadline": before.get("deadline", ""),
        "deadline_reason": before.get("deadline_reason", ""),
        "air": before.get("air", "68 F"),
        "altitude": before.get("altitude") or home.altitude,
        "lots": [lot],
        "people": crew or [{"from": "08:30", "to": "15:00", "pace": "1", "stations": []}],
        "equipment": before.get("equipment") or dict(_FIRST_EQUIPMENT),
        "sanitiser": before.get("sanitiser") or dict(_FIRST_SANITISER),
    }


def farm_today() -> tuple[FarmView, dt.date]:
    """Return the farm and the date on its wall calendar."""
    home = farm()
    return home, clock.today(home.zone)
