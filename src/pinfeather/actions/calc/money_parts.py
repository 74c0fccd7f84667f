"""Joint cost in four ways, and whether cutting up pays."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Final

from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.actions.calc.money import sum_of_money
from pinfeather.actions.calc.wording import percent
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.money.cents import cents_from, dollars, half_up
from pinfeather.money.cut_up import Part, cut_up
from pinfeather.money.joint import ANSWERS, Product, Way, further_work, share_joint
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

_ROW: Final = re.compile(
    r"(?P<name>[^=]+?)\s*=\s*(?P<weight>\d+(?:\.\d+)?)\s*(?P<unit>lb|kg)"
    r"(?:\s+at\s+(?P<raw>\$?[\d.,]+))?"
    r"(?:\s+then\s+(?P<final>\$?[\d.,]+)(?:\s+work\s+(?P<work>\$?[\d.,]+))?)?"
    r"(?P<by>\s+by-product)?"
)
_PART: Final = re.compile(r"(.+?)\s+(\d+(?:\.\d+)?)\s*%\s+at\s+(\$?[\d.,]+)")
_WAY_WORDS: Final = {
    Way.WEIGHT: gettext_noop("By weight"),
    Way.SALES: gettext_noop("By sales value at the table"),
    Way.REALISABLE: gettext_noop("By what is left after further work"),
    Way.MARGIN: gettext_noop("With one margin for all"),
}


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about joint cost and cutting up."""
    return (
        _cut_up(),
        Calculation(
            name="joint",
            title=_("One bird, several parts"),
            question=_("How is the cost of birds shared among their parts?"),
            formula=_(
                "By weight: share = pounds / Σ pounds. By sales value: pounds × price / Σ. By net"
                " realisable value: (final value − further work) / Σ. With a constant margin: final"
                " value × (1 − margin) − further work. By-products are taken off first. Cents left"
                " over go to the largest remainders."
            ),
            valid_range=_(
                "For stock at cost and for price floors. Whether cutting up or smoking pays never"
                " depends on it: compare the added revenue with the added work alone."
            ),
            sources=(
                Source(_("Horngren, Datar and Rajan, Cost Accounting, chapter 16"), "second hand"),
            ),
            inputs=(
                Input(
                    "cost",
                    _("Cost of the birds up to the table"),
                    "text",
                    "$400",
                    hint=_("All of them together."),
                ),
                Input(
                    "parts",
                    _("Parts"),
                    "text",
                    "breast = 26 lb at 11.00 then 13.00 work 18.00; legs = 32 lb at 5.50;"
                    " wings = 11 lb at 6.00; backs = 22 lb at 1.50; feet = 4 lb at 1.00 by-product",
                    "breast = 12 kg at 24.00 then 28.00 work 18.00; legs = 14.5 kg at 12.00;"
                    " wings = 5 kg at 13.00; backs = 10 kg at 3.30; feet = 2 kg at 2.00 by-product",
                    hint=_(
                        "Name = weight, “at” the price of a pound off the table, “then” its price"
                        " in the end, “work” what that costs, “by-product” where it is one."
                    ),
                ),
            ),
            run=_run,
            example='--cost "$400" --parts "breast = 26 lb at 11.00; legs = 32 lb at 5.50;'
            ' backs = 22 lb at 1.50"',
            aliases={"joint": "cost", "products": "parts"},
        ),
    )


def _cut_up() -> Calculation:
    return Calculation(
        name="cut-up",
        title=_("Whole or in parts"),
        question=_("Does cutting birds up pay for its labour?"),
        formula=_(
            "Gain = Σ part × price − whole bird × price − hours × pay − bags. The parts’ prices at"
            " which it just pays are all raised by (whole + work) / parts."
        ),
        valid_range=_(
            "What the bird cost does not enter: it is spent either way. Weigh your own parts; the"
            " shares here are an example. Whole birds may sell where parts do not."
        ),
        sources=(
            Source(
                _("Horngren, Datar and Rajan, Cost Accounting, chapter 16: process further"),
                "unverified",
            ),
            Source(_("Shares of the parts: a made-up example"), "assumed"),
        ),
        inputs=(
            Input("mass", _("Dressed weight"), "mass", "4.2 lb", "1.9 kg"),
            Input("whole", _("Price of whole bird, a pound"), "text", "$5.50"),
            Input(
                "parts",
                _("Parts"),
                "text",
                "breast 27 % at 12.00; legs 33 % at 5.50; wings 11 % at 6.50; back 22 % at 2.00",
                hint=_("Name, share of the bird, price of a pound."),
            ),
            Input("time", _("Time for a bird"), "time", "9 min"),
            Input("pay", _("Pay of an hour"), "text", "$18"),
            Input("bags", _("Bags and labels more, a bird"), "text", "$0.70"),
        ),
        run=_run_cut_up,
        example='--mass "4.2 lb" --whole "$5.50" --time "9 min" --pay "$18"',
        aliases={"bird_lb": "mass", "hours": "time", "parts": "parts"},
    )


