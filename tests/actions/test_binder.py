"""The binder of the made-up farm: what it holds, what it misses, and how it is gathered."""

from __future__ import annotations

import datetime as dt
import io
import random

import pypdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from pinfeather import clock
from pinfeather.actions import farm as farms
from pinfeather.actions.binder import gather, source, work
from pinfeather.actions.binder.period import Period, period_from, this_year
from pinfeather.actions.day.days import farm_today
from pinfeather.actions.flock import books as flocks
from pinfeather.actions.stock import drill
from pinfeather.errors import InputFaultsError, RecordConflictError, RecordNotFoundError
from pinfeather.records import journal, models
from pinfeather.reports.typeset import page_count


def text(pdf: bytes) -> str:
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)


def year() -> Period:
    return this_year(farm_today()[1])


def months() -> Period:
    """Long enough to hold every day of the made-up farm, whatever the date."""
    today = farm_today()[1]
    return Period(today - dt.timedelta(days=200), today + dt.timedelta(days=2))


def codes(found) -> set[str]:
    return {one.code for one in found}


@pytest.mark.parametrize(
    ("first", "last", "faults"),
    [
        ("", "soon", {"from", "to"}),
        ("2026-05-01", "2026-04-30", {"to"}),
        ("2020-01-01", "2026-01-01", {"to"}),
        ("0001-01-01", "0001-02-01", {"from"}),
    ],
)
def test_a_period_with_faults_is_refused_with_all_of_them(first, last, faults) -> None:
    with pytest.raises(InputFaultsError) as caught:
        period_from(first, last)
    assert {fault.name for fault in caught.value.faults} == faults


def test_the_binder_holds_every_closed_day_with_its_seal_and_every_section(demo_farm) -> None:
    found = gather.binder(months(), now=clock.now())
    titles = [one.title for one in found.sections]
    for title in ("Tier and head count", "Plan of the shop", "Corrective actions", "Day records",
                  "Thermometers and scales", "Water", "Chemicals",
                  "Flocks, their source and medicine", "Labels", "Sales", "Recall drills",
                  "Duties and licences", "Rules we work by"):  # fmt: skip
        assert title in titles
    days = next(one for one in found.sections if one.title == "Day records")
    sealed = models.Day.objects.exclude(seal="").order_by("date")
    seals = [block.digest for leaf in days.leaves for block in leaf.blocks
             if hasattr(block, "digest")]  # fmt: skip
    assert seals == [day.seal for day in sealed]
    assert found.seal.digest == journal.head()[1]
    assert found.demo


def test_a_day_reads_in_the_binder_as_it_was_judged_not_as_it_would_be_judged_today(
    demo_farm, monkeypatch
) -> None:
    def never(*_args, **_kw):
        raise AssertionError("a closed day is not judged again")

    monkeypatch.setattr("pinfeather.actions.day.closing.judge", never)
    monkeypatch.setattr("pinfeather.day.planner.plan_day", never)
    found = gather.binder(months(), now=clock.now())
    said = repr(next(one for one in found.sections if one.title == "Day records"))
    for day in models.Day.objects.exclude(seal=""):
        assert day.seal in said
        for one in day.record["findings"]:
            assert one["action"] is None or one["action"]["text"] in said
    assert "Large bruise and old abscess" in said


def test_no_price_and_no_sum_of_money_stands_in_the_sales(demo_farm) -> None:
    found = gather.binder(months(), now=clock.now())
    sales = next(one for one in found.sections if one.title == "Sales")
    cells = [cell for block in sales.blocks if hasattr(block, "rows")
             for row in block.rows for cell in row]  # fmt: skip
    assert cells
    assert not any("$" in cell for cell in cells)
    assert any("Samir Haddad" in cell for cell in cells)


def test_the_same_journal_and_moment_give_the_same_bytes(demo_farm) -> None:
    now = clock.now()
    assert gather.make(months(), now=now) == gather.make(months(), now=now)


def test_reading_asks_as_many_questions_for_a_week_as_for_months(demo_farm) -> None:
    today = farm_today()[1]
    many = []
    for days in (8, 200):
        with CaptureQueriesContext(connection) as asked:
            found = source.read(Period(today - dt.timedelta(days=days), today))
        many.append((len(asked.captured_queries), len(found.closed)))
    assert many[0][1] < many[1][1]
    assert many[1][0] <= many[0][0] < 16  # the week asks once more: for the year before it


def test_what_is_missing_is_said(demo_farm) -> None:
    never = Period(dt.date(2001, 1, 1), dt.date(2001, 12, 31))
    assert codes(gather.preview(never).missing) >= {
        "binder.no_day", "binder.water", "binder.drill",
    }  # fmt: skip
    models.Farm.objects.update(address="", water_test=None)
    found = codes(gather.preview(months()).missing)
    assert {"binder.farm", "binder.open_day"} <= found
    assert "binder.no_day" not in found


