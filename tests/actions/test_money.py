"""Money written down, taken from other records, corrected, and told as a year."""

from __future__ import annotations

import csv
import datetime as dt
import io
from decimal import Decimal
from fractions import Fraction

import pytest

from pinfeather.actions.money import book as money_book
from pinfeather.actions.money import season as money_season
from pinfeather.actions.money import taken as money_taken
from pinfeather.actions.money import view as money_view
from pinfeather.actions.money.document import year_sheet
from pinfeather.errors import InputFaultsError, RecordConflictError, RecordNotFoundError
from pinfeather.money.costing import View
from pinfeather.money.entries import Kind
from pinfeather.money.variance import cost_of_pound
from pinfeather.money.what_if import outcome
from pinfeather.records import journal

TODAY = "2026-06-17"
COST = {"on": TODAY, "kind": "bedding", "amount": "42.10", "for": "farm", "what": "shavings"}


@pytest.fixture
def year(demo_farm):
    return money_view.year_view()


def write(act="cost", **changed):
    return money_book.write(act, COST | changed, who="Ines")


def test_a_cost_is_kept_as_it_was_written_and_once(farm, frozen):
    one = money_book.write("cost", COST, who="Ines", client_id="abc")
    again = money_book.write("cost", COST, who="Ines", client_id="abc")

    (line,) = money_book.book().lines
    assert one == again == line.id
    assert (line.kept["cents"], line.who, line.struck) == (4210, "Ines", "")
    assert line.words == "Bedding $42.10; shavings"
    assert journal.broken_at() is None


def test_every_fault_of_a_cost_is_told_at_once_beside_its_field(farm, frozen):
    with pytest.raises(InputFaultsError) as told:
        write(on="soon", kind="yachts", amount="3.999", **{"for": "lot:Z9"})
    assert {f.name for f in told.value.faults} == {"on", "kind", "amount", "for"}
    assert money_book.book().lines == ()


@pytest.mark.parametrize(
    ("act", "typed", "names"),
    [
        ("hours", {"hours": "3:75", "wage": "x", "paid": "maybe"}, {"hours", "wage", "paid"}),
        ("income", {"event": "theft", "amount": "0", "lot": "Z9"}, {"event", "amount", "lot"}),
        ("income", {"event": "sale", "amount": "5", "from_deposit": "6"}, {"from_deposit"}),
        ("rate", {"what": "gold", "price": "free"}, {"what", "price"}),
        ("seen", {"where": "", "amount": ""}, {"where", "amount"}),
        ("thing", {"name": "", "price": "9", "life": "0", "use": "120 %"}, {"name", "life", "use"}),
        ("thing", {"name": "Pen", "price": "9", "salvage": "10", "life": "5"}, {"salvage"}),
    ],
)
def test_every_form_tells_its_faults(farm, frozen, act, typed, names):
    with pytest.raises(InputFaultsError) as told:
        money_book.write(act, {"on": TODAY} | typed, who="")
    assert {f.name for f in told.value.faults} == names


def test_a_day_that_has_not_come_is_refused(farm, frozen):
    with pytest.raises(InputFaultsError):
        write(on="2026-06-18")


def test_a_wrong_line_stays_readable_beside_the_right_one(farm, frozen):
    wrong = write()
    right = money_book.correct(wrong, COST | {"amount": "24.10"}, reason="turned round", who="Mae")

    lines = {one.id: one for one in money_book.book().lines}
    assert (lines[wrong].struck, lines[wrong].struck_by) == ("turned round", "Mae")
    assert lines[wrong].instead == right
    assert [c.cents for c in money_book.book().costs] == [2410]
    with pytest.raises(RecordConflictError):
        money_book.strike_out(wrong, reason="again", who="Mae")


def test_a_correction_with_a_fault_changes_nothing(farm, frozen):
    wrong = write()
    with pytest.raises(InputFaultsError) as told:
        money_book.correct(wrong, COST | {"amount": "much"}, reason=" ", who="Mae")
    assert {f.name for f in told.value.faults} == {"amount", "reason"}
    assert not money_book.line(wrong).struck
    with pytest.raises(RecordNotFoundError):
        money_book.line("nothing")


def test_a_price_counts_from_its_day_on_and_a_feed_has_its_own(farm, frozen):
    for on, price, feed in (("2026-01-01", "0.30", ""), ("2026-04-01", "0.3625", ""),
                            ("2026-04-01", "0.44", "Starter")):  # fmt: skip
        money_book.write("rate", {"on": on, "what": "feed", "price": price, "feed": feed}, who="")
    book = money_book.book()
    assert book.rate("feed", dt.date(2026, 3, 1)) == 30
    assert book.rate("feed", dt.date(2025, 3, 1)) == 30
    assert book.rate("feed", dt.date(2026, 5, 1)) == Decimal("36.25")
    assert book.rate("feed", dt.date(2026, 5, 1), feed="starter") == 44
    assert book.rate("ice", dt.date(2026, 5, 1)) is None


def test_hours_read_both_ways_of_writing_them(farm, frozen):
    typed = {"on": TODAY, "paid": "own", "wage": "18", "for": "farm"}
    for hours in ("3.5", "3:30", "3.5 h"):
        money_book.write("hours", typed | {"hours": hours}, who="")
    assert {(c.cents, c.hours) for c in money_book.book().costs} == {(6300, Fraction(7, 2))}


