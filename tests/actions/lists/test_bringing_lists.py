"""Lists brought in whole or not at all, on every page that counts them, and taken back."""

from __future__ import annotations

import datetime as dt

import pytest

from pinfeather.actions.day import days
from pinfeather.actions.farm import lots
from pinfeather.actions.flock import books as flocks
from pinfeather.actions.flock import days as flock_days
from pinfeather.actions.flock import learning as flock_learning
from pinfeather.actions.lists import bringing, past_days
from pinfeather.actions.money import book as money_book
from pinfeather.errors import InputError, InputFaultsError, RecordConflictError
from pinfeather.records import journal, models

TODAY = dt.date(2026, 6, 17)
LOTS = (
    "Lot,Hatched,Kind,Chicks,Hatchery\nK1,4/1/2026,chicken,50,Cold Creek\nK2,4/20/2026,duck,12,\n"
)
WEIGHINGS = (
    "Lot,Date,Weight lb\nK1,5/20/2026,4.1\nK1,5/20/2026,4.4\nK1,5/20/2026,4.3\n"
    "K2,6/1/2026,5.0; 5.2\n"
)
DAYS = "Date,Kind,Lot,Birds,Total weight lb\n5/27/2026,chicken,K1,48,210\n3/2/2026,turkey,,9,126\n"
SALES = (
    "Date,Customer,Item,Lbs,Price per lb,Lot\n"
    "5/30/2026,=HYPERLINK(evil),Whole chicken,4.5,5.25,K1\n6/2/2026,Noor,Wings,2,4,\n"
)


@pytest.fixture
def bring(farm, frozen, now):
    def brought(kind: str, text: str, **answers: str) -> str:
        token = bringing.hold(f"{kind}.csv", text.encode())
        return bringing.bring_in(token, kind, answers, who="Pia", today=TODAY, now=now)

    return brought


@pytest.fixture
def look(farm, frozen):
    def looked(kind: str, text: str, **answers: str) -> bringing.Preview:
        token = bringing.hold(f"{kind}.csv", text.encode())
        return bringing.preview(token, kind, answers, today=TODAY)

    return looked


def counts() -> dict[str, int]:
    return {one.code: flocks.head_balance(flocks.book(one.code).life).heads for one in lots()}


def test_looking_keeps_nothing(look) -> None:
    before = models.Entry.objects.count()
    seen = look("lots", LOTS)
    assert seen.fit
    assert len(seen.read.planned) == 2
    assert models.Entry.objects.count() == before
    assert "K1" not in {one.code for one in lots()}


def test_lots_begin_with_the_birds_that_came(bring) -> None:
    bring("lots", LOTS)
    book = flocks.book("K1")
    assert (book.row.species, book.row.hatched) == ("chicken", dt.date(2026, 4, 1))
    assert counts()["K1"] == 50
    assert counts()["K2"] == 12
    assert book.entries[0].kept["note"] == "Cold Creek"
    assert journal.broken_at() is None


def test_a_lot_without_a_code_gets_a_free_one(bring) -> None:
    bring("lots", "Hatched,Kind,How many\n4/1/2026,ducklings,12\n4/1/2026,ducks,13\n")
    assert {"D1", "D2"} <= {one.code for one in lots()}


def test_weights_of_one_lot_and_day_are_one_weighing(bring) -> None:
    bring("lots", LOTS)
    bring("weighings", WEIGHINGS)
    (one,) = flocks.book("K1").kept("weighed")
    assert len(one.kept["weights_kg"]) == 3
    assert one.on == dt.date(2026, 5, 20)
    assert one.kept["weights_kg"][0] == pytest.approx(4.1 * 0.45359237)


def test_past_days_count_against_the_headroom_and_leave_the_lot(bring) -> None:
    before = days.counted_before(TODAY)
    bring("lots", LOTS)
    bring("days", DAYS)
    after = days.counted_before(TODAY)
    assert after.get("chicken", 0) - before.get("chicken", 0) == 48
    assert after["turkey"] - before.get("turkey", 0) == 9
    assert days.counted_before(dt.date(2026, 5, 1)).get("turkey") == 9
    assert counts()["K1"] == 2
    (gone,) = [one for one in flocks.book("K1").entries if one.kind == "processed"]
    assert "48" in gone.words


def test_past_days_teach_survival_and_dressing(bring) -> None:
    bring("lots", LOTS.replace("50", "48"))
    bring("weighings", WEIGHINGS.replace("5/20", "5/22"))
    bring("days", "Date,Kind,Lot,Birds,Total lb\n5/27/2026,chicken,K1,48,158\n")
    done = {one.row.code: one for one in flock_learning.finished(flocks.books())}
    assert done["K1"].alive_frac == 1.0
    wet_kg = 158 / 48 * 0.45359237
    assert 0.9 * wet_kg < done["K1"].dressed_kg < wet_kg  # the water of the chill is taken off
    assert done["K1"].dressing_frac is not None


def test_sales_are_income_and_the_buyers_name_stays_apart_from_the_journal(bring) -> None:
    bring("lots", LOTS)
    list_id = bring("sales", SALES)
    first, second = sorted(money_book.book().income, key=lambda one: one.on)
    assert (first.cents, second.cents) == (2363, 800)  # 4.5 lb at 5.25 is 23.625, half a cent up
    assert first.lot == "K1"
    texts = str(list(models.Entry.objects.values_list("payload", flat=True)))
    assert "Noor" not in texts
    assert "Noor" in str(bringing.lines_of(list_id))