def test_birds_slaughtered_before_their_withdrawal_is_over_stop_the_binder(demo_farm) -> None:
    day = models.Day.objects.exclude(seal="").order_by("-date").first()
    code = day.request["lots"][0]["code"]
    typed = {
        "on": str(day.date - dt.timedelta(days=9)),
        "last_on": str(day.date - dt.timedelta(days=7)),
        "withdrawal_d": "7",
        "medicine": "Powder",
        "by": "Vet",
    }
    flocks.add_event(code, "medicine", typed, who="Ines")
    found = [o for o in gather.preview(months()).missing if o.code == "binder.withdrawal"]
    # the seventh whole day after the last dose is the day of slaughter itself: clear the day after
    assert [one.where for one in found] == [code]
    typed["withdrawal_d"] = "6"
    entry = next(e for e in flocks.book(code).entries if e.kind == "medicine")
    flocks.strike_out(code, entry.id, reason="wrong", who="Ines")
    flocks.add_event(code, "medicine", typed, who="Ines")
    assert "binder.withdrawal" not in codes(gather.preview(months()).missing)


def test_work_is_kept_told_of_and_can_be_stopped(demo_farm, monkeypatch) -> None:
    waiting = []
    monkeypatch.setattr(work, "run", waiting.append)
    monkeypatch.setattr(work, "_JOBS", type(work._JOBS)())
    period = months()
    job = work.begin(period)
    assert work.begin(period) is job  # one that is on its way is left to it
    assert job.alive
    work.cancel(period)
    waiting.pop()()
    assert job.cancelled
    assert not job.pdf
    again = work.begin(period)
    waiting.pop()()
    assert again.pages == page_count(again.pdf) > 10
    assert again.step == again.steps
    assert work.newer_entries(again) == 0
    farms.save_lot("ZZ", species="duck", build="lean", hatched=None, head=1)
    flocks.add_event("ZZ", "note", {"on": str(farm_today()[1]), "note": "late"}, who="Mae")
    assert work.newer_entries(again) == 1
    monkeypatch.setattr(gather, "make", lambda *_args, **_kw: b"%PDF-")
    for back in range(1, 6):
        work.begin(Period(period.first - dt.timedelta(days=back), period.last))
        waiting.pop()()
    assert len(work._JOBS) <= 3


# ------------------------------------------------------------------------------------ the drill


def test_the_drill_draws_a_lot_of_the_last_year_and_its_balance_adds_up(demo_farm) -> None:
    today = farm_today()[1]
    drawn = {drill.suggested(today=today, rng=random.Random(n)) for n in range(30)}
    assert drawn == set(drill.codes(today=today))
    for code in drawn:
        found = drill.subject(code)
        balance = found.balance
        assert balance.packages == len(found.packages) > 0
        assert balance.birds_in >= balance.birds_packed
        assert len(found.here) == balance.in_shop
    assert drill.suggested(today=dt.date(2071, 1, 1), rng=random.Random(1)) == ""
    with pytest.raises(RecordNotFoundError):
        drill.subject("2001-01-01 A1 T1")


def test_a_drill_is_written_with_its_time_and_a_difference_needs_words(demo_farm) -> None:
    now, today = clock.now(), farm_today()[1]
    code = next(c for c in drill.codes(today=today) if drill.subject(c).balance.in_shop)
    with pytest.raises(InputFaultsError):
        drill.begin(code, who="", now=now)
    ident = drill.begin(code, who="Mae", now=now)
    with pytest.raises(RecordConflictError):
        drill.begin(code, who="Mae", now=now)
    balance = drill.subject(code).balance
    later = now + dt.timedelta(minutes=21)
    for typed, wrong in (
        ({"seen": "many"}, "seen"),
        ({"seen": str(balance.in_shop + 1)}, "seen"),
        ({"seen": str(balance.in_shop - 1)}, "explained"),
    ):
        with pytest.raises(InputFaultsError) as caught:
            drill.end(ident, typed, who="Mae", now=later)
        assert {fault.name for fault in caught.value.faults} == {wrong}
    typed = {"seen": str(balance.in_shop - 1), "explained": "One bag was eaten.", "others": "Vet"}
    drill.end(ident, typed, who="Mae", now=later)
    newest = drill.drills()[0]
    assert newest.took_s == 21 * 60
    assert newest.packages - newest.found == 1 + sum(
        n for where, n, _lb in newest.sums if where in ("unnamed", "missing")
    )
    with pytest.raises(RecordNotFoundError):
        drill.end(ident, typed, who="Mae", now=later)
    found = gather.binder(months(), now=later)
    said = repr(next(one for one in found.sections if one.title == "Recall drills"))
    assert "21 min 0 s" in said
    assert "One bag was eaten." in said


def test_the_journal_holds_no_customers_name_of_a_drill(demo_farm) -> None:
    lines = models.Entry.objects.filter(kind=drill.KIND)
    assert lines.count() >= 2  # the made-up farm's own
    names = list(models.Customer.objects.values_list("name", flat=True))
    for line in lines:
        assert not any(name in str(line.payload) for name in names)
    done = next(one for one in drill.drills() if one.contacts)
    assert done.contacts[0][0] in names


def test_an_empty_farm_has_a_binder_that_says_what_it_lacks(farm) -> None:
    pdf = gather.make(year(), now=clock.now())
    assert "No processing day was closed in this period." in text(pdf)