def _run_cut_up(given: Given) -> Result:
    parts = []
    for part in given.word("parts").replace("\n", ";").split(";"):
        if part.strip():
            match = _PART.fullmatch(part.strip())
            if match is None:
                raise InputError(
                    "parts",
                    part,
                    _("“{part}” is not a part. Write it like breast 27 % at 12.00.").format(
                        part=part.strip()
                    ),
                )
            cents = cents_from(match[3], name="parts")
            parts.append(Part(match[1], Fraction(match[2]) / 100, cents))
    found = cut_up(
        parts,
        bird_lb=Fraction(repr(given.number("mass"))) / Fraction(str(KG_PER_LB)),
        whole_cents_per_lb=sum_of_money(given, "whole"),
        hours=Fraction(repr(given.number("time"))) / 3600,
        pay_cents_per_h=sum_of_money(given, "pay"),
        bags_cents=sum_of_money(given, "bags"),
    )
    pays = found.gain_cents > 0
    pay = found.pay_cents_per_h
    return Result(
        {
            "gain_cents": found.gain_cents,
            "whole_cents": found.whole_cents,
            "parts_cents": found.parts_cents,
            "work_cents": found.work_cents,
            "pay_cents_per_h": pay,
            "needed_cents_per_lb": dict(found.needed_cents),
            "left_frac": float(found.left_frac),
        },
        (
            Row(
                _("Gained by cutting up a bird"),
                dollars(found.gain_cents),
                _("it pays for its labour") if pays else _("it does not pay for its labour"),
            ),
            Row(_("An hour of cutting earns"), _("no time given") if pay is None else dollars(pay)),
            Row(_("The parts bring"), dollars(found.parts_cents)),
            Row(_("The whole bird brings"), dollars(found.whole_cents)),
            Row(_("Labour and bags"), dollars(found.work_cents)),
            *(
                Row(_("{part} at least, a pound").format(part=name), dollars(cents))
                for name, cents in found.needed_cents
            ),
            Row(_("In none of the parts"), percent(float(found.left_frac))),
        ),
    )


def _run(given: Given) -> Result:
    joint, products = sum_of_money(given, "cost"), _products(given)
    try:
        ways = share_joint(joint, products)
    except InputFaultsError as error:
        raise InputFaultsError(
            [
                InputError("parts", f.value, f"{f.problem} {f.value or ''}".strip())
                for f in error.faults
            ]
        ) from error
    best = next(w for w in (Way.SALES, Way.REALISABLE, Way.WEIGHT, Way.MARGIN) if w in ways)
    main = [at for at, one in enumerate(products) if not one.by_product]
    first = products[main[0]]
    values: dict[str, Json] = {
        "joint_cents": ways[best].joint_cents,
        "ways": {
            way.value: {products[at].name: shares.cents[at] for at in main}
            for way, shares in ways.items()
        },
    }
    rows = [
        Row(
            _("{part}, {way}").format(part=first.name, way=_(_WAY_WORDS[best]).lower()),
            dollars(ways[best].cents[main[0]]),
            _each(ways[best].cents[main[0]], first, given),
        )
    ]
    for way, shares in ways.items():
        told = "; ".join(f"{products[at].name} {dollars(shares.cents[at])}" for at in main)
        margin = shares.margin_frac
        sign = (
            "" if margin is None else _("margin {m}").format(m=percent(float(margin), decimals=1))
        )
        rows.append(Row(_(_WAY_WORDS[way]), told, sign))
    gains = further_work(products)
    values["further_cents"] = {one.name: one.gain_cents for one in gains if one.work_cents}
    rows += [
        Row(
            _("Further work on {part}").format(part=one.name),
            dollars(one.gain_cents),
            _("it pays") if one.gain_cents > 0 else _("it does not pay"),
        )
        for one in gains
        if one.work_cents
    ]
    notes = [f"{_(_WAY_WORDS[way])}: {_(ANSWERS[way])}" for way in ways]
    below = [products[at].name for at in main if any(s.cents[at] < 0 for s in ways.values())]
    if below:
        notes.append(
            _("A share below zero for {parts}: another way answers better.").format(
                parts=", ".join(below)
            )
        )
    return Result(values, tuple(rows), notes=tuple(notes))


def _each(cents: int, one: Product, given: Given) -> str:
    kg = Decimal(str(KG_PER_LB)) if given.units == "metric" else Decimal(1)
    if not one.weight_lb:
        return ""
    each = dollars(Decimal(cents) / Decimal(str(one.weight_lb)) / kg)
    return (_("{price} a kg") if given.units == "metric" else _("{price} a lb")).format(price=each)


def _products(given: Given) -> list[Product]:
    found, faults = [], []
    for part in given.word("parts").replace("\n", ";").split(";"):
        if not part.strip():
            continue
        try:
            found.append(_product(part.strip()))
        except InputError as fault:
            faults.append(InputError("parts", part.strip(), fault.problem))
    if faults or not found:
        empty = InputError("parts", "", _("Write at least one part."))
        raise InputFaultsError(faults or [empty])
    return found


def _product(part: str) -> Product:
    match = _ROW.fullmatch(part)
    if match is None or not (match["raw"] or match["final"]):
        raise InputError(
            "parts",
            part,
            _("“{part}” is not a part. Write it like breast = 26 lb at 11.00.").format(part=part),
        )
    weight = Decimal(match["weight"])
    raw = None if match["raw"] is None else half_up(weight * cents_from(match["raw"]))
    final = raw if match["final"] is None else half_up(weight * cents_from(match["final"]))
    work = 0 if match["work"] is None else cents_from(match["work"])
    if match["unit"] == "kg":
        weight /= Decimal(str(KG_PER_LB))
    return Product(match["name"], weight, raw, final or 0, work, match["by"] is not None)
