"""Thermometer, sample and chart."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from pinfeather import quantity
from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.actions.calc.wording import amount, between, degrees, percent
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.units import SECONDS_PER_DAY
from pinfeather.words import gettext as _

_MOST_BIRDS: Final = 10_000
_MOST_READINGS: Final = 2_000
_HARDLY_FRAC: Final = 0.0005
_BETWEEN: Final = re.compile(r"[;,\n]+")


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about what a reading proves."""
    return (_thermometer(), _sample(), _chart())


def _thermometer() -> Calculation:
    return Calculation(
        name="thermometer",
        title=_("Thermometer"),
        question=_("What was the temperature really, and does the reading prove it?"),
        formula=_(
            "One check: true = reading − what it shows in ice. Two checks: a straight line through"
            " ice and boiling. Proved cold if true + doubt ≤ limit. The doubt is half the stated"
            " accuracy on the day of an ice check and grows back to all of it in 30 days."
        ),
        valid_range=_(
            "Readings between the checks. For cold birds the ice check alone is enough. A"
            " thermometer more than 18 °F off in ice is broken. That half the accuracy is left"
            " after a check is an assumption."
        ),
        sources=(
            Source(
                _("NC Department of Agriculture, thermometer calibration: ice point 32 °F"), "read"
            ),
            Source(
                _("ISO 14253-1 (2017), section 5: decide against the side that has to prove"),
                "second hand",
            ),
            Source(
                _("Half the stated accuracy left after an ice check, all of it in 30 days"),
                "assumed",
            ),
        ),
        inputs=(
            Input("reading", _("It shows"), "temperature", "39.2 F", "4 C"),
            Input(
                "ice",
                _("In ice it shows"),
                "temperature",
                hint=_("Stirred slush, half a minute; may be empty."),
                optional=True,
            ),
            Input(
                "boil",
                _("In boiling water"),
                "temperature",
                hint=_("May be empty."),
                optional=True,
            ),
            Input(
                "altitude",
                _("Altitude"),
                "length",
                hint=_("For the boiling check."),
                optional=True,
            ),
            Input(
                "accuracy",
                _("Stated accuracy"),
                "temperature difference",
                "1.8 F",
                "1 C",
                _("Plus or minus, as its maker states."),
            ),
            Input(
                "checked",
                _("Ice check was"),
                "time",
                "0 d",
                hint=_("How long ago, such as 3 d."),
            ),
            Input(
                "limit",
                _("Must be at or below"),
                "temperature",
                hint=_("Such as 40 F; may be empty."),
                optional=True,
            ),
        ),
        run=_run_thermometer,
        example='--reading "39.2 F" --ice "32.6 F" --accuracy "1.8 F" --limit "40 F"',
        aliases={
            "ice_reading_degC": "ice",
            "boil_reading_degC": "boil",
            "boil_true_degC": "altitude",
            "days_since_check": "checked",
        },
    )


def _run_thermometer(given: Given) -> Result:
    from pinfeather.heat.boiling import boiling_degC
    from pinfeather.heat.thermometer import (
        WORST_ACCURACY_K,
        Verdict,
        cold_enough,
        corrected_degC,
        uncertainty_K,
    )

    boil, altitude, ice = given.maybe("boil"), given.maybe("altitude"), given.maybe("ice")
    if boil is not None and altitude is None:
        raise InputError("altitude", None, _("The boiling check needs the altitude."))
    true = corrected_degC(
        given.number("reading"),
        ice_reading_degC=ice,
        boil_reading_degC=boil,
        boil_true_degC=None
        if boil is None or altitude is None
        else boiling_degC(altitude_m=altitude),
    )
    doubt = uncertainty_K(
        accuracy_K=given.number("accuracy"),
        checked=ice is not None,
        days_since_check=given.number("checked") / SECONDS_PER_DAY,
    )
    findings = []
    limit = given.maybe("limit")
    verdict = None
    if limit is not None:
        verdict = cold_enough(true, limit_degC=limit, uncertainty_K=doubt)
        findings.append(_verdict(verdict.value, true, limit))
    if given.number("accuracy") > WORST_ACCURACY_K + 1e-9:
        findings.append(
            Finding(
                "thermometer.coarse",
                Severity.CHECK,
                _("Coarser than ±2 °F: not good enough for food."),
                _("Use a finer one to prove birds cold."),
                measured=given.number("accuracy"),
                limit=WORST_ACCURACY_K,
                unit="K",
                citation="FDA Food Code 4-203.11",
                status="second hand",
            )
        )
    if ice is None:
        findings.append(
            Finding(
                "thermometer.unchecked",
                Severity.CHECK,
                _("It has not been checked in ice."),
                _("Crushed ice with a little water, stirred, tip in the middle, half a minute."),
            )
        )
    return Result(
        {
            "corrected_degC": true,
            "uncertainty_K": doubt,
            "low_degC": true - doubt,
            "high_degC": true + doubt,
            "verdict": None if verdict is None else str(Verdict(verdict)),
        },
        (
            Row(
                _("True temperature"),
                degrees(true, given.units),
                between(degrees(true - doubt, given.units), degrees(true + doubt, given.units)),
            ),
            Row(
                _("It may be off by"),
                f"±{amount(doubt, 'temperature difference', given.units, decimals=1)}",
            ),
        ),
        by_severity(findings),
    )


