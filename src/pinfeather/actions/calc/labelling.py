"""What a label lacks, and the code of a package."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal, InvalidOperation
from typing import Final

from pinfeather.actions.calc.model import Calculation, Given, Input, Result, Row, Source
from pinfeather.actions.calc.weights import pounds
from pinfeather.actions.rules.choices import packaged_choices
from pinfeather.errors import InputError
from pinfeather.finding import by_severity
from pinfeather.packs.bag_code import CodeSettings, package_code
from pinfeather.packs.claims import claim_findings
from pinfeather.packs.codes import US_PATTERNS, check_digit
from pinfeather.packs.label import LabelContent, check_label, element_name
from pinfeather.packs.label_words import class_findings, cold_word_findings
from pinfeather.packs.price import total_price
from pinfeather.rules.label import label_elements
from pinfeather.rules.profile import load
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

_SPECIES: Final = ("chicken", "turkey", "duck", "goose", "guinea")
_SAFE: Final = "Safe handling"


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about labels and codes."""
    return (_label_check(), _code())


def _label_check() -> Calculation:
    return Calculation(
        name="label-check",
        title=_("Label check"),
        question=_("What does a label lack, and what may not stand on it?"),
        formula=_(
            "The lines are compared with what the rules of the place ask of the exemption: each"
            " element there, its words unaltered, none forbidden; promises, class and cold words"
            " by what is known of the bird."
        ),
        valid_range=_(
            "Rules as packaged, each with its status. It does not decide that a product may be"
            " sold: show the first label to your state’s office."
        ),
        sources=(
            Source("9 CFR 381.10, 381.121, 381.125, 381.129, 381.170; 21 U.S.C. 453, 458", "read"),
        ),
        inputs=(
            Input(
                "profile", _("Rules of"), "choice", "us-federal", options=tuple(packaged_choices())
            ),
            Input("tier", _("Exemption"), "text", "producer_20000", hint=_("Its short name.")),
            Input(
                "label",
                _("The label, line by line"),
                "lines",
                "Whole chicken\nNet Wt. 4.19 lb\n$5.25 per lb\n$22.00\nKeep Refrigerated\n"
                "Juniper Hollow Farm\n1180 Quarry Bend Road\nExempted—P.L. 90-492\n"
                "Safe handling",
                hint=_("“Safe handling” alone stands for the whole block, unaltered."),
            ),
            Input("age", _("Age at slaughter"), "time", hint=_("Such as 56 d."), optional=True),
            Input("mass", _("Dressed weight"), "mass", hint=_("Such as 4.5 lb."), optional=True),
            Input(
                "species",
                _("Kind"),
                "choice",
                "chicken",
                options=tuple((kind, kind) for kind in _SPECIES),
            ),
            Input("class", _("Class it says"), "text", hint=_("Such as roaster."), optional=True),
            Input(
                "coldest",
                _("Coldest it has been"),
                "temperature",
                hint=_("Such as 33 F."),
                optional=True,
            ),
        ),
        run=_run_label_check,
        example='--tier producer_20000 --class fryer --age "56 d" --mass "4.2 lb"',
        aliases={"tier_code": "tier"},
    )


def _run_label_check(given: Given) -> Result:
    profile = load(given.word("profile"))
    rules = label_elements(profile, given.word("tier"))
    lines = [line.strip() for line in given.word("label").splitlines() if line.strip()]
    content = _content(lines, given)
    age_s, mass_kg = given.maybe("age"), given.maybe("mass")
    findings = by_severity(
        (
            *check_label(content, profile, given.word("tier")),
            *claim_findings(lines, (), (), on=dt.date(1970, 1, 1)),
            *(
                class_findings(
                    given.word("class"),
                    given.word("species"),
                    age_days=None if age_s is None else age_s / 86_400.0,
                    mass_kg=mass_kg or 0.0,
                )
                if mass_kg
                else ()
            ),
            *cold_word_findings(
                profile,
                " ".join(lines),
                coldest_degC=given.maybe("coldest"),
                frozen=content.frozen,
            ),
        )
    )
    stops = [f for f in findings if f.severity.code == "stop"]
    shown = [
        Row(
            _("The label"),
            _("has what is asked for") if not stops else _("may not go on like this"),
            _("{n} to be put right").format(n=len(stops)) if stops else "",
        ),
        Row(_("Asked for"), _names(rules.required) or _("nothing by these rules")),
        Row(_("Worth printing"), _names(rules.advised) or "–"),
    ]
    return Result(
        {"required": list(rules.required), "advised": list(rules.advised), "stops": len(stops)},
        tuple(shown),
        findings,
        sources=(Source(rules.citation, rules.status),),
    )


def _names(elements: tuple[str, ...]) -> str:
    return ", ".join(element_name(element) for element in elements)


