"""The current of an electrical waterbath."""

from __future__ import annotations

from typing import Final

from pinfeather.actions.calc.model import Calculation, Given, Input, Result, Row, Source
from pinfeather.finding import Finding, Severity
from pinfeather.words import gettext as _

_KINDS: Final = ("chicken", "turkey", "duck", "goose", "quail")


def calculations() -> tuple[Calculation, ...]:
    """Return the calculator about stunning."""
    return (_stun(),)


def _stun() -> Calculation:
    from pinfeather.hygiene.tables import table

    row = table("stunning")
    words = {
        "chicken": _("Chicken"),
        "turkey": _("Turkey"),
        "duck": _("Duck"),
        "goose": _("Goose"),
        "quail": _("Quail"),
    }
    return Calculation(
        name="stun",
        title=_("Waterbath stunning"),
        question=_("Is the current of this waterbath strong enough for these birds?"),
        formula=_(
            "Least current for each bird by kind and frequency, from a table; for at least four"
            " seconds."
        ),
        valid_range=_(
            "The law of the European Union and Great Britain above their limits for small"
            " quantities; the United States do not ask for stunning. Average for each bird in the"
            " bath."
        ),
        sources=(Source(row["citation"], row["status"]),),
        inputs=(
            Input(
                "species",
                _("Kind"),
                "choice",
                "chicken",
                options=tuple((code, words[code]) for code in _KINDS),
            ),
            Input("frequency", _("Frequency in hertz"), "number", "50"),
            Input("current", _("Current for each bird, in milliamperes"), "number", "100"),
            Input("seconds", _("Seconds in the bath"), "number", "4"),
        ),
        run=_run,
        example="--species chicken --frequency 50 --current 110 --seconds 4",
        cautions=(
            _(
                "Water and mains current kill people: only equipment made for it, with its earth"
                " and guards, and somebody who was shown how."
            ),
            _("A bird that still breathes rhythmically or blinks is not stunned: do it again."),
        ),
        aliases={"frequency_Hz": "frequency", "kind": "species"},
    )


def _run(given: Given) -> Result:
    from pinfeather.hygiene.stunning import least_current

    least = least_current(given.word("species"), frequency_Hz=given.number("frequency"))
    current, seconds = given.number("current"), given.number("seconds")
    against: list[tuple[str, float, float, str]] = []
    if least.current_mA is None:
        against.append((_("This frequency is not permitted for these birds."), 0.0, 0.0, ""))
    elif current < least.current_mA:
        against.append((_("Too weak for these birds."), current, least.current_mA, "mA"))
    if seconds < least.least_s:
        against.append((_("Too short in the bath."), seconds, least.least_s, "s"))
    return Result(
        {
            "least_A": None if least.current_mA is None else least.current_mA / 1000,
            "least_s": least.least_s,
        },
        (
            Row(
                _("At least"),
                _("not permitted")
                if least.current_mA is None
                else f"{least.current_mA:.0f}\u202fmA",
                _("for {s} s").format(s=f"{least.least_s:.0f}"),
            ),
        ),
        tuple(
            Finding(
                code="stun.weak",
                severity=Severity.STOP,
                sentence=sentence,
                measured=measured if unit else None,
                limit=limit if unit else None,
                unit=unit,
                citation=least.citation,
                status=least.status,
            )
            for sentence, measured, limit, unit in against
        ),
    )
