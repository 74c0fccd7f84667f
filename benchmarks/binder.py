"""The binder of a year with 1,000 birds, against the same pages of plain tables.

Twenty days of fifty birds are planned once, counted, packed, judged and closed through the real
actions; the packages are sold two at a time. Then the year's binder is made. The reference in the
same run sets as many pages of plain tables as one document with the same typesetting program. The
aim is under 10 s and under 20 MB.

Run it with ``python benchmarks/binder.py``.
"""

from __future__ import annotations

# ruff: noqa: SLF001 - the made-up farm's own way of playing a day
import datetime as dt
import os
import sys
import tempfile
import time
from typing import Any

DAYS = 20
BIRDS = 50
NOW = dt.datetime(2026, 11, 20, 18, tzinfo=dt.UTC)
AIM_S, AIM_BYTES = 10.0, 20_000_000
ROWS_ON_A_PAGE = 36


def fill() -> None:
    """Write the year: days closed with their judgement, packages put away, most of them sold."""
    from pinfeather import clock
    from pinfeather.actions import farm
    from pinfeather.actions.day import closing, days
    from pinfeather.actions.demo import farm as demo
    from pinfeather.actions.stock import customers
    from pinfeather.records import journal, models

    farm.save_farm({"name": "Made-up farm", "address": "1 Lane\nHollow", "zone": "America/Chicago",
                    "water_source": "well", "water_test": NOW.date()})  # fmt: skip
    farm.save_instrument("Red probe", kind="thermometer", accuracy="1 F")
    for name in ("Ines", "Tobias", "Mae"):
        farm.save_person(name, list(demo._FULL))
    here = NOW.astimezone(clock.zone("America/Chicago")).replace(hour=8, minute=30)
    for number in range(DAYS):
        hatched = here.date() - dt.timedelta(days=15 * (DAYS - number) + 56)
        farm.save_lot(
            f"B{number}", species="chicken", build="broad", head=BIRDS + 2, hatched=hatched
        )
    pattern: Any = None
    for number in range(DAYS):
        begins = here - dt.timedelta(days=15 * (DAYS - number))
        lot = demo._lot(f"B{number}", "chicken", str(BIRDS), mean="4.6 lb")
        one = demo._DemoDay(begins, [lot], None)
        if pattern is None:
            pattern = models.Day.objects.get(
                pk=days.save_plan(demo._mapping(one), days=4, change_days=0)
            )
            row = pattern
        else:  # the same plan on another date: planning is not what is measured
            asked = {**pattern.request, "date": begins.date().isoformat(), "lots": [lot]}
            plan = pattern.plan.replace('"B0"', f'"B{number}"')
            row = models.Day.objects.create(date=begins.date(), request=asked, plan=plan)
        entries = demo._entries(days.day(row.pk), one)
        end = max(entry.device_time for entry in entries)
        journal.append(entries, day_id=row.pk, received_at=end)
        models.Day.objects.filter(pk=row.pk).update(status="running")
        closes = end + dt.timedelta(minutes=20)
        answers = [
            journal.NewEntry(f"a{row.pk}x{n}", "action", {"finding": f.finding.code,
                             "where": f.finding.where, "text": "Looked at it together."}, "Ines",
                             "made", closes)
            for n, f in enumerate(closing.judge(row.pk, now=closes).unanswered)
        ]  # fmt: skip
        journal.append(answers, day_id=row.pk, received_at=closes)
        closing.close(row.pk, who="Ines", now=closes)
    people = [
        customers.save_customer(name=f"Customer {n}", address=f"{n} Lane", phone="555-0100",
                                kind="household")
        for n in range(60)
    ]  # fmt: skip
    _sell(people)


