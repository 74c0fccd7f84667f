"""Raw manure on ground where food grows."""

from __future__ import annotations

from pinfeather.actions.calc.flock_text import date
from pinfeather.actions.calc.model import Calculation, Given, Input, Result, Row, Source
from pinfeather.finding import Finding, Severity
from pinfeather.words import gettext as _


def calculations() -> tuple[Calculation, ...]:
    """Return the calculator about raw manure."""
    return (_manure(),)


def _manure() -> Calculation:
    from pinfeather.hygiene.tables import table

    row = table("manure")
    return Calculation(
        name="manure",
        title=_("Raw manure and harvest"),
        question=_("How long after raw manure may what grows there be harvested?"),
        formula=_(
            "Harvest day − day it was worked in ≥ 120 days where the part that is eaten touches the"
            " soil or its splash, 90 days where it does not."
        ),
        valid_range=_(
            "Raw manure, not compost that was hot enough for long enough. Binds certified organic"
            " growers; other rules may ask more."
        ),
        sources=(Source(row["citation"], row["status"]),),
        inputs=(
            Input("spread", _("Worked in on"), "text", "2026-04-01", hint=_("Such as 2026-06-17.")),
            Input(
                "crop",
                _("The part that is eaten"),
                "choice",
                "soil",
                options=(
                    ("soil", _("Touches the soil, such as lettuce")),
                    ("above", _("Grows clear of it, such as sweet corn")),
                ),
            ),
            Input(
                "harvest",
                _("Harvest on"),
                "text",
                hint=_("Such as 2026-06-17; may be empty."),
                optional=True,
            ),
        ),
        run=_run,
        example="--spread 2026-04-01 --crop above --harvest 2026-07-10",
        cautions=(
            _("Raw poultry manure carries Salmonella: wash, and keep it off what is eaten raw."),
        ),
    )


def _run(given: Given) -> Result:
    from pinfeather.hygiene.manure import manure_wait

    spread = date("spread", given.word("spread"))
    wait = manure_wait(spread, touches_soil=given.word("crop") == "soil")
    findings = []
    harvest = given.word("harvest")
    passed = None
    if harvest:
        passed = (date("harvest", harvest) - spread).days
        if not wait.enough(passed):
            findings.append(
                Finding(
                    code="manure.early",
                    severity=Severity.STOP,
                    sentence=_("{passed} days are too few: the rule asks for {days}.").format(
                        passed=passed, days=wait.days
                    ),
                    measured=float(passed),
                    limit=float(wait.days),
                    unit="d",
                    citation=wait.citation,
                    status=wait.status,
                )
            )
    return Result(
        {"wait_d": wait.days, "passed_d": passed, "harvest_from": wait.harvest_on.isoformat()},
        (
            Row(
                _("Harvest from"),
                wait.harvest_on.isoformat(),
                _("{n} days after").format(n=wait.days),
            ),
        ),
        tuple(findings),
    )
