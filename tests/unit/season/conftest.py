"""Small seasons made by hand, whose tables need no forecast."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable
from decimal import Decimal
from types import SimpleNamespace

import numpy as np
import pytest

from pinfeather.flock.curves import reference_curve
from pinfeather.season.asked import (
    Brooder,
    Cap,
    Cold,
    FeedPrice,
    FeedRoom,
    Kind,
    Order,
    ProcessingDay,
    SeasonRequest,
    Standing,
    Stock,
)
from pinfeather.season.yields import Batch, Source, Tables, bands_of

START = dt.date(2027, 3, 1)


def on(day: int) -> dt.date:
    return START + dt.timedelta(days=day)


def kind(code: str = "A", **changed: object) -> Kind:
    values: dict[str, object] = {
        "code": code,
        "name": f"Kind {code}",
        "species": "chicken",
        "curve": reference_curve("nrc_1984"),
        "dressing": ("chicken",),
        "growth_ratio": 1.0,
        "growth_sd_frac": 0.05,
        "share_male": 0.5,
        "setting": "usual",
        "arrival_loss_frac": 0.0,
        "chick_cents": Decimal(200),
        "hatch_on": (on(10), on(24)),
        "step": 2,
        "least": 2,
        "most": 8,
        "ahead_d": 1,
        "travel_d": 1,
        "brooder_d": 21,
        "from_d": 40,
        "until_d": 70,
        "pen_m2": 0.0,
        "lot_cents": 300,
        "bird_cents": 50,
    }
    return Kind(**(values | changed))  # type: ignore[arg-type]


def order(name: str, day: int, birds: int | None = None, **changed: object) -> Order:
    values: dict[str, object] = {
        "key": f"{name} {on(day)}",
        "name": name,
        "kinds": ("A",),
        "low_kg": 0.0,
        "high_kg": math.inf,
        "birds": birds,
        "mass_kg": None,
        "on": on(day),
        "keep": "either",
        "cents_per_kg": Decimal(0),
        "cents_per_bird": Decimal(2000),
        "firm": False,
        "miss_cents": Decimal(0),
    }
    return Order(**(values | changed))  # type: ignore[arg-type]


def stock(name: str = "freezer", **changed: object) -> Stock:
    values: dict[str, object] = {
        "name": name,
        "kinds": ("A",),
        "low_kg": 0.0,
        "high_kg": math.inf,
        "cents_per_kg": Decimal(800),
        "most_kg_per_week": 2.0,
        "from_on": START,
        "until_on": on(200),
    }
    return Stock(**(values | changed))  # type: ignore[arg-type]


def day(number: int, **changed: object) -> ProcessingDay:
    values: dict[str, object] = {
        "on": on(number),
        "crew_s": 36000.0,
        "setup_s": 3600.0,
        "most_birds": None,
        "cost_cents": 1000,
    }
    return ProcessingDay(**(values | changed))  # type: ignore[arg-type]


def request(**changed: object) -> SeasonRequest:
    values: dict[str, object] = {
        "name": "small",
        "today": START,
        "from_on": START,
        "until_on": on(200),
        "aim": "profit",
        "chance_frac": 0.5,
        "profile": "us-federal",
        "tier": "producer_1000",
        "cap": Cap(None, 1000, {"chicken": 1, "turkey": 1, "duck": 1}, 0),
        "kinds": (kind(),),
        "brooders": (),
        "days": (day(60), day(80)),
        "orders": (),
        "stock": (),
        "standing": (),
        "feed_prices": (FeedPrice("chicken", "", Decimal(80)),),
        "bird_s": {"chicken": 360.0, "turkey": 1200.0, "duck": 900.0},
    }
    return SeasonRequest(**(values | changed))  # type: ignore[arg-type]


def tables(
    asked: SeasonRequest,
    *,
    alive: Callable[[int, int], float] = lambda _s, _d: 1.0,
    shares: Callable[[int, int, int], tuple[float, ...]] | None = None,
    masses_kg: Callable[[int, int, int], tuple[float, ...]] | None = None,
    safe: Callable[[int, int, int], tuple[float, ...]] | None = None,
    feed_cents: Callable[[int, int], float] = lambda _s, _d: 400.0,
) -> Tables:
    """Tables with given numbers; the same feed every day of a life."""
    sources = (
        *(Source(k, h) for k in asked.kinds for h in k.hatch_on),
        *(Source(asked.kind(s.kind), s.hatched_on, s) for s in asked.standing),
    )
    bands = bands_of(asked)
    batches, lives, eaten = [], [], []
    for s, source in enumerate(sources):
        n = len(bands[source.kind.code]) - 1
        for d, one in enumerate(asked.days):
            age = (one.on - source.hatch_on).days
            if source.kind.from_d <= age <= source.kind.until_d:
                a = alive(s, d)
                batches.append(
                    Batch(
                        s,
                        d,
                        one.on,
                        age,
                        a,
                        min(a * 1.02, 1.0),
                        shares(s, d, n) if shares else (1 / n,) * n,
                        masses_kg(s, d, n) if masses_kg else (2.0,) * n,
                        safe(s, d, n) if safe else (1.0,) * n,
                        (feed_cents(s, d) / 80.0,),
                        feed_cents(s, d),
                    )
                )
        span = 400
        row, food = np.zeros(span), np.zeros(span)
        at = (source.hatch_on - START).days
        row[at : at + 100] = 1.0
        food[at : at + 100] = 0.08
        lives.append(row)
        eaten.append(food)
    return Tables(sources, asked.days, tuple(batches), bands, tuple(lives), tuple(eaten), START)


@pytest.fixture
def small() -> SimpleNamespace:
    return SimpleNamespace(
        START=START,
        Brooder=Brooder,
        Cap=Cap,
        Cold=Cold,
        FeedRoom=FeedRoom,
        Standing=Standing,
        on=on,
        kind=kind,
        order=order,
        stock=stock,
        day=day,
        request=request,
        tables=tables,
    )