def _sell(people: list[int]) -> None:
    """Sell all but fifty packages, two at a time; written as the counter writes them."""
    from pinfeather.actions.stock import book as stock_book
    from pinfeather.records import journal

    packages = stock_book.in_stock()
    entries = []
    for number, start in enumerate(range(0, len(packages) - 50, 2), start=1):
        pair = packages[start : start + 2]
        who = people[number % len(people)]
        lines = [
            {"package": p.id, "code": p.code, "product": p.product, "species": "chicken",
             "lot_code": p.lot_code, "number": p.number, "net_lb": str(p.net_lb),
             "slaughtered_on": p.packed_on.isoformat(), "price_per_lb": "5.25", "total": p.total}
            for p in pair
        ]  # fmt: skip
        at = dt.datetime.combine(pair[-1].packed_on, dt.time(23), tzinfo=dt.UTC)
        payload = {
            "number": number, "packages": [p.id for p in pair], "lines": lines, "order": "",
            "buyer": {"id": who, "name": f"Customer {who}", "address": f"{who} Lane",
                      "kind": "household"},
            "paid_by": "cash", "venue": "farm", "total": "0", "from_deposit": "0", "to_pay": "0",
            "deposit_back": "0", "leaves_state": False, "stops": [], "reason": "",
        }  # fmt: skip
        entries.append(journal.NewEntry(f"sale{number}", "sale", payload, "Ines", "made", at))
    journal.append(entries, day_id=None, received_at=NOW)
    stock_book.catch_up()


def plain_pages(pages: int) -> float:
    """Seconds to set as many pages of plain tables as one document."""
    from pinfeather.reports.table_sheet import SheetTable, TableSheet, table_sheet_pdf
    from pinfeather.reports.typeset import page_count

    rows = tuple(
        (f"{n}", "water in the blue tank", "33.6 °F", "33.2 °F", "Red probe", "Tobias")
        for n in range(pages * ROWS_ON_A_PAGE)
    )
    table = SheetTable("Readings", ("n", "Where", "Written", "Corrected", "With", "Who"), rows)
    begin = time.perf_counter()
    made = table_sheet_pdf(TableSheet("Made-up farm", "Plain", tables=(table,)), printed_at=NOW)
    took_s = time.perf_counter() - begin
    return took_s * pages / page_count(made)


def main() -> None:
    """Fill a store, make the binder, print time, bytes, pages and the ratio."""
    os.environ["PINFEATHER_DATA"] = tempfile.mkdtemp(prefix="pinfeather-binder-")
    os.environ["DJANGO_SETTINGS_MODULE"] = "pinfeather.web.settings"
    import django

    django.setup()
    from django.core.management import call_command

    from pinfeather.actions.binder import gather
    from pinfeather.actions.binder.period import Period
    from pinfeather.reports.typeset import page_count

    call_command("migrate", verbosity=0, interactive=False)
    begin = time.perf_counter()
    fill()
    print(f"{DAYS} closed days of {BIRDS} birds: {time.perf_counter() - begin:.1f} s to write")
    year = Period(dt.date(2026, 1, 1), dt.date(2026, 12, 31))
    begin = time.perf_counter()
    found = gather.preview(year)
    print(f"  looked at for the page: {time.perf_counter() - begin:.2f} s")
    begin = time.perf_counter()
    gather.binder(year, now=NOW)
    gathered_s = time.perf_counter() - begin
    begin = time.perf_counter()
    pdf = gather.make(year, now=NOW)
    took_s = time.perf_counter() - begin
    pages = page_count(pdf)
    plain_s = plain_pages(pages)
    print(f"  gathered: {gathered_s:.2f} s")
    print(
        f"  the binder: {took_s:.2f} s, {len(pdf) / 1e6:.2f} MB, {pages} pages, {found.birds}"
        f" birds, {found.sales} sales; aim {AIM_S:g} s, {AIM_BYTES / 1e6:g} MB"
    )
    print(f"  as many pages of plain tables: {plain_s:.2f} s; ratio {took_s / plain_s:.1f}")
    if found.birds != DAYS * BIRDS or found.closed_days != DAYS:
        sys.exit("the year is not whole")


if __name__ == "__main__":
    main()
