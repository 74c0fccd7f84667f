"""The demo farm's lots: orders, arrivals, losses, weighings, feed; one treated, one behind."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np

from pinfeather.actions.flock import lots as flock_lots
from pinfeather.actions.flock.books import ENTRY_KIND
from pinfeather.actions.flock.events import Frame, payload
from pinfeather.actions.flock.setup import save_pen
from pinfeather.records import journal

_PENS: Final = (
    ("Brooder", "brooder", "60 ft2", "0"),
    ("Grass pen 1", "pasture", "120 ft2", "1"),
    ("Grass pen 2", "pasture", "120 ft2", "1"),
    ("Orchard house", "house", "110 ft2", "0"),
    ("Duck house", "house", "60 ft2", "0"),
)
_HATCHERY: Final = "Fernbank Hatchery"


@dataclass(frozen=True, slots=True)
class _Story:
    """One lot of the demo: how old it is, how it grows, and what befell it."""

    code: str
    species: str
    build: str
    age_d: int
    ordered: int
    spares: int
    dead: int
    pen: str
    out_d: int
    """Age on leaving the brooder."""
    weighed: tuple[tuple[int, float], ...] = ()
    """Age and about the mean in pounds."""
    losses: tuple[tuple[int, int, str], ...] = ()
    """Age, birds, cause."""
    feed: tuple[tuple[int, int], ...] = ()
    """Age and pounds."""
    left: tuple[int, int] = (0, 0)
    breed: str = "Straight-run cross"
    outlet: str = ""
    more: tuple[tuple[int, str, Mapping[str, Any]], ...] = field(default=())


_STORIES: Final = (
    _Story("T1", "turkey", "broad", 150, 8, 0, 1, "Orchard house", 35,
           ((84, 12.2), (108, 17.7)), ((3, 1, "found dead"), (52, 1, "predator")),
           ((2, 100), (29, 100), (58, 50), (86, 50)), (115, 40), outlet="Thanksgiving list"),
    _Story("R2", "chicken", "lean", 112, 16, 1, 0, "Grass pen 1", 28,
           ((56, 2.9), (86, 5.2)), ((2, 1, "found dead"), (33, 2, "predator")),
           ((2, 100), (23, 100), (46, 50), (68, 50)), (91, 23), breed="Red ranger cross"),
    _Story("B2", "chicken", "broad", 65, 22, 1, 1, "Grass pen 2", 24,
           ((21, 1.35), (42, 3.97), (54, 5.54)), ((4, 1, "found dead"), (37, 1, "weather")),
           ((2, 100), (14, 100), (29, 50), (44, 50)), (58, 18)),
    _Story("B3", "chicken", "broad", 58, 40, 1, 1, "Grass pen 1", 24,
           ((21, 1.39), (35, 3.12), (54, 5.71)),
           ((3, 2, "found dead"), (19, 1, "culled"), (45, 1, "predator")),
           ((2, 150), (14, 150), (28, 150), (43, 100)), (57, 47)),
    _Story("D1", "duck", "lean", 55, 13, 0, 0, "Duck house", 18,
           ((28, 4.08), (51, 7.09)), ((5, 1, "found dead"),),
           ((2, 100), (14, 100), (27, 50), (40, 50)), (54, 30), breed="White Pekin"),
    _Story("B4", "chicken", "broad", 44, 60, 2, 1, "Grass pen 2", 23,
           ((21, 1.47), (35, 3.28)),
           ((3, 2, "found dead"), (26, 1, "culled"), (31, 2, "found dead")),
           ((2, 150), (11, 150), (22, 100), (32, 100)), (43, 31),
           outlet="Market and neighbors",
           more=((37, "medicine", {"medicine": "Medicine for coccidiosis, in the water",
                                   "last_on": 41, "withdrawal_d": "7",
                                   "by": "Dr. Hale, veterinarian"}),)),
    _Story("B5", "chicken", "broad", 30, 50, 1, 0, "Orchard house", 22,
           ((14, 0.78), (21, 1.41), (28, 1.76)),
           ((2, 1, "found dead"), (12, 1, "found dead"), (25, 2, "found dead")),
           ((2, 100), (7, 50), (14, 50), (22, 50)), (29, 37)),
    _Story("C1", "chicken", "broad", 6, 40, 1, 1, "Brooder", 0, (), ((3, 1, "found dead"),),
           ((2, 50),), (5, 43)),
)  # fmt: skip
_SEXES: Final = (0.94, 1.06)
_SPREAD: Final = 0.09


def make_lots(*, here: dt.datetime, now: dt.datetime) -> None:
    """Write the demo's pens, lots and lives."""
    for name, kind, area, move in _PENS:
        save_pen({"name": name, "kind": kind, "area": area, "move_d": move})
    made: list[tuple[dt.date, str, str, Mapping[str, Any]]] = []
    today = here.date()
    for story in _STORIES:
        _lot(story, today)
        made += _life(story, today)
    made += _ordered_only(today)
    made.sort(key=lambda one: (one[0], one[1]))
    morning = dt.time(7, 30, tzinfo=here.tzinfo)
    journal.append(
        [
            journal.NewEntry(
                client_id=f"demoflock{number}",
                kind=ENTRY_KIND,
                payload=payload(kind, typed, Frame(code, None, today)),
                who="Mae" if kind in {"lost", "weighed"} else "Ines",
                device="demo",
                device_time=min(dt.datetime.combine(on, morning).astimezone(dt.UTC), now),
            )
            for number, (on, code, kind, typed) in enumerate(made)
        ],
        day_id=None,
        received_at=now,
    )


