"""What left the shop: a label of each product, and the sales with the fields the rules ask for."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

from pinfeather.actions.binder.source import Source
from pinfeather.actions.day import days as day_actions
from pinfeather.actions.desk import labels as package_labels
from pinfeather.day.events import Event, Package
from pinfeather.errors import PinfeatherError
from pinfeather.reports.binder import Block, Facts, Section, Specimen, Specimens
from pinfeather.reports.sheet_parts import Answer
from pinfeather.reports.table_sheet import SheetTable
from pinfeather.rules.sale import FIELD_WORDS
from pinfeather.words import gettext as _

_MOST_SPECIMENS: Final = 24
"""More kinds of label than a small shop has."""
_COLUMNS: Final = ("buyer_name", "buyer_address", "sale_place", "species", "slaughter_date")
"""Fields of a sale that stand in a column of their own only where the rules ask for them."""


def specimens(source: Source, *, now: dt.datetime) -> tuple[Specimen, ...]:
    """Return the newest label of each product of the period, as it was printed."""
    newest: dict[str, tuple[int, Package]] = {}
    for day in source.days:
        for package in day.done.packages:
            newest[package.product] = (day.id, package)
    found = []
    for product in sorted(newest)[:_MOST_SPECIMENS]:
        day_id, package = newest[product]
        try:
            pdf = package_labels.specimen(day_actions.day(day_id), package, printed_at=now)
        except PinfeatherError:  # a text too long for the label: the desk says so there
            continue
        words = _("Label of {product}, package {n}").format(product=product, n=package.number)
        found.append(Specimen(product, pdf, words))
    return tuple(found)


def labels_section(found: Sequence[Specimen]) -> Section:
    """Return one label of each product, in the words it was sold with."""
    return Section(
        _("Labels"),
        _("One label of each product packed in this period: the newest."),
        (Specimens(tuple(found)),) if found else (),
        fresh=False,
    )


def sold(source: Source) -> tuple[tuple[Event, tuple[Mapping[str, Any], ...]], ...]:
    """Return each sale of the period with the packages that were not brought back."""
    back: dict[str, set[str]] = {}
    for one in source.of_kind("refund"):
        back.setdefault(str(one.payload["sale"]), set()).update(one.payload["packages"])
    found = []
    for sale in source.of_kind("sale"):
        gone = back.get(sale.client_id, set())
        lines = tuple(row for row in sale.payload["lines"] if row["package"] not in gone)
        if lines:
            found.append((sale, lines))
    return tuple(found)


def lacking(source: Source) -> tuple[int, tuple[str, ...]]:
    """Return how many sales lack a field the rules ask for, and which fields."""
    wanted = source.profile.records.sale_fields
    many, fields = 0, dict[str, None]()
    for sale, _lines in sold(source):
        buyer = sale.payload["buyer"]
        said = {
            "buyer_name": buyer["name"],
            "buyer_address": buyer["address"],
            "sale_place": sale.payload.get("venue", ""),
        }
        missing = [name for name in wanted if name in said and not said[name]]
        many += bool(missing)
        fields.update(dict.fromkeys(missing))
    return many, tuple(_(FIELD_WORDS[name]) for name in fields)


def sales_section(source: Source) -> Section:
    """Return the sales: sums by product, then each sale in the fields the rules ask for."""
    sales = sold(source)
    rules = source.profile.records
    packages = sum(len(lines) for _sale, lines in sales)
    pounds = sum((Decimal(row["net_lb"]) for _s, lines in sales for row in lines), Decimal(0))
    duty = _("{duty} ({citation}; how known: {status})").format(
        duty=rules.sale_duty.text,
        citation=rules.sale_duty.citation,
        status=_(rules.sale_duty.status),
    )
    blocks: list[Block] = [
        Facts(
            (
                Answer(_("Sales"), str(len(sales))),
                Answer(_("Packages"), str(packages)),
                Answer(_("Sold"), str(pounds), "lb"),
            )
        ),
        SheetTable(
            _("By product"),
            (_("Product"), _("Packages"), _("Net weight")),
            _by_product(sales),
            ("1", "auto", "auto"),
            (1, 2),
        ),
        _each(source, sales),
    ]
    return Section(
        _("Sales"),
        _("Money is left out: the rules ask for no prices. {duty}").format(duty=duty),
        tuple(blocks),
    )


def _by_product(
    sales: Sequence[tuple[Event, tuple[Mapping[str, Any], ...]]],
) -> tuple[tuple[str, ...], ...]:
    total: dict[str, tuple[int, Decimal]] = {}
    for _sale, lines in sales:
        for row in lines:
            n, lb = total.get(row["product"], (0, Decimal(0)))
            total[row["product"]] = n + 1, lb + Decimal(row["net_lb"])
    return tuple((name, str(n), f"{lb} lb") for name, (n, lb) in sorted(total.items()))


def _each(
    source: Source, sales: Sequence[tuple[Event, tuple[Mapping[str, Any], ...]]]
) -> SheetTable:
    asked = [name for name in _COLUMNS if name in source.profile.records.sale_fields]
    heads = {
        "buyer_name": _("Buyer"),
        "buyer_address": _("Address"),
        "sale_place": _("Place"),
        "species": _("Kind"),
        "slaughter_date": _("Slaughtered"),
    }
    rows = []
    for sale, lines in sales:
        buyer = sale.payload["buyer"]
        by_product: dict[str, list[Mapping[str, Any]]] = {}
        for row in lines:
            by_product.setdefault(row["product"], []).append(row)
        for product, group in by_product.items():
            cells = {
                "buyer_name": buyer["name"],
                "buyer_address": buyer["address"],
                "sale_place": _(str(sale.payload.get("venue", "")).replace("_", " ")),
                "species": ", ".join(sorted({str(row["species"]) for row in group})),
                "slaughter_date": ", ".join(sorted({row["slaughtered_on"] for row in group})),
            }
            rows.append(
                (
                    sale.at.astimezone(source.zone).date().isoformat(),
                    str(sale.payload["number"]),
                    product,
                    str(len(group)),
                    f"{sum((Decimal(row['net_lb']) for row in group), Decimal(0))} lb",
                    *(cells[name] for name in asked),
                )
            )
    wide = {"buyer_address": "4", "buyer_name": "3"}
    return SheetTable(
        _("Each sale"),
        (
            _("Date"),
            _("Sale"),
            _("Product"),
            _("Packages"),
            _("Net weight"),
            *(heads[name] for name in asked),
        ),
        tuple(rows),
        ("auto", "auto", "3", "auto", "auto", *(wide.get(name, "2") for name in asked)),
        (1, 3, 4),
    )