def _verdict(verdict: str, true_degC: float, limit_degC: float) -> Finding:
    severity, sentence, reason = {
        "yes": (Severity.NOTE, _("Proved: at or below the limit even if it errs."), ""),
        "no": (
            Severity.STOP,
            _("Too warm, even if the thermometer errs in your favour."),
            _("Keep chilling, and probe again."),
        ),
        "not proven": (
            Severity.CHECK,
            _("Not proved: too close to the limit for this thermometer."),
            _("Wait a little and probe again, or use a finer one."),
        ),
    }[verdict]
    return Finding(
        f"thermometer.{verdict.replace(' ', '_')}",
        severity,
        sentence,
        reason,
        measured=true_degC,
        limit=limit_degC,
        unit="C",
        citation="ISO 14253-1 (2017), section 5",
        status="second hand",
    )


def _sample() -> Calculation:
    return Calculation(
        name="sample",
        title=_("How many to probe"),
        question=_("How many birds must be probed so that warm ones do not slip through?"),
        formula=_(
            "Chance to miss all d warm birds among N with n probed at random:"
            " C(N − d, n) / C(N, n). The smallest n that keeps it at or below 1 − confidence."
        ),
        valid_range=_(
            "Exact, for birds picked at random. Nobody picks at random with wet gloves: always"
            " probe the heaviest, the first and the last in as well. Up to 10 000 birds."
        ),
        sources=(Source(_("Hypergeometric distribution, zero class"), "derived"),),
        inputs=(
            Input("lot", _("Birds in the batch"), "integer", "40"),
            Input(
                "warm",
                _("Warm birds to catch"),
                "integer",
                "4",
                hint=_("If there are this many, one is to be found."),
            ),
            Input("confidence", _("How sure"), "percent", "95 %"),
            Input(
                "probed",
                _("Probed so far, all cold"),
                "integer",
                hint=_("May be empty."),
                optional=True,
            ),
        ),
        run=_run_sample,
        example="--lot 40 --warm 4 --probed 5",
    )


def _run_sample(given: Given) -> Result:
    from pinfeather.hygiene.sampling import miss_chance, most_missed, probes_needed

    lot, warm, confidence = given.whole("lot"), given.whole("warm"), given.number("confidence")
    if lot > _MOST_BIRDS:
        raise InputError("lot", lot, _("At most 10 000 birds at a time."))
    n = probes_needed(warm=warm, lot=lot, confidence=confidence)
    missed = miss_chance(lot=lot, warm=warm, probed=n)
    values: dict[str, Json] = {"n": n, "miss_chance_frac": missed, "confidence_frac": confidence}
    rows = [
        Row(
            _("Probe"),
            _("{n} of {lot}").format(n=n, lot=lot),
            _("picked at random; misses all {warm} warm ones in {share} of cases").format(
                warm=warm, share=percent(missed, decimals=1)
            ),
        )
    ]
    probed = given.maybe("probed")
    if probed is not None:
        hidden = most_missed(lot=lot, probed=round(probed), confidence=confidence)
        values["most_missed"] = hidden
        rows.append(
            Row(
                _("Warm birds that could still hide"),
                _("up to {n} birds").format(n=hidden),
                _("after {n} probed at random, all cold").format(n=round(probed)),
            )
        )
    return Result(
        values,
        tuple(rows),
        notes=(_("Always probe the heaviest, the first and the last in, whatever the number."),),
    )


