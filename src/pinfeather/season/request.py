"""A season as asked for, read from one nested mapping.

The same mapping comes from a TOML file, from the page's form, and from the store; every quantity
and every price is text with its unit, as it was written. All faults are gathered and told at once.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from typing import Final

from pinfeather.errors import InputError
from pinfeather.flock.curves import Species
from pinfeather.mapping import MappingReader
from pinfeather.rules.count import tier_of, weighted
from pinfeather.rules.profile import load
from pinfeather.season.asked import (
    SPECIES,
    Cap,
    Chances,
    Cold,
    FeedRoom,
    SeasonRequest,
)
from pinfeather.season.prices import dollars_cents, price_cents_per_h, price_cents_per_kg
from pinfeather.season.read_birds import (
    read_brooder,
    read_days,
    read_kind,
    read_standing,
    whole,
)
from pinfeather.season.read_dates import days_in
from pinfeather.season.read_wanted import read_feed_price, read_orders, read_stock
from pinfeather.units import to_si
from pinfeather.words import gettext as _

SEASON_MOST_D: Final = 731
_MOST_KG: Final = 100_000.0
_BIRD_HANDS: Final = {"chicken": "6 min", "turkey": "18 min", "duck": "14 min"}
"""Work of all hands on one bird; assumed, to be replaced by the farm's own."""
_LOTS: Final = 400


def request_from(mapping: Mapping[str, object], *, spelled: bool = False) -> SeasonRequest:
    """Check what somebody wrote about a season and turn it into plain values.

    Parameters
    ----------
    mapping : mapping
        Nested text as in the guide's ``plan-season`` example; quantities carry their unit.
    spelled : bool
        Whether a name that means nothing here is a fault, as in a file somebody typed.

    Returns
    -------
    SeasonRequest
        In SI units and cents.

    Raises
    ------
    InputFaultsError
        With every fault found, each named by its path (``kinds[0].chick_price``).

    References
    ----------
    Decision record 0004: one mapping for file, form and store.
    """
    read = MappingReader(mapping)
    first, last = _span(read)
    today = read.date("today", required=False) or first
    kinds = tuple(
        filter(None, (read_kind(r, first=first, last=last) for r in read.tables("kinds")))
    )
    if not kinds and not read.faults_under("kinds"):
        read.fault("kinds", None, _("Add at least one kind of bird."))
    if sum(len(kind.hatch_on) for kind in kinds) > _LOTS:
        read.fault(
            "kinds",
            None,
            _("More than {n} hatches are possible; name fewer weekdays.").format(n=_LOTS),
        )
    brooders = tuple(filter(None, (read_brooder(r) for r in read.tables("brooders"))))
    standing = tuple(filter(None, (read_standing(r, kinds) for r in read.tables("lots"))))
    usable = kinds if not read.faults_under("kinds") else ()
    orders = [
        order
        for entry in read.tables("orders")
        for order in read_orders(entry, usable, first=first, last=last)
    ]
    stock = [read_stock(entry, usable, first=first, last=last) for entry in read.tables("stock")]
    days = read_days(read.table("days"), first=first, last=last)
    if not days and not read.faults_under("days"):
        read.fault("days", None, _("Name at least one day to process on."))
    if not orders and not stock and not read.faults:
        read.fault("orders", None, _("Add an order, or a line of what the shop sells."))
    _told_apart(read, [order.key for order in orders])
    feed = read.table("feed")
    prices = tuple(filter(None, (read_feed_price(r) for r in feed.tables("prices"))))
    _priced(feed, {kind.species for kind in kinds} - {price.species for price in prices})
    profile, tier = (
        read.text("profile", default="us-federal") or "",
        read.text("tier", default="producer_1000") or "",
    )
    cash = read.table("money")
    hands = read.table("hands")
    request = SeasonRequest(
        name=read.text("name", default="") or "",
        today=today,
        from_on=first,
        until_on=last,
        aim=read.choice("aim", ("profit", "cost"), default="profit"),  # type: ignore[arg-type]
        chance_frac=read.quantity("chance", "strength", low=0.5, high=0.99, default="80 %"),
        profile=profile,
        tier=tier,
        cap=_cap(read, profile, tier),
        kinds=kinds,
        brooders=brooders,
        days=days,
        orders=tuple(sorted(orders, key=lambda o: (o.on, o.key))),
        stock=tuple(filter(None, stock)),
        standing=standing,
        feed_prices=prices,
        least_batch=read.integer("least_batch", low=1, high=1000, default=1) or 1,
        pens_m2=read.table("pens").optional_quantity("floor", "area", low=0.1, high=1e6)
        or math.inf,
        feed=FeedRoom(
            store_kg=feed.optional_quantity("store", "mass", low=1, high=_MOST_KG) or math.inf,
            every_d=days_in(feed, "delivery_every", low=1, high=120, default="14 d"),
            extra_frac=feed.quantity("extra", "strength", low=0, high=0.5, default="0 %"),
        ),
        cold=_cold(read.table("cold")),
        bird_s={
            species: hands.quantity(
                species,
                "time",
                low=1,
                high=to_si(3, "h", "time"),
                default=_BIRD_HANDS[species],
            )
            for species in SPECIES
        },
        crew_cents_per_h=price_cents_per_h(cash, "hour", default="$0"),
        rest_cents_per_kg=price_cents_per_kg(cash, "rest", default="$0"),
        bedding_kg_per_m2=_bedding(read.table("bedding")),
        bedding_cents_per_kg=price_cents_per_kg(read.table("bedding"), "price", default="$0"),
        cash_cents=whole(dollars_cents(cash, "in_hand", default="$0")),
        chances=_chances(read.table("luck")),
    )
    if spelled:
        read.refuse_unknown()
    read.raise_faults()
    return request


