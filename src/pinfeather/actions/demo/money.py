"""The demo farm's money: what it wrote down this season, one slip corrected."""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Mapping
from typing import Any, Final

from pinfeather.actions.money import book as money_book

_RATES: Final = (
    ("feed", "0.44", "starter"),
    ("feed", "0.37", ""),
    ("ice", "0.14", ""),
    ("propane", "0.92", ""),
    ("bag", "0.62", ""),
    ("wage", "14", ""),
)
_CHICKS: Final = (
    ("T1", 148, "74.00"),
    ("R2", 110, "38.40"),
    ("B2", 63, "45.10"),
    ("B3", 56, "82.00"),
    ("D1", 53, "78.00"),
    ("B4", 42, "123.00"),
)
_CHORES: Final = (
    ("T1", 40, "4.5"), ("R2", 24, "4"), ("B2", 9, "3.5"), ("B3", 2, "7"), ("D1", 4, "4"),
)  # fmt: skip
_COSTS: Final = (
    (130, "bedding", "21.00", "farm", "shavings, three bags"),
    (128, "brooder heat", "14.50", "farm", "two heat plates, spring"),
    (120, "licences", "20.00", "farm", "county registration"),
    (118, "insurance", "48.00", "farm", "the birds’ share of the farm policy"),
    (90, "fuel", "38.20", "farm", "to the hatchery and the feed mill"),
    (36, "supplies", "24.80", "farm", "gloves, hones, aprons"),
    (21, "sanitiser", "7.90", "farm", "bleach and strips"),
)
_THINGS: Final = (
    ("Plucker", 148, "890", "200", "10", "60 %", "40"),
    ("Scalder with burner", 148, "340", "40", "8", "60 %", "25"),
    ("Chest freezer", 140, "540", "60", "12", "40 %", "0"),
    ("Grass pens, two", 120, "190", "0", "6", "100 %", "30"),
)
_SEEN: Final = (
    ("Saturday market", 12, "5.95"),
    ("Hill Road farm stand", 20, "5.50"),
    ("Co-op cooler", 26, "6.75"),
    ("Tri-county market", 40, "6.25"),
    ("A neighbor’s list", 9, "5.25"),
)


def make_money(*, today: dt.date, now: dt.datetime) -> None:
    """Write down the demo farm's costs, equipment and prices; its sales are in the store's book."""

    def ago(days: int) -> str:
        return (today - dt.timedelta(days=days)).isoformat()

    numbers = itertools.count(1)

    def write(act: str, typed: Mapping[str, Any], who: str = "Ines") -> str:
        ident = f"demomoney{next(numbers)}"
        return money_book.write(act, typed, who=who, client_id=ident, now=now)

    for what, price, feed in _RATES:
        write("rate", {"on": ago(150), "what": what, "price": price, "feed": feed})
    for name, days, price, salvage, life, use, repair in _THINGS:
        write(
            "thing",
            {"on": ago(days), "name": name, "price": price, "salvage": salvage, "life": life,
             "use": use, "repair": repair},
            "Tobias",
        )  # fmt: skip
    for lot, days, amount in _CHICKS:
        write("cost", {"on": ago(days), "kind": "chicks", "amount": amount, "for": f"lot:{lot}"})
    for lot, days, hours in _CHORES:
        write(
            "hours",
            {"on": ago(days), "paid": "own", "hours": hours, "wage": "14", "for": f"lot:{lot}",
             "what": "chores"},
        )  # fmt: skip
    wrong = ""
    for days, kind, amount, birds, what in _COSTS:
        made = write("cost", {"on": ago(days), "kind": kind, "amount": amount, "for": birds,
                              "what": what})  # fmt: skip
        wrong = made if kind == "fuel" else wrong
    money_book.correct(
        wrong,
        {"on": ago(90), "kind": "fuel", "amount": "32.80", "for": "farm",
         "what": "to the hatchery and the feed mill"},
        reason="Figures turned round; the slip says 32.80.",
        who="Tobias",
        client_id="demomoneyright",
        now=now,
    )  # fmt: skip
    write(
        "cost",
        {"on": ago(35), "kind": "supplies", "amount": "26.00", "for": "farm", "learning": "yes",
         "what": "bags that burst in the pot, thrown away"},
    )  # fmt: skip
    for where, days, amount in _SEEN:
        write("seen", {"on": ago(days), "where": where, "amount": amount, "what": "whole chicken"})
