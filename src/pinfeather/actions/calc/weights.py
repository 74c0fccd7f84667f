"""Net weight, the lot test, what a label lacks, and codes."""

from __future__ import annotations

import csv
import io
import re
from decimal import Decimal, InvalidOperation
from typing import Final

from pinfeather import quantity
from pinfeather.actions.calc.model import Calculation, Given, Input, Result, Row, Source
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.packs.lot_test import judge_lot
from pinfeather.packs.net_weight import (
    declaration,
    in_pounds,
    net_weight,
    round_tare,
    standard_declaration,
)
from pinfeather.packs.price import dollars, total_price
from pinfeather.packs.scale import largest_division_lb
from pinfeather.packs.weigh_tables import Category, sample_plan, strictest_variation
from pinfeather.rules.profile import load
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

_FINE_LB: Final = Decimal("0.00001")
_EXAMPLE_LB: Final = (
    "4.510", "4.494", "4.504", "4.488", "4.500", "4.492",
    "4.506", "4.486", "4.502", "4.490", "4.496", "4.496",
)  # fmt: skip
_LABEL: Final = "4.50"
_WEIGHT: Final = re.compile(r"\d+(\.\d+)?")


def example_rows() -> str:
    """Return a sample of a dozen birds as a file would hold it."""
    return "label,net\n" + "".join(f"{_LABEL},{net}\n" for net in _EXAMPLE_LB)


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about weights on packages."""
    return (_net_weight(), _lot_test())


def pounds(name: str, text: str, *, division: Decimal = _FINE_LB) -> Decimal:
    """Read a weight somebody wrote, in decimal pounds.

    Raises
    ------
    InputError
        If it is no weight.
    """
    try:
        weight = quantity.parse(text, "mass", name=name)
        return Decimal(0) if weight.si == 0 else in_pounds(weight, division=division)
    except InputError as fault:
        raise InputError(name, text, fault.problem) from fault


def _net_weight() -> Calculation:
    return Calculation(
        name="net-weight",
        title=_("Net weight"),
        question=_("What goes on the label, and what does the package cost?"),
        formula=_(
            "Net = what the scale shows − tare, the tare rounded up to the scale’s step. Total ="
            " printed net × price per pound, to the cent, half a cent up."
        ),
        valid_range=_(
            "Packages that each have their own weight are declared in decimal pounds; with a"
            " declared weight, as for packs that are all alike, ounces and pounds."
        ),
        sources=(
            Source("9 CFR 381.121(c)(5), (9); 442.2(b)", "read"),
            Source("NIST Handbook 133 (2026), chapter 2", "read"),
            Source(_("NIST Handbook 44, Appendix A, for rounding a weight"), "unverified"),
            Source(_("Half a cent up: common practice for money"), "common practice"),
        ),
        inputs=(
            Input("gross", _("Scale shows"), "text", "4 lb 3 oz", hint=_("Such as 4.52 lb.")),
            Input("tare", _("Tare"), "text", "0 lb", hint=_("Bag, clip, label: 14 g.")),
            Input("step", _("Scale’s step"), "text", "0.01 lb"),
            Input("price", _("Dollars per pound"), "text", hint=_("Such as 5.25."), optional=True),
            Input(
                "declared",
                _("Declared weight"),
                "text",
                hint=_("Where every package declares the same, such as 8 oz."),
                optional=True,
            ),
        ),
        run=_run_net_weight,
        example='--gross "5.43 lb" --tare "14 g" --price 5.25',
    )


def _run_net_weight(given: Given) -> Result:
    step = pounds("step", given.word("step")).normalize()
    if step <= 0:
        raise InputError("step", given.word("step"), _("The step of a scale is more than zero."))
    gross = pounds("gross", given.word("gross"), division=step)
    tare = round_tare(pounds("tare", given.word("tare")), division=step)
    net = net_weight(gross, tare, division=step)
    said, printed = declaration(net), net
    if given.word("declared"):
        printed = pounds("declared", given.word("declared")).normalize()
        said = standard_declaration(load("us-federal"), printed)
    rows = [
        Row(_("On the label"), said),
        Row(
            _("Scale, less tare"),
            _("{gross} lb − {tare} lb").format(gross=gross, tare=tare),
        ),
        Row(
            _("A scale that can check such packages has steps of at most"),
            f"{largest_division_lb(printed):f} lb",
        ),
    ]
    values: dict[str, float | str | None] = {
        "net_kg": float(net) * KG_PER_LB,
        "net_lb": str(net),
        "declaration": said,
        "total_USD": None,
    }
    if given.word("price"):
        try:
            total = total_price(printed, Decimal(given.word("price").lstrip("$")))
        except (InvalidOperation, InputError) as error:
            raise InputError(
                "price", given.word("price"), _("Write dollars, such as 5.25.")
            ) from error
        rows.insert(1, Row(_("Total"), dollars(total)))
        values["total_USD"] = str(total)
    notes: tuple[str, ...] = ()
    if given.word("declared") and net < printed:
        notes = (_("It holds less than it declares: fill it up."),)
    return Result(dict(values), tuple(rows), notes=notes)


def _lot_test() -> Calculation:
    return Calculation(
        name="lot-test",
        title=_("Lot test"),
        question=_("Would a lot of packages pass the weights office’s test?"),
        formula=_(
            "Error = net found − label. A lot fails if the mean error is below zero by at least"
            " t(0.975, n − 1) ÷ √n standard deviations (category A) or at all (category B), or if"
            " more packages than allowed are short by more than the table permits one package."
        ),
        valid_range=_(
            "Random samples. Category A is for all packages but those of plants under federal"
            " inspection, which are tested by B. A mean of exactly zero passes and one exactly at"
            " the limit fails, on which the handbook is silent. The smaller of two tables is"
            " taken for the most one package may be short."
        ),
        sources=(
            Source("NIST Handbook 133 (2026), chapter 2", "read"),
            Source(_("NIST Handbook 133, Tables 2-1, 2-2, 2-5, 2-9: not read whole"), "unverified"),
            Source(_("Sample correction factor, Student’s t: worked out here"), "computed"),
        ),
        inputs=(
            Input(
                "weights",
                _("Weights found"),
                "file",
                example_rows(),
                hint=_("Rows of label and net in pounds, headed label,net."),
            ),
            Input(
                "lot",
                _("Packages in the lot"),
                "integer",
                hint=_("Empty: only those weighed."),
                optional=True,
            ),
            Input(
                "category",
                _("Category"),
                "choice",
                "A",
                options=(
                    ("A", _("A: an exempt farm")),
                    ("B", _("B: under federal inspection")),
                ),
            ),
        ),
        run=_run_lot_test,
        example="WEIGHTS.csv --lot 40",
    )


def _run_lot_test(given: Given) -> Result:
    labels, nets = _rows(given.data("weights") or b"")
    category: Category = "B" if given.word("category") == "B" else "A"
    lot = given.whole("lot") if given.read["lot"] is not None else len(nets)
    if lot < len(nets):
        raise InputError("lot", lot, _("The lot holds at least the packages that were weighed."))
    plan = sample_plan(lot, category)
    try:
        verdict = judge_lot(nets, labels, lot=lot, category=category)
    except InputError as fault:
        raise InputError("weights", len(nets), fault.problem) from fault
    most = max(labels)
    rows = (
        Row(_("The lot"), _("passes") if verdict.passes else _("fails")),
        Row(
            _("Mean error"),
            f"{verdict.mean_lb:+.4f} lb",
            _("may be short by less than {limit:.4f} lb").format(limit=verdict.limit_lb),
        ),
        Row(
            _("Standard deviation"),
            f"{verdict.spread_lb:.5f} lb",
            _("of {n} packages; {sample} are wanted").format(n=len(nets), sample=plan.sample),
        ),
        Row(
            _("Short by more than the table permits"),
            str(len(verdict.short)),
            _("{n} allowed; {mav} lb for a label of {label} lb").format(
                n=plan.over_mav_allowed, mav=strictest_variation(most).mav_lb, label=most
            ),
        ),
    )
    return Result(
        {
            "passes": verdict.passes,
            "mean_kg": verdict.mean_lb * KG_PER_LB,
            "spread_kg": verdict.spread_lb * KG_PER_LB,
            "limit_kg": verdict.limit_lb * KG_PER_LB,
            "short": [place + 1 for place in verdict.short],
            "n": len(nets),
            "sample": plan.sample,
        },
        rows,
        verdict.findings,
        sources=(
            Source(plan.citation, plan.status),
            Source(strictest_variation(most).citation, strictest_variation(most).status),
        ),
    )


def _rows(data: bytes) -> tuple[list[Decimal], list[Decimal]]:
    """Read label and net of each package; a bare number is in pounds."""
    text = data.decode("utf-8-sig", "replace")
    reader = csv.DictReader(io.StringIO(text), skipinitialspace=True)
    heads = {(name or "").strip().casefold(): name for name in reader.fieldnames or ()}
    if not {"label", "net"} <= heads.keys():
        raise InputError("weights", "", _("The first line must be: label,net."))
    labels, nets, faults = [], [], []
    for line, row in enumerate(reader, start=2):
        try:
            each = [_pounds(row.get(heads[name]) or "") for name in ("label", "net")]
        except InputError as fault:
            sentence = _("Line {line}: {why}").format(line=line, why=fault.problem)
            faults.append(InputError("weights", line, sentence))
            continue
        labels.append(each[0])
        nets.append(each[1])
    if not labels and not faults:
        faults.append(InputError("weights", "", _("There is no weight in it.")))
    if faults:
        raise InputFaultsError(faults)
    return labels, nets


def _pounds(text: str) -> Decimal:
    text = text.strip()
    return Decimal(text) if _WEIGHT.fullmatch(text) else pounds("weights", text)
