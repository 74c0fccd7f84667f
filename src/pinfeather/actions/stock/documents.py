"""Paper of the freezer, the orders and the store: picking, pickup, receipt, card, trace."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from pinfeather import clock
from pinfeather.actions.farm import FarmView, farm
from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock import freezer, orders
from pinfeather.actions.stock import sales as sales_book
from pinfeather.actions.stock.book import Pkg
from pinfeather.actions.stock.counter import priced
from pinfeather.actions.stock.orders import OrderView
from pinfeather.actions.stock.tracing import KIND_WORDS, Trace
from pinfeather.errors import InputError, RecordNotFoundError
from pinfeather.heat.thaw import thaw_card
from pinfeather.packs.price import dollars
from pinfeather.packs.till import due
from pinfeather.reports.bird_card import BirdCard, bird_cards_pdf
from pinfeather.reports.labels import ICONS, SafeHandling, SafeHandlingLine
from pinfeather.reports.sheet_parts import Answer
from pinfeather.reports.table_sheet import TICK, SheetTable, TableSheet, table_sheet_pdf
from pinfeather.rules.label import label_elements
from pinfeather.rules.profile import load
from pinfeather.units import KG_PER_LB
from pinfeather.words import date_text
from pinfeather.words import gettext as _

WHERE_WORDS = {
    "here": "still here",
    "buyer": "sold",
    "unnamed": "sold, nobody wrote to whom",
    "own table": "own table",
    "given": "given away",
    "wasted": "thrown out",
    "missing": "missing at a count",
}


def _printed(now: dt.datetime, home: FarmView) -> dt.datetime:
    return now.astimezone(clock.zone(home.zone))


def _until(until: dt.date) -> tuple[OrderView, ...]:
    return tuple(one for one in orders.orders(until=until) if one.promised)


def pick_list_pdf(until: dt.date, *, now: dt.datetime) -> bytes:
    """Print what to take out of which place, for the orders up to a pickup day."""
    home = farm()
    found = [(package, one) for one in _until(until) for package in one.promised]
    found.sort(key=lambda pair: (pair[0].kept.place, pair[0].packed_on, pair[0].number))
    places = {package.kept.place for package, _one in found}
    rows = tuple(
        (
            TICK,
            package.kept.place or _("not put away"),
            package.code,
            package.product,
            f"{package.net_lb} lb",
            one.customer.name,
            _("giblets") if any(w.giblets for w in one.wishes) else "",
        )
        for package, one in found
    )
    return table_sheet_pdf(
        TableSheet(
            home.name,
            _("Pick list"),
            _("for pickups up to {date}").format(date=date_text(until)),
            _("Orders"),
            answers=(
                Answer(_("Packages"), str(len(found))),
                Answer(_("Weight"), str(freezer.pounds(p for p, _o in found)), "lb"),
                Answer(_("Places"), str(len(places))),
            ),
            tables=(
                SheetTable(
                    _("In the order of the places"),
                    ("", _("Place"), _("Package"), _("Product"), _("Net"), _("For"), _("With")),
                    rows,
                    ("auto", "3", "auto", "4", "auto", "4", "auto"),
                    (4,),
                    _("Nothing is promised yet. Give packages to the orders first."),
                ),
            ),
            demo=home.demo,
        ),
        printed_at=_printed(now, home),
    )


def pickup_sheet_pdf(until: dt.date, *, now: dt.datetime) -> bytes:
    """Print who comes when, for which packages, and what is still to pay."""
    home = farm()
    found = _until(until)
    tables = []
    for day in sorted({one.pickup_on for one in found}):
        rows = tuple(_pickup_row(one, home) for one in found if one.pickup_on == day)
        tables.append(
            SheetTable(
                date_text(day),
                ("", _("When"), _("Who"), _("Packages"), _("Price"), _("To pay"), _("Signed")),
                rows,
                ("auto", "auto", "3", "4", "auto", "auto", "3"),
                (4, 5),
            )
        )
    birds = sum(len(one.promised) for one in found)
    return table_sheet_pdf(
        TableSheet(
            home.name,
            _("Pickup sheet"),
            _("up to {date}").format(date=date_text(until)),
            _("Orders"),
            answers=(
                Answer(_("Customers"), str(len(found))),
                Answer(_("Packages"), str(birds)),
            ),
            tables=tuple(tables) or (SheetTable(_("Pickups"), ("",), ()),),
            notes=(_("Prices follow from the printed weights; deposits are taken off."),),
            demo=home.demo,
        ),
        printed_at=_printed(now, home),
    )


def _pickup_row(one: OrderView, home: FarmView) -> tuple[str, ...]:
    try:
        asked = due([priced(p, home).total for p in one.promised], deposit=one.deposit)
        money = (dollars(asked.total), dollars(asked.to_pay))
    except InputError:  # no price anywhere: it is agreed at the counter
        money = ("", "")
    bags = ", ".join(f"{p.code} ({p.net_lb} lb)" for p in one.promised)
    contact = f"\n{one.customer.phone}" if one.customer.phone else ""
    note = f"\n{one.note}" if one.note else ""
    return (TICK, one.window, one.customer.name + contact + note, bags, *money, "")


def receipt_pdf(sale_id: str, *, now: dt.datetime) -> bytes:
    """Print what was sold, to whom, and what was paid."""
    home, found = farm(), sales_book.sale(sale_id)
    paper = found.payload
    zone = clock.zone(home.zone)
    buyer = paper["buyer"]
    rows = tuple(
        (
            row["product"] + (" " + _("(brought back)") if row["back"] else ""),
            row["lot_code"],
            str(row["number"]),
            f"{row['net_lb']} lb",
            f"${row['price_per_lb']}" if row["price_per_lb"] else "",
            f"${row['total']}",
        )
        for row in found.lines
    )
    notes = [_("Sold by {farm}, {address}.").format(
        farm=home.name, address=", ".join(home.address.splitlines()))]  # fmt: skip
    if buyer["name"]:
        notes.append(
            _("Sold to {who}.").format(
                who=", ".join(filter(None, (buyer["name"], buyer["address"])))
            )
        )
    if paper["from_deposit"] != "0":
        notes.append(_("Deposit used: ${amount}.").format(amount=paper["from_deposit"]))
    return table_sheet_pdf(
        TableSheet(
            home.name,
            _("Receipt {n}").format(n=found.number),
            date_text(found.at.astimezone(zone)),
            _("Receipt"),
            answers=(
                Answer(_("Total"), f"${paper['total']}"),
                Answer(_("Paid"), f"${paper['to_pay']}", "", paper["paid_by"]),
                Answer(_("Packages"), str(len(rows))),
            ),
            tables=(
                SheetTable(
                    _("Packages"),
                    (_("Product"), _("Lot"), _("Number"), _("Net"), _("A pound"), _("Price")),
                    rows,
                    ("4", "4", "auto", "auto", "auto", "auto"),
                    (2, 3, 4, 5),
                ),
            ),
            notes=tuple(notes),
            demo=home.demo,
        ),
        printed_at=_printed(now, home),
    )


def safe_handling(home: FarmView) -> SafeHandling:
    """Return the safe handling block of the farm's rules, verbatim."""
    block = label_elements(load(home.profile), home.tier).safe_handling
    return SafeHandling(
        block.heading.text,
        block.rationale.text,
        tuple(
            SafeHandlingLine(icon, statement.text)
            for icon, statement in zip(ICONS, block.statements, strict=True)
        ),
    )


