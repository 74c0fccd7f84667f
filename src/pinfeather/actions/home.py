"""The first page: what is due today, what needs a decision, what is at risk."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather import clock
from pinfeather.actions import phones, safe
from pinfeather.actions.day import days
from pinfeather.actions.duties import view as duties
from pinfeather.actions.farm import FarmView, farm
from pinfeather.actions.flock import view as flock_view
from pinfeather.actions.rules import watch
from pinfeather.actions.season import season
from pinfeather.actions.stock import freezer, orders
from pinfeather.finding import Finding, Severity
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

_SOON: Final = dt.timedelta(days=1)
_WEEK: Final = dt.timedelta(days=7)


@dataclass(frozen=True, slots=True)
class HomeLine:
    """One thing, with the page on which it is dealt with.

    Parameters
    ----------
    words : str
        What it is.
    detail : str
        A few words more; may be empty.
    page, args
        Name of the page and what goes into its address.
    on : date or None
        When it is due.
    late : bool
        Whether that is past, or whether something must be done about it now.
    """

    words: str
    detail: str
    page: str
    args: tuple[str | int, ...] = ()
    on: dt.date | None = None
    late: bool = False


@dataclass(frozen=True, slots=True)
class Home:
    """Three short lists, each in the order in which to look at it."""

    due: tuple[HomeLine, ...]
    decide: tuple[HomeLine, ...]
    risk: tuple[HomeLine, ...]


def home(*, now: dt.datetime, farm_computer: bool = True) -> Home:
    """Return what the first page says, besides a day that is under way.

    Parameters
    ----------
    now : datetime
        Aware.
    farm_computer : bool
        Whether the page is looked at where phones are let in.
    """
    here = farm()
    today = now.astimezone(clock.zone(here.zone)).date()
    lots = [one for one in flock_view.lots_now() if one.stage != "finished"]
    planned = [one for one in days.open_days() if one.status == "planned"]
    ahead = sorted(
        (one for one in planned if one.date >= today), key=lambda one: (one.date, one.id)
    )
    next_day = ahead[0] if ahead else None
    coming = orders.orders(until=today + _WEEK)
    due = (
        *_day_due(next_day),
        *_lots_due(lots),
        *_pickups(coming, today),
        *_duties(),
        *_season(today),
    )
    decide = (
        *_never_begun(planned, today),
        *_lots_ready(lots),
        *_lacking(coming),
        *(_phones(now) if farm_computer else ()),
    )
    risk = (
        *_plan_findings(next_day),
        *_lot_findings(lots),
        *_exemption(here, today),
        *_freezers(now),
        *_records(now),
    )
    first = dt.date.min
    return Home(
        tuple(sorted(due, key=lambda line: line.on or first)),
        decide,
        tuple(sorted(risk, key=lambda line: not line.late)),
    )


def _day_due(next_day: days.DayLine | None) -> Iterator[HomeLine]:
    if next_day is not None:
        n = next_day.birds
        birds = ngettext("Process {n} bird", "Process {n} birds", n).format(n=n)
        yield HomeLine(birds, "", "day", (next_day.id,), next_day.date)


def _never_begun(planned: list[days.DayLine], today: dt.date) -> Iterator[HomeLine]:
    for line in planned:
        if line.date < today:
            words = ngettext("{n} bird planned, never begun", "{n} birds planned, never begun",
                             line.birds).format(n=line.birds)  # fmt: skip
            yield HomeLine(words, "", "day", (line.id,), line.date, late=True)


def _plan_findings(next_day: days.DayLine | None) -> Iterator[HomeLine]:
    if next_day is not None:
        found = days.day(next_day.id).plan.findings
        yield from _worst(found, "day", (next_day.id,), most=2)


def _worst(
    found: tuple[Finding, ...],
    page: str,
    args: tuple[str | int, ...],
    *,
    most: int,
    about: str = "",
) -> Iterator[HomeLine]:
    grave = [one for one in found if one.severity > Severity.NOTE]
    for one in sorted(grave, key=lambda one: -one.severity)[:most]:
        told = not about or one.sentence.startswith(about)
        words = one.sentence if told else f"{about}: {one.sentence}"
        yield HomeLine(words, "", page, args, late=one.severity is Severity.STOP)


def _lots_due(lots: list[flock_view.LotNow]) -> Iterator[HomeLine]:
    for one in lots:
        told = {finding.sentence for finding in one.findings} | {_("Plan a processing day.")}
        for words in one.todo:
            if words not in told:
                yield HomeLine(f"{one.row.code}: {words}", "", "lot", (one.row.code,))


def _lots_ready(lots: list[flock_view.LotNow]) -> Iterator[HomeLine]:
    for one in lots:
        if _("Plan a processing day.") in one.todo:
            words = _("{lot}: plan a processing day").format(lot=one.row.code)
            yield HomeLine(words, "", "lot", (one.row.code,), one.target_on)


def _lot_findings(lots: list[flock_view.LotNow]) -> Iterator[HomeLine]:
    for one in lots:
        yield from _worst(one.findings, "lot", (one.row.code,), most=1, about=one.row.code)


def _pickups(coming: Sequence[orders.OrderView], today: dt.date) -> Iterator[HomeLine]:
    for one in coming:
        if one.pickup_on > today + _SOON:
            continue
        n, name = len(one.wishes), one.customer.name
        words = ngettext("{name} comes for {n} bird", "{name} comes for {n} birds", n)
        words = words.format(name=name, n=n)
        late = one.pickup_on < today
        yield HomeLine(words, one.window, "order", (one.id,), one.pickup_on, late=late)


def _lacking(coming: Sequence[orders.OrderView]) -> Iterator[HomeLine]:
    for one in coming:
        if one.lacks:
            one_bird = _("{name}: one bird without a package")
            more = _("{name}: {n} birds without a package")
            words = (one_bird if one.lacks == 1 else more).format(
                name=one.customer.name, n=one.lacks
            )
            yield HomeLine(words, "", "order", (one.id,), one.pickup_on)


def _duties() -> Iterator[HomeLine]:
    for one in duties.pressing():
        late = one.state == "overdue"
        if one.to_mark:
            yield HomeLine(one.title, one.left, "duty", (one.code,), one.due_on, late=late)
        else:
            yield HomeLine(one.title, one.left, "duties", (), one.due_on, late=late)


def _season(today: dt.date) -> Iterator[HomeLine]:
    task = season.next_task(today)
    if task is not None and task.row.on <= today + _WEEK:
        yield HomeLine(task.row.title, task.row.detail, "season", (), task.row.on,
                       late=task.days < 0)  # fmt: skip


def _phones(now: dt.datetime) -> Iterator[HomeLine]:
    waiting = phones.waiting(now=now)
    if waiting:
        words = ngettext("A phone asks to be let in", "{n} phones ask to be let in", len(waiting))
        yield HomeLine(words.format(n=len(waiting)), "", "phones")


def _exemption(here: FarmView, today: dt.date) -> Iterator[HomeLine]:
    if here.ready:
        yield from _worst(tuple(watch.now_findings(here, today)), "rules", (), most=3)


def _freezers(now: dt.datetime) -> Iterator[HomeLine]:
    found = freezer.cold_findings(freezer.temperatures(now=now), now=now)
    yield from _worst(found, "temperatures", (), most=2)


def _records(now: dt.datetime) -> Iterator[HomeLine]:
    found = safe.look()
    verdict = found.verdict(now)
    words = {
        "damaged": found.trouble,
        "behind": _("A closed day is in no backup yet."),
        "old": _("The newest backup is old."),
    }.get(verdict)
    if words:
        yield HomeLine(words, "", "safe", late=verdict == "damaged")