def _chart() -> Calculation:
    return Calculation(
        name="chart",
        title=_("Control chart"),
        question=_("Do the readings at the end of chilling behave, or has something changed?"),
        formula=_(
            "Centre = mean; σ = mean jump between neighbours / 1.128; limits = centre ± 3 σ."
            " Signs: outside the limits; a jump above 3.267 × the mean jump; two of three beyond"
            " 2 σ; eight on one side; six rising or falling. Cpu = (limit − centre) / 3 σ."
        ),
        valid_range=_(
            "One reading per batch, in order of time, taken the same way. Below twenty readings"
            " the limits are a first guess. The share over the limit takes them as normal."
        ),
        sources=(
            Source(
                _("NIST/SEMATECH e-Handbook of Statistical Methods, sections 6.1.6 and 6.3.2"),
                "second hand",
            ),
            Source(_("Western Electric (1956) and Nelson (1984), run rules"), "second hand"),
        ),
        inputs=(
            Input(
                "readings",
                _("Readings in order"),
                "lines",
                "38.2 F; 37.9 F; 38.6 F; 38.1 F; 38.8 F; 37.7 F; 38.3 F; 38.0 F",
                "3.4 C; 3.3 C; 3.7 C; 3.4 C; 3.8 C; 3.2 C; 3.5 C; 3.3 C",
                _("Each with its unit; separate them with ; or a new line."),
            ),
            Input(
                "limit",
                _("Limit"),
                "temperature",
                "40 F",
                "4.4 C",
                optional=True,
            ),
        ),
        run=_run_chart,
        example='--readings "38.2 F; 37.9 F; 38.6 F; 38.1 F; 38.8 F; 37.7 F" --limit "40 F"',
        aliases={"values": "readings", "chart": "readings"},
    )


def _run_chart(given: Given) -> Result:
    from pinfeather.hygiene.control_chart import capability, individuals_chart, judge_chart

    readings = _readings(given.word("readings"))
    chart = individuals_chart(readings)
    findings = [
        replace(
            finding,
            sentence=_("Reading {n}: {sentence}").format(
                n=finding.where.strip("[]"), sentence=finding.sentence
            ),
            unit="C",
        )
        for finding in judge_chart(readings, chart)
    ]
    values: dict[str, Json] = {
        "centre_degC": chart.centre,
        "lower_degC": chart.lower,
        "upper_degC": chart.upper,
        "sigma_K": chart.sigma,
        "n": chart.count,
    }
    rows = [
        Row(
            _("Usual"),
            degrees(chart.centre, given.units),
            _("from {low} to {high} without any cause").format(
                low=degrees(chart.lower, given.units), high=degrees(chart.upper, given.units)
            ),
        ),
        Row(_("Readings"), str(chart.count), _("twenty make a sound chart")),
    ]
    limit = given.maybe("limit")
    if limit is not None:
        found, finding = capability(chart, upper_limit=limit)
        values |= {"cpu": found.cpu, "share_over_frac": found.share_over_frac}
        rows.append(
            Row(
                _("Over the limit"),
                percent(found.share_over_frac, decimals=1)
                if found.share_over_frac >= _HARDLY_FRAC
                else _("hardly any"),
                _("of batches to expect; Cpu {cpu:.2f}, 1 or more is good").format(cpu=found.cpu),
            )
        )
        findings.append(finding)
    return Result(values, tuple(rows), by_severity(findings))


def _readings(text: str) -> list[float]:
    """Read a list of temperatures, every fault at once."""
    found: list[float] = []
    faults: list[InputError] = []
    parts = [part.strip() for part in _BETWEEN.split(text) if part.strip()]
    if len(parts) > _MOST_READINGS:
        raise InputError("readings", len(parts), _("At most 2000 readings at a time."))
    for part in parts:
        try:
            found.append(quantity.parse(part, "temperature", name="readings").si)
        except InputError as fault:
            faults.append(fault)
    if faults:
        raise InputFaultsError(faults)
    return found
