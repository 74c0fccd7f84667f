"""A probe that stays in one bird: what its readings say about the bath and the wait."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Final

import numpy as np

from pinfeather import quantity
from pinfeather.actions.calc import asks, logfile
from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.actions.calc.wording import amount, degrees, limit, span
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.units import SECONDS_PER_DAY
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from numpy.typing import NDArray

_BETWEEN: Final = re.compile(r"[;\n]+")
_MOST_READINGS: Final = 2_000
_LONGEST_S: Final = 2 * SECONDS_PER_DAY


def calculations() -> tuple[Calculation, ...]:
    """Return the calculator about a probe left in a bird."""
    return (_probe(),)


def _probe() -> Calculation:
    return Calculation(
        name="probe",
        title=_("Probe left in a bird"),
        question=_("From this bird’s readings so far, when will it be cold?"),
        formula=_(
            "After the first fifth of the fall one exponential is left:"
            " T = Tw + j (T0 − Tw) 10^(−t/f). Tw, f and j by nonlinear least squares; time to the"
            " limit t = f log10(j (T0 − Tw) / (limit − Tw))."
        ),
        valid_range=_(
            "One probe that stays in place, a bath that stays the same, five readings or more after"
            " the first fifth of the fall. From a short piece the bath is vague: measure the water"
            " and write it. Nothing but the reading itself proves the bird cold."
        ),
        sources=(
            Source(_("Ball (1923), National Research Council Bulletin 37, for f and j"), "derived"),
            Source(_("Nonlinear least squares over the settled readings"), "derived"),
        ),
        inputs=(
            Input(
                "readings",
                _("Readings"),
                "lines",
                "0 min: 100.4 F; 10 min: 94.1 F; 20 min: 79.6 F; 30 min: 68.0 F; 40 min: 59.4 F;"
                " 50 min: 52.9 F; 60 min: 48.1 F; 70 min: 44.6 F",
                "0 min: 38.0 C; 10 min: 34.5 C; 20 min: 26.4 C; 30 min: 20.0 C; 40 min: 15.2 C;"
                " 50 min: 11.6 C; 60 min: 8.9 C; 70 min: 7.0 C",
                _("Time since it went in, and reading; ; or a new line between."),
                optional=True,
            ),
            *logfile.inputs(optional=True),
            Input(
                "water",
                _("Water at"),
                "temperature",
                hint=_("If measured; empty finds it."),
                optional=True,
            ),
            asks.limit(),
        ),
        run=_run_probe,
        example='--readings "0 min: 100 F; 20 min: 80 F; 30 min: 68 F; 40 min: 59 F; 50 min: 53 F;'
        ' 60 min: 48 F" --water "34 F"',
        aliases={
            **logfile.ALIASES,
            "t_s": "readings",
            "times_s": "readings",
            "degC": "readings",
            "bath_degC": "water",
        },
    )


def _run_probe(given: Given) -> Result:
    from pinfeather.heat.probe import identify

    times, degC, trouble = _series(given)
    water, cold = given.maybe("water"), given.number("limit")
    if water is not None and water >= float(degC.max()):
        raise InputError("water", water, _("The water is warmer than the bird."))
    with np.errstate(all="ignore"):
        try:
            found = identify(times, degC, bath_degC=water)
        except ValueError as error:
            raise InputError("readings", len(times), _("These readings are no cooling.")) from error
    start = float(degC[0])
    if not (math.isfinite(found.j) and found.j > 0 and math.isfinite(found.bath_degC)):
        raise InputError("readings", len(times), _("These readings are no cooling."))
    ready = found.time_to_s(cold, start_degC=start)
    findings = [*trouble, *found.findings]
    if ready is None:
        findings.append(
            Finding(
                "probe.never",
                Severity.STOP,
                _("It is heading for {bath}: it never gets down to {limit}.").format(
                    bath=degrees(found.bath_degC, given.units), limit=limit(cold, given.units)
                ),
                _("More ice, and stir."),
                measured=found.bath_degC,
                limit=cold,
                unit="C",
            )
        )
    values: dict[str, Json] = {
        "time_s": ready,
        "bath_degC": found.bath_degC,
        "f_s": found.f_s,
        "j": found.j,
        "scatter_K": found.scatter_K,
        "n": found.used,
    }
    to_go = None if ready is None else max(0.0, ready - float(times[-1]))
    return Result(
        values,
        (
            Row(
                _("Down to {limit}").format(limit=limit(cold, given.units)),
                _("never")
                if ready is None
                else _("{span} from the start").format(span=span(ready)),
                ""
                if to_go is None
                else _("{span} after the last reading").format(span=span(to_go)),
            ),
            Row(
                _("Heading for"),
                degrees(found.bath_degC, given.units),
                _("the water, as written") if water is not None else _("the water, as found"),
            ),
            Row(
                _("f: to a tenth of the difference in"),
                span(found.f_s),
            ),
            Row(_("j: lag"), f"{found.j:.2f}", _("1 would be no lag; 1.3 is a usual breast")),
            Row(
                _("Readings lie off the line by"),
                amount(found.scatter_K, "temperature difference", given.units, decimals=1),
                _("{n} settled readings").format(n=found.used),
            ),
        ),
        by_severity(findings),
        (_("Read the probe again when the time comes: the bird is cold when it reads cold."),),
    )


def _series(
    given: Given,
) -> tuple[NDArray[np.float64], NDArray[np.float64], tuple[Finding, ...]]:
    """Return the readings, from a logger's file where there is one."""
    data = given.data("log")
    if data is not None:
        curve, trouble = logfile.read_curve_from(
            data, column=given.word("column"), unit=given.word("unit")
        )
        if curve.length_s > _LONGEST_S:
            raise InputError("log", curve.length_s, _("Up to 48 h of one bird."))
        return np.asarray(curve.t_s - curve.t_s[0]), np.asarray(curve.temp_degC), trouble
    if not given.word("readings"):
        raise InputError("readings", "", _("Write readings, or choose a logger’s file."))
    rows = _typed(given.word("readings"))
    times, degC = (np.array(column, dtype=np.float64) for column in zip(*rows, strict=True))
    return times, degC, ()


def _typed(text: str) -> list[tuple[float, float]]:
    """Read times and temperatures, every fault at once, in order of time."""
    found: list[tuple[float, float]] = []
    faults: list[InputError] = []
    parts = [part.strip() for part in _BETWEEN.split(text) if part.strip()]
    if not 1 <= len(parts) <= _MOST_READINGS:
        raise InputError("readings", len(parts), _("Write 5 to 2000 readings."))
    for part in parts:
        when, colon, shown = part.partition(":")
        try:
            if not colon:
                raise InputError("readings", part, _("Write it like 20 min: 80 F."))  # noqa: TRY301 - one list of faults
            at_s = quantity.parse(when.strip(), "time", name="readings").si
            reading_degC = quantity.parse(shown.strip(), "temperature", name="readings").si
            if not 0 <= at_s <= _LONGEST_S:
                raise InputError("readings", part, _("Within 48 h of going in."))  # noqa: TRY301 - the same
        except InputError as fault:
            faults.append(fault)
        else:
            found.append((at_s, reading_degC))
    if faults:
        raise InputFaultsError(faults)
    return sorted(found)
