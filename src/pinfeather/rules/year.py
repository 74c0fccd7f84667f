"""The calendar year ahead: each planned day held against the cap before it comes."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pinfeather.rules.count import Headroom, headroom
from pinfeather.rules.model import Profile


@dataclass(frozen=True, slots=True)
class DayAhead:
    """One planned day, and the count once it is over.

    Parameters
    ----------
    date : date
        When.
    birds : mapping of str to int
        Head by kind.
    room : Headroom
        Before and after, with its warnings.
    """

    date: dt.date
    birds: Mapping[str, int]
    room: Headroom


def year_ahead(
    profile: Profile,
    tier_code: str,
    *,
    counted: Mapping[str, int],
    days: Sequence[tuple[dt.date, Mapping[str, int]]],
) -> tuple[DayAhead, ...]:
    """Count on through the planned days of one calendar year.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    tier_code : str
        The farm's tier.
    counted : mapping of str to int
        Head slaughtered so far in the year of the first day, by kind.
    days : sequence of (date, mapping of str to int)
        Planned days with their head by kind, in any order.

    Returns
    -------
    tuple of DayAhead
        By date; a day of another year counts from nothing.

    Raises
    ------
    InputError
        If the tier or a kind is unknown.

    References
    ----------
    9 CFR 381.10(b)(1) and (c)(1): "in the current calendar year".
    """
    found: list[DayAhead] = []
    total, year = Counter(counted), None
    for date, birds in sorted(days, key=lambda one: one[0]):
        if year is not None and date.year != year:
            total = Counter()
        year = date.year
        room = headroom(profile, tier_code, counted=dict(total), planned=birds)
        found.append(DayAhead(date, dict(birds), room))
        total.update(birds)
    return tuple(found)
