"""Reading an order's form: who, when, and which birds; all faults at once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from pinfeather import quantity
from pinfeather.errors import InputError
from pinfeather.packs.net_weight import in_pounds
from pinfeather.packs.price import CENT
from pinfeather.records import models
from pinfeather.rules.build import VENUES
from pinfeather.words import gettext as _

_MOST_BIRDS: Final = 200
_MOST_WEEKS: Final = 52
_MOST_LB: Final = Decimal(60)
_MOST_DEPOSIT: Final = Decimal(10_000)
ROWS: Final = 4
"""Rows of the order's form."""


def header(typed: Mapping[str, str], faults: list[InputError]) -> dict[str, Any]:
    """Read who orders and when they come; faults are added to the list."""
    values: dict[str, Any] = {}
    chosen = typed.get("customer", "")
    if chosen.isdecimal() and models.Customer.objects.filter(pk=int(chosen)).exists():
        values["customer_id"] = int(chosen)
    else:
        faults.append(InputError("customer", chosen, _("Choose the customer, or add one first.")))
    try:
        values["pickup_on"] = dt.date.fromisoformat(typed.get("pickup_on", ""))
    except ValueError:
        faults.append(InputError("pickup_on", typed.get("pickup_on"), _("Choose the pickup day.")))
    for name in ("pickup_from", "pickup_until"):
        text = typed.get(name, "").strip()
        try:
            values[name] = dt.time.fromisoformat(text) if text else None
        except ValueError:
            faults.append(InputError(name, text, _("Write a time such as 16:00.")))
    begins, ends = values.get("pickup_from"), values.get("pickup_until")
    if ends and (begins is None or ends <= begins):
        faults.append(InputError("pickup_until", ends, _("The window ends after it begins.")))
    values["venue"] = typed.get("venue", "farm") or "farm"
    if values["venue"] not in VENUES:
        faults.append(InputError("venue", values["venue"], _("Choose where it is handed over.")))
    weeks = typed.get("every_weeks", "").strip() or "0"
    if weeks.isdecimal() and int(weeks) <= _MOST_WEEKS:
        values["every_weeks"] = int(weeks)
    else:
        faults.append(
            InputError("every_weeks", weeks, _("Weeks between pickups, 0 to 52; 0 is once."))
        )
    values["occasion"] = typed.get("occasion", "").strip()[:40]
    values["note"] = typed.get("note", "").strip()[:200]
    return values


def wishes_from(typed: Mapping[str, str], faults: list[InputError]) -> list[dict[str, Any]]:
    """Read the rows of birds, one wish for each bird; faults are added to the list."""
    wishes: list[dict[str, Any]] = []
    for row in range(ROWS):
        given = {
            name: typed.get(f"{name}_{row}", "").strip()
            for name in ("count", "product", "from", "to", "most", "giblets")
        }
        if not given["count"] and not given["product"]:
            continue
        count = given["count"] or "1"
        if not count.isdecimal() or not 1 <= int(count) <= _MOST_BIRDS:
            sentence = _("A whole number of birds, 1 to {n}.").format(n=_MOST_BIRDS)
            faults.append(InputError(f"count_{row}", count, sentence))
            count = "0"
        if not given["product"]:
            faults.append(InputError(f"product_{row}", "", _("Say what is wanted.")))
        weights = {
            name: _pounds(f"{name}_{row}", given[name], faults) for name in ("from", "to", "most")
        }
        low, high, most = weights["from"], weights["to"], weights["most"]
        if low and high and Decimal(high) < Decimal(low):
            faults.append(
                InputError(f"to_{row}", high, _("This is lighter than the first weight."))
            )
        if most and low and Decimal(most) < Decimal(low):
            faults.append(
                InputError(f"most_{row}", most, _("This is lighter than what is wished."))
            )
        wish = {"product": given["product"], **weights, "giblets": bool(given["giblets"])}
        wishes.extend(dict(wish) for _n in range(int(count)))
    if not wishes and not faults:
        faults.append(InputError("count_0", "", _("Write at least one bird.")))
    if len(wishes) > _MOST_BIRDS:
        faults.append(InputError("count_0", len(wishes), _("Too many birds for one order.")))
    return wishes


def _pounds(name: str, text: str, faults: list[InputError]) -> str:
    """Read a weight; a bare number is in pounds, as the field says."""
    if not text:
        return ""
    bare = text.replace(".", "", 1).isdigit()
    try:
        weight = quantity.parse(f"{text} lb" if bare else text, "mass", name=name)
        pounds = in_pounds(weight)
    except InputError as fault:
        faults.append(InputError(name, text, fault.problem))
        return ""
    if not 0 < pounds <= _MOST_LB:
        faults.append(InputError(name, text, _("That cannot be a bird.")))
        return ""
    return f"{pounds.normalize():f}"


def money(name: str, text: str, *, most: Decimal = _MOST_DEPOSIT) -> Decimal:
    """Read dollars and cents.

    Raises
    ------
    InputError
        If it is no amount of money above nothing.
    """
    try:
        amount = Decimal(text.strip().lstrip("$"))
    except InvalidOperation:
        amount = Decimal(0)
    fits = amount.is_finite() and 0 < amount <= most
    if not fits or amount != amount.quantize(CENT):
        raise InputError(name, text, _("Write dollars, such as 10.00."))
    return amount.quantize(CENT)
