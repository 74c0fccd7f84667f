"""Growth and lethality."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final, cast

from pinfeather.actions.calc import logfile
from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.actions.calc.wording import degrees, limit, span
from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from pinfeather.hygiene.lethality import Bird

_MODELS: Final = {
    "salmonella": "salmonella_oscar_2002",
    "salmonella-modified": "salmonella_oscar_2002_modified",
    "salmonella-cardinal": "salmonella_oscar_2002_cardinal",
    "salmonella-quick": "salmonella_juneja_2007",
    "ecoli": "ecoli_ross_2003",
    "pseudomonas": "pseudomonas_neumeyer_1997",
    "total-count": "pseudomonas_lytou_2016",
    "campylobacter": "campylobacter",
}


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about bacteria."""
    return (_growth(), _lethality())


def _growth() -> Calculation:
    return Calculation(
        name="growth",
        title=_("Growth on a logged curve"),
        question=_("How much could bacteria have grown while this bird was warm?"),
        formula=_(
            "log10 growth = ∫ rate(T) dt over the logger’s curve, straight lines between readings."
            " Salmonella: the extended square root form of Oscar (2002). With lag: growth starts"
            " after rate × lag = h0 is worked off (Baranyi and Roberts, 1994)."
        ),
        valid_range=_(
            "What could have grown if any were there; not a count. Salmonella from 46 to 118 °F;"
            " time outside a model’s data is named in the findings. A probe deep in the breast"
            " overstates growth on the skin. The screen of 1 and 1.5 log is the farm’s own."
        ),
        sources=(
            Source(
                _(
                    "Baranyi J, Roberts TA (1994), International Journal of Food Microbiology"
                    " 23:277-294"
                ),
                "second hand",
            ),
            Source(_("Screen at 1 and 1.5 log: no published standard"), "disputable"),
        ),
        inputs=(
            *logfile.inputs(),
            Input(
                "organism",
                _("Bacterium"),
                "choice",
                "salmonella",
                options=(
                    ("salmonella", _("Salmonella (Oscar 2002)")),
                    ("salmonella-modified", _("Salmonella (Oscar 2002, modified form)")),
                    ("salmonella-cardinal", _("Salmonella (Oscar 2002, cardinal form)")),
                    ("salmonella-quick", _("Salmonella, the quicker alternative (Juneja 2007)")),
                    ("ecoli", _("E. coli (Ross 2003)")),
                    ("pseudomonas", _("Spoilage: Pseudomonas (Neumeyer 1997)")),
                    ("total-count", _("Spoilage: total count (Lytou 2016)")),
                    ("campylobacter", _("Campylobacter")),
                ),
            ),
            Input("limit", _("Cold means"), "temperature", "40 F", "4.4 C"),
        ),
        run=_run_growth,
        example="LOG.csv --organism salmonella",
        cautions=(
            _(
                "Growth counts from a curve prove nothing by themselves: the fixed time and"
                " temperature rules come first."
            ),
            _("Meat that was warm too long is not made safe by chilling it afterwards."),
        ),
        aliases=logfile.ALIASES,
    )


def _run_growth(given: Given) -> Result:
    from pinfeather.hygiene.growth import grow, judge_growth
    from pinfeather.hygiene.growth_models import growth_model
    from pinfeather.hygiene.time_rules import judge_cumulative, reached_at

    data = given.data("log")
    assert data is not None  # noqa: S101 - the input is not optional
    curve, trouble = logfile.read_curve_from(
        data, column=given.word("column"), unit=given.word("unit")
    )
    model = growth_model(_MODELS[given.word("organism")])
    growth = grow(model, curve)
    cold_s = reached_at(curve, given.number("limit"))
    cold = limit(given.number("limit"), given.units)
    values: dict[str, Json] = {
        "log10_growth": float(growth.without_lag),
        "log10_growth_with_lag": None if growth.with_lag is None else float(growth.with_lag),
        "time_s": cold_s,
        "length_s": curve.length_s,
        "warmest_degC": float(curve.temp_degC.max()),
        "last_degC": float(curve.temp_degC[-1]),
        "n": int(curve.t_s.size),
    }
    rows = [
        Row(
            _("{name} could have grown").format(name=model.name),
            _("{n:.2f} log").format(n=growth.without_lag),
            _("{times:.1f} times as many, if growth began at once").format(
                times=10 ** min(float(growth.without_lag), 12.0)
            ),
        )
    ]
    if growth.with_lag is not None:
        rows.append(
            Row(
                _("If they first had to settle in"),
                _("{n:.2f} log").format(n=growth.with_lag),
                _("the lag of the same source"),
            )
        )
    rows.append(
        Row(
            _("Cold for good after"),
            span(cold_s),
            _("{limit} or below; the log is {span} long").format(
                limit=cold, span=span(curve.length_s)
            ),
        )
    )
    return Result(
        values,
        tuple(rows),
        by_severity((*trouble, *growth.findings, judge_growth(growth), judge_cumulative(curve))),
        (_(model.note),) if model.note else (),
        (Source(model.citation, model.status),),
    )


