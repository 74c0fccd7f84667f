"""How long pages take as the years of records add up.

A made-up journal is written straight into a store: processing days of 100 birds, each bird counted
at five stations and packed, readings and ice checks, days closed but the last. The store then holds
1, 5 or 20 years at 2,000 birds a year, or one year at 20,000. Each page is asked for a few times
through the program's own front door, without a network. Printed: the median and the 95th of 100 by
the clock, and how many times more work than with the smallest store: the median of the processor's
time, which other programs on the machine disturb less. The aim is ten times the records in at most
1.5 times the time.

Run it with ``python benchmarks/page_times.py``; ``--full`` for all four stores.
"""

from __future__ import annotations

import datetime as dt
import json
import os
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

BIRDS_A_DAY = 100
ASKED = 12
AIM = 1.5
COLUMNS = (
    "seq", "client_id", "day_id", "kind", "payload", "who", "device", "device_time", "skew_s",
    "received_at", "previous_hash", "hash",
)  # fmt: skip
RECORD = {
    "method": "made up", "profile": "us-federal", "judged_at": "2026-01-01T00:00:00+00:00",
    "closed_by": "Mae", "counts": {}, "chill": [], "findings": [],
}  # fmt: skip
STATIONS = ("catch", "kill", "pick", "draw", "chill")
LAST_DAY = dt.date(2026, 10, 7)
STORES = {"1 year": (1, 2000), "1 year, ten times the birds": (1, 20000)}
FULL = {
    "1 year": (1, 2000),
    "5 years": (5, 2000),
    "20 years": (20, 2000),
    "1 year, ten times the birds": (1, 20000),
}


def days_of(years: int, birds_a_year: int) -> list[dt.date]:
    """Dates of processing days, the last one today."""
    many = birds_a_year // BIRDS_A_DAY
    apart = 180 / many
    return sorted(
        dt.date(LAST_DAY.year - year, LAST_DAY.month, LAST_DAY.day)
        - dt.timedelta(days=int(n * apart))
        for year in range(years)
        for n in range(many)
    )


def entries_of(date: dt.date, number: int) -> list[tuple[str, dict[str, Any], dt.datetime]]:
    """What a day leaves in the journal."""
    start = dt.datetime.combine(date, dt.time(14), dt.UTC)
    made: list[tuple[str, dict[str, Any], dt.datetime]] = [
        ("ice point", _written("32.4 F", 0.2222) | {"instrument": "Red probe"}, start),
        ("done", {"task": "sanitiser", "place": "", "note": ""}, start),
    ]
    for bird in range(BIRDS_A_DAY):
        at = start + dt.timedelta(minutes=2 * bird)
        place = f"Tank {1 + bird // 50}"
        made += [
            (
                "tally",
                {"station": station, "birds": 1, "place": place, "lot": f"L{number}"},
                at + dt.timedelta(minutes=4 * later),
            )
            for later, station in enumerate(STATIONS)
        ]
        package = {
            "number": bird + 1, "lot": f"L{number}", "tank": place, "product": "whole",
            "gross": "4.61 lb", "tare": "0.05 lb", "net_lb": "4.56", "price_per_lb": "5.25",
            "total": "23.94", "birds": 1,
        }  # fmt: skip
        made.append(("package", package, at + dt.timedelta(hours=5)))
    for half_hour in range(12):
        reading = _written("39.0 F", 3.889) | {
            "what": "bird", "place": f"Tank {1 + half_hour % 2}", "instrument": "Red probe",
            "note": "",
        }  # fmt: skip
        made.append(("reading", reading, start + dt.timedelta(minutes=200 + 20 * half_hour)))
    return sorted(made, key=lambda one: one[2])


def _written(text: str, si: float) -> dict[str, Any]:
    return {"written": text, "unit": "F", "si": si}


def fill(years: int, birds_a_year: int, plan: tuple[dict[str, Any], str]) -> int:
    """Write the store; return how many lines the journal has."""
    from django.db import connection

    from pinfeather.records import guards, journal, tables
    from pinfeather.records.models import Day
    from pinfeather.records.writing import writing

    request, planned = plan
    dates = days_of(years, birds_a_year)
    previous, seq = journal.GENESIS, 0
    with writing(), connection.cursor() as cursor:
        for guard in guards.names("sqlite"):
            cursor.execute(f"DROP TRIGGER IF EXISTS {guard}")
        for number, date in enumerate(dates, start=1):
            asked = {**request, "date": date.isoformat()}
            asked["lots"] = [{**request["lots"][0], "code": f"L{number}", "count": "100"}]
            last = number == len(dates)
            day = Day(pk=number, date=date, status="running" if last else "closed")
            day.request, day.plan = asked, planned
            rows = []
            for kind, payload, at in entries_of(date, number)[: 300 if last else None]:
                seq += 1
                day_id = None if kind == "ice point" else number
                told = (f"b{seq}", day_id, kind, payload, "Mae", "bench", journal.stamp(at), 0.0)
                digest = journal.line_hash((*told, journal.stamp(at), previous))
                moment = at.strftime("%Y-%m-%d %H:%M:%S")
                rows.append(
                    (seq, *told[:3], json.dumps(payload), *told[4:6], moment, 0.0, moment,
                     previous, digest)
                )  # fmt: skip
                previous = digest
            if not last:
                day.record, day.seal, day.sealed_seq = RECORD, previous, seq
            tables.insert(Day, [day], using="default")
            cursor.executemany(
                f"INSERT INTO records_entry ({', '.join(COLUMNS)})"
                f" VALUES ({', '.join(['%s'] * len(COLUMNS))})",
                rows,
            )
    guards.install("default")
    if journal.broken_at() is not None:
        sys.exit("the made-up journal is broken")
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    return seq


