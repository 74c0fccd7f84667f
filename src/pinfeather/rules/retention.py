"""How long each kind of record is kept, and whether a buyer's name may already go."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pinfeather.errors import InputError
from pinfeather.rules.deadlines import keep_until
from pinfeather.rules.model import Profile
from pinfeather.rules.tier import Licence
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class KeepRow:
    """One kind of record: how many there are, and until when they are kept.

    Parameters
    ----------
    code, title : str
        Name used in files, and name for people.
    count : int
        Records there are.
    oldest_on, newest_on : datetime.date or None
        First and last of them.
    oldest_until, newest_until : datetime.date or None
        Last day to keep the first and the last one; None where there is none, or it cannot be said.
    citation, status : str
        The rule.
    problem : str
        Why the day cannot be said; else empty.
    """

    code: str
    title: str
    count: int
    oldest_on: dt.date | None
    newest_on: dt.date | None
    oldest_until: dt.date | None
    newest_until: dt.date | None
    citation: str
    status: str
    problem: str = ""


def permit_end(licence: Licence | None, made_on: dt.date, known: dt.date | None) -> dt.date | None:
    """Return the last day of the permit that a record was made under.

    Parameters
    ----------
    licence : Licence or None
        What the tier asks for.
    made_on : datetime.date
        Day of the record.
    known : datetime.date or None
        Last day of the newest permit, as written on it.

    Returns
    -------
    datetime.date or None
        None where nobody knows.

    References
    ----------
    The licence of the profile (Washington: WAC 16-170-035, lapses on 31 December).
    """
    if licence is not None and licence.expires_at_year_end:
        return dt.date(made_on.year, 12, 31)
    return known if known is not None and known >= made_on else None


def keep_row(
    profile: Profile,
    code: str,
    title: str,
    *,
    tier_code: str,
    count: int,
    oldest_on: dt.date | None,
    newest_on: dt.date | None,
    permit_until: dt.date | None = None,
) -> KeepRow:
    """Say until when one kind of record is kept.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    code, title : str
        Which kind.
    tier_code : str
        The farm's tier, for the permit's end.
    count : int
        Records there are.
    oldest_on, newest_on : datetime.date or None
        First and last of them.
    permit_until : datetime.date or None
        Last day of the newest permit.

    Returns
    -------
    KeepRow
        With the reason where the day cannot be said.

    References
    ----------
    9 CFR 381.177 and 21 U.S.C. 460(b), or the state's rule in the profile.
    """
    tier = profile.tiers.get(tier_code)
    licence = None if tier is None else tier.licence
    until: list[dt.date | None] = []
    problem = ""
    for made_on in (oldest_on, newest_on):
        try:
            until.append(
                None
                if made_on is None
                else keep_until(
                    profile, made_on, permit_ends=permit_end(licence, made_on, permit_until)
                ).date
            )
        except InputError as fault:
            problem = fault.problem
            until.append(None)
    return KeepRow(
        code,
        title,
        count,
        oldest_on,
        newest_on,
        until[0],
        until[1],
        profile.records.keep.citation,
        profile.records.keep.status,
        problem,
    )


@dataclass(frozen=True, slots=True)
class NameAnswer:
    """Whether a buyer's name may be taken out of the records of sales.

    Parameters
    ----------
    allowed : bool
        Whether it may go today.
    until : datetime.date or None
        Last day it has to stay, where a rule demands it and the day can be said.
    sentence : str
        Why, in words.
    citation, status : str
        The rule.
    """

    allowed: bool
    until: dt.date | None
    sentence: str
    citation: str
    status: str


def name_may_go(
    profile: Profile,
    today: dt.date,
    *,
    tier_code: str,
    sold_on: tuple[dt.date, ...],
    permit_until: dt.date | None = None,
) -> NameAnswer:
    """Say whether a buyer's name and address may be removed on request.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    today : datetime.date
        The farm's date.
    tier_code : str
        The farm's tier.
    sold_on : tuple of datetime.date
        Days of this buyer's sales.
    permit_until : datetime.date or None
        Last day of the newest permit.

    Returns
    -------
    NameAnswer
        Allowed where the rules do not demand the name, or the last sale need not be kept any more.

    Notes
    -----
    Where the keep-until day cannot be said, the name stays: it is the side on which nobody errs.

    References
    ----------
    The sale record of the profile (Colorado: 8 CCR 1202-16, parts 8 and 9).
    """
    rules = profile.records
    citation, status = rules.sale_duty.citation, rules.sale_duty.status
    asks = [name for name in ("buyer_name", "buyer_address") if name in rules.sale_fields]
    if not sold_on or not asks or not rules.sale_required:
        told = (
            _("Your rules advise to keep the buyer’s name with a sale, and do not demand it.")
            if asks and sold_on
            else _("Your rules do not ask for the buyer’s name.")
        )
        return NameAnswer(True, None, told, citation, status)
    row = keep_row(
        profile,
        "sales",
        "",
        tier_code=tier_code,
        count=len(sold_on),
        oldest_on=min(sold_on),
        newest_on=max(sold_on),
        permit_until=permit_until,
    )
    if row.newest_until is None:
        return NameAnswer(
            False,
            None,
            _("Your rules demand the buyer’s name with each sale. {problem}").format(
                problem=row.problem
            ),
            citation,
            status,
        )
    if today <= row.newest_until:
        return NameAnswer(
            False,
            row.newest_until,
            _(
                "Your rules demand the buyer’s name with each sale ({citation}). It has to stay "
                "until {date}; from the day after it can be removed."
            ).format(citation=citation, date=row.newest_until.isoformat()),
            citation,
            status,
        )
    return NameAnswer(
        True, row.newest_until, _("The time these sales had to be kept is over."), citation, status
    )