def test_a_list_comes_in_whole_or_not_at_all_and_every_bad_row_is_told(bring, look) -> None:
    text = (
        "Date,Kind,Birds\n5/27/2026,chicken,40\n6/31/2026,chicken,5\n5/1/2026,emu,7\n"
        "12/1/2026,duck,x\n"
    )
    seen = look("days", text)
    assert {(fault.row, fault.heading) for fault in seen.read.faults} == {
        (3, "Date"), (4, "Kind"), (5, "Date"), (5, "Birds"),
    }  # fmt: skip
    before = models.Entry.objects.count()
    with pytest.raises(InputFaultsError):
        bring("days", text)
    assert models.Entry.objects.count() == before
    assert past_days.past_days() == ()


def test_the_same_file_twice_is_recognised_until_it_was_taken_back(bring, look, now) -> None:
    list_id = bring("days", DAYS.replace("K1", ""))
    seen = look("days", DAYS.replace("K1", ""))
    assert seen.before is not None
    assert not seen.fit
    with pytest.raises(InputFaultsError):
        bring("days", DAYS.replace("K1", ""))
    bringing.take_back(list_id, who="Pia", now=now)
    assert look("days", DAYS.replace("K1", "")).fit


def test_rows_that_stand_in_another_list_are_pointed_at(bring, look) -> None:
    bring("days", DAYS.replace("K1", ""))
    seen = look("days", DAYS.replace("K1", "") + "3/9/2026,turkey,,3,40\n")
    assert "row 2, 3" in seen.notes[0]


def test_sending_the_same_form_again_writes_once(farm, frozen, now) -> None:
    token = bringing.hold("a.csv", LOTS.encode())
    ids = {bringing.bring_in(token, "lots", {}, who="", today=TODAY, now=now) for _ in range(3)}
    assert len(ids) == 1
    assert models.Entry.objects.filter(kind="list").count() == 1
    assert counts()["K1"] == 50


@pytest.mark.parametrize(
    ("kind", "text"), [("lots", LOTS), ("days", DAYS), ("sales", SALES), ("weighings", WEIGHINGS)]
)
def test_taking_back_leaves_every_number_as_it_was_and_deletes_nothing(
    bring, now, kind, text
) -> None:
    if kind != "lots":
        bring("lots", LOTS)

    def numbers() -> object:
        balances = {c: (h, flocks.book(c).kept("weighed")) for c, h in counts().items()}
        income = [(one.on, one.cents) for one in money_book.book().income]
        return balances, income, days.counted_before(TODAY), past_days.past_totals()

    before, lines = numbers(), models.Entry.objects.count()
    list_id = bring(kind, text)
    assert numbers() != before
    brought = models.Entry.objects.count()
    bringing.take_back(list_id, who="Pia", now=now)

    assert numbers() == before
    assert lines < brought < models.Entry.objects.count()
    assert bringing.one_list(list_id).back_by == "Pia"
    assert len(bringing.lines_of(list_id)) == bringing.one_list(list_id).entries
    assert journal.broken_at() is None
    with pytest.raises(RecordConflictError):
        bringing.take_back(list_id, who="Pia", now=now)


def test_lots_cannot_be_taken_back_from_under_what_was_written_since(bring, now) -> None:
    list_id = bring("lots", LOTS)
    later = bring("weighings", WEIGHINGS)
    with pytest.raises(RecordConflictError, match="K1, K2"):
        bringing.take_back(list_id, who="Pia", now=now)
    bringing.take_back(later, who="Pia", now=now)
    bringing.take_back(list_id, who="Pia", now=now)
    assert "K1" not in {one.code for one in lots()}
    bring("lots", LOTS)
    assert counts()["K1"] == 50


def test_a_day_the_program_has_itself_is_not_counted_twice(demo_farm) -> None:
    took = flock_days.taken()[0]
    token = bringing.hold("d.csv", f"Date,Kind,Birds\n{took.on},turkey,4\n".encode())
    seen = bringing.preview(token, "days", {}, today=TODAY)
    assert "twice" in seen.read.faults[0].sentence


def test_a_decimal_comma_kilograms_and_day_first_are_read_as_said(look) -> None:
    seen = look("days", "Datum;Birds;Total (kg)\n27.5.2026;40;80,5\n1.6.2026;2;4,1\n")
    assert (seen.how.order, seen.how.point, seen.how.unit) == ("dmy", ",", "kg")
    assert seen.read.planned[0].payload["on"] == "2026-05-27"
    assert seen.read.planned[0].payload["total_kg"] == pytest.approx(80.5)


def test_a_wrong_unit_shows_itself_as_birds_too_heavy(look) -> None:
    seen = look("days", "Date,Birds,Total oz\n5/27/2026,40,3200\n", unit="kg")
    assert "unit" in seen.read.faults[0].sentence


def test_a_list_that_waited_too_long_is_asked_for_again(farm, now) -> None:
    with pytest.raises(InputError, match="not here any more"):
        bringing.bring_in("0" * 32, "lots", {}, who="", today=TODAY, now=now)
