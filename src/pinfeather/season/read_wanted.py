"""Reading what is wanted: orders for a day, standing orders, and what the shop can sell."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from typing import Final

from pinfeather.mapping import MappingReader
from pinfeather.season.asked import SPECIES, FeedPrice, Kind, Order, Stock
from pinfeather.season.prices import dollars_cents, either_price, price_cents_per_kg
from pinfeather.season.read_dates import dates_in
from pinfeather.words import date_text
from pinfeather.words import gettext as _

_MOST_BIRDS: Final = 5000
_MOST_KG: Final = 20_000.0
_HEAVIEST_KG: Final = 30.0
_KEEPS: Final = ("fresh", "frozen", "either")


def read_orders(
    read: MappingReader, kinds: Sequence[Kind], *, first: dt.date, last: dt.date
) -> list[Order]:
    """Read one order, and make of a standing order one for each of its days.

    Parameters
    ----------
    read : MappingReader
        One entry of ``orders``.
    kinds : sequence of Kind
        Those read before.
    first, last : datetime.date
        The season.

    Returns
    -------
    list of Order
        Empty where something was at fault.

    References
    ----------
    Decision record 0004.
    """
    name = read.text("name") or ""
    codes = _kinds(read, kinds)
    low, high = _band(read)
    birds = read.integer("birds", low=1, high=_MOST_BIRDS, default=0) or None
    mass = read.optional_quantity("weight", "mass", low=0.1, high=_MOST_KG)
    if (birds is None) == (mass is None) and not read.faults:
        read.fault("birds", read.raw("birds"), _("Write how many birds, or what weight in all."))
    days: tuple[dt.date, ...]
    if read.has("date"):
        read.may_have("weekdays", "dates", "every", "from", "until", "not_on")
        on = read.date("date")
        days = (on,) if on else ()
    else:
        days = dates_in(read, first=first, last=last)
    outside = [on for on in days if not first <= on <= last]
    if outside:
        read.fault(
            "date" if read.has("date") else "from",
            outside[0],
            _("{date} is outside the season.").format(date=date_text(outside[0])),
        )
    keep = read.choice("keep", _KEEPS, default="either")
    per_kg, per_bird = either_price(read, "price", default="$0")
    firm = read.choice("firm", ("yes", "no"), default="yes") == "yes"
    miss = dollars_cents(read, "miss", default="$0")
    if read.faults:
        return []
    return [
        Order(
            key=f"{name} {on.isoformat()}",
            name=name,
            kinds=codes,
            low_kg=low,
            high_kg=high,
            birds=birds,
            mass_kg=mass,
            on=on,
            keep=keep,  # type: ignore[arg-type]
            cents_per_kg=per_kg,
            cents_per_bird=per_bird,
            firm=firm,
            miss_cents=miss,
        )
        for on in days
    ]


def read_stock(
    read: MappingReader, kinds: Sequence[Kind], *, first: dt.date, last: dt.date
) -> Stock | None:
    """Read one line of what the shop can sell.

    Parameters
    ----------
    read : MappingReader
        One entry of ``stock``.
    kinds : sequence of Kind
        Those read before.
    first, last : datetime.date
        The season.

    Returns
    -------
    Stock or None
        None where something was at fault.

    References
    ----------
    Decision record 0004.
    """
    low, high = _band(read)
    found = Stock(
        name=read.text("name") or "",
        kinds=_kinds(read, kinds),
        low_kg=low,
        high_kg=high,
        cents_per_kg=price_cents_per_kg(read, "price"),
        most_kg_per_week=read.quantity("most_a_week", "mass", low=0, high=_MOST_KG),
        from_on=read.date("from", required=False) or first,
        until_on=read.date("until", required=False) or last,
        have_kg=read.quantity("have", "mass", low=0, high=_MOST_KG, default="0 lb"),
    )
    return None if read.faults else found


def read_feed_price(read: MappingReader) -> FeedPrice | None:
    """Read what a feed costs.

    Parameters
    ----------
    read : MappingReader
        One entry of ``feed.prices``.

    Returns
    -------
    FeedPrice or None
        None where something was at fault.

    References
    ----------
    Decision record 0004.
    """
    species = read.choice("species", SPECIES, default="chicken")
    found = FeedPrice(
        species,  # type: ignore[arg-type]
        read.text("phase", default="") or "",
        price_cents_per_kg(read, "price"),
    )
    return None if read.faults else found


def _kinds(read: MappingReader, kinds: Sequence[Kind]) -> tuple[str, ...]:
    """Codes of kinds, by name or by species."""
    if read.has("species"):
        species = read.choice("species", SPECIES, default="chicken")
        read.may_have("kinds")
        found = tuple(kind.code for kind in kinds if kind.species == species)
        if not found:
            read.fault("species", species, _("No kind of this species is listed under kinds."))
        return found
    return tuple(read.words("kinds", [kind.code for kind in kinds])) if kinds else ()


def _band(read: MappingReader) -> tuple[float, float]:
    low = read.optional_quantity("low", "mass", low=0, high=_HEAVIEST_KG) or 0.0
    high = read.optional_quantity("high", "mass", low=0.1, high=_HEAVIEST_KG)
    if high is not None and high <= low:
        read.fault("high", read.raw("high"), _("The heaviest is not above the lightest."))
    return low, math.inf if high is None else high
