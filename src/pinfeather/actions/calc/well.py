"""The well: when it is tested again, and what the laboratory found."""

from __future__ import annotations

import datetime as dt
from typing import Final

from pinfeather import clock
from pinfeather.actions.calc.flock_text import date
from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.errors import InputError
from pinfeather.finding import by_severity
from pinfeather.words import gettext as _

_TESTS: Final = ("coliform", "nitrate")
_NITRATE_PER_NITROGEN: Final = 62.0049 / 14.0067  # molar masses of NO3 and N
_MOST_MG_PER_L: Final = 10_000


def calculations() -> tuple[Calculation, ...]:
    """Return the calculator about the well."""
    return (_water(),)


def _water() -> Calculation:
    from pinfeather.hygiene.tables import table
    from pinfeather.hygiene.water import water_tests

    limits = table("water")["limits"]
    return Calculation(
        name="water",
        title=_("Water tests"),
        question=_("When must the water be tested again, and is the last result good?"),
        formula=_(
            "Due = last sample + 6 months (coliforms) or 36 months (nitrate), by the calendar."
            " No coliforms in 100 mL; nitrate at most 10 mg/L as nitrogen, which is nitrate"
            " divided by 4.43."
        ),
        valid_range=_(
            "A private well. Defaults; your state may want other tests or more often, and a public"
            " supply has its own papers. Use a certified laboratory and keep its sheets."
        ),
        sources=(
            *(Source(one.citation, one.status) for one in water_tests()),
            Source(limits["citation"], limits["status"]),
        ),
        inputs=(
            Input(
                "coliform-tested",
                _("Last coliform sample"),
                "text",
                hint=_("Such as 2026-04-10; empty if never."),
                optional=True,
            ),
            Input(
                "coliform",
                _("Coliforms"),
                "choice",
                options=(
                    ("", _("No result yet")),
                    ("none", _("None found")),
                    ("found", _("Found")),
                ),
                optional=True,
            ),
            Input(
                "nitrate-tested",
                _("Last nitrate sample"),
                "text",
                hint=_("Such as 2024-06-01; empty if never."),
                optional=True,
            ),
            Input(
                "nitrate",
                _("Nitrate in mg/L"),
                "number",
                hint=_("From the laboratory’s sheet; may be empty."),
                optional=True,
            ),
            Input(
                "reported",
                _("Nitrate reported"),
                "choice",
                "nitrogen",
                options=(
                    ("nitrogen", _("as nitrogen (NO3-N)")),
                    ("nitrate", _("as nitrate (NO3)")),
                ),
            ),
            Input(
                "today",
                _("Day asked about"),
                "text",
                hint=_("Such as 2026-06-17; empty is today."),
                optional=True,
            ),
        ),
        run=_run_water,
        example="--coliform-tested 2026-04-10 --coliform none --nitrate-tested 2024-06-01"
        " --nitrate 3.2 --today 2026-06-17",
        cautions=(
            _(
                "Water that failed is neither drunk nor used on birds, ice or tools until a new"
                " test is clean."
            ),
            _("Ask the county or state health department before you disinfect a well."),
            _("Nitrate over the limit harms babies: do not boil it away, boiling makes it worse."),
        ),
        aliases={"nitrate_mg_per_L": "nitrate"},
    )


def _run_water(given: Given) -> Result:
    from pinfeather.hygiene.water import judge_water, next_due, water_due, water_tests

    today = (
        date("today", given.word("today"))
        if given.word("today")
        else clock.now().astimezone().date()
    )
    last = {code: _last(given, code, today) for code in _TESTS}
    nitrate = given.maybe("nitrate")
    if nitrate is not None and nitrate > _MOST_MG_PER_L:
        raise InputError("nitrate", nitrate, _("That is more than water holds. In mg/L?"))
    if nitrate is not None and given.word("reported") == "nitrate":
        nitrate /= _NITRATE_PER_NITROGEN
    judged = judge_water(
        coliform_found={"none": False, "found": True}.get(given.word("coliform")),
        nitrate_mg_per_L=None if nitrate is None else round(nitrate, 3),
    )
    values: dict[str, Json] = {"nitrate_N_mg_per_L": nitrate}
    rows = []
    for test in water_tests():
        day = last[test.code]
        due = None if day is None else next_due(day, test.every_months)
        values[f"{test.code}_due"] = None if due is None else due.isoformat()
        rows.append(
            Row(
                _("{name} due").format(name=_(test.name)),
                _("now") if due is None else due.isoformat(),
                _("never tested")
                if due is None
                else _("in {n} days").format(n=(due - today).days)
                if due >= today
                else _("{n} days overdue").format(n=(today - due).days),
            )
        )
    return Result(
        values,
        tuple(rows),
        by_severity((*judged, *water_due(last, today=today))),
    )


def _last(given: Given, code: str, today: dt.date) -> dt.date | None:
    """Return the day of a sample, which is not after the day asked about."""
    name = f"{code}-tested"
    if not given.word(name):
        return None
    day = date(name, given.word(name))
    if day > today:
        raise InputError(name, given.word(name), _("That sample has not been taken yet."))
    return day
