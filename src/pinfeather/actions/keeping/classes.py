"""The kinds of records the farm keeps: how many, how old, and until when."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Final

from django.db.models import Count, Max, Min

from pinfeather import clock
from pinfeather.actions.farm import FarmView, farm
from pinfeather.errors import InputError
from pinfeather.records import guards, models
from pinfeather.rules.model import Profile
from pinfeather.rules.profile import load
from pinfeather.rules.retention import KeepRow, keep_row
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

_ENTRIES: Final[tuple[tuple[str, str, tuple[str, ...]], ...]] = (
    ("sales", gettext_noop("Sales and what came back"), ("sale", "refund", "deposit")),
    (
        "temperatures",
        gettext_noop("Temperatures and checks"),
        ("reading", "ice point", "storage reading", "scale check"),
    ),
    ("flocks", gettext_noop("Flocks"), ("flock",)),
    ("money", gettext_noop("Money in and out"), ("money",)),
    ("duties", gettext_noop("Duties done"), ("duty",)),
)
"""Kinds of journal lines, by kind of record."""


def kept_rows() -> tuple[KeepRow, ...]:
    """Return every kind of record with its count, its age, and until when it is kept."""
    home = farm()
    profile, until = profile_of(home), permit_until()
    zone = clock.zone(home.zone)
    found: list[tuple[str, str, int, dt.date | None, dt.date | None]] = []
    days = models.Day.objects.exclude(status="planned").aggregate(
        n=Count("pk"), first=Min("date"), last=Max("date")
    )
    found.append(
        ("days", _("Processing days"), days["n"], days["first"],
         days["last"])
    )  # fmt: skip
    for code, title, kinds in _ENTRIES:
        rows = models.Entry.objects.filter(kind__in=kinds).aggregate(
            n=Count("pk"), first=Min("device_time"), last=Max("device_time")
        )
        found.append((code, _(title), rows["n"], *_dates(rows["first"], rows["last"], zone)))
    for code, title, model in (
        ("loggers", _("Logger files"), models.LoggerFile),
        ("proofs", _("Photos and papers"), models.Proof),
    ):
        rows = model._base_manager.aggregate(
            n=Count("pk"), first=Min("received_at"), last=Max("received_at")
        )
        found.append((code, title, rows["n"], *_dates(rows["first"], rows["last"], zone)))
    return tuple(
        keep_row(
            profile, code, title, tier_code=home.tier, count=count, oldest_on=first,
            newest_on=last, permit_until=until,
        )
        for code, title, count, first, last in found
    )  # fmt: skip


def _dates(
    first: dt.datetime | None, last: dt.datetime | None, zone: dt.tzinfo
) -> Sequence[dt.date | None]:
    return [None if at is None else at.astimezone(zone).date() for at in (first, last)]


def profile_of(home: FarmView) -> Profile:
    """Return the rules the farm works under; the federal ones where its own cannot be read."""
    try:
        return load(home.profile)
    except InputError:
        return load("us-federal")


def permit_until() -> dt.date | None:
    """Return the last day of the newest permit, as written when it came."""
    lines = models.Entry.objects.filter(kind="duty", payload__duty="licence", payload__act="done")
    ends = [text for text in lines.values_list("payload__until", flat=True) if text]
    return max(map(dt.date.fromisoformat, ends), default=None)


def guarded() -> bool:
    """Tell whether the database itself refuses to change or delete what is on record."""
    return not guards.missing()
