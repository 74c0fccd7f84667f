"""A trace through twenty years of a farm with 2,000 birds a year, against one year.

Run: python benchmarks/trace_twenty_years.py
"""

import datetime as dt
import json
import os
import tempfile
import time
import tomllib
from pathlib import Path
from typing import Any

DAYS_A_YEAR = 20
BIRDS_A_DAY = 100
NOW = dt.datetime(2026, 11, 20, 12, tzinfo=dt.UTC)
EXAMPLE = Path(__file__).parents[1] / "examples" / "plan_day.toml"
STATIONS = ("catch", "kill", "pick", "draw", "chill")
Line = tuple[str, str, dict[str, Any], int]
"""Id, kind, content and hour of a journal line."""


def fill(years: int) -> str:
    """Write days, readings, packages, moves and sales; return the oldest day's lot code."""
    from django.db import transaction

    from pinfeather.actions import farm
    from pinfeather.actions.day import days
    from pinfeather.actions.stock import book as stock_book
    from pinfeather.records import models

    farm.save_farm({"name": "Made-up farm", "address": "1 Lane", "zone": "America/Chicago"})
    farm.save_instrument("Red probe", kind="thermometer", accuracy="1 F")
    first = days.save_plan(tomllib.loads(EXAMPLE.read_text()), days=4, change_days=0)
    pattern = models.Day.objects.get(pk=first)
    people = [models.Customer(name=f"Customer {n}", phone="555-0100") for n in range(200)]
    models.Customer.objects.bulk_create(people)
    with transaction.atomic():
        days_and_stock(years, pattern.request, plan=pattern.plan)
    stock_book.catch_up()
    return models.Pack.objects.order_by("packed_on", "seq")[0].lot_code


def days_and_stock(years: int, request: dict[str, Any], *, plan: str) -> None:
    """Write every day's lines, and what became of its packages."""
    from pinfeather.records import models

    tanks = [tank["name"] for tank in request["equipment"]["tanks"]]
    for number in range(years * DAYS_A_YEAR):
        year, day = divmod(number, DAYS_A_YEAR)
        date = NOW.date() - dt.timedelta(days=365 * (years - 1 - year) + 15 * day)
        asked = {**request, "date": date.isoformat()}
        row = models.Day.objects.create(date=date, request=asked, plan=plan)
        write(day_lines(row.pk, f"B{day % 5}", tanks), date, row.pk)
        write(stock_lines(row.pk), date, None)


def write(lines: list[Line], date: dt.date, day: int | None) -> None:
    """Append to the journal as ever, chain and all, but many lines in one statement."""
    from django.db import connection

    from pinfeather.records import journal, models

    seq, previous = journal.head()
    moment = connection.ops.adapt_datetimefield_value
    rows = []
    for place, (ident, kind, payload, hour) in enumerate(lines, start=seq + 1):
        row = models.Entry(
            seq=place, client_id=ident, day_id=day, kind=kind, payload=payload, who="A",
            device="made", device_time=dt.datetime.combine(date, dt.time(hour), tzinfo=dt.UTC),
            received_at=NOW, previous_hash=previous,
        )  # fmt: skip
        previous = journal.entry_hash(row)
        rows.append(
            (place, ident, day, kind, json.dumps(payload), "A", "made", moment(row.device_time),
             0.0, moment(NOW), row.previous_hash, previous)
        )  # fmt: skip
    columns = ", ".join(field.column for field in models.Entry._meta.concrete_fields)
    signs = ", ".join(["%s"] * len(rows[0]))
    with connection.cursor() as cursor:
        cursor.executemany(f"INSERT INTO records_entry ({columns}) VALUES ({signs})", rows)


def day_lines(day: int, lot: str, tanks: list[str]) -> list[Line]:
    """Counts, readings, sanitiser and packages of one day."""
    made: list[Line] = [(f"d{day}s{n}", "done", {"task": "sanitiser"}, 8 + n) for n in range(3)]
    reading = {"written": "39 F", "unit": "F", "si": 3.9, "instrument": "Red probe"}
    for n in range(20):
        what = {"what": "bird" if n % 2 else "bath", "place": tanks[n % len(tanks)]}
        made.append((f"d{day}r{n}", "reading", {**what, **reading}, 12))
    for station in STATIONS:
        for n in range(BIRDS_A_DAY // 10):
            tally = {"station": station, "birds": 10, "place": tanks[0], "lot": lot}
            made.append((f"d{day}t{station}{n}", "tally", tally, 10))
    package = {"product": "Whole chicken", "gross": "4.53 lb", "tare": "0.03 lb"}
    package |= {"net_lb": "4.50", "price_per_lb": "5.00", "total": "22.50", "birds": 1, "lot": lot}
    for n in range(BIRDS_A_DAY):
        own = {"number": n + 1, "tank": tanks[n % len(tanks)]}
        made.append((f"d{day}p{n}", "package", {**package, **own}, 15))
    return made


def stock_lines(day: int) -> list[Line]:
    """Put away, then all but ten sold, two at a time."""
    ids = [f"d{day}p{n}" for n in range(BIRDS_A_DAY)]
    put = {"act": "put", "packages": ids, "place": "Barn"}
    made: list[Line] = [(f"d{day}put", "stock", put, 18)]
    money = {"total": "45.00", "from_deposit": "0", "deposit_back": "0", "to_pay": "45.00"}
    for n in range(0, BIRDS_A_DAY - 10, 2):
        who = (day + n) % 200
        buyer = {"id": 1 + who, "name": f"Customer {who}", "address": "", "kind": "household"}
        sale = {"number": n, "packages": ids[n : n + 2], "lines": [], "buyer": buyer, "order": ""}
        made.append((f"d{day}sale{n}", "sale", {**sale, **money}, 20))
    return made


def measured(years: int) -> dict[str, float]:
    """Seconds of computing for five traces in a store of so many years.

    The store is in this process, so that what other programs do at the same time does not count.
    """
    from django.core.management import call_command
    from django.db import connections

    from pinfeather.actions.stock import tracing

    connections["default"].close()
    folder = tempfile.mkdtemp(prefix="pinfeather-trace-")
    connections["default"].settings_dict["NAME"] = str(Path(folder) / "farm.sqlite3")
    call_command("migrate", verbosity=0, interactive=False)
    begin = time.process_time()
    lot = fill(years)
    written_s = time.process_time() - begin
    print(
        f"{years} years, {years * DAYS_A_YEAR * BIRDS_A_DAY} packages: {written_s:.1f} s to write"
    )
    found = {}
    for name, text in (
        ("lot code", lot),
        ("package", "d2p1"),
        ("buyer", "buyer:7"),
        ("flock name used every year", "flock:B1"),
        ("thermometer of all days", "Red probe"),
    ):
        begin = time.process_time()
        traced = tracing.trace(tracing.thing_from(text))
        found[name] = time.process_time() - begin
        print(f"  {name}: {len(traced.packages)} packages, {found[name]:.3f} s")
    return found


def main() -> None:
    """Print the times for one year and for twenty, and how much longer twenty take."""
    os.environ["PINFEATHER_DATA"] = tempfile.mkdtemp(prefix="pinfeather-trace-")
    os.environ["DJANGO_SETTINGS_MODULE"] = "pinfeather.web.settings"
    import django

    django.setup()
    one, twenty = measured(1), measured(20)
    for name, time_s in twenty.items():
        print(f"{name}: twenty years take {time_s / one[name]:.1f} times as long as one")


if __name__ == "__main__":
    main()