def test_a_year_of_the_demo_is_told_whole(year):
    report, full = year.report, year.full
    assert full is not None
    assert full.birds == sum(b.birds for b in year.books.batches if not b.outside)
    for groups in (report.lots, report.days, report.species):
        assert sum(g.total_cents for g in groups) == full.total_cents
    for group in report.lots:
        assert sum(money_view.layer_cents(group)) == group.total_cents


def test_every_line_leads_to_its_entries_to_the_cent(year):
    for group in (*year.report.lots, *year.report.days):
        by = "lot" if group in year.report.lots else "day"
        lines = money_view.trace(year, by, group.name)
        assert sum(line.cents for line, _entries in lines) == group.total_cents
        for line, entries in lines:
            assert sum(one.cents for one in entries) == line.cents
            assert all(one.entry.basis for one in entries)


def test_feed_ice_and_hours_come_from_the_other_records_with_their_basis(year):
    costs = [c for c in year.books.costs if ":" in c.id]
    bases = {kind: {c.basis for c in costs if c.kind is kind} for kind in Kind}
    assert any("feed book" in b for b in bases[Kind.FEED])
    assert any("day’s plan" in b for b in bases[Kind.ICE])
    assert any("day’s plan" in b for b in bases[Kind.PROPANE])
    assert any("journal’s last line" in b for b in bases[Kind.OWN_LABOUR])
    assert any("packages" in b for b in bases[Kind.PACKAGING])


def test_feed_is_its_weight_at_its_price(year):
    for cost in year.books.costs:
        if cost.id.startswith("feed:") and "at $0.44" in cost.basis:
            pounds = Decimal(cost.basis.split(": ")[1].split(" lb")[0])
            assert cost.cents == int(pounds * 44)
            return
    pytest.fail("no feed at 0.44")


def test_what_somebody_wrote_takes_the_place_of_what_was_reckoned(demo_farm):
    before = money_view.year_view()
    day = before.report.days[0].name
    money_book.write("cost", COST | {"kind": "ice", "amount": "99", "for": f"day:{day}"}, who="")
    after = money_view.year_view()

    def ice(view):
        lines = money_view.trace(view, "day", day)
        return sum(line.cents for line, _e in lines if line.kind is Kind.ICE)

    assert ice(before) != 9900
    assert ice(after) == 9900


def test_sales_deposits_and_stock_come_from_the_store(year):
    sales = [i for i in year.books.income if i.basis == "the store’s book"]
    assert {i.event.value for i in sales} >= {"sale", "deposit"}
    assert year.report.sales_cents == sum(i.sold_cents for i in year.books.income)
    assert year.report.stock_cents > 0
    held = money_taken.held_lb()
    assert sum(one.held_lb for one in year.report.stock) == sum(Fraction(x) for x in held.values())


def test_the_ledger_balances_in_every_shape(year):
    rows = list(csv.DictReader(io.StringIO(money_view.ledger_csv(2026).decode("utf-8-sig"))))
    assert rows
    debit = sum(Decimal(r["debit"] or 0) for r in rows)
    assert debit == sum(Decimal(r["credit"] or 0) for r in rows)
    amounts = [
        Decimal(line.rsplit(maxsplit=1)[1])
        for line in money_view.ledger_text(2026).decode().splitlines()
        if line.startswith("    ")
    ]
    assert sum(amounts) == 0
    assert len(amounts) == len(rows)


def test_the_season_in_eleven_numbers_comes_near_the_year(year):
    own = money_season.own_season(year)
    found = outcome(money_season.read_season(own.typed))
    assert abs(found.cost_cents_per_lb - year.full.per_lb_cents) <= 3
    assert "2026" in own.basis


def test_a_lot_in_nine_numbers_costs_exactly_what_the_records_say(year):
    for group in year.report.lots:
        figures = money_season.lot_figures(year, group.name)
        assert cost_of_pound(figures) == Fraction(group.total_cents) / group.dressed_lb
    found = money_season.compare(year, "B2", "R2")
    assert sum(cents for _n, _p, cents in found.parts) == found.difference_cents


def test_a_lot_that_nobody_dressed_cannot_be_compared(year):
    with pytest.raises(RecordNotFoundError):
        money_season.compare(year, "B2", "B5")


def test_a_farm_that_wrote_nothing_has_an_example_to_turn(farm, frozen):
    view = money_view.year_view()
    assert view.full is None
    own = money_season.own_season(view)
    assert "example" in own.basis
    assert outcome(money_season.read_season(own.typed)).birds > 0
    with pytest.raises(RecordNotFoundError):
        money_view.year_view(1999)


def test_faults_in_the_eleven_numbers_are_told_together():
    with pytest.raises(InputFaultsError) as told:
        money_season.read_season({"price_cents_per_lb": "x"})
    assert len(told.value.faults) == 11


def test_the_sheet_says_the_same_sums(year):
    sheet = year_sheet(year, metric=False, name="Farm", demo=True)
    (lots,) = sheet.first
    assert lots.rows[-1][-1] == sheet.second[0].rows[-1][1]
    assert view_of(sheet, "Cash cost") == f"${year.report.totals[View.CASH].total_cents / 100:,.2f}"


def view_of(sheet, words):
    (table,) = [t for t in sheet.second if t.title == "Three ways to count"]
    return next(row[1] for row in table.rows if row[0].startswith(words))


def test_a_metric_farm_reads_kilograms(year):
    pounds = year_sheet(year, metric=False, name="Farm", demo=False).answers[0]
    kilograms = year_sheet(year, metric=True, name="Farm", demo=False).answers[0]
    ratio = float(kilograms.value[1:]) / float(pounds.value[1:])
    assert ratio == pytest.approx(2.2046, rel=0.002)