def _lethality() -> Calculation:
    from pinfeather.hygiene.lethality import COOKING_CARD

    return Calculation(
        name="lethality",
        title=_("Cooking"),
        question=_("How long at a temperature makes a bird safe, or was this cook enough?"),
        formula=_(
            "Time at a temperature that kills 7 tenfolds of Salmonella, from the published table;"
            " between rows the logarithm of time is straight. Over a curve:"
            " kill = ∫ 7 dt / time(T). 165 °F is enough at once."
        ),
        valid_range=_(
            "The coldest part. Chicken to 12 % fat; turkey, duck and goose to 1 % only, because"
            " the other columns were not read. Below 136 °F no holding time is given here."
        ),
        sources=(
            Source(
                _(
                    "FSIS Cooking Guideline for Meat and Poultry Products (Revised Appendix A),"
                    " December 2021, Tables 3 and 4"
                ),
                "second hand",
            ),
        ),
        inputs=(
            Input(
                "temp",
                _("Held at"),
                "temperature",
                "150 F",
                "65.6 C",
                _("The coldest part."),
                optional=True,
            ),
            Input(
                "bird",
                _("Bird"),
                "choice",
                "chicken",
                options=(
                    ("chicken", _("Chicken")),
                    ("turkey", _("Turkey")),
                    ("duck", _("Duck")),
                    ("goose", _("Goose")),
                ),
            ),
            Input(
                "fat",
                _("Fat in the meat"),
                "percent",
                "12 %",
                hint=_("More fat takes longer; breast without skin 1 %."),
            ),
            *logfile.inputs(optional=True),
        ),
        run=_run_lethality,
        example='--temp "150 F" --bird chicken --fat "1 %"',
        cautions=COOKING_CARD,
        aliases={**logfile.ALIASES, "temp_degC": "temp", "fat_frac": "fat"},
    )


def _run_lethality(given: Given) -> Result:
    from pinfeather.hygiene.lethality import cook, dwell_s

    bird = cast("Bird", given.word("bird"))
    data, temp = given.data("log"), given.maybe("temp")
    if data is not None:
        curve, trouble = logfile.read_curve_from(
            data, column=given.word("column"), unit=given.word("unit")
        )
        kill = cook(curve, bird=bird, fat_frac=given.number("fat"))
        return Result(
            {
                "log10_kill": float(kill.log10),
                "instant": kill.instant,
                "warmest_degC": float(curve.temp_degC.max()),
            },
            (
                Row(
                    _("Killed"),
                    _("7 log or more") if kill.instant else _("{n:.1f} log").format(n=kill.log10),
                    _("7 log is enough"),
                ),
                Row(_("Warmest"), degrees(float(curve.temp_degC.max()), given.units)),
            ),
            by_severity((*trouble, *kill.findings)),
        )
    if temp is None:
        raise InputError("temp", None, _("Write a temperature, or choose a logger’s file."))
    held = dwell_s(temp, bird=bird, fat_frac=given.number("fat"))
    never = math.isinf(held)
    findings = (
        Finding(
            "cook.too_cool",
            Severity.STOP,
            _("No holding time is known at {temp}: it is not cooked.").format(
                temp=limit(temp, given.units)
            ),
            _("Cook it to 165 °F (74 °C) in the thickest part."),
            measured=temp,
            unit="C",
            citation="FSIS Cooking Guideline (Revised Appendix A), December 2021",
            status="second hand",
        ),
    )
    return Result(
        {"time_s": None if never else held, "temp_degC": temp},
        (
            Row(
                _("Hold at {temp} for").format(temp=limit(temp, given.units)),
                _("at once") if held == 0 else span(None if never else held),
                _("from when the coldest part is that hot"),
            ),
        ),
        findings if never else (),
    )