def bird_cards(packages: Sequence[Pkg], *, name: str, now: dt.datetime) -> bytes:
    """Print a card for each package.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    if not packages:
        raise RecordNotFoundError(_("No package is given to this order yet."))
    home = farm()
    cards = []
    for package in packages:
        words = thaw_card(float(package.net_lb) * KG_PER_LB)
        cards.append(
            BirdCard(
                name or _("Your bird"),
                package.product,
                package.net_lb,
                _("lot {lot}, package {n}, packed {date}").format(
                    lot=package.lot_code, n=package.number, date=date_text(package.packed_on)
                ),
                words.sentences[:-1],
                words.sentences[-1],
                safe_handling(home),
                _("Times: {source}.").format(source=words.source),
            )
        )
    return bird_cards_pdf(cards, farm=home.name, demo=home.demo, printed_at=_printed(now, home))


def order_cards(order_id: int, *, now: dt.datetime) -> bytes:
    """Print the cards of an order's packages."""
    one = orders.order(order_id)
    return bird_cards(one.promised, name=one.customer.name, now=now)


def sale_cards(sale_id: str, *, now: dt.datetime) -> bytes:
    """Print the cards of a sale's packages."""
    found = sales_book.sale(sale_id)
    packages = stock_book.packages(found.payload["packages"])
    return bird_cards(tuple(packages.values()), name=found.payload["buyer"]["name"], now=now)


def trace_pdf(found: Trace, *, now: dt.datetime) -> bytes:
    """Print a trace: where it came from and went, who has it, how much is accounted for."""
    home, recall = farm(), found.recall
    groups = []
    for title, parts in ((_("Came from"), found.back), (_("Went into"), found.forward)):
        rows = tuple(
            (_(KIND_WORDS[kind]), one.words, one.more, one.phone)
            for kind, things in parts
            for one in things
        )
        groups.append(
            SheetTable(
                title,
                (_("What"), _("Which"), _("More"), _("Phone")),
                rows,
                ("2", "3", "4", "auto"),
            )
        )
    bags = SheetTable(
        _("Packages"),
        (_("Package"), _("Product"), _("Lot"), _("Net"), _("Where"), _("Who")),
        tuple(
            (
                one.package.code,
                one.package.product,
                one.package.lot_code,
                f"{one.package.net_lb} lb",
                _(WHERE_WORDS[one.where])
                + (f", {one.package.kept.place}" if one.package.kept.place else "")
                + (", " + _("on hold") if one.package.kept.held else ""),
                one.buyer,
            )
            for one in found.packages
        ),
        ("auto", "3", "3", "auto", "3", "3"),
        (3,),
    )
    return table_sheet_pdf(
        TableSheet(
            home.name,
            _("Trace of {what}").format(what=found.start.words),
            found.start.more,
            _("Trace and recall"),
            answers=(
                Answer(_("Packages"), str(recall.packages), "", f"{recall.packed_lb} lb"),
                Answer(_("Accounted for"), f"{recall.found_frac:.1%}"),
                Answer(_("Still here"), str(len(found.here))),
                Answer(_("Buyers to tell"), str(len(found.buyers))),
            ),
            tables=(*groups, bags),
            demo=home.demo,
        ),
        printed_at=_printed(now, home),
    )
