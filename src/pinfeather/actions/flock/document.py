"""A lot on paper and in the calendar."""

from __future__ import annotations

import datetime as dt

from pinfeather import clock
from pinfeather.actions.farm import farm
from pinfeather.actions.flock.books import LotEntry
from pinfeather.actions.flock.events import CAUSES
from pinfeather.actions.flock.pictures import growth_picture
from pinfeather.actions.flock.view import LotDetail, LotNow, detail, lot_now
from pinfeather.flock.alerts import stop_text
from pinfeather.flock.balance import heads_on
from pinfeather.flock.lot import FeedDelivered, Medicated, Weighed, losses_by_cause
from pinfeather.quantity import show
from pinfeather.reports.calendar import CalendarItem, calendar_ics
from pinfeather.reports.growth_curve import MassUnit
from pinfeather.reports.lot_sheet import (
    LotSheet,
    SheetLine,
    SheetRow,
    barn_card_pdf,
    lot_sheet_pdf,
)
from pinfeather.reports.sheet_parts import Answer
from pinfeather.reports.typeset import Paper
from pinfeather.units import from_si
from pinfeather.words import date_text, gettext_noop, ngettext
from pinfeather.words import gettext as _

_SPECIES = {
    "chicken": gettext_noop("Chicken"),
    "turkey": gettext_noop("Turkey"),
    "duck": gettext_noop("Duck"),
    "goose": gettext_noop("Goose"),
}
_MORNING = dt.time(7, 0)
_SHORT_KG = 10.0


def _unit() -> MassUnit:
    return "kg" if farm().units == "metric" else "lb"


def _paper() -> Paper:
    return "a4" if farm().units == "metric" else "us-letter"


def _kg(value: float) -> str:
    decimals = 2 if value < _SHORT_KG else 0
    return show(value, _unit(), "mass", decimals=decimals)


def _band(low_kg: float, high_kg: float) -> str:
    low, high = (f"{from_si(x, _unit(), 'mass'):.1f}" for x in (low_kg, high_kg))
    return f"{low}–{high}\u202f{_unit()}"


def lot_pdf(code: str, *, printed_at: dt.datetime) -> bytes:
    """Return a lot's sheet.

    Raises
    ------
    RecordNotFoundError
        If there is no such lot.
    """
    home, found = farm(), detail(code)
    return lot_sheet_pdf(
        lot_sheet(found),
        farm=home.name,
        demo=home.demo,
        printed_at=printed_at.astimezone(clock.zone(home.zone)),
        paper=_paper(),
        unit=_unit(),
    )


def lot_sheet(found: LotDetail) -> LotSheet:
    """Put a lot into what its sheet says."""
    now = found.now
    entries = now.book.entries
    return LotSheet(
        title=_("Lot {code}").format(code=now.row.code),
        subtitle=_subtitle(now),
        answers=_answers(found),
        findings=now.findings,
        balance=_balance(now),
        book=tuple(_line(one, now) for one in entries if one.of_heads),
        life=tuple(_line(one, now) for one in entries if not one.of_heads),
        losses=tuple(
            SheetRow(_(CAUSES[cause.value]), str(heads))
            for cause, heads in losses_by_cause(now.book.life.events).items()
        ),
        weights=_weights(now),
        feed=_feed(found),
        medicine=_medicine(now),
        growth=growth_picture(now),
    )


def _subtitle(now: LotNow) -> str:
    row = now.row
    parts = [_(_SPECIES.get(row.species, row.species)), row.breed, row.outlet]
    if row.hatched:
        parts.append(_("hatched {day}").format(day=date_text(row.hatched)))
    if now.age_d is not None and now.stage == "standing":
        parts.append(ngettext("{n} day old", "{n} days old", now.age_d).format(n=now.age_d))
    return ", ".join(part for part in parts if part)