def _span(read: MappingReader) -> tuple[dt.date, dt.date]:
    first, last = read.date("from"), read.date("until")
    if first and last and last <= first:
        read.fault("until", last, _("The end is before the beginning."))
    if first and last and (last - first).days > SEASON_MOST_D:
        read.fault("until", last, _("A season is two years at most."))
    begin = first or dt.date(2000, 1, 1)
    if last is None or not begin < last <= begin + dt.timedelta(days=SEASON_MOST_D):
        last = begin + dt.timedelta(days=1)
    return begin, last


def _told_apart(read: MappingReader, keys: list[str]) -> None:
    for tables, key in (
        ("kinds", "code"),
        ("brooders", "name"),
        ("lots", "code"),
        ("stock", "name"),
    ):
        _once(read, tables, key)
    for key in sorted({k for k in keys if keys.count(k) > 1}):
        read.fault("orders", key, _("Two orders are both called “{key}”.").format(key=key))


def _priced(feed: MappingReader, missing: set[Species]) -> None:
    for species in sorted(missing):
        if not feed.faults:
            feed.fault(
                "prices",
                species,
                _("Add what feed for a {species} costs.").format(species=_(species)),
            )


def _once(read: MappingReader, tables: str, key: str) -> None:
    if read.faults_under(tables):
        return
    seen = set()
    for index, entry in enumerate(read.tables(tables)):
        name = entry.raw(key)
        if name in seen:
            read.fault(f"{tables}[{index}].{key}", name, _("Two have this name; tell them apart."))
        seen.add(name)


def _cap(read: MappingReader, profile: str, tier: str) -> Cap:
    table = read.table("counted")
    counted: dict[str, int] = {
        species: count
        for species in SPECIES
        if (count := table.integer(species, low=0, high=10**6, default=0))
    }
    try:
        found = tier_of(load(profile), tier)
        return Cap(
            found.cap,
            found.most,
            {species: found.count_weight.get(species, 0) for species in SPECIES},
            weighted(found, counted, name="counted"),
        )
    except InputError as fault:
        read.fault(fault.name, fault.value, fault.problem)
        return Cap(None, None, {}, 0)


def _cold(read: MappingReader) -> Cold:
    def room(name: str) -> float:
        found = read.optional_quantity(name, "mass", low=0, high=_MOST_KG)
        return math.inf if found is None else found

    return Cold(
        room("chill"),
        room("refrigerator"),
        room("freezer"),
        days_in(read, "fresh_for", low=0, high=14, default="3 d"),
    )


def _bedding(read: MappingReader) -> float:
    """Bedding for a square metre of brooder floor, from a depth and a density or a plain mass."""
    mass = read.optional_quantity("for_each_lot", "mass", low=0, high=_MOST_KG)
    floor = read.optional_quantity("on_floor", "area", low=0.01, high=5000)
    if (mass is None) != (floor is None) and not read.faults:
        read.fault(
            "on_floor" if floor is None else "for_each_lot",
            None,
            _("Write both: how much bedding, and on what floor."),
        )
    return 0.0 if mass is None or not floor else mass / floor


def _chances(read: MappingReader) -> Chances:
    usual = Chances()

    def share(name: str, value: float, most: float) -> float:
        return read.quantity(name, "strength", low=0, high=most, default=f"{100 * value:g} %")

    return Chances(
        share("missed_hatch", usual.missed_hatch_frac, 0.5),
        share("cancelled_day", usual.cancelled_frac, 0.5),
        share("bad_night", usual.event_frac, 0.5),
        share("slow_week", usual.slow_frac, 1.0),
        share("slow_by", usual.slow_by_frac, 0.9),
    )
