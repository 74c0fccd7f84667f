"""The flocks in a binder: where each lot came from, what it was given, and when it was clear."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from pinfeather.actions.binder.source import Source
from pinfeather.actions.farm import LotView
from pinfeather.actions.flock.events import KINDS
from pinfeather.actions.flock.told import domain_event, told
from pinfeather.day.events import Event
from pinfeather.flock.alerts import withdrawal_over_on
from pinfeather.flock.lot import Life
from pinfeather.reports.binder import Block, Leaf, Said, Section
from pinfeather.reports.table_sheet import SheetTable
from pinfeather.words import date_text
from pinfeather.words import gettext as _

_SOURCES = ("ordered", "arrived")
_HEALTH = ("signs", "cleared")
_SHORT = 200
"""A lot with no more lines than this fits on a page: few of them are printed."""


def lots_of(source: Source) -> tuple[LotView, ...]:
    """Return the lots that were processed, or written about, in the period; in order of hatch."""
    used = {code for day in source.days for code in day.lots}
    used |= {
        code
        for code, events in source.flock.items()
        if any(source.period.holds(_on(one)) for one in events)
    }
    found = [one for one in source.lots if one.code in used]
    return tuple(sorted(found, key=lambda one: (one.hatched or dt.date.min, one.code)))


def unknown_lots(source: Source) -> tuple[str, ...]:
    """Return codes of processed lots that nothing else is written about."""
    known = {one.code for one in source.lots}
    used = dict.fromkeys(code for day in source.days for code in day.lots)
    return tuple(code for code in used if code and code not in known)


def without_source(source: Source) -> tuple[str, ...]:
    """Return the processed lots for which no hatchery is written."""
    used = {code for day in source.days for code in day.lots}
    return tuple(
        one.code
        for one in lots_of(source)
        if one.code in used
        and not any(str(e.payload.get("hatchery", "")) for e in source.flock.get(one.code, ()))
    )


def flocks_section(source: Source) -> Section:
    """Return every lot of the period."""
    return Section(
        _("Flocks, their source and medicine"),
        _("Every lot processed, or written about, in this period."),
        (),
        tuple(_leaf(one, source) for one in lots_of(source)),
    )


def _on(event: Event) -> dt.date:
    return dt.date.fromisoformat(str(event.payload["on"]))


def _leaf(lot: LotView, source: Source) -> Leaf:
    events = source.flock.get(lot.code, ())
    about = [_(lot.species), lot.breed, lot.note]
    if lot.hatched:
        about.append(_("hatched {date}").format(date=date_text(lot.hatched)))
    processed = [date_text(day.date) for day in source.days if lot.code in day.lots]
    blocks: list[Block] = [
        Said("; ".join(filter(None, about))),
        SheetTable(
            _("Source"),
            (_("Date"), _("What"), _("Words"), _("Written by")),
            _rows(events, _SOURCES),
            ("auto", "auto", "1", "auto"),
            empty=_("Nothing is written about where they came from."),
        ),
        SheetTable(
            _("Medicine and withdrawal"),
            (_("From"), _("To"), _("Medicine"), _("By"), _("Withdrawal"), _("Clear from")),
            tuple(_medicine(one) for one in events if one.payload["event"] == "medicine"),
            ("auto", "auto", "2", "1", "auto", "auto"),
            (4,),
            empty=_("No medicine is on record."),
        ),
    ]
    health = _rows(events, _HEALTH)
    if health:
        blocks.append(
            SheetTable(
                _("Signs of sickness, and who cleared them"),
                (_("Date"), _("What"), _("Words"), _("Written by")),
                health,
                ("auto", "auto", "1", "auto"),
            )
        )
    if processed:
        blocks.append(Said(_("Processed on {days}.").format(days=", ".join(processed))))
    short = len(events) <= _SHORT
    return Leaf(_("Lot {code}").format(code=lot.code), tuple(blocks), together=short)


def _rows(events: Sequence[Event], kinds: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (date_text(_on(one)), _(KINDS[one.payload["event"]]), told(one.payload), one.who)
        for one in events
        if one.payload["event"] in kinds
    )


def _medicine(event: Event) -> tuple[str, ...]:
    kept = event.payload
    return (
        date_text(_on(event)),
        date_text(dt.date.fromisoformat(str(kept["last_on"]))),
        str(kept["medicine"]),
        str(kept.get("by", "")),
        _("{n} days").format(n=kept["withdrawal_d"]),
        date_text(_clear_from(event)),
    )


def _clear_from(event: Event) -> dt.date:
    """Return the first day on which birds given this medicine may be slaughtered."""
    given = domain_event(event.payload)
    found = None if given is None else withdrawal_over_on(Life("", _on(event), (given,)))
    return found or _on(event)


def too_early(source: Source) -> tuple[tuple[str, dt.date, dt.date], ...]:
    """Return lots slaughtered before their withdrawal was over: lot, day, and first clear day."""
    return tuple(
        (code, day.date, _clear_from(one))
        for day in source.days
        for code in day.lots
        for one in source.flock.get(code, ())
        if one.payload["event"] == "medicine"
        and _on(one) <= day.date < _clear_from(one)
        and day.slaughtered()
    )
