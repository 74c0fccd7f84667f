"""The demo farm's season: written down, and worked out when somebody first looks at it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import Any, Final

from pinfeather import __version__
from pinfeather.actions.day import days
from pinfeather.actions.flock.books import books
from pinfeather.actions.season import draft as season_draft
from pinfeather.actions.season.store import plain
from pinfeather.actions.season.work import as_planned
from pinfeather.records import models

_WEEK: Final = dt.timedelta(days=7)
_CODES: Final = {"chicken": "B", "duck": "D", "turkey": "T"}


def make_season(*, today: dt.date, now: dt.datetime) -> None:
    """Write the demo farm's season; nothing is worked out here, so that the demo starts at once."""
    mapping = plain(_mapping(today))
    until = today + 30 * _WEEK
    row = models.Season.objects.create(
        name=mapping["name"], from_on=today, until_on=until, request=mapping, created_at=now
    )
    models.SeasonVersion.objects.create(
        season=row,
        number=1,
        asked_on=today,
        request=as_planned(mapping, today=today),
        program=__version__,
        asked_at=now,
    )


def _mapping(today: dt.date) -> dict[str, Any]:
    def day(weeks: int, weekday: int = 5) -> str:
        on = today + weeks * _WEEK
        return (on + dt.timedelta(days=(weekday - on.weekday()) % 7)).isoformat()

    there = list(_there())
    last = (today + 30 * _WEEK).isoformat()
    common = {"order_by": "5", "order_least": "15", "order_ahead": "14 d", "losses": "pasture"}
    return {
        "name": f"Season {today.year}",
        "from": today.isoformat(),
        "until": last,
        "chance": "80 %",
        "least_batch": "5",
        "kinds": [
            {
                **common, "code": "B", "name": "Broad broiler", "species": "chicken",
                "curve": "nrc_1994", "chick_price": "$2.45", "age_from": "49 d",
                "age_until": "63 d", "order_most": "120", "bird_cost": "$0.85",
                "hatch": {"weekdays": ["wed"], "every": "2"},
            },
            {
                **common, "code": "D", "name": "White duck", "species": "duck",
                "chick_price": "$6.40", "age_from": "49 d", "age_until": "63 d",
                "order_most": "40", "bird_cost": "$1.20",
                "hatch": {"weekdays": ["tue"], "every": "4"},
            },
            {
                **common, "code": "T", "name": "Bronze turkey", "species": "turkey",
                "chick_price": "$9.75", "age_from": "112 d", "age_until": "140 d",
                "order_most": "40", "order_ahead": "21 d", "bird_cost": "$1.60",
                "hatch": {"weekdays": ["thu"], "every": "2", "until": day(8)},
            },
        ],
        "orders": [
            {
                "name": "Quarry Bend picnic", "kinds": ["B"], "birds": "30", "date": day(14),
                "price": "$5.25/lb", "firm": "yes", "keep": "either", "miss": "$8",
            },
            {
                "name": "Thursday box", "kinds": ["B"], "birds": "8", "weekdays": ["thu"],
                "every": "2", "from": day(12, 3), "until": day(24, 3), "price": "$5.50/lb",
                "firm": "yes", "keep": "either", "miss": "$6",
            },
            {
                "name": "Harvest table ducks", "kinds": ["D"], "birds": "16", "date": day(18),
                "price": "$7.50/lb", "firm": "yes", "keep": "either", "miss": "$10",
            },
            {
                "name": "Holiday turkeys", "kinds": ["T"], "birds": "20", "date": day(27),
                "price": "$5.95/lb", "firm": "yes", "keep": "either", "miss": "$15",
            },
        ],
        "stock": [
            {
                "name": "Whole broilers in the shop", "kinds": ["B"], "price": "$5.25/lb",
                "most_a_week": "60 lb", "have": "45 lb",
            }
        ],
        "lots": there,
        "brooders": [
            {"name": "Long room", "floor": "70 ft2", "turn_round": "7 d"},
            {"name": "Little room", "floor": "35 ft2", "turn_round": "7 d"},
        ],
        "pens": {"floor": "700 ft2"},
        "days": {
            "weekdays": ["sat"], "every": "2", "crew": "26 h", "setup": "4 h", "cost": "$35",
        },
        "feed": {
            "store": "3000 lb", "delivery_every": "14 d",
            "prices": [
                {"species": "chicken", "price": "$0.34/lb"},
                {"species": "duck", "price": "$0.38/lb"},
                {"species": "turkey", "price": "$0.41/lb"},
            ],
        },
        "cold": {
            "chill": "420 lb", "refrigerator": "220 lb", "freezer": "900 lb", "fresh_for": "3 d",
        },
        "hands": {"chicken": "9 min", "duck": "18 min", "turkey": "24 min"},
        "money": {"in_hand": "$2400", "rest": "$1.50/lb"},
        "counted": {k: str(n) for k, n in days.counted_before(today).items() if n},
    }  # fmt: skip


def _there() -> Iterator[dict[str, str]]:
    """Return the lots there are; how they grow is learned when the season is planned anew."""
    taken: set[str] = set()
    for book in books():
        row, heads = book.row, season_draft.heads_of(book)
        if heads and row.hatched is not None and row.species in _CODES:
            yield {
                "code": season_draft.short_code(row.code, taken),
                "kind": _CODES[row.species],
                "hatched": row.hatched.isoformat(),
                "heads": str(heads),
            }
