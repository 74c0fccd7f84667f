"""When the well is tested again, and what the laboratory's numbers mean."""

from __future__ import annotations

import calendar
import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.hygiene.tables import table
from pinfeather.words import gettext as _

MONTHS_IN_YEAR: Final = 12
WARN_DAYS: Final = 30  # own choice: time to take a sample and get it back


@dataclass(frozen=True, slots=True)
class WaterTest:
    """A test of the water and how often it is due.

    Parameters
    ----------
    code, name : str
        Short name and words.
    every_months : int
        Longest time between tests [months].
    citation, status : str
        Source.
    """

    code: str
    name: str
    every_months: int
    citation: str
    status: str


def water_tests() -> tuple[WaterTest, ...]:
    """List the usual tests of a private well.

    Returns
    -------
    tuple of WaterTest
        Defaults; your state may want others or more often.

    References
    ----------
    Each carries its own.
    """
    return tuple(WaterTest(**row) for row in table("water")["tests"])


def next_due(last: dt.date, every_months: int) -> dt.date:
    """Return the day a test is due again.

    Parameters
    ----------
    last : date
        Day of the last sample.
    every_months : int
        Longest time between [months].

    Returns
    -------
    date
        The same day of a later month, or that month's last day.

    Raises
    ------
    InputError
        If the number of months is not positive.

    References
    ----------
    Derivation: calendar months.
    """
    if every_months < 1:
        raise InputError("every_months", every_months, _("Say after how many months it is due."))
    months = last.year * MONTHS_IN_YEAR + last.month - 1 + every_months
    year, month = divmod(months, MONTHS_IN_YEAR)
    day = min(last.day, calendar.monthrange(year, month + 1)[1])
    return dt.date(year, month + 1, day)


def water_due(
    last: Mapping[str, dt.date | None],
    *,
    today: dt.date,
    wanted: tuple[WaterTest, ...] | None = None,
) -> tuple[Finding, ...]:
    """Say which water tests are overdue, due soon, or fine.

    Parameters
    ----------
    last : mapping
        From a test's short name to the day of its last sample, None for never.
    today : date
        The day asked about.
    wanted : tuple of WaterTest or None
        Which tests; None takes the usual ones.

    Returns
    -------
    tuple of Finding
        One per test, worst first.

    Raises
    ------
    InputError
        If a last sample lies in the future, or names no test.

    References
    ----------
    Each test carries its own.
    """
    wanted = water_tests() if wanted is None else wanted
    unknown = set(last) - {test.code for test in wanted}
    if unknown:
        raise InputError("last", sorted(unknown), _("There is no water test of that name."))
    return by_severity([_due(test, last.get(test.code), today) for test in wanted])


def judge_water(
    *, coliform_found: bool | None = None, nitrate_mg_per_L: float | None = None
) -> tuple[Finding, ...]:
    """Judge the laboratory's results.

    Parameters
    ----------
    coliform_found : bool or None
        Whether coliforms were found in 100 mL; None if not tested.
    nitrate_mg_per_L : float or None
        Nitrate as nitrogen; None if not tested [mg/L].

    Returns
    -------
    tuple of Finding
        One for each result, worst first.

    Raises
    ------
    InputError
        If the nitrate is negative.

    Notes
    -----
    Nitrate is often reported as nitrate itself; divide that by 4.43.

    References
    ----------
    EPA primary drinking water limits: no coliform in 100 mL, 10 mg/L nitrate nitrogen.
    """
    row = table("water")["limits"]
    findings: list[Finding] = []
    if coliform_found is not None:
        findings.append(
            Finding(
                "water.coliform",
                Severity.STOP if coliform_found else Severity.NOTE,
                _("Coliforms were found: do not process with this water.")
                if coliform_found
                else _("No coliforms were found."),
                reason=_("Find the cause, disinfect the well, test again.")
                if coliform_found
                else "",
                citation=row["citation"],
                status=row["status"],
            )
        )
    if nitrate_mg_per_L is not None:
        if not (math.isfinite(nitrate_mg_per_L) and nitrate_mg_per_L >= 0):
            raise InputError(
                "nitrate_mg_per_L", nitrate_mg_per_L, _("A result cannot be negative.")
            )
        over = nitrate_mg_per_L > row["nitrate_N_mg_per_L"]
        findings.append(
            Finding(
                "water.nitrate",
                Severity.STOP if over else Severity.NOTE,
                _("Nitrate {found:g} mg/L as nitrogen; at most {limit:g}.").format(
                    found=nitrate_mg_per_L, limit=row["nitrate_N_mg_per_L"]
                ),
                measured=nitrate_mg_per_L,
                limit=row["nitrate_N_mg_per_L"],
                unit="mg/L",
                citation=row["citation"],
                status=row["status"],
            )
        )
    return by_severity(findings)


def _due(test: WaterTest, last: dt.date | None, today: dt.date) -> Finding:
    if last is not None and last > today:
        raise InputError("last", last, _("That sample has not been taken yet."))
    if last is None:
        severity, sentence = Severity.STOP, _("{name}: never tested.").format(name=_(test.name))
        days = None
    else:
        due = next_due(last, test.every_months)
        days = float((due - today).days)
        severity = (
            Severity.STOP if due < today else Severity.CHECK if days <= WARN_DAYS else Severity.NOTE
        )
        sentence = _("{name}: due {day}.").format(name=_(test.name), day=due.isoformat())
    return Finding(
        "water.due",
        severity,
        sentence,
        where=test.code,
        measured=days,
        unit="" if days is None else "d",
        citation=test.citation,
        status=test.status,
    )