def _answers(found: LotDetail) -> tuple[Answer, ...]:
    now, rows = found.now, []
    gone = now.stage == "finished"
    rows.append(
        Answer(
            _("Processed") if gone else _("Birds now"),
            str(now.balance.processed if gone else now.heads),
            "",
            _("of {n} that came alive").format(n=now.balance.arrived),
        )
    )
    if now.outlook is not None:
        number, _space, unit = _kg(now.outlook.live_kg.value).partition("\u202f")
        band = _band(now.outlook.live_kg.low, now.outlook.live_kg.high)
        rows.append(Answer(_("Alive today"), number, unit, _("8 in 10: {band}").format(band=band)))
    ahead = found.looks[-1] if found.looks else None
    if ahead is not None and ahead.dressed_kg is not None:
        number, _space, unit = _kg(ahead.dressed_kg.value).partition("\u202f")
        label = _("Dressed {day}").format(day=date_text(ahead.on, year=False))
        band = _band(ahead.dressed_kg.low, ahead.dressed_kg.high)
        rows.append(Answer(label, number, unit, _("8 in 10: {band}").format(band=band)))
    if found.feed is not None and found.feed.per_gain is not None:
        eaten = _("{kg} eaten").format(kg=_kg(found.feed.eaten_kg))
        rows.append(Answer(_("Feed over growth"), f"{found.feed.per_gain:.2f}", "", eaten))
    return tuple(rows)


def _balance(now: LotNow) -> str:
    b = now.balance
    parts = [_("{n} there now").format(n=b.heads), _("{n} lost").format(n=b.lost)]
    parts += [
        words.format(n=number)
        for words, number in (
            (_("{n} processed"), b.processed),
            (_("{n} sold alive"), b.sold),
            (_("{n} not explained"), b.unexplained),
        )
        if number
    ]
    return _("{n} came alive = {rest}").format(n=b.arrived, rest=" + ".join(parts))


def _line(one: LotEntry, now: LotNow) -> SheetLine:
    heads = str(heads_on(now.balance, one.on)) if one.of_heads and not one.struck else ""
    on = date_text(one.on, year=False)
    return SheetLine(on, one.title, one.words, one.who, one.struck, heads)


def _weights(now: LotNow) -> tuple[SheetRow, ...]:
    rows = []
    for event in now.book.life.events:
        if isinstance(event, Weighed):
            age = (event.on - now.book.life.hatched_on).days
            each = [w / event.birds_each for w in event.weights_kg]
            mean = sum(each) / len(each)
            note = ngettext("{n} bird", "{n} birds", len(each) * event.birds_each).format(
                n=len(each) * event.birds_each
            )
            if event.birds_each == 1 and len(each) > 1:
                note += _(", {low} to {high}").format(low=_kg(min(each)), high=_kg(max(each)))
            day = _("{day}, {age} days").format(day=date_text(event.on, year=False), age=age)
            rows.append((event.on, SheetRow(day, _kg(mean), note)))
    return tuple(row for _on, row in sorted(rows, key=lambda pair: pair[0]))


def _feed(found: LotDetail) -> tuple[SheetRow, ...]:
    rows = []
    by_name: dict[str, float] = {}
    for event in found.now.book.life.events:
        if isinstance(event, FeedDelivered):
            name = event.feed or _("Feed")
            by_name[name] = by_name.get(name, 0.0) + event.mass_kg
    rows += [SheetRow(name, _kg(kg), _("put in")) for name, kg in by_name.items()]
    if found.feed is not None:
        note = _("by {day}").format(day=date_text(found.feed.on, year=False))
        rows.append(SheetRow(_("Eaten"), _kg(found.feed.eaten_kg), note))
    if found.feed_to_come is not None and found.now.target_on:
        total = found.feed_to_come.total
        note = _("until {day}, between {band}").format(
            day=date_text(found.now.target_on, year=False), band=_band(total.low, total.high)
        )
        rows.append(SheetRow(_("Still needed"), _kg(total.value), note))
    return tuple(rows)