def _content(lines: list[str], given: Given) -> LabelContent:
    """Sort lines into the elements of a label by the words rules know them by."""
    profile = load(given.word("profile"))
    rules = label_elements(profile, given.word("tier"))

    def first(*starts: str) -> str:
        for line in lines:
            if any(line.casefold().startswith(s.casefold()) for s in starts):
                return line
        return ""

    def near(wording: str) -> str:
        start = wording.split(maxsplit=1)[0].rstrip("-—").casefold()[:6]
        return next((line for line in lines if line.casefold().startswith(start)), "")

    weight = first("net w")
    handling = first("keep ref", "keep fro", "perishable")
    date = first(*(phrase.text for phrase in rules.date_phrases))
    exempt = near(rules.exempt_statement.text) if rules.exempt_statement else ""
    uninspected = near(rules.not_inspected_statement.text) if rules.not_inspected_statement else ""
    statements = tuple(
        line for line in (near(w.text) for w in rules.statements) if line and line != uninspected
    )
    per_lb = next((line for line in lines if "per lb" in line.casefold()), "")
    total = next((line for line in lines if line.startswith("$") and line != per_lb), "")
    block = bool(first(_SAFE))
    known = {weight, handling, date, exempt, uninspected, per_lb, total, *statements}
    rest = [line for line in lines if line not in known and line != first(_SAFE)]
    return LabelContent(
        product_name=rest[0] if rest else "",
        net_weight=weight,
        price_per_lb=per_lb,
        total=total,
        pack_date=date,
        lot_code=first("lot "),
        producer=tuple(line for line in rest[1:] if not line.casefold().startswith("lot ")),
        safe_handling=rules.safe_handling.lines if block else (),
        exempt_statement=exempt,
        not_inspected_statement=uninspected,
        handling=handling,
        statements=statements,
        frozen="frozen" in handling.casefold() and "or frozen" not in handling.casefold(),
    )


def _code() -> Calculation:
    return Calculation(
        name="code",
        title=_("Code"),
        question=_("What does the code on a package say?"),
        formula=_(
            "Check digit: from the right, weights 3, 1, 3, 1 …, up to the next ten. A shop’s number"
            " holds item, verifier digit and price; an element string holds article number,"
            " weight in pounds (3202), packing date (13), price (3922), lot (10), serial (21)."
        ),
        valid_range=_(
            "A shop’s number is good in that shop only, and its layout is the shop’s to say. An"
            " article number needs a company prefix licensed to you: none is made up."
        ),
        sources=(
            Source("GS1 General Specifications, 2.1.11, 3, 7.8, 7.9", "second hand"),
            Source(_("The third layout of number system 2"), "unverified"),
        ),
        inputs=(
            Input(
                "kind",
                _("Code"),
                "choice",
                "store",
                options=(
                    ("store", _("a shop’s own number with the price")),
                    ("gs1", _("an element string")),
                ),
            ),
            Input("net", _("Net weight"), "text", "4.19 lb"),
            Input("price", _("Dollars per pound"), "text", "5.25"),
            Input("item", _("Shop’s number for it"), "integer", "12345"),
            Input(
                "pattern",
                _("Shop’s layout"),
                "text",
                US_PATTERNS[0],
                hint=_("I item, V verifier, P price in cents, C check."),
            ),
            Input(
                "base",
                _("Article number"),
                "text",
                "952012345678",
                hint=_("The 12 digits before the check digit; this one is for examples only."),
            ),
            Input("lot", _("Lot"), "text", "20260912-B3-T1", hint=_("At most 20 plain letters.")),
            Input("packed", _("Packed on"), "text", "2026-09-12"),
            Input("serial", _("Number of the package"), "integer", "37"),
        ),
        run=_run_code,
        example="--kind gs1 --net '4.23 lb' --price 6.00 --lot L0712 --packed 2025-07-12",
        aliases={"gtin": "base", "10": "lot", "01": "base"},
    )


def _run_code(given: Given) -> Result:
    net = pounds("net", given.word("net"), division=Decimal("0.01"))
    try:
        total = total_price(net, Decimal(given.word("price").lstrip("$")))
    except (InvalidOperation, InputError) as error:
        raise InputError("price", given.word("price"), _("Write dollars, such as 5.25.")) from error
    try:
        packed_on = dt.date.fromisoformat(given.word("packed"))
    except ValueError as error:
        raise InputError(
            "packed", given.word("packed"), _("Write a date such as 2026-09-12.")
        ) from error
    kind = given.word("kind")
    made = package_code(
        CodeSettings("gs1" if kind == "gs1" else "store", given.word("pattern").upper()),
        item=given.whole("item"),
        base=given.word("base"),
        net_lb=net,
        total=total,
        packed_on=packed_on,
        lot=given.word("lot"),
        serial=given.whole("serial"),
    )
    assert made is not None  # noqa: S101 - item, price and base are there
    rows = [
        Row(_("The code"), made.bracketed),
        Row(_("Printed as"), made.symbol, _("{total} for {net} lb").format(total=total, net=net)),
    ]
    if kind == "store":
        rows.append(Row(_("Check digit"), str(check_digit(made.data[:-1]))))
    return Result(
        {
            "data": made.data,
            "bracketed": made.bracketed,
            "symbol": made.symbol,
            "total_USD": str(total),
            "net_kg": float(net) * KG_PER_LB,
        },
        tuple(rows),
    )
