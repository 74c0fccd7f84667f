"""How long birds keep, and how well a chiller did its work."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pinfeather.actions.calc import logfile
from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.actions.calc.wording import between, limit, span
from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from pinfeather.hygiene.rates import Log10

_BETWEEN: Final = re.compile(r"[;,\s]+")
_NUMBER: Final = re.compile(r"\d{1,3}(\.\d*)?")
_MOST_LOADS: Final = 500


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about keeping and about the chiller's work."""
    return (_shelf(), _index())


def _shelf() -> Calculation:
    from pinfeather.hygiene.tables import table

    row = table("growth")["spoilage"]
    return Calculation(
        name="shelf",
        title=_("Shelf life"),
        question=_("How long does a raw bird keep at this temperature before it smells?"),
        formula=_(
            "Time = (spoiled count − count at the start) / growth rate of Pseudomonas at this"
            " temperature; from a logger, growth so far is taken off first. Ageing against ice:"
            " (1 + 0.1 T)², T in °C."
        ),
        valid_range=_(
            "Steady temperatures from 32 to 86 °F, raw birds in air. Quality only, not safety. The"
            " long end of the band was fitted from 39 to 59 °F. The ageing rule is for about 28 to"
            " 59 °F. Your own sniff of a kept bird beats it."
        ),
        sources=(
            Source(row["relative_citation"], row["relative_status"]),
            Source(row["spoiled_citation"], row["spoiled_status"]),
        ),
        inputs=(
            Input("temp", _("Kept at"), "temperature", "36 F", "2 C", _("From now on.")),
            Input(
                "start",
                _("Count at the start"),
                "number",
                "4",
                hint=_("Log10 per gram; 4 is usual, clean work less."),
            ),
            *logfile.inputs(optional=True),
        ),
        run=_run_shelf,
        example='--temp "36 F" --start 4',
        cautions=(
            _("A bird can be unsafe before it smells: this is not a safety limit."),
            _("Sell by your own, shorter date; freeze what is not sold in a day or two."),
            _("Cook it to 165 °F (74 °C) in the thickest part, by a thermometer."),
        ),
        aliases={**logfile.ALIASES, "temp_degC": "temp", "hold_degC": "temp"},
    )


def _run_shelf(given: Given) -> Result:
    from pinfeather.hygiene.rates import Log10
    from pinfeather.hygiene.spoilage import relative_rate, shelf_life, time_left_s, time_on_ice_s

    temp, start = given.number("temp"), Log10(given.number("start"))
    if start < 0:
        raise InputError("start", float(start), _("A count is 0 or more, as log10."))
    found = shelf_life(temp, start=start)
    faster = float(relative_rate(temp))
    rows = [
        Row(
            _("Keeps at {temp}").format(temp=limit(temp, given.units)),
            span(found.value),
            between(span(found.low), span(found.high)),
        ),
        Row(
            _("Ages"),
            _("{n:.1f} times as fast").format(n=faster),
            _("as on melting ice"),
        ),
    ]
    values: dict[str, Json] = {
        "time_s": found.value,
        "low_s": found.low,
        "high_s": found.high,
        "relative_rate": faster,
    }
    trouble: tuple[Finding, ...] = ()
    data = given.data("log")
    if data is not None:
        curve, trouble = logfile.read_curve_from(
            data, column=given.word("column"), unit=given.word("unit")
        )
        left, aged = time_left_s(curve, hold_degC=temp, start=start), time_on_ice_s(curve)
        values |= {"time_left_s": left, "time_on_ice_s": aged, "length_s": curve.length_s}
        rows = [
            Row(
                _("Left after the logged history"),
                span(left),
                _("at {temp}, by the quicker model").format(temp=limit(temp, given.units)),
            ),
            Row(
                _("Aged as on ice for"),
                span(aged),
                _("in {span} logged").format(span=span(curve.length_s)),
            ),
            *rows,
        ]
    return Result(
        values,
        tuple(rows),
        by_severity(trouble),
        sources=(Source(found.basis.note, found.basis.status),),
    )


def _index() -> Calculation:
    from pinfeather.hygiene.tables import table

    row = table("growth")["refrigeration_index"]
    return Calculation(
        name="index",
        title=_("Refrigeration index"),
        question=_("How well did the chiller do, in one number from the logger’s curve?"),
        formula=_(
            "Index = ∫ rate of E. coli (Ross 2003) dt until the curve is at or below 45 °F (7 °C)"
            " for good, less 5 doublings where it starts warmer; never below 0. Together: mean at"
            " most 1.5, at least 80 % of loads at most 2.0, none above 2.5."
        ),
        valid_range=_(
            "Made for red meat carcasses: for birds a yardstick of the chilling, not a count and"
            " not a limit. The limits are from memory and the growth rate is unverified. Log the"
            " spot that matters most, from the start."
        ),
        sources=(
            Source(
                _(
                    "Ross and others (2003), International Journal of Food Microbiology 82:33-43,"
                    " in the form of the published notes on the index; from memory"
                ),
                "unverified",
            ),
            Source(_("{citation}; from memory").format(citation=row["citation"]), row["status"]),
        ),
        inputs=(
            *logfile.inputs(),
            Input(
                "earlier",
                _("Indices of earlier loads"),
                "text",
                hint=_("Such as 0.8; 1.2; may be empty."),
                optional=True,
            ),
        ),
        run=_run_index,
        example="LOG.csv",
        cautions=(
            _("A good index proves no bird safe: the time limits and the probe come first."),
            _("Meat that was warm too long is not made safe by chilling it afterwards."),
        ),
        aliases={**logfile.ALIASES, "values": "earlier"},
    )


def _run_index(given: Given) -> Result:
    from pinfeather.hygiene.refrigeration import judge_indices, refrigeration_index

    data = given.data("log")
    assert data is not None  # noqa: S101 - the input is not optional
    earlier = _earlier(given.word("earlier"))
    curve, trouble = logfile.read_curve_from(
        data, column=given.word("column"), unit=given.word("unit")
    )
    found = refrigeration_index(curve)
    findings = [*trouble, *judge_indices([*earlier, found.value])]
    if not found.finished:
        findings.append(
            Finding(
                "refrigeration.unfinished",
                Severity.CHECK,
                _("The curve does not end at or below 45 °F (7 °C): the index is not whole yet."),
                _("Log until it is cold, and work it out again."),
                measured=float(curve.temp_degC[-1]),
                unit="C",
            )
        )
    return Result(
        {
            "index_log10": float(found.value),
            "growth_log10": float(found.without_lag),
            "finished": found.finished,
            "n": len(earlier) + 1,
        },
        (
            Row(
                _("Refrigeration index"),
                f"{found.value:.2f}",
                _("whole") if found.finished else _("so far"),
            ),
            Row(
                _("Growth with no lag"),
                _("{n:.2f} log").format(n=found.without_lag),
                _("the index takes 5 doublings off meat that starts warm"),
            ),
            Row(_("Loads judged"), str(len(earlier) + 1)),
        ),
        by_severity(findings),
    )


def _earlier(text: str) -> list[Log10]:
    """Read indices one after the other."""
    from pinfeather.hygiene.rates import Log10

    parts = [part for part in _BETWEEN.split(text) if part]
    if len(parts) > _MOST_LOADS:
        raise InputError("earlier", len(parts), _("At most 500 loads at a time."))
    wrong = [part for part in parts if not _NUMBER.fullmatch(part)]
    if wrong:
        raise InputError("earlier", wrong[0], _("Write numbers such as 0.8; 1.2."))
    return [Log10(float(part)) for part in parts]
