"""A what-if for 200 birds: how long it takes, and against planning the whole day again twice.

Run with ``python benchmarks/what_if_200_birds.py``. The first answer computes everything, chill
times too; the later ones find the plan as it stands played already, as the page does.
"""

import copy
import datetime as dt
import os
import time
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from pinfeather.day.planner import plan_day
from pinfeather.day.request import DayRequest, request_from
from pinfeather.day.what_if import difference, difference_words, played_days, ranked, set_up
from pinfeather.line.simulate import FlowLimits
from pinfeather.reports.strip import Strip

BIRDS = 200
FILE = Path(__file__).parents[1] / "tests" / "data" / "plan_day.toml"
CLEAN = ["draw", "rinse", "bag", "weigh", "store"]


def clock(work: Callable[[], Any]) -> tuple[float, Any]:
    start = time.perf_counter()
    found = work()
    return time.perf_counter() - start, found


def written() -> dict[str, Any]:
    mapping = tomllib.loads(FILE.read_text(encoding="utf-8"))
    mapping["lots"] = [{**mapping["lots"][0], "count": BIRDS}]
    mapping["people"].append({"name": "Jo", "from": dt.time(8, 30), "stations": CLEAN})
    for person in mapping["people"]:
        person["to"] = dt.time(23, 30)
    mapping.pop("deadline")
    return mapping


def changed(mapping: dict[str, Any]) -> DayRequest:
    new = copy.deepcopy(mapping)
    new["equipment"]["draw_places"] = 3
    new["people"].append({**new["people"][0], "name": "Ines"})
    return request_from(new)


def main() -> None:
    mapping = written()
    asked, then_asked = request_from(mapping), changed(mapping)
    plan = plan_day(asked, days=4, change_days=0)
    limits = FlowLimits(wip_limit=plan.wip_limit, cross=plan.cross)

    def first() -> tuple[Any, Any]:
        now = set_up(asked, limits=limits)
        return now, difference(now, set_up(then_asked, crosses=(plan.cross,)))

    first_s, (now, found) = clock(first)
    before = played_days(now)

    def later() -> None:
        then = set_up(then_asked, crosses=(plan.cross,))
        difference(now, then, before=before)

    later_s = min(clock(later)[0] for _ in range(3))
    print(f"what-if, {BIRDS} birds: first {first_s:.2f} s, then {later_s:.2f} s ({found.way})")
    print(
        f"  {difference_words(found)} {found.days} pairs of days, the mean known to "
        f"±{found.line_half_s / 60:.0f} min"
    )
    ranked_s, gains = clock(lambda: ranked(set_up(then_asked, crosses=(plan.cross,))).gains)
    print(f"  its ranked list of {len(gains)} changes, worked out when asked: {ranked_s:.2f} s")
    naive_s, _plans = clock(lambda: [plan_day(one) for one in (asked, then_asked)])
    print(f"two whole plans instead: {naive_s:.1f} s, {naive_s / later_s:.0f} times as long")


def drawing() -> None:
    """Print what the two strips add to a page."""
    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinfeather.web.settings")
    django.setup()
    from pinfeather.actions.line.what_if import strips
    from pinfeather.reports.strip_svg import strip_svg

    class View:
        zone, date = "America/Chicago", dt.date(2026, 9, 19)

    mapping = written()
    sides = set_up(request_from(mapping)), set_up(changed(mapping))
    drawn: tuple[Strip, ...] = strips(View(), *sides)  # type: ignore[arg-type]
    spent_s, _svg = clock(
        lambda: [strip_svg(one, width=width) for one in drawn for width in (1080, 360)]
    )
    print(f"both strips, wide and narrow: {spent_s:.2f} s")


if __name__ == "__main__":
    main()
    drawing()