def pages(last: int) -> dict[str, str]:
    """The pages people look at while they work, and the lists."""
    return {
        "today": "/",
        "days": "/days/",
        "farm": "/farm/",
        "thermometers": "/thermometers/",
        "records safe": "/farm/safe/",
        "running day": f"/days/{last}/",
        "kill floor": f"/days/{last}/at/kill/",
        "state, polled": f"/api/days/{last}/state?station=kill",
        "cold": f"/days/{last}/cold/",
        "pack": f"/days/{last}/pack/",
        "new day": "/days/new/",
        "closed day": f"/days/{max(1, last - 1)}/",
    }


def timed(urls: dict[str, str]) -> dict[str, tuple[list[float], float]]:
    """Ask for each page; return its times, sorted, and the median of its work [s]."""
    from django.test import Client

    client = Client(headers={"host": "127.0.0.1"})
    found: dict[str, tuple[list[float], float]] = {}
    for name, url in urls.items():
        times, work = [], []
        for n in range(ASKED + 1):
            begin, worked = time.perf_counter(), time.process_time()
            answer = client.get(url)
            if n:  # the first one loads what it needs
                times.append(time.perf_counter() - begin)
                work.append(time.process_time() - worked)
            if answer.status_code != 200:
                sys.exit(f"{url} answered {answer.status_code}")
        found[name] = sorted(times), statistics.median(work)
    return found


def main() -> None:  # noqa: PLR0915 - a script's one long walk
    """Fill each store, ask for each page, and print."""
    stores = FULL if "--full" in sys.argv else STORES
    with tempfile.TemporaryDirectory(prefix="pinfeather-bench-") as scratch:
        os.environ["PINFEATHER_DATA"] = scratch
        os.environ["DJANGO_SETTINGS_MODULE"] = "pinfeather.web.settings"
        import django

        django.setup()
        from django.db import connections

        from pinfeather import clock
        from pinfeather.actions import farm as farms
        from pinfeather.actions.day.days import draft, save_plan
        from pinfeather.actions.demo import farm as demo
        from pinfeather.actions.store import ready_store
        from pinfeather.records.models import Day

        now = dt.datetime.combine(LAST_DAY, dt.time(16, 30), dt.UTC)
        clock.now = lambda: now  # type: ignore[assignment]
        plan: tuple[dict[str, Any], str] | None = None
        measured: dict[str, dict[str, tuple[list[float], float]]] = {}
        for number, (name, (years, birds)) in enumerate(stores.items()):
            connections["default"].close()
            store = Path(scratch) / f"s{number}" / "farm.sqlite3"
            store.parent.mkdir()
            connections["default"].settings_dict["NAME"] = str(store)
            ready_store()
            farms.save_farm({"name": "Juniper Hollow Farm", "zone": demo.ZONE})
            farms.save_person("Mae", ["catch", "kill", "scald", "pick", "draw", "rinse", "bag"])
            farms.save_person("Tobias", ["draw", "rinse", "bag", "weigh", "store"])
            farms.save_instrument("Red probe", kind="thermometer", accuracy="1 F")
            if plan is None:
                asked = draft(LAST_DAY)
                asked["lots"] = [
                    {"code": "L1", "species": "chicken", "build": "broad", "count": "100",
                     "mean": "4.5 lb", "spread": "0.4 lb"}
                ]  # fmt: skip
                asked["equipment"] = {
                    **asked["equipment"],
                    "tanks": [
                        {"name": f"Tank {n}", "volume": "80 gal", "bath": "still", "walls": "bare"}
                        for n in (1, 2)
                    ],
                    "ice": "600 lb", "refrigerator": "80 ft3", "freezer": "80 ft3",
                }  # fmt: skip
                row = Day.objects.get(pk=save_plan(asked, days=4, change_days=0))
                plan = (row.request, row.plan)
                Day.objects.all().delete()
            begin = time.perf_counter()
            lines = fill(years, birds, plan)
            last = Day.objects.order_by("-date", "-id").values_list("pk", flat=True)[0]
            print(
                f"{name}: {birds} birds a year, {Day.objects.count()} days, {lines} lines, "
                f"{store.stat().st_size / 1e6:.0f} MB, "
                f"filled in {time.perf_counter() - begin:.1f} s",
                flush=True,
            )
            measured[name] = timed(pages(last))
        connections["default"].close()
    first = next(iter(measured))
    print(f"{'page':>16}  " + "  ".join(f"{name:>28}" for name in measured))
    print(f"{'':>16}  " + "  ".join(f"{'p50 ms  p95 ms   times':>28}" for _ in measured))
    over = []
    for page in measured[first]:
        base = measured[first][page][1]
        cells = []
        for name, found in measured.items():
            times, work = found[page]
            p50, p95 = statistics.median(times), times[min(ASKED - 1, int(0.95 * ASKED))]
            cells.append(f"{1e3 * p50:12.1f} {1e3 * p95:7.1f} {work / base:7.2f}")
            if name != first and work / base > AIM:
                over.append(f"{page} with {name}: {work / base:.2f} times")
        print(f"{page:>16}  " + "  ".join(f"{cell:>28}" for cell in cells))
    print(f"aim: at most {AIM} times; over it: " + ("; ".join(over) or "none"))


if __name__ == "__main__":
    main()