def _medicine(now: LotNow) -> tuple[SheetRow, ...]:
    rows = []
    for event in now.book.life.events:
        if isinstance(event, Medicated):
            given = _("{first} to {last}").format(
                first=date_text(event.on, year=False), last=date_text(event.last_on, year=False)
            )
            days = ngettext(
                "{n} day of withdrawal", "{n} days of withdrawal", event.withdrawal_d
            ).format(n=event.withdrawal_d)
            rows.append(SheetRow(event.medicine, given, days))
    if now.withdrawal_on:
        note = _("first day they may be slaughtered")
        day = date_text(now.withdrawal_on, year=False)
        rows.append(SheetRow(_("Not before"), day, note))
    return tuple(rows)


def card_pdf(code: str, *, printed_at: dt.datetime) -> bytes:
    """Return an empty barn card for a lot.

    Raises
    ------
    RecordNotFoundError
        If there is no such lot.
    """
    home, now = farm(), lot_now(code)
    facts = [SheetRow(_("Birds"), str(now.heads), date_text(now.today, year=False))]
    facts += [SheetRow(_("Pen"), pen, str(heads)) for pen, heads in now.pens[:2] if pen]
    if now.target_on:
        facts.append(
            SheetRow(_("Processing"), date_text(now.target_on, year=False), now.target_basis)
        )
    if now.withdrawal_on and now.withdrawal_on > now.today:
        day = date_text(now.withdrawal_on, year=False)
        facts.append(SheetRow(_("Not before"), day, _("medicine")))
    return barn_card_pdf(
        _("Lot {code}").format(code=code),
        _subtitle(now),
        facts=facts,
        causes=[_(words) for words in CAUSES.values()],
        stop=stop_text(),
        farm=home.name,
        demo=home.demo,
        printed_at=printed_at.astimezone(clock.zone(home.zone)),
        paper=_paper(),
    )


def lot_ics(code: str, *, stamp: dt.datetime) -> bytes:
    """Return a lot's dates for a calendar.

    Raises
    ------
    RecordNotFoundError
        If there is no such lot.
    """
    found = detail(code)
    now, here = found.now, clock.zone(farm().zone)
    dates: list[tuple[str, dt.date | None, str]] = []
    orders = now.book.kept("ordered")
    if orders and now.stage == "ordered":
        here_on = dt.date.fromisoformat(orders[-1].kept["arrive_on"])
        dates.append(("warm", here_on - dt.timedelta(days=1), _("Warm the brooder")))
        dates.append(("arrive", here_on, _("Chicks come")))
    dates.append(("brooder", found.room.brooder_out_on, _("Out of the brooder")))
    dates.append(("brooder-free", found.room.brooder_free_on, _("Brooder clean and free")))
    for number, on in enumerate(_weigh_days(now)):
        dates.append((f"weigh-{number}", on, _("Weigh birds")))
    dates.append(("withdrawal", now.withdrawal_on, _("Withdrawal is over; may be slaughtered")))
    if now.target_on and now.stage != "finished":
        title = _("Processing") if now.planned else _("Processing, not planned yet")
        dates.append(("processing", now.target_on, title))
    items = [
        CalendarItem(
            key=f"lot {code}/{key}",
            start=dt.datetime.combine(on, _MORNING, tzinfo=here),
            title=_("{lot}: {what}").format(lot=code, what=what),
            minutes=30,
        )
        for key, on, what in dates
        if on is not None and on >= now.today
    ]
    return calendar_ics(items, name=_("Lot {code}").format(code=code), stamp=stamp)


def _weigh_days(now: LotNow) -> list[dt.date]:
    """Return days to weigh on: at three weeks, then every fortnight, last a week before the end."""
    if now.target_on is None or now.stage == "finished" or now.seen is None:
        return []
    hatched = now.book.life.hatched_on
    last = now.target_on - dt.timedelta(days=7)
    days = []
    on = hatched + dt.timedelta(days=21)
    while on < last - dt.timedelta(days=6):
        days.append(on)
        on += dt.timedelta(days=14)
    return [day for day in (*days, last) if day >= now.today]