def _lot(story: _Story, today: dt.date) -> None:
    grass = "pasture" if story.pen.startswith("Grass") else "usual"
    flock_lots.save_lot(
        {
            "code": story.code,
            "species": story.species,
            "build": story.build,
            "sex": "straight run",
            "setting": grass,
            "breed": story.breed,
            "outlet": story.outlet,
            "hatched": (today - dt.timedelta(days=story.age_d)).isoformat(),
        },
        new=True,
    )


def _life(story: _Story, today: dt.date) -> list[tuple[dt.date, str, str, Mapping[str, Any]]]:
    hatched = today - dt.timedelta(days=story.age_d)
    found: list[tuple[dt.date, str, str, Mapping[str, Any]]] = []

    def write(age_d: int, kind: str, **typed: Any) -> None:  # noqa: ANN401 - as a form sends it
        on = hatched + dt.timedelta(days=age_d)
        found.append((on, story.code, kind, {"on": on.isoformat(), **typed}))

    first = "Brooder"
    write(
        -24, "ordered", hatchery=_HATCHERY, ordered=str(story.ordered), spares=str(story.spares),
        hatch_on=hatched.isoformat(), arrive_on=(hatched + dt.timedelta(days=2)).isoformat(),
    )  # fmt: skip
    write(
        2, "arrived", pen=first, ordered=str(story.ordered), spares=str(story.spares),
        dead=str(story.dead), note="" if not story.dead else "Cold night on the road.",
    )  # fmt: skip
    heads, pen = story.ordered + story.spares - story.dead, first
    moved = story.out_d == 0
    for age, birds, cause in story.losses:
        if not moved and age >= story.out_d:
            write(story.out_d, "moved", pen=pen, to=story.pen, heads=str(heads))
            moved, pen = True, story.pen
        write(age, "lost", pen=pen, heads=str(birds), cause=cause)
        heads -= birds
    if not moved:
        write(story.out_d, "moved", pen=pen, to=story.pen, heads=str(heads))
    for age, kind, typed in story.more:
        day = hatched + dt.timedelta(days=int(typed["last_on"]))
        write(age, kind, **{**typed, "last_on": day.isoformat()})
    for age, weights in _weighings(story):
        write(age, "weighed", weights="\n".join(weights), unit="lb", birds_each="1")
    for number, (age, pounds) in enumerate(story.feed):
        name = "Starter" if number < 2 else "Grower"  # noqa: PLR2004 - the first half
        write(age, "feed", mass=f"{pounds} lb", feed=name)
    write(story.left[0], "feed_left", mass=f"{story.left[1]} lb")
    return found


def _weighings(story: _Story) -> list[tuple[int, list[str]]]:
    """Spread single birds about the mean, half of each sex, the same every time."""
    luck = np.random.default_rng(sum(map(ord, story.code)))
    birds = max(min(20, story.ordered // 2), 4)
    found = []
    for age, mean in story.weighed:
        each = [
            mean * _SEXES[bird % 2] * (1 + _SPREAD * float(luck.standard_normal()))
            for bird in range(birds)
        ]
        found.append((age, [f"{pounds:.2f}" for pounds in each]))
    return found


def _ordered_only(today: dt.date) -> list[tuple[dt.date, str, str, Mapping[str, Any]]]:
    """Order poults that hatch next week."""
    hatch = today + dt.timedelta(days=8)
    flock_lots.save_lot(
        {"code": "T2", "species": "turkey", "build": "broad", "sex": "straight run",
         "setting": "usual", "breed": "Straight-run poults", "outlet": "Holiday list",
         "hatched": hatch.isoformat()},
        new=True,
    )  # fmt: skip
    on = today - dt.timedelta(days=20)
    order = {
        "on": on.isoformat(), "hatchery": _HATCHERY, "ordered": "15", "spares": "0",
        "hatch_on": hatch.isoformat(), "arrive_on": (hatch + dt.timedelta(days=2)).isoformat(),
    }  # fmt: skip
    return [(on, "T2", "ordered", order)]
