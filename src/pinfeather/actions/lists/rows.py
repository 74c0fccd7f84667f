"""Rows of a list to journal entries like those the pages make."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Mapping
from decimal import Decimal
from typing import Any, Final

from pinfeather.actions.flock.events import Frame as FlockFrame
from pinfeather.actions.flock.events import payload as flock_payload
from pinfeather.actions.flock.lots import SPECIES, checked
from pinfeather.actions.lists import past_days
from pinfeather.actions.lists.cells import weights_in
from pinfeather.actions.lists.kinds import KINDS
from pinfeather.actions.lists.reader import (
    OLDEST,
    Around,
    How,
    Planned,
    Read,
    Reader,
    Row,
    RowFault,
)
from pinfeather.actions.lists.table import Table
from pinfeather.actions.money.forms import Frame as MoneyFrame
from pinfeather.actions.money.forms import payload as money_payload
from pinfeather.errors import InputFaultsError
from pinfeather.money.cents import CENTS_PER_DOLLAR, dollars, half_up
from pinfeather.units import KG_PER_LB, to_si
from pinfeather.words import date_text
from pinfeather.words import gettext as _

_MOST_BIRDS: Final = 100_000
_MOST_TOGETHER: Final = 500
_LIGHTEST_KG: Final = 0.1
_HEAVIEST_KG: Final = 25.0


def read_list(kind: str, table: Table, *, how: How, around: Around) -> Read:
    """Read a whole list; nothing is kept.

    Returns
    -------
    Read
        The entries it would make, and every fault, in the order of the rows.
    """
    chosen = KINDS[kind]
    reader = Reader(chosen, table, how=how, around=around)
    missing = [one for one in chosen.columns if one.needed and not how.columns.get(one.name)]
    read = _READ[kind](reader) if not missing else Read(())
    for one in missing:
        sentence = _("Say which column this is.")
        read.faults.append(RowFault(0, _(one.label), sentence))
    read.faults.sort(key=lambda fault: fault.row)
    return read


def _lots(of: Reader) -> Read:
    read = Read((_("Lot"), _("Kind"), _("Hatched"), _("Came"), _("How many"), _("From")))
    if not (of.how.columns.get("hatched") or of.how.columns.get("arrived")):
        sentence = _("Say which column has the hatch date, or the day they came.")
        read.faults.append(RowFault(0, _("Hatched on"), sentence))
        return read
    for row in of.rows():
        species = row.species()
        arrived = row.date("arrived") if row.text("arrived") or not row.text("hatched") else None
        hatched = row.date("hatched") if row.text("hatched") else arrived
        if arrived is None:
            arrived = hatched
        if arrived is None or hatched is None:
            continue
        if arrived < hatched and not row.faults:
            row.fault("arrived", _("They came before they hatched."))
        count = row.whole("count", most=_MOST_BIRDS)
        code = row.text("code") or of.new_code(species)
        source = row.text("source")[:200]
        values: Mapping[str, Any] = {}
        if code.casefold() in of.codes:
            row.fault("code", _("There is a lot “{code}” already.").format(code=code[:40]))
        try:
            code, values = checked(
                {
                    "code": code, "species": species, "build": "broad", "sex": "straight run",
                    "curve": "", "setting": "usual", "breed": row.text("breed"),
                    "note": source, "hatched": hatched.isoformat(),
                },
                new=True,
            )  # fmt: skip
        except InputFaultsError as error:
            for fault in error.faults:
                name = fault.name if fault.name in ("code", "species", "breed") else "code"
                if not row.faults:
                    row.fault(name, fault.problem)
        of.codes.add(code.casefold())
        entry = {
            "lot": code, "event": "arrived", "on": arrived.isoformat(), "pen": "",
            "ordered": count, "spares": 0, "dead": 0, "note": source,
        }  # fmt: skip
        cells = (code, species, date_text(hatched), date_text(arrived), str(count), source)
        read.planned.append(Planned(row.row, "flock", entry, cells, lot=values))
        read.faults += row.faults
    return read


def _weighings(of: Reader) -> Read:
    read = Read((_("Lot"), _("Weighed"), _("Birds"), _("Mean"), _("Rows")))
    groups: dict[tuple[str, dt.date, int], list[tuple[Row, str]]] = {}
    for row in of.rows():
        lot, on = row.known_lot(needed=True), row.date("on")
        each = row.whole("birds", most=_MOST_TOGETHER, empty=1)
        hatched = of.around.lots.get(lot)
        if hatched and on <= hatched:
            row.fault("on", _("Birds are weighed from the day after hatch on."))
        row.weights("weights", each=each)
        text = weights_in(row.text("weights"), point=of.how.point)
        groups.setdefault((lot, on, each), []).append((row, text))
        read.faults += row.faults
    for (lot, on, each), rows in groups.items():
        if any(row.faults for row, _text in rows):
            continue
        first = rows[0][0]
        typed = {
            "on": on.isoformat(), "weights": "\n".join(text for _row, text in rows),
            "birds_each": str(each), "unit": of.how.unit,
        }  # fmt: skip
        frame = FlockFrame(lot, of.around.lots.get(lot), of.around.today, oldest=OLDEST)
        try:
            entry = flock_payload("weighed", typed, frame)
        except InputFaultsError as error:
            for fault in error.faults:
                first.fault("weights", fault.problem)
            read.faults += first.faults
            continue
        net = entry["weights_kg"]
        mean = _mass(sum(net) / len(net) / each, metric=of.around.metric)
        birds, many = str(len(net) * each), str(len(rows))
        read.planned.append(
            Planned(first.row, "flock", entry, (lot, date_text(on), birds, mean, many))
        )
    return read


def _days(of: Reader) -> Read:
    read = Read((_("Processed"), _("Kind"), _("Birds"), _("Lot"), _("Mean dressed")))
    for row in of.rows():
        on, species = row.date("on"), row.species()
        count = row.whole("count", most=_MOST_BIRDS)
        lot = row.known_lot(needed=False)
        weights = row.weights("weights") if row.text("weights") else ()
        total = row.number("total")
        total_kg = 0.0 if total is None else float(to_si(float(total), of.how.unit, "mass"))
        if len(weights) == 1 and count > 1 and total is None and not row.faults:
            sentence = _("One weight for {n} birds: is it the weight of all together?")
            row.fault("weights", sentence.format(n=count))
        elif len(weights) > count:
            row.fault("weights", _("There are more weights than birds."))
        if total is not None and not _LIGHTEST_KG <= total_kg / count <= _HEAVIEST_KG:
            sentence = _("{mass} for {n} birds cannot be right. Is the unit?")
            row.fault("total", sentence.format(mass=row.text("total")[:40], n=count))
        if (on, species) in of.around.closed:
            sentence = _("{day} is in the records already; its birds would count twice.")
            row.fault("on", sentence.format(day=date_text(on)))
        hatched = of.around.lots.get(lot)
        if hatched and on <= hatched:
            row.fault("on", _("This is before lot {lot} hatched.").format(lot=lot))
        entry = {
            "act": "day", "on": on.isoformat(), "species": species, "birds": count, "lot": lot,
            "weights_kg": [round(w, 6) for w in weights], "total_kg": round(total_kg, 6),
        }  # fmt: skip
        mean_kg = sum(weights) / len(weights) if weights else total_kg / count
        mean = _mass(mean_kg, metric=of.around.metric) if mean_kg else "–"
        cells = (date_text(on), species, str(count), lot or "–", mean)
        read.planned.append(Planned(row.row, past_days.ENTRY_KIND, entry, cells))
        read.faults += row.faults
    return read


def _sales(of: Reader) -> Read:
    read = Read((_("Sold"), _("Buyer"), _("What"), _("Weight"), _("Paid")))
    frame = MoneyFrame(
        of.around.today, frozenset(of.around.lots), frozenset(SPECIES), metric=of.around.metric
    )
    if not of.how.columns.get("amount") and not of.how.columns.get("price_per_lb"):
        sentence = _("Say which column has what was paid, or the price for a pound.")
        read.faults.append(RowFault(0, _("Paid in all"), sentence))
        return read
    for row in of.rows():
        one = _sale(row, frame)
        if one is not None:
            read.planned.append(one)
        read.faults += row.faults
    return read


def _sale(row: Row, frame: MoneyFrame) -> Planned | None:
    on, lot = row.date("on"), row.known_lot(needed=False)
    pounds, amount = _weight_and_sum(row)
    buyer, product = row.text("buyer")[:60], row.text("product")[:50]
    if row.faults or amount is None:
        return None
    typed = {
        "on": on.isoformat(), "event": "sale", "amount": f"{amount:f}", "lot": lot,
        "sold": "" if pounds is None else f"{pounds.quantize(Decimal('0.001')):f} lb",
        "what": product,
    }  # fmt: skip
    try:
        entry = money_payload("income", typed, frame)
    except InputFaultsError as error:
        for fault in error.faults:
            name = {"on": "on", "lot": "lot", "sold": "weight"}.get(fault.name, "amount")
            row.fault(name, fault.problem)
        return None
    entry["buyer"] = {"name": buyer, "address": ""}
    shown = "–" if pounds is None else _mass(float(pounds) * KG_PER_LB, metric=frame.metric)
    cells = (date_text(on), buyer or "–", product or "–", shown, dollars(entry["cents"]))
    return Planned(row.row, "money", entry, cells)


def _weight_and_sum(row: Row) -> tuple[Decimal | None, Decimal | None]:
    """Return pounds and dollars of a sale, the sum worked out where only the price is there."""
    weight, amount, price = (row.number(n) for n in ("weight", "amount", "price_per_lb"))
    for name, value in (("weight", weight), ("amount", amount), ("price_per_lb", price)):
        if value is not None and value <= 0:
            sentence = _("This is not more than zero. Write money given back under Money.")
            row.fault(name, sentence)
    pounds = None if weight is None else _pounds(weight, row.of.how.unit)
    if amount is None and price is not None and pounds is not None:
        amount = Decimal(half_up(pounds * price * CENTS_PER_DOLLAR)) / CENTS_PER_DOLLAR
    if amount is None and not row.faults:
        row.fault("amount", _("There is no sum, nor a weight with a price for a pound."))
    return pounds, amount


def _pounds(weight: Decimal, unit: str) -> Decimal:
    if unit == "lb":
        return weight
    return Decimal(repr(float(to_si(float(weight), unit, "mass")) / KG_PER_LB))


def _mass(mass_kg: float, *, metric: bool) -> str:
    return f"{mass_kg:.2f} kg" if metric else f"{mass_kg / KG_PER_LB:.2f} lb"


_READ: Final[Mapping[str, Callable[[Reader], Read]]] = {
    "lots": _lots, "weighings": _weighings, "days": _days, "sales": _sales,
}  # fmt: skip


def same_as(entry: Mapping[str, Any]) -> tuple[object, ...]:
    """Return what makes two entries say the same, however they came."""
    names: Collection[str] = ("event", "act", "lot", "on", "species", "birds", "cents", "what")
    weights = entry.get("weights_kg") or entry.get("total_kg") or ()
    return (*(entry.get(name, "") for name in names), str(weights))
