"""Dates that rules set: applications, water tests, how long to keep papers."""

from __future__ import annotations

import calendar
import datetime as dt
from dataclasses import dataclass

from pinfeather.errors import InputError
from pinfeather.rules.count import tier_of
from pinfeather.rules.limit import Limit
from pinfeather.rules.model import Profile
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class Deadline:
    """A date and the rule behind it.

    Parameters
    ----------
    date : datetime.date
        Last day.
    what : str
        What is due, in words.
    citation, status : str
        Source.
    """

    date: dt.date
    what: str
    citation: str
    status: str


def licence_deadlines(
    profile: Profile, tier_code: str, slaughter_on: dt.date
) -> tuple[Deadline, ...]:
    """List what must be done before a slaughter date.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    tier_code : str
        The farm's tier.
    slaughter_on : datetime.date
        Planned day.

    Returns
    -------
    tuple of Deadline
        Earliest first; empty where the tier needs no licence.

    Raises
    ------
    InputError
        If the tier is not open under these rules.

    References
    ----------
    The licence of the profile (Washington: WAC 16-170-035).
    """
    licence = tier_of(profile, tier_code).licence
    if licence is None:
        return ()
    found = []
    for limit, what in (
        (licence.lead_time, _("Send in the application.")),
        (licence.change_notice, _("Tell a change of the slaughter date.")),
    ):
        if limit is not None:
            date = slaughter_on - dt.timedelta(seconds=limit.si)
            found.append(Deadline(date, what, limit.citation, limit.status))
    return tuple(sorted(found, key=lambda d: d.date))


def water_test_due(profile: Profile, tested_on: dt.date) -> Deadline:
    """Say when the next test of a private well is due.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    tested_on : datetime.date
        Day of the last passing test.

    Returns
    -------
    Deadline
        Last day the old test is good for.

    References
    ----------
    9 CFR 416.2(g)(1).
    """
    limit = profile.sanitation.well_test_months
    return Deadline(
        add_months(tested_on, int(limit.value)),
        _("Have the well water tested."),
        limit.citation,
        limit.status,
    )


def keep_until(
    profile: Profile, made_on: dt.date, *, permit_ends: dt.date | None = None
) -> Deadline:
    """Say how long a record is kept.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    made_on : datetime.date
        Day of the record.
    permit_ends : datetime.date or None
        Last day of the permit; needed where the rule counts from it.

    Returns
    -------
    Deadline
        Last day to keep it.

    Raises
    ------
    InputError
        If the rule counts from the permit and none is given.

    References
    ----------
    9 CFR 381.177 and 21 U.S.C. 460(b), or the state's rule in the profile.
    """
    rules = profile.records
    start = made_on
    if rules.clock == "year end":
        start = dt.date(made_on.year, 12, 31)
    elif rules.clock == "permit end":
        if permit_ends is None:
            raise InputError(
                "permit_ends", permit_ends, _("These rules count from the end of the permit.")
            )
        start = permit_ends
    return Deadline(
        add_months(start, _months(rules.keep)),
        _("Keep the record until then."),
        rules.keep.citation,
        rules.keep.status,
    )


def _months(limit: Limit) -> int:
    return int(limit.value) * (12 if limit.unit == "years" else 1)


def add_months(date: dt.date, months: int) -> dt.date:
    """Return the same day some months later, or that month's last day where it is shorter.

    Parameters
    ----------
    date : datetime.date
        Start.
    months : int
        How many.

    Returns
    -------
    datetime.date
        The later day.

    References
    ----------
    Derivation: calendar arithmetic.
    """
    years, month = divmod(date.month - 1 + months, 12)
    year, month = date.year + years, month + 1
    return dt.date(year, month, min(date.day, calendar.monthrange(year, month)[1]))
