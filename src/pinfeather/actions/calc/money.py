"""What a bird cost, what to ask for it, and whether a purchase is worth it."""

from __future__ import annotations

import re
import tomllib
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Final

import numpy as np

from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.actions.calc.wording import between, percent
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.money.cents import cents_from, dollars, half_up
from pinfeather.money.cost_file import cost_answer, example_text, read_cost_file
from pinfeather.money.costing import View
from pinfeather.money.entries import KIND_WORDS
from pinfeather.money.equipment import Equipment, annuity, recovery_factor
from pinfeather.money.price import (
    ClassPrice,
    Costs,
    break_even,
    class_prices,
    markup_of_margin,
    price_from_margin,
    rounded_up,
)
from pinfeather.money.worth import worth
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from pinfeather.money.cost_file import CostAnswer

SEED: Final = 1
_SIZE: Final = re.compile(r"(.+?)\s+(\d+(?:\.\d+)?)\s*(lb|kg)\s*x\s*(\d{1,7})")
_MATTERS_FRAC: Final = 0.005
VIEW_WORDS: Final = {
    View.FULL: "Full cost",
    View.CASH: "Cash cost: no own hours, no wear",
    View.WITHOUT_LEARNING: "Without what the first time cost",
}


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about cost and price; cutting up and joint cost stand beside."""
    return (_cost(), _price(), _annuity(), _payback())


def sum_of_money(given: Given, name: str) -> int:
    """Return a sum in dollars as cents.

    Raises
    ------
    InputError
        If it is none.
    """
    return cents_from(given.word(name), name=name)


def share(given: Given, name: str) -> Fraction:
    """Return a percentage as it was written, exactly."""
    return Fraction(repr(round(given.number(name), 12)))


def _cost() -> Calculation:
    return Calculation(
        name="cost",
        title=_("Cost of a bird"),
        question=_("What did a bird and a pound cost, and how sure is that?"),
        formula=_(
            "Sum of all costs over birds dressed, and over pounds packed; the dead are paid for by"
            " the living. Each quotient is rounded once, half a cent up. Equipment: (price −"
            " salvage) × i / (1 − (1 + i)⁻ⁿ) + salvage × i, times its share of use. The band: ten"
            " thousand draws from triangles between low and high."
        ),
        valid_range=_(
            "One lot or one season. Cash cost counts what was paid; full cost counts own hours at"
            " the wage stated and wear of equipment. The band takes the entries as independent of"
            " each other. No tax and no advice."
        ),
        sources=(
            Source(_("Derivation: sums of whole cents"), "derived"),
            Source(
                _("Edwards, Iowa State University Extension, Ag Decision Maker A3-29: recovery"),
                "read",
            ),
        ),
        inputs=(
            Input(
                "file", _("The lot’s costs"), "file", example_text(),
                hint=_("As in the guide; what stands here first is a made-up example."),
            ),
        ),
        run=_run_cost,
        example="examples/cost.toml",
    )  # fmt: skip


def _run_cost(given: Given) -> Result:
    try:
        mapping = tomllib.loads((given.data("file") or b"").decode("utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError("file", None, _("This is not TOML: {why}.").format(why=error)) from error
    try:
        file = read_cost_file(mapping)
    except InputFaultsError as error:
        raise InputFaultsError(
            [InputError("file", f.value, f"{f.name}: {f.problem}") for f in error.faults]
        ) from error
    answer = cost_answer(file, rng=np.random.default_rng(SEED))
    full, by = answer.views[View.FULL], _unit(given)
    values: dict[str, Json] = {
        "name": file.name,
        "birds": file.batch.birds,
        "packed_kg": float(full.dressed_lb) * KG_PER_LB,
    }
    for view, group in answer.views.items():
        key = view.value.replace(" ", "_")
        values[f"{key}_total_cents"] = group.total_cents
        values[f"{key}_bird_cents"] = group.per_bird_cents
        values[f"{key}_cents_per_lb"] = group.per_lb_cents
    values |= {
        "low_cents_per_lb": answer.band.low_cents,
        "high_cents_per_lb": answer.band.high_cents,
        "lines": {line.kind.value: line.cents for line in full.lines},
        "matters": {one.name: one.share_frac for one in answer.band.matters},
    }
    band = between(*(_by(cents, by) for cents in (answer.band.low_cents, answer.band.high_cents)))
    rows = [
        Row(
            _("A pound, all counted") if by == 1 else _("A kilogram, all counted"),
            _by(full.per_lb_cents or 0, by),
            _("eight times in ten {band}").format(band=band),
        ),
        Row(_("A bird, all counted"), dollars(full.per_bird_cents or 0)),
    ]
    rows += [
        Row(
            _(VIEW_WORDS[view]),
            _by(answer.views[view].per_lb_cents or 0, by),
            _("{bird} a bird").format(bird=dollars(answer.views[view].per_bird_cents or 0)),
        )
        for view in (View.CASH, View.WITHOUT_LEARNING)
    ]
    rows += [
        Row(
            _(KIND_WORDS[line.kind]),
            dollars(line.cents),
            percent(line.cents / full.total_cents if full.total_cents else 0.0),
        )
        for line in full.lines
    ]
    rows += _earned(answer, values)
    return Result(values, tuple(rows), notes=_matter_notes(answer))


def _earned(answer: CostAnswer, values: dict[str, Json]) -> list[Row]:
    file, full = answer.file, answer.views[View.FULL]
    if file.price_cents_per_lb is None:
        return []
    sales = half_up(file.price_cents_per_lb * full.dressed_lb)
    own = sum(line.cents for line in full.lines if line.kind.value == "own labour")
    left = sales - full.total_cents
    values |= {"sales_cents": sales, "left_cents": left}
    rows = [
        Row(_("Sold at {price}").format(price=dollars(file.price_cents_per_lb)), dollars(sales)),
        Row(_("Left after everything"), dollars(left)),
    ]
    if file.own_hours:
        pay = half_up((left + own) / file.own_hours)
        values["pay_cents_per_h"] = pay
        rows.append(Row(_("An own hour earns"), dollars(pay)))
    return rows


def _matter_notes(answer: CostAnswer) -> tuple[str, ...]:
    told = [
        f"{one.name} {percent(one.share_frac)}"
        for one in answer.band.matters
        if one.share_frac > _MATTERS_FRAC
    ]
    if not told:
        return (_("No band was given to anything: the cost is as sure as its sums."),)
    return (_("What makes it unsure: {list}.").format(list="; ".join(told)),)


def _unit(given: Given) -> Decimal:
    return Decimal(1) if given.units == "us" else Decimal(str(KG_PER_LB))


def _by(cents_per_lb: int, pound: Decimal) -> str:
    return dollars(Fraction(cents_per_lb) / Fraction(pound))


def _price() -> Calculation:
    return Calculation(
        name="price",
        title=_("Price of a pound"),
        question=_("What must a pound bring for these costs, this pay and this margin?"),
        formula=_(
            "Break-even = (other cost + hours × pay) / pounds. Price for a margin = cost / (1 −"
            " margin). Mark-up = margin / (1 − margin). Asking prices are rounded up to the step."
        ),
        valid_range=_(
            "A margin is a share of the price, a mark-up a share of the cost: 50 % on the cost is"
            " 33.3 % of the price. Nothing here says what neighbours will pay."
        ),
        sources=(
            Source(
                _(
                    "Painter and others, Break-even Analysis of Small-Scale Production of Pastured"
                    " Organic Poultry, PNW 665"
                ),
                "read",
            ),
            Source(_("Derivation: margin and mark-up"), "derived"),
        ),
        inputs=(
            Input("cost", _("All cost but own hours"), "text", "$1,110", hint=_("For all birds.")),
            Input("packed", _("Packed weight, all birds"), "mass", "405 lb", "184 kg"),
            Input("hours", _("Own hours"), "time", "55 h"),
            Input("pay", _("Pay of an hour"), "text", "$18"),
            Input("margin", _("Margin wanted"), "percent", "10 %", hint=_("Share of the price.")),
            Input("step", _("Prices end on"), "text", "$0.05", hint=_("Such as $0.25.")),
            Input(
                "sizes",
                _("Sizes"),
                "text",
                "small 3.6 lb x 40; large 5.2 lb x 50",
                "small 1.6 kg x 40; large 2.4 kg x 50",
                hint=_("Name, a bird’s weight, how many; may be empty."),
                optional=True,
            ),
            Input(
                "by-bird",
                _("Of the cost, by the bird"),
                "percent",
                "60 %",
                hint=_("Chicks, bags and hours go by the bird, feed by the pound."),
            ),
        ),
        run=_run_price,
        example='--cost "$1,110" --packed "405 lb" --hours "55 h" --pay "$18" --margin "10 %"',
        aliases={"hours": "hours", "dressed_lb": "packed", "step_cents": "step"},
    )


def _run_price(given: Given) -> Result:
    pounds = Fraction(repr(given.number("packed"))) / Fraction(str(KG_PER_LB))
    hours = Fraction(repr(given.number("hours"))) / 3600
    faults: list[InputError] = []
    sums: dict[str, int] = {}
    for name in ("cost", "pay", "step"):
        try:
            sums[name] = sum_of_money(given, name)
        except InputError as fault:
            faults.append(fault)
    if faults:
        raise InputFaultsError(faults)
    margin = share(given, "margin")
    pays = sorted({0, sums["pay"]})
    found = break_even(
        sums["cost"], dressed_lb=pounds, hours=hours, pays_cents=pays, step_cents=sums["step"]
    )
    paid, exact = found[-1], (sums["cost"] + hours * sums["pay"]) / pounds
    asked = rounded_up(exact / (1 - margin), sums["step"]) if margin < 1 else 0
    price_from_margin(exact, margin)
    by = _unit(given)
    values: dict[str, Json] = {
        "break_even_cents_per_lb": paid.price_cents,
        "without_pay_cents_per_lb": found[0].price_cents,
        "asking_cents_per_lb": asked,
        "markup_frac": float(markup_of_margin(margin)),
        "sales_cents": half_up(asked * pounds),
        "left_cents": half_up(asked * pounds - exact * pounds),
    }
    of = _("a pound") if by == 1 else _("a kilogram")
    sizes = _sizes(given, exact * pounds, margin, sums["step"])
    values["sizes"] = {one.name: one.price_cents for one in sizes}
    return Result(
        values,
        (
            Row(
                _("Ask"),
                f"{_by(asked, by)} {of}",
                _("{margin} of the price is left, which is {markup} on the cost").format(
                    margin=percent(float(margin), decimals=1),
                    markup=percent(float(markup_of_margin(margin)), decimals=1),
                ),
            ),
            Row(
                _("Break-even with {pay} an hour").format(pay=dollars(sums["pay"])),
                _by(paid.price_cents, by),
            ),
            Row(_("Break-even if the hours are given away"), _by(found[0].price_cents, by)),
            Row(_("All sold at that price"), dollars(half_up(asked * pounds))),
            Row(_("Left after the pay"), dollars(half_up(asked * pounds - exact * pounds))),
            *(
                Row(
                    _("Ask for {size}").format(size=one.name),
                    _by(one.price_cents, by),
                    _("costs {cost}").format(cost=_by(one.cost_cents, by)),
                )
                for one in sizes
            ),
        ),
    )


def _sizes(given: Given, cost: Fraction, margin: Fraction, step: int) -> tuple[ClassPrice, ...]:  # noqa: PLR0917
    sizes: list[tuple[str, Fraction, int]] = []
    for part in given.word("sizes").replace("\n", ";").split(";"):
        match = _SIZE.fullmatch(part.strip())
        if match is None and part.strip():
            raise InputError(
                "sizes",
                part,
                _("“{part}” is not a size. Write it like small 3.6 lb x 40.").format(
                    part=part.strip()
                ),
            )
        if match is not None:
            pound = Fraction(1) if match[3] == "lb" else 1 / Fraction(str(KG_PER_LB))
            sizes.append((match[1], Fraction(match[2]) * pound, int(match[4])))
    if not sizes:
        return ()
    birds, weight = sum(n for _n, _w, n in sizes), sum(w * n for _n, w, n in sizes)
    if not birds or not weight:
        raise InputError("sizes", given.word("sizes"), _("There are no birds in these sizes."))
    by_bird = share(given, "by-bird")
    costs = Costs(0, cost * by_bird / birds, cost * (1 - by_bird) / weight)
    return class_prices(costs, sizes, margin_frac=margin, step_cents=step)


def _annuity() -> Calculation:
    return Calculation(
        name="annuity",
        title=_("Cost of equipment"),
        question=_("What does a piece of equipment cost a year and a bird?"),
        formula=_(
            "Straight line: (price − salvage) / years. With interest: (price − salvage) × i / (1 −"
            " (1 + i)⁻ⁿ) + salvage × i. A bird: that and the repairs, times the share of use, over"
            " the birds of a year."
        ),
        valid_range=_(
            "Equal use in all years; 1 to 60 years, 0 to 100 % interest. Take interest less"
            " inflation where all other prices are today’s. Not what a tax return allows: ask a"
            " tax preparer."
        ),
        sources=(
            Source(
                _("Edwards, Iowa State University Extension, Ag Decision Maker A3-29: recovery"),
                "read",
            ),
        ),
        inputs=(
            Input("price", _("Price"), "text", "$1,450"),
            Input("salvage", _("Worth at the end"), "text", "$300"),
            Input("years", _("Years it serves"), "integer", "10"),
            Input("interest", _("Interest a year"), "percent", "5 %"),
            Input("use", _("Share of use for birds"), "percent", "100 %"),
            Input("repairs", _("Repairs a year"), "text", "$40"),
            Input("birds", _("Birds a year"), "integer", "300"),
        ),
        run=_run_annuity,
        example='--price "$1,450" --salvage "$300" --years 10 --interest "5 %" --birds 300',
        aliases={"salvage_cents": "salvage", "rate_frac": "interest", "life": "years"},
    )


def _run_annuity(given: Given) -> Result:
    import datetime as dt

    price, salvage, repairs = (sum_of_money(given, n) for n in ("price", "salvage", "repairs"))
    years, birds = given.whole("years"), given.whole("birds")
    rate, use = share(given, "interest"), share(given, "use")
    if birds < 1:
        raise InputError("birds", birds, _("At least one bird a year."))
    one = Equipment("", "", dt.date(2000, 1, 1), price, salvage, years, use, repairs)
    yearly = annuity(price, salvage_cents=salvage, rate_frac=rate, years=years)
    line = half_up(Fraction(one.wear_cents, years))
    bird = (yearly + repairs) * use / birds
    plain = (line + repairs) * use / birds
    return Result(
        {
            "annuity_cents": yearly,
            "straight_line_cents": line,
            "factor": float(recovery_factor(rate, years)),
            "bird_cents": float(bird),
            "bird_straight_line_cents": float(plain),
        },
        (
            Row(_("A bird"), dollars(bird), _("with interest and repairs")),
            Row(_("A year, with interest"), dollars(yearly)),
            Row(_("A year, straight line"), dollars(line)),
            Row(_("A bird, straight line and repairs"), dollars(plain)),
            Row(_("Recovery factor"), f"{recovery_factor(rate, years):.6f}"),
        ),
    )


def _payback() -> Calculation:
    return Calculation(
        name="payback",
        title=_("Is it worth buying?"),
        question=_("When has a purchase paid for itself, and what is it worth today?"),
        formula=_(
            "Payback: years until the yearly saving adds up to the price. Present value = Σ saving"
            " / (1 + i)ⁿ + salvage / (1 + i)ᴺ − price."
        ),
        valid_range=_(
            "The same saving each year, at the year’s end. 1 to 60 years, 0 to 100 % interest. A"
            " saved hour is money only where somebody would be paid for it or sells the time."
        ),
        sources=(Source(_("Textbook: payback and net present value"), "common practice"),),
        inputs=(
            Input("price", _("Price"), "text", "$1,450"),
            Input(
                "saves", _("Saves or brings a year"), "text", "$320",
                hint=_("Its own running cost taken off."),
            ),
            Input("years", _("Years it serves"), "integer", "10"),
            Input("interest", _("Interest a year"), "percent", "6 %"),
            Input("salvage", _("Worth at the end"), "text", "$300"),
        ),
        run=_run_payback,
        example='--price "$1,450" --saves "$320" --years 10 --interest "6 %" --salvage "$300"',
        aliases={
            "price_cents": "price", "salvage_cents": "salvage", "rate_frac": "interest",
        },
    )  # fmt: skip


def _run_payback(given: Given) -> Result:
    found = worth(
        sum_of_money(given, "price"),
        saves_cents=sum_of_money(given, "saves"),
        years=given.whole("years"),
        rate_frac=share(given, "interest"),
        salvage_cents=sum_of_money(given, "salvage"),
    )
    pays = found.present_cents >= 0
    return Result(
        {
            "payback_years": None if found.payback_years is None else float(found.payback_years),
            "discounted_years": None
            if found.discounted_years is None
            else float(found.discounted_years),
            "present_cents": found.present_cents,
        },
        (
            Row(
                _("Worth today, beyond its price"),
                dollars(found.present_cents),
                _("it pays") if pays else _("it does not pay at this interest"),
            ),
            Row(_("Paid back after"), _years(found.payback_years), _("without interest")),
            Row(_("Paid back after"), _years(found.discounted_years), _("with interest")),
        ),
    )


def _years(years: Fraction | None) -> str:
    if years is None:
        return _("never while it serves")
    return _("{n:.1f} years").format(n=float(years))
