"""The made-up farm after the weighing desk: freezer, customers, orders, a few sales."""

from __future__ import annotations

import datetime as dt

from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock import counter, customers, drill, freezer, giving, orders

_PEOPLE = (
    ("Ruth Calloway", "22 Millrace Lane, Hollis Creek, MO 65000", "555-0168", "household"),
    ("Peter and Anna Brandt", "7 Church Hill, Hollis Creek, MO 65000", "555-0183", "household"),
    ("Joan Whitlock", "310 Old Ferry Road, Dell Prairie, MO 65001", "555-0125", "household"),
    ("Samir Haddad", "45 Orchard Street, Hollis Creek, MO 65000", "555-0150", "household"),
    ("The Lantern Kitchen", "2 Market Square, Dell Prairie, MO 65001", "555-0104", "restaurant"),
)


def make(*, now: dt.datetime, today: dt.date) -> None:
    """Put the packages of the finished days away, sell some, and take orders for the rest."""
    packages = stock_book.in_stock()
    if not packages:
        return
    for name, kind, inside, volume in (
        ("Barn freezer", "freezer", "", "15 ft3"),
        ("Left basket", "shelf", "Barn freezer", ""),
        ("Porch freezer", "freezer", "", "7 ft3"),
    ):
        freezer.save_place(name, kind=kind, inside=inside, volume=volume)
    turkeys = [p.id for p in packages if "turkey" in p.product]
    birds = [p.id for p in packages if "turkey" not in p.product]
    day = dt.timedelta(days=1)
    freezer.put(turkeys, place_name="Porch freezer", who="Mae", at=now - 35 * day)
    freezer.put(birds[:12], place_name="Left basket", who="Mae", at=now - 20 * day)
    freezer.put(birds[12:-3], place_name="Barn freezer", who="Tobias", at=now - 6 * day)
    for place, written, hours in (
        ("Barn freezer", "-4 F", 26), ("Porch freezer", "-2 F", 26), ("Barn freezer", "-5 F", 3),
    ):  # fmt: skip
        freezer.save_temperature(
            place, written=written, instrument="Red probe", who="Mae",
            at=now - dt.timedelta(hours=hours),
        )  # fmt: skip
    ruth, brandts, joan, samir, _kitchen = (
        customers.save_customer(name=name, address=address, phone=phone, kind=kind)
        for name, address, phone, kind in _PEOPLE
    )
    counter.sell(
        birds[:2], {"paid_by": "cash", "customer": str(samir), "venue": "farm"},
        who="Ines", client_id="demosale1", at=now - 5 * day,
    )  # fmt: skip
    counter.sell(
        birds[13:16], {"paid_by": "check", "customer": str(joan), "venue": "farm"},
        who="Ines", client_id="demosale2", at=now - 2 * day,
    )  # fmt: skip
    home = {"act": "home", "packages": [birds[2]], "reason": "Sunday dinner"}
    stock_book.write("stock", home, who="Ines", at=now - 4 * day)
    _orders(ruth, brandts, joan, today=today, now=now)
    _drill(now=now, today=today)


def _drill(*, now: dt.datetime, today: dt.date) -> None:
    """Practise a recall yesterday: everything of the newest packed lot found by hand."""
    begun = now - dt.timedelta(days=1)
    lot = drill.codes(today=today)[0]
    ident = drill.begin(lot, who="Ines", now=begun, client_id="demodrill1")
    found = drill.subject(lot).balance
    typed = {
        "seen": str(found.in_shop),
        "explained": "A bird stayed at the table without a label." if found.birds_apart else "",
        "others": "State meat and poultry inspection; county health office.",
    }
    ended = begun + dt.timedelta(minutes=14)
    drill.end(ident, typed, who="Ines", now=ended, client_id="demodrill2")


def _orders(ruth: int, brandts: int, joan: int, *, today: dt.date, now: dt.datetime) -> None:
    thursday = today + dt.timedelta(days=(3 - today.weekday()) % 7 or 7)
    first = orders.save_order(
        {
            "customer": str(ruth), "pickup_on": thursday.isoformat(), "pickup_from": "16:00",
            "pickup_until": "18:00", "count_0": "2", "product_0": "Whole chicken", "from_0": "4",
            "to_0": "5", "giblets_0": "on",
        }
    )  # fmt: skip
    orders.save_order(
        {
            "customer": str(brandts), "pickup_on": thursday.isoformat(), "pickup_from": "17:00",
            "every_weeks": "2", "count_0": "1", "product_0": "Whole chicken", "from_0": "3.5",
            "to_0": "4", "most_0": "4.5",
        }
    )  # fmt: skip
    orders.save_order(
        {
            "customer": str(joan), "pickup_on": (thursday + dt.timedelta(days=7)).isoformat(),
            "count_0": "1", "product_0": "Whole turkey", "from_0": "13", "to_0": "15",
            "occasion": "Birthday", "note": "Will bring her own cooler.",
        }
    )  # fmt: skip
    orders.deposit(first, act="taken", amount="20.00", paid_by="cash", who="Ines", at=now)
    found = giving.propose(until=thursday)
    giving.keep(
        [bird.key for bird in found.birds if bird.package], until=thursday, who="Ines", at=now
    )
