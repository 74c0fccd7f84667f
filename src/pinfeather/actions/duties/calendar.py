"""Duties as a calendar file: each on its date, with the reminders before it."""

from __future__ import annotations

import datetime as dt
from typing import Final

from pinfeather import clock
from pinfeather.actions.duties import view
from pinfeather.actions.farm import farm
from pinfeather.reports.calendar import CalendarItem, calendar_ics
from pinfeather.words import gettext as _

_MORNING: Final = dt.time(7, 0)
_MINUTES_A_DAY: Final = 24 * 60


def duties_ics(*, stamp: dt.datetime) -> bytes:
    """Return every duty that has a date as a calendar file; what is overdue stands on its date."""
    home = farm()
    zone = clock.zone(home.zone)
    items = []
    for one in view.duties():
        if one.due_on is None:
            continue
        basis = one.standing.duty.interval.basis
        items.append(
            CalendarItem(
                key=f"duty {one.code} {one.due_on.isoformat()}",
                start=dt.datetime.combine(one.due_on, _MORNING, tzinfo=zone),
                title=one.title,
                detail=" ".join(filter(None, (one.standing.duty.advice, f"({basis.note})"))),
                place=home.name,
                remind_min=tuple(
                    sorted({0, one.standing.duty.notice_d * _MINUTES_A_DAY}, reverse=True)
                ),
            )
        )
    return calendar_ics(items, name=_("{farm}: duties").format(farm=home.name), stamp=stamp)
